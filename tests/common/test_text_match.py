"""What a maker types and what a compositor sets are the same words to a reader."""

from __future__ import annotations

import pytest

from labelkit.common.text_match import (
    ONE_SLIP,
    find_closest,
    fold_as_read,
    fold_without_spaces,
    list_closest,
)


# The Unicode Standard, chapter 6.2: U+2019 is the apostrophe a keyboard's U+0027 stands for,
# U+201C and U+201D its quotation marks, U+2010 and U+2011 its hyphen-minus; chapter 2.12: canonical
# equivalents are the same characters.
@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("Savonnerie L'Épinette & Fils", "Savonnerie L’Épinette & Fils"),
        ("Savonnerie L'Épinette & Fils", "SAVONNERIE L’ÉPINETTE &\u00a0FILS"),
        ("L'E\u0301pinette", "L’Épinette"),
        ('The "Old" Soapery', "The “Old” Soapery"),
        ('Maison "Fils"', "Maison «Fils»"),
        ("'Rose' soap", "‘Rose’ soap"),
        ("O'Hara", "OʼHara"),
        ("Anse-aux-Brumes", "Anse\u2011aux\u2010Brumes"),
        ("Lighthouse", "Light\u00adhouse"),
        ("8  Quay Lane", "8\u202fQuay\u00a0Lane "),
    ],
)
def test_words_set_by_a_compositor_read_as_they_were_typed(typed: str, printed: str) -> None:
    assert fold_as_read(typed) == fold_as_read(printed)
    assert fold_without_spaces(typed) == fold_without_spaces(printed)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("L'Épinette", "L'Epinette"),
        ("L'Épinette", "LÉpinette"),
        ("Fern & Hollow", "Fern and Hollow"),
        ("Anse-aux-Brumes", "Anse–aux–Brumes"),
    ],
)
def test_other_letters_and_marks_are_other_words(one: str, other: str) -> None:
    assert fold_as_read(one) != fold_as_read(other)


def test_spaces_part_words_unless_asked_otherwise() -> None:
    assert fold_as_read("Fern Hollow") != fold_as_read("Fernhollow")
    assert fold_without_spaces("Fern Hollow") == fold_without_spaces("Fernhollow")


def test_the_likest_word_is_found_where_it_is_as_like_as_asked() -> None:
    """Counted by hand: twice the letters in common over all letters (Python's difflib)."""
    known = ["lavender", "lemon", "olive oil"]
    assert find_closest("lavander", known, ONE_SLIP) == "lavender"  # 2 * 7 / 16 = 0.875
    assert find_closest("olive", known) == "olive oil"  # 2 * 5 / 14 = 0.714
    assert find_closest("olive", known, ONE_SLIP) == ""
    assert list_closest("lemno", ["lemons", "lemon", "melon"], 2) == ["lemon", "lemons"]
