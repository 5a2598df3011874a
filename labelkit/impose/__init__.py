"""Stock geometry: where each label and each crop mark goes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import islice

from labelkit.common.messages import Said
from labelkit.impose.folds import describe_folding, make_fold_marks
from labelkit.impose.guide import GuidePage, is_cut_by_outline, make_guide_pages
from labelkit.impose.layout import PageLayout, TrimSize, find_gutter_mm, lay_out_page
from labelkit.impose.marks import (
    SHEET_NUMBER,
    describe_cut_order,
    describe_unmarked_cuts,
    fill_margin,
    make_crop_marks,
    make_cut_numbers,
)
from labelkit.impose.positions import LeftOver, find_left_after, split_into_sheets
from labelkit.impose.region import fills_die
from labelkit.impose.sheet import (
    LabelPlace,
    MarginNote,
    MarkStyle,
    RegistrationMark,
    Ruler,
    Sheet,
    StraightLine,
)
from labelkit.impose.twosided import FLIPS, mirror_for_back
from labelkit.impose.warn import list_sheet_warnings
from labelkit.order.pieces import Fold
from labelkit.order.stock import Stock

__all__ = [
    "FLIPS",
    "SHEET_NUMBER",
    "GuidePage",
    "LabelPlace",
    "LeftOver",
    "MarginNote",
    "MarkStyle",
    "RegistrationMark",
    "Ruler",
    "Sheet",
    "StraightLine",
    "TrimSize",
    "count_labels_per_sheet",
    "count_sheets_needed",
    "describe_ruler_cuts",
    "fills_die",
    "find_gutter_mm",
    "find_left_over",
    "generate_sheets",
    "impose_labels",
    "is_cut_by_outline",
    "list_sheet_warnings",
    "make_guide_pages",
    "mirror_for_back",
]


def impose_labels(
    stock: Stock,
    trim: TrimSize,
    count: int,
    start: int = 1,
    skip: Iterable[int] = (),
    bleed_mm: float = 0.0,
    marks: MarkStyle | None = None,
    slugs: tuple[str, ...] = (),
    speak: Callable[[str], str] = str,
) -> tuple[Sheet, ...]:
    """The sheets that carry ``count`` labels, each exactly once, in order.

    ``start`` is the first free position of a part-used first sheet and ``skip`` its damaged ones;
    positions are counted from 1 in rows from the upper left, and are dies where the stock is
    ready-cut. Raises FitError for a label or a bleed the stock has no room for, InputError for a
    position it does not have. ``slugs`` say in its margin which sheet of which order it is, the
    first of them for which there is room; SHEET_NUMBER in them stands for the sheet's number.
    ``speak`` says how it is cut in the language of who cuts it.
    """
    return tuple(generate_sheets(stock, trim, count, start, skip, bleed_mm, marks, slugs, speak))


def generate_sheets(
    stock: Stock,
    trim: TrimSize,
    count: int,
    start: int = 1,
    skip: Iterable[int] = (),
    bleed_mm: float = 0.0,
    marks: MarkStyle | None = None,
    slugs: tuple[str, ...] = (),
    speak: Callable[[str], str] = str,
) -> Iterator[Sheet]:
    """The same sheets one by one, for events so large that all of them would fill the memory."""
    style = marks or MarkStyle()
    page = lay_out_page(stock, trim, bleed_mm, style)
    drawn: dict[tuple[int, ...], Sheet] = {}
    first = 0
    for number, (free, labels) in enumerate(split_into_sheets(page, count, start, skip), start=1):
        places = _place_labels(page, free, first, labels)
        key = (*free, -labels)
        if key not in drawn:  # every full sheet has the same marks
            drawn[key] = _make_sheet(page, places, trim.shape, trim.folds, style, slugs, speak)
        like = drawn[key]
        yield Sheet(
            like.page_width_mm, like.page_height_mm, places, like.marks, like.registration,
            like.ruler, like.notes, like.cut_order, _number_slug(like.slug, number),
        )  # fmt: skip
        first += labels


def _number_slug(slug: MarginNote | None, number: int) -> MarginNote | None:
    if slug is None:
        return None
    return replace(slug, text=slug.text.replace(SHEET_NUMBER, str(number)))


def describe_ruler_cuts(stock: Stock, trim: TrimSize, bleed_mm: float = 0.0) -> tuple[Said, ...]:
    """What the maker is told of cuts without crop marks; empty where every cut has one."""
    if not stock.ready_cut or fills_die(stock, trim) or is_cut_by_outline(stock, trim):
        return ()
    return describe_unmarked_cuts(lay_out_page(stock, trim, bleed_mm), MarkStyle())


def count_labels_per_sheet(stock: Stock, trim: TrimSize, bleed_mm: float = 0.0) -> int:
    """How many labels a whole sheet holds; FitError when none."""
    return lay_out_page(stock, trim, bleed_mm).labels_per_page


def count_sheets_needed(
    stock: Stock,
    trim: TrimSize,
    count: int,
    start: int = 1,
    skip: Iterable[int] = (),
    bleed_mm: float = 0.0,
) -> int:
    """How many sheets ``impose_labels`` would make."""
    page = lay_out_page(stock, trim, bleed_mm)
    return sum(1 for _ in split_into_sheets(page, count, start, skip))


def find_left_over(
    stock: Stock,
    trim: TrimSize,
    count: int,
    start: int = 1,
    skip: Iterable[int] = (),
    bleed_mm: float = 0.0,
) -> LeftOver:
    """What is left of the last sheet that ``impose_labels`` would make."""
    page = lay_out_page(stock, trim, bleed_mm)
    left = LeftOver((), len(page.positions))
    for free, labels in split_into_sheets(page, count, start, skip):
        left = find_left_after(page, free, labels)
    return left


def _place_labels(
    page: PageLayout, free: list[int], first: int, labels: int
) -> tuple[LabelPlace, ...]:
    like = page.grids[0]  # every grid of a page is like the others
    spots = ((position, box) for position in free for box in page.trims[position - 1])
    return tuple(
        LabelPlace(
            first + number, box.x0_mm, box.y0_mm,
            like.cell_width_mm, like.cell_height_mm, like.turns, position,
        )
        for number, (position, box) in enumerate(islice(spots, labels))
    )  # fmt: skip


@lru_cache(maxsize=16)  # drawing, reading back and counting ask for the same sheets
def _make_sheet(
    page: PageLayout,
    places: tuple[LabelPlace, ...],
    shape: str,
    folds: tuple[Fold, ...],
    style: MarkStyle,
    slugs: tuple[str, ...],
    speak: Callable[[str], str],
) -> Sheet:
    """A sheet with all that is printed beside its labels."""
    used = _find_used_cells(page, places)
    marks = make_crop_marks(page, used, style)
    numbers = make_cut_numbers(page, used, style)
    said = (*describe_folding(folds), *describe_cut_order(page, used, shape))
    order = tuple(map(speak, said))
    marks += make_fold_marks(page, places, folds, style)
    beside = fill_margin(page, marks, numbers, order, slugs)
    return Sheet(
        page_width_mm=page.width_mm,
        page_height_mm=page.height_mm,
        places=places,
        marks=marks,
        registration=beside.registration,
        ruler=beside.ruler,
        notes=(*numbers, *beside.notes),
        cut_order=order,
        slug=beside.slug,
    )


def _find_used_cells(
    page: PageLayout, places: tuple[LabelPlace, ...]
) -> dict[int, set[tuple[int, int]]]:
    """The labels of each grid that are printed."""
    used: dict[int, set[tuple[int, int]]] = {}
    counted: dict[int, int] = {}
    for place in places:
        nth = counted.get(place.cell, 0)
        counted[place.cell] = nth + 1
        number, column, row = page.positions[place.cell - 1][nth]
        used.setdefault(number, set()).add((column, row))
    return used
