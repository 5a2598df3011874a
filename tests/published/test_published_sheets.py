"""Pages against the standards they are named by, and printed positions read by a second reader.

The positions of labels are worked out here from the stock files' own figures (or, for plain
sheets, from the page), drawn by labelkit, and measured in the PDF by pdfplumber, which shares no
code with labelkit's own reader.
"""

from __future__ import annotations

import io
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest
from drawn import drawn_sheets

from labelkit.common.resources import find_stock_folder
from labelkit.impose import Sheet, impose_labels, mirror_for_back
from labelkit.model.runs import Ornament, Panel
from labelkit.order.label import Trim
from labelkit.order.printer import PrinterProfile
from labelkit.order.stock import Stock, find_stock, list_stocks
from labelkit.pdf.write.calibration import ACROSS_MM, INSET_MM, UP_MM, draw_calibration_pdf
from labelkit.pdf.write.diagram import draw_diagram_pdf, make_stock_sheet
from labelkit.pdf.write.printing import correct_pdf

POSITION_MM = 0.05
"""How true positions are promised to be."""
MM = 72 / 25.4

ISO_216_A4_MM = (210, 297)
"""ISO 216:2007, A series, trimmed sizes (from memory)."""
ASME_Y14_1_A_MM = (Decimal("8.5") * Decimal("25.4"), 11 * Decimal("25.4"))
"""ASME Y14.1, size A: 8.5 x 11 in (from memory); the inch is 25.4 mm exactly (NIST HB 44)."""

BUNDLED = list_stocks()
names = pytest.mark.parametrize("stock", BUNDLED, ids=lambda stock: str(stock.name))


def panel(trim: Trim) -> Panel:
    """A label that is one filled rectangle, as large as its trim."""
    edge = f"M0 0L{trim.width_mm} 0L{trim.width_mm} {trim.height_mm}L0 {trim.height_mm}Z"
    whole = Panel("front", trim.width_mm, trim.height_mm)
    return Panel(
        "front", trim.width_mm, trim.height_mm, ornaments=(Ornament(edge, whole.trim, "#ddeeff"),)
    )


def printed(trim: Trim, sheets: tuple[Sheet, ...]) -> bytes:
    return drawn_sheets(panel(trim), sheets, {})


def labels_of(page: Any) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right and top of every label on a page, in millimetres, as pdfplumber sees."""
    return [
        tuple(shape[key] / MM for key in ("x0", "y0", "x1", "y1"))
        for shape in (*page.rects, *page.curves)
        if shape["fill"] and shape["non_stroking_color"] not in (None, 0, (0,), [0])
    ]


def lines_of(page: Any) -> list[tuple[float, float, float, float]]:
    return [tuple(line[key] / MM for key in ("x0", "y0", "x1", "y1")) for line in page.lines]


def millimetres(text: str) -> list[float]:
    """The numbers of "2.625 x 1 in" or "12.7 mm" in millimetres."""
    *numbers, unit = text.replace("x", " ").split()
    factor = {"mm": 1.0, "in": 25.4}[unit]
    return [float(number) * factor for number in numbers]


def corners_by_ruler(stock: Stock) -> list[tuple[float, float]]:
    """Lower left corners of a stock's labels, from nothing but its file."""
    data = tomllib.loads((find_stock_folder() / f"{stock.name}.toml").read_text(encoding="utf-8"))
    width, height = millimetres(data["die"])
    across, down = data["across"], data.get("down", 1)
    if "pitch" in data:
        step_x, step_y = millimetres(data["pitch"])
    else:
        gap_x, gap_y = millimetres(data.get("gap", "0 x 0 mm"))
        step_x, step_y = width + gap_x, height + gap_y
    page = millimetres(data["page"]) if "page" in data else [*millimetres(data["width"]), height]
    used_x, used_y = (across - 1) * step_x + width, (down - 1) * step_y + height
    left = millimetres(data["left"])[0] if "left" in data else (page[0] - used_x) / 2
    top = millimetres(data["top"])[0] if "top" in data else (page[1] - used_y) / 2
    return [
        (left + column * step_x, page[1] - top - row * step_y - height)
        for row in range(down)
        for column in range(across)
    ]


# -- pages -----------------------------------------------------------------------------------------


@names
def test_pages_are_those_of_the_standard_they_are_named_by(stock: Stock) -> None:
    page = (Decimal(str(stock.page_width_mm)), Decimal(str(stock.page_height_mm)))
    if stock.name.startswith("a4-"):
        assert page == ISO_216_A4_MM
    elif stock.name.startswith("letter-"):
        assert page == ASME_Y14_1_A_MM
    else:
        assert stock.name.startswith(("small-", "roll-"))


def test_there_is_stock_for_both_pages() -> None:
    prefixes = {stock.name.split("-")[0] for stock in BUNDLED}
    assert prefixes == {"a4", "letter", "small", "roll"}


# -- positions -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "stock", [s for s in BUNDLED if s.ready_cut], ids=lambda stock: str(stock.name)
)
@pytest.mark.quick(8)
def test_labels_print_on_the_dies(stock: Stock) -> None:
    trim = Trim(stock.die_width_mm, stock.die_height_mm, stock.shape, stock.corner_mm)
    sheets = impose_labels(stock, trim, stock.count + 1)
    with pdfplumber.open(io.BytesIO(printed(trim, sheets))) as pdf:
        assert len(pdf.pages) == 2
        assert pdf.pages[0].width / MM == pytest.approx(stock.page_width_mm, abs=0.01)
        assert pdf.pages[0].height / MM == pytest.approx(stock.page_height_mm, abs=0.01)
        found = labels_of(pdf.pages[0])
        expected = corners_by_ruler(stock)
        assert len(found) == len(expected)
        for box, (x, y) in zip(found, expected, strict=True):
            assert box == pytest.approx(
                (x, y, x + trim.width_mm, y + trim.height_mm), abs=POSITION_MM
            )
        assert len(labels_of(pdf.pages[1])) == 1


@names
@pytest.mark.quick(10)
def test_marks_and_ruler_print_true_and_touch_no_label(stock: Stock) -> None:
    trim = Trim(30, 24)
    sheets = impose_labels(stock, trim, 12)
    with pdfplumber.open(io.BytesIO(printed(trim, sheets))) as pdf:
        page = pdf.pages[0]
        labels, lines = labels_of(page), lines_of(page)
    assert len(labels) == len(sheets[0].places)
    for x0, y0, x1, y1 in labels:
        assert sorted((x1 - x0, y1 - y0)) == pytest.approx([24, 30], abs=POSITION_MM)
    ruler = sheets[0].ruler
    expected = [*sheets[0].marks, *(ruler.lines if ruler else ())]
    expected += [line for target in sheets[0].registration for line in target.cross]
    assert _same(lines, [mark.box for mark in expected])
    for x0, y0, x1, y1 in lines:
        for left, bottom, right, top in labels:
            beside = x1 <= left or x0 >= right or y1 <= bottom or y0 >= top
            assert beside, f"a line at {x0:.1f}, {y0:.1f} crosses the label at {left:.1f}"


def _same(lines: list[tuple[float, ...]], boxes: list[Any]) -> bool:
    rest = list(lines)
    for box in boxes:
        wanted = (box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm)
        near = [i for i, f in enumerate(rest) if f == pytest.approx(wanted, abs=POSITION_MM)]
        if not near:
            return False
        rest.pop(near[0])
    return not rest


@pytest.mark.parametrize("name", ["letter-plain", "a4-plain", "letter-3x10-66x25"])
def test_the_ruler_prints_fifty_millimetres(name: str) -> None:
    stock = find_stock(name, Path())
    trim = Trim(44, 25)
    with pdfplumber.open(io.BytesIO(printed(trim, impose_labels(stock, trim, 1)))) as pdf:
        lines = lines_of(pdf.pages[0])
        words = pdf.pages[0].extract_text()
    longest = max(lines, key=lambda line: line[2] - line[0])
    assert longest[2] - longest[0] == pytest.approx(50, abs=POSITION_MM)
    on_scale = [
        line for line in lines if abs(line[1] - longest[1]) < 0.01 and line[3] - line[1] < 3
    ]
    ticks = [x0 for x0, _, x1, _ in on_scale if x1 - x0 < 0.01]
    assert len(ticks) == 51
    assert max(ticks) - min(ticks) == pytest.approx(50, abs=POSITION_MM)
    assert "50 mm" in words


@pytest.mark.parametrize("flip", ["long", "short"])
@pytest.mark.parametrize("name", ["letter-plain", "a4-4x8-44x28", "small-100x150-plain"])
def test_fronts_and_backs_print_in_register(name: str, flip: str) -> None:
    """Held against the light, every label lies on one of the other side (both read from PDFs)."""
    stock = find_stock(name, Path())
    trim = Trim(44, 28)
    fronts = impose_labels(stock, trim, 5)
    backs = tuple(mirror_for_back(sheet, flip) for sheet in fronts)
    with pdfplumber.open(io.BytesIO(printed(trim, fronts))) as pdf:
        front, width, height = labels_of(pdf.pages[0]), pdf.pages[0].width, pdf.pages[0].height
    with pdfplumber.open(io.BytesIO(printed(trim, backs))) as pdf:
        back = labels_of(pdf.pages[0])
    width, height = width / MM, height / MM
    for (x0, y0, x1, y1), behind in zip(front, back, strict=True):
        over = (width - x1, y0, width - x0, y1)
        if flip == "short":
            over = (x0, height - y1, x1, height - y0)
        assert behind == pytest.approx(over, abs=POSITION_MM)


# -- calibration -----------------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_the_calibration_page_prints_the_distances_it_states(page: str) -> None:
    with pdfplumber.open(io.BytesIO(draw_calibration_pdf(page))) as pdf:
        (sheet,) = pdf.pages
        size = (sheet.width / MM, sheet.height / MM)
        lines, words = lines_of(sheet), sheet.extract_text()
    standard = ASME_Y14_1_A_MM if page == "letter" else ISO_216_A4_MM
    assert size == pytest.approx(tuple(map(float, standard)), abs=0.01)
    crosses = [((x0 + x1) / 2, y0) for x0, y0, x1, y1 in lines if abs(x1 - x0 - 12) < 0.01]
    assert len(crosses) == 4
    left, right = min(x for x, _ in crosses), max(x for x, _ in crosses)
    foot, head = min(y for _, y in crosses), max(y for _, y in crosses)
    assert (left, foot) == pytest.approx((INSET_MM, INSET_MM), abs=POSITION_MM)
    assert right - left == pytest.approx(ACROSS_MM[page], abs=POSITION_MM)
    assert head - foot == pytest.approx(UP_MM[page], abs=POSITION_MM)
    for distance in (ACROSS_MM[page], UP_MM[page], INSET_MM):
        assert f"{distance:g} mm" in words
    # The steps say how far from the edge they are.
    steps = sorted(round(y0, 2) for x0, y0, x1, y1 in lines if abs(x1 - x0 - 4) < 0.01 and y0 < 16)
    assert steps == pytest.approx(list(range(1, 16)), abs=POSITION_MM)


NONE = Path("printers.toml")
"""Where the printers would be kept; none is."""


def test_a_corrected_sheet_lands_true_on_a_printer_that_lies() -> None:
    """The printer's model applied to what the corrected PDF asks for gives the stock's places."""
    stock = find_stock("letter-3x10-66x25", Path())
    trim = Trim(66.675, 25.4, "rounded", 1.6)
    printer = PrinterProfile("p", -0.8, 1.1, 1.004, 0.997)
    data = correct_pdf(printed(trim, impose_labels(stock, trim, 30)), "p.pdf", printer, NONE)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        asked = labels_of(pdf.pages[0])
    expected = corners_by_ruler(stock)
    assert len(asked) == 30
    for (x0, y0, x1, y1), (x, y) in zip(asked, expected, strict=True):
        # scale times place plus offset, from the page's lower left corner
        landed = (1.004 * x0 - 0.8, 0.997 * y0 + 1.1, 1.004 * x1 - 0.8, 0.997 * y1 + 1.1)
        assert landed == pytest.approx((x, y, x + 66.675, y + 25.4), abs=POSITION_MM)
        assert abs(x0 - x) > POSITION_MM  # and it was not true before


def test_correcting_changes_no_word_and_no_page() -> None:
    data = draw_calibration_pdf("a4")
    printer = PrinterProfile("p", 0.5, 0.5, 1.001, 0.999)
    corrected = correct_pdf(data, "p.pdf", printer, NONE)
    before, after = pypdf.PdfReader(io.BytesIO(data)), pypdf.PdfReader(io.BytesIO(corrected))
    assert [p.extract_text() for p in before.pages] == [p.extract_text() for p in after.pages]
    assert before.pages[0].mediabox == after.pages[0].mediabox
    assert corrected == correct_pdf(data, "p.pdf", printer, NONE)


# -- drawn stock -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "stock", [s for s in BUNDLED if s.ready_cut], ids=lambda stock: str(stock.name)
)
@pytest.mark.quick(3)
def test_drawn_stock_is_true_to_size(stock: Stock) -> None:
    with pdfplumber.open(
        io.BytesIO(draw_diagram_pdf((make_stock_sheet(stock),), stock.title))
    ) as pdf:
        (page,) = pdf.pages
        lines, words = lines_of(page), page.extract_text().split()
    corners = corners_by_ruler(stock)
    for x, y in (corners[0], corners[-1]):
        box = (x, y, x + stock.die_width_mm, y + stock.die_height_mm)
        own = [line for line in lines if _middle_in(line, box)]
        low = [min(line[side] for line in own) for side in (0, 1)]
        high = [max(line[side] for line in own) for side in (2, 3)]
        assert (*low, *high) == pytest.approx(box, abs=POSITION_MM)
    assert {str(number) for number in range(1, stock.count + 1)} <= set(words)


def _middle_in(line: tuple[float, ...], box: tuple[float, ...]) -> bool:
    x, y = (line[0] + line[2]) / 2, (line[1] + line[3]) / 2
    hair = 0.002
    return box[0] - hair <= x <= box[2] + hair and box[1] - hair <= y <= box[3] + hair
