"""The reports' French keeps to the trade's words: french_words.toml says which, and why."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from labelkit.report.phrasebook import load_phrases

WORDS = tomllib.loads(Path(__file__).with_name("french_words.toml").read_text("utf-8"))["word"]
FRENCH = {
    path.name: path.read_text("utf-8").casefold()
    for path in (
        *files("labelkit.report").joinpath("words").iterdir(),
        files("labelkit.desk").joinpath("words.fr.po"),
    )
    if ".fr." in path.name
}


@pytest.mark.parametrize("word", WORDS, ids=lambda word: word["english"])
def test_no_french_file_has_a_word_of_another_trade(word: dict[str, list[str]]) -> None:
    assert len(FRENCH) >= 5
    for name, text in FRENCH.items():
        for form in word["never"]:
            assert form.casefold() not in text.replace("raffin", ""), (name, form)


def test_a_quote_is_a_soumission_in_canada_and_a_devis_elsewhere() -> None:
    assert load_phrases("plan", "fr", "CA")("head.quote") == "Soumission"
    assert load_phrases("plan", "fr", "CA-QC")("head.quote") == "Soumission"
    assert load_phrases("plan", "fr", "FR")("head.quote") == "Devis"
    assert load_phrases("plan", "fr", "BE")("head.quote") == "Devis"


def test_words_of_a_country_stand_in_for_words_that_are_there() -> None:
    own = tomllib.loads(
        files("labelkit.report").joinpath("words/plan-CA.fr.toml").read_text("utf-8")
    )
    common = load_phrases("plan", "fr", "FR").words
    assert {f"{table}.{key}" for table, keys in own.items() for key in keys} <= set(common)
