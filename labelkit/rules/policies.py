"""What the law of a region, or of several at once, asks of the ingredient list.

The presets are data (``tables/presets.toml``); which allergens are named, and what is banned, comes
from the regions' own rows. For several regions the union is taken: the stricter order rule, every
allergen any of them lists, and the one form of a name that satisfies all. What cannot be reconciled
is said in ``Policy.conflicts``, never decided silently.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Verbatim
from labelkit.common.rule_tables import read_table
from labelkit.formula.allergens import list_allergen_names
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.policy import (
    BotanicalForm,
    ColourForm,
    ParfumForm,
    Policy,
    Prohibition,
    ScheduleForm,
)
from labelkit.rules.region_tables import find_start_day, merge_rows


class PolicyError(LabelkitError):
    """A region that no preset covers."""


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
    allergens = _list_allergen_rows(regions)
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
        allergens=_list_names_in_force(allergens, sold_on, first),
        allergens_bind=_list_bound_regions(allergens, sold_on, first),
        coming_allergens=_list_coming_names(allergens, sold_on, first_sold_on),
        allergen_limit_percent=min(
            (row.rinse_off_percent for row in allergens), default=Decimal(0)
        ),
        prohibited=tuple(_list_bans(regions, sold_on)),
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


# -- allergens and bans by date ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _AllergenRow:
    """What a row of kind "allergens" says of names, days and shares."""

    region: str
    names: frozenset[str]
    is_settled: bool
    """Whether it is more than a warning."""
    rinse_off_percent: Decimal
    since: dt.date | None
    until: dt.date | None
    existing_from: dt.date | None

    def find_start_day(self, first_sold_on: dt.date) -> dt.date | None:
        return find_start_day(self.since, self.existing_from, first_sold_on)

    def binds(self, on: dt.date, first_sold_on: dt.date) -> bool:
        start = self.find_start_day(first_sold_on)
        return (start is None or start <= on) and (self.until is None or on <= self.until)


def _list_rows(regions: Sequence[str], kind: str) -> Iterator[tuple[str, dict[str, Any]]]:
    for code in dict.fromkeys(regions):
        for _, row in merge_rows(code):
            if row["kind"] == kind:
                yield code, row


def _list_allergen_rows(regions: Sequence[str]) -> tuple[_AllergenRow, ...]:
    return tuple(
        _AllergenRow(
            code,
            list_allergen_names(row["list"]),
            row.get("level", "fail") == "fail",
            row["rinse_off_percent"],
            row.get("since"),
            row.get("until"),
            row.get("existing_from"),
        )
        for code, row in _list_rows(regions, "allergens")
    )


def _list_bound_regions(
    rows: Sequence[_AllergenRow], on: dt.date, first_sold_on: dt.date
) -> tuple[str, ...]:
    """The regions with a list that is settled; of others a row only warns."""
    bound = (row.region for row in rows if row.is_settled and row.binds(on, first_sold_on))
    return tuple(dict.fromkeys(bound))


def _list_names_in_force(
    rows: Sequence[_AllergenRow], on: dt.date, first_sold_on: dt.date
) -> frozenset[str]:
    return frozenset(name for row in rows if row.binds(on, first_sold_on) for name in row.names)


def _list_coming_names(
    rows: Sequence[_AllergenRow], on: dt.date, first_sold_on: dt.date | None
) -> tuple[tuple[str, dt.date], ...]:
    """Names that become due later. A product not said to be older counts as new on that day."""
    in_force = _list_names_in_force(rows, on, first_sold_on or on)
    coming: dict[str, dt.date] = {}
    for row in rows:
        start = row.find_start_day(first_sold_on or row.since or on)
        if start is not None and on < start:
            for name in row.names - in_force:
                coming[name] = min(start, coming.get(name, start))
    return tuple(sorted(coming.items()))


def _list_bans(regions: Sequence[str], on: dt.date) -> Iterator[Prohibition]:
    for code, row in _list_rows(regions, "list-never"):
        for name, since in row.get("since_by_name", {}).items():
            if since <= on:
                yield Prohibition(name, code, since)


@lru_cache(maxsize=1)
def _load_presets() -> tuple[dict[str, Any], ...]:
    return tuple(read_table("presets")["region"])
