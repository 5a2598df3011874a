"""Path data put together from small shapes that are turned, scaled and moved to their places."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from labelkit.model.path_segments import read_path_steps

Point = tuple[float, float]
Shape = Sequence[tuple[str, Sequence[Point]]]
"""Commands of path data, each with its points: M, L, C and Z."""

ROUND = 0.5522847
"""How far a cubic's handles reach for a quarter of a circle of radius 1 (common knowledge)."""


class Pencil:
    """Gathers shapes as one path; the coordinates are those of whoever draws."""

    def __init__(self) -> None:
        self._parts: list[str] = []

    @property
    def path(self) -> str:
        return "".join(self._parts)

    def draw(
        self, shape: Shape, at: Point, angle: float = 0.0, size: float = 1.0, flip: bool = False
    ) -> None:
        """A shape with its origin at a point, its x axis turned by an angle in radians.

        ``flip`` mirrors it about that axis.
        """
        cosine, sine = math.cos(angle) * size, math.sin(angle) * size
        side = -1.0 if flip else 1.0

        def place(point: Point) -> str:
            x, y = point[0], point[1] * side
            return format_point((at[0] + x * cosine - y * sine, at[1] + x * sine + y * cosine))

        for command, points in shape:
            self._parts.append(command + " ".join(map(place, points)))

    def curve(self, points: Sequence[Point]) -> None:
        """A cubic there and back on itself: an area of nothing, which a stroke makes a line."""
        first, second, third, last = map(format_point, points)
        self._parts.append(f"M{first}C{second} {third} {last}C{third} {second} {first}Z")

    def trail(self, points: Sequence[Point]) -> None:
        """Straight pieces there and back, likewise a line where it is stroked."""
        there = [format_point(p) for p in points]
        self._parts.append(f"M{'L'.join(there + there[-2::-1])}Z")

    def disc(self, at: Point, radius: float) -> None:
        self.draw(CIRCLE, at, 0.0, radius)

    def add(self, path: str) -> None:
        self._parts.append(path)


def format_point(point: Point) -> str:
    return f"{format_number(point[0])} {format_number(point[1])}"


def format_number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def find_bounds(paths: Iterable[str]) -> tuple[float, float, float, float]:
    """Left, least, right and most of some paths; all zero of nothing."""
    from fontTools.pens.boundsPen import BoundsPen

    pen = BoundsPen(None)
    draw = {"M": pen.moveTo, "L": pen.lineTo, "C": pen.curveTo, "Q": pen.qCurveTo}
    ends = {"Z": pen.closePath, "": pen.endPath}
    for path in paths:
        for letter, points in read_path_steps(path):
            (draw[letter] if points else ends[letter])(*points)
    return pen.bounds or (0.0, 0.0, 0.0, 0.0)


CIRCLE: Shape = (
    ("M", [(1, 0)]),
    ("C", [(1, -ROUND), (ROUND, -1), (0, -1)]),
    ("C", [(-ROUND, -1), (-1, -ROUND), (-1, 0)]),
    ("C", [(-1, ROUND), (-ROUND, 1), (0, 1)]),
    ("C", [(ROUND, 1), (1, ROUND), (1, 0)]),
    ("Z", []),
)
"""Clockwise where y is up, as the leaves are: areas that run the other way would cut holes."""
