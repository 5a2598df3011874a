"""Convex regions that labels and marks must keep inside: a die, or the printable part of a page."""

from __future__ import annotations

import math
from functools import cached_property
from typing import Protocol

from labelkit.common.frozen import dataclass
from labelkit.model.runs import Box
from labelkit.order.stock import Stock

FIT_TOLERANCE_MM = 0.05
"""A trim this much larger than a die still counts as its size: dies are named by rounded sizes."""

_DIRECTIONS = tuple(
    (math.cos(math.radians(step / 2)), math.sin(math.radians(step / 2))) for step in range(720)
)
"""Half a degree apart: on a 100 mm circle the polygon they make strays by 0.0005 mm."""
_AXES = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


class Size(Protocol):
    """What has a width and a height."""

    @property
    def width_mm(self) -> float: ...
    @property
    def height_mm(self) -> float: ...


def fills_die(stock: Stock, trim: Size) -> bool:
    """Whether a trim is as large as the stock's ready-cut labels, upright or turned."""
    sides = sorted((trim.width_mm, trim.height_mm))
    die = sorted((stock.die_width_mm, stock.die_height_mm))
    return all(abs(a - b) <= FIT_TOLERANCE_MM for a, b in zip(sides, die, strict=True))


@dataclass(frozen=True)
class ConvexRegion:
    """An upright convex shape at a place of the page."""

    box: Box
    shape: str = "rectangle"
    """One of the shapes of labels; "arch" is round at the top."""
    corner_mm: float = 0.0

    def reach_mm(self, nx: float, ny: float) -> float:
        """How far the region goes in the direction of a unit vector: the most of x nx + y ny."""
        box, corner = self.box, self.corner_mm
        x, y = (box.x0_mm + box.x1_mm) / 2, (box.y0_mm + box.y1_mm) / 2
        half_width, half_height = box.width_mm / 2, box.height_mm / 2
        centre = x * nx + y * ny
        if self.shape in ("round", "oval"):
            return centre + math.hypot(half_width * nx, half_height * ny)
        if self.shape == "arch" and ny > 0:
            rise = min(half_width, half_height)
            spring = y + half_height - rise
            return x * nx + spring * ny + math.hypot(half_width * nx, rise * ny)
        across = abs(nx) * (half_width - corner) + abs(ny) * (half_height - corner)
        return centre + across + corner * math.hypot(nx, ny)

    @cached_property
    def _edges(self) -> tuple[tuple[float, float, float], ...]:
        square = self.shape in ("rectangle", "square") and not self.corner_mm
        directions = _AXES if square else _DIRECTIONS
        return tuple((nx, ny, self.reach_mm(nx, ny)) for nx, ny in directions)

    def outline(self) -> list[tuple[float, float]]:
        """Points around the region, anticlockwise, close enough together to draw it."""
        points: list[tuple[float, float]] = []
        for nx, ny in _DIRECTIONS[1::4]:
            point = self._foremost(nx, ny)
            if not points or math.dist(points[-1], point) > 1e-6:
                points.append(point)
        return points

    def _foremost(self, nx: float, ny: float) -> tuple[float, float]:
        """The point that lies furthest in a direction that is no axis."""
        box, corner = self.box, self.corner_mm
        x, y = (box.x0_mm + box.x1_mm) / 2, (box.y0_mm + box.y1_mm) / 2
        half_width, half_height = box.width_mm / 2, box.height_mm / 2
        if self.shape in ("round", "oval"):
            reach = math.hypot(half_width * nx, half_height * ny)
            return x + half_width**2 * nx / reach, y + half_height**2 * ny / reach
        return (
            x + math.copysign(half_width - corner, nx) + corner * nx,
            y + math.copysign(half_height - corner, ny) + corner * ny,
        )

    def holds(self, other: ConvexRegion, tolerance_mm: float = FIT_TOLERANCE_MM) -> bool:
        """Whether the other region lies inside this one."""
        return all(other.reach_mm(nx, ny) <= reach + tolerance_mm for nx, ny, reach in self._edges)

    def room_mm(self, x_mm: float, y_mm: float, dx: float, dy: float) -> float:
        """How far one can go from a point along a unit vector; negative from a point outside."""
        room = math.inf
        for nx, ny, reach in self._edges:
            left, pace = reach - x_mm * nx - y_mm * ny, dx * nx + dy * ny
            if left < -1e-9:
                return -1.0
            if pace > 1e-12:
                room = min(room, left / pace)
        return room
