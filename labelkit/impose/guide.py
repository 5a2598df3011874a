"""Which pages a cutting guide has: one for every arrangement of outlines, not one a sheet."""

from __future__ import annotations

from collections.abc import Iterable

from labelkit.common.frozen import dataclass
from labelkit.impose.layout import CURVED, TrimSize
from labelkit.impose.region import fills_die
from labelkit.impose.sheet import Sheet
from labelkit.order.stock import Stock


@dataclass(frozen=True, slots=True)
class GuidePage:
    """A page of the guide and the sheets it holds for, counted from 1."""

    sheet: Sheet
    first: int
    last: int


def is_cut_by_outline(stock: Stock, trim: TrimSize) -> bool:
    """Whether a label must be cut along a curve that is not the stock's own die."""
    return trim.shape in CURVED and not (stock.ready_cut and fills_die(stock, trim))


def make_guide_pages(sheets: Iterable[Sheet]) -> tuple[GuidePage, ...]:
    """A page for every run of sheets whose labels lie alike."""
    pages: list[GuidePage] = []
    for number, sheet in enumerate(sheets, start=1):
        if pages and _outline_key(pages[-1].sheet) == _outline_key(sheet):
            pages[-1] = GuidePage(pages[-1].sheet, pages[-1].first, number)
        else:
            pages.append(GuidePage(sheet, number, number))
    return tuple(pages)


def _outline_key(sheet: Sheet) -> tuple[object, ...]:
    size = (sheet.page_width_mm, sheet.page_height_mm)
    return (size, *(place.matrix_mm for place in sheet.places))
