"""How a region, or several at once, want the ingredient list made: style, basis, order, names.

The presets are data (``tables/presets.toml``). For several regions the union is taken: the stricter
order rule, every allergen any of them lists, and the one form of a name that satisfies all. What
cannot be reconciled is said in ``Policy.conflicts``, never decided silently.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.messages import FactList, Said, Term, Verbatim
from labelkit.formula.allergens import list_allergen_names, list_prohibited_on
from labelkit.formula.declaration import Basis, Style

RINSE_OFF_LIMIT_PERCENT = Decimal("0.01")
"""Allergens are named when greater than this in a rinse-off product: Canada, Cosmetic Regulations
s. 21.4(4)(a); EU, Regulation (EC) No 1223/2009 Annex III."""


NOT_ALL_STYLES = "the list is made as {made}, which the rules of {regions} do not all provide for"
NOT_ALL_BASES = (
    "the list is made by the {made} mass, which the rules of {regions} do not all provide for"
)


class PolicyError(LabelkitError):
    """A region that no preset covers."""


class ScheduleForm(StrEnum):
    """How a substance with a technical (trivial) name is printed."""

    TECHNICAL = "technical"
    ENGLISH = "english"
    ENGLISH_FRENCH = "english-french"
    TECHNICAL_ENGLISH_FRENCH = "technical-english-french"
    ENGLISH_TECHNICAL = "english (technical)"
    """The dual form ``Water (Aqua)``: FDA letters of 1995 and 1999, from memory."""


class BotanicalForm(StrEnum):
    LATIN = "latin"
    ENGLISH = "english"
    """With the common name in brackets: Olea Europaea (Olive) Fruit Oil."""


class ColourForm(StrEnum):
    INDEX = "index"
    ENGLISH = "english"
    ENGLISH_INDEX = "english (index)"
    """The dual form ``Iron Oxides (CI 77491)``."""


class ParfumForm(StrEnum):
    """The word for a perfume composition, as printed."""

    PARFUM = "Parfum"
    FRAGRANCE = "Fragrance"
    FRAGRANCE_PARFUM = "Fragrance (Parfum)"


@dataclass(frozen=True, slots=True)
class Policy:
    """Everything the declaration asks of the regions it is made for."""

    regions: tuple[str, ...]
    style: Style
    basis: Basis
    free_at_exactly_one_percent: bool
    """Exactly 1 % may stand in any order (Canada, US) or is still ordered (EU, AU, NZ)."""
    parfum_at_end: bool
    schedule: ScheduleForm
    botanical: BotanicalForm
    colour: ColourForm
    parfum: ParfumForm
    allergens: frozenset[str]
    """INCI names to be named above the threshold, on the date asked for."""
    allergens_bind: tuple[str, ...] = ()
    """The regions of which it is settled that they ask for such names on that date."""
    coming_allergens: tuple[tuple[str, dt.date], ...] = ()
    """Names that become due later, each with the day."""
    allergen_limit_percent: Decimal = RINSE_OFF_LIMIT_PERCENT
    prohibited: frozenset[str] = frozenset()
    """Fragrance materials that must not be in the product."""
    accepted: frozenset[Style | Basis] = frozenset()
    """Styles and bases that every region accepts."""
    why: str = ""
    """What speaks for the style; empty when the maker chose it."""

    @property
    def conflicts(self) -> tuple[str, ...]:
        """What of this policy not every region accepts, one sentence each."""
        regions = FactList(self.regions)
        return tuple(
            Said(template, made=Term("basis", made.value), regions=regions)
            for made, template in ((self.style, NOT_ALL_STYLES), (self.basis, NOT_ALL_BASES))
            if made not in self.accepted
        )

    def made(self, style: Style | None = None, basis: Basis | None = None) -> Policy:
        """The same policy with another style or basis, as the maker chose."""
        why = self.why if style in (None, self.style) else ""
        return replace(self, style=style or self.style, basis=basis or self.basis, why=why)


def list_preset_regions() -> tuple[str, ...]:
    """Every region code with a preset, in the table's order."""
    return tuple(code for row in _load_presets() for code in row["codes"])


def make_policy(
    regions: Sequence[str], sold_on: dt.date, first_sold_on: dt.date | None = None
) -> Policy:
    """The policy for all ``regions`` at once on the day of sale.

    ``first_sold_on`` is when the product was first sold in the region, for lists that tell new
    products from existing ones; None: it is new. Raises PolicyError for an unknown region.
    """
    if not regions:
        raise PolicyError(
            Said(
                "no region given; expected one or more of {listed}",
                listed=FactList(list_preset_regions()),
            )
        )
    rows = list({id(row): row for row in map(_find_preset, regions)}.values())
    first = first_sold_on or sold_on
    return Policy(
        regions=tuple(dict.fromkeys(regions)),
        # Without a common ground, the bar as it is on sale.
        style=Style(_find_first_common(rows, "style") or "formed"),
        basis=Basis(_find_first_common(rows, "basis") or "cured"),
        free_at_exactly_one_percent=all(row["one_percent"] == "at most" for row in rows),
        parfum_at_end=all(row["parfum_at_end"] for row in rows),
        schedule=_choose_schedule_form(rows),
        botanical=BotanicalForm(_find_first_common(rows, "botanical") or "english"),
        colour=ColourForm(_find_first_common(rows, "colour") or "english (index)"),
        parfum=_choose_parfum_form(rows),
        allergens=frozenset(_list_names_in_force(rows, sold_on, first)),
        allergens_bind=_list_bound_regions(regions, sold_on, first),
        coming_allergens=_list_coming_names(rows, sold_on, first_sold_on),
        prohibited=list_prohibited_on(sold_on)
        if any(r.get("annex_ii") for r in rows)
        else frozenset(),
        accepted=_list_accepted_forms(rows),
        why="; ".join(dict.fromkeys(row["why"] for row in rows)),
    )


# -- the union of several regions ------------------------------------------------------------------


def _find_preset(code: str) -> dict[str, Any]:
    for row in _load_presets():
        if code in row["codes"]:
            return row
    raise PolicyError(
        Said(
            "unknown region {code}; expected one of {listed}",
            code=Verbatim(code),
            listed=FactList(list_preset_regions()),
        )
    )


def _find_first_common(rows: Sequence[dict[str, Any]], field: str) -> str | None:
    """The first form, in the first region's preference, that every region accepts."""
    for form in rows[0][field]:
        if all(form in row[field] for row in rows):
            return str(form)
    return None


def _list_accepted_forms(rows: Sequence[dict[str, Any]]) -> frozenset[Style | Basis]:
    styles = {style for style in Style if all(style in row["style"] for row in rows)}
    bases = {basis for basis in Basis if all(basis in row["basis"] for row in rows)}
    return frozenset(styles | bases)


def _choose_schedule_form(rows: Sequence[dict[str, Any]]) -> ScheduleForm:
    common = _find_first_common(rows, "schedule")
    return ScheduleForm(common) if common else ScheduleForm.ENGLISH_TECHNICAL


def _choose_parfum_form(rows: Sequence[dict[str, Any]]) -> ParfumForm:
    common = _find_first_common(rows, "parfum")
    if common is None:
        return ParfumForm.FRAGRANCE_PARFUM
    return ParfumForm.PARFUM if common == "parfum" else ParfumForm.FRAGRANCE


# -- allergens by date -----------------------------------------------------------------------------


def _find_start_day(entry: dict[str, Any], first_sold_on: dt.date) -> dt.date:
    """The day from which a list binds this product."""
    new_from: dt.date | None = entry.get("first_sold_from")
    start: dt.date = entry["from"]
    return new_from if new_from and first_sold_on >= new_from else start


def _collect_allergen_lists(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    return [entry for row in rows for entry in row["allergens"]]


def _list_bound_regions(
    regions: Sequence[str], sold_on: dt.date, first_sold_on: dt.date
) -> tuple[str, ...]:
    return tuple(
        code
        for code in dict.fromkeys(regions)
        if any(
            sold_on >= _find_start_day(entry, first_sold_on)
            for entry in _collect_allergen_lists([_find_preset(code)])
            if entry.get("settled", True)
        )
    )


def _list_names_in_force(
    rows: Iterable[dict[str, Any]], sold_on: dt.date, first_sold_on: dt.date
) -> set[str]:
    return {
        name
        for entry in _collect_allergen_lists(rows)
        if sold_on >= _find_start_day(entry, first_sold_on)
        for name in list_allergen_names(entry["list"])
    }


def _list_coming_names(
    rows: Sequence[dict[str, Any]], sold_on: dt.date, first_sold_on: dt.date | None
) -> tuple[tuple[str, dt.date], ...]:
    """Names that become due later. A product not said to be older counts as new on that day."""
    in_force = _list_names_in_force(rows, sold_on, first_sold_on or sold_on)
    coming: dict[str, dt.date] = {}
    for entry in _collect_allergen_lists(rows):
        start = _find_start_day(entry, first_sold_on or entry.get("first_sold_from", sold_on))
        if sold_on < start:
            for name in list_allergen_names(entry["list"]):
                if name not in in_force:
                    coming[name] = min(start, coming.get(name, start))
    return tuple(sorted(coming.items()))


@lru_cache(maxsize=1)
def _load_presets() -> tuple[dict[str, Any], ...]:
    text = files("labelkit.formula").joinpath("tables/presets.toml").read_text("utf-8")
    return tuple(tomllib.loads(text)["region"])
