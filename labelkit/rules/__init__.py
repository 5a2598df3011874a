"""The law as dated, cited tables, the few kinds of check, and what they find."""

from labelkit.common.regions import checked_regions, known_regions
from labelkit.rules.duties import Duty, duties
from labelkit.rules.facts import Face, Facts
from labelkit.rules.findings import Finding, Level, Report
from labelkit.rules.floors import ElementFloor, Floors, HeightFloor, Measure
from labelkit.rules.judge import (
    Change,
    Day,
    Turn,
    asks_for_room,
    floors,
    judge,
    timeline,
    too_small,
)
from labelkit.rules.phrases import Phrase, phrase_forms, set_phrases
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.tables import load_rules, required_languages

__all__ = [
    "Change",
    "Day",
    "Duty",
    "ElementFloor",
    "Face",
    "Facts",
    "Finding",
    "Floors",
    "HeightFloor",
    "Level",
    "Measure",
    "Phrase",
    "Provenance",
    "Report",
    "Rule",
    "Turn",
    "asks_for_room",
    "checked_regions",
    "duties",
    "floors",
    "judge",
    "known_regions",
    "load_rules",
    "phrase_forms",
    "required_languages",
    "set_phrases",
    "timeline",
    "too_small",
]
