"""How thick a glyph's strokes are, measured by crossing its outline with a line."""

from __future__ import annotations

from typing import Any

Point = tuple[float, float]

CURVE_STEPS = 24
"""Straight pieces per curve; the error is far under a font unit."""


def measure_thinnest_crossing(glyph_set: Any, glyph: Any, upright: bool) -> float | None:
    """The shortest stretch of ink on a line through the middle of the glyph's box, in font units.

    ``upright``: a level line, which crosses upright strokes; otherwise a plumb line. None where
    the line meets no ink. Where strokes slant it is the length along the line.
    """
    pieces = _split_into_segments(glyph_set, glyph)
    if not upright:
        pieces = [((y0, x0), (y1, x1)) for (x0, y0), (x1, y1) in pieces]
    if not pieces:
        return None
    heights = [point[1] for piece in pieces for point in piece]
    return _find_shortest_inside(_find_crossings(pieces, (min(heights) + max(heights)) / 2))


def _find_crossings(pieces: list[tuple[Point, Point]], level: float) -> list[tuple[float, int]]:
    """Where the outline crosses a level, and whether it goes up or down there, from left to right.

    A piece owns its lower end and not its upper one, so a node on the level counts once.
    """
    met: list[tuple[float, int]] = []
    for (x0, y0), (x1, y1) in pieces:
        if min(y0, y1) <= level < max(y0, y1):
            met.append((x0 + (level - y0) / (y1 - y0) * (x1 - x0), 1 if y1 > y0 else -1))
    return sorted(met)


def _find_shortest_inside(met: list[tuple[float, int]]) -> float | None:
    """The shortest stretch between crossings whose directions do not cancel (non-zero winding)."""
    stretches: list[float] = []
    winding, start = 0, 0.0
    for place, direction in met:
        if winding == 0:
            start = place
        winding += direction
        if winding == 0 and place > start:
            stretches.append(place - start)
    return min(stretches, default=None)


def _split_into_segments(glyph_set: Any, glyph: Any) -> list[tuple[Point, Point]]:
    """The outline as straight pieces, in font units."""
    from fontTools.misc.bezierTools import cubicPointAtT, quadraticPointAtT
    from fontTools.pens.basePen import BasePen

    class Pen(BasePen):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(glyph_set)
            self.start: Point = (0.0, 0.0)
            self.found: list[tuple[Point, Point]] = []

        def _moveTo(self, pt: Point) -> None:
            self.start = pt

        def _lineTo(self, pt: Point) -> None:
            self.found.append((self._getCurrentPoint(), pt))

        def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:
            first = self._getCurrentPoint()
            last = first
            for step in range(1, CURVE_STEPS + 1):
                point = quadraticPointAtT(first, pt1, pt2, step / CURVE_STEPS)
                self.found.append((last, point))
                last = point

        def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:
            first = self._getCurrentPoint()
            last = first
            for step in range(1, CURVE_STEPS + 1):
                point = cubicPointAtT(first, pt1, pt2, pt3, step / CURVE_STEPS)
                self.found.append((last, point))
                last = point

        def _closePath(self) -> None:
            if self._getCurrentPoint() != self.start:
                self.found.append((self._getCurrentPoint(), self.start))

    pen = Pen()
    glyph_set[glyph].draw(pen)
    return pen.found
