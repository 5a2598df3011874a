"""Strokes of a drawing made areas of their width, so that they print as they look."""

from __future__ import annotations

import math
from itertools import pairwise

from labelkit.model.path_segments import Point, trace_contours

MAX_PIECES = 20_000
"""Straight pieces of one stroke."""
ROUND_SIDES = 16
CURVE_STEPS = 24
"""Straight pieces of a curve."""


def outline_stroke(path: str, width: float) -> str:
    """A stroke as an area: a bar along each straight piece, and a disc where two meet.

    All run the same way round, so that where they overlap nothing is cut out. ValueError for a
    stroke of very many pieces.
    """
    contours = trace_contours(path, CURVE_STEPS)
    if sum(map(len, contours)) > MAX_PIECES:
        raise ValueError(f"a stroke of over {MAX_PIECES:,} pieces")
    half = width / 2
    parts: list[str] = []
    for contour in contours:
        parts += [_make_bar(a, b, half) for a, b in pairwise(contour) if math.dist(a, b) > 1e-9]
        parts += [_make_disc(point, half) for point in dict.fromkeys(contour)]
    return "".join(parts)


def orient_like_strokes(path: str) -> str:
    """A filled path run round as strokes are, its holes the other way, as they were."""
    from fontTools.pens.reverseContourPen import ReverseContourPen
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.svgLib.path import parse_path

    if sum(map(_measure_area, trace_contours(path))) >= 0:
        return path
    pen = SVGPathPen(None, ntos=lambda v: f"{v:.5f}".rstrip("0").rstrip("."))
    parse_path(path, ReverseContourPen(pen))
    return str(pen.getCommands())


def _measure_area(contour: list[Point]) -> float:
    """The area inside a contour; below zero where it runs the other way round."""
    ring = [*contour, contour[0]]
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(ring)) / 2


def _make_bar(start: Point, end: Point, half: float) -> str:
    length = math.dist(start, end)
    ax, ay = (end[1] - start[1]) / length * half, (start[0] - end[0]) / length * half
    (x0, y0), (x1, y1) = start, end
    return _close([(x0 + ax, y0 + ay), (x1 + ax, y1 + ay), (x1 - ax, y1 - ay), (x0 - ax, y0 - ay)])


def _make_disc(at: Point, radius: float) -> str:
    turns = (math.tau * n / ROUND_SIDES for n in range(ROUND_SIDES))
    return _close([(at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in turns])


def _close(corners: list[Point]) -> str:
    return "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in corners) + "Z"
