"""SVG path data: moved to its place, and as the short straight chords that its ink really runs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
"""As SVG and PDF write it: (a, b, c, d, e, f) takes x, y to ax + cy + e, bx + dy + f."""

CURVE_STEPS = 8
"""Chords per curve; inside a convex shape a chord is on the safe side."""


PathSteps = tuple[tuple[str, tuple[Point, ...]], ...]
"""Commands of path data, each with its points: M, L, C, Q, Z, and "" where an open line ends."""
_LETTERS = {
    "moveTo": "M", "lineTo": "L", "curveTo": "C", "qCurveTo": "Q", "closePath": "Z", "endPath": "",
}  # fmt: skip


@lru_cache(maxsize=32)
def read_path_steps(path: str) -> PathSteps:
    """The steps of path data; one drawing is measured and goes to many places."""
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    pen = RecordingPen()
    parse_path(path, pen)
    return tuple((_LETTERS[name], points) for name, points in pen.value)


@lru_cache(maxsize=256)
def move_path(path: str, move: Matrix) -> str:
    """Path data moved by a matrix, in four decimals and no more letters than it takes."""
    xx, xy, yx, yy, dx, dy = move
    written, last = "", None
    parts: list[str] = []
    for command, points in read_path_steps(path):
        if not command:
            written, last = "", None
            continue
        moved = [(xx * x + yx * y + dx, xy * x + yy * y + dy) for x, y in points]
        if command == "L" and last is not None:
            x, y = moved[0]
            if (x, y) == last:
                continue
            if x == last[0] or y == last[1]:
                written = "V" if x == last[0] else "H"
                parts.append(written + _format_coordinate(y if written == "V" else x))
                last = (x, y)
                continue
        letter = "" if command == "L" and written == "M" else command
        written = letter or written
        figures = [_format_coordinate(one) for point in moved for one in point]
        parts.append((letter or " ") + " ".join(figures))
        last = moved[-1] if moved else None
    return "".join(parts)


def _format_coordinate(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def trace_contours(path: str, steps: int = CURVE_STEPS) -> list[list[Point]]:
    """Points along each contour of a path, in its own units; a closed one ends where it began."""
    from fontTools.misc.bezierTools import cubicPointAtT
    from fontTools.pens.basePen import BasePen
    from fontTools.svgLib.path import parse_path

    found: list[list[Point]] = []

    class Pen(BasePen):  # type: ignore[misc]
        def _moveTo(self, pt: Point) -> None:
            found.append([pt])

        def _lineTo(self, pt: Point) -> None:
            found[-1].append(pt)

        def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:
            start = self._getCurrentPoint()
            for step in range(1, steps + 1):
                found[-1].append(cubicPointAtT(start, pt1, pt2, pt3, step / steps))

        def _closePath(self) -> None:
            found[-1].append(found[-1][0])

    parse_path(path, Pen(None))
    return found


def cut_into_segments(path: str, longest: float) -> Iterator[tuple[Point, Point]]:
    """The straight pieces of a path, none longer than ``longest`` of its units."""
    for contour in trace_contours(path):
        for (x0, y0), (x1, y1) in pairwise(contour):
            count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / longest))
            dx, dy = (x1 - x0) / count, (y1 - y0) / count
            for n in range(count):
                yield (x0 + n * dx, y0 + n * dy), (x0 + (n + 1) * dx, y0 + (n + 1) * dy)
