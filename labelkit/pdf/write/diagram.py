"""Pages of lines and words that carry no label: stock drawn true to size, the calibration page."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator

from labelkit.common.quantity import PT_PER_MM
from labelkit.impose import MarginNote, Sheet, StraightLine
from labelkit.impose.region import ConvexRegion
from labelkit.model.runs import Box
from labelkit.order.stock import Stock
from labelkit.pdf.write.draw import (
    MARGIN_FACE,
    DocumentInfo,
    PdfFonts,
    make_canvas,
    margin_operators,
)
from labelkit.typeset.faces import load_face

STRIP_SHOWN_MM = 100.0
"""How much of a continuous roll is drawn."""


def draw_diagram_pdf(sheets: Iterable[Sheet], title: str, language: str = "en") -> bytes:
    """Sheets without labels as a PDF; the words are real text in an embedded face."""
    pages = tuple(sheets)
    stream = io.BytesIO()
    size_mm = (pages[0].page_width_mm, pages[0].page_height_mm)
    canvas = make_canvas(stream, size_mm, DocumentInfo(title, language))
    face = load_face(MARGIN_FACE)
    fonts = PdfFonts(canvas, {face.name: face})
    for page in pages:
        canvas.setPageSize((page.page_width_mm * PT_PER_MM, page.page_height_mm * PT_PER_MM))
        canvas._code += margin_operators(page, face, fonts)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def make_stock_sheet(stock: Stock) -> Sheet:
    """A stock at its true size: every label's outline with its position, and the printable edge."""
    width, height = stock.page_width_mm, stock.page_height_mm or STRIP_SHOWN_MM
    lines: list[StraightLine] = []
    notes: list[MarginNote] = []
    for position, die in enumerate(stock.dies(), start=1):
        lines += _close_outline(ConvexRegion(die, stock.shape, stock.corner_mm).outline())
        notes.append(_centre_note(str(position), die))
    if stock.unprintable_mm:
        printable = Box(0.0, 0.0, width, height).inset(stock.unprintable_mm)
        lines += [line for line in _make_dashed_box(printable) if not _crosses_label(line, stock)]
    return Sheet(width, height, (), tuple(lines), notes=tuple(notes))


def _centre_note(text: str, box: Box) -> MarginNote:
    size = min(5.0, box.height_mm / 3, box.width_mm / 3)
    middle = MarginNote(0.0, 0.0, text, size).box
    return MarginNote(
        (box.x0_mm + box.x1_mm - middle.width_mm) / 2,
        (box.y0_mm + box.y1_mm) / 2 - 0.35 * size,
        text,
        size,
    )


def _close_outline(points: list[tuple[float, float]]) -> Iterator[StraightLine]:
    for start, end in zip(points, [*points[1:], points[0]], strict=True):
        yield StraightLine(*start, *end)


def _make_dashed_box(box: Box, dash_mm: float = 2.0) -> Iterator[StraightLine]:
    """A rectangle of dashes."""
    for along in _list_dash_starts(box.width_mm, dash_mm):
        x = box.x0_mm + along
        yield StraightLine(x, box.y0_mm, x + dash_mm, box.y0_mm)
        yield StraightLine(x, box.y1_mm, x + dash_mm, box.y1_mm)
    for along in _list_dash_starts(box.height_mm, dash_mm):
        y = box.y0_mm + along
        yield StraightLine(box.x0_mm, y, box.x0_mm, y + dash_mm)
        yield StraightLine(box.x1_mm, y, box.x1_mm, y + dash_mm)


def _list_dash_starts(length_mm: float, dash_mm: float) -> list[float]:
    return [2 * dash_mm * number for number in range(int((length_mm + dash_mm) / (2 * dash_mm)))]


def _crosses_label(line: StraightLine, stock: Stock) -> bool:
    return any(die.meets(line.box.inset(-0.1)) for die in stock.dies())
