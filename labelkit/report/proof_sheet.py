"""What both parts of a proof share: their pages, and panels drawn on them."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import cached_property

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.quantity import format_long_date, format_report_number
from labelkit.compose import ComposedPanel
from labelkit.compose.fingerprint import format_pdf_keyword
from labelkit.compose.job import Job
from labelkit.model.outline import Outline
from labelkit.model.runs import Panel, Run
from labelkit.pdf.write.document import MULTIPLY
from labelkit.pdf.write.draw import (
    DocumentInfo,
    define_panel,
    fill_operator,
    format_pdf_number,
    path_operators,
    run_operators,
    stroke_operator,
)
from labelkit.pdf.write.page import (
    FAINT,
    INK,
    MARGIN_MM,
    QUIET,
    PageWriter,
    choose_page_size,
    format_points,
    measure_width_mm,
)
from labelkit.report.captions import Captions
from labelkit.report.phrasebook import pick_language
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.faces import Face
from labelkit.typeset.french import set_french_spacing

NAMES_PT, LEAST_NAMES_PT = 30.0, 14.0
MOST_ENLARGED, LEAST_ENLARGED = 2.6, 1.15
"""Times: no larger than looks like a label, and no smaller than shows more than actual size."""
LINE_MM = 6.0
"""Least room for a line of a table."""
TITLE_MM = 24.0
"""What stands at least below a title, with it, on its page."""
CAPTION_PT, SMALL_PT = 8.0, 7.2
CAPTION_MM = 3.6
"""From line to line of captions."""
FOOT_MM = 10.0
"""Height of the line at the foot of every page."""

Numbered = tuple[int, ComposedPanel]
"""A panel, and which of the document's forms draws it."""


@dataclass(frozen=True, slots=True)
class ShownGuests:
    """The guests whose names a proof shows on its labels; empty where no label has one."""

    first: str
    tightest: str
    """Set smallest, and among those of one size longest."""


class ProofSheet(PageWriter):
    """The pages of one part of a proof."""

    def __init__(
        self,
        stream: io.BytesIO,
        job: Job,
        words: Captions,
        title: str,
        panels: Sequence[ComposedPanel],
        code: str,
    ) -> None:
        self.job, self.words, self.panels = job, words, tuple(enumerate(panels))
        self.code = code
        self.page = 1
        info = DocumentInfo(
            f"{title}: {self._names()}", words.language, keywords=format_pdf_keyword(self.code)
        )
        faces = {name: face for composed in panels for name, face in composed.faces.items()}
        super().__init__(stream, choose_page_size(job.regions), info, faces)
        for index, composed in self.panels:
            define_panel(self.canvas, f"panel{index}", composed.panel, self.fonts, 0.0)

    def _names(self) -> str:
        return self._own(self.job.spec.event.names)

    def _own(self, words: Mapping[str, str]) -> str:
        """The maker's own words, set as on the label."""
        return set_apostrophes(pick_language(words, self.words.language))

    def new_page(self) -> None:
        """The next page; the one that is done says which order it is of."""
        if self._measuring:
            return
        foot = f"{self.words.order_code} {self.code}"
        self.text(foot, MARGIN_MM, FOOT_MM, self.plain, SMALL_PT, QUIET)
        self.text(str(self.page), self.right, FOOT_MM, self.plain, SMALL_PT, QUIET, "right")
        super().new_page()
        self.page += 1

    @property
    def _middle(self) -> float:
        return self.page_mm[0] / 2

    def _heading(self, title: str, largest_pt: float) -> None:
        """The event's names in every language, its day and place, and who made the label."""
        spec, words = self.job.spec, self.words
        self.text(title, self._middle, self.y - 2, self.plain, 9, QUIET, "centre")
        names = [self._names()]
        names += [
            other for other in map(set_apostrophes, spec.event.names.values()) if other not in names
        ]
        y = self.y - 5.0 - 0.32 * largest_pt
        for line, share in zip(names[:2], (1.0, 0.6), strict=False):
            size = self._fitting(line, largest_pt * share)
            colour = INK if share == 1.0 else QUIET
            self.text(line, self._middle, y, self.serif, size, colour, "centre")
            y -= max(6.4, 0.25 * largest_pt)
        date = format_long_date(spec.event.date, words.locale, "full")
        place, maker = self._own(spec.event.place), set_apostrophes(spec.maker.name)
        line = " · ".join(part for part in (date, place, maker) if part)
        self.text(line, self._middle, y + 1, self.plain, 9.5, QUIET, "centre")
        self.text(self._counted(), self._middle, y - 3.5, self.plain, 9.5, QUIET, "centre")
        self.line(self._middle - 12, y - 7.5, self._middle + 12, y - 7.5, FAINT, 0.5)
        self.y = y - 14

    def _counted(self) -> str:
        """How many labels of each side will be printed, as the sheets say it."""
        event, words = self.job.spec.event, self.words
        people, spares = words.count("guests", event.guests), words.count("spares", event.spares)
        return f"{words.count('labels', event.labels)} ({people} + {spares})"

    def _fitting(self, text: str, size: float) -> float:
        """A size at which a line fits the page."""
        room = self.right - MARGIN_MM
        wide = measure_width_mm(text, self.serif, size)
        return size if wide <= room else max(LEAST_NAMES_PT, size * room / wide)

    # -- panels larger than they are

    def _scale(self, room_mm: float, panels: Sequence[Numbered]) -> float:
        """How many times panels can be enlarged in a height."""
        raise NotImplementedError

    def _enlarge(self, panels: Sequence[Numbered], scale: float) -> None:
        """Draws panels enlarged, and goes on below them."""
        raise NotImplementedError

    def _enlarged(self) -> None:
        """Every panel enlarged, as many to a page as are larger there than they are."""
        left, most = list(self.panels), MOST_ENLARGED
        while left:
            room = self.y - self.low
            count = next((n for n in range(len(left), 0, -1) if self._shows(room, left[:n])), 0)
            if not count and self.y == self.top:
                count = 1
            if count:
                most = min(most, self._scale(room, left[:count]))
                self._enlarge(left[:count], most)
                left = left[count:]
            if left:
                self.new_page()

    def _shows(self, room_mm: float, panels: Sequence[Numbered]) -> bool:
        """Whether so many panels can be shown larger than they are."""
        return self._scale(room_mm, panels) >= LEAST_ENLARGED

    def _place(
        self, index: int, composed: ComposedPanel, x: float, y: float, scale: float, guest: str
    ) -> None:
        """A panel on its ground, a guest's name on it, and its die line."""
        panel, code = composed.panel, self.canvas._code
        code.append(
            f"q {format_pdf_number(scale)} 0 0 {format_pdf_number(scale)}"
            f" {format_points(x)} {format_points(y)} cm"
        )
        if panel.background:
            code += ["q", fill_operator(panel.background), *outline_operators(panel, 0.0), "f Q"]
        code += ["q", *outline_operators(panel, 0.0), "W n"]
        if panel.background and panel.pictures:
            # No printer here has white ink: what is white in a picture shows the ground.
            code += ["q", MULTIPLY]
            self.canvas.doForm(f"panel{index}")
            code.append("Q")
        else:
            self.canvas.doForm(f"panel{index}")
        for run in self._guest_runs(composed, guest):
            code += run_operators(run, self.fonts)
        code.append("Q")
        weight = format_pdf_number(0.4 / scale)
        code += [stroke_operator(FAINT), f"{weight} w", *outline_operators(panel, 0.0), "S", "Q"]

    @cached_property
    def _shown(self) -> ShownGuests:
        try:
            return choose_shown_guests(self.job)
        except FitError:
            return ShownGuests("", "")  # the findings say which names cannot be set

    def _guest_runs(self, composed: ComposedPanel, guest: str) -> tuple[Run, ...]:
        return self.job.guest_runs.get(composed.panel.name, {}).get(guest, ()) if guest else ()

    # -- dimension lines

    def _across(
        self, x: float, y: float, length: float, value_mm: float, above: bool = False
    ) -> None:
        """A level dimension line; its figure stands in a gap of the line, or below it."""
        figure = f"{format_mm(value_mm, self.words.locale)} mm"
        wide = measure_width_mm(figure, self.plain, SMALL_PT) + 2.4
        middle = x + length / 2
        self._ends(x, y, x + length, y)
        if above and wide < length:
            self.line(x, y, middle - wide / 2, y, FAINT)
            self.line(middle + wide / 2, y, x + length, y, FAINT)
            self.text(figure, middle, y - 0.85, self.plain, SMALL_PT, QUIET, "centre")
        else:
            self.line(x, y, x + length, y, FAINT)
            self.text(figure, middle, y - 3.3, self.plain, SMALL_PT, QUIET, "centre")

    def _up(self, x: float, y: float, length: float, value_mm: float) -> None:
        """An upright dimension line, its figure turned along it."""
        figure = f"{format_mm(value_mm, self.words.locale)} mm"
        wide = measure_width_mm(figure, self.plain, SMALL_PT) + 2.4
        middle = y + length / 2
        self._ends(x, y, x, y + length)
        self.line(x, y, x, middle - wide / 2, FAINT)
        self.line(x, middle + wide / 2, x, y + length, FAINT)
        code = self.canvas._code
        code.append(f"q 0 1 -1 0 {format_points(x + 0.85)} {format_points(middle)} cm")
        self.text(figure, 0.0, 0.0, self.plain, SMALL_PT, QUIET, "centre")
        code.append("Q")

    def _ends(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """The short strokes that end a dimension line."""
        level = y0 == y1
        across, up = (0.0, 0.8) if level else (0.8, 0.0)
        for x, y in ((x0, y0), (x1, y1)):
            self.line(x - across, y - up, x + across, y + up, FAINT)

    # -- lines of text

    def _spaced(self, text: str) -> str:
        """A line put together from captions, with the spaces that French sets."""
        return set_french_spacing(text) if self.words.language == "fr" else text

    def _title(self, text: str) -> None:
        self.room(TITLE_MM)
        self.text(text, MARGIN_MM, self.y - 3, self.serif, 15, INK)
        self.line(MARGIN_MM, self.y - 5.6, self.right, self.y - 5.6, FAINT, 0.4)
        self.down(11)

    def _row(
        self, columns: Sequence[float], cells: Iterable[str], face: Face, colour: str = INK
    ) -> None:
        """A line of a table: the first column ranged left, the others right."""
        self.room(LINE_MM)
        for index, (x, cell) in enumerate(zip(columns, cells, strict=True)):
            align = "right" if index else "left"
            self.text(cell, x, self.y, face, CAPTION_PT, colour, align)
        self.down(4.2)

    def _prose(self, text: str, colour: str) -> None:
        lines = self.lines(text, MARGIN_MM, CAPTION_PT)
        self.room((len(lines) - 1) * self.leading(CAPTION_PT))
        self.y -= self.paragraph(text, MARGIN_MM, self.y, CAPTION_PT, colour)
        self.down(1)


def choose_shown_guests(job: Job) -> ShownGuests:
    """The first guest and the one whose name is fitted hardest; FitError if one cannot be set."""
    tightest, least = "", (0.0, 0.0)
    for runs_of in job.guest_runs.values():
        for name, runs in runs_of.items():
            fit = min((run.size_pt, -run.advance_mm) for run in runs)
            if not tightest or fit < least:
                tightest, least = name, fit
    return ShownGuests(job.spec.event.guest_names[0] if tightest else "", tightest)


def outline_operators(panel: Panel, grow_mm: float) -> tuple[str, ...]:
    shape = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    return path_operators(shape.path(grow_mm))


def format_height(value: float | None, locale: str) -> str:
    return "–" if value is None else f"{format_report_number(Decimal(f'{value:.2f}'), locale)} mm"


def format_mm(value: float, locale: str) -> str:
    return format_report_number(Decimal(f"{value:.2f}").normalize() + 0, locale)
