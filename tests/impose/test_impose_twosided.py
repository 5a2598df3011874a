"""Front and back in register, folded tags, wrapped bands: checked by turning real coordinates."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.errors import FitError
from labelkit.impose import (
    Place,
    Sheet,
    fold_over_tag,
    impose,
    mirror_for_back,
    part_of_sheet,
    wrap_band,
)
from labelkit.spec.label import Trim
from labelkit.spec.stock import Stock

Point = tuple[float, float]


def through(sheet: Sheet, flip: str, point: Point) -> Point:
    """Where a pin through the front at ``point`` comes out on the back, seen from the back.

    Turned over about its upright edge a sheet's left is its right; about its level edge its head
    is its foot. The long edge of a portrait page is the upright one.
    """
    x, y = point
    portrait = sheet.page_height_mm >= sheet.page_width_mm
    if (flip == "long") == portrait:
        return sheet.page_width_mm - x, y
    return x, sheet.page_height_mm - y


def on_page(place: Place, point: Point) -> Point:
    a, b, c, d, e, f = place.matrix_mm
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


def close(a: Point, b: Point) -> bool:
    return math.dist(a, b) < 1e-9


pages = st.sampled_from([(215.9, 279.4), (279.4, 215.9), (210.0, 297.0)])
trims = st.sampled_from([(44.0, 28.0), (28.0, 44.0), (60.0, 90.0), (50.0, 50.0)])


@given(pages, trims, st.sampled_from(["long", "short"]), st.integers(1, 40))
def test_the_back_of_a_label_is_behind_its_front(
    page: tuple[float, float], size: tuple[float, float], flip: str, count: int
) -> None:
    stock = Stock("p", "P", "plain", *page, unprintable_mm=4.5)
    for sheet in impose(stock, Trim(*size), count, start=1):
        back = mirror_for_back(sheet, flip)
        assert len(back.places) == len(sheet.places)
        width, height = size
        for front, behind in zip(sheet.places, back.places, strict=True):
            assert front.index == behind.index
            # Turned about its own upright axis, a piece's lower left corner is behind its lower
            # right one, and up stays up.
            for corner, mirrored in (
                ((0.0, 0.0), (width, 0.0)),
                ((width, 0.0), (0.0, 0.0)),
                ((0.0, height), (width, height)),
            ):
                pin = through(sheet, flip, on_page(front, corner))
                assert close(pin, on_page(behind, mirrored))
        marks = {_line(mark.x0, mark.y0, mark.x1, mark.y1) for mark in back.marks}
        for mark in sheet.marks:
            start = through(sheet, flip, (mark.x0, mark.y0))
            end = through(sheet, flip, (mark.x1, mark.y1))
            assert _line(*start, *end) in marks
        targets = [(t.x_mm, t.y_mm) for t in back.registration]
        assert len(targets) == len(sheet.registration) > 0
        for target in sheet.registration:
            pin = through(sheet, flip, (target.x_mm, target.y_mm))
            assert any(close(pin, other) for other in targets)


def _line(*numbers: float) -> tuple[float, ...]:
    return tuple(round(number, 6) for number in numbers)


def test_turning_a_sheet_twice_gives_it_back() -> None:
    stock = Stock("p", "P", "plain", 210, 297, unprintable_mm=4.5)
    (sheet,) = impose(stock, Trim(60, 90), 3)
    for flip in ("long", "short"):
        twice = mirror_for_back(mirror_for_back(sheet, flip), flip)
        for once, again in zip(sheet.places, twice.places, strict=True):
            assert close((once.x_mm, once.y_mm), (again.x_mm, again.y_mm))
            assert once.turns == again.turns


def test_a_flip_that_is_none() -> None:
    stock = Stock("p", "P", "plain", 210, 297)
    (sheet,) = impose(stock, Trim(60, 90), 1)
    with pytest.raises(ValueError, match="long, short"):
        mirror_for_back(sheet, "left")


# -- pieces ----------------------------------------------------------------------------------------


def test_a_tag_folded_over_its_head_has_the_back_upside_down() -> None:
    tag = fold_over_tag(40, 60)
    assert (tag.width_mm, tag.height_mm) == (40, 120)
    assert tag.part("front").box.y0_mm == 0
    assert tag.part("back").turns == 2
    # Folded at 60 mm, a point of the upper half at height y comes to lie at 120 - y.
    back = tag.part("back").box
    assert (120 - back.y1_mm, 120 - back.y0_mm) == (0, 60)
    (crease,) = tag.folds
    assert (crease.y0, crease.y1) == (60, 60)


def test_a_tag_folded_at_its_side_opens_like_a_book() -> None:
    tag = fold_over_tag(40, 60, "side", spine_mm=1)
    assert (tag.width_mm, tag.height_mm) == (81, 60)
    assert tag.part("front").box.x0_mm == 41  # the front cover is on the right of the flat
    assert tag.part("back").box.x1_mm == 40
    assert {fold.x0 for fold in tag.folds} == {40, 41}
    with pytest.raises(ValueError, match="head or side"):
        fold_over_tag(40, 60, "foot")


def test_a_band_goes_once_round_and_its_overlap_is_bare() -> None:
    band = wrap_band(front_width_mm=60, depth_mm=22, height_mm=30, overlap_mm=12)
    girth = 2 * (60 + 22)
    assert (band.width_mm, band.height_mm) == (girth + 12, 30)
    (bare,) = band.unprinted
    assert (bare.x0_mm, bare.x1_mm) == (girth, girth + 12)
    front, back = band.part("front").box, band.part("back").box
    assert (front.width_mm, back.width_mm) == (60, 60)
    # Opposite faces: half a girth apart.
    assert back.x0_mm - front.x0_mm == girth / 2
    assert not any(bare.meets(part.box) for part in band.parts)
    with pytest.raises(FitError, match="an overlap of at most 22 mm"):
        wrap_band(60, 22, 30, 23)


@given(st.integers(0, 3), st.sampled_from(["front", "back"]), st.sampled_from(["head", "side"]))
def test_the_panels_of_a_piece_turn_with_it(turns: int, panel: str, fold: str) -> None:
    piece = fold_over_tag(40, 60, fold)
    upright = turns % 2 == 0
    sides = (piece.width_mm, piece.height_mm) if upright else (piece.height_mm, piece.width_mm)
    place = Place(0, 15, 25, *sides, turns=turns)
    sheet = Sheet(210, 297, (place,))
    (part_place,) = part_of_sheet(sheet, piece, panel).places
    # On an unturned piece at the origin the panel's matrix goes to the piece; the piece's own
    # matrix then goes to the page.
    (alone,) = part_of_sheet(
        Sheet(210, 297, (Place(0, 0, 0, piece.width_mm, piece.height_mm),)), piece, panel
    ).places
    for corner in ((0.0, 0.0), (40.0, 0.0), (0.0, 60.0)):
        assert close(on_page(part_place, corner), on_page(place, on_page(alone, corner)))
