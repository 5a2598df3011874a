"""The cutting guide against the sheets it is laid under, both read by pdfplumber."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest

from labelkit.impose import impose_labels
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.order.printer import PrinterProfile, format_printers
from labelkit.pdf.read import read_panels

MM = 72 / 25.4
OUTLINE_MM = 0.01
"""How near the outline is promised to be."""

Point = tuple[float, float]
Event = Callable[..., Path]

SHAPES = {
    "round": (44.0, 44.0),
    "oval": (60.0, 44.0),
    "arch": (50.0, 60.0),
}


SMALL = """labelkit = 1
title = "Small"
kind = "plain"
page = "150 x 200 mm"
unprintable = "4.5 mm"
"""
"""A page of which 14 labels take three, of each shape."""


def event(personal: Event, shape: str, stock: str = "letter-plain", spares: int = 9) -> Path:
    width, height = SHAPES[shape]
    return personal(
        "guide", ("A B",), str(spares),
        ('trim = "44 x 28 mm"', f'trim = "{width:g} x {height:g} mm"'),
        ('shape = "rounded"', f'shape = "{shape}"'),
        ('corner = "2 mm"\n', ""),
        ('layout = "lantern"', f'stock = "{stock}"\nlayout = "lantern"'),
    )  # fmt: skip


def outlines(page: Any) -> list[list[Point]]:
    """Points along every curved path of a page, millimetres from its lower left corner."""
    return [list(along(curve["path"], float(page.height))) for curve in page.curves]


def along(path: list[tuple[Any, ...]], height: float) -> Iterator[Point]:
    """Points of a path as pdfplumber gives it (from the upper left), ten to a cubic curve.

    The cubic is de Casteljau's (ISO 32000-1, 8.5.2.2).
    """
    start = here = (0.0, 0.0)
    for operator, *points in path:
        if operator == "h":
            points = [start]
        if operator == "m":
            start = points[0]
        for step in range(1, 11):
            control = [here, *points] if operator != "m" else points
            while len(control) > 1:
                control = [
                    (a[0] + (b[0] - a[0]) * step / 10, a[1] + (b[1] - a[1]) * step / 10)
                    for a, b in itertools.pairwise(control)
                ]
            yield control[0][0] / MM, (height - control[0][1]) / MM
        here = points[-1]


def stray_mm(shape: str, point: Point) -> float:
    """How far a point is from the outline of a label whose lower left corner is at 0, 0.

    A circle, an ellipse (to first order: its equation over its gradient), and an arch: upright
    sides, closed above by half a circle.
    """
    width, height = SHAPES[shape]
    x, y = point
    if shape == "arch":
        radius = width / 2
        spring = height - radius
        if y >= spring:
            return abs(math.hypot(x - radius, y - spring) - radius)
        return min(abs(x), abs(x - width), abs(y))
    a, b, x, y = width / 2, height / 2, x - width / 2, y - height / 2
    value = (x / a) ** 2 + (y / b) ** 2 - 1
    return abs(value) / math.hypot(2 * x / a**2, 2 * y / b**2)


def on_label(place: Any, point: Point) -> Point:
    """A point of the page from a label's own lower left corner: turned back by hand."""
    box, (x, y) = place.box, point
    return {
        0: (x - box.x0_mm, y - box.y0_mm),
        1: (y - box.y0_mm, box.x1_mm - x),
        2: (box.x1_mm - x, box.y1_mm - y),
        3: (box.y1_mm - y, x - box.x0_mm),
    }[place.turns]


def check(shape: str, found: list[list[Point]], places: tuple[Any, ...]) -> None:
    """Every outline is that of one label, and every label has one."""
    assert len(found) == len(places)
    for points, place in zip(found, places, strict=True):
        own = [on_label(place, point) for point in points]
        assert max(stray_mm(shape, point) for point in own) < OUTLINE_MM
        for axis, size in enumerate(SHAPES[shape]):
            values = [point[axis] for point in own]
            assert (min(values), max(values)) == pytest.approx((0, size), abs=OUTLINE_MM)


def guide_of(made: MadeSheets) -> Path:
    *sheets, guide = made.files
    assert guide.name == "cut-guide.pdf"
    assert [path.name for path in sheets] in (["front.pdf", "back.pdf"], ["both-sides.pdf"])
    return guide


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.quick(1)
def test_outlines_lie_on_the_labels(shape: str, personal: Event, tmp_path: Path) -> None:
    label = event(personal, shape, "small.toml", 13)
    label.with_name("small.toml").write_text(SMALL, encoding="utf-8")
    job = prepare_job(label)
    sheets = impose_labels(job.stock, job.spec.trim, 14)
    made = make_sheets_of_file(label, tmp_path)
    if shape == "arch":
        assert {place.turns for sheet in sheets for place in sheet.places} == {1}
    with pdfplumber.open(guide_of(made)) as guide, pdfplumber.open(made.files[0]) as front:
        different = [sheets[0], sheets[-1]]
        assert len(guide.pages) == len(different) < len(sheets)
        for page, sheet in zip(guide.pages, different, strict=True):
            check(shape, outlines(page)[: len(sheet.places)], sheet.places)
        # In register: page size, crop marks and crosses are those of the sheets.
        for page, sheet_page in (
            (guide.pages[0], front.pages[0]),
            (guide.pages[-1], front.pages[-1]),
        ):
            assert (page.width, page.height) == (sheet_page.width, sheet_page.height)
            assert lines_of(page) == lines_of(sheet_page) != []
    # The labels stand where the outlines do, and no outline is printed on them.
    placed = read_panels(made.files[0]).panels
    assert len(placed) == 14
    wanted = [place for sheet in sheets for place in sheet.places]
    for found, place in zip(placed, wanted, strict=True):
        assert (found.x_mm, found.y_mm) == pytest.approx((place.x_mm, place.y_mm), abs=OUTLINE_MM)
    for path in made.files[:-1]:
        with pdfplumber.open(path) as pdf:
            for points in (points for page in pdf.pages for points in outlines(page)):
                assert max(x for x, _ in points) - min(x for x, _ in points) < 40
    assert read_panels(made.files[-1]).panels == ()


def lines_of(page: Any) -> list[tuple[float, ...]]:
    sides = ("x0", "y0", "x1", "y1")
    return sorted(tuple(round(line[side], 3) for side in sides) for line in page.lines)


@pytest.mark.usefixtures("ink_on_trust")
def test_a_part_used_sheet_has_a_page_of_its_own(personal: Event, tmp_path: Path) -> None:
    # Two round labels to a die, ten dies to a sheet: 10 labels on the first, then 20, 20 and 10.
    label = event(personal, "round", "letter-2x5-102x51", spares=59)
    made = make_sheets_of_file(label, tmp_path, Wish(start=5, skip=(7,)))
    job = prepare_job(label)
    sheets = impose_labels(job.stock, job.spec.trim, 60, 5, (7,))
    assert len(sheets) == 4
    with pdfplumber.open(guide_of(made)) as guide:
        for page, sheet in zip(guide.pages, (sheets[0], sheets[1], sheets[3]), strict=True):
            check("round", outlines(page)[: len(sheet.places)], sheet.places)
    (line,) = (line for line in made.summary if line.startswith(f"{tmp_path / 'cut-guide.pdf'}: "))
    assert line.endswith("page 1 for sheet 1, page 2 for sheets 2 to 3, page 3 for sheet 4")
    assert any("light table" in line and "no labels" in line for line in made.summary)


def test_the_guide_is_corrected_as_the_sheets_are(personal: Event, tmp_path: Path) -> None:
    label = event(personal, "oval")
    printer = PrinterProfile("back room", -0.7, 1.2, 1.0043, 0.9971)
    (label.parent / "printers.toml").write_text(format_printers([printer]), encoding="utf-8")
    made = make_sheets_of_file(label, tmp_path, Wish(printer="back room", two_sided="long"))
    job = prepare_job(label)
    sheet = impose_labels(job.stock, job.spec.trim, 10)[0]
    with pdfplumber.open(guide_of(made)) as guide:
        asked = outlines(guide.pages[0])[: len(sheet.places)]
    landed = [[(1.0043 * x - 0.7, 0.9971 * y + 1.2) for x, y in points] for points in asked]
    check("oval", landed, sheet.places)
    assert any("side of the fronts" in line for line in made.summary)
    assert any("for a plotter make one with --no-printer" in line for line in made.summary)


@pytest.mark.usefixtures("ink_on_trust")
def test_a_round_label_cut_out_of_a_larger_die_has_a_guide(personal: Event, tmp_path: Path) -> None:
    label = event(personal, "round", "letter-3x4-square-51")
    job = prepare_job(label)
    made = make_sheets_of_file(label, tmp_path)
    sheet = impose_labels(job.stock, job.spec.trim, 10)[0]
    with pdfplumber.open(guide_of(made)) as guide:
        check("round", outlines(guide.pages[0])[: len(sheet.places)], sheet.places)


@pytest.mark.usefixtures("ink_on_trust")
@pytest.mark.parametrize(
    ("shape", "stock", "wish"),
    [
        ("round", "letter-4x5-round-44", Wish()),
        ("round", "letter-plain", Wish(one_per_page=True)),
        ("", "letter-plain", Wish()),
    ],
)
def test_no_guide_where_nothing_is_cut_to_a_curve(
    shape: str, stock: str, wish: Wish, personal: Event, tmp_path: Path
) -> None:
    label = event(personal, shape, stock) if shape else personal("plain", ("A B",), "4")
    made = make_sheets_of_file(label, tmp_path, wish)
    assert [path.name for path in made.files] == ["front.pdf", "back.pdf"]
    assert not (tmp_path / "cut-guide.pdf").exists()


OWN_TAG = """[back]
ingredients_on = "tag"

[tag]
trim = "60 x 44 mm"
shape = "oval"
stock = "a4-plain"
copies = 7

[label]
"""


def test_a_tag_is_cut_by_a_guide_of_its_own(personal: Event, tmp_path: Path) -> None:
    label = personal("tag", ("A B",), "4", ("[label]\n", OWN_TAG))
    made = make_sheets_of_file(label, tmp_path)
    assert made.report.verdict == "pass"
    names = ["front.pdf", "back.pdf", "tag.pdf", "cut-guide-tag.pdf"]
    assert [path.name for path in made.files] == names
    assert made.summary[:2] == (
        "5 labels (1 guest + 4 spares), Letter, plain sheet",
        "tag: 7, A4, plain sheet",
    )
    # Letter is 8.5 x 11 inches (ANSI/ASME Y14.1); A4 210 x 297 mm (ISO 216).
    for path, (width, height) in zip(
        made.files, [(215.9, 279.4)] * 2 + [(210, 297)] * 2, strict=True
    ):
        box = pypdf.PdfReader(path).pages[0].mediabox
        assert float(box.width) == pytest.approx(width * MM, abs=0.01)
        assert float(box.height) == pytest.approx(height * MM, abs=0.01)
    tags = [place.panel for place in read_panels(tmp_path / "tag.pdf").panels]
    assert len(tags) == 7
    assert {tag.shape for tag in tags} == {"oval"}
    assert all(tag.width_mm == pytest.approx(60, abs=1e-4) for tag in tags)
    assert all(tag.height_mm == pytest.approx(44, abs=1e-4) for tag in tags)
    with pdfplumber.open(tmp_path / "cut-guide-tag.pdf") as guide:
        drawn = sum(len(outlines(page)) for page in guide.pages)
        pages = len(guide.pages)
    assert pages in (1, 2)  # full sheets and a last one are unlike
    assert drawn >= 7 / len(pypdf.PdfReader(tmp_path / "tag.pdf").pages)


def test_a_tag_on_paper_is_no_clear_label(personal: Event) -> None:
    clear = ("[label]\n", OWN_TAG + "clear = true\n")
    front, back, tag = prepare_job(personal("clear", ("A B",), "0", clear)).panels
    assert front.background == back.background == "#e9c98f"  # the soap shows through
    assert tag.background is None
