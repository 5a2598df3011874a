"""Holds the ink of a finished PDF against a fresh drawing of the labels that the order makes."""

from __future__ import annotations

import dataclasses
import hashlib
import io
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from itertools import groupby
from typing import IO, TYPE_CHECKING

from labelkit.checks.craft import OWN_CHECK
from labelkit.common.confined import run_confined
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said, Term, count_things
from labelkit.common.quantity import MM_PER_INCH, PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours
from labelkit.model.runs import Box, Panel, Run
from labelkit.pdf.ink import (
    DrawnPage,
    InkDifference,
    LabelOnPage,
    PageInk,
    compare_ink,
    encode_png,
    fills_with_toner,
    find_dot,
    look_at_page,
    make_difference_picture,
    make_mask,
    measure_page,
    render_page_ink,
)
from labelkit.pdf.read import PlacedPanel, read_page_settings
from labelkit.pdf.read.geometry import Matrix
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.pdf.write.inks import LIGHT, Inks
from labelkit.rules.findings import Finding, Level

if TYPE_CHECKING:
    from PIL import Image

EDGE_MM = 0.3
"""So close to the trim ink is not compared: what stands beside the label may touch it."""
NEAR_MM = 0.2
"""Ink so close to an element's own is told as that element's."""
MOST_PICTURES = 20
"""Labels that are shown, of those whose ink is not as composed."""
MOST_REMEMBERED = 64
"""Comparisons that are kept: more than a sheet has labels, each of two images of a label."""
DRAFT = "draft-mark"
UNREAD = frozenset({"separator", DRAFT})
"""What nobody has to read."""


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
    seen: tuple[PlacedPanel, ...]
    """Every label with the text that shows on it, and no other."""
    odd: tuple[tuple[PlacedPanel, _OddLabel], ...] = field(repr=False)
    """The first labels whose ink is not as composed."""

    @cached_property
    def pictures(self) -> dict[str, bytes]:
        """PNG files by name: a label as expected, as found, and where the two differ."""
        made = (label.make_pictures(place) for place, label in self.odd)
        return {name: data for pictures in made for name, data in pictures.items()}


def judge_ink(job: Job, pdfs: Iterable[FinishedPdf]) -> InkVerdict:
    """Every label of the PDFs as it prints, against the label that the order makes.

    One finding for each element of a panel whose ink is not as composed, and one for ink beside
    all elements. InputError where a PDF cannot be drawn.
    """
    told: dict[tuple[str, str, str], _OddInk] = {}
    odd: list[tuple[PlacedPanel, _OddLabel]] = []
    seen: list[PlacedPanel] = []
    order = _OrderDrawing(job)
    for pdf in pdfs:
        for looked in _look_at_labels(order, pdf):
            seen.append(looked.place)
            if looked.odd is None:
                continue
            for key, box in looked.odd.elements.items():
                told.setdefault(key, _OddInk(looked.place, box)).labels += 1
            if len(odd) < MOST_PICTURES:
                odd.append((looked.place, looked.odd))
    findings = tuple(_make_finding(key, one) for key, one in told.items())
    return InkVerdict(findings, tuple(seen), tuple(odd))


@dataclasses.dataclass
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


@dataclass(frozen=True)
class _LookedAt:
    """A label as it shows."""

    place: PlacedPanel
    odd: _OddLabel | None = None


def _look_at_labels(order: _OrderDrawing, pdf: FinishedPdf) -> Iterator[_LookedAt]:
    """The labels of a file in the order in which they stand in it."""
    settings = read_page_settings(pdf.data, pdf.name)
    for index, on_page in groupby(pdf.panels, lambda place: place.page):
        places, printer, unit = list(on_page), settings[index].printer, settings[index].unit
        page = run_confined(pdf.name, measure_page, pdf.data, index, unit)
        boxes = tuple(order.enclose(place, printer) for place in places)
        labels = tuple(make_label_on_page(place, printer) for place in places)
        lots = _separate_labels(p for p in places if p.panel.name in order.composed)
        drawn = tuple(order.draw_lot(lot, page, printer) for lot in lots)
        look = run_confined(pdf.name, look_at_page, pdf.data, index, unit, boxes, labels, drawn)
        odd: dict[int, _OddLabel] = {}
        for alike in lots if look.ink.pieces else ():
            odd |= _find_odd_labels(order, alike, look.ink, printer)
        for place, seen in zip(places, look.seen, strict=True):
            yield _LookedAt(keep_seen_runs(place, seen), odd.get(id(place)))


def _find_odd_labels(
    order: _OrderDrawing, alike: Sequence[PlacedPanel], found: PageInk, printer: Matrix | None
) -> dict[int, _OddLabel]:
    """Those of one panel that are not as they should be, by the identity of their place."""
    unlike = _compare_alike(order, alike, found, printer, LIGHT)
    if unlike and order.has_colours(alike[0].panel.name):
        # Made for a printer that takes process inks, whose colours look otherwise.
        places_left = [place for place in alike if id(place) in unlike]
        unlike = _compare_alike(order, places_left, found, printer, Inks("cmyk"))
    return unlike


def _compare_alike(
    order: _OrderDrawing,
    places: Sequence[PlacedPanel],
    found: PageInk,
    printer: Matrix | None,
    inks: Inks,
) -> dict[int, _OddLabel]:
    """Labels of one panel that are not as they should be, by the identity of their place."""
    drawn, shown = order.draw_page(places, found, printer, inks)
    boxes = tuple(order.find_box(place, printer, shown) for place in places)
    expected = order.render(drawn, boxes)
    compared = (
        (id(place), _compare_label(order, place, (expected, shown), found, printer))
        for place in places
    )
    return {key: odd for key, odd in compared if odd is not None}


def make_label_on_page(place: PlacedPanel, printer: Matrix | None = None) -> LabelOnPage:
    """A label as it was read, where it stands in the file."""
    return LabelOnPage(place.panel, _find_found_box(place, printer), place.turns)


def keep_seen_runs(place: PlacedPanel, seen: Sequence[int]) -> PlacedPanel:
    """A label as it was read with the runs of these numbers, which show on its page."""
    if len(seen) == len(place.panel.runs):
        return place
    runs = tuple(place.panel.runs[number] for number in seen)
    return replace(place, panel=replace(place.panel, runs=runs))


# -- what was just written ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WrittenLabel:
    """A label of a file that was just written."""

    page: int
    """0-based."""
    sheet: Sheet
    side: SheetSide
    place: LabelPlace


class FormsWritten:
    """One label for each distinct form that a file's labels have.

    Labels of a panel are alike but for the guest's own lines, and those are alike but for what they
    say and where they stand, which is read back of every label: one of each panel and of each set
    of faces shows how all of them print.
    """

    def __init__(self) -> None:
        self.labels: list[WrittenLabel] = []
        self._seen: set[tuple[int, int, tuple[str, ...]]] = set()

    def note(self, number: int, page: Page, side: SheetSide) -> None:
        """Looks through a page that is written."""
        for place in page.sheet.places:
            faces = tuple(run.face for run in side.own_runs(place.index))
            form = (id(side), place.turns, faces)
            if form not in self._seen:
                self._seen.add(form)
                self.labels.append(WrittenLabel(number, page.sheet, side, place))


@dataclass(frozen=True)
class InkLook:
    """What the ink of a file that was just written is found to be."""

    fault: Said | None = None
    """What a label shows otherwise than a fresh drawing of it; None where none does."""
    filling: tuple[str, ...] = ()
    """Elements whose counters and gaps may fill with toner."""


def look_at_ink(
    stream: IO[bytes], labels: Iterable[WrittenLabel], printer: Matrix | None
) -> InkLook:
    """One of each form of label as it prints, against a fresh drawing of it."""
    filling: dict[str, None] = {}
    for label in labels:
        place, panel = label.place, label.side.panel
        box = _find_page_box(place.box, printer)
        found = render_page_ink(stream, label.page, boxes=(box,))
        drawn = io.BytesIO()
        alone = Sheet(label.sheet.page_width_mm, label.sheet.page_height_mm, (place,))
        draw_pages(drawn, (label.side,), (Page(0, alone),), DocumentInfo("", "en"), printer)
        expected = render_page_ink(drawn.getvalue(), 0, boxes=(box,))
        wanted, there = (page.cut_out(box, place.turns) for page in (expected, found))
        difference = compare_ink(wanted, there, _make_panel_mask(panel, wanted[0].size))
        if difference is not None:
            return InkLook(_describe_fault(label, difference))
        for run in (*panel.runs, *label.side.own_runs(place.index)):
            if run.element not in UNREAD and fills_with_toner(wanted[0], run, panel):
                filling[run.element] = None
    return InkLook(None, tuple(filling))


def _describe_fault(label: WrittenLabel, difference: InkDifference) -> Said:
    panel, number = label.side.panel, label.place.index
    runs = (*panel.runs, *label.side.own_runs(number))
    where = PlacedPanel(label.page, number, panel, 0.0, 0.0, 0)
    told = (
        _tell_odd_ink(element, kind, _OddInk(where, box, 1))
        for kind, dots in (("extra", difference.extra), ("missing", difference.missing))
        for element, box in _attribute_ink(dots.copy(), panel, runs)
    )
    return next(told)


# -- comparing ------------------------------------------------------------------------------------


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
    _last: dict[bytes, PageInk] = field(default_factory=dict, repr=False)
    """The page that was rendered last: most pages of labels without names are alike."""
    _compared: dict[bytes, InkDifference | None] = field(default_factory=dict, repr=False)

    def render(self, drawn: bytes, boxes: tuple[Box, ...]) -> PageInk:
        """What prints in boxes of a page that ``draw_page`` made."""
        if drawn not in self._last:
            self._last.clear()
            self._last[drawn] = render_page_ink(drawn, 0, boxes=boxes)
        return self._last[drawn]

    def draw_lot(
        self, places: Sequence[PlacedPanel], page: PageInk, printer: Matrix | None
    ) -> DrawnPage:
        """Labels of one panel as they should be, in the places of those that a page has."""
        drawn, shown = self.draw_page(places, page, printer)
        return DrawnPage(
            drawn,
            tuple(
                (
                    self.find_box(place, printer),
                    self.find_box(place, printer, shown),
                    place.turns,
                )
                for place in places
            ),
        )

    def find_box(self, place: PlacedPanel, printer: Matrix | None, page: Box | None = None) -> Box:
        """Where on its page stands the label that should be there."""
        panel = self.composed[place.panel.name].panel
        return _find_page_box(_make_place(panel, place, 0, page).box, printer)

    def enclose(self, place: PlacedPanel, printer: Matrix | None) -> Box:
        """What holds the label that was found on a page, and the one that should be there."""
        found = _find_found_box(place, printer)
        if place.panel.name not in self.composed:
            return found
        wanted = self.find_box(place, printer)
        return Box(
            min(found.x0_mm, wanted.x0_mm),
            min(found.y0_mm, wanted.y0_mm),
            max(found.x1_mm, wanted.x1_mm),
            max(found.y1_mm, wanted.y1_mm),
        )

    def compare(
        self, wanted: list[Image.Image], there: list[Image.Image], panel: Panel
    ) -> InkDifference | None:
        """How two labels differ; those of further pages mostly do as those of the first."""
        shown = hashlib.sha256(repr((panel.name, wanted[0].size, len(wanted))).encode())
        for image in (*wanted, *there):
            shown.update(image.tobytes())
        key = shown.digest()
        if key not in self._compared:
            if len(self._compared) >= MOST_REMEMBERED:
                del self._compared[next(iter(self._compared))]
            mask = _make_panel_mask(panel, wanted[0].size)
            self._compared[key] = compare_ink(wanted, there, mask)
        return self._compared[key]

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

    def has_colours(self, panel: str) -> bool:
        """Whether anything on a panel is neither black nor grey."""
        made = self.composed[panel].panel
        colours = {run.colour for run in made.runs} | {one.colour for one in made.ornaments}
        return any(len({value[1:3], value[3:5], value[5:7]}) > 1 for value in colours)

    def draw_page(
        self,
        places: Sequence[PlacedPanel],
        found: PageInk,
        printer: Matrix | None,
        inks: Inks = LIGHT,
    ) -> tuple[bytes, Box]:
        """A PDF of one page with labels in the places of a found one, and what of that it shows.

        It is as large as the found page, and larger where a label is cut off by that.
        """
        composed = self.composed[places[0].panel.name]
        if any(run.element == DRAFT for place in places for run in place.panel.runs):
            composed = composed.with_draft_mark(self.job.spec.languages)
        shown = _enclose_labels(composed.panel, places, found, printer)
        on_sheet = tuple(
            _make_place(composed.panel, place, number, shown) for number, place in enumerate(places)
        )

        def own_runs(number: int) -> tuple[Run, ...]:
            return self.find_own_runs(places[number])

        sheet = Sheet(shown.width_mm, shown.height_mm, on_sheet)
        bleed_mm = self.job.spec.bleed_mm
        side = SheetSide(composed.panel, composed.faces, own_runs, bleed_mm, inks)
        stream = io.BytesIO()
        draw_pages(stream, (side,), (Page(0, sheet),), DocumentInfo("", "en"), printer)
        return stream.getvalue(), shown


def _enclose_labels(
    panel: Panel, places: Sequence[PlacedPanel], found: PageInk, printer: Matrix | None
) -> Box:
    """What a found page shows (mm), and by whole dots so much more that every label is in it."""
    boxes = [_find_page_box(_make_place(panel, place, 0).box, printer) for place in places]
    dot_mm = float(MM_PER_INCH) / found.dpi

    def reach(beyond_mm: float) -> float:
        return max(0, math.ceil(beyond_mm / dot_mm)) * dot_mm

    right, top = found.left_mm + found.width_mm, found.low_mm + found.height_mm
    return Box(
        found.left_mm - reach(found.left_mm - min(box.x0_mm for box in boxes)),
        found.low_mm - reach(found.low_mm - min(box.y0_mm for box in boxes)),
        right + reach(max(box.x1_mm for box in boxes) - right),
        top + reach(max(box.y1_mm for box in boxes) - top),
    )


def _read_guest(runs: Iterable[Run]) -> str:
    return "".join(run.text for run in runs if run.element == "guest")


def _make_place(
    panel: Panel, place: PlacedPanel, number: int, page: Box | None = None
) -> LabelPlace:
    """Where a label of the right size stands whose trim begins where the found one does.

    With ``page`` from the lower left corner of that.
    """
    width, height = panel.width_mm, panel.height_mm
    if place.turned:
        width, height = height, width
    left, low = (page.x0_mm, page.y0_mm) if page is not None else (0.0, 0.0)
    return LabelPlace(number, place.x_mm - left, place.y_mm - low, width, height, place.turns)


def _compare_label(
    order: _OrderDrawing,
    place: PlacedPanel,
    drawn: tuple[PageInk, Box],
    found: PageInk,
    printer: Matrix | None,
) -> _OddLabel | None:
    """``drawn`` is the page as expected, and where it lies on the found one."""
    expected, shown = drawn
    panel = order.composed[place.panel.name].panel
    there = found.cut_out(order.find_box(place, printer), place.turns)
    wanted = expected.cut_out(order.find_box(place, printer, shown), place.turns)
    size = wanted[0].size
    if size != there[0].size:  # rounding of the two corners
        there = [image.resize(size) for image in there]
    difference = order.compare(wanted, there, panel)
    if difference is None:
        return None
    elements: dict[tuple[str, str, str], Box] = {}
    runs = (*panel.runs, *order.find_own_runs(place))
    for kind, dots in (("extra", difference.extra), ("missing", difference.missing)):
        for element, box in _attribute_ink(dots.copy(), panel, runs):
            elements.setdefault((panel.name, element, kind), box)
    return _OddLabel(elements, wanted[0], there[0], difference)


def _find_found_box(place: PlacedPanel, printer: Matrix | None) -> Box:
    return _find_page_box(_make_place(place.panel, place, 0).box, printer)


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
    return Finding(
        rule="LABELKIT-INK",
        region="",
        panel=panel,
        element=element,
        level=Level.FAIL,
        message=_tell_odd_ink(element, kind, odd),
        provenance=OWN_CHECK,
        remedy=Said(
            "make the sheets again with labelkit sheet; preflight --pictures FOLDER shows where"
        ),
    )


def _tell_odd_ink(element: str, kind: str, odd: _OddInk) -> Said:
    if element:
        return Said(
            "{part} has ink over or beside it that should not be there ({labels}, first label"
            " {label} on page {page})"
            if kind == "extra"
            else "{part} lacks ink that should be there ({labels}, first label {label} on page"
            " {page})",
            **_describe_place(element, odd),
        )
    return Said(
        "there is ink that should not be there, {x} mm from the left edge and {y} mm from the"
        " lower one ({labels}, first label {label} on page {page})"
        if kind == "extra"
        else "ink is missing {x} mm from the left edge and {y} mm from the lower one ({labels},"
        " first label {label} on page {page})",
        x=Number(Decimal(odd.box.x0_mm), 1),
        y=Number(Decimal(odd.box.y0_mm), 1),
        **_describe_place("", odd),
    )


def _describe_place(element: str, odd: _OddInk) -> dict[str, object]:
    told: dict[str, object] = {"part": Term("part", element)} if element else {}
    return told | {
        "labels": count_things(odd.labels, "{n} label", "{n} labels"),
        "label": Number(odd.place.label + 1),
        "page": Number(odd.place.page + 1),
    }
