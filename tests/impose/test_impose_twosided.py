"""Front and back in register: checked by turning real coordinates."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.impose import LabelPlace, Sheet, impose_labels, mirror_for_back
from labelkit.order.label import Trim
from labelkit.order.stock import Stock

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


def on_page(place: LabelPlace, point: Point) -> Point:
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
    for sheet in impose_labels(stock, Trim(*size), count, start=1):
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
    (sheet,) = impose_labels(stock, Trim(60, 90), 3)
    for flip in ("long", "short"):
        twice = mirror_for_back(mirror_for_back(sheet, flip), flip)
        for once, again in zip(sheet.places, twice.places, strict=True):
            assert close((once.x_mm, once.y_mm), (again.x_mm, again.y_mm))
            assert once.turns == again.turns


def test_a_flip_that_is_none() -> None:
    stock = Stock("p", "P", "plain", 210, 297)
    (sheet,) = impose_labels(stock, Trim(60, 90), 1)
    with pytest.raises(ValueError, match="long, short"):
        mirror_for_back(sheet, "left")
