"""The leaf forms: each an outline from its base at (0, 0) to its tip at (1, 0)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from labelkit.compose.ornament.pencil import Point, Shape, find_bounds


def _mirror_side(side: list[list[Point]]) -> Shape:
    """A closed leaf of one side's cubics, which run from base to tip, and their mirror image."""
    back: list[tuple[str, list[Point]]] = []
    start: Point = (0.0, 0.0)
    starts = [start, *(cubic[-1] for cubic in side[:-1])]
    for cubic, before in zip(reversed(side), reversed(starts), strict=True):
        first, second, _ = cubic
        mirrored = [(second[0], -second[1]), (first[0], -first[1]), (before[0], -before[1])]
        back.append(("C", mirrored))
    there: list[tuple[str, list[Point]]] = [("C", cubic) for cubic in side]
    return (("M", [start]), *there, *back, ("Z", []))


OUTLINES: Mapping[str, Shape] = {
    "willow": _mirror_side([[(0.22, 0.15), (0.62, 0.17), (1, 0)]]),
    "bay": _mirror_side([[(0.2, 0.3), (0.66, 0.3), (1, 0)]]),
    "coin": _mirror_side([[(0.02, 0.5), (0.86, 0.62), (1, 0)]]),
    "heart": _mirror_side([[(-0.12, 0.4), (0.42, 0.62), (1, 0)]]),
    "rosemary": _mirror_side([[(0.3, 0.085), (0.8, 0.1), (1, 0)]]),
    "grain": _mirror_side([[(0.1, 0.26), (0.6, 0.34), (1, 0)]]),
    "bud": _mirror_side([[(0.0, 0.36), (0.8, 0.4), (1, 0)]]),
}
"""Solid outlines by name."""


def _measure_width(shape: Shape) -> float:
    _, low, _, high = find_bounds(["".join(_list_commands(shape))])
    return high - low


def _list_commands(shape: Shape) -> Iterator[str]:
    for command, points in shape:
        yield command + " ".join(f"{x} {y}" for x, y in points)


@cache
def measure_leaf_width(leaf: str) -> float:
    """How wide a leaf is, as a share of its length."""
    return _measure_width(OUTLINES[leaf])


PETAL: Shape = (
    ("M", [(0.24, 0)]),
    ("C", [(0.34, 0.3), (0.74, 0.5), (0.98, 0.24)]),
    ("C", [(1.04, 0.14), (0.96, 0.06), (0.93, 0)]),
    ("C", [(0.96, -0.06), (1.04, -0.14), (0.98, -0.24)]),
    ("C", [(0.74, -0.5), (0.34, -0.3), (0.24, 0)]),
    ("Z", []),
)
"""From near the middle of a blossom outwards, notched at its rim."""
