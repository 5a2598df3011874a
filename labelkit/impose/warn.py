"""What a maker should know before a sheet is printed, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from labelkit.impose.layout import TrimSize
from labelkit.impose.region import fills_die
from labelkit.impose.sheet import Sheet
from labelkit.model.runs import Box
from labelkit.order.stock import Stock

HARMLESS_MM = 1.0
"""No text stands this near the trim; a label that loses so little of its edge loses nothing."""
_ROUNDING_MM = 0.01


def list_sheet_warnings(
    stock: Stock, trim: TrimSize, sheets: Sequence[Sheet], unprintable_mm: float | None = None
) -> tuple[str, ...]:
    """Warnings about sheets that were imposed; empty when all is well.

    ``unprintable_mm`` is the edge the printer in use leaves white, instead of the stock's.
    """
    edge = stock.unprintable_mm if unprintable_mm is None else unprintable_mm
    return (
        *_list_edge_warnings(sheets, edge, endless=stock.continuous),
        *_list_corner_warnings(stock, trim),
    )


def _list_edge_warnings(sheets: Sequence[Sheet], edge_mm: float, endless: bool) -> Iterator[str]:
    reaching: dict[int, float] = {}
    for sheet in sheets:
        inside = _printable_box(sheet, edge_mm, endless)
        for place in sheet.places:
            depth = _overhang_mm(place.box, inside)
            if depth > HARMLESS_MM + _ROUNDING_MM:
                reaching[place.cell] = max(depth, reaching.get(place.cell, 0.0))
    if reaching:
        cells = sorted(reaching)
        where = f"position {cells[0]}" if len(cells) == 1 else f"positions {_format_numbers(cells)}"
        yield (
            f"{where}: the label reaches {max(reaching.values()):.1f} mm into the {edge_mm:g} mm"
            " edge of the page that printers leave white; keep text out of it or skip these"
        )
    if any(
        _overhang_mm(mark.box, _printable_box(sheet, edge_mm, endless)) > _ROUNDING_MM
        for sheet in sheets
        for mark in sheet.marks
    ):
        yield f"some crop marks lie in the {edge_mm:g} mm edge that printers leave white"


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


def _format_numbers(numbers: Sequence[int], most: int = 6) -> str:
    shown = ", ".join(str(number) for number in numbers[:most])
    return shown if len(numbers) <= most else f"{shown} and {len(numbers) - most} more"


def _list_corner_warnings(stock: Stock, trim: TrimSize) -> Iterator[str]:
    if not stock.ready_cut or not fills_die(stock, trim):
        return
    if stock.shape == "rounded" and stock.corner_mm - trim.corner_mm > _ROUNDING_MM:
        yield (
            f"the label's corners are {_format_corner(trim.corner_mm)}"
            " and those of the stock are cut to"
            f" a radius of {stock.corner_mm:g} mm; give the label the same corners"
        )


def _format_corner(radius_mm: float) -> str:
    return f"of {radius_mm:g} mm" if radius_mm else "square"
