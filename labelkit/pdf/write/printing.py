"""Handing a finished sheet to a printer at its true size, corrected for what the printer does."""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from labelkit.common.confined import run_confined
from labelkit.common.errors import InputError, LabelkitError, describe_os_error, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.quantity import PT_PER_MM
from labelkit.order.printer import PrinterProfile, read_printers
from labelkit.order.reader import read_bytes
from labelkit.pdf.read import MAX_PDF_BYTES, Matrix, guard_pdf_reading, read_page_settings
from labelkit.pdf.write.draw import correction_operators

_MEDIA = {
    (215.9, 279.4): ("na_letter_8.5x11in", "Letter"),
    (210.0, 297.0): ("iso_a4_210x297mm", "A4"),
    (101.6, 152.4): ("na_index-4x6_4x6in", "4 x 6 in"),
}
"""Names of PWG 5101.1 (from memory) for pages every print queue knows, and their plain names."""
_SIDES = {"": "one-sided", "long": "two-sided-long-edge", "short": "two-sided-short-edge"}
"""Values of the IPP attribute ``sides`` (RFC 8011, 5.2.8, from memory)."""
_SAME_PAGE_MM = 0.1
_SAME_PRINTER = 1e-6
"""Numbers of a printer's matrix that differ by less are the same number written down twice."""


class PrintError(LabelkitError):
    """The print queue did not take the sheet."""


@dataclass(frozen=True, slots=True)
class PageSize:
    """The size of a document's pages."""

    width_mm: float
    height_mm: float

    @property
    def media(self) -> str:
        """What the queue calls this page."""
        known = self._known()
        return known[0] if known else f"Custom.{self.width_mm:.1f}x{self.height_mm:.1f}mm"

    @property
    def name(self) -> str:
        known = self._known()
        return known[1] if known else f"{self.width_mm:.1f} x {self.height_mm:.1f} mm"

    def _known(self) -> tuple[str, str] | None:
        for (width, height), names in _MEDIA.items():
            if (
                abs(width - self.width_mm) < _SAME_PAGE_MM
                and abs(height - self.height_mm) < _SAME_PAGE_MM
            ):
                return names
        return None


def read_pdf(path: Path) -> bytes:
    """The bytes of a PDF, or InputError."""
    data = read_bytes(path, Said("a PDF"), MAX_PDF_BYTES)
    if b"%PDF-" not in data[:1024]:
        raise InputError(format_path(path), "", None, Said("is no PDF"))
    return data


def read_page_size(data: bytes, name: str) -> PageSize:
    """The page size all pages share; InputError where they differ or there is none."""
    return run_confined(name, _measure_pages, data, name)


def _measure_pages(data: bytes, name: str) -> PageSize:
    from pypdf import PdfReader

    with guard_pdf_reading(name):
        reader = PdfReader(io.BytesIO(data))
        boxes = {
            (round(float(page.mediabox.width), 2), round(float(page.mediabox.height), 2))
            for page in reader.pages
        }
    if len(boxes) != 1:
        raise InputError(name, "", None, Said("has pages of several sizes; print them one by one"))
    ((width, height),) = boxes
    return PageSize(width / PT_PER_MM, height / PT_PER_MM)


def make_printer_matrix(printer: PrinterProfile) -> Matrix | None:
    """What a printer does to a page, in points; None where there is nothing to correct."""
    if printer.true:
        return None
    x, y = printer.offset_x_mm * PT_PER_MM, printer.offset_y_mm * PT_PER_MM
    return Matrix(printer.scale_x, 0.0, 0.0, printer.scale_y, x, y)


def correct_pdf(data: bytes, name: str, printer: PrinterProfile, known: Path) -> bytes:
    """The document as this printer prints it true, corrected once and never twice.

    A sheet that was already made for this printer comes back as it is. InputError for one that
    was made for another, or before this one was measured anew; ``known`` is the file of printers.
    """
    wanted = make_printer_matrix(printer)
    made_for = [setting.printer for setting in read_page_settings(data, name)]
    if not any(made_for):
        return data if wanted is None else run_confined(name, _correct_pages, data, name, wanted)
    if all(_is_same_matrix(matrix, wanted) for matrix in made_for):
        return data
    others = [other.name for other in read_printers(known) if _is_made_for(made_for, other)]
    another = Said("another printer, or an earlier measurement")
    whom = Said("the printer {name}", name=others[0]) if others else another
    raise InputError(
        name,
        "",
        None,
        Said(
            "is already corrected for {whom}, not for {name}; print it without --printer, or "
            'make the sheets again with --printer "{name}"',
            whom=whom,
            name=printer.name,
        ),
    )


def _is_made_for(corrections: Iterable[Matrix | None], printer: PrinterProfile) -> bool:
    return all(_is_same_matrix(matrix, make_printer_matrix(printer)) for matrix in corrections)


def _is_same_matrix(one: Matrix | None, other: Matrix | None) -> bool:
    """Whether two printers do the same, to the digits a file is written with."""
    if one is None or other is None:
        return one is other
    return all(abs(a - b) < _SAME_PRINTER for a, b in zip(one, other, strict=True))


def _correct_pages(data: bytes, name: str, printer: Matrix) -> bytes:
    """Every page moved and scaled for a printer, and marked so that it is never done again.

    The content itself is not touched: each page's is run inside one transformation.
    """
    from pypdf import PdfWriter
    from pypdf.generic import ArrayObject, DecodedStreamObject, NameObject

    opening, closing = ("\n".join(part).encode("ascii") for part in correction_operators(printer))
    with guard_pdf_reading(name):
        writer = PdfWriter(clone_from=io.BytesIO(data))
        before, after = DecodedStreamObject(), DecodedStreamObject()
        before.set_data(opening + b"\n")
        after.set_data(b"\n" + closing)
        first, last = writer._add_object(before), writer._add_object(after)
        for page in writer.pages:
            if "/Contents" not in page:
                continue
            contents = page.raw_get("/Contents")
            inner = contents if isinstance(contents, ArrayObject) else [contents]
            page[NameObject("/Contents")] = ArrayObject([first, *inner, last])
        stream = io.BytesIO()
        writer.write(stream)
        return stream.getvalue()


def has_print_queue() -> bool:
    """Whether there is a print system to hand a file to."""
    return shutil.which("lp") is not None


def make_queue_command(
    page: PageSize, queue: str = "", copies: int = 1, two_sided: str = ""
) -> tuple[str, ...]:
    """The ``lp`` command, without its file, that prints at 100 % and never fits to the page."""
    return (
        "lp",
        *(("-d", queue) if queue else ()),
        *(("-n", str(copies)) if copies > 1 else ()),
        "-o", "print-scaling=none",
        "-o", f"media={page.media}",
        "-o", f"sides={_SIDES[two_sided]}",
    )  # fmt: skip


def send_to_queue(data: bytes, title: str, command: tuple[str, ...]) -> str:
    """Hands a document to the queue and returns its answer; PrintError when it refuses."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(data)
        file.flush()
        try:
            done = subprocess.run(
                [*command, "-t", title, file.name], capture_output=True, text=True, check=False
            )
        except OSError as error:
            raise PrintError(
                Said("lp cannot be run: {reason}", reason=describe_os_error(error))
            ) from error
    if done.returncode:
        lines = (done.stderr or done.stdout).strip().splitlines()
        reason = lines[0] if lines else Said("lp ended with {code}", code=done.returncode)
        raise PrintError(
            Said("{title}: the print queue refused it: {reason}", title=title, reason=reason)
        )
    return " ".join(done.stdout.split())


def describe_manual_printing(page: PageSize, two_sided: str = "") -> Iterator[Said]:
    """How to print true by hand, step by step."""
    page_name = page.name
    yield Said("1. Put {page} stock in the tray and open the PDF in any viewer.", page=page_name)
    yield Said("2. In the print dialogue choose 100 % or Actual size; never Fit or Shrink to page.")
    yield Said("3. Choose {page} as the paper, and no extra margins.", page=page_name)
    yield {
        "long": Said("4. Choose two-sided, turned on the long edge."),
        "short": Said("4. Choose two-sided, turned on the short edge."),
    }.get(two_sided, Said("4. Choose one-sided."))
    yield Said(
        "5. Print one sheet on plain paper and lay a ruler on the 50 mm scale in its margin."
    )
