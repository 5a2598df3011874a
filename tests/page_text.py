"""What stands on finished pages, as PDFium reads them: a reader that is not labelkit's own.

pdfplumber also says in which face and at which angle each letter is set, and takes thirty times as
long.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pypdfium2


def read_lines(pdf: Path | bytes) -> list[list[str]]:
    """The lines of each page, in the order in which they were drawn."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_range().splitlines() for page in document]


def read_pages(pdf: Path | bytes) -> list[str]:
    """The text of each page, with one space between its words."""
    return [" ".join(" ".join(lines).split()) for lines in read_lines(pdf)]


def read_text(pdf: Path | bytes) -> str:
    """The text of all pages on one line."""
    return " ".join(read_pages(pdf))


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the letters of a page reach, from its lower left corner, and the page (pt)."""

    left: float
    low: float
    right: float
    top: float
    width: float
    height: float


def measure_reach(pdf: Path | bytes) -> list[Reach]:
    """Of each page; letters as high and as deep as any of their face."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_measure_page(page) for page in document]


def _measure_page(page: pypdfium2.PdfPage) -> Reach:
    text = page.get_textpage()
    boxes = [text.get_charbox(number, loose=True) for number in range(text.count_chars())]
    # An end of a line, which is no letter, has a box without a width.
    left, low, right, top = zip(*(box for box in boxes if box[2] > box[0]), strict=True)
    return Reach(min(left), min(low), max(right), max(top), *page.get_size())
