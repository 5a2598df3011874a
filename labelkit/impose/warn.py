"""What a maker should know before a sheet is printed, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.common.messages import Number, Said, make_number, shorten_list
from labelkit.impose.layout import TrimSize
from labelkit.impose.region import fills_die
from labelkit.impose.sheet import Sheet
from labelkit.model.runs import Box
from labelkit.order.stock import Stock

HARMLESS_MM = 1.0
"""No text stands this near the trim; a label that loses so little of its edge loses nothing."""
_ROUNDING_MM = 0.01
MOST_CELLS = 6
"""Positions that are named."""


def list_sheet_warnings(
    stock: Stock, trim: TrimSize, sheets: Sequence[Sheet], unprintable_mm: float | None = None
) -> tuple[Said, ...]:
    """Warnings about sheets that were imposed; empty when all is well.

    ``unprintable_mm`` is the edge the printer in use leaves white, instead of the stock's.
    """
    edge = stock.unprintable_mm if unprintable_mm is None else unprintable_mm
    return (
        *_list_edge_warnings(sheets, edge, endless=stock.continuous),
        *_list_corner_warnings(stock, trim),
    )


def _list_edge_warnings(sheets: Sequence[Sheet], edge_mm: float, endless: bool) -> Iterator[Said]:
    reaching: dict[int, float] = {}
    for sheet in sheets:
        inside = _printable_box(sheet, edge_mm, endless)
        for place in sheet.places:
            depth = _overhang_mm(place.box, inside)
            if depth > HARMLESS_MM + _ROUNDING_MM:
                reaching[place.cell] = max(depth, reaching.get(place.cell, 0.0))
    if reaching:
        cells = sorted(reaching)
        yield Said(
            "{where}: the label reaches {depth} mm into the {edge} mm edge of the page that"
            " printers leave white; keep text out of it or skip these",
            where=Said(
                "position {numbers}" if len(cells) == 1 else "positions {numbers}",
                numbers=shorten_list([str(cell) for cell in cells], MOST_CELLS),
            ),
            depth=Number(Decimal(max(reaching.values())), 1),
            edge=make_number(edge_mm),
        )
    if any(
        _overhang_mm(mark.box, _printable_box(sheet, edge_mm, endless)) > _ROUNDING_MM
        for sheet in sheets
        for mark in sheet.marks
    ):
        yield Said(
            "some crop marks lie in the {edge} mm edge that printers leave white",
            edge=make_number(edge_mm),
        )


def _printable_box(sheet: Sheet, edge_mm: float, endless: bool) -> Box:
    """An endless strip has white edges at its sides alone."""
    along = 0.0 if endless else edge_mm
    return Box(edge_mm, along, sheet.page_width_mm - edge_mm, sheet.page_height_mm - along)


def _overhang_mm(box: Box, inside: Box) -> float:
    """How far a box reaches out of another; 0 or less where it does not."""
    return max(
        inside.x0_mm - box.x0_mm,
        inside.y0_mm - box.y0_mm,
        box.x1_mm - inside.x1_mm,
        box.y1_mm - inside.y1_mm,
    )


def _list_corner_warnings(stock: Stock, trim: TrimSize) -> Iterator[Said]:
    if not stock.ready_cut or not fills_die(stock, trim):
        return
    if stock.shape == "rounded" and stock.corner_mm - trim.corner_mm > _ROUNDING_MM:
        yield Said(
            "the label's corners are of {own} mm and those of the stock are cut to a radius of"
            " {radius} mm; give the label the same corners"
            if trim.corner_mm
            else "the label's corners are square and those of the stock are cut to a radius of"
            " {radius} mm; give the label the same corners",
            own=make_number(trim.corner_mm),
            radius=make_number(stock.corner_mm),
        )
