"""The wrapped piece as it will look, drawn: soap, film, labels in place, the band around it.

An oblique view: the face is seen straight on and true to scale, top and side run back from it. One
drawing in millimetres, y up, goes onto a page of the proof and into an SVG. No transparency: what
film or shade does to a colour is mixed beforehand.
"""

from __future__ import annotations

import dataclasses
import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import field

from labelkit.common.frozen import dataclass
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.compose.suite import ComposedPiece
from labelkit.model.outline import Outline
from labelkit.model.runs import Run
from labelkit.order.pieces import Soap, Strip

DRIFT_MM = 0.5
"""How far a cut by hand, or a label stuck on, may stray: common practice, no source."""
BACK_X, BACK_Y = 0.42, 0.30
"""How far a millimetre that runs back is drawn across and up."""
UNSAID_SOAP = "#ece3d0"
PAPER, FILM = "#ffffff", "#9fb0b8"
WRAPPED_IN_PAPER = "#e9e2d4"
AROUND_MM = 1.0
"""Kept free around a view."""
CUT_LINES = 7
"""Fine traces of the wire on a cut face."""
_WHITE, _BLACK = "#ffffff", "#000000"

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Shade:
    """An area of one colour, or a line where it has a stroke."""

    path: str
    colour: str
    stroke_mm: float | None = None
    dash_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class PlacedFace:
    """A printed face where it is seen; ``matrix`` takes its millimetres to those of the view."""

    composed: ComposedPanel
    matrix: tuple[float, float, float, float, float, float]
    own_runs: tuple[Run, ...] = field(default=(), repr=False)
    """Its guest's name."""


@dataclass(frozen=True, slots=True)
class View:
    """The piece from one side."""

    side: str
    """"front" or "back"."""
    banded: bool
    soap: Soap
    in_paper: bool
    """Not in film, so that the soap itself is not seen."""
    width_mm: float
    height_mm: float
    parts: tuple[Shade | PlacedFace, ...]


def make_views(job: Job, guest: str = "") -> tuple[View, ...]:
    """The piece from its front and its back, and both once more with the band that it gets.

    None of a label that hangs from the piece. InputError and FitError are those of the panels.
    """
    soap = job.spec.soap
    if soap is None or job.spec.product.label_is_tag:
        return ()
    labels = {one.panel.name: one for one in job.fitting}
    band = next((one for one in job.fitting_pieces if one.piece.kind == "band"), None)
    if band is not None:  # as thick as it goes round
        soap = _measure_banded(soap, band)
    views = []
    for banded in (None, band) if band else (None,):
        for side in ("front", "back"):
            if side in labels:
                views.append(_Painter(job, soap, guest).paint(side, labels[side], banded))
    return tuple(views)


@dataclasses.dataclass
class _Painter:
    job: Job
    soap: Soap
    guest: str
    parts: list[Shade | PlacedFace] = field(default_factory=list)

    def paint(self, side: str, label: ComposedPanel, band: ComposedPiece | None) -> View:
        """One side of the piece."""
        self._paint_soap(side)
        if band is None or not band.piece.hides_label:
            self._paint_label(label)
        if band is not None:
            self._paint_band(side, band)
        dx, dy = self._depth
        wide, high = self.soap.width_mm + dx, self.soap.height_mm + dy
        return View(
            side,
            band is not None,
            self.soap,
            self._in_paper,
            wide + 2 * AROUND_MM,
            high + 2 * AROUND_MM,
            tuple(self.parts),
        )

    @property
    def _depth(self) -> Point:
        return BACK_X * self.soap.thick_mm, BACK_Y * self.soap.thick_mm

    @property
    def _in_paper(self) -> bool:
        wrap = self.job.spec.plan.wrap
        return wrap is not None and wrap.kind in ("paper", "sleeve")

    @property
    def _is_round(self) -> bool:
        return self.job.spec.product.face_shape == "round"

    def _add(self, points: Sequence[Point], colour: str) -> None:
        self.parts.append(Shade(_make_path(points), colour))

    def _line(self, points: Sequence[Point], colour: str, stroke_mm: float) -> None:
        self.parts.append(Shade(_make_path(points, closed=False), colour, stroke_mm))

    # -- the soap in its film

    def _paint_soap(self, side: str) -> None:
        in_paper = self._in_paper
        soap = self.job.spec.product.soap_colour or UNSAID_SOAP
        colour = WRAPPED_IN_PAPER if in_paper else soap
        if self._is_round:
            self._paint_round(colour)
        else:
            self._paint_block(colour, side, in_paper)

    def _paint_round(self, colour: str) -> None:
        (dx, dy), radius = self._depth, self.soap.width_mm / 2
        middle = (AROUND_MM + radius, AROUND_MM + radius)
        far = (middle[0] + dx, middle[1] + dy)
        length = math.hypot(dx, dy) or 1.0
        nx, ny = -dy / length * radius, dx / length * radius
        body = _mix(colour, _BLACK, 0.14)
        self._disc(far, radius, body)
        self._add(
            [
                (middle[0] + nx, middle[1] + ny), (far[0] + nx, far[1] + ny),
                (far[0] - nx, far[1] - ny), (middle[0] - nx, middle[1] - ny),
            ],
            body,
        )  # fmt: skip
        self._disc(middle, radius, colour)
        self._sheen(middle[0] - radius, middle[1] - radius, 2 * radius, 2 * radius, colour, 0.62)

    def _disc(self, middle: Point, radius: float, colour: str) -> None:
        x, y = middle[0] - radius, middle[1] - radius
        points = [
            (x + radius + radius * math.cos(step * math.pi / 60),
             y + radius + radius * math.sin(step * math.pi / 60))
            for step in range(120)
        ]  # fmt: skip
        self._add(points, colour)
        self._line([*points, points[0]], FILM, 0.15)

    def _paint_block(self, colour: str, side: str, in_paper: bool) -> None:
        x, y = AROUND_MM, AROUND_MM
        wide, high, (dx, dy) = self.soap.width_mm, self.soap.height_mm, self._depth
        top, flank = _mix(colour, _WHITE, 0.28), _mix(colour, _BLACK, 0.15)
        front = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        flanked = [
            (x + wide, y), (x + wide + dx, y + dy),
            (x + wide + dx, y + high + dy), (x + wide, y + high),
        ]  # fmt: skip
        topped = [
            (x, y + high), (x + wide, y + high),
            (x + wide + dx, y + high + dy), (x + dx, y + high + dy),
        ]  # fmt: skip
        self._add(topped, top)
        self._add(flanked, flank)
        self._add(front, colour)
        if in_paper:
            self._line([(x + wide + dx / 2, y + dy / 2), (x + wide + dx / 2, y + high + dy / 2)],
                       _mix(flank, _BLACK, 0.2), 0.2)  # fmt: skip
        else:
            self._trace_cuts(x, y, wide, high, colour, side)
            self._sheen(x, y, wide, high, colour, 1.0)
            # The film gathers at the ends: its seam along the top, a fold at every corner there.
            seam = _mix(top, _WHITE, 0.55)
            self._line([(x + dx / 2, y + high + dy / 2), (x + wide + dx / 2, y + high + dy / 2)],
                       seam, 0.35)  # fmt: skip
            fold = _mix(flank, _WHITE, 0.3)
            self._line([(x + wide, y + high), (x + wide + 0.45 * dx, y + high - 0.16 * high)],
                       fold, 0.25)  # fmt: skip
            self._line([(x + wide + dx, y + dy), (x + wide + 0.6 * dx, y + 0.16 * high)],
                       fold, 0.25)  # fmt: skip
        edge = _mix(colour, _BLACK, 0.3) if in_paper else FILM
        for area in (topped, flanked, front):
            self._line([*area, area[0]], edge, 0.15)

    def _trace_cuts(
        self, x: float, y: float, wide: float, high: float, colour: str, side: str
    ) -> None:
        """Traces of the cutting wire, the same in every drawing of an order."""
        drawn = random.Random(f"{self.job.seed} {side}")
        trace = _mix(colour, _BLACK, 0.05)
        for number in range(CUT_LINES):
            at = y + high * (number + 0.5 + drawn.uniform(-0.3, 0.3)) / CUT_LINES
            start, end = sorted(drawn.uniform(0.03, 0.97) for _ in range(2))
            bow = drawn.uniform(-0.4, 0.4)
            self._line(
                [(x + wide * start, at), (x + wide * (start + end) / 2, at + bow),
                 (x + wide * end, at)],
                trace, 0.18,
            )  # fmt: skip

    def _sheen(
        self, x: float, y: float, wide: float, high: float, colour: str, share: float
    ) -> None:
        """Light on the film: two slanted streaks, and a glint at the head."""
        x, y = x + wide * (1 - share) / 2, y + high * (1 - share) / 2
        wide, high = wide * share, high * share
        slant = 0.28 * high
        for start, breadth, light in ((0.05, 0.09, 0.34), (0.17, 0.03, 0.24)):
            left, right = x + start * wide, x + (start + breadth) * wide
            low, head = y + 0.08 * high, y + 0.92 * high
            self._add(
                [(left, low), (right, low), (right + slant, head), (left + slant, head)],
                _mix(colour, _WHITE, light),
            )
        self._line(
            [(x + 0.42 * wide, y + 0.965 * high), (x + 0.93 * wide, y + 0.965 * high)],
            _mix(colour, _WHITE, 0.5), 0.35,
        )  # fmt: skip

    # -- what is printed

    def _paint_label(self, label: ComposedPanel) -> None:
        """A label in the middle of the face, its shade, and how far it may stray."""
        panel = label.panel
        x = AROUND_MM + (self.soap.width_mm - panel.width_mm) / 2
        y = AROUND_MM + (self.soap.height_mm - panel.height_mm) / 2
        outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
        soap = self.job.spec.product.soap_colour or UNSAID_SOAP
        white = self.job.facts.white_under
        if white or not self.job.facts.clear_on(panel.name):
            paper = PAPER if white else self.job.print_run(panel.name).stock.colour or PAPER
            self._shape(outline.path(0.12), x + 0.25, y - 0.25, _mix(soap, _BLACK, 0.3))
            self._shape(outline.path(), x, y, paper)
        else:
            self._shape(outline.path(), x, y, soap)
        own = self.job.fitted_guests[0].get(panel.name, {}).get(self.guest, ())
        self.parts.append(PlacedFace(label, (1, 0, 0, 1, x, y), tuple(own)))
        for grown in (-DRIFT_MM, DRIFT_MM):
            path = _move(outline.path(grown), x, y)
            self.parts.append(Shade(path, _mix(soap, _BLACK, 0.5), 0.08, (0.8, 0.7)))

    def _paint_band(self, side: str, band: ComposedPiece) -> None:
        """The band over the face and down the flank."""
        front = band.piece.strips[0]
        high = front.box.height_mm
        x, y = AROUND_MM, AROUND_MM + (self.soap.height_mm - high) / 2
        wide, (dx, dy) = self.soap.width_mm, self._depth
        paper = self.job.print_run("band").stock.colour or PAPER
        shade = _mix(paper, _BLACK, 0.12)
        on_face, on_flank = _pick_strips(band, side)
        if not self._is_round:
            flank = [(x + wide, y), (x + wide + dx, y + dy), (x + wide + dx, y + high + dy),
                     (x + wide, y + high)]  # fmt: skip
            self._add(flank, shade)
            face = band.faces.get(on_flank)
            if face is not None:
                lean = (BACK_X, BACK_Y, 0.0, 1.0, x + wide, y)
                self.parts.append(PlacedFace(face, lean))
            self._line([*flank, flank[0]], _mix(paper, _BLACK, 0.3), 0.12)
        area = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        self._add(area, paper)
        face = band.faces.get(on_face)
        if face is not None:
            own = self.job.fitted_guests[0].get("band", {}).get(self.guest, ())
            own = tuple(own) if on_face.label == "front" else ()
            self.parts.append(PlacedFace(face, (1, 0, 0, 1, x, y), own))
        self._line([*area, area[0]], _mix(paper, _BLACK, 0.3), 0.12)

    def _shape(self, path: str, x: float, y: float, colour: str) -> None:
        self.parts.append(Shade(_move(path, x, y), colour))


def _measure_banded(soap: Soap, band: ComposedPiece) -> Soap:
    """The soap as the band was measured for it."""
    first, flank = band.piece.strips[:2]
    return Soap(first.box.width_mm, soap.height_mm, flank.box.width_mm, soap.label_mm)


def _pick_strips(band: ComposedPiece, side: str) -> tuple[Strip, Strip]:
    """The strips of a band that lie over a side of the soap and over the flank at its right."""
    strips = band.piece.strips
    return (strips[0], strips[1]) if side == "front" else (strips[2], strips[3])


def _make_path(points: Sequence[Point], closed: bool = True) -> str:
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points) + ("Z" if closed else "")


def _move(path: str, x: float, y: float) -> str:
    from labelkit.model.path_segments import move_path

    return move_path(path, (1, 0, 0, 1, x, y))


def _mix(colour: str, other: str, share: float) -> str:
    """A colour with a share of another in it."""
    one, two = ([int(text[i : i + 2], 16) for i in (1, 3, 5)] for text in (colour, other))
    mixed = (round(a + (b - a) * share) for a, b in zip(one, two, strict=True))
    return "#" + "".join(f"{value:02x}" for value in mixed)


def list_faces(views: Sequence[View]) -> Iterator[PlacedFace]:
    """Every printed face of some views, in the order they are drawn."""
    for view in views:
        yield from (part for part in view.parts if isinstance(part, PlacedFace))
