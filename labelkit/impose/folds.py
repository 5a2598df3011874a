"""Fold marks of a sheet: broken lines at both ends of every fold, outside all labels.

A fold runs through all pieces of a column (or a row), so that the whole sheet is scored along a
ruler laid from mark to mark before it is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labelkit.common.messages import Said
from labelkit.impose.layout import Grid, PageLayout
from labelkit.impose.sheet import LabelPlace, MarkStyle, StraightLine
from labelkit.order.pieces import Fold

DASH_MM, GAP_MM = 0.7, 0.45
"""Of the broken line that tells a fold from a cut."""
_SAME_MM = 0.01


def make_fold_marks(
    layout: PageLayout, places: Iterable[LabelPlace], folds: Iterable[Fold], style: MarkStyle
) -> tuple[StraightLine, ...]:
    """The marks of every fold of some labels, as far as there is room outside them."""
    wanted = tuple(folds)
    lines: list[StraightLine] = []
    told: set[tuple[int, bool, int]] = set()
    for place in places if wanted else ():
        number = _find_grid(layout, place)
        for fold in wanted:
            upright, at = _place_fold(place, fold)
            key = (number, upright, round(at / _SAME_MM))
            if key not in told:
                told.add(key)
                lines += _mark_fold(layout.grids[number], upright, at, layout.bleed_mm, style)
    return tuple(lines)


def describe_folding(folds: Iterable[Fold]) -> tuple[Said, ...]:
    """What the sheet says of its folds, before it says how it is cut."""
    return (Said("Score along the broken marks, before cutting."),) if tuple(folds) else ()


def _place_fold(place: LabelPlace, fold: Fold) -> tuple[bool, float]:
    """A fold as it lies on the page: whether it is upright, and where."""
    a, b, c, d, e, f = place.matrix_mm
    x, y = (fold.at_mm, 0.0) if fold.upright else (0.0, fold.at_mm)
    upright = fold.upright == (place.turns % 2 == 0)
    return upright, a * x + c * y + e if upright else b * x + d * y + f


def _find_grid(layout: PageLayout, place: LabelPlace) -> int:
    """The grid that a label stands in."""
    return next(
        (n for n, grid in enumerate(layout.grids) if grid.box.covers(place.box, _SAME_MM)), 0
    )


def _mark_fold(
    grid: Grid, upright: bool, at_mm: float, bleed_mm: float, style: MarkStyle
) -> Iterator[StraightLine]:
    box, offset = grid.box, style.offset_from(bleed_mm)
    if upright:
        ends = ((at_mm, box.y1_mm + offset, 0, 1), (at_mm, box.y0_mm - offset, 0, -1))
    else:
        ends = ((box.x0_mm - offset, at_mm, -1, 0), (box.x1_mm + offset, at_mm, 1, 0))
    for x, y, dx, dy in ends:
        length = min(style.length_mm, grid.region.room_mm(x, y, dx, dy))
        if length < style.least_mm:
            continue
        start = 0.0
        while start + DASH_MM <= length + 1e-9:
            end = start + DASH_MM
            yield StraightLine(
                x + dx * start, y + dy * start, x + dx * end, y + dy * end, style.weight_pt
            )
            start = end + GAP_MM
