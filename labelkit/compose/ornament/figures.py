"""Figures that are no plants: stars, snow, suns, moons, and what patterns are made of."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from labelkit.compose.ornament.pencil import CIRCLE, Pencil, Point, Shape
from labelkit.order.ornament import Growth

RADIUS = 50.0


def draw_figure(growth: Growth) -> str:
    """The path of a figure, y up, about a hundred units wide."""
    pencil = Pencil()
    FIGURES[growth.kind](pencil, growth)
    return pencil.path


def _polar(radius: float, angle: float) -> Point:
    return radius * math.cos(angle), radius * math.sin(angle)


def _polygon(points: list[Point]) -> Shape:
    return (("M", points[:1]), *(("L", [point]) for point in points[1:]), ("Z", []))


def _draw_star(pencil: Pencil, growth: Growth) -> None:
    points = growth.petals
    turn = math.pi / points
    inner = RADIUS * (0.42 if growth.petals == 5 else 0.34)
    corners = [
        _polar(RADIUS if n % 2 == 0 else inner, math.pi / 2 - n * turn) for n in range(2 * points)
    ]
    pencil.draw(_polygon(corners), (0, 0))


def _draw_snowflake(pencil: Pencil, growth: Growth) -> None:
    del growth
    for arm in range(6):
        angle = math.pi / 2 + arm * math.pi / 3
        pencil.trail([(0, 0), _polar(RADIUS, angle)])
        for at, size in ((0.45, 0.26), (0.7, 0.2)):
            start = _polar(RADIUS * at, angle)
            for lean in (1, -1):
                x, y = _polar(RADIUS * size, angle + lean * math.pi / 3.4)
                pencil.trail([start, (start[0] + x, start[1] + y)])


def _draw_sun(pencil: Pencil, growth: Growth) -> None:
    """Half a sun on the horizon."""
    rays = growth.petals
    half = [_polar(RADIUS * 0.36, math.pi * (1 - n / 24)) for n in range(25)]
    if growth.line:
        pencil.trail([(-RADIUS, 0), *half, (RADIUS, 0)])
    else:
        pencil.draw(_polygon(half), (0, 0))
        pencil.trail([(-RADIUS, 0), (RADIUS, 0)])
    for number in range(rays):
        angle = math.pi * (number + 0.5) / rays
        long = 1.0 if number % 2 == (rays // 2) % 2 else 0.8
        pencil.trail([_polar(RADIUS * 0.52, angle), _polar(RADIUS * 0.96 * long, angle)])


def _draw_moon(pencil: Pencil, growth: Growth) -> None:
    del growth
    outer = [_polar(RADIUS, math.radians(50 + n * 260 / 48)) for n in range(49)]
    inner = [
        (RADIUS * 0.42 + x, y)
        for x, y in (_polar(RADIUS * 0.79, math.radians(284 - n * 208 / 40)) for n in range(41))
    ]
    pencil.draw(_polygon(outer[::-1] + inner[::-1]), (0, 0))


def _draw_lozenge(pencil: Pencil, growth: Growth) -> None:
    del growth
    corners = [(0, RADIUS), (RADIUS * 0.62, 0), (0, -RADIUS), (-RADIUS * 0.62, 0)]
    pencil.draw(_polygon(corners), (0, 0))


def _draw_ring(pencil: Pencil, growth: Growth) -> None:
    del growth
    pencil.draw(CIRCLE, (0, 0), 0.0, RADIUS)


def _draw_flame(pencil: Pencil, growth: Growth) -> None:
    """A small flame: for candles and long tables."""
    del growth
    pencil.draw(
        (
            ("M", [(0, RADIUS)]),
            ("C", [(6, 22), (30, 8), (26, -22)]),
            ("C", [(23, -42), (10, -RADIUS), (0, -RADIUS)]),
            ("C", [(-10, -RADIUS), (-23, -42), (-26, -22)]),
            ("C", [(-30, 8), (-6, 22), (0, RADIUS)]),
            ("Z", []),
        ),
        (0, 0),
    )


def _draw_ripple(pencil: Pencil, growth: Growth) -> None:
    """Waves one under the other, each narrower than the one above."""
    del growth
    for row in range(3):
        waves = 3 - row
        wide = RADIUS * 2 / 3
        points = [
            (-waves * wide / 2 + waves * wide * n / (24 * waves),
             -row * 13 + 4.4 * math.sin(math.tau * n / 24 + (row % 2) * math.pi))
            for n in range(24 * waves + 1)
        ]  # fmt: skip
        pencil.trail(points)


def _draw_dot(pencil: Pencil, growth: Growth) -> None:
    del growth
    pencil.disc((0, 0), RADIUS)


FIGURES: Mapping[str, Callable[[Pencil, Growth], None]] = {
    "star": _draw_star,
    "snowflake": _draw_snowflake,
    "sun": _draw_sun,
    "moon": _draw_moon,
    "lozenge": _draw_lozenge,
    "ring": _draw_ring,
    "flame": _draw_flame,
    "ripple": _draw_ripple,
    "dot": _draw_dot,
}
