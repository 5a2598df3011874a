"""What the regions ask of letters that show, where nothing but those letters is known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from labelkit.common.regions import check_regions
from labelkit.model.runs import Panel
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Finding, Report
from labelkit.rules.judge import check_rule, list_rules_in_force
from labelkit.rules.kinds.height import LetterHeight
from labelkit.rules.kinds.presence import PresentElement
from labelkit.rules.kinds.setting import TextContrast
from labelkit.rules.label import Label
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.tables import load_measuring_tolerance_mm

SHOWN_KINDS = (LetterHeight, TextContrast)
"""Kinds of check that ask for nothing beyond how tall and how dark letters are."""


def judge_shown_panels(
    panels: Sequence[Panel],
    facts: Facts,
    regions: Sequence[str],
    on: dt.date,
    strict: bool = False,
) -> Report:
    """The rows on letters that show, each panel by itself and wherever the row has it stand."""
    asked, tolerance = check_regions(regions), load_measuring_tolerance_mm()
    rows = [
        (region, rule)
        for region, rule in list_rules_in_force(asked, facts, on)
        if isinstance(rule.check, SHOWN_KINDS)
    ]
    findings: list[Finding] = []
    for region, rule in rows:
        for panel in panels:
            placed = replace(panel, name=rule.panel or "front")
            label = Label((placed,), facts, on, tolerance)
            findings += check_rule(rule, region, label, strict)
    remembered = sum(rule.provenance is Provenance.MEMORY for _, rule in rows)
    return Report(on, asked, tuple(findings), len(rows), 0 if strict else remembered)


def list_required_elements(facts: Facts, regions: Sequence[str], on: dt.date) -> tuple[str, ...]:
    """The elements that a region wants on every label."""
    wanted = (
        rule.element
        for _, rule in list_rules_in_force(check_regions(regions), facts, on)
        if isinstance(rule.check, PresentElement) and _is_always_asked(rule, rule.check)
    )
    return tuple(dict.fromkeys(wanted))


def _is_always_asked(rule: Rule, check: PresentElement) -> bool:
    return not check.only_if_used and check.exempt_below_g is None and rule.level == "fail"
