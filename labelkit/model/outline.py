"""Label shapes: the width usable at a height, the die line, the bleed, what lies inside.

Every shape is convex, so keeping a margin means staying on the inner side of every edge moved in
by it, and a line of text fits where it fits at its top and at its foot.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

from labelkit.common.frozen import dataclass
from labelkit.model.runs import Box

SHAPES = ("rectangle", "rounded", "square", "round", "oval", "arch")

ROUNDING_MM = 1e-6
"""Lengths closer than this are equal."""

_PATH_STEP = math.radians(15)
"""One cubic curve spans this much of an arc; it strays from it by less than a micrometre."""
_CHORD_STEP = math.radians(1)
"""An arc is bounded by tangents this far apart; they leave it by less than a micrometre."""


@dataclass(frozen=True, slots=True)
class _Arc:
    """Part of an ellipse, anticlockwise from ``start`` to ``end`` (parameters in radians)."""

    x_mm: float
    y_mm: float
    across_mm: float
    up_mm: float
    start: float
    end: float

    def point(self, t: float, grow_mm: float = 0.0) -> tuple[float, float]:
        """The point at parameter t of the curve parallel to the arc, ``grow_mm`` outside it."""
        nx, ny = self.up_mm * math.cos(t), self.across_mm * math.sin(t)
        length = math.hypot(nx, ny)
        return (
            self.x_mm + self.across_mm * math.cos(t) + grow_mm * nx / length,
            self.y_mm + self.up_mm * math.sin(t) + grow_mm * ny / length,
        )

    def velocity(self, t: float, grow_mm: float) -> tuple[float, float]:
        """Derivative of ``point``; zero where a curve grown inwards would turn back on itself."""
        dx, dy = -self.across_mm * math.sin(t), self.up_mm * math.cos(t)
        speed = math.hypot(dx, dy)
        stretch = max(0.0, 1 + grow_mm * self.across_mm * self.up_mm / speed**3)
        return dx * stretch, dy * stretch

    def tangent(self, t: float) -> tuple[float, float, float]:
        """Unit normal at parameter t, and the tangent's distance from the origin along it."""
        x, y = self.point(t)
        beyond_x, beyond_y = self.point(t, 1.0)
        nx, ny = beyond_x - x, beyond_y - y
        return nx, ny, nx * x + ny * y

    def parameters(self, step: float) -> list[float]:
        count = max(1, math.ceil((self.end - self.start) / step - 1e-9))
        return [self.start + (self.end - self.start) * i / count for i in range(count + 1)]


@dataclass(frozen=True)
class Outline:
    """A label's trim, from its lower left corner, in millimetres.

    ``shape`` is one of SHAPES. An "arch" is straight below and closes above in half a circle, or
    in half an ellipse of half its height where it is wider than high; ``corner_mm`` rounds the
    corners of a rectangle, and the lower ones of an arch.
    """

    shape: str
    width_mm: float
    height_mm: float
    corner_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        """Area inside the trim, in square millimetres."""
        whole = self.width_mm * self.height_mm
        if self.shape in ("round", "oval"):
            return whole * math.pi / 4
        corner = (1 - math.pi / 4) * self.corner_mm**2
        if self.shape == "arch":
            spandrels = (1 - math.pi / 4) * self.width_mm * self._rise_mm
            return whole - spandrels - 2 * corner
        return whole - 4 * corner

    def width_at(
        self, y0_mm: float, y1_mm: float, margin_mm: float = 0.0
    ) -> tuple[float, float] | None:
        """Left and right ends of the room between two heights, ``margin_mm`` inside the trim.

        None where the strip does not fit inside at all.
        """
        left, right = -math.inf, math.inf
        for nx, ny, reach in self._edges:
            for y in (y0_mm, y1_mm):
                room = reach - margin_mm - y * ny
                if nx > 1e-12:
                    right = min(right, room / nx)
                elif nx < -1e-12:
                    left = max(left, room / nx)
                elif room < -ROUNDING_MM:
                    return None
        return (left, right) if right > left else None

    def contains(self, box: Box, margin_mm: float = 0.0) -> bool:
        """Whether the whole box lies inside the trim, at least ``margin_mm`` away from it."""
        # The corner that reaches furthest towards an edge is over it first.
        x0, y0, x1, y1 = box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm
        return all(
            (x1 if nx > 0 else x0) * nx + (y1 if ny > 0 else y0) * ny
            <= reach - margin_mm + ROUNDING_MM
            for nx, ny, reach in self._edges
        )

    def path(self, grow_mm: float = 0.0) -> str:
        """SVG path data of the trim (y up), or of its parallel ``grow_mm`` outside (or inside).

        ``path(3)`` is the bleed of a label that bleeds by 3 mm; sharp corners stay sharp.
        """
        parts: list[str] = []
        for piece in self._outline(grow_mm):
            points = [piece] if isinstance(piece, tuple) else [piece.point(piece.start, grow_mm)]
            parts += [f"{'L' if parts else 'M'}{_format_point(point)}" for point in points]
            if isinstance(piece, _Arc):
                parts += _arc_to_curves(piece, grow_mm)
        return "".join(parts) + "Z"

    @property
    def _rise_mm(self) -> float:
        return min(self.width_mm, self.height_mm) / 2

    def _outline(self, grow_mm: float) -> list[_Arc | tuple[float, float]]:
        """Corners and arcs anticlockwise. Arcs are those of the trim itself, to be grown."""
        width, height = self.width_mm, self.height_mm
        if self.shape in ("round", "oval"):
            return [_Arc(width / 2, height / 2, width / 2, height / 2, 0.0, 2 * math.pi)]
        quarter = math.pi / 2
        pieces = [
            self._corner(0.0, 0.0, 2 * quarter, grow_mm),
            self._corner(width, 0.0, 3 * quarter, grow_mm),
        ]
        if self.shape == "arch":
            rise = self._rise_mm
            return [*pieces, _Arc(width / 2, height - rise, width / 2, rise, 0.0, 2 * quarter)]
        return [
            *pieces,
            self._corner(width, height, 0.0, grow_mm),
            self._corner(0.0, height, quarter, grow_mm),
        ]

    def _corner(
        self, x_mm: float, y_mm: float, start: float, grow_mm: float
    ) -> _Arc | tuple[float, float]:
        """One corner of the trim: an arc, or a point (moved out or in) where none is left."""
        inward_x, inward_y = (1 if x_mm == 0 else -1), (1 if y_mm == 0 else -1)
        radius = self.corner_mm
        if radius <= 0 or radius + grow_mm <= 0:
            return x_mm - inward_x * grow_mm, y_mm - inward_y * grow_mm
        centre_x, centre_y = x_mm + inward_x * radius, y_mm + inward_y * radius
        return _Arc(centre_x, centre_y, radius, radius, start, start + math.pi / 2)

    @property
    def _edges(self) -> list[tuple[float, float, float]]:
        return _list_edges(self)

    def _find_edges(self) -> list[tuple[float, float, float]]:
        """Every edge as its outward unit normal and its distance from the origin along that."""
        pieces = self._outline(0.0)
        edges: list[tuple[float, float, float]] = []
        for piece, following in zip(pieces, [*pieces[1:], pieces[0]], strict=True):
            if isinstance(piece, _Arc):
                edges += [piece.tangent(t) for t in piece.parameters(_CHORD_STEP)]
            (x0, y0), (x1, y1) = _end_point(piece), _start_point(following)
            length = math.hypot(x1 - x0, y1 - y0)
            if length > ROUNDING_MM:
                nx, ny = (y1 - y0) / length, (x0 - x1) / length
                edges.append((nx, ny, nx * x0 + ny * y0))
        return edges


def _start_point(piece: _Arc | tuple[float, float]) -> tuple[float, float]:
    return piece.point(piece.start) if isinstance(piece, _Arc) else piece


def _end_point(piece: _Arc | tuple[float, float]) -> tuple[float, float]:
    return piece.point(piece.end) if isinstance(piece, _Arc) else piece


def _arc_to_curves(arc: _Arc, grow_mm: float) -> list[str]:
    """An arc's parallel as cubic curves, from its start."""
    parameters = arc.parameters(_PATH_STEP)
    reach = 4 / 3 * math.tan((parameters[1] - parameters[0]) / 4)
    parts: list[str] = []
    for t0, t1 in pairwise(parameters):
        (x0, y0), (x1, y1) = arc.point(t0, grow_mm), arc.point(t1, grow_mm)
        (u0, v0), (u1, v1) = arc.velocity(t0, grow_mm), arc.velocity(t1, grow_mm)
        first = (x0 + reach * u0, y0 + reach * v0)
        second = (x1 - reach * u1, y1 - reach * v1)
        parts.append(f"C{_format_point(first)} {_format_point(second)} {_format_point((x1, y1))}")
    return parts


def _format_point(point: tuple[float, float]) -> str:
    # Adding zero turns "-0" into "0".
    return " ".join(f"{round(v, 4) + 0.0:g}" for v in point)


@lru_cache(maxsize=64)
def _list_edges(outline: Outline) -> list[tuple[float, float, float]]:
    """A label's trim is asked about again by every check and every other way to set it."""
    return outline._find_edges()
