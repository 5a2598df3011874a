"""Transformation matrices of PDF, and where a label stands on its page."""

from __future__ import annotations

import math
from typing import NamedTuple


class Matrix(NamedTuple):
    """A PDF transformation matrix [a b c d e f] (ISO 32000-1, 8.3.4)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, outer: Matrix) -> Matrix:
        """This matrix followed by ``outer`` (row vectors: self x outer)."""
        a, b, c, d, e, f = self
        a1, b1, c1, d1, e1, f1 = outer
        return Matrix(
            a * a1 + b * c1,
            a * b1 + b * d1,
            c * a1 + d * c1,
            c * b1 + d * d1,
            e * a1 + f * c1 + e1,
            e * b1 + f * d1 + f1,
        )

    @property
    def scale(self) -> float:
        return math.sqrt(abs(self.a * self.d - self.b * self.c))

    @property
    def inverse(self) -> Matrix:
        """The matrix that undoes this one. ZeroDivisionError where everything falls on a line."""
        a, b, c, d, e, f = self
        area = a * d - b * c
        return Matrix(
            d / area,
            -b / area,
            -c / area,
            a / area,
            (c * f - d * e) / area,
            (b * e - a * f) / area,
        )

    @property
    def turns(self) -> int:
        """Quarter turns anticlockwise, the nearest."""
        return round(math.atan2(self.b, self.a) / (math.pi / 2)) % 4


def see_from_place(place: Matrix, point: Matrix) -> Matrix:
    """``point`` seen from the place's lower left corner, turned upright, printed size kept."""
    scale = place.scale or 1.0
    # Rotation and translation are taken out; the scale stays, because it is what prints.
    cos, sin = place.a / scale, place.b / scale
    a, b, c, d, e, f = point
    e, f = e - place.e, f - place.f
    return Matrix(
        a * cos + b * sin,
        -a * sin + b * cos,
        c * cos + d * sin,
        -c * sin + d * cos,
        e * cos + f * sin,
        -e * sin + f * cos,
    )
