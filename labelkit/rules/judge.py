"""Judges a label by the rows of its regions, and tells the floors before there is a label."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from operator import attrgetter
from typing import NamedTuple

from labelkit.common.messages import Day as NamedDay
from labelkit.common.messages import Said
from labelkit.common.regions import check_regions
from labelkit.model.runs import Panel
from labelkit.rules.conflicts import check_conflicts
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Finding, Level, Report
from labelkit.rules.floors import ElementFloor, Floors
from labelkit.rules.kinds.claims import ForbiddenClaims
from labelkit.rules.kinds.french import OwnWords
from labelkit.rules.kinds.height import LetterHeight
from labelkit.rules.kinds.ingredients import ListRoom
from labelkit.rules.kinds.notes import DutyBesideLabel
from labelkit.rules.kinds.setting import Prominence
from labelkit.rules.label import Label
from labelkit.rules.rule import Problem, Provenance, Rule
from labelkit.rules.tables import (
    is_abroad,
    list_change_dates,
    load_common_rules,
    load_measuring_tolerance_mm,
    load_region_rules,
)

EVERYWHERE = "all"
"""Region of a finding that no single region asks for: labelkit's advice, the recipe's doubts."""
OF_ALL_WORDS = (ForbiddenClaims, OwnWords, Prominence)
"""Checks of whatever is said about a product or comes with it, not of its label alone."""


class RuleTurn(StrEnum):
    """What happens to a rule on a day of change."""

    STARTS = "starts"
    ENDS = "ends"
    CHANGES = "changes"
    """It finds something else than the day before, though it was and is in force."""


class RuleChange(NamedTuple):
    """A rule that starts, ends or comes to another outcome on a day."""

    turn: RuleTurn
    rule: str
    finding: Finding | None
    """The gravest thing it finds from then on (for one that ends: found until then)."""


class VerdictDay(NamedTuple):
    """The verdict from one day of change on, and what changed."""

    on: dt.date
    verdict: str
    findings: tuple[Finding, ...]
    changes: tuple[RuleChange, ...] = ()


def judge_panels(
    panels: Sequence[Panel],
    facts: Facts,
    regions: Sequence[str],
    on: dt.date | None = None,
    strict: bool = False,
) -> Report:
    """Everything the regions find on these panels as of a day (None: the day of sale).

    ``strict`` lets rows that are only remembered fail a label, too. InputError for a region that
    is not known.
    """
    day = on or facts.sold_on
    asked = check_regions(regions)
    rows = list(list_rules_in_force(asked, facts, day))
    now = list(_check_rows(rows, _make_label(panels, facts, day), strict))
    later = _check_coming_rules(panels, facts, asked, day, strict, now)
    found = [
        *now,
        *_list_uncertainties(facts),
        *check_conflicts(now, asked, facts.declaration),
        *later,
    ]
    laws = {rule.id: rule for region, rule in rows if region != EVERYWHERE}
    remembered = sum(rule.provenance is Provenance.MEMORY for rule in laws.values())
    findings = tuple(_sort_findings(_merge_findings(found), asked))
    return Report(day, asked, findings, len(laws), 0 if strict else remembered)


def judge_words(
    panels: Sequence[Panel],
    facts: Facts,
    regions: Sequence[str],
    on: dt.date | None = None,
    strict: bool = False,
) -> tuple[Finding, ...]:
    """What the regions find on the words of panels that are no label: cards and tags that go with
    the product claim nothing it may not, and speak the languages that all on it must."""
    day = on or facts.sold_on
    asked = check_regions(regions)
    meant = _list_meant(asked, facts, day, lambda rule: isinstance(rule.check, OF_ALL_WORDS))
    found = _check_rows(meant, _make_label(panels, facts, day), strict)
    return tuple(_sort_findings(_merge_findings(found), asked))


def judge_over_label(
    panels: Sequence[Panel],
    facts: Facts,
    regions: Sequence[str],
    on: dt.date | None = None,
    strict: bool = False,
) -> tuple[Finding, ...]:
    """What fails or warns on panels that lie over a label and say what it says: what is to be done
    beside it, and what is yet to come, is noted of the label itself."""
    day = on or facts.sold_on
    asked = check_regions(regions)
    graver = _list_meant(asked, facts, day, lambda rule: rule.level is not Level.NOTE)
    now = list(_check_rows(graver, _make_label(panels, facts, day), strict))
    found = [*now, *_list_uncertainties(facts), *check_conflicts(now, asked, facts.declaration)]
    wrong = (finding for finding in found if finding.level is not Level.NOTE)
    return tuple(_sort_findings(_merge_findings(wrong), asked))


def find_floors(
    facts: Facts,
    regions: Sequence[str],
    on: dt.date | None = None,
    on_front: Collection[str] = (),
) -> Floors:
    """What binds each element before layout. ``on_front`` names the elements planned there.

    A relief for small faces is given only when everything it asks for is planned on the front.
    InputError for a region that is not known.
    """
    day = on or facts.sold_on
    by_element: dict[str, ElementFloor] = {}
    for _, rule in list_rules_in_force(check_regions(regions), facts, day):
        floor = rule.check.floor(rule, facts, frozenset(on_front))
        if floor is not None and floor != ElementFloor():
            before = by_element.get(rule.element, ElementFloor())
            by_element[rule.element] = before if floor == before else before.with_(floor)
    return Floors(by_element)


def asks_for_room(facts: Facts, regions: Sequence[str], on: dt.date) -> bool:
    """Whether a region lets the list stand where it is only if the label has no room for it."""
    return any(
        isinstance(rule.check, ListRoom) and facts.ingredients_on in rule.check.places
        for _, rule in list_rules_in_force(check_regions(regions), facts, on)
    )


def list_too_small_rules(
    panel: Panel, facts: Facts, regions: Sequence[str], on: dt.date
) -> frozenset[str]:
    """The rows on letter heights that fail or warn of a panel."""
    label = _make_label((panel,), facts, on)
    return frozenset(
        rule.id
        for _, rule in list_rules_in_force(check_regions(regions), facts, on)
        if isinstance(rule.check, LetterHeight)
        and rule.level is not Level.NOTE
        and any(rule.check.problems(rule, label))
    )


def judge_over_time(
    panels: Sequence[Panel],
    facts: Facts,
    regions: Sequence[str],
    since: dt.date | None = None,
    strict: bool = False,
) -> list[VerdictDay]:
    """The verdict on the day of sale (or ``since``) and on each later day on which a rule that
    concerns the product starts or ends, with what changes that day.

    InputError for a region that is not known.
    """
    start = since or facts.sold_on
    asked = check_regions(regions)
    concerned = [
        rule
        for region in (*asked, EVERYWHERE)
        for rule in _load_rows(region)
        if rule.applies(adapt_facts(region, facts))
    ]
    days = [start, *(day for day in list_change_dates(concerned) if day > start)]
    reports = [judge_panels(panels, facts, asked, day, strict) for day in days]
    first = reports[0]
    told = [VerdictDay(first.on, first.verdict, first.findings)]
    for before, after in pairwise(reports):
        changes = tuple(_compare_reports(concerned, before, after))
        told.append(VerdictDay(after.on, after.verdict, after.findings, changes))
    return told


def _compare_reports(rules: Iterable[Rule], before: Report, after: Report) -> Iterator[RuleChange]:
    """What starts, ends, or comes out otherwise between two days of change."""
    by_id = {rule.id: rule for rule in rules}
    gone, come = _pick_gravest_findings(before, by_id), _pick_gravest_findings(after, by_id)
    for rule in by_id.values():
        was, is_now = rule.in_force(before.on), rule.in_force(after.on)
        if is_now and not was:
            yield RuleChange(RuleTurn.STARTS, rule.id, come.get(rule.id))
        elif was and not is_now:
            yield RuleChange(RuleTurn.ENDS, rule.id, gone.get(rule.id))
    for name in dict.fromkeys([*gone, *come]):
        known = by_id.get(name)
        steady = known is None or (known.in_force(before.on) and known.in_force(after.on))
        old, new = gone.get(name), come.get(name)
        if steady and (old and (old.level, old.measured)) != (new and (new.level, new.measured)):
            yield RuleChange(RuleTurn.CHANGES, name, new)


def _pick_gravest_findings(report: Report, rules: Mapping[str, Rule]) -> dict[str, Finding]:
    """The first, and so the gravest, finding of each rule that is in force."""
    found: dict[str, Finding] = {}
    for finding in report.findings:
        rule = rules.get(finding.rule)
        if rule is None or rule.in_force(report.on):
            found.setdefault(finding.rule, finding)
    return found


def list_rules_in_force(
    asked: Sequence[str], facts: Facts, on: dt.date
) -> Iterator[tuple[str, Rule]]:
    """Every row in force that applies to the product, with the region that asks."""
    for region in (*asked, EVERYWHERE):
        seen = adapt_facts(region, facts)
        for rule in list_rules_of_day(region, on):
            if rule.applies(seen):
                yield region, rule


@lru_cache(maxsize=128)
def list_rules_of_day(region: str, on: dt.date) -> tuple[Rule, ...]:
    """The rows of a region, or those of all, that are in force on a day."""
    return tuple(rule for rule in _load_rows(region) if rule.in_force(on))


def _load_rows(region: str) -> tuple[Rule, ...]:
    return load_common_rules() if region == EVERYWHERE else load_region_rules(region)


def adapt_facts(region: str, facts: Facts) -> Facts:
    """The facts as one region sees them: what is made in another country is made abroad."""
    known = bool(facts.made_in) and region != EVERYWHERE
    abroad = facts.imported or (known and is_abroad(facts.made_in, region))
    return facts if facts.made_abroad is abroad else replace(facts, made_abroad=abroad)


def _make_label(panels: Iterable[Panel], facts: Facts, on: dt.date) -> Label:
    return Label(tuple(panels), facts, on, load_measuring_tolerance_mm())


def _list_meant(
    asked: Sequence[str], facts: Facts, day: dt.date, is_meant: Callable[[Rule], bool]
) -> Iterator[tuple[str, Rule]]:
    """Those of the rules in force that a judgement is about, each with its region."""
    return (row for row in list_rules_in_force(asked, facts, day) if is_meant(row[1]))


def _check_rows(rows: Iterable[tuple[str, Rule]], label: Label, strict: bool) -> Iterator[Finding]:
    for region, rule in rows:
        yield from check_rule(rule, region, label, strict)


def check_rule(rule: Rule, region: str, label: Label, strict: bool) -> Iterator[Finding]:
    recognised = label.facts.made_in in rule.recognises
    for problem in rule.check.problems(rule, label):
        yield _make_finding(
            rule, region, _soften_problem(problem, rule) if recognised else problem, strict
        )


def _soften_problem(problem: Problem, rule: Rule) -> Problem:
    """A problem with goods that may be sold here because they may be sold where they are made."""
    return replace(
        problem,
        at_most=max(Level.WARN, problem.at_most, key=list(Level).index),
        remedy=Said(
            "{remedy} Or keep to the rules of the country it is made in: what may be sold there may"
            " be sold here too (trans-Tasman mutual recognition, from memory).",
            remedy=problem.remedy or rule.remedy,
        ),
    )


def _make_finding(rule: Rule, region: str, problem: Problem, strict: bool) -> Finding:
    level, unsure = rule.level_of(problem, strict), rule.is_unsure(problem)
    beyond_label = isinstance(rule.check, DutyBesideLabel)
    return Finding(
        rule=rule.id,
        region=region,
        panel="" if beyond_label else problem.panel or rule.panel,
        element="" if beyond_label else problem.element or rule.element,
        level=level,
        message=Said(
            "{message} (unverified)." if unsure else "{message}.", message=problem.message
        ),
        measured=problem.measured,
        required=problem.required,
        unit=problem.unit,
        citation=rule.citation,
        provenance="memory" if unsure else str(rule.provenance),
        remedy=problem.remedy or rule.remedy,
        softened=level is not rule.level_of(problem, strict=True),
        languages=(problem.language,) if problem.language else (),
    )


def _check_coming_rules(
    panels: Sequence[Panel],
    facts: Facts,
    asked: Sequence[str],
    day: dt.date,
    strict: bool,
    now: Iterable[Finding],
) -> Iterator[Finding]:
    """Notes on rows that find nothing yet, with the day from which they will."""
    wrong_now = {f.rule for f in now if f.level is not Level.NOTE}
    labels: dict[dt.date, Label] = {}
    for region in asked:
        seen = adapt_facts(region, facts)
        for rule in load_region_rules(region):
            if rule.id in wrong_now or not rule.applies(seen):
                continue
            for start in (one for one in rule.start_days if one > day):
                label = labels.setdefault(start, _make_label(panels, facts, start))
                found = list(check_rule(rule, region, label, strict))
                wrong_then = [finding for finding in found if finding.level is not Level.NOTE]
                yield from (_note_coming_finding(finding, start) for finding in wrong_then)
                if wrong_then:
                    break


def _note_coming_finding(finding: Finding, start: dt.date) -> Finding:
    message = Said(
        "Passes now, but from {day}: {message}", day=NamedDay(start), message=finding.message
    )
    return replace(finding, level=Level.NOTE, message=message)


def _list_uncertainties(facts: Facts) -> Iterator[Finding]:
    """What the recipe leaves open, as the formula found it."""
    for doubt in facts.declaration.doubts:
        yield Finding(
            rule=f"RECIPE-{doubt.kind.upper()}",
            region=EVERYWHERE,
            panel=facts.ingredients_on,
            element="ingredients",
            level=Level(doubt.level),
            message=doubt.message,
            measured=doubt.measured,
            required=doubt.required,
            remedy=doubt.remedy,
        )


_BUT_REGION = attrgetter(
    *(field.name for field in fields(Finding) if field.compare and field.name != "region")
)
"""All by which findings are alike but for who asks."""


def _merge_findings(findings: Iterable[Finding]) -> list[Finding]:
    """The same finding asked for by several regions, once, with all of them named."""
    alike: dict[object, list[Finding]] = {}
    for finding in findings:
        alike.setdefault(_BUT_REGION(finding), []).append(finding)
    return [
        replace(
            same[0],
            region=", ".join(dict.fromkeys(one.region for one in same)),
            languages=_merge_languages(same),
        )
        if len(same) > 1
        else same[0]
        for same in alike.values()
    ]


def _merge_languages(findings: Iterable[Finding]) -> tuple[str, ...]:
    """All that some findings are about; none where one of them is about every language."""
    each = [finding.languages for finding in findings]
    return tuple(dict.fromkeys(tag for tags in each for tag in tags)) if all(each) else ()


def _sort_findings(findings: Iterable[Finding], asked: Sequence[str]) -> list[Finding]:
    """Fails, warns, notes; within each in the order of the regions and of their tables."""
    levels, order = list(Level), [*asked, EVERYWHERE]

    def place(finding: Finding) -> tuple[int, int]:
        return levels.index(finding.level), order.index(finding.region.split(", ")[0])

    return sorted(findings, key=place)
