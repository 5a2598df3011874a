"""Reads a finished PDF back into the same runs the composer makes, in printed millimetres.

What the reader takes for granted, and what it does not:

* The labels of a page stand inside marked content ``PANEL_TAG``, each of them inside ``PLACE_TAG``
  and each of its runs inside ``RUN_TAG``; the property lists say which panel, label, element and
  language it is, and what is trimmed. Nothing else is believed: the
  text comes from the font's own character map, the place from the text and transformation
  matrices, the height of letters and the boldness from the font program embedded in the file.
* Names not present in a property list are treated as unknown, never guessed.
* Whether any of it shows is not asked here: that is found in what the page prints
  (``labelkit.pdf.ink``), whatever hides it.
* Text is set horizontally; a label may be turned by a quarter or scaled as a whole (a printer
  driver's "fit to page"), and then its runs come out at the size they would print.
* Inside ``PRINTER_TAG`` a page is corrected for one printer, whose own matrix the property list
  gives; everything is told as that printer prints it.

pypdf finds the objects of the file; the content of the pages is read here, a page at a time.
"""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from labelkit.common.confined import run_confined
from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.model.marks import GUIDE_TAG, PANEL_TAG, PLACE_TAG, PRINTER_TAG, RUN_TAG
from labelkit.order.reader import read_bytes
from labelkit.pdf.read.geometry import Matrix
from labelkit.pdf.read.interpreter import (
    FontUse,
    Interpreter,
    PlacedPanel,
    SharedResources,
    find_property_list,
    parse_printer_matrix,
)
from labelkit.pdf.read.lexer import parse_operations

# pypdf warns of oddities on standard error; what matters of them is an InputError here.
logging.getLogger("pypdf").addHandler(logging.NullHandler())

__all__ = [
    "GUIDE_TAG",
    "MAX_PDF_BYTES",
    "PANEL_TAG",
    "PLACE_TAG",
    "PRINTER_TAG",
    "RUN_TAG",
    "FontUse",
    "Matrix",
    "PageRead",
    "PageSetting",
    "PlacedPanel",
    "Readback",
    "guard_pdf_reading",
    "read_confined",
    "read_page_settings",
    "read_pages",
    "read_panel_bytes",
    "read_panels",
]

MAX_PDF_BYTES = 100_000_000
MAX_PAGES = 1_000_000
MAX_TREE_DEPTH = 50


@dataclass(frozen=True, slots=True)
class PageRead:
    """What was read from one page."""

    panels: tuple[PlacedPanel, ...]
    fonts: tuple[FontUse, ...]
    """Every font the page sets text in."""
    stray_text: str = ""
    """Text that stands on a label outside any marked run."""


@dataclass(frozen=True)
class Readback:
    """Everything read from one PDF."""

    name: str
    pages: int
    panels: tuple[PlacedPanel, ...]
    fonts: tuple[FontUse, ...]
    stray_text: tuple[str, ...] = ()
    """Text that stands on a label outside any marked run."""


def read_panels(path: Path) -> Readback:
    """Every label of a finished PDF as placed panels of runs.

    Raises InputError when the file is missing, no PDF, encrypted or damaged. A PDF without
    labelkit's marks has no panels: the caller decides what that means.
    """
    name = format_path(path)
    return read_confined(read_bytes(path, Said("a PDF"), MAX_PDF_BYTES), name)


def read_confined(data: bytes, name: str) -> Readback:
    """The same of a stranger's PDF that was read from its file."""
    return run_confined(name, read_panel_bytes, data, name)


def read_panel_bytes(data: bytes, name: str) -> Readback:
    """The same for a PDF in memory; ``name`` is what complaints call it."""
    pages = tuple(read_pages(io.BytesIO(data), name))
    return Readback(
        name,
        len(pages),
        tuple(panel for page in pages for panel in page.panels),
        tuple(dict.fromkeys(font for page in pages for font in page.fonts)),
        tuple(page.stray_text for page in pages if page.stray_text),
    )


def read_pages(stream: IO[bytes], name: str) -> Iterator[PageRead]:
    """The pages of a PDF one by one, none of them kept. InputError as for ``read_panels``."""
    from pypdf import PdfReader

    stream.seek(0)
    if b"%PDF-" not in stream.read(1024):
        raise InputError(name, "", None, Said("is no PDF"))
    with guard_pdf_reading(name):
        reader = PdfReader(stream)
        if reader.is_encrypted:
            raise InputError(name, "", None, Said("is encrypted; expected an open PDF"))
        yield from _read_pages(reader)


@dataclass(frozen=True, slots=True)
class PageSetting:
    """How the numbers of a page become what a printer prints."""

    printer: Matrix | None
    """What the printer does (points) that the page is corrected for; None for a plain page."""
    unit: float
    """How many points the page's unit is (ISO 32000-1, 14.11.2, UserUnit)."""


def read_page_settings(data: bytes, name: str) -> list[PageSetting]:
    """How each page is set.

    Only the mark is looked for, so that any PDF can be asked. InputError for what is no PDF.
    """
    return run_confined(name, _list_page_settings, data, name)


def _list_page_settings(data: bytes, name: str) -> list[PageSetting]:
    from pypdf import PdfReader

    with guard_pdf_reading(name):
        reader = PdfReader(io.BytesIO(data))
        return [
            PageSetting(_read_correction(page, inherited.get("/Resources")), _read_unit(page))
            for page, inherited in _list_page_objects(reader)
        ]


def _read_unit(page: Any) -> float:
    unit = float(page["/UserUnit"]) if "/UserUnit" in page else 1.0
    if not 0 < unit < math.inf:
        raise ValueError("a page without size")
    return unit


def _read_correction(page: Any, resources: Any) -> Matrix | None:
    for operator, operands in parse_operations(_read_contents(page)):
        if operator == "BDC" and operands[0] == PRINTER_TAG:
            return parse_printer_matrix(find_property_list(resources, operands[1]))
    return None


@contextmanager
def guard_pdf_reading(name: str) -> Iterator[None]:
    """Turns whatever goes wrong inside a PDF's parser into one InputError.

    A damaged file, or a damaged font in it, makes its parser fail in any way there is; all of them
    mean the same to a maker.
    """
    try:
        yield
    except (InputError, MemoryError):
        raise
    except Exception as error:
        raise InputError(
            name,
            "",
            None,
            Said("cannot be read as PDF: it is cut short or damaged; save it anew"),
        ) from error


def _read_pages(reader: Any) -> Iterator[PageRead]:
    seen = SharedResources()
    for index, (page, inherited) in enumerate(_list_page_objects(reader)):
        if index >= MAX_PAGES:
            raise ValueError(f"more than {MAX_PAGES} pages")
        interpreter = Interpreter(index, seen, _read_unit(page))
        interpreter.page(_read_contents(page), inherited.get("/Resources"))
        yield PageRead(
            tuple(interpreter.placed),
            tuple(interpreter.fonts.values()),
            "".join(interpreter.stray),
        )


_INHERITED = ("/Resources",)
"""What a page has from the nodes above it where it has none of its own (ISO 32000-1, 7.7.3.4)."""


def _list_page_objects(reader: Any) -> Iterator[tuple[Any, dict[str, Any]]]:
    """Every page dictionary with all it inherits, in order; each is let go before the next.

    pypdf's own list of pages holds all of them, and its cache every object that was ever read.
    """
    root = reader.trailer["/Root"].get_object()["/Pages"]
    open_nodes: list[tuple[Iterator[Any], dict[str, Any]]] = [(iter([root]), {})]
    while open_nodes:
        kids, inherited = open_nodes[-1]
        reference = next(kids, None)
        if reference is None:
            open_nodes.pop()
            continue
        node = reference.get_object()
        own = {name: node[name].get_object() for name in _INHERITED if name in node}
        passed_on = inherited | own
        if "/Kids" not in node:
            yield node, passed_on
            _forget_object(reader, reference)
            _forget_object(reader, node.raw_get("/Contents") if "/Contents" in node else None)
        elif len(open_nodes) > MAX_TREE_DEPTH:
            raise ValueError("the page tree is too deep")
        else:
            open_nodes.append((iter(node["/Kids"].get_object()), passed_on))


def _forget_object(reader: Any, reference: Any) -> None:
    """Drops an object from pypdf's cache, which otherwise grows with every page."""
    number = getattr(reference, "idnum", None)
    if number is not None:
        reader.resolved_objects.pop((reference.generation, number), None)


def _read_contents(page: Any) -> bytes:
    """A page's content; parts of one that is split are read as one (ISO 32000-1, 7.8.2)."""
    contents = page["/Contents"].get_object() if "/Contents" in page else None
    if contents is None:
        return b""
    parts = [part.get_object() for part in contents] if isinstance(contents, list) else [contents]
    return b"\n".join(part.get_data() for part in parts if hasattr(part, "get_data"))
