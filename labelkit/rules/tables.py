"""Makes rules of the rows of the regions' tables, and tells days and languages of regions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import fields
from decimal import Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.messages import Said
from labelkit.common.regions import check_regions, list_region_codes
from labelkit.common.rule_tables import read_table
from labelkit.common.table_rows import fill_row
from labelkit.rules.findings import Level
from labelkit.rules.kinds import KINDS
from labelkit.rules.region_tables import list_ancestry, load_region_table, merge_rows
from labelkit.rules.rule import Provenance, Rule

COMMON = "common"
"""Rows every label is judged by, whatever its region: labelkit's own advice."""

_ROW_KEYS = {field.name for field in fields(Rule)} | {"replaces"}


def is_abroad(country: str, code: str) -> bool:
    """Whether goods made in a country (ISO 3166) are imports in a region."""
    home = next((t.home for t in map(load_region_table, list_ancestry(code)) if t.home), ())
    return country not in (home or list_ancestry(code)[-1:])


@lru_cache(maxsize=64)
def load_region_rules(code: str) -> tuple[Rule, ...]:
    """Every rule of one region, inherited ones first."""
    return tuple(make_rule(row, owner) for owner, row in merge_rows(code))


@lru_cache(maxsize=1)
def load_common_rules() -> tuple[Rule, ...]:
    """The rows that go with every region."""
    return tuple(make_rule(row, "all") for row in read_table(COMMON)["rule"])


def load_rules(regions: Sequence[str]) -> tuple[Rule, ...]:
    """Every rule that some of these regions ask for, each once; InputError for an unknown code."""
    rules = [rule for code in check_regions(regions) for rule in load_region_rules(code)]
    return tuple({(rule.region, rule.id): rule for rule in [*rules, *load_common_rules()]}.values())


def list_asking_regions(rule: Rule) -> tuple[str, ...]:
    """Every region that asks for a rule; none for the rows that go with all of them."""
    return tuple(
        code
        for code in list_region_codes()
        if any(r.id == rule.id for r in load_region_rules(code))
    )


@lru_cache(maxsize=1)
def load_measuring_tolerance_mm() -> Decimal:
    """How far a measured outline may fall short of a limit."""
    tolerance: Decimal = read_table(COMMON)["measuring"]["tolerance_mm"]
    return tolerance


def make_rule(row: dict[str, Any], region: str) -> Rule:
    """One row as a rule; KeyError, TypeError or ValueError for a row that is not well formed."""
    numbers = {key: value for key, value in row.items() if key not in _ROW_KEYS}
    return Rule(
        id=row["id"],
        region=region,
        element=row["element"],
        panel=row["panel"],
        kind=row["kind"],
        check=fill_row(KINDS[row["kind"]], numbers),
        level=Level(row.get("level", "fail")),
        asks=_make_sentence(row["asks"]),
        why=_make_sentence(row["why"]),
        passes=_make_sentence(row["passes"]),
        fails=_make_sentence(row["fails"]),
        remedy=_make_sentence(row["remedy"]),
        citation=Said(row["citation"]),
        provenance=Provenance(row["provenance"]),
        since=row.get("since"),
        until=row.get("until"),
        when={name: _to_tuple(value) for name, value in row.get("when", {}).items()},
        recognises=tuple(row.get("recognises", ())),
        verify_by=row.get("verify_by"),
    )


def _to_tuple(value: object) -> tuple[object, ...]:
    return tuple(value) if isinstance(value, list) else (value,)


def _make_sentence(text: str) -> Said:
    """A row's own words, which a report may say in another language."""
    return Said(" ".join(text.split()))


def list_stale_rules(on: dt.date) -> tuple[Rule, ...]:
    """Every rule whose day for reading it again at its source has passed."""
    rules = load_rules(list_region_codes())
    return tuple(rule for rule in rules if rule.verify_by is not None and rule.verify_by < on)


def list_change_dates(rules: Iterable[Rule]) -> list[dt.date]:
    """The days on which some rule begins, binds more, or has just ended, in order."""
    rules = list(rules)
    days = {day for rule in rules for day in rule.start_days}
    days |= {rule.until + dt.timedelta(days=1) for rule in rules if rule.until}
    return sorted(days)


def list_required_languages(regions: Sequence[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Per region the sets of languages of which one must be whole: CA: en and fr together.

    Empty for a region that does not say (the EU as such); InputError for an unknown code.
    """
    return {
        code: next(
            (t.languages for t in map(load_region_table, list_ancestry(code)) if t.languages), ()
        )
        for code in check_regions(regions)
    }
