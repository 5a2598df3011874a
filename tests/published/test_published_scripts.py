"""Direction and casing of text against the Unicode Character Database."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from bidi import get_display

from labelkit.typeset.casing import capitalise_first, convert_to_capitals
from labelkit.typeset.items import find_seen_order, order_as_seen
from labelkit.typeset.line_breaks import list_breaks_without_space

CASES = [
    line.split(";")
    for line in Path(__file__).with_name("bidi_character_test.txt").read_text("utf-8").splitlines()
    if not line.startswith("#")
]


def test_the_excerpt_has_both_directions_and_brackets() -> None:
    assert len(CASES) > 80
    assert {level for _, _, level, *_ in CASES} == {"0", "1"}


def test_characters_are_seen_in_the_order_that_unicode_publishes() -> None:
    """Source: BidiCharacterTest.txt (Unicode 15.0.0); the levels say which characters turn."""
    for codes, _direction, level, levels, order in CASES:
        text = "".join(chr(int(code, 16)) for code in codes.split())
        found = order_as_seen(text, "R" if level == "1" else "L")
        assert [index for index, _ in found] == [int(index) for index in order.split()], codes
        odd = [int(one) % 2 == 1 for one in levels.split()]
        assert all(backward == odd[index] for index, backward in found), codes


# code; upper case; condition: lines of SpecialCasing.txt (Unicode 15.0.0).
SPECIAL = [
    ("00DF", "0053 0053", ""),
    ("FB01", "0046 0049", ""),
    ("0149", "02BC 004E", ""),
    ("0069", "0130", "tr"),
    ("0069", "0130", "az"),
    ("0131", "0049", "tr"),
    ("0131", "0049", "az"),
    ("0069 0307", "0049", "lt"),
    ("012F 0307", "012E", "lt"),
]


def test_a_sentence_of_many_words_is_ordered_as_by_the_library() -> None:
    """With more spaces, commas and hyphens than there are kinds of them. Source: python-bidi."""
    text = "The tightest of all, of these eighty-one names - and more - is فاطمة الزهراء (12-3)."
    text = " ".join([text] * 4)
    seen = find_seen_order(text)
    assert "".join(text[index] for index, _ in seen) == get_display(text, base_dir="L")
    backward = {text[index] for index, runs_backward in seen if runs_backward}
    assert {letter for letter in backward if letter.isalpha()} == set("فاطمةالزهراء")


@pytest.mark.parametrize(("codes", "upper", "language"), SPECIAL)
def test_capitals_are_those_of_the_language(codes: str, upper: str, language: str) -> None:
    text, wanted = ("".join(chr(int(c, 16)) for c in field.split()) for field in (codes, upper))
    assert convert_to_capitals(text, language) == unicodedata.normalize("NFC", wanted)


@pytest.mark.parametrize(
    ("text", "language", "wanted"),
    [
        # CLDR, transform el-Upper, and the examples of Unicode's casing charts (from memory).
        ("Άννα", "el", "ΑΝΝΑ"),
        ("Μάιος", "el", "ΜΑΪΟΣ"),
        ("Μαΐου", "el", "ΜΑΪΟΥ"),
        ("Άννα ή Νίκος", "el", "ΑΝΝΑ Ή ΝΙΚΟΣ"),
        ("Ρωμέικα", "el", "ΡΩΜΕΪΚΑ"),
        # Greek names on a label of other languages.
        ("Άννα & Tom", "en", "ΑΝΝΑ & TOM"),
        # Accents stay on French capitals (Académie française, « Accentuation des majuscules »).
        ("Élodie Lefèvre", "fr", "ÉLODIE LEFÈVRE"),
        ("Ijsbrand", "nl", "IJSBRAND"),
        # Letters that only Turkish and its like have tell the language where none is said.
        ("Işıl Demir", "en", "IŞIL DEMİR"),
        # Georgian text is not set in the capitals of Unicode 11 by itself.
        ("ნინო", "ka", "ნინო"),
    ],
)
def test_capitals_of_whole_words(text: str, language: str, wanted: str) -> None:
    assert convert_to_capitals(text, language) == wanted


@pytest.mark.parametrize(
    ("text", "language", "wanted"),
    [("ijsje", "nl", "IJsje"), ("istanbul", "tr", "İstanbul"), ("élan", "fr", "Élan"),
     ("άνθος", "el", "Άνθος")],
)  # fmt: skip
def test_a_first_capital(text: str, language: str, wanted: str) -> None:
    assert capitalise_first(text, language) == wanted


LINE_BREAKS = [
    line.split()
    for line in Path(__file__).with_name("line_break_test.txt").read_text("utf-8").splitlines()
    if not line.startswith("#")
]


def _is_among_latin(character: str) -> bool:
    """Blocks.txt: Basic Latin to Combining Diacritical Marks, Latin Extended Additional, General
    Punctuation."""
    code = ord(character)
    return code < 0x370 or 0x1E00 <= code <= 0x1EFF or 0x2000 <= code <= 0x206F


def test_lines_break_without_a_space_where_unicode_publishes_it() -> None:
    """Source: LineBreakTest.txt (Unicode 15.0.0): ÷ is a place to break at, × is none."""
    for case in LINE_BREAKS:
        text = "".join(chr(int(code, 16)) for code in case[1::2])
        published = {place for place, mark in enumerate(case[0::2]) if mark == "÷"} - {0, len(text)}
        own = {
            place
            for place in published
            if not text[place - 1].isspace()
            and not (_is_among_latin(text[place - 1]) and _is_among_latin(text[place]))
        }
        assert set(list_breaks_without_space(text)) == own, case


def test_the_excerpt_of_line_breaks_has_both_kinds() -> None:
    marks = [mark for case in LINE_BREAKS for mark in case[2:-1:2]]
    assert len(LINE_BREAKS) > 100
    assert {"÷", "×"} == set(marks)
