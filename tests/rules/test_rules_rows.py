"""Every row of every table has a label that just passes it and one that it just finds."""

from __future__ import annotations

import pytest
import rule_cases
from rule_labels import Case

from labelkit.rules import Rule, list_region_titles, load_rules

CASES = rule_cases.all_cases()
RULES: dict[str, Rule] = {rule.id: rule for rule in load_rules(list(list_region_titles()))}
_ALWAYS_NOTED = {"duty", "tolerance"}
"""Kinds that look at nothing on the label; what they say is tested by itself."""


def _name(case: Case) -> str:
    return f"{case.rule}-{case.level or 'passes'}-{case.says or case.source}"


@pytest.mark.parametrize("rule", sorted(RULES))
def test_every_label_is_judged_as_its_source_says(rule: str) -> None:
    wrong = {
        _name(case): case.draft.found_by({case.rule}, *case.regions, on=case.on)
        for case in CASES
        if case.rule == rule and case.found() != case.level
    }
    assert not wrong


@pytest.mark.parametrize("every", [12, pytest.param(1, marks=pytest.mark.long)])
def test_a_row_finds_the_same_among_all_others(every: int) -> None:
    wrong = [_name(case) for case in CASES[::every] if case.found_on_the_whole() != case.level]
    assert not wrong


def test_every_row_has_both_sides() -> None:
    sides: dict[str, set[bool]] = {}
    for case in CASES:
        sides.setdefault(case.rule, set()).add(bool(case.level))
    for name, rule in RULES.items():
        assert sides[name] >= ({True} if rule.kind in _ALWAYS_NOTED else {True, False}), name


def test_every_case_is_of_a_known_row() -> None:
    assert {case.rule for case in CASES} <= set(RULES)
