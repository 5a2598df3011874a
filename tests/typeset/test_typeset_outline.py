"""Label shapes against plane geometry and fontTools' measure of their paths."""

from __future__ import annotations

import math
from functools import cache

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import BasePen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from hypothesis import given
from hypothesis import strategies as st

from labelkit.model.outline import SHAPES, Outline
from labelkit.model.runs import Box

OUTLINES = {
    "rectangle": Outline("rectangle", 44, 28),
    "rounded": Outline("rounded", 44, 28, 3),
    "square": Outline("square", 30, 30),
    "round": Outline("round", 40, 40),
    "oval": Outline("oval", 44, 28),
    "arch": Outline("arch", 30, 44, 2),
    "low arch": Outline("arch", 44, 28),
}
EVERY = pytest.mark.parametrize("outline", OUTLINES.values(), ids=OUTLINES.keys())


class Points(BasePen):
    """Collects points along a path, close together."""

    def __init__(self) -> None:
        super().__init__(None)
        self.found: list[tuple[float, float]] = []
        self.start = (0.0, 0.0)

    def _moveTo(self, pt: tuple[float, float]) -> None:
        self.start = pt

    def _lineTo(self, pt: tuple[float, float]) -> None:
        x, y = self._getCurrentPoint()
        self.found += [(x + (pt[0] - x) * i / 200, y + (pt[1] - y) * i / 200) for i in range(201)]

    def _curveToOne(self, a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]):
        p = self._getCurrentPoint()
        for i in range(41):
            t = i / 40
            u = 1 - t
            w = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            self.found.append(
                tuple(sum(k * q[n] for k, q in zip(w, (p, a, b, c), strict=True)) for n in (0, 1))
            )

    def _closePath(self) -> None:
        self._lineTo(self.start)


@cache
def along(path: str) -> list[tuple[float, float]]:
    pen = Points()
    parse_path(path, pen)
    return pen.found


def test_every_shape_is_tried() -> None:
    assert {outline.shape for outline in OUTLINES.values()} == set(SHAPES)


@EVERY
def test_the_die_line_encloses_the_stated_area(outline: Outline) -> None:
    pen = AreaPen()
    parse_path(outline.path(), pen)
    assert abs(pen.value) == pytest.approx(outline.area_mm2, rel=1e-4)


@EVERY
def test_the_die_line_touches_the_trim_on_all_sides(outline: Outline) -> None:
    pen = BoundsPen(None)
    parse_path(outline.path(), pen)
    expected = (0, 0, outline.width_mm, outline.height_mm)
    assert pen.bounds == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("outline", "area"),
    [
        (OUTLINES["round"], math.pi * 20**2),
        (OUTLINES["oval"], math.pi * 22 * 14),
        (OUTLINES["rounded"], 44 * 28 - (4 - math.pi) * 9),
        (Outline("arch", 30, 44), 30 * 29 + math.pi * 15**2 / 2),
    ],
)
def test_areas_follow_the_formulas(outline: Outline, area: float) -> None:
    # Plane geometry: circle, ellipse, rectangle with quarter circles off, rectangle and half disc.
    assert outline.area_mm2 == pytest.approx(area)


@EVERY
@pytest.mark.parametrize("grow", [3.0, 1.0, -1.0, -2.0])
def test_a_parallel_keeps_its_distance(outline: Outline, grow: float) -> None:
    trim = along(outline.path())
    for x, y in along(outline.path(grow))[::7]:
        distance = min(math.hypot(x - a, y - b) for a, b in trim)
        # A sharp corner that stays sharp is further from the trim's corner than its sides are.
        most = abs(grow) * (math.sqrt(2) if grow > 0 and outline.corner_mm == 0 else 1)
        assert abs(grow) - 0.01 <= distance <= most + 0.01


def test_a_round_label_s_bleed_is_a_larger_circle() -> None:
    pen = AreaPen()
    parse_path(OUTLINES["round"].path(3), pen)
    assert abs(pen.value) == pytest.approx(math.pi * 23**2, rel=1e-4)


@given(st.floats(-18, 18))
def test_the_chord_of_a_circle(height: float) -> None:
    # Half the chord at height h of a circle of radius r is sqrt(r^2 - h^2); 2 mm inside, r is 18.
    room = OUTLINES["round"].width_at(20 + height, 20 + height, 2)
    half = math.sqrt(18**2 - height**2)
    if half > 4:  # near the poles the tangents graze, and less than a micrometre shows
        assert room == pytest.approx((20 - half, 20 + half), abs=0.005)


@given(st.floats(0, 27), st.floats(0, 1))
def test_a_strip_takes_the_narrower_of_its_ends(low: float, rise: float) -> None:
    outline = OUTLINES["oval"]
    room = outline.width_at(low, low + rise)
    halves = [22 * math.sqrt(max(0, 1 - ((y - 14) / 14) ** 2)) for y in (low, low + rise)]
    if min(halves) > 4:
        assert room == pytest.approx((22 - min(halves), 22 + min(halves)), abs=0.01)


@EVERY
@given(data=st.data())
def test_what_the_chord_allows_lies_inside_the_margin(
    outline: Outline, data: st.DataObject
) -> None:
    margin = data.draw(st.floats(0, 4))
    low = data.draw(st.floats(0, outline.height_mm))
    high = low + data.draw(st.floats(0, 8))
    room = outline.width_at(low, high, margin)
    if room is None:
        return
    assert outline.contains(Box(room[0], low, room[1], high), margin)
    trim = along(outline.path())
    for x in room:
        for y in (low, high):
            nearest = min(math.hypot(x - a, y - b) for a, b in trim)
            assert nearest >= margin - 0.01


@EVERY
def test_a_box_that_sticks_out_is_not_contained(outline: Outline) -> None:
    width, height = outline.width_mm, outline.height_mm
    assert outline.contains(Box(width * 0.4, height * 0.4, width * 0.6, height * 0.6), 2)
    assert not outline.contains(Box(-0.1, height * 0.4, width * 0.6, height * 0.6))
    assert not outline.contains(Box(width * 0.4, height * 0.4, width * 0.6, height + 0.1))
    assert outline.width_at(-1, 3) is None
    assert outline.width_at(height - 1, height - 0.5, 2) is None


def test_corners_of_round_shapes_are_outside() -> None:
    corner = Box(1, 1, 3, 3)
    assert OUTLINES["rectangle"].contains(corner)
    for name in ("round", "oval"):
        assert not OUTLINES[name].contains(corner)
    assert OUTLINES["arch"].contains(corner)
    assert not OUTLINES["arch"].contains(corner.shifted(0, 40))


def test_a_margin_as_wide_as_the_corner_leaves_the_whole_side() -> None:
    assert OUTLINES["rounded"].width_at(3, 25, 3) == pytest.approx((3, 41))
