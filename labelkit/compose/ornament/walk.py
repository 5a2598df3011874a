"""A way along the trim, some way inside it: points and directions by the distance walked."""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import accumulate, pairwise

from labelkit.common.frozen import dataclass
from labelkit.compose.ornament.pencil import Point
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours

STRAIGHT = ("rectangle", "rounded", "square")
TURN_MM = 2.2
"""Radius in which a way turns a sharp corner."""


@dataclass(frozen=True)
class Way:
    """A closed way, anticlockwise from the middle of the foot; lengths in millimetres."""

    points: tuple[Point, ...]
    walked: tuple[float, ...]

    @property
    def length(self) -> float:
        return self.walked[-1]

    def at(self, distance: float) -> tuple[Point, float]:
        """The point at a distance and the direction there, in radians; any distance will do."""
        distance %= self.length
        index = min(max(bisect_right(self.walked, distance) - 1, 0), len(self.points) - 2)
        (x0, y0), (x1, y1) = self.points[index], self.points[index + 1]
        step = self.walked[index + 1] - self.walked[index]
        share = (distance - self.walked[index]) / step if step else 0.0
        point = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        return point, self._direction(distance)

    def _direction(self, distance: float) -> float:
        """The direction over a short stretch, so that it turns gently."""
        (x0, y0), (x1, y1) = self._point(distance - 0.3), self._point(distance + 0.3)
        return math.atan2(y1 - y0, x1 - x0)

    def _point(self, distance: float) -> Point:
        distance %= self.length
        index = min(max(bisect_right(self.walked, distance) - 1, 0), len(self.points) - 2)
        (x0, y0), (x1, y1) = self.points[index], self.points[index + 1]
        step = self.walked[index + 1] - self.walked[index]
        share = (distance - self.walked[index]) / step if step else 0.0
        return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share

    def nearest(self, target: Point) -> float:
        """How far along the way is nearest to a point."""
        count = 400
        steps = [self.length * n / count for n in range(count)]
        return min(steps, key=lambda d: math.dist(self._point(d), target))


def find_way(outline: Outline, inset_mm: float, turn_mm: float = TURN_MM) -> Way:
    """The way at a distance inside the trim; sharp corners are turned in ``turn_mm``."""
    if outline.shape in STRAIGHT:
        corner = max(outline.corner_mm, inset_mm + turn_mm)
        corner = min(corner, min(outline.width_mm, outline.height_mm) / 2 - 0.01)
        outline = Outline("rounded", outline.width_mm, outline.height_mm, corner)
    elif outline.shape == "arch":
        outline = Outline(
            "arch", outline.width_mm, outline.height_mm, max(outline.corner_mm, inset_mm + turn_mm)
        )
    (contour,) = trace_contours(outline.path(-inset_mm))
    return _begin_at_foot(contour, outline.width_mm / 2)


def _begin_at_foot(contour: list[Point], middle: float) -> Way:
    """The contour from where it crosses the middle at its foot."""
    points = contour if contour[0] != contour[-1] else contour[:-1]
    crossings = [
        (min(a[1], b[1]), index)
        for index, (a, b) in enumerate(pairwise([*points, points[0]]))
        if a[0] <= middle < b[0]
    ]
    _, index = min(crossings)
    (x0, y0), (x1, y1) = points[index], points[(index + 1) % len(points)]
    share = (middle - x0) / (x1 - x0)
    start = (middle, y0 + (y1 - y0) * share)
    ordered = [start, *points[index + 1 :], *points[: index + 1], start]
    steps = [math.dist(a, b) for a, b in pairwise(ordered)]
    return Way(tuple(ordered), tuple(accumulate(steps, initial=0.0)))
