"""Québec's French from a maker's files to the findings, which say the very words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.rules import Level
from labelkit.rules.kinds.french import find_english_words

Event = Callable[..., Path]
REGION = ("maker.toml", ('regions = ["CA"]', 'regions = ["CA-QC"]'))


def told(event: Event, rule: str, *lines: str, brand: str = "") -> list[str]:
    """What a rule says of the sample's label with some lines under [front]."""
    if brand:
        event(('country = "CA"', f'country = "CA"\nbrand = "{brand}"'), file="maker.toml")
    event(REGION[1], file=REGION[0])
    label = event(("[plan]\n", "[front]\n" + "\n".join(lines) + "\n[plan]\n"),
                  ('trim = "44 x 28 mm"', 'trim = "58 x 43 mm"'))  # fmt: skip
    report = preflight_job(prepare_job(label))
    return [str(f.message) for f in report.findings if f.rule == rule and f.level != Level.NOTE]


def test_words_alike_in_both_languages_are_named(event: Event) -> None:
    """The Charter's s. 51 wants French, not a second copy of the English."""
    found = told(event, "CA-QC-FRENCH", 'claim = { en = "Made by hand", fr = "Made by hand" }')
    assert found == [
        "“Made by hand” on the front stands for French too, with English words: “made” and “by”."
    ]


def test_plain_text_without_french_is_named(event: Event) -> None:
    found = told(event, "CA-QC-FRENCH", 'thanks = "Thank you"')
    assert found == ["“Thank you” on the front is in English, and nothing says it in French."]


def test_french_beside_english_is_right(event: Event) -> None:
    lines = (
        'thanks = { en = "Thank you", fr = "Merci" }',
        'claim = { en = "Patchouli", fr = "Patchouli" }',
    )
    assert told(event, "CA-QC-FRENCH", *lines) == []


def test_a_marks_english_is_named_with_the_french_it_lacks(event: Event) -> None:
    found = told(event, "CA-QC-MARKS", brand="Fern Hollow Handmade Oat Soap")
    assert (
        "“Fern Hollow Handmade Oat Soap” on the back describes the product in English"
        " (“handmade”), and the label has no “fait à la main” (unverified)." in found
    )


@pytest.mark.parametrize(
    ("text", "whole", "words"),
    [
        ("The Lighthouse Supper", True, ("the", "supper")),
        ("Rose & Olivier", True, ()),
        ("Lavender & Honey", True, ()),
        ("Lavender & Honey", False, ("lavender", "honey")),
        ("Rose, orange, menthe", False, ()),
        ("Merci d’être là pour nous", False, ()),
        ("Thé des bois", False, ()),
        ("THÉ DU LABRADOR", False, ()),
    ],
)
def test_english_is_told_by_words_that_french_has_not(
    text: str, whole: bool, words: tuple[str, ...]
) -> None:
    assert find_english_words(text, whole) == words


def test_no_listed_english_word_is_among_the_french_ones() -> None:
    """A word that French has as well would show nothing."""
    from labelkit.common.rule_tables import read_table

    table = read_table("english")
    english = {*table["plain"]["words"]["en"]}
    english |= {w for words in table["descriptive"]["words"] for w in words.split("|")}
    french = {*table["french"]["words"]["fr"]}
    french |= {w.strip("*") for own in table["descriptive"]["words"].values() for w in own}
    assert english & french == set()
