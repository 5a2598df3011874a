"""The law as dated, cited tables, the few kinds of check, and what they find.

What is not asked for is not imported: an ingredient list needs no check of letter heights.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from labelkit.common.regions import check_regions, list_region_titles
    from labelkit.rules.duties import Duty, list_duties
    from labelkit.rules.facts import Facts, PackageFace
    from labelkit.rules.findings import Finding, Level, Report
    from labelkit.rules.floors import ElementFloor, Floors, HeightFloor, LetterMeasure
    from labelkit.rules.judge import (
        RuleChange,
        RuleTurn,
        VerdictDay,
        asks_for_room,
        find_floors,
        judge_over_label,
        judge_over_time,
        judge_panels,
        judge_words,
        list_too_small_rules,
    )
    from labelkit.rules.phrases import Phrase, list_phrase_forms, list_set_phrases
    from labelkit.rules.rule import Provenance, Rule
    from labelkit.rules.shown import judge_shown_panels, list_required_elements
    from labelkit.rules.tables import list_required_languages, load_rules

__all__ = [
    "Duty",
    "ElementFloor",
    "Facts",
    "Finding",
    "Floors",
    "HeightFloor",
    "LetterMeasure",
    "Level",
    "PackageFace",
    "Phrase",
    "Provenance",
    "Report",
    "Rule",
    "RuleChange",
    "RuleTurn",
    "VerdictDay",
    "asks_for_room",
    "check_regions",
    "find_floors",
    "judge_over_label",
    "judge_over_time",
    "judge_panels",
    "judge_shown_panels",
    "judge_words",
    "list_duties",
    "list_phrase_forms",
    "list_region_titles",
    "list_required_elements",
    "list_required_languages",
    "list_set_phrases",
    "list_too_small_rules",
    "load_rules",
]

_HOMES = {
    "labelkit.common.regions": (
        "check_regions",
        "list_region_titles",
    ),
    "labelkit.rules.duties": (
        "Duty",
        "list_duties",
    ),
    "labelkit.rules.facts": (
        "Facts",
        "PackageFace",
    ),
    "labelkit.rules.findings": (
        "Finding",
        "Level",
        "Report",
    ),
    "labelkit.rules.floors": (
        "ElementFloor",
        "Floors",
        "HeightFloor",
        "LetterMeasure",
    ),
    "labelkit.rules.judge": (
        "RuleChange",
        "RuleTurn",
        "VerdictDay",
        "asks_for_room",
        "find_floors",
        "judge_over_label",
        "judge_over_time",
        "judge_panels",
        "judge_words",
        "list_too_small_rules",
    ),
    "labelkit.rules.phrases": (
        "Phrase",
        "list_phrase_forms",
        "list_set_phrases",
    ),
    "labelkit.rules.rule": (
        "Provenance",
        "Rule",
    ),
    "labelkit.rules.shown": (
        "judge_shown_panels",
        "list_required_elements",
    ),
    "labelkit.rules.tables": (
        "list_required_languages",
        "load_rules",
    ),
}


def __getattr__(name: str) -> Any:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(importlib.import_module(home), name)
    raise AttributeError(name)
