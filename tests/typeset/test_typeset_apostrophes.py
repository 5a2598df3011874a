"""Typographic apostrophes: The Unicode Standard, chapter 6.2, prefers U+2019."""

from __future__ import annotations

import pytest

from labelkit.typeset.apostrophes import set_apostrophes


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("O'Hara", "O\u2019Hara"),
        ("Huile d'argousier de l'île", "Huile d\u2019argousier de l\u2019île"),
        ("Fleur-d'Été", "Fleur-d\u2019Été"),
        ("O\u2019Hara", "O\u2019Hara"),
        ("6' x 4'", "6' x 4'"),  # feet
        ("'Rose' soap", "'Rose' soap"),  # quotation marks
        ("5'3", "5'3"),
    ],
)
def test_an_apostrophe_between_letters_is_the_typographic_one(typed: str, wanted: str) -> None:
    assert set_apostrophes(typed) == wanted
