"""Every layout in every shape, printed and read back; heights by a reader that is not ours."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from compose_checks import (
    check_apart,
    check_equals,
    check_floors,
    check_inside,
    check_reading_order,
    check_words,
    letter_boxes,
)
from contact_sheet import EVENTS, LAYOUTS, TRIMS, event_job
from drawn import drawn_sheets

from labelkit.compose import ComposedPanel
from labelkit.compose.element_words import make_panel_wordings
from labelkit.compose.job import Job
from labelkit.impose import LabelPlace, Sheet
from labelkit.job.prepare import preflight_job
from labelkit.model.outline import Outline
from labelkit.pdf.read import read_panel_bytes
from labelkit.rules.findings import Level

SHAPES, LANGUAGES = list(TRIMS), list(EVENTS)
# Every layout in every shape; the languages take turns so that each layout meets all of them. In
# every run each second layout is made once: between them they meet every shape and language.
CASES = [
    (number, turn, (layout, LANGUAGES[(number + turn) % len(LANGUAGES)], shape))
    for number, layout in enumerate(LAYOUTS)
    for turn, shape in enumerate(SHAPES)
]
TOLERANCE_MM = 0.02


def printed(composed: ComposedPanel) -> bytes:
    """A page with one label."""
    panel = composed.panel
    place = LabelPlace(0, 10.0, 10.0, panel.width_mm, panel.height_mm)
    sheet = Sheet(panel.width_mm + 20, panel.height_mm + 20, (place,))
    return drawn_sheets(panel, [sheet], composed.faces)


def list_cases(every: int) -> list[object]:
    """All of the cases; in every run those of every so manieth layout."""
    return [
        pytest.param(
            case,
            marks=()
            if turn == number * 5 // 2 % len(SHAPES) and number % every == 0
            else pytest.mark.long,
        )
        for number, turn, case in CASES
    ]


@pytest.fixture(scope="module", params=list_cases(2), ids="-".join)
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return event_job(*request.param, tmp_path_factory.mktemp("event"), guests=1)


@pytest.fixture(scope="module", params=list_cases(3), ids="-".join)
def one_of_three(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return event_job(*request.param, tmp_path_factory.mktemp("event"), guests=1)


def test_it_is_set_whole_inside_the_shape_and_balanced(job: Job) -> None:
    for composed in job.composed:
        check_words(composed, make_panel_wordings(job.spec, job.declaration, composed.panel.name))
        check_inside(composed.panel)
        check_apart(composed)
        check_equals(composed)
        check_reading_order(composed.panel)
        check_floors(composed.panel, job.floors)


# Optical centring (common practice, no source): what is seen to hang in a shape's upper part is not
# in its middle. A wide row at the foot of an oval stands high; the rest must come down to it.
@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.quick(6)
def test_the_front_of_an_oval_does_not_stand_high(layout: str, tmp_path: Path) -> None:
    front = event_job(layout, "fi+sv", "oval", tmp_path).composed[0].panel
    # What follows the trim, in the margin, is no part of what has to look centred.
    outline = Outline(front.shape, front.width_mm, front.height_mm, front.corner_mm)
    boxes = [run.ink for run in front.runs] + [
        art.box for art in front.ornaments if outline.contains(art.box, front.safe_mm - 0.02)
    ]
    above = front.height_mm - max(box.y1_mm for box in boxes)
    below = min(box.y0_mm for box in boxes)
    assert below - above <= 0.06 * front.height_mm


def test_nothing_of_craft_speaks_against_it(one_of_three: Job) -> None:
    craft = [f for f in preflight_job(one_of_three).findings if f.rule.startswith("CRAFT-")]
    # Some small trims have no room for what a layout calls optional, and art that runs to the cut
    # wants a bleed, which these orders do not have; nothing else is told.
    told = {f.rule for f in craft if f.level is not Level.NOTE}
    assert told <= {"CRAFT-LEFT-OUT", "CRAFT-BLEED"}


def test_no_run_of_the_finished_pdf_is_nearer_the_trim_than_the_margin(
    one_of_three: Job,
) -> None:
    for composed in one_of_three.composed:
        for placed in read_panel_bytes(printed(composed), "x.pdf").panels:
            panel = placed.panel
            corner = composed.panel.corner_mm
            outline = Outline(panel.shape, panel.width_mm, panel.height_mm, corner)
            for run in panel.runs:
                if run.text.strip():
                    margin = composed.panel.safe_mm - TOLERANCE_MM
                    assert outline.contains(run.ink, margin), run.text


def glyph_heights(data: bytes) -> Iterator[tuple[str, float, float]]:
    """Every character of the first page: itself, its size, and the height of its ink in mm."""
    page = pypdfium2.PdfDocument(data)[0]
    text = page.get_textpage()
    for index in range(text.count_chars()):
        character = chr(pdfium.FPDFText_GetUnicode(text.raw, index))
        _, bottom, _, top = text.get_charbox(index)
        size = pdfium.FPDFText_GetFontSize(text.raw, index)
        yield character, size, (top - bottom) / 72 * 25.4


# PDFium puts the /ActualText of a run in place of its glyphs where the two differ (a no-break
# space for a space), and then gives every letter the box of the whole run.
SPELT_OTHERWISE = frozenset("\u00a0\u202f\u2009\u00ad")


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.quick(8)
def test_letter_heights_are_those_an_independent_reader_finds(layout: str, tmp_path: Path) -> None:
    job = event_job(layout, "en+fr", "rounded", tmp_path, guests=1)
    compared = 0
    for composed in job.composed:
        found = list(glyph_heights(printed(composed)))
        for run in composed.panel.runs:
            if set(run.text) & SPELT_OTHERWISE or "SmallCaps" in run.face:
                continue
            for letter, ours in (("H", run.letters.capital_mm), ("o", run.letters.small_o_mm)):
                same = [h for c, size, h in found if c == letter and abs(size - run.size_pt) < 1e-3]
                if letter in run.text and ours is not None:
                    assert min(abs(h - ours) for h in same) < TOLERANCE_MM, (run.text, letter)
                    compared += 1
    assert compared >= 6


def test_the_letters_the_law_measures_are_as_tall_in_the_rendered_picture(tmp_path: Path) -> None:
    """Ink counted in pixels of 1/3600 inch, 0.007 mm, of a page that PDFium has rendered."""
    job = event_job("lantern", "en+fr", "rounded", tmp_path, guests=1)
    dots_per_mm = 3600 / 25.4
    compared = 0
    for composed in job.composed:
        page = pypdfium2.PdfDocument(printed(composed))[0]
        image = page.render(scale=3600 / 72, grayscale=True).to_pil()
        foot_mm = image.height / dots_per_mm - 10.0  # the label stands 10 mm from left and foot
        for run in composed.panel.runs:
            wanted = {"4": run.letters.figure_mm, "H": run.letters.capital_mm}
            boxes = letter_boxes(composed, run)
            letters = [c for c in run.text if not c.isspace()]
            for letter, box in zip(letters, boxes, strict=True):
                ours = wanted.get(letter)
                if ours is None or run.element not in ("net-quantity", "dealer", "identity"):
                    continue
                area = (box.x0_mm + 10, foot_mm - box.y1_mm, box.x1_mm + 10, foot_mm - box.y0_mm)
                left, top, right, bottom = (v * dots_per_mm for v in area)
                cut = image.crop((int(left), int(top) - 40, int(right) + 1, int(bottom) + 40))
                ink = cut.point(lambda v: 255 if v < 128 else 0).getbbox()
                assert ink is not None
                assert abs((ink[3] - ink[1]) / dots_per_mm - ours) < TOLERANCE_MM, (letter, run)
                compared += 1
    assert compared >= 2
