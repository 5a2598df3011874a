"""Whether a recipe and its scents were poured before, by the workshop's record, and how that went.

A fragrance may seize a batch, sweat or fade, and a recipe that is new to a mould may not come out
of it: an order whose day is fixed is no place to find out.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from labelkit.common.frozen import dataclass
from labelkit.common.text_match import fold_as_read
from labelkit.order.pours import PourNotes
from labelkit.order.recipe import Recipe
from labelkit.plan.trace import BatchRecord

TRIAL_WEEKS = 4
"""Seizing shows in the pot, sweating in days, fading in weeks: common practice, no source."""


@dataclass(frozen=True, slots=True)
class NotedPour:
    """A batch of the same recipe and scents, with what is remembered of it."""

    record: BatchRecord
    notes: PourNotes


@dataclass(frozen=True, slots=True)
class Tried:
    """How often a recipe was poured with its scents, and how often with any."""

    times: int
    last: dt.date | None
    recipe_times: int
    trial_by: dt.date
    """The last day on which a trial still tells before the batch is poured."""
    scent_times: int = 0
    """How often its scents were poured, in any recipe."""
    mould: str = ""
    mould_times: int = 0
    """How often this recipe is noted as poured into this mould."""
    noted: tuple[NotedPour, ...] = ()
    """Batches of the pair of which something is remembered, the last one first."""

    @property
    def lost(self) -> tuple[int, int]:
        """Pieces lost, of the pieces of those batches in which they were counted."""
        counted = [one for one in self.noted if one.notes.lost is not None and one.record.pieces]
        return (
            sum(one.notes.lost or 0 for one in counted),
            sum(one.record.pieces for one in counted),
        )

    @property
    def misbehaved(self) -> tuple[NotedPour, ...]:
        """Those of the pair that did not behave."""
        return tuple(one for one in self.noted if one.notes.notes)


def count_pours(
    recipe: Recipe,
    records: Iterable[BatchRecord],
    pour: dt.date,
    on: dt.date,
    notes: Iterable[PourNotes] = (),
    mould: str = "",
) -> Tried | None:
    """What the record tells of a recipe to be poured on a day; None where it holds no pour yet."""
    poured = {one.lot.casefold(): one for one in records if not one.planned and one.poured <= on}
    if not poured:
        return None
    scents = {fold_as_read(scent.name) for scent in recipe.scents}
    scented = [one for one in poured.values() if scents <= _list_names(one)]
    same = [one for one in poured.values() if one.recipe == recipe.name]
    pairs = [one for one in same if one in scented]
    known = {one.lot.casefold(): one for one in notes}
    return Tried(
        times=len(pairs),
        last=max((one.poured for one in pairs), default=None),
        recipe_times=len(same),
        trial_by=pour - dt.timedelta(weeks=TRIAL_WEEKS),
        scent_times=len(scented) if scents else 0,
        mould=mould,
        mould_times=sum(_is_in_mould(one, known, mould) for one in same),
        noted=tuple(
            NotedPour(one, known[one.lot.casefold()])
            for one in sorted(pairs, key=lambda one: one.poured, reverse=True)
            if one.lot.casefold() in known
        ),
    )


def _list_names(record: BatchRecord) -> set[str]:
    return {fold_as_read(material.name) for material in record.materials}


def _is_in_mould(record: BatchRecord, notes: Mapping[str, PourNotes], mould: str) -> bool:
    noted = notes.get(record.lot.casefold())
    return bool(mould) and noted is not None and fold_as_read(noted.mould) == fold_as_read(mould)
