"""Holds the ink of a finished PDF against a fresh drawing of the labels that the order makes."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property, lru_cache
from itertools import groupby
from typing import TYPE_CHECKING

from labelkit.checks.craft import OWN_CHECK
from labelkit.common.confined import run_confined
from labelkit.common.messages import Number, Said, Term, count_things
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours
from labelkit.model.runs import Box, Panel, Run
from labelkit.pdf.ink import (
    InkDifference,
    PageInk,
    compare_ink,
    encode_png,
    find_dot,
    make_difference_picture,
    make_mask,
    render_page_ink,
)
from labelkit.pdf.read import PlacedPanel, read_corrections
from labelkit.pdf.read.geometry import Matrix
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.rules.findings import Finding, Level

if TYPE_CHECKING:
    from PIL import Image

EDGE_MM = 0.3
"""So close to the trim ink is not compared: what stands beside the label may touch it."""
NEAR_MM = 0.2
"""Ink so close to an element's own is told as that element's."""
MOST_PICTURES = 20
DRAFT = "draft-mark"


@dataclass(frozen=True)
class FinishedPdf:
    """A PDF with labels, and what was read of it."""

    name: str
    data: bytes = field(repr=False)
    panels: tuple[PlacedPanel, ...]


@dataclass(frozen=True)
class InkVerdict:
    """What the ink of finished PDFs is found to be."""

    findings: tuple[Finding, ...]
    pictures: dict[str, bytes] = field(repr=False)
    """PNG files by name: a label as expected, as found, and where the two differ."""


def judge_ink(job: Job, pdfs: Iterable[FinishedPdf]) -> InkVerdict:
    """Every label of the PDFs as it prints, against the label that the order makes.

    One finding for each element of a panel whose ink is not as composed, and one for ink beside
    all elements. InputError where a PDF cannot be drawn.
    """
    told: dict[tuple[str, str, str], _OddInk] = {}
    pictures: dict[str, bytes] = {}
    order = _OrderDrawing(job)
    for pdf in pdfs:
        for place, odd in _compare_labels(order, pdf):
            for key, box in odd.elements.items():
                told.setdefault(key, _OddInk(place, box)).labels += 1
            if len(pictures) < 3 * MOST_PICTURES:
                pictures |= odd.make_pictures(place)
    return InkVerdict(tuple(_make_finding(key, one) for key, one in told.items()), pictures)


@dataclass
class _OddInk:
    """Ink that is not as composed: where it was first met, and on how many labels."""

    place: PlacedPanel
    box: Box
    labels: int = 0


@dataclass(frozen=True)
class _OddLabel:
    """One label whose ink is not as composed."""

    elements: dict[tuple[str, str, str], Box]
    """Where (mm, on the label), by panel, element and whether ink is "extra" or "missing"."""
    expected: Image.Image
    found: Image.Image
    difference: InkDifference

    def make_pictures(self, place: PlacedPanel) -> dict[str, bytes]:
        stem = f"{place.panel.name}-page-{place.page + 1}-label-{place.label + 1}"
        shown = make_difference_picture(self.difference, self.found)
        images = {"expected": self.expected, "found": self.found, "difference": shown}
        return {f"{stem}-{what}.png": encode_png(image) for what, image in images.items()}


def _compare_labels(
    order: _OrderDrawing, pdf: FinishedPdf
) -> Iterator[tuple[PlacedPanel, _OddLabel]]:
    corrections = read_corrections(pdf.data, pdf.name)
    for index, on_page in groupby(pdf.panels, lambda place: place.page):
        places = [place for place in on_page if place.panel.name in order.composed]
        if not places:
            continue
        printer = corrections[index]
        found = run_confined(pdf.name, render_page_ink, pdf.data, index)
        for alike in _separate_labels(places):
            drawn = order.draw_page(alike, found, printer)
            expected = run_confined(pdf.name, render_page_ink, drawn, 0)
            for place in alike:
                odd = _compare_label(order, place, expected, found, printer)
                if odd is not None:
                    yield place, odd


def _separate_labels(places: Iterable[PlacedPanel]) -> list[list[PlacedPanel]]:
    """Labels of one panel that leave each other alone, as few lots as there can be.

    Labels that lie on each other were printed over each other: neither is as it should be, and
    neither may be expected under the other.
    """
    lots: list[list[PlacedPanel]] = []
    for place in places:
        for lot in lots:
            if lot[0].panel.name == place.panel.name and not any(
                _is_overlapping(place, other) for other in lot
            ):
                lot.append(place)
                break
        else:
            lots.append([place])
    return lots


def _is_overlapping(one: PlacedPanel, other: PlacedPanel) -> bool:
    a, b = (_make_place(place.panel, place, 0).box for place in (one, other))
    across = min(a.x1_mm, b.x1_mm) - max(a.x0_mm, b.x0_mm)
    up = min(a.y1_mm, b.y1_mm) - max(a.y0_mm, b.y0_mm)
    return min(across, up) > EDGE_MM


@dataclass(frozen=True)
class _OrderDrawing:
    """The labels that an order makes, to be drawn where a PDF has them."""

    job: Job

    @cached_property
    def composed(self) -> dict[str, ComposedPanel]:
        return {one.panel.name: one for one in self.job.fitting_sheets}

    @cached_property
    def _guests(self) -> dict[str, dict[str, tuple[Run, ...]]]:
        """Guests' runs by panel and what they read."""
        runs, _ = self.job.fitted_guests
        return {
            panel: {_read_guest(own): own for own in by_name.values()}
            for panel, by_name in runs.items()
        }

    def find_own_runs(self, place: PlacedPanel) -> tuple[Run, ...]:
        """The runs of the guest whose name a label reads; none where nobody listed has it."""
        return self._guests.get(place.panel.name, {}).get(_read_guest(place.panel.runs), ())

    def draw_page(
        self, places: Sequence[PlacedPanel], page: PageInk, printer: Matrix | None
    ) -> bytes:
        """A PDF of one page as large as what a found page shows, with labels in the same places."""
        composed = self.composed[places[0].panel.name]
        if any(run.element == DRAFT for place in places for run in place.panel.runs):
            composed = composed.with_draft_mark(self.job.spec.languages)
        on_sheet = tuple(
            _make_place(composed.panel, place, number, page) for number, place in enumerate(places)
        )

        def own_runs(number: int) -> tuple[Run, ...]:
            return self.find_own_runs(places[number])

        sheet = Sheet(page.width_mm, page.height_mm, on_sheet)
        side = SheetSide(composed.panel, composed.faces, own_runs, self.job.spec.bleed_mm)
        stream = io.BytesIO()
        draw_pages(stream, (side,), (Page(0, sheet),), DocumentInfo("", "en"), printer)
        return stream.getvalue()


def _read_guest(runs: Iterable[Run]) -> str:
    return "".join(run.text for run in runs if run.element == "guest")


def _make_place(
    panel: Panel, place: PlacedPanel, number: int, page: PageInk | None = None
) -> LabelPlace:
    """Where a label of the right size stands whose trim begins where the found one does.

    With ``page`` from the lower left corner of what that shows.
    """
    width, height = panel.width_mm, panel.height_mm
    if place.turned:
        width, height = height, width
    left, low = (page.left_mm, page.low_mm) if page is not None else (0.0, 0.0)
    return LabelPlace(number, place.x_mm - left, place.y_mm - low, width, height, place.turns)


def _compare_label(
    order: _OrderDrawing,
    place: PlacedPanel,
    expected: PageInk,
    found: PageInk,
    printer: Matrix | None,
) -> _OddLabel | None:
    panel = order.composed[place.panel.name].panel
    there = found.cut_out(_find_page_box(_make_place(panel, place, 0).box, printer), place.turns)
    wanted = expected.cut_out(
        _find_page_box(_make_place(panel, place, 0, found).box, printer), place.turns
    )
    if wanted.size != there.size:  # rounding of the two corners
        there = there.resize(wanted.size)
    difference = compare_ink(wanted, there, _make_panel_mask(panel, wanted.size))
    if difference is None:
        return None
    elements: dict[tuple[str, str, str], Box] = {}
    runs = (*panel.runs, *order.find_own_runs(place))
    for kind, dots in (("extra", difference.extra), ("missing", difference.missing)):
        for element, box in _attribute_ink(dots.copy(), panel, runs):
            elements.setdefault((panel.name, element, kind), box)
    return _OddLabel(elements, wanted, there, difference)


def _find_page_box(box: Box, printer: Matrix | None) -> Box:
    """Where in the file stands what a printer brings to ``box`` on its paper."""
    if printer is None:
        return box
    back = printer.inverse
    corners = [
        Matrix(e=x * PT_PER_MM, f=y * PT_PER_MM).then(back)
        for x, y in ((box.x0_mm, box.y0_mm), (box.x1_mm, box.y1_mm))
    ]
    return Box(
        corners[0].e / PT_PER_MM,
        corners[0].f / PT_PER_MM,
        corners[1].e / PT_PER_MM,
        corners[1].f / PT_PER_MM,
    )


@lru_cache(maxsize=8)
def _make_panel_mask(panel: Panel, size: tuple[int, int]) -> Image.Image:
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    (contour,) = trace_contours(outline.path(-EDGE_MM))
    return make_mask(contour, size, panel.trim)


def _attribute_ink(
    dots: Image.Image, panel: Panel, runs: Iterable[Run]
) -> Iterator[tuple[str, Box]]:
    """The elements that odd ink touches, then what is left of it beside all of them."""
    for run in runs:
        ink = run.ink
        near = Box(
            ink.x0_mm - NEAR_MM, ink.y0_mm - NEAR_MM, ink.x1_mm + NEAR_MM, ink.y1_mm + NEAR_MM
        )
        left, top = find_dot(near.x0_mm, near.y1_mm, dots.size, panel.trim)
        right, low = find_dot(near.x1_mm, near.y0_mm, dots.size, panel.trim)
        x0, y0, x1, y1 = (round(max(0.0, value)) for value in (left, top, right, low))
        corners = (x0, y0, x1, y1)
        if dots.crop(corners).getbbox() is not None:
            yield run.element, run.ink
            dots.paste(0, corners)
    rest = dots.getbbox()
    if rest is not None:
        per_dot = panel.width_mm / dots.size[0]
        left, top, right, low = (value * per_dot for value in rest)
        yield "", Box(left, panel.height_mm - low, right, panel.height_mm - top)


def _make_finding(key: tuple[str, str, str], odd: _OddInk) -> Finding:
    panel, element, kind = key
    if element and kind == "extra":
        message = Said(
            "{part} has ink over or beside it that should not be there ({labels}, first label"
            " {label} on page {page})",
            **_describe_place(element, odd),
        )
    elif element:
        message = Said(
            "{part} lacks ink that should be there ({labels}, first label {label} on page {page})",
            **_describe_place(element, odd),
        )
    else:
        template = (
            "there is ink that should not be there, {x} mm from the left edge and {y} mm from the"
            " lower one ({labels}, first label {label} on page {page})"
            if kind == "extra"
            else "ink is missing {x} mm from the left edge and {y} mm from the lower one ({labels},"
            " first label {label} on page {page})"
        )
        message = Said(
            template,
            x=Number(Decimal(odd.box.x0_mm), 1),
            y=Number(Decimal(odd.box.y0_mm), 1),
            **_describe_place("", odd),
        )
    return Finding(
        rule="LABELKIT-INK",
        region="",
        panel=panel,
        element=element,
        level=Level.FAIL,
        message=message,
        provenance=OWN_CHECK,
        remedy=Said(
            "make the sheets again with labelkit sheet; preflight --pictures FOLDER shows where"
        ),
    )


def _describe_place(element: str, odd: _OddInk) -> dict[str, object]:
    told: dict[str, object] = {"part": Term("part", element)} if element else {}
    return told | {
        "labels": count_things(odd.labels, "{n} label", "{n} labels"),
        "label": Number(odd.place.label + 1),
        "page": Number(odd.place.page + 1),
    }
