"""Areas of a page: what a clip leaves visible, what a fill covers. Boxes of points, bounds only.

An area stands for the box around it. A clip is thereby never taken for smaller than it is; only a
fill that is a rectangle counts as covering what lies under it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from labelkit.pdf.read.geometry import Matrix

_SAME_PT = 0.01


class Area(NamedTuple):
    """Left, bottom, right and top; empty where the right is left of the left."""

    x0: float
    y0: float
    x1: float
    y1: float

    def common(self, other: Area) -> Area:
        """What two areas have in common."""
        return Area(
            max(self.x0, other.x0),
            max(self.y0, other.y0),
            min(self.x1, other.x1),
            min(self.y1, other.y1),
        )

    def through(self, matrix: Matrix) -> Area:
        """The box around this one transformed."""
        x0, y0, x1, y1 = self
        if self == EVERYWHERE or x1 < x0 or y1 < y0:
            return self
        a, b, c, d, e, f = matrix
        # Each corner's place is a sum of one part from x and one from y; so are the extremes.
        left, right = (a * x0, a * x1) if a >= 0 else (a * x1, a * x0)
        low, high = (b * x0, b * x1) if b >= 0 else (b * x1, b * x0)
        leftward, rightward = (c * y0, c * y1) if c >= 0 else (c * y1, c * y0)
        down, up = (d * y0, d * y1) if d >= 0 else (d * y1, d * y0)
        return Area(left + leftward + e, low + down + f, right + rightward + e, high + up + f)

    def holds(self, other: Area) -> bool:
        return (
            self.x0 <= other.x0 + _SAME_PT
            and self.y0 <= other.y0 + _SAME_PT
            and self.x1 >= other.x1 - _SAME_PT
            and self.y1 >= other.y1 - _SAME_PT
        )

    def has(self, x: float, y: float) -> bool:
        """Whether a point lies inside."""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1

    @property
    def size(self) -> float:
        """Square points; 0 for an empty one."""
        return max(0.0, self.x1 - self.x0) * max(0.0, self.y1 - self.y0)


EVERYWHERE = Area(-math.inf, -math.inf, math.inf, math.inf)
NOWHERE = Area(math.inf, math.inf, -math.inf, -math.inf)


def enclose_points(points: Iterable[tuple[float, float]]) -> Area:
    """The box around points; NOWHERE where there is none."""
    x0, y0, x1, y1 = NOWHERE
    for x, y in points:
        x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
    return Area(x0, y0, x1, y1)


class Path:
    """The current path (ISO 32000-1, 8.5.2), its points as they lie on the page."""

    def __init__(self) -> None:
        self._points: list[tuple[float, float]] = []
        self._curved = False

    def add(self, numbers: list[float], matrix: Matrix, curved: bool = False) -> None:
        """More points, given as operands of a path operator."""
        a, b, c, d, e, f = matrix
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            self._points.append((a * x + c * y + e, b * x + d * y + f))
        self._curved = self._curved or curved

    def add_rectangle(self, numbers: list[float], matrix: Matrix) -> None:
        x, y, width, height = numbers
        corners = [x, y, x + width, y, x + width, y + height, x, y + height]
        self.add(corners, matrix)

    @property
    def area(self) -> Area:
        return enclose_points(self._points)

    @property
    def rectangle(self) -> bool:
        """Whether it is one upright rectangle and nothing else."""
        if self._curved or not 4 <= len(self._points) <= 5:
            return False
        x0, y0, x1, y1 = self.area
        corners = {
            (abs(x - x1) < _SAME_PT, abs(y - y1) < _SAME_PT)
            for x, y in self._points
            if min(abs(x - x0), abs(x - x1)) < _SAME_PT and min(abs(y - y0), abs(y - y1)) < _SAME_PT
        }
        return len(corners) == 4
