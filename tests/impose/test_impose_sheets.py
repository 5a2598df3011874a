"""Where labels and marks go: worked examples, and what must hold on every stock there can be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.common.errors import FitError, InputError
from labelkit.impose import (
    MarkStyle,
    Sheet,
    count_labels_per_sheet,
    count_sheets_needed,
    describe_ruler_cuts,
    find_left_over,
    impose_labels,
    list_sheet_warnings,
)
from labelkit.model.runs import Box
from labelkit.order.label import Trim
from labelkit.order.stock import Stock, find_stock, list_stocks

HAIR = 1e-6
"""Rounding of the arithmetic, in millimetres."""
SIZED_MM = 0.05
"""A trim this much over its die counts as its size (dies are named by rounded sizes)."""


def plain(width: float = 215.9, height: float = 279.4, edge: float = 4.5) -> Stock:
    return Stock("plain", "Plain", "plain", width, height, unprintable_mm=edge)


def dies(
    across: int, down: int, width: float, height: float, gap: float = 0.0, shape: str = "rectangle",
    corner: float = 0.0, left: float = 10.0, top: float = 10.0,
) -> Stock:  # fmt: skip
    return Stock(
        "dies", "Dies", "die",
        page_width_mm=2 * left + across * (width + gap) - gap,
        page_height_mm=2 * top + down * (height + gap) - gap,
        across=across, down=down, die_width_mm=width, die_height_mm=height,
        shape=shape, corner_mm=corner, left_mm=left, top_mm=top,
        pitch_x_mm=width + gap, pitch_y_mm=height + gap, unprintable_mm=4.5,
    )  # fmt: skip


# -- worked by hand --------------------------------------------------------------------------------


def test_a_trim_as_large_as_its_die_is_placed_exactly_on_it() -> None:
    """Common address sheet: 3/16 in from the left, 1/2 in from the top, 2 5/8 x 1 in labels."""
    stock = find_stock("letter-3x10-66x25", Path())
    (sheet,) = impose_labels(stock, Trim(66.675, 25.4, "rounded", 1.6), 30)
    first, second, last = sheet.places[0], sheet.places[1], sheet.places[29]
    assert (first.x_mm, first.y_mm) == pytest.approx((0.1875 * 25.4, (11 - 0.5 - 1) * 25.4))
    assert second.x_mm == pytest.approx((0.1875 + 2.625 + 0.125) * 25.4)
    assert (last.x_mm, last.y_mm) == pytest.approx(
        ((0.1875 + 2 * 2.75) * 25.4, (11 - 0.5 - 10) * 25.4)
    )
    assert not sheet.marks  # nothing to cut
    assert [place.cell for place in sheet.places] == list(range(1, 31))


def test_a_trim_named_by_the_rounded_size_of_the_die_is_that_die() -> None:
    stock = find_stock("letter-3x10-66x25", Path())
    (sheet,) = impose_labels(stock, Trim(66.7, 25.4), 30)
    assert len(sheet.places) == 30
    # Half of the 0.025 mm the rounding added stands out on either side.
    assert sheet.places[0].x_mm == pytest.approx(4.7625 - 0.0125)


def test_a_smaller_trim_is_centred_and_marked() -> None:
    stock = dies(2, 2, 54, 40)
    (sheet,) = impose_labels(stock, Trim(44, 28), 4, marks=MarkStyle(offset_mm=2, length_mm=3))
    place = sheet.places[0]
    # The die's lower left is at 10, 50: 5 mm are left beside the label and 6 mm above and below.
    assert (place.x_mm, place.y_mm) == (15, 56)
    ends = {(m.x0, m.y0, m.x1, m.y1) for m in sheet.marks}
    assert (15, 86, 15, 89) in ends  # up from the left edge: 2 mm off, 3 mm long
    assert (13, 56, 10, 56) in ends  # to the left from the lower edge
    assert len(sheet.marks) == 4 * 8


def test_marks_are_shortened_where_the_die_ends_and_left_out_where_it_ends_sooner() -> None:
    stock = dies(2, 2, 50, 30)  # 3 mm beside the label, 1 mm above and below
    (sheet,) = impose_labels(stock, Trim(44, 28), 4, marks=MarkStyle(2, 3, least_mm=1))
    assert {round(abs(m.x1 - m.x0), 6) for m in sheet.marks} == {1.0}
    assert len(sheet.marks) == 4 * 4  # the marks across; those up and down have no room


def test_several_small_trims_share_a_die() -> None:
    stock = find_stock("a4-2x7-99x38", Path())
    assert count_labels_per_sheet(stock, Trim(44, 28)) == 28  # two beside each other in each of 14
    assert count_labels_per_sheet(stock, Trim(28, 44)) == 28  # the same, lying on their side
    sheets = impose_labels(stock, Trim(44, 28), 28)
    assert [place.cell for place in sheets[0].places[:4]] == [1, 1, 2, 2]
    assert all(place.turns % 2 == 1 for place in impose_labels(stock, Trim(28, 44), 1)[0].places)


def test_a_turned_trim_keeps_its_lower_left_at_the_lower_right() -> None:
    (sheet,) = impose_labels(dies(1, 1, 28, 44), Trim(44, 28), 1)
    place = sheet.places[0]
    assert place.turns % 2 == 1
    a, b, c, d, e, f = place.matrix_mm
    corner = (e, f)
    far = (a * 44 + c * 28 + e, b * 44 + d * 28 + f)
    assert corner == (38, 10)  # the die spans 10 to 38 across and 10 to 54 up
    assert far == (10, 54)


def test_a_plain_letter_sheet_takes_four_by_nine_small_labels() -> None:
    """215.9 - 2 x (4.5 + 2 + 3) = 196.9 mm take four of 44 mm; 260.4 mm take nine of 28 mm."""
    stock = plain()
    assert count_labels_per_sheet(stock, Trim(44, 28)) == 36
    (sheet,) = impose_labels(stock, Trim(44, 28), 36)
    assert not any(place.turns % 2 == 1 for place in sheet.places)
    # Ten cuts across and five down, each marked at both ends.
    assert len(sheet.marks) == 2 * (10 + 5)
    assert sheet.cut_order[0].startswith("Cut across at 1 to 10")
    assert "at 11 to 15" in sheet.cut_order[1]
    assert {"1", "10", "15"} <= {note.text for note in sheet.notes}


def test_a_bleed_opens_the_gutters_to_twice_its_width() -> None:
    (sheet,) = impose_labels(plain(), Trim(44, 28), 4, bleed_mm=2)
    assert sheet.places[1].x_mm - sheet.places[0].x_mm == pytest.approx(44 + 2 * 2)


def test_more_labels_fit_when_they_lie_on_their_side() -> None:
    stock = plain(100, 150, edge=3)
    # 84 x 134 mm between the marks: 1 x 4 upright, 3 x 3 turned.
    assert count_labels_per_sheet(stock, Trim(44, 28)) == 9
    assert all(place.turns % 2 == 1 for place in impose_labels(stock, Trim(44, 28), 9)[0].places)


def test_a_label_as_large_as_the_page_is_placed_on_it() -> None:
    (sheet,) = impose_labels(plain(100, 150), Trim(100, 150), 1)
    assert (sheet.places[0].x_mm, sheet.places[0].y_mm) == (0, 0)
    assert not sheet.marks


def test_a_page_of_an_endless_roll_is_as_long_as_its_row_and_the_gap() -> None:
    roll = Stock("roll", "Roll", "roll", 44, 0, feed_gap_mm=3)
    sheets = impose_labels(roll, Trim(44, 28), 2)
    assert [(s.page_width_mm, s.page_height_mm) for s in sheets] == [(44, 31), (44, 31)]
    assert (sheets[0].places[0].x_mm, sheets[0].places[0].y_mm) == (0, 1.5)


def test_an_endless_roll_is_used_in_the_way_that_needs_least_of_it() -> None:
    roll = Stock("roll", "Roll", "roll", 62, 0, unprintable_mm=1.5)
    (sheet,) = impose_labels(roll, Trim(44, 28), 2)
    # Turned, two of 28 mm stand beside each other in 59 mm: 25 mm of roll a label, not 34 mm.
    assert [place.turns % 2 == 1 for place in sheet.places] == [True, True]


# -- part-used sheets ------------------------------------------------------------------------------


def test_a_part_used_sheet_is_filled_from_its_first_free_position() -> None:
    stock = dies(3, 4, 44, 28)
    first, second = impose_labels(stock, Trim(44, 28), 12, start=5, skip=(7, 8))
    assert [place.cell for place in first.places] == [5, 6, 9, 10, 11, 12]
    assert [place.cell for place in second.places] == [1, 2, 3, 4, 5, 6]
    assert [p.index for s in (first, second) for p in s.places] == list(range(12))


def test_what_is_left_of_the_last_sheet() -> None:
    stock = dies(3, 4, 44, 28)
    left = find_left_over(stock, Trim(44, 28), 12, start=5, skip=(7, 8))
    assert (left.free, left.start, left.skip) == ((7, 8, 9, 10, 11, 12), 7, ())
    left = find_left_over(stock, Trim(44, 28), 2, start=5, skip=(7, 8, 10))
    assert (left.free, left.start, left.skip) == ((9, 11, 12), 9, (10,))
    assert find_left_over(stock, Trim(44, 28), 12).start is None


def test_a_die_that_is_begun_counts_as_used() -> None:
    stock = find_stock("a4-2x7-99x38", Path())  # two labels to a die
    assert find_left_over(stock, Trim(44, 28), 3).free == tuple(range(3, 15))


@pytest.mark.parametrize(
    ("start", "skip", "says"),
    [
        (0, (), "--start: 0: a sheet has positions 1 to 12"),
        (13, (), "--start: 13: a sheet has positions 1 to 12"),
        (1, (99,), "--skip: 99: a sheet has positions 1 to 12"),
        (12, (12,), "--skip: leaves no position free"),
    ],
)
def test_positions_a_sheet_does_not_have(start: int, skip: tuple[int, ...], says: str) -> None:
    with pytest.raises(InputError, match=says):
        impose_labels(dies(3, 4, 44, 28), Trim(44, 28), 1, start, skip)


# -- what does not fit -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stock", "trim", "bleed", "says"),
    [
        (dies(3, 4, 40, 28), Trim(44, 28), 0, "a label of 44 x 28 mm does not fit"),
        (dies(3, 4, 44, 44, shape="round"), Trim(44, 28), 0, "does not fit this stock's round"),
        (dies(3, 4, 60, 40, shape="oval"), Trim(60, 40), 0, "does not fit this stock's oval"),
        (dies(3, 4, 44, 28, gap=2), Trim(44, 28), 1.5, "a bleed of 1.5 mm would reach over"),
        (plain(100, 150), Trim(101, 151), 0, "larger than the page of 100 x 150 mm"),
        (Stock("r", "R", "roll", 62, 0), Trim(70, 63), 0, "wider than the printable 62 mm"),
    ],
)
def test_what_does_not_fit_is_refused_with_the_ways_out(
    stock: Stock, trim: Trim, bleed: float, says: str
) -> None:
    with pytest.raises(FitError, match=says) as caught:
        impose_labels(stock, trim, 10, bleed_mm=bleed)
    assert "Ways out: " in str(caught.value)
    assert caught.value.exit_code == 1


@pytest.mark.parametrize(
    ("stock", "trim", "right"),
    [
        (dies(3, 8, 63.5, 33.9), Trim(50, 34), "50 x 33.9 mm"),
        (dies(3, 8, 63.5, 33.9, corner=2.5, shape="rounded"), Trim(50, 34), "50 x 33.9 mm"),
        (dies(3, 8, 63.5, 33.9), Trim(34, 50), "33.9 x 50 mm"),
        (dies(3, 8, 63.5, 33.9), Trim(70, 40), "63.5 x 33.9 mm"),
        (dies(4, 6, 40, 40, shape="round"), Trim(45, 45, "round"), "40 x 40 mm"),
    ],
)
def test_a_trim_a_hair_too_large_is_told_so_with_the_largest_that_fits(
    stock: Stock, trim: Trim, right: str
) -> None:
    # The cause is the size of the die, whatever the bleed: none was asked for.
    with pytest.raises(FitError, match="does not fit this stock's") as caught:
        impose_labels(stock, trim, 10)
    assert f'trim = "{right}"' in str(caught.value)
    assert "bleed" not in str(caught.value)
    width, height = (float(side) for side in right.removesuffix(" mm").split(" x "))
    assert count_labels_per_sheet(stock, Trim(width, height, trim.shape)) == stock.count


def test_where_no_side_is_to_blame_no_size_is_proposed() -> None:
    # 44 x 28 mm lies within 44 x 44 mm and not within its circle.
    with pytest.raises(FitError, match="Ways out: a smaller trim; "):
        impose_labels(dies(3, 4, 44, 44, shape="round"), Trim(44, 28), 10)


def test_a_label_fits_a_round_die_by_its_diagonal() -> None:
    # 30 x 40 mm has a diagonal of 50 mm (3, 4, 5).
    assert count_labels_per_sheet(dies(1, 1, 50, 50, shape="round"), Trim(30, 40)) == 1
    with pytest.raises(FitError):
        count_labels_per_sheet(dies(1, 1, 49.8, 49.8, shape="round"), Trim(30, 40))


def test_round_labels_fit_round_dies() -> None:
    assert count_labels_per_sheet(dies(2, 2, 50, 50, shape="round"), Trim(50, 50, "round")) == 4
    assert count_labels_per_sheet(dies(2, 2, 50, 50), Trim(50, 50, "round")) == 4


def test_the_bleed_of_a_label_may_fill_half_the_gap() -> None:
    assert count_labels_per_sheet(dies(3, 4, 44, 28, gap=4), Trim(44, 28), bleed_mm=2) == 12


# -- warnings --------------------------------------------------------------------------------------


def test_labels_in_the_edge_printers_leave_white_are_told() -> None:
    stock = find_stock("a4-3x8-70x37", Path())
    trim = Trim(70, 37)
    sheets = impose_labels(stock, trim, 3)
    (warning,) = list_sheet_warnings(stock, trim, sheets)
    assert "positions 1, 2, 3" in warning
    assert "4.5 mm edge" in warning
    assert not list_sheet_warnings(stock, trim, sheets, unprintable_mm=0)


def test_corners_the_die_takes_off_are_told() -> None:
    stock = dies(1, 1, 44, 28, shape="rounded", corner=2)
    for trim, told in ((Trim(44, 28), 1), (Trim(44, 28, "rounded", 2), 0)):
        assert len(list_sheet_warnings(stock, trim, impose_labels(stock, trim, 1))) == told


def test_cuts_a_die_has_no_room_to_mark_are_told_by_ruler() -> None:
    # 1.5 mm on all sides: 47 - 44 and 31 - 28, halved.
    (told,) = describe_ruler_cuts(dies(2, 2, 47, 31), Trim(44, 28))
    assert "cut each of them 1.5 and 45.5 mm from its left edge and" in told
    assert told.endswith(" and 1.5 and 29.5 mm from its upper edge.")
    # 1 mm above and below alone; beside the label the marks across have their millimetre.
    (told,) = describe_ruler_cuts(dies(2, 2, 50, 30), Trim(44, 28))
    assert told.endswith("cut each of them 3 and 47 mm from its left edge.")
    # As high as the die: two cuts, and their marks fall away with the edges they would stand on.
    (told,) = describe_ruler_cuts(dies(2, 2, 47, 28), Trim(44, 28))
    assert told.endswith("cut each of them 1.5 and 45.5 mm from its left edge.")
    # Two labels in a die share the cut in its middle.
    (told,) = describe_ruler_cuts(dies(2, 2, 91, 31), Trim(44, 28))
    assert "1.5, 45.5 and 89.5 mm from its left edge" in told


@pytest.mark.parametrize(
    ("stock", "trim"),
    [
        (dies(2, 2, 54, 40), Trim(44, 28)),  # all marks have room
        (dies(2, 2, 44, 28), Trim(44, 28)),  # nothing is cut
        (plain(), Trim(44, 28)),
        (find_stock("roll-62", Path()), Trim(44, 28)),
        (dies(2, 2, 31, 31), Trim(28, 28, "round")),  # has a cutting guide
    ],
)
def test_nothing_is_told_of_cuts_that_are_marked_or_none(stock: Stock, trim: Trim) -> None:
    assert describe_ruler_cuts(stock, trim) == ()


# -- on every stock there can be -------------------------------------------------------------------


@st.composite
def stocks(draw: st.DrawFn) -> Stock:
    kind = draw(st.sampled_from(["die", "die", "plain", "roll"]))
    length = st.floats(20, 120)
    if kind == "plain":
        return plain(draw(st.floats(90, 320)), draw(st.floats(90, 450)), draw(st.floats(0, 8)))
    if kind == "roll":
        return Stock(
            "roll", "Roll", "roll", draw(st.floats(30, 110)), 0,
            feed_gap_mm=draw(st.floats(0, 6)), unprintable_mm=draw(st.floats(0, 3)),
        )  # fmt: skip
    shape = draw(st.sampled_from(["rectangle", "rounded", "round", "oval", "square"]))
    width = draw(length)
    height = width if shape in ("round", "square") else draw(length)
    return dies(
        draw(st.integers(1, 5)), draw(st.integers(1, 8)), width, height,
        gap=draw(st.sampled_from([0.0, 1.0, 3.175, 8.0])), shape=shape,
        corner=draw(st.floats(0.5, 4)) if shape == "rounded" else 0.0,
        left=draw(st.floats(0, 20)), top=draw(st.floats(0, 20)),
    )  # fmt: skip


@st.composite
def trims(draw: st.DrawFn) -> Trim:
    shape = draw(st.sampled_from(["rectangle", "rounded", "round", "oval", "arch", "square"]))
    width = draw(st.floats(8, 100))
    height = width if shape in ("round", "square") else draw(st.floats(8, 100))
    return Trim(width, height, shape, 2.0 if shape == "rounded" else 0.0)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Stock, Trim, float]:
    """A stock, a trim that often is its die, and a bleed that often is none."""
    stock, trim = draw(stocks()), draw(trims())
    if stock.ready_cut and draw(st.booleans()):
        trim = Trim(stock.die_width_mm, stock.die_height_mm, stock.shape, stock.corner_mm)
    return stock, trim, draw(st.sampled_from([0.0, 0.0, 1.0, 3.0]))


def made(job: tuple[Stock, Trim, float], count: int, start: int = 1) -> tuple[Sheet, ...]:
    stock, trim, bleed = job
    try:
        return impose_labels(stock, trim, count, start, bleed_mm=bleed)
    except FitError:
        return ()


def inked(sheet: Sheet) -> Iterator[Box]:
    """Everything printed beside the labels, as boxes."""
    for mark in sheet.marks:
        yield mark.box
    for target in sheet.registration:
        yield target.box
    if sheet.ruler:
        yield sheet.ruler.box
        for line in (*sheet.ruler.lines, sheet.ruler.label):
            assert sheet.ruler.box.covers(line.box, HAIR)
    for note in sheet.notes:
        yield note.box


@given(jobs(), st.integers(1, 150))
def test_every_label_is_placed_once_on_the_page_and_on_no_other(
    job: tuple[Stock, Trim, float], count: int
) -> None:
    sheets = made(job, count)
    if not sheets:
        return
    assert [place.index for sheet in sheets for place in sheet.places] == list(range(count))
    assert len(sheets) == count_sheets_needed(job[0], job[1], count, bleed_mm=job[2])
    _, trim, bleed = job
    for sheet in sheets:
        assert sheet.places
        for place in sheet.places:
            assert sheet.page.covers(place.box, SIZED_MM)
            sides = (trim.width_mm, trim.height_mm)
            assert (place.width_mm, place.height_mm) == (
                sides[::-1] if place.turns % 2 == 1 else sides
            )
        # A bleed may meet its neighbour's, never go over it.
        boxes = [place.box.inset(SIZED_MM / 2 - bleed) for place in sheet.places]
        assert not any(a.meets(b) for a, b in combinations(boxes, 2))


@given(jobs(), st.integers(1, 60))
def test_nothing_beside_the_labels_touches_a_label_or_leaves_the_page(
    job: tuple[Stock, Trim, float], count: int
) -> None:
    bleed = job[2]
    for sheet in made(job, count):
        boxes = [place.box.inset(-bleed) for place in sheet.places]
        for ink in inked(sheet):
            assert sheet.page.covers(ink, HAIR)
            assert not any(box.inset(HAIR).meets(ink) for box in boxes)


@given(jobs())
def test_marks_stand_on_the_edges_of_labels_at_the_stated_distance(
    job: tuple[Stock, Trim, float],
) -> None:
    stock, _, bleed = job
    style = MarkStyle()
    offset = max(style.offset_mm, bleed + 0.5 if bleed else 0)
    for sheet in made(job, 7):
        boxes = [place.box for place in sheet.places]
        for mark in sheet.marks:
            length = abs(mark.x1 - mark.x0) + abs(mark.y1 - mark.y0)
            assert style.least_mm - HAIR <= length <= style.length_mm + HAIR
            assert mark.weight_pt == 0.25
            across = abs(mark.y0 - mark.y1) < HAIR
            edges = [
                e for b in boxes for e in ((b.y0_mm, b.y1_mm) if across else (b.x0_mm, b.x1_mm))
            ]
            place = mark.y0 if across else mark.x0
            assert min(abs(edge - place) for edge in edges) < 0.011
            if stock.ready_cut:
                # Its own die holds the mark: no neighbour's label can be under it.
                assert any(die.covers(mark.box, SIZED_MM) for die in stock.dies())
            near = min(_distance(box, mark.box) for box in boxes)
            assert near >= offset - 0.011


def _distance(a: Box, b: Box) -> float:
    dx = max(a.x0_mm - b.x1_mm, b.x0_mm - a.x1_mm, 0.0)
    dy = max(a.y0_mm - b.y1_mm, b.y0_mm - a.y1_mm, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


@given(jobs(), st.data())
def test_start_and_skip_are_honoured(job: tuple[Stock, Trim, float], data: st.DataObject) -> None:
    stock, trim, bleed = job
    try:
        positions = find_left_over(stock, trim, 1, bleed_mm=bleed).positions
    except FitError:
        return
    start = data.draw(st.integers(1, positions))
    skip = data.draw(st.sets(st.integers(1, positions), max_size=4))
    count = data.draw(st.integers(1, 3 * positions))
    if not set(range(start, positions + 1)) - skip:
        return
    sheets = impose_labels(stock, trim, count, start, skip, bleed)
    first = {place.cell for place in sheets[0].places}
    assert min(first) >= start
    assert not first & skip
    assert [p.index for s in sheets for p in s.places] == list(range(count))
    left = find_left_over(stock, trim, count, start, skip, bleed)
    used = {place.cell for place in sheets[-1].places}
    assert not set(left.free) & used
    if len(sheets) == 1:
        assert not set(left.free) & skip
        assert all(cell >= start for cell in left.free)
        assert set(left.free) | used | skip >= set(range(start, positions + 1))
    else:
        assert set(left.free) | used == set(range(1, positions + 1))
    # What is left can be used: the next job starts there without a complaint.
    if left.start is not None:
        again = impose_labels(stock, trim, 1, left.start, left.skip, bleed)
        assert again[0].places[0].cell == left.start


@given(st.integers(1, 20_000))
def test_counts_add_up(count: int) -> None:
    stock = dies(3, 10, 66.675, 25.4)
    assert count_sheets_needed(stock, Trim(66.675, 25.4), count) == -(-count // 30)


@pytest.mark.parametrize("stock", list_stocks(), ids=lambda stock: str(stock.name))
@pytest.mark.quick(12)
def test_every_bundled_stock_takes_labels_of_its_own_size(stock: Stock) -> None:
    if not stock.ready_cut:
        assert count_labels_per_sheet(stock, Trim(44, 28)) >= 1
        return
    own = Trim(stock.die_width_mm, stock.die_height_mm, stock.shape, stock.corner_mm)
    (sheet,) = impose_labels(stock, own, stock.count)
    assert len(sheet.places) == stock.count
    assert not sheet.marks


def test_the_ruler_is_fifty_millimetres_long() -> None:
    (sheet,) = impose_labels(plain(), Trim(44, 28), 1)
    assert sheet.ruler is not None
    ticks = sorted({line.x0 for line in sheet.ruler.lines if line.x0 == line.x1})
    assert len(ticks) == 51
    assert ticks[-1] - ticks[0] == pytest.approx(50)
    assert sheet.ruler.label.text == "50 mm"


SLUG = "Order 7K3M-Q9XA"


@pytest.mark.parametrize("stock", list_stocks(), ids=lambda stock: stock.name)
@pytest.mark.parametrize("bleed_mm", [0.0, 1.0])
@pytest.mark.quick(20)
def test_a_slug_gives_way_to_everything_and_changes_nothing(stock: Stock, bleed_mm: float) -> None:
    """It touches no label, no die, no mark and no words, on whole and on part-used sheets."""
    die = min(stock.die_width_mm or 44.0, 44.0), min(stock.die_height_mm or 28.0, 28.0)
    trim = Trim(min(die), min(die), "round") if stock.shape in ("round", "oval") else Trim(*die)
    for count in (1, 40):
        try:
            bare = impose_labels(stock, trim, count, bleed_mm=bleed_mm)
        except FitError:  # no room for this bleed
            continue
        for sheet, plainly in zip(
            impose_labels(stock, trim, count, bleed_mm=bleed_mm, slugs=(SLUG,)), bare, strict=True
        ):
            others, slug = sheet.notes, sheet.slug
            assert replace(sheet, slug=None) == plainly
            if slug is None:
                assert stock.ready_cut or stock.continuous, "a plain sheet has room"
                continue
            assert sheet.page.covers(slug.box)
            inked = [place.box.inset(-bleed_mm) for place in sheet.places]
            beside = [*sheet.marks, *sheet.registration, *others]
            ruler = [sheet.ruler.box] if sheet.ruler else []
            for box in (*inked, *stock.dies(), *(mark.box for mark in beside), *ruler):
                assert not slug.box.meets(box)


def test_most_stock_has_room_for_a_slug() -> None:
    """All but those whose labels reach to where printers leave the page white."""
    without = set()
    for stock in list_stocks():
        die = stock.die_width_mm or 44.0, stock.die_height_mm or 28.0
        shape = stock.shape if stock.ready_cut else "rectangle"
        (sheet,) = impose_labels(stock, Trim(*die, shape, stock.corner_mm), 1, slugs=(SLUG,))
        if sheet.slug is None:
            without.add(stock.name)
    assert not {name for name in without if "plain" in name}
    assert len(without) <= len(list_stocks()) / 10
