"""Words as outlines: on an arc, upright, along the trim, interlaced, or cut out of a band."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from labelkit.compose.ornament.pencil import Point, find_bounds, format_number
from labelkit.compose.ornament.walk import Way
from labelkit.order.ornament import Lettering
from labelkit.typeset.casing import convert_to_capitals
from labelkit.typeset.faces import Face
from labelkit.typeset.shape import shape_text

LEADING = 1.12
"""Of several lines, in ems."""
BAND_PAD = 0.3
"""Ink of a band above and below its letters, in ems."""
OVERLAP = 0.26
"""Of interlaced letters, as a share of the narrower of two."""
DROP = 0.2
"""How much lower the second of two interlaced letters stands, in ems."""
AROUND = 0.025
"""Air round a letter that lies on another, in ems."""
FINE = 50.0
SPECK = 0.004
"""What is cut off and smaller than this share of an em's square would look like dirt."""
MOST_OF_WAY = 0.42
"""Share of the trim's way that words along it may take."""

Placing = tuple[float, float, float, float, float, float]
"""A letter's place as the matrix that takes ems to it."""


def draw_letters(lettering: Lettering, texts: Sequence[tuple[str, str]], face: Face) -> str:
    """The path of some words, y up, a hundred units to an em; each text is of a language.

    The face must be able to write them.
    """
    lines = [_prepare(lettering, text, language) for text, language in texts]
    return FORMS[lettering.form](lettering, lines, face)


def draw_along_way(
    lettering: Lettering,
    words: str,
    language: str,
    face: Face,
    way: Way,
    height_mm: float,
    at_foot: bool,
) -> str:
    """The path of words along the trim, in millimetres: over its head, or under its foot."""
    text = _prepare(lettering, words, language)
    capital = face.capital_em or 0.7
    em = height_mm / capital
    steps = list(_list_letters(face, text, lettering.tracking_em))
    length = sum(advance for _, advance in steps) - lettering.tracking_em
    em = min(em, MOST_OF_WAY * way.length / length)
    # The way runs anticlockwise: over the head letters are set against it, at the foot along it.
    sense = 1 if at_foot else -1
    start = (0.0 if at_foot else way.length / 2) - sense * length * em / 2
    pen = _LetterPen(face)
    x = 0.0
    for letter, advance in steps:
        width = face.advance_em(letter)
        (px, py), along = way.at(start + sense * (x + width / 2) * em)
        angle = along if at_foot else along + math.pi
        down = capital * em / 2
        base = (px + math.sin(angle) * down, py - math.cos(angle) * down)
        pen.draw(letter, _turned(base, angle, em, width / 2))
        x += advance
    return pen.path


def _prepare(lettering: Lettering, text: str, language: str) -> str:
    return convert_to_capitals(text, language) if lettering.capitals else text


def _list_letters(face: Face, text: str, tracking_em: float) -> Iterator[tuple[str, float]]:
    """Each letter and how far the next one stands from it, in ems, kerned."""
    for letter, advance in zip(text, shape_text(face, text).advances_em, strict=True):
        yield letter, advance + tracking_em


class _LetterPen:
    """Gathers outlines of letters as path data."""

    def __init__(self, face: Face) -> None:
        from fontTools.pens.svgPathPen import SVGPathPen

        self._face = face
        self._pen = SVGPathPen(None, ntos=format_number)

    def draw(self, letter: str, place: Placing) -> None:
        from fontTools.pens.transformPen import TransformPen

        unit = 1 / self._face.units_per_em
        a, b, c, d, e, f = place
        matrix = (a * unit, b * unit, c * unit, d * unit, e, f)
        self._face.draw_outline(letter, TransformPen(self._pen, matrix))

    @property
    def path(self) -> str:
        return str(self._pen.getCommands())


def _upright(x: float, y: float) -> Placing:
    return (SCALE, 0.0, 0.0, SCALE, x * SCALE, y * SCALE)


SCALE = 100.0
"""Units of a drawing to an em: path data keeps three decimals."""


def _turned(base: Point, angle: float, size: float, middle: float) -> Placing:
    """A letter whose middle, at a distance from its left, stands at a point and is turned there."""
    cosine, sine = math.cos(angle) * size, math.sin(angle) * size
    return (cosine, sine, -sine, cosine, base[0] - middle * cosine, base[1] - middle * sine)


# -- forms -----------------------------------------------------------------------------------------


def _draw_line(lettering: Lettering, lines: Sequence[str], face: Face) -> str:
    """Lines one under the other, each centred by its ink."""
    pen = _LetterPen(face)
    for number, text in enumerate(lines):
        ink = shape_text(face, text).tracked_ink_em(lettering.tracking_em)
        middle = (ink.x0_em + ink.x1_em) / 2 if ink else 0.0
        x = -middle
        for letter, advance in _list_letters(face, text, lettering.tracking_em):
            pen.draw(letter, _upright(x, -number * LEADING))
            x += advance
    return pen.path


def _draw_upright(lettering: Lettering, lines: Sequence[str], face: Face) -> str:
    """Turned a quarter to the left: read from the foot to the head."""
    pen = _LetterPen(face)
    for number, text in enumerate(lines):
        y = 0.0
        for letter, advance in _list_letters(face, text, lettering.tracking_em):
            pen.draw(letter, (0.0, SCALE, -SCALE, 0.0, number * LEADING * SCALE, y * SCALE))
            y += advance
    return pen.path


def _draw_arc(lettering: Lettering, lines: Sequence[str], face: Face) -> str:
    """On an arc of a circle; further lines on the same arc below."""
    pen = _LetterPen(face)
    half = 2 * math.atan(2 * lettering.rise)
    widest = max(
        sum(a for _, a in _list_letters(face, text, lettering.tracking_em)) for text in lines
    )
    radius = (widest - lettering.tracking_em) / (2 * half)
    for number, text in enumerate(lines):
        steps = list(_list_letters(face, text, lettering.tracking_em))
        length = sum(advance for _, advance in steps) - lettering.tracking_em
        x = -length / 2
        for letter, advance in steps:
            width = face.advance_em(letter)
            turn = (x + width / 2) / radius
            base = (
                math.sin(turn) * radius * SCALE,
                (math.cos(turn) * radius - radius - number * LEADING) * SCALE,
            )
            pen.draw(letter, _turned(base, -turn, SCALE, width / 2))
            x += advance
    return pen.path


def _draw_interlaced(lettering: Lettering, lines: Sequence[str], face: Face) -> str:
    """Letters that overlap, each with a little air round it where it lies on the one before."""
    del lettering
    letters = [letter for letter in lines[0] if letter.isalnum()]
    paths: list[str] = []
    right = 0.0
    for number, letter in enumerate(letters):
        bounds = face.bounds_em(letter) or (0.0, 0.0, 0.5, 0.7)
        width = bounds[2] - bounds[0]
        x = 0.0
        if number:
            before = face.bounds_em(letters[number - 1]) or bounds
            x = right - OVERLAP * min(width, before[2] - before[0])
        pen = _LetterPen(face)
        pen.draw(letter, _upright(x - bounds[0], -DROP * (number % 2)))
        paths.append(pen.path)
        right = x + width
    return _lay_over_each_other(paths)


def _lay_over_each_other(paths: Sequence[str]) -> str:
    """Areas of which each is cut free of the one that lies on it."""
    import pathops
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    whole = pathops.Path()
    for path in paths:
        letter = pathops.Path()
        # Skia rounds to about a quarter of a unit.
        parse_path(path, TransformPen(letter.getPen(), (FINE, 0, 0, FINE, 0, 0)))
        around = pathops.Path(letter)
        around.stroke(2 * AROUND * SCALE * FINE, pathops.LineCap.ROUND_CAP,
                      pathops.LineJoin.ROUND_JOIN, 4.0)  # fmt: skip
        around.convertConicsToQuads()
        free = pathops.op(letter, around, pathops.PathOp.UNION)
        whole = pathops.op(whole, free, pathops.PathOp.DIFFERENCE)
        whole = pathops.op(whole, letter, pathops.PathOp.UNION)
    pen = SVGPathPen(None, ntos=format_number)
    back = TransformPen(pen, (1 / FINE, 0, 0, 1 / FINE, 0, 0))
    for contour in whole.contours:
        if abs(contour.area) >= SPECK * (SCALE * FINE) ** 2:
            contour.draw(back)
    return str(pen.getCommands())


FORMS: dict[str, Callable[[Lettering, Sequence[str], Face], str]] = {
    "line": _draw_line,
    "arc": _draw_arc,
    "upright": _draw_upright,
    "interlaced": _draw_interlaced,
}


def find_band_box(path: str) -> tuple[float, float, float, float]:
    """The box of letters with the ink of a band above and below them."""
    x0, y0, x1, y1 = find_bounds([path])
    pad = BAND_PAD * SCALE
    return x0, y0 - pad, x1, y1 + pad
