"""What a region wants beyond the label, with its deadline."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.regions import check_regions
from labelkit.rules.facts import Facts
from labelkit.rules.kinds import notes
from labelkit.rules.rule import Provenance
from labelkit.rules.tables import load_region_rules


@dataclass(frozen=True, slots=True)
class Duty:
    """One thing to do. ``due`` is its last day; None: no day is set."""

    rule: str
    region: str
    what: str
    why: str
    how: str
    due: dt.date | None
    citation: str
    provenance: Provenance


def list_duties(
    facts: Facts, regions: Sequence[str], on: dt.date | None = None
) -> tuple[Duty, ...]:
    """The duties of the regions on a day (None: the day of sale), those with a deadline first.

    InputError for a region that is not known.
    """
    day = on or facts.sold_on
    found = [
        Duty(
            rule.id,
            region,
            rule.asks,
            rule.why,
            rule.remedy,
            rule.check.due(facts),
            rule.citation,
            rule.provenance,
        )
        for region in check_regions(regions)
        for rule in load_region_rules(region)
        if isinstance(rule.check, notes.DutyBesideLabel)
        and rule.in_force(day)
        and rule.applies(facts)
    ]
    found = [_join_duties(same) for same in _group_by_rule(found).values()]
    return tuple(sorted(found, key=lambda duty: (duty.due is None, duty.due or dt.date.max)))


@dataclass(frozen=True, slots=True)
class DutyAtOtherTime:
    """A duty that is not in force on a day, and when it is; None: without a beginning or an end."""

    rule: str
    since: dt.date | None
    until: dt.date | None


def list_duties_at_other_times(
    facts: Facts, regions: Sequence[str], on: dt.date | None = None
) -> tuple[DutyAtOtherTime, ...]:
    """The duties that ``list_duties`` leaves out on a day, only because of the day."""
    day = on or facts.sold_on
    found = {
        rule.id: DutyAtOtherTime(rule.id, rule.since, rule.until)
        for region in check_regions(regions)
        for rule in load_region_rules(region)
        if isinstance(rule.check, notes.DutyBesideLabel)
        and not rule.in_force(day)
        and rule.applies(facts)
    }
    return tuple(found[rule] for rule in sorted(found))


def _group_by_rule(found: Iterable[Duty]) -> dict[str, list[Duty]]:
    by_rule: dict[str, list[Duty]] = {}
    for duty in found:
        by_rule.setdefault(duty.rule, []).append(duty)
    return by_rule


def _join_duties(same: list[Duty]) -> Duty:
    """One duty that several regions ask for alike (Québec with Canada), naming them all."""
    return replace(same[0], region=", ".join(duty.region for duty in same))


def find_tolerance_g(region: str, declared_g: Decimal) -> Decimal | None:
    """How far under its declared weight one piece may be in a region; None: the table has none.

    InputError for a region that is not known.
    """
    for code in check_regions([region]):
        for rule in load_region_rules(code):
            if isinstance(rule.check, notes.SaleTolerance):
                return rule.check.grams(declared_g)
    return None
