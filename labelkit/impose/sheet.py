"""What a sheet is made of: places for labels, and what is printed beside them.

Coordinates are millimetres from the page's lower left corner, x to the right, y up.
"""

from __future__ import annotations

from labelkit.common.frozen import dataclass
from labelkit.model.runs import Box


@dataclass(frozen=True, slots=True)
class LabelPlace:
    """Where one label is printed."""

    index: int
    """0-based number of the label."""
    x_mm: float
    """Left edge of the trim as it lies on the page."""
    y_mm: float
    """Lower edge of the trim as it lies on the page."""
    width_mm: float
    """Extent on the page, after turning."""
    height_mm: float
    turns: int = 0
    """Quarter turns anticlockwise, 0 to 3."""
    cell: int = 1
    """Position on the sheet, 1 being the upper left, counted in rows."""

    @property
    def box(self) -> Box:
        return Box(self.x_mm, self.y_mm, self.x_mm + self.width_mm, self.y_mm + self.height_mm)

    @property
    def matrix_mm(self) -> tuple[float, float, float, float, float, float]:
        """Takes a point of the label, from its trim's lower left, to the page."""
        x, y, width, height = self.x_mm, self.y_mm, self.width_mm, self.height_mm
        return (
            (1.0, 0.0, 0.0, 1.0, x, y),
            (0.0, 1.0, -1.0, 0.0, x + width, y),
            (-1.0, 0.0, 0.0, -1.0, x + width, y + height),
            (0.0, -1.0, 1.0, 0.0, x, y + height),
        )[self.turns]


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A straight line, in millimetres."""

    x0: float
    y0: float
    x1: float
    y1: float
    weight_pt: float = 0.25

    @property
    def box(self) -> Box:
        return Box(
            min(self.x0, self.x1),
            min(self.y0, self.y1),
            max(self.x0, self.x1),
            max(self.y0, self.y1),
        )

    def shifted(self, dx_mm: float, dy_mm: float) -> StraightLine:
        return StraightLine(
            self.x0 + dx_mm, self.y0 + dy_mm, self.x1 + dx_mm, self.y1 + dy_mm, self.weight_pt
        )


@dataclass(frozen=True, slots=True)
class RegistrationMark:
    """A registration mark: a ring with a cross through it."""

    x_mm: float
    y_mm: float
    radius_mm: float = 1.5
    arm_mm: float = 2.5
    """Half the length of the cross."""
    weight_pt: float = 0.25

    @property
    def box(self) -> Box:
        return Box(
            self.x_mm - self.arm_mm,
            self.y_mm - self.arm_mm,
            self.x_mm + self.arm_mm,
            self.y_mm + self.arm_mm,
        )

    @property
    def cross(self) -> tuple[StraightLine, StraightLine]:
        x, y, arm = self.x_mm, self.y_mm, self.arm_mm
        return (
            StraightLine(x - arm, y, x + arm, y, self.weight_pt),
            StraightLine(x, y - arm, x, y + arm, self.weight_pt),
        )


@dataclass(frozen=True, slots=True)
class MarginNote:
    """A few words in the margin."""

    x_mm: float
    """Left end of the line."""
    y_mm: float
    """Baseline."""
    text: str
    size_mm: float = 2.0
    """Size of the type (its em)."""
    turned: bool = False
    """Read from the right of the page: the line runs up, its left end at the foot."""

    @property
    def box(self) -> Box:
        """The room kept free for it: no face of text sets wider than this."""
        length, rise, drop = 0.62 * self.size_mm * len(self.text), 0.8, 0.25
        if self.turned:
            return Box(
                self.x_mm - rise * self.size_mm,
                self.y_mm,
                self.x_mm + drop * self.size_mm,
                self.y_mm + length,
            )
        return Box(
            self.x_mm,
            self.y_mm - drop * self.size_mm,
            self.x_mm + length,
            self.y_mm + rise * self.size_mm,
        )


@dataclass(frozen=True, slots=True)
class Ruler:
    """A scale to lay a ruler on: its first and last stroke are ``length_mm`` apart."""

    x_mm: float
    """Start of the scale."""
    y_mm: float
    length_mm: float
    upright: bool
    lines: tuple[StraightLine, ...]
    label: MarginNote
    box: Box


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page."""

    page_width_mm: float
    page_height_mm: float
    places: tuple[LabelPlace, ...]
    marks: tuple[StraightLine, ...] = ()
    """Crop marks."""
    registration: tuple[RegistrationMark, ...] = ()
    ruler: Ruler | None = None
    notes: tuple[MarginNote, ...] = ()
    """Numbers of the cuts, and words in the margin."""
    cut_order: tuple[str, ...] = ()
    """How to cut the sheet, step by step; empty where nothing is cut straight through."""
    slug: MarginNote | None = None
    """What says in the margin which sheet of which order it is: another on every sheet."""

    @property
    def page(self) -> Box:
        return Box(0.0, 0.0, self.page_width_mm, self.page_height_mm)


@dataclass(frozen=True, slots=True)
class MarkStyle:
    """How crop marks look."""

    offset_mm: float = 2.0
    """From the trim to the mark; more where the bleed is wider."""
    length_mm: float = 3.0
    """Shorter where the stock ends earlier."""
    weight_pt: float = 0.25
    least_mm: float = 1.0
    """A mark with room for less is left out."""

    def offset_from(self, bleed_mm: float) -> float:
        """Distance of the marks from a trim that bleeds by ``bleed_mm``."""
        return max(self.offset_mm, bleed_mm + CLEAR_OF_BLEED_MM if bleed_mm else 0.0)


CLEAR_OF_BLEED_MM = 0.5
"""A mark keeps this far from the bleed."""
