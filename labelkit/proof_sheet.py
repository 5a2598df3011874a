"""The pages of a proof: a first page to keep and sign, and what was measured on the next."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from labelkit.compose import Composed, described
from labelkit.document import MULTIPLY
from labelkit.draw import (
    DocumentInfo,
    define_panel,
    fill_colour,
    number,
    path_operators,
    run_operators,
    stroke_colour,
)
from labelkit.errors import FitError
from labelkit.job import Job
from labelkit.page import FAINT, INK, MARGIN_MM, QUIET, RED, Pen, page_of, points, width_mm
from labelkit.quantity import reported_number
from labelkit.report.captions import Captions
from labelkit.report.findings import Wording
from labelkit.report.phrasebook import in_language, written_day
from labelkit.rules.findings import Level, Report
from labelkit.rules.floors import HeightFloor, Measure
from labelkit.runs import NEUTRAL, Panel, Run
from labelkit.said import CAPITAL, formatted
from labelkit.typeset.apostrophes import typographic
from labelkit.typeset.faces import Face
from labelkit.typeset.french import french_spacing
from labelkit.typeset.outline import Outline

NAMES_PT, LEAST_NAMES_PT = 30.0, 14.0
GAP_MM = 16.0
"""Between panels side by side."""
MOST_ENLARGED, LEAST_ENLARGED = 2.6, 1.15
"""Times: no larger than looks like a label, and no smaller than shows more than actual size."""
COLUMN_MM = 80.0
"""Least width of the column that says how tall the letters are."""
DIMENSIONS_MM = 8.0
"""Room for dimension lines at the left of an enlarged panel."""
ROW_MM = 4.9
SIGNATURE_MM = 25.0
TITLE_MM = 24.0
"""What stands at least below a title, with it, on its page."""
PANEL_EXTRA_MM = 17.5
"""What an enlarged panel takes beside its own height: dimension lines, caption, space."""
CAPTION_PT, SMALL_PT = 8.0, 7.2
CAPTION_MM = 3.6
"""From line to line of captions."""


@dataclass(frozen=True, slots=True)
class Callout:
    """One element of a panel: where it stands and how tall its letters print."""

    element: str
    y_mm: float
    """Middle of its first line's small letters, from the foot of the trim."""
    letter: str
    """The letter measured: "capital", "o" or "figure"."""
    printed_mm: float | None
    least_mm: Decimal | None


@dataclass(frozen=True, slots=True)
class ShownGuests:
    """The guests whose names a proof shows on its labels; empty where no label has one."""

    first: str
    tightest: str
    """Set smallest, and among those of one size longest."""


GUEST_COLUMNS = 3
GUEST_GAP_MM = 4.0
GUIDE_OFF_MM = 0.3


class ProofSheet(Pen):
    """The pages of one proof."""

    def __init__(
        self, stream: io.BytesIO, job: Job, report: Report, words: Captions, findings: Wording
    ) -> None:
        self.job, self.report, self.words, self.findings = job, report, words, findings
        info = DocumentInfo(f"{words.proof}: {self._names()}", words.language)
        super().__init__(stream, page_of(job.regions), info, job.faces)

    def _names(self) -> str:
        return self._own(self.job.spec.event.names)

    def _own(self, words: Mapping[str, str]) -> str:
        """The maker's own words, set as on the label."""
        return typographic(in_language(words, self.words.language))

    def draw(self) -> None:
        """All pages, and the end of the file."""
        for index, composed in enumerate(self.job.composed):
            define_panel(self.canvas, f"panel{index}", composed.panel, self.fonts, 0.0)
        self._heading()
        self._actual_size()
        self._shown_guests()
        self._signature()
        if self._enlarged():
            self.new_page()
        self.set_snug(self._measures, self.low)
        self._measures()
        self.new_page()
        self.save()

    # -- the first page ----------------------------------------------------------------------------

    @property
    def _middle(self) -> float:
        return self.page_mm[0] / 2

    def _heading(self) -> None:
        """The event's names in every language, its day and place, and who made the label."""
        spec, words = self.job.spec, self.words
        self.text(words.proof, self._middle, self.y - 2, self.plain, 9, QUIET, "centre")
        names = [self._names()]
        names += [
            other for other in map(typographic, spec.event.names.values()) if other not in names
        ]
        y = self.y - 14.5
        for line, share in zip(names[:2], (1.0, 0.6), strict=False):
            size = self._fitting(line, NAMES_PT * share)
            colour = INK if share == 1.0 else QUIET
            self.text(line, self._middle, y, self.serif, size, colour, "centre")
            y -= 7.5
        date = written_day(spec.event.date, words.locale)
        place, maker = self._own(spec.event.place), typographic(spec.maker.name)
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
        wide = width_mm(text, self.serif, size)
        return size if wide <= room else max(LEAST_NAMES_PT, size * room / wide)

    def _actual_size(self) -> None:
        """All panels as they print, beside each other as far as the page reaches."""
        rows: list[list[tuple[int, Composed]]] = [[]]
        room = self.right - MARGIN_MM
        for index, composed in enumerate(self.job.composed):
            row = [*rows[-1], (index, composed)]
            if rows[-1] and _row_width(row) > room:
                rows.append([(index, composed)])
            else:
                rows[-1] = row
        for row in rows:
            height = max(composed.panel.height_mm for _, composed in row)
            x = self._middle - _row_width(row) / 2
            for index, composed in row:
                panel = composed.panel
                foot = self.y - height + (height - panel.height_mm) / 2
                self._place(index, composed, x, foot, 1.0, self._shown.first)
                self._across(x, foot - 3.0, panel.width_mm, panel.width_mm)
                title = f"{self.words.panel(panel.name)}, {self.words.actual_size}"
                centre = x + panel.width_mm / 2
                self.text(title, centre, foot - 10.2, self.plain, CAPTION_PT, QUIET, "centre")
                x += panel.width_mm + GAP_MM
            self.y -= height + 18

    def _shown_guests(self) -> None:
        """Whose names stand on the labels of this page."""
        shown, words = self._shown, self.words
        count = len(self.job.spec.event.guest_names)
        if not shown.tightest or count == 1:
            return
        told = words.same_guest if shown.first == shown.tightest else words.shown_guests
        text = typographic(told.format(first=shown.first, tightest=shown.tightest, count=count))
        for line in self.lines(text, MARGIN_MM, CAPTION_PT):
            self.text(line, self._middle, self.y, self.plain, CAPTION_PT, QUIET, "centre")
            self.y -= CAPTION_MM
        self.y -= CAPTION_MM

    def _enlarged(self) -> bool:
        """Every panel enlarged with its dimensions, and how tall its letters print beside it.

        Whether the first page, at the foot of which it is signed, holds them all.
        """
        first, left = True, list(enumerate(self.job.composed))
        room = self.y - MARGIN_MM - SIGNATURE_MM
        most = MOST_ENLARGED
        while left:
            count = next((n for n in range(len(left), 0, -1) if self._shows(room, left[:n])), 0)
            if count:
                most = min(most, _scale(room, self._widest, left[:count]))
                for index, composed in left[:count]:
                    self._enlarged_panel(index, composed, most)
                left = left[count:]
            if left:
                first = False
                self.new_page()
                room = self.y - MARGIN_MM
                if not self._shows(room, left[:1]):
                    most = min(most, _scale(room, self._widest, left[:1]))
                    self._enlarged_panel(*left.pop(0), most)
        return first

    def _shows(self, room_mm: float, panels: Sequence[tuple[int, Composed]]) -> bool:
        """Whether so many panels can be shown larger than they are."""
        return _scale(room_mm, self._widest, panels) >= LEAST_ENLARGED

    @property
    def _widest(self) -> float:
        """How wide an enlarged panel may be."""
        return self.right - MARGIN_MM - DIMENSIONS_MM - COLUMN_MM

    def _enlarged_panel(self, index: int, composed: Composed, scale: float) -> None:
        panel = composed.panel
        x, foot = MARGIN_MM + DIMENSIONS_MM, self.y - 6 - panel.height_mm * scale
        self._place(index, composed, x, foot, scale, self._shown.tightest)
        self._safe_area(panel, x, foot, scale)
        width, height = panel.width_mm * scale, panel.height_mm * scale
        inset = panel.safe_mm * scale
        safe = (panel.width_mm - 2 * panel.safe_mm, panel.height_mm - 2 * panel.safe_mm)
        self._across(x, foot + height + 5.4, width, panel.width_mm, above=True)
        self._across(x + inset, foot + height + 1.9, width - 2 * inset, safe[0], above=True)
        self._up(x - 5.4, foot, height, panel.height_mm)
        self._up(x - 1.9, foot + inset, height - 2 * inset, safe[1])
        times = _written(scale, self.words.locale)
        caption = f"{self.words.panel(panel.name)}, {self.words.enlarged.format(times=times)}"
        self.text(caption, x, foot - 4.2, self.plain, SMALL_PT, QUIET)
        self._callouts(composed, x + width, foot, scale)
        self.y = foot - 12

    def _place(
        self, index: int, composed: Composed, x: float, y: float, scale: float, guest: str
    ) -> None:
        """A panel on its ground, a guest's name on it, and its die line."""
        panel, code = composed.panel, self.canvas._code
        code.append(f"q {number(scale)} 0 0 {number(scale)} {points(x)} {points(y)} cm")
        if panel.background:
            code += ["q", fill_colour(panel.background), *_outline(panel, 0.0), "f Q"]
        code += ["q", *_outline(panel, 0.0), "W n"]
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
        weight = number(0.4 / scale)
        code += [stroke_colour(FAINT), f"{weight} w", *_outline(panel, 0.0), "S", "Q"]

    @cached_property
    def _shown(self) -> ShownGuests:
        try:
            return shown_guests(self.job)
        except FitError:
            return ShownGuests("", "")  # the findings say which names cannot be set

    def _guest_runs(self, composed: Composed, guest: str) -> tuple[Run, ...]:
        return self.job.guest_runs.get(composed.panel.name, {}).get(guest, ()) if guest else ()

    def _safe_area(self, panel: Panel, x: float, y: float, scale: float) -> None:
        code = self.canvas._code
        code.append(f"q {number(scale)} 0 0 {number(scale)} {points(x)} {points(y)} cm")
        dash = f"[{number(1.6 / scale)} {number(1.8 / scale)}] 0 d"
        code += [stroke_colour(FAINT), f"{number(0.35 / scale)} w {dash}"]
        # A hair outside, so that the line does not run through letters that stand on its edge.
        code += [*_outline(panel, GUIDE_OFF_MM / scale - panel.safe_mm), "S", "Q"]

    # -- dimension lines

    def _across(
        self, x: float, y: float, length: float, value_mm: float, above: bool = False
    ) -> None:
        """A level dimension line; its figure stands in a gap of the line, or below it."""
        figure = f"{_written(value_mm, self.words.locale)} mm"
        wide = width_mm(figure, self.plain, SMALL_PT) + 2.4
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
        figure = f"{_written(value_mm, self.words.locale)} mm"
        wide = width_mm(figure, self.plain, SMALL_PT) + 2.4
        middle = y + length / 2
        self._ends(x, y, x, y + length)
        self.line(x, y, x, middle - wide / 2, FAINT)
        self.line(x, middle + wide / 2, x, y + length, FAINT)
        code = self.canvas._code
        code.append(f"q 0 1 -1 0 {points(x + 0.85)} {points(middle)} cm")
        self.text(figure, 0.0, 0.0, self.plain, SMALL_PT, QUIET, "centre")
        code.append("Q")

    def _ends(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """The short strokes that end a dimension line."""
        level = y0 == y1
        across, up = (0.0, 0.8) if level else (0.8, 0.0)
        for x, y in ((x0, y0), (x1, y1)):
            self.line(x - across, y - up, x + across, y + up, FAINT)

    # -- letter heights beside the panel

    def _callouts(self, composed: Composed, edge: float, foot: float, scale: float) -> None:
        """A column of letter heights, led to their lines by thin leaders."""
        words = self.words
        left = edge + 13.0
        value_x, least_x = self.right - 19.0, self.right
        callouts = self._measured(composed)
        top = foot + composed.panel.height_mm * scale
        heights = _spread([foot + c.y_mm * scale for c in callouts], top - 3.5)
        header = top + 1.6
        self.text(words.printed, value_x, header, self.plain, SMALL_PT, QUIET, "right")
        self.text(words.least, least_x, header, self.plain, SMALL_PT, QUIET, "right")
        self.line(left, header - 1.6, self.right, header - 1.6, FAINT)
        for callout, y in zip(callouts, heights, strict=True):
            at = foot + callout.y_mm * scale
            self._leader(edge + 1.2, at, left - 1.5, y)
            letter = words.letters[callout.letter]
            name = f"{words.element(callout.element)}, {letter}"
            self.text(name, left, y - 1, self.plain, CAPTION_PT, INK)
            printed = _height(callout.printed_mm, words.locale)
            self.text(printed, value_x, y - 1, self.bold, CAPTION_PT, INK, "right")
            least = callout.least_mm
            shown = "–" if least is None else f"{reported_number(least, words.locale)} mm"
            self.text(shown, least_x, y - 1, self.plain, CAPTION_PT, QUIET, "right")

    def _leader(self, x0: float, y0: float, x1: float, y1: float) -> None:
        bend = x0 + 2.5
        self.line(x0, y0, bend, y0, FAINT)
        self.line(bend, y0, x1 - 2.0, y1, FAINT)
        self.line(x1 - 2.0, y1, x1, y1, FAINT)

    def _measured(self, composed: Composed) -> list[Callout]:
        """Every element of a panel from its head to its foot, with its smallest letters."""
        firsts: dict[str, list[Run]] = {}
        guest = self._guest_runs(composed, self._shown.tightest)
        for run in (*composed.panel.runs, *guest):
            if run.element not in ("separator", "draft-mark") and run.text.strip():
                firsts.setdefault(run.element, []).append(run)
        found = [self._callout(element, runs) for element, runs in firsts.items()]
        return sorted(found, key=lambda callout: -callout.y_mm)

    def _callout(self, element: str, runs: Sequence[Run]) -> Callout:
        floors = [f for f in self.job.floors.of(element).heights if f.legal]
        floor = max(floors, key=lambda f: f.least_mm, default=None)
        letter, printed = _smallest_letter(runs, floor)
        first = runs[0]
        middle = first.baseline_mm + (first.letters.small_o_mm or first.ink.height_mm) / 2
        return Callout(element, middle, letter, printed, floor.least_mm if floor else None)

    def _signature(self) -> None:
        words, y = self.words, MARGIN_MM + 5.0
        self.text(words.please_check, self._middle, y + 16, self.plain, 9, INK, "centre")
        third = (self.right - MARGIN_MM - 16) / 3
        for index, label in enumerate((words.approved_by, words.signature, words.signed_on)):
            x = MARGIN_MM + index * (third + 8)
            self.line(x, y, x + third, y, QUIET, 0.4)
            self.text(label, x, y - 4, self.plain, CAPTION_PT, QUIET)

    # -- what was measured -------------------------------------------------------------------------

    def _measures(self) -> None:
        """Everything after the pictures, each part on one page where a page holds it."""
        self._guests()
        for part in (self._heights, self._fits, self._ingredients, self._findings):
            self.keep(part, TITLE_MM)

    def _heights(self) -> None:
        words = self.words
        self._title(words.letter_heights)
        columns = (MARGIN_MM, 118.0, 141.0, 164.0, self.right)
        self._row(columns, words.height_columns, self.bold, QUIET)
        for composed in self.job.composed:
            for row in self._height_rows(composed):
                self._row(columns, row, self.plain)
        self.down(5)

    def _height_rows(self, composed: Composed) -> Iterator[tuple[str, ...]]:
        panel = composed.panel
        seen: set[tuple[str, str]] = set()
        for run in (*panel.runs, *self._guest_runs(composed, self._shown.tightest)):
            key = (run.element, run.language)
            if key in seen or run.element in {"separator", "draft-mark"}:
                continue
            seen.add(key)
            yield self._height_row(panel, run)

    def _height_row(self, panel: Panel, run: Run) -> tuple[str, ...]:
        words = self.words
        name = f"{words.panel(panel.name)}, {words.element(run.element)}"
        if run.language != NEUTRAL:
            name += f" ({run.language})"
        least = [f.least_mm for f in self.job.floors.of(run.element).heights if f.legal]
        return (
            name,
            _height(run.letters.capital_mm, words.locale),
            _height(run.letters.small_o_mm, words.locale),
            _height(run.letters.figure_mm, words.locale),
            f"{reported_number(max(least), words.locale)} mm" if least else "–",
        )

    def _guests(self) -> None:
        """Every guest's name as it will be printed, in the order of the labels."""
        names = self.job.spec.event.guest_names
        if not names:
            return
        self._title(f"{self.words.guest_names} ({len(names)})")
        numbered = [f"{number}  {typographic(name)}" for number, name in enumerate(names, 1)]
        widest = max(width_mm(text, self.plain, CAPTION_PT) for text in numbered) + GUEST_GAP_MM
        columns = min(GUEST_COLUMNS, max(1, int((self.right - MARGIN_MM + GUEST_GAP_MM) / widest)))
        step = (self.right - MARGIN_MM) / columns
        for first in range(0, len(names), columns):
            self.room(6)
            for column, text in enumerate(numbered[first : first + columns]):
                x = MARGIN_MM + column * step
                self.text(text, x, self.y, self.plain, CAPTION_PT, INK)
            self.down(4.2)
        self.down(5)

    def _fits(self) -> None:
        """What the copyfitter chose, a line for each panel."""
        words = self.words
        self._title(words.fitting)
        for composed in self.job.composed:
            line = described(
                composed.fit, words.fit, words.element, lambda v: _written(v, words.locale)
            )
            self._prose(self._spaced(f"{words.panel(composed.panel.name)}: {line}"), INK)
        self.down(4)

    def _ingredients(self) -> None:
        words, declaration = self.words, self.job.declaration
        self._title(words.ingredient_order)
        basis = f"{words.style[declaration.style]}, {words.basis[declaration.basis]}"
        self._prose(basis, QUIET)
        columns = (MARGIN_MM, 164.0, self.right)
        for line in declaration.lines:
            grams = f"{reported_number(round(line.mass_g, 2), words.locale)} g"
            share = f"{reported_number(round(line.percent, 3), words.locale)} %"
            self._row(columns, (line.name, grams, share), self.plain)
        self.down(5)

    def _findings(self) -> None:
        words, report = self.words, self.report
        self._title(self._spaced(f"{words.preflight}: {words.verdict[report.verdict]}"))
        regions = f"{' + '.join(report.regions)}, {written_day(report.on, words.locale)}"
        self._prose(regions, QUIET)
        if doubt := self.findings.doubt(report):
            self._prose(self._spaced(formatted(f"{doubt}.", CAPITAL)), QUIET)
        for level, colour in ((Level.FAIL, RED), (Level.WARN, INK), (Level.NOTE, QUIET)):
            for finding in (f for f in report.findings if f.level is level):
                told = self.findings.message(finding)
                self._prose(self._spaced(f"{finding.rule}: {told}"), colour)
        self._prose(words.not_legal_advice, QUIET)

    def _spaced(self, text: str) -> str:
        """A line put together from captions, with the spaces that French sets."""
        return french_spacing(text) if self.words.language == "fr" else text

    def _title(self, text: str) -> None:
        self.room(TITLE_MM)
        self.text(text, MARGIN_MM, self.y - 3, self.serif, 15, INK)
        self.line(MARGIN_MM, self.y - 5.6, self.right, self.y - 5.6, FAINT, 0.4)
        self.down(11)

    def _row(
        self, columns: Sequence[float], cells: Iterable[str], face: Face, colour: str = INK
    ) -> None:
        """A line of a table: the first column ranged left, the others right."""
        self.room(6)
        for index, (x, cell) in enumerate(zip(columns, cells, strict=True)):
            align = "right" if index else "left"
            self.text(cell, x, self.y, face, CAPTION_PT, colour, align)
        self.down(4.2)

    def _prose(self, text: str, colour: str) -> None:
        lines = self.lines(text, MARGIN_MM, CAPTION_PT)
        self.room((len(lines) - 1) * self.leading(CAPTION_PT))
        self.y -= self.paragraph(text, MARGIN_MM, self.y, CAPTION_PT, colour)
        self.down(1)


def shown_guests(job: Job) -> ShownGuests:
    """The first guest and the one whose name is fitted hardest; FitError if one cannot be set."""
    tightest, least = "", (0.0, 0.0)
    for runs_of in job.guest_runs.values():
        for name, runs in runs_of.items():
            fit = min((run.size_pt, -run.advance_mm) for run in runs)
            if not tightest or fit < least:
                tightest, least = name, fit
    return ShownGuests(job.spec.event.guest_names[0] if tightest else "", tightest)


def _row_width(row: Sequence[tuple[int, Composed]]) -> float:
    return sum(c.panel.width_mm for _, c in row) + GAP_MM * (len(row) - 1)


def _scale(room_mm: float, widest_mm: float, composed: Sequence[tuple[int, Composed]]) -> float:
    """How many times panels one above the other can be enlarged, captions and gaps beside."""
    heights = sum(c.panel.height_mm for _, c in composed)
    widest = max(c.panel.width_mm for _, c in composed)
    free = room_mm - PANEL_EXTRA_MM * len(composed)
    return min(MOST_ENLARGED, max(free, 1.0) / heights, widest_mm / widest)


def _spread(heights: Sequence[float], top: float) -> list[float]:
    """Heights from top to bottom, moved apart so that no two are nearer than a row."""
    placed: list[float] = []
    for wanted in heights:
        placed.append(min(wanted, top if not placed else placed[-1] - ROW_MM))
    # What was pushed below its place is lifted again as far as there is room above.
    for index in range(len(placed) - 1, -1, -1):
        ceiling = placed[index - 1] - ROW_MM if index else top
        placed[index] = min(ceiling, max(placed[index], heights[index]))
    return placed


def _smallest_letter(runs: Sequence[Run], floor: HeightFloor | None) -> tuple[str, float | None]:
    """The letter that a floor measures (or that is seen most), and the smallest that prints."""
    capitals = all(run.text == run.text.upper() for run in runs)
    letter = "capital" if capitals else "o"
    if floor is not None and floor.measure is Measure.FIGURE:
        letter = "figure"
    elif floor is not None and floor.measure is Measure.CAPITAL:
        letter = "capital"
    elif floor is not None and floor.measure is Measure.SMALL_O:
        letter = "o"
    heights = {
        "capital": [run.letters.capital_mm for run in runs],
        "o": [run.letters.small_o_mm for run in runs],
        "figure": [run.letters.figure_mm for run in runs],
    }[letter]
    return letter, min((h for h in heights if h is not None), default=None)


def _outline(panel: Panel, grow_mm: float) -> list[str]:
    shape = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    return path_operators(shape.path(grow_mm))


def _height(value: float | None, locale: str) -> str:
    return "–" if value is None else f"{reported_number(Decimal(f'{value:.2f}'), locale)} mm"


def _written(value: float, locale: str) -> str:
    return reported_number(Decimal(f"{value:.2f}").normalize() + 0, locale)
