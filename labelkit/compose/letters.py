"""How large type must be for its letters to be as tall as a law or an advice asks."""

from __future__ import annotations

import math

from labelkit.common.quantity import PT_PER_MM
from labelkit.rules.floors import HeightFloor, LetterMeasure
from labelkit.typeset.faces import Face

LETTER_SPARE_MM = 0.002
"""A letter is set this much taller than its floor, so that rounding never brings it below."""


def find_least_size_pt(face: Face, text: str, floor: HeightFloor) -> float:
    """The smallest size at which a floor holds; zero where the text has no such letter.

    A face without the letter asked for cannot be measured: then no size is enough.
    """
    height_em = _measure_letter_em(face, text, floor.measure)
    if height_em is None:
        return 0.0 if floor.measure is LetterMeasure.FIGURE else math.inf
    return (float(floor.least_mm) + LETTER_SPARE_MM) * PT_PER_MM / height_em


def _measure_letter_em(face: Face, text: str, measure: LetterMeasure) -> float | None:
    if measure is LetterMeasure.FIGURE:
        return face.figure_em(text)
    capitals = measure is LetterMeasure.CAPITAL_OR_SMALL_O and text.isupper()
    return face.capital_em if capitals or measure is LetterMeasure.CAPITAL else face.small_o_em
