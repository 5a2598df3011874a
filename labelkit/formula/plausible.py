"""Whether a saponification value can be one: what a slip of unit or of alkali looks like.

Suppliers quote the same figure as mg KOH per g, as mg or g of NaOH per g, or in percent. Read as
the wrong one, it makes a bar of raw lye or a bowl of oil.
"""

from __future__ import annotations

from decimal import Decimal

from labelkit.common.messages import NOTHING, Number, Said, Term
from labelkit.formula.reaction import KOH, NAOH
from labelkit.order.recipe import MaterialKind

Ends = tuple[Decimal, Decimal]
"""Lowest and highest value, mg KOH per g."""

POSSIBLE: dict[MaterialKind, Ends] = {
    MaterialKind.TRIGLYCERIDE: (Decimal(150), Decimal(400)),
    MaterialKind.FREE_ACID: (Decimal(130), Decimal(500)),
    MaterialKind.WAX: (Decimal(30), Decimal(150)),
}
"""What any of a kind can have, with some room for what does not saponify. Computed from molar
masses: trierucin 159.7, tricaprylin 357.6; lignoceric acid 152.2, caproic acid 483.0. Waxes run
from candelilla to spermaceti: common practice, no source."""

_KOH_PER_NAOH = Decimal(str(KOH)) / Decimal(str(NAOH))
_READINGS = (
    (_KOH_PER_NAOH, Said("an NaOH value in mg per g")),
    (Decimal(1000), Said("grams of KOH for a gram")),
    (1000 * _KOH_PER_NAOH, Said("grams of NaOH for a gram")),
    (Decimal(10), Said("percent of KOH")),
    (10 * _KOH_PER_NAOH, Said("percent of NaOH")),
)
"""By what a figure must be multiplied to be mg KOH per g, and what it was."""


_ROOM = Decimal("0.05")
"""A figure meant in another unit may lie so far outside the published range, as a share of it."""


def explain_implausible_value(value: Decimal, kind: MaterialKind, published: Ends | None) -> Said:
    """Why ``value`` cannot be mg KOH per g, and what it would be; empty when it can be.

    ``published`` is the range known of the material, where one is. A value near it is believed, one
    that is far off is taken for another unit where that puts it inside.
    """
    possible = POSSIBLE.get(kind)
    if possible is None:
        return NOTHING
    impossible = not _is_within(value, possible)
    if not impossible and not (published and is_far_outside(value, published)):
        return NOTHING
    low, high = (published[0] * (1 - _ROOM), published[1] * (1 + _ROOM)) if published else possible
    for factor, reading in _READINGS:
        if _is_within(value * factor, (low, high)):
            meant = Number(value * factor, 1)
            return Said(
                "looks like {reading}; expected mg KOH per g, which would be {meant}",
                reading=reading,
                meant=meant,
            )
    low, high = possible
    return (
        Said(
            "no {kind} has that; expected mg KOH per g, {low} to {high}",
            kind=Term("kind", kind),
            low=Number(low),
            high=Number(high),
        )
        if impossible
        else NOTHING
    )


def is_far_outside(value: Decimal, published: Ends) -> bool:
    """Whether a value lies outside a published range by more than that range's own width."""
    low, high = published
    return not _is_within(value, (low - (high - low), high + (high - low)))


def _is_within(value: Decimal, ends: Ends) -> bool:
    return ends[0] <= value <= ends[1]
