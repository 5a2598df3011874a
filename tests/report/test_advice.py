"""Every finding that is no law's explains itself, in every language of the findings."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from sentences import parse_source

import labelkit
from labelkit.report.advice import explain_advice, list_advice_ids
from labelkit.report.findings import load_finding_words
from labelkit.report.phrasebook import list_languages
from labelkit.rules.findings import Finding, Level

SOURCE = Path(labelkit.__file__).parent


def ids_of_source() -> Iterator[str]:
    """The identifiers that the rooms' own findings carry, read off their source."""
    for tree in parse_source().values():
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) else None
            if isinstance(text, str) and re.fullmatch(r"(CRAFT|LABELKIT)-[A-Z-]+[A-Z]", text):
                yield text
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            if named and node.func.id == "Uncertainty" and isinstance(node.args[0], ast.Constant):
                yield f"RECIPE-{node.args[0].value.upper()}"
    dangers = SOURCE.joinpath("formula/tables/dangers.toml").read_text("utf-8")
    yield from (f"RECIPE-{row['kind'].upper()}" for row in tomllib.loads(dangers)["danger"])


def test_every_finding_of_labelkits_own_is_explained() -> None:
    made = set(ids_of_source())
    assert len(made) > 60
    assert made <= set(list_advice_ids())


def test_in_every_language_of_the_findings() -> None:
    assert list_languages("advice") == list_languages("findings")
    for language in list_languages("advice"):
        for rule in list_advice_ids():
            asks, why = explain_advice(rule, language)
            assert asks.endswith(".")
            assert why.endswith((".", "source)"))


@pytest.mark.parametrize(
    ("rule", "level", "word"),
    [
        ("CRAFT-TIGHTER", Level.NOTE, "advised"),
        ("RECIPE-ORDER", Level.WARN, "advised"),
        ("LABELKIT-LIGHTER-PIECES", Level.FAIL, "required"),
        ("US-IDENTITY-SIZE", Level.WARN, "required"),
    ],
)
def test_what_no_law_asks_is_advised_and_not_required(rule: str, level: Level, word: str) -> None:
    told = load_finding_words(("US",), "en").of(
        Finding(rule, "US", "front", "identity", level, "It is small", "1", "2", "mm")
    )
    assert told.measured == f"measured 1 mm; {word} 2 mm"
