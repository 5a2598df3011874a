"""What stands on finished pages, as PDFium reads them: a reader that is not labelkit's own.

pdfplumber also says in which face and at which angle each letter is set, and takes thirty times as
long.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pypdfium2


@dataclass(frozen=True, slots=True)
class PageText:
    """The lines of a page in the order they were drawn in; how far its letters reach, and it."""

    lines: tuple[str, ...]
    reach_pt: tuple[float, float, float, float]
    """Left, bottom, right and top of all letters, from the lower left corner of the page."""
    size_pt: tuple[float, float]


def read_page_texts(pdf: Path | bytes) -> list[PageText]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [_read_page(page) for page in document]


def _read_page(page: pypdfium2.PdfPage) -> PageText:
    text = page.get_textpage()
    boxes = [text.get_rect(number) for number in range(text.count_rects())]
    left, bottom, right, top = zip(*boxes, strict=True)
    reach = min(left), min(bottom), max(right), max(top)
    return PageText(tuple(text.get_text_range().splitlines()), reach, page.get_size())


def read_pages(pdf: Path | bytes) -> list[str]:
    """The text of each page, with one space between its words."""
    return [" ".join(" ".join(page.lines).split()) for page in read_page_texts(pdf)]


def read_text(pdf: Path | bytes) -> str:
    """The text of all pages on one line."""
    return " ".join(read_pages(pdf))
