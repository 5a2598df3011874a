"""Pages of lines and words that carry no label: stock drawn true to size, the calibration page."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator

from labelkit.common.quantity import PT_PER_MM
from labelkit.impose import Line, Note, Sheet
from labelkit.impose.region import Region
from labelkit.model.runs import Box
from labelkit.order.stock import Stock
from labelkit.pdf.write.draw import (
    MARGIN_FACE,
    DocumentInfo,
    PdfFonts,
    margin_operators,
    new_canvas,
)
from labelkit.typeset.faces import load_face

STRIP_SHOWN_MM = 100.0
"""How much of a continuous roll is drawn."""


def diagram_pdf(sheets: Iterable[Sheet], title: str) -> bytes:
    """Sheets without labels as a PDF; the words are real text in an embedded face."""
    pages = tuple(sheets)
    stream = io.BytesIO()
    size_mm = (pages[0].page_width_mm, pages[0].page_height_mm)
    canvas = new_canvas(stream, size_mm, DocumentInfo(title, "en"))
    face = load_face(MARGIN_FACE)
    fonts = PdfFonts(canvas, {face.name: face})
    for page in pages:
        canvas.setPageSize((page.page_width_mm * PT_PER_MM, page.page_height_mm * PT_PER_MM))
        canvas._code += margin_operators(page, face, fonts)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def stock_sheet(stock: Stock) -> Sheet:
    """A stock at its true size: every label's outline with its position, and the printable edge."""
    width, height = stock.page_width_mm, stock.page_height_mm or STRIP_SHOWN_MM
    lines: list[Line] = []
    notes: list[Note] = []
    for position, die in enumerate(stock.dies(), start=1):
        lines += _closed(Region(die, stock.shape, stock.corner_mm).outline())
        notes.append(_centred(str(position), die))
    if stock.unprintable_mm:
        printable = Box(0.0, 0.0, width, height).inset(stock.unprintable_mm)
        lines += [line for line in _dashed(printable) if not _crosses_label(line, stock)]
    return Sheet(width, height, (), tuple(lines), notes=tuple(notes))


def _centred(text: str, box: Box) -> Note:
    size = min(5.0, box.height_mm / 3, box.width_mm / 3)
    middle = Note(0.0, 0.0, text, size).box
    return Note(
        (box.x0_mm + box.x1_mm - middle.width_mm) / 2,
        (box.y0_mm + box.y1_mm) / 2 - 0.35 * size,
        text,
        size,
    )


def _closed(points: list[tuple[float, float]]) -> Iterator[Line]:
    for start, end in zip(points, [*points[1:], points[0]], strict=True):
        yield Line(*start, *end)


def _dashed(box: Box, dash_mm: float = 2.0) -> Iterator[Line]:
    """A rectangle of dashes."""
    for along in _starts(box.width_mm, dash_mm):
        x = box.x0_mm + along
        yield Line(x, box.y0_mm, x + dash_mm, box.y0_mm)
        yield Line(x, box.y1_mm, x + dash_mm, box.y1_mm)
    for along in _starts(box.height_mm, dash_mm):
        y = box.y0_mm + along
        yield Line(box.x0_mm, y, box.x0_mm, y + dash_mm)
        yield Line(box.x1_mm, y, box.x1_mm, y + dash_mm)


def _starts(length_mm: float, dash_mm: float) -> list[float]:
    return [2 * dash_mm * number for number in range(int((length_mm + dash_mm) / (2 * dash_mm)))]


def _crosses_label(line: Line, stock: Stock) -> bool:
    return any(die.meets(line.box.inset(-0.1)) for die in stock.dies())
