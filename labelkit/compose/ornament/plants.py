"""Plants that grow from a few numbers and a seed: sprigs, garlands, stems, posies, blossoms."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from random import Random

from labelkit.compose.ornament.leaves import OUTLINES, PETAL, measure_leaf_width
from labelkit.compose.ornament.pencil import Pencil, Point
from labelkit.order.ornament import Growth

LENGTH = 100.0
"""Of a stem, in units of the drawing."""
VEIN = 0.82
"""Share of a leaf that its middle vein runs through, where it is drawn as a line."""

APART = 1.05
"""Width of a leaf against the way to the next of its side: its middle is wide, its ends are not."""

Curve = tuple[Point, Point, Point, Point]


def grow_plant(growth: Growth, seed: int) -> str:
    """The path of a plant, y up, in units of which its stem is a hundred long."""
    pencil = Pencil()
    PLANTS[growth.kind](pencil, growth, Random(seed * 1009 + growth.seed))
    return pencil.path


def find_curve_point(curve: Curve, t: float) -> tuple[Point, float]:
    """A point of a cubic and the angle it runs in there."""
    u = 1 - t
    weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    slopes = (-3 * u * u, 3 * u * u - 6 * u * t, 6 * u * t - 3 * t * t, 3 * t * t)
    x, y = (sum(w * p[axis] for w, p in zip(weights, curve, strict=True)) for axis in (0, 1))
    dx, dy = (sum(s * p[axis] for s, p in zip(slopes, curve, strict=True)) for axis in (0, 1))
    return (x, y), math.atan2(dy, dx)


def draw_leaf(pencil: Pencil, growth: Growth, at: Point, angle: float, size: float) -> None:
    """A leaf from its base, as an area or as a line with a vein."""
    pencil.draw(OUTLINES[growth.leaf], at, angle, size)
    if growth.line:
        tip = (at[0] + math.cos(angle) * size * VEIN, at[1] + math.sin(angle) * size * VEIN)
        pencil.trail([at, tip])


def draw_blossom(pencil: Pencil, at: Point, radius: float, petals: int, turn: float) -> None:
    for number in range(petals):
        # A little apart from each other, so that the ink does not run them together.
        narrow = min(1.0, 5 / petals) * 0.94
        shape = [(c, [(x, y * narrow) for x, y in points]) for c, points in PETAL]
        pencil.draw(shape, at, turn + math.tau * number / petals, radius)
    pencil.disc(at, radius * 0.13)


def _draw_berry(pencil: Pencil, at: Point, angle: float, reach: float, radius: float) -> None:
    end = (at[0] + math.cos(angle) * reach, at[1] + math.sin(angle) * reach)
    pencil.trail([at, end])
    pencil.disc(end, radius)


def draw_stem(
    pencil: Pencil, growth: Growth, curve: Curve, vary: Random, mirror: bool = False
) -> None:
    """One stem along a curve, with its leaves, berries and the leaf or blossom at its end.

    ``mirror``: the same about the upright axis.
    """

    def place(t: float) -> tuple[Point, float]:
        (x, y), angle = find_curve_point(curve, t)
        return ((-x, y), math.pi - angle) if mirror else ((x, y), angle)

    def side(sign: int) -> int:
        return -sign if mirror else sign

    pencil.curve([(-x, y) if mirror else (x, y) for x, y in curve])
    bare, last = growth.bare, 0.96
    step = (last - bare) / growth.pairs
    scale = LENGTH * min(growth.size, _find_largest_leaf(growth, step))
    for number in range(growth.pairs):
        for sign in (1, -1):
            late = 0.0 if growth.opposite or sign > 0 else 0.5
            t = bare + step * (number + late)
            point, angle = place(t)
            spread = growth.spread * (1.15 - 0.45 * t) * (1 + 0.16 * (vary.random() - 0.5))
            size = scale * (1.1 - 0.55 * t) * (1 + 0.14 * (vary.random() - 0.5))
            size *= 0.78 if number == 0 and growth.pairs > 3 else 1.0
            draw_leaf(pencil, growth, point, angle + side(sign) * spread, size)
    for number in range(growth.berries):
        t = bare + step * (round((growth.pairs - 1) * (number + 0.5) / growth.berries) + 0.5)
        point, angle = place(t)
        sign = side(1 if number % 2 else -1)
        lean = angle + sign * (0.75 + 0.3 * vary.random())
        reach = LENGTH * growth.size * (0.55 + 0.12 * vary.random())
        _draw_berry(pencil, point, lean, reach, LENGTH * growth.size * 0.13)
    point, angle = place(1.0)
    if growth.blossoms:
        draw_blossom(pencil, point, LENGTH * growth.size * 0.62, growth.petals, angle)
    else:
        draw_leaf(pencil, growth, point, angle, scale * 0.62)


def _find_largest_leaf(growth: Growth, step: float) -> float:
    """The longest leaf, as a share of the stem, beside which the next one still stands free."""
    apart = step * math.sin(growth.spread)
    return APART * apart / measure_leaf_width(growth.leaf)


def _curve_of(length: float, bend: float, start: Point = (0.0, 0.0)) -> Curve:
    """A stem to the right that rises by ``bend`` of its length, steeper towards its end."""
    x, y = start
    return (
        (x, y),
        (x + length * 0.36, y - length * bend * 0.12),
        (x + length * 0.74, y + length * bend * 0.3),
        (x + length, y + length * bend),
    )


def _grow_sprig(pencil: Pencil, growth: Growth, vary: Random) -> None:
    draw_stem(pencil, growth, _curve_of(LENGTH, growth.bend), vary)


def _grow_garland(pencil: Pencil, growth: Growth, vary: Random) -> None:
    """Two sprigs that part from the middle, with what joins them there."""
    gap = LENGTH * growth.size * (0.62 if growth.blossoms else 0.22)
    curve = _curve_of(LENGTH, growth.bend, (gap, 0.0))
    state = vary.getstate()
    arms = replace(growth, blossoms=0)
    draw_stem(pencil, arms, curve, vary)
    vary.setstate(state)
    draw_stem(pencil, arms, curve, vary, mirror=True)
    scale = LENGTH * growth.size
    if growth.blossoms:
        draw_blossom(pencil, (0.0, 0.0), scale * 0.6, growth.petals, math.pi / 2)
    elif growth.berries:
        for x, y in ((0.0, 0.2), (-0.17, -0.12), (0.17, -0.12)):
            pencil.disc((x * scale, y * scale), scale * 0.13)


def _grow_stem(pencil: Pencil, growth: Growth, vary: Random) -> None:
    lean = growth.bend * LENGTH
    curve = ((0.0, 0.0), (lean * 0.7, 34.0), (-lean * 0.5, 68.0), (lean * 0.25, LENGTH))
    draw_stem(pencil, growth, curve, vary)


def _grow_posy(pencil: Pencil, growth: Growth, vary: Random) -> None:
    """Stems that fan out from one point, the middle one tallest, alike on both sides."""
    arms = growth.arms // 2
    draw_stem(pencil, growth, ((0, 0), (0, 35), (0, 70), (0, LENGTH)), vary)
    for arm in range(1, arms + 1):
        lean = math.radians(62) * arm / arms
        reach = LENGTH * (1 - 0.16 * arm)
        end = (math.sin(lean) * reach, math.cos(lean) * reach)
        curve = ((0.0, 0.0), (end[0] * 0.1, end[1] * 0.42), (end[0] * 0.5, end[1] * 0.8), end)
        state = vary.getstate()
        draw_stem(pencil, growth, curve, vary)
        vary.setstate(state)
        draw_stem(pencil, growth, curve, vary, mirror=True)


def _grow_blossom(pencil: Pencil, growth: Growth, vary: Random) -> None:
    del vary
    draw_blossom(pencil, (0.0, 0.0), LENGTH / 2, growth.petals, math.pi / 2)


def _grow_leaf(pencil: Pencil, growth: Growth, vary: Random) -> None:
    del vary
    draw_leaf(pencil, growth, (0.0, 0.0), math.pi / 2, LENGTH)


PLANTS: Mapping[str, Callable[[Pencil, Growth, Random], None]] = {
    "sprig": _grow_sprig,
    "garland": _grow_garland,
    "stem": _grow_stem,
    "posy": _grow_posy,
    "blossom": _grow_blossom,
    "leaf": _grow_leaf,
}
