"""The sizes that floors ask for, measured on the face."""

from __future__ import annotations

from decimal import Decimal

import pytest

from labelkit.compose.letters import find_least_size_pt
from labelkit.rules.floors import HeightFloor, LetterMeasure
from labelkit.typeset.faces import Face, FaceRequest, load_face

FACE = load_face(FaceRequest("fira-sans"))
TEXTS = ("Net 40 g", "SAVON 40", "Savon")


def printed_mm(face: Face, size_pt: float, text: str, measure: LetterMeasure) -> float | None:
    """How tall the letter that a floor measures prints."""
    letters = face.letters(size_pt, text)
    if measure is LetterMeasure.FIGURE:
        return letters.figure_mm
    capitals = measure is LetterMeasure.CAPITAL or (
        measure is LetterMeasure.CAPITAL_OR_SMALL_O and text.isupper()
    )
    return letters.capital_mm if capitals else letters.small_o_mm


@pytest.mark.parametrize("measure", list(LetterMeasure))
@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("least", ["0.9", "1.6", "3.2"])
def test_the_letter_is_just_as_tall_as_asked(measure: LetterMeasure, text: str, least: str) -> None:
    size = find_least_size_pt(FACE, text, HeightFloor(Decimal(least), measure, "T"))
    printed = printed_mm(FACE, size, text, measure)
    if printed is None:
        assert size == 0.0  # no figure in it, so nothing binds it
    else:
        assert float(least) <= printed <= float(least) + 0.01


def test_capitals_that_hold_a_floor_are_smaller_type_than_mixed_letters() -> None:
    floor = HeightFloor(Decimal("1.6"), LetterMeasure.CAPITAL_OR_SMALL_O, "T")
    # An "o" is lower than a capital in any face; an em that shows it as tall is larger.
    assert find_least_size_pt(FACE, "SAVON", floor) < find_least_size_pt(FACE, "Savon", floor)


def test_a_face_without_the_letter_cannot_hold_its_floor(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FACE.__dict__, "small_o_em", None)
    floor = HeightFloor(Decimal("1.6"), LetterMeasure.SMALL_O, "T")
    assert find_least_size_pt(FACE, "Soap", floor) == float("inf")
