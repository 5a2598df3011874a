"""A page of a report: text, paragraphs and lines in millimetres, for proofs and plans.

The page's origin is its lower left; ``y`` is the height at which the next thing is set.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import IO, Any

from labelkit.common.paper import PAPERS_MM, find_usual_paper
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import make_run
from labelkit.model.runs import NEUTRAL
from labelkit.pdf.write.draw import (
    DocumentInfo,
    PdfFonts,
    fill_operator,
    format_pdf_number,
    make_canvas,
    run_operators,
    stroke_operator,
)
from labelkit.typeset.companions import find_writing_face
from labelkit.typeset.faces import Face, FaceRequest, load_face
from labelkit.typeset.shape import shape_text

MARGIN_MM = 20.0
LEADING_MM_PER_PT = 0.45
"""Distance of the baselines of a paragraph: 1.28 of the size."""
SNUG = (1.0, 0.97, 0.94, 0.91, 0.88)
"""How much closer than usual, by steps, lines may be set where that saves a page."""
SIGN_GAP_MM = 8.0
TRAIL_MM = 3.0
"""What the pen moves on below the last line of something, which need not fit."""
INK, QUIET, FAINT = "#1f1d1a", "#77716a", "#b9b2a8"
RED = "#9b1c1c"
WHITE = "#ffffff"


def choose_page_size(regions: Iterable[str]) -> tuple[float, float]:
    """The office page of the regions: letter in North America, A4 elsewhere."""
    letter = any(find_usual_paper(region) == "letter" for region in regions)
    return PAPERS_MM["letter" if letter else "a4"]


class PageWriter:
    """Writes on the pages of one PDF. Sizes are in points, places in millimetres."""

    def __init__(
        self,
        stream: IO[bytes],
        page_mm: tuple[float, float],
        info: DocumentInfo,
        faces: Mapping[str, Face] | None = None,
    ) -> None:
        self.page_mm = page_mm
        self.serif = load_face(FaceRequest("cormorant-garamond", 500))
        self.plain = load_face(FaceRequest("alegreya-sans", 400, figures="tabular"))
        self.bold = load_face(FaceRequest("alegreya-sans", 700, figures="tabular"))
        self._faces = {**(faces or {})}
        self._faces |= {face.name: face for face in (self.serif, self.plain, self.bold)}
        self.canvas: Any = make_canvas(stream, page_mm, info)
        self.fonts = PdfFonts(self.canvas, self._faces)
        self.snug = SNUG[0]
        """By what share of its usual value every gap between lines is set."""
        self._measuring = False
        self.y = self.top

    @property
    def top(self) -> float:
        return self.page_mm[1] - MARGIN_MM

    @property
    def low(self) -> float:
        """Nothing is set below this height."""
        return MARGIN_MM

    @property
    def right(self) -> float:
        return self.page_mm[0] - MARGIN_MM

    @property
    def is_measuring(self) -> bool:
        """Nothing is drawn now: only its height is asked for."""
        return self._measuring

    def new_page(self) -> None:
        if not self._measuring:
            self.canvas.showPage()
            self.y = self.top

    def down(self, mm: float) -> None:
        """Moves on by a gap, closer where lines are set snug."""
        self.y -= mm * self.snug

    def room(self, height: float) -> None:
        """A new page when less than ``height`` is left."""
        if self.y - height < self.low:
            self.new_page()

    # -- what belongs together

    def height_of(self, draw: Callable[[], None]) -> float:
        """What something takes on a page that has no end, to its last line; nothing is drawn."""
        before, y = self._measuring, self.y
        self._measuring = True
        try:
            draw()
            return y - self.y - TRAIL_MM
        finally:
            self.y, self._measuring = y, before

    def keep(self, draw: Callable[[], None], least: float) -> None:
        """Draws something on one page where a page holds it; else with ``least`` of it there."""
        height = self.height_of(draw)
        self.room(height if height <= self.top - self.low else least)
        draw()

    def set_snug(self, draw: Callable[[], None], low: float) -> None:
        """Sets lines as much closer as it takes for something to end above ``low`` on this page.

        As usual where even the closest does not save a page.
        """
        for self.snug in SNUG:
            if self.height_of(draw) <= self.y - low:
                return
        self.snug = SNUG[0]

    def save(self) -> None:
        self.canvas.save()

    # -- marks on the page

    def text(
        self, text: str, x: float, y: float, face: Face, size: float, colour: str,
        align: str = "left",
    ) -> None:  # fmt: skip
        """One line, ranged left of, right of or centred on ``x``."""
        if not text or self._measuring:
            return
        face = self._able(face, text)
        run = make_run(text, "claim", NEUTRAL, face, size, x, y, 0.0, colour)
        shift = {"left": 0.0, "right": -run.advance_mm, "centre": -run.advance_mm / 2}[align]
        run = make_run(text, "claim", NEUTRAL, face, size, x + shift, y, 0.0, colour)
        self.canvas._code += run_operators(run, self.fonts)

    def paragraph(
        self, text: str, x: float, y: float, size: float, colour: str,
        width: float | None = None, face: Face | None = None,
    ) -> float:  # fmt: skip
        """Sets text in lines of ``width`` (to the right margin if None); the height used, in mm."""
        face = self._able(face or self.plain, text)
        lines = self.lines(text, x, size, width, face)
        for index, line in enumerate(lines):
            self.text(line, x, y - index * self.leading(size), face, size, colour)
        return len(lines) * self.leading(size)

    def letterhead(self, name: str, contact: Iterable[str]) -> None:
        """Who writes, how to reach them at the right, and a line below both."""
        self.text(name, MARGIN_MM, self.y - 5, self.serif, 18, INK)
        y = self.y - 2
        for line in contact:
            self.text(line, self.right, y, self.plain, 9, QUIET, "right")
            y -= 4.1
        self.y = min(self.y - 9, y) - 2
        self.line(MARGIN_MM, self.y, self.right, self.y, INK, 0.6)

    def lines_to_sign(
        self, labels: Sequence[str], y: float, size: float, weight_pt: float = 0.3
    ) -> None:
        """A line to write on for each of some labels, side by side across the page."""
        width = (self.right - MARGIN_MM - SIGN_GAP_MM * (len(labels) - 1)) / len(labels)
        for index, label in enumerate(labels):
            x = MARGIN_MM + index * (width + SIGN_GAP_MM)
            self.line(x, y, x + width, y, QUIET, weight_pt)
            self.text(label, x, y - 4, self.plain, size, QUIET)

    def leading(self, size: float) -> float:
        """Distance of the baselines of a paragraph, in mm."""
        return size * LEADING_MM_PER_PT * self.snug

    def lines(
        self, text: str, x: float, size: float, width: float | None = None, face: Face | None = None
    ) -> list[str]:
        """The lines that ``paragraph`` would set."""
        room = (self.right - x) if width is None else width
        able = self._able(face or self.plain, text)
        return list(_fill_lines(text, able, room * PT_PER_MM / size))

    def _able(self, face: Face, text: str) -> Face:
        """The face, or one that writes what it lacks (a Greek or a Tamil name in a serif)."""
        missing = face.missing(text)
        if not missing:
            return face
        spare = load_face(FaceRequest("noto-sans", 700 if face is self.bold else 400))
        able = find_writing_face((face, spare), text)
        if able is None:
            able = spare if len(spare.missing(text)) < len(missing) else face
        self._faces[able.name] = able
        return able

    def slanted(
        self, text: str, x: float, y: float, face: Face, size: float, colour: str, degrees: float
    ) -> None:
        """One line centred on ``x``, turned anticlockwise about (``x``, ``y``)."""
        if self._measuring:
            return
        across, up = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        turn = " ".join(format_pdf_number(value) for value in (across, up, -up, across))
        self.canvas._code.append(f"q {turn} {format_points(x)} {format_points(y)} cm")
        self.text(text, 0.0, 0.0, face, size, colour, "centre")
        self.canvas._code.append("Q")

    def line(
        self, x0: float, y0: float, x1: float, y1: float,
        colour: str = QUIET, weight_pt: float = 0.3,
    ) -> None:  # fmt: skip
        if self._measuring:
            return
        self.canvas._code.append(
            f"q {stroke_operator(colour)} {format_pdf_number(weight_pt)}"
            f" w {format_points(x0)} {format_points(y0)} m"
            f" {format_points(x1)} {format_points(y1)} l S Q"
        )

    def box(
        self, x: float, y: float, width: float, height: float,
        fill: str = "", stroke: str = "", weight_pt: float = 0.3,
    ) -> None:  # fmt: skip
        """A rectangle from its lower left corner, filled, stroked or both."""
        if self._measuring:
            return
        colours = [fill_operator(fill)] if fill else []
        colours += [stroke_operator(stroke), f"{format_pdf_number(weight_pt)} w"] if stroke else []
        paint = {(True, True): "B", (True, False): "f", (False, True): "S"}[
            (bool(fill), bool(stroke))
        ]
        shape_ = (
            f"{format_points(x)} {format_points(y)} {format_points(width)}"
            f" {format_points(height)} re {paint}"
        )
        self.canvas._code.append(" ".join(["q", *colours, shape_, "Q"]))

    def dot(self, x: float, y: float, radius: float, colour: str) -> None:
        """A filled disc about its centre, of four Bézier quarters."""
        if self._measuring:
            return
        k = 0.5523 * radius  # handle of a quarter circle
        corners = [(radius, 0.0), (0.0, radius), (-radius, 0.0), (0.0, -radius)]
        path = [f"{format_points(x + radius)} {format_points(y)} m"]
        for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
            first = (x + ax - k * ay / radius, y + ay + k * ax / radius)
            second = (x + bx + k * by / radius, y + by - k * bx / radius)
            numbers = " ".join(format_points(v) for v in (*first, *second, x + bx, y + by))
            path.append(f"{numbers} c")
        self.canvas._code.append(" ".join(["q", fill_operator(colour), *path, "f", "Q"]))


def format_points(mm: float) -> str:
    """Millimetres as a number of points for a content stream."""
    return format_pdf_number(mm * PT_PER_MM)


def measure_width_mm(text: str, face: Face, size: float) -> float:
    """How wide a line of text is set."""
    return shape_text(face, text).advance_mm(size, 0.0)


def _fill_lines(text: str, face: Face, room_em: float) -> Iterator[str]:
    """The words of a caption, line by line, as many to a line as fit.

    A no-break space keeps its neighbours together.
    """
    line = ""
    for word in re.split(r"[ \t\n]+", text.strip()):
        longer = f"{line} {word}".strip()
        if line and shape_text(face, longer).width_em > room_em:
            yield line
            line = word
        else:
            line = longer
    yield line
