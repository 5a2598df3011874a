"""The one idea of labelkit: a label is a list of text runs placed on a panel.

The composer makes runs from a label spec, the PDF reader makes the same runs from a finished PDF,
the rules judge runs without knowing which of the two made them, and the drawer draws them.

Coordinates are millimetres from the lower left corner of the *trim*, x to the right, y up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, replace

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import MM_PER_INCH
from labelkit.model.path_segments import Matrix, move_path

NEUTRAL = "zxx"
"""Language of text that is nobody's: figures, symbols, INCI names, addresses (ISO 639-2)."""

SOFT_HYPHEN = "\u00ad"
"""Ends a run whose word goes on in the next run; drawn as a hyphen, dropped when text is joined."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in millimetres: left, bottom, right, top."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    @property
    def width_mm(self) -> float:
        return self.x1_mm - self.x0_mm

    @property
    def height_mm(self) -> float:
        return self.y1_mm - self.y0_mm

    def shifted(self, dx_mm: float, dy_mm: float) -> Box:
        return Box(self.x0_mm + dx_mm, self.y0_mm + dy_mm, self.x1_mm + dx_mm, self.y1_mm + dy_mm)

    def inset(self, by_mm: float) -> Box:
        return Box(self.x0_mm + by_mm, self.y0_mm + by_mm, self.x1_mm - by_mm, self.y1_mm - by_mm)

    def covers(self, other: Box, tolerance_mm: float = 0.0) -> bool:
        return (
            self.x0_mm <= other.x0_mm + tolerance_mm
            and self.y0_mm <= other.y0_mm + tolerance_mm
            and self.x1_mm >= other.x1_mm - tolerance_mm
            and self.y1_mm >= other.y1_mm - tolerance_mm
        )

    def meets(self, other: Box) -> bool:
        return (
            self.x0_mm < other.x1_mm
            and other.x0_mm < self.x1_mm
            and self.y0_mm < other.y1_mm
            and other.y0_mm < self.y1_mm
        )

    def union(self, other: Box) -> Box:
        return Box(
            min(self.x0_mm, other.x0_mm),
            min(self.y0_mm, other.y0_mm),
            max(self.x1_mm, other.x1_mm),
            max(self.y1_mm, other.y1_mm),
        )


@dataclass(frozen=True, slots=True)
class LetterHeights:
    """How tall a run's letters print, in millimetres, measured on the face's own outlines.

    ``capital_mm`` is the flat-topped capital "H", ``small_o_mm`` the lower-case "o" with its
    overshoot, ``figure_mm`` the smallest figure the run contains. ``None``: the face has no such
    letter (or, for the figure, the run contains none), so nothing could be measured.
    """

    capital_mm: float | None
    small_o_mm: float | None
    figure_mm: float | None = None
    n_width_mm: float | None = None
    """Advance width of the capital "N", where a region measures free space by it."""


@dataclass(frozen=True, slots=True)
class Run:
    """One line's worth of text in one face, size and language.

    The texts of an element's runs, concatenated in order, are the element's text: a line that ends
    at a space keeps that space, a word broken over two lines ends in ``SOFT_HYPHEN``.
    """

    text: str
    element: str
    """Which label element it is: see ELEMENTS."""
    language: str
    """A BCP 47 tag, or NEUTRAL."""
    face: str
    """PostScript name of the face."""
    weight: int
    """OS/2 weight class: 400 regular, 700 bold."""
    size_pt: float
    x_mm: float
    baseline_mm: float
    advance_mm: float
    ink: Box
    """Extent of the visible outlines."""
    letters: LetterHeights
    colour: str = "#000000"
    """sRGB as #rrggbb; #000000 is drawn as black ink alone."""
    tracking_em: float = 0.0
    """Extra space after every letter, in ems."""


@dataclass(frozen=True, slots=True)
class Ornament:
    """A vector drawing on a panel."""

    drawn: str
    """SVG path data as it was drawn, before ``move``."""
    box: Box
    colour: str = "#000000"
    stroke_mm: float | None = None
    """Stroke weight, or None for a filled outline."""
    even_odd: bool = False
    """Filled by the even-odd rule instead of the non-zero one."""
    filled: bool = False
    """Filled as well as stroked: the stroke keeps the thinnest part from breaking."""
    move: Matrix | None = None
    """What brings it to its place on the panel; None: it was drawn there."""

    @property
    def path(self) -> str:
        """Path data in panel millimetres, y up. It takes long to write, and what only judges a
        label never asks."""
        return move_path(self.drawn, self.move) if self.move else self.drawn

    def shifted(self, dx_mm: float, dy_mm: float) -> Ornament:
        """The same drawing moved on its panel."""
        if not (dx_mm or dy_mm):
            return self
        a, b, c, d, e, f = self.move or (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
        move = (a, b, c, d, e + dx_mm, f + dy_mm)
        return replace(self, box=self.box.shifted(dx_mm, dy_mm), move=move)


@dataclass(frozen=True, slots=True)
class Picture:
    """A maker's logo placed on a panel."""

    data: bytes = field(repr=False)
    """A PNG or JPEG."""
    pixels: tuple[int, int]
    """Its width and height."""
    box: Box

    @property
    def dots_per_inch(self) -> float:
        """The resolution it prints at."""
        return self.pixels[0] / (self.box.width_mm / float(MM_PER_INCH))


@dataclass(frozen=True, slots=True)
class Panel:
    """One side of the label: its trim and what is on it."""

    name: str
    """"front", "back", or a second surface: "tag", "card", "leaflet", "notice"."""
    width_mm: float
    height_mm: float
    shape: str = "rectangle"
    corner_mm: float = 0.0
    runs: tuple[Run, ...] = ()
    ornaments: tuple[Ornament, ...] = ()
    pictures: tuple[Picture, ...] = ()
    safe_mm: float = 0.0
    """How far text keeps from the trim."""
    background: str | None = None
    """What text is read on: the stock, what shows through clear stock, or a tint printed on
    either; None: white."""
    stock_colour: str | None = None
    """The same without any ink, which no printer here can lighten; None: white."""
    note: str = ""
    """One line on how the panel was fitted, for the proof."""

    @property
    def trim(self) -> Box:
        return Box(0.0, 0.0, self.width_mm, self.height_mm)


ELEMENTS: dict[str, str] = {
    "identity": "what the product is",
    "net-quantity": "the net quantity declaration",
    "ingredients-heading": "the heading of the ingredient list",
    "ingredients": "the ingredient list",
    "dealer": "the name and principal place of business of the firm",
    "contact": "how to reach the maker",
    "lot": "the lot or batch code",
    "origin": "where it was made or by whom imported",
    "directions": "directions for safe use and warnings",
    "list-elsewhere": "the statement where the ingredient list is found",
    "durability": "a best-before date or period after opening",
    "e-mark": "the estimated sign",
    "names": "the people or society of the event",
    "initials": "the initials of the people of the event",
    "date": "the date of the event",
    "numerals": "the date of the event in figures",
    "place": "the place of the event",
    "scent": "the scent or variant",
    "thanks": "a greeting",
    "guest": "the guest's own name",
    "brand": "the maker's trade name where it is not the dealer statement",
    "claim": "any other wording",
    "separator": "a mark between two languages or two elements",
    "draft-mark": "the mark across an unapproved label",
}
"""Every element a run can be, with a plain meaning for messages."""


@dataclass(frozen=True)
class ElementText:
    """An element's whole text in one language, with the runs it was read from."""

    element: str
    language: str
    text: str
    runs: tuple[Run, ...] = field(repr=False)


def join_runs(runs: Iterable[Run]) -> str:
    """The text of successive runs, broken words made whole."""
    return "".join(run.text for run in runs).replace(SOFT_HYPHEN, "").strip()


def list_element_texts(panel: Panel, element: str) -> list[ElementText]:
    """The texts of one element on a panel, one per language, in order of first appearance."""
    return _group_texts(run for run in panel.runs if run.element == element).get(element, [])


def group_element_texts(panel: Panel) -> Mapping[str, list[ElementText]]:
    """The same of every element on a panel, in order of first appearance."""
    return _group_texts(panel.runs)


def _group_texts(runs: Iterable[Run]) -> Mapping[str, list[ElementText]]:
    alike: dict[tuple[str, str], list[Run]] = {}
    for run in runs:
        alike.setdefault((run.element, run.language), []).append(run)
    found: dict[str, list[ElementText]] = {}
    for (element, language), same in alike.items():
        text = ElementText(element, language, join_runs(same), tuple(same))
        found.setdefault(element, []).append(text)
    return found
