"""The maker's part of a proof: how every label was set, what was measured, and what was found."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import CAPITAL, format_fact_text
from labelkit.common.quantity import format_long_date, format_report_number
from labelkit.compose import ComposedPanel, describe_fit
from labelkit.compose.fitting import PanelFit
from labelkit.compose.job import Job
from labelkit.model.runs import NEUTRAL, Panel, Run
from labelkit.pdf.write.draw import format_pdf_number, stroke_operator
from labelkit.pdf.write.page import FAINT, INK, MARGIN_MM, QUIET, RED, format_points
from labelkit.report.captions import Captions
from labelkit.report.findings import FindingWords
from labelkit.report.proof_sheet import (
    CAPTION_PT,
    LINE_MM,
    MOST_ENLARGED,
    SMALL_PT,
    TITLE_MM,
    Numbered,
    ProofSheet,
    format_height,
    format_mm,
    outline_operators,
)
from labelkit.rules.findings import Finding, Level, Report
from labelkit.rules.floors import Floors, HeightFloor, LetterMeasure

NAMES_PT = 20.0
COLUMN_MM = 80.0
"""Least width of the column that says how tall the letters are."""
DIMENSIONS_MM = 8.0
"""Room for dimension lines at the left of an enlarged panel."""
ROW_MM = 4.9
PANEL_EXTRA_MM = 17.5
"""What an enlarged panel takes beside its own height: dimension lines, caption, space."""
GUIDE_OFF_MM = 0.3


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


class MakerProof(ProofSheet):
    """The pages of the part that stays in the workshop.

    ``panels`` are those that could be set: of a label that is not fit, maybe none.
    """

    def __init__(
        self,
        stream: io.BytesIO,
        job: Job,
        panels: Sequence[ComposedPanel],
        report: Report,
        words: Captions,
        findings: FindingWords,
        code: str,
    ) -> None:
        self.report, self.findings = report, findings
        super().__init__(stream, job, words, words.makers_part, panels, code)

    def draw(self) -> None:
        """All pages, and the end of the file. Of an unfit label the reasons come first."""
        self._heading(self.words.makers_part, NAMES_PT)
        if self.report.verdict == "fail":
            self._findings()
            self.down(5)
        self._enlarged()
        self.set_snug(self._measures, self.low)
        self._measures()
        self.new_page()
        self.save()

    # -- panels

    def _scale(self, room_mm: float, panels: Sequence[Numbered]) -> float:
        """One above the other, captions and gaps beside."""
        widest_mm = self.right - MARGIN_MM - DIMENSIONS_MM - COLUMN_MM
        heights = sum(composed.panel.height_mm for _, composed in panels)
        widest = max(composed.panel.width_mm for _, composed in panels)
        free = room_mm - PANEL_EXTRA_MM * len(panels)
        return min(MOST_ENLARGED, max(free, 1.0) / heights, widest_mm / widest)

    def _enlarge(self, panels: Sequence[Numbered], scale: float) -> None:
        for index, composed in panels:
            self._enlarged_panel(index, composed, scale)

    def _enlarged_panel(self, index: int, composed: ComposedPanel, scale: float) -> None:
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
        times = format_mm(scale, self.words.locale)
        caption = f"{self.words.panel(panel.name)}, {self.words.enlarged.format(times=times)}"
        self.text(caption, x, foot - 4.2, self.plain, SMALL_PT, QUIET)
        self._callouts(composed, x + width, foot, scale)
        self.y = foot - 12

    def _safe_area(self, panel: Panel, x: float, y: float, scale: float) -> None:
        code = self.canvas._code
        code.append(
            f"q {format_pdf_number(scale)} 0 0 {format_pdf_number(scale)}"
            f" {format_points(x)} {format_points(y)} cm"
        )
        dash = f"[{format_pdf_number(1.6 / scale)} {format_pdf_number(1.8 / scale)}] 0 d"
        code += [stroke_operator(FAINT), f"{format_pdf_number(0.35 / scale)} w {dash}"]
        # A hair outside, so that the line does not run through letters that stand on its edge.
        code += [*outline_operators(panel, GUIDE_OFF_MM / scale - panel.safe_mm), "S", "Q"]

    # -- letter heights beside the panel

    def _callouts(self, composed: ComposedPanel, edge: float, foot: float, scale: float) -> None:
        """A column of letter heights, led to their lines by thin leaders."""
        words = self.words
        left = edge + 13.0
        value_x, least_x = self.right - 19.0, self.right
        callouts = self._measured(composed)
        top = foot + composed.panel.height_mm * scale
        heights = _spread_heights([foot + c.y_mm * scale for c in callouts], top - 3.5)
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
            printed = format_height(callout.printed_mm, words.locale)
            self.text(printed, value_x, y - 1, self.bold, CAPTION_PT, INK, "right")
            least = callout.least_mm
            shown = "–" if least is None else f"{format_report_number(least, words.locale)} mm"
            self.text(shown, least_x, y - 1, self.plain, CAPTION_PT, QUIET, "right")

    def _leader(self, x0: float, y0: float, x1: float, y1: float) -> None:
        bend = x0 + 2.5
        self.line(x0, y0, bend, y0, FAINT)
        self.line(bend, y0, x1 - 2.0, y1, FAINT)
        self.line(x1 - 2.0, y1, x1, y1, FAINT)

    def _measured(self, composed: ComposedPanel) -> list[Callout]:
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
        letter, printed = _find_smallest_letter(runs, floor)
        first = runs[0]
        middle = first.baseline_mm + (first.letters.small_o_mm or first.ink.height_mm) / 2
        return Callout(element, middle, letter, printed, floor.least_mm if floor else None)

    # -- what was measured

    def _measures(self) -> None:
        """Everything after the pictures, each part on one page where a page holds it."""
        found = [] if self.report.verdict == "fail" else [self._findings]
        set_so = [self._heights, self._fits] if self.panels else []
        for part in (*found, *set_so, self._ingredients):
            self.keep(part, TITLE_MM)

    def _heights(self) -> None:
        words = self.words
        self._title(words.letter_heights)
        columns = (MARGIN_MM, 118.0, 141.0, 164.0, self.right)
        self._row(columns, words.height_columns, self.bold, QUIET)
        pieces = ((made.whole, self.job.floors_on(made.piece)) for made in self.job.fitting_pieces)
        for composed, floors in (*((one, self.job.floors) for _, one in self.panels), *pieces):
            for row in self._height_rows(composed, floors):
                page = self.page
                self.room(LINE_MM)
                if self.page != page:
                    self._row(columns, words.height_columns, self.bold, QUIET)
                self._row(columns, row, self.plain)
        self.down(5)

    def _height_rows(self, composed: ComposedPanel, floors: Floors) -> Iterator[tuple[str, ...]]:
        """Each element of a panel in each language, where it is smallest."""
        panel = composed.panel
        smallest: dict[tuple[str, str], Run] = {}
        for run in (*panel.runs, *self._guest_runs(composed, self._shown.tightest)):
            key = (run.element, run.language)
            known = smallest.get(key)
            if run.element not in {"separator", "draft-mark"} and (
                known is None or run.size_pt < known.size_pt
            ):
                smallest[key] = run
        for run in smallest.values():
            yield self._height_row(panel, run, floors)

    def _height_row(self, panel: Panel, run: Run, floors: Floors) -> tuple[str, ...]:
        words = self.words
        name = f"{words.panel(panel.name)}, {words.element(run.element)}"
        if run.language != NEUTRAL:
            name += f" ({run.language})"
        least = [f.least_mm for f in floors.of(run.element).heights if f.legal]
        return (
            name,
            format_height(run.letters.capital_mm, words.locale),
            format_height(run.letters.small_o_mm, words.locale),
            format_height(run.letters.figure_mm, words.locale),
            f"{format_report_number(max(least), words.locale)} mm" if least else "–",
        )

    def _fits(self) -> None:
        """What the copyfitter chose, a line for each panel and for each face of a piece."""
        words = self.words
        self._title(words.fitting)
        for name, fit in self._list_fits():
            line = describe_fit(fit, words.fit, words.element, lambda v: format_mm(v, words.locale))
            self._prose(self._spaced(f"{name}: {line}").replace(" %", "\xa0%"), INK)
        self.down(4)

    def _list_fits(self) -> Iterator[tuple[str, PanelFit]]:
        for _, composed in self.panels:
            yield self.words.panel(composed.panel.name), composed.fit
        for made in self.job.fitting_pieces:
            for strip, face in made.faces.items():
                name = self.words.panel(made.piece.kind)
                if strip.label:
                    name += f", {self.words.panel(strip.label).lower()}"
                if face.fit.elements:
                    yield name, face.fit

    def _ingredients(self) -> None:
        words, declaration = self.words, self.job.declaration
        self._title(words.ingredient_order)
        basis = f"{words.style[declaration.style]}, {words.basis[declaration.basis]}"
        self._prose(basis, QUIET)
        columns = (MARGIN_MM, 164.0, self.right)
        for line in declaration.lines:
            grams = f"{format_report_number(round(line.mass_g, 2), words.locale)} g"
            share = f"{format_report_number(round(line.percent, 3), words.locale)} %"
            self._row(columns, (line.name, grams, share), self.plain)
        self.down(5)

    def _findings(self) -> None:
        words, report = self.words, self.report
        self._title(self._spaced(f"{words.preflight}: {words.verdict[report.verdict]}"))
        regions = (
            f"{' + '.join(report.regions)}, {format_long_date(report.on, words.locale, 'full')}"
        )
        self._prose(regions, QUIET)
        if doubt := self.findings.doubt(report):
            self._prose(self._spaced(format_fact_text(f"{doubt}.", CAPITAL)), QUIET)
        for level, colour in ((Level.FAIL, RED), (Level.WARN, INK), (Level.NOTE, QUIET)):
            for finding in (f for f in report.findings if f.level is level):
                self._finding(finding, colour)
        self._prose(words.not_legal_advice, QUIET)

    def _finding(self, finding: Finding, colour: str) -> None:
        """What was found; of what fails also how to put it right."""
        told = self.findings.of(finding)
        where = f" ({told.panel})" if finding.level is Level.FAIL and told.panel else ""
        self._prose(self._spaced(f"{told.rule}{where}: {told.message}"), colour)
        if finding.level is Level.FAIL and told.remedy:
            self._prose(format_fact_text(told.remedy, CAPITAL), INK)


def _spread_heights(heights: Sequence[float], top: float) -> list[float]:
    """Heights from top to bottom, moved apart so that no two are nearer than a row."""
    placed: list[float] = []
    for wanted in heights:
        placed.append(min(wanted, top if not placed else placed[-1] - ROW_MM))
    # What was pushed below its place is lifted again as far as there is room above.
    for index in range(len(placed) - 1, -1, -1):
        ceiling = placed[index - 1] - ROW_MM if index else top
        placed[index] = min(ceiling, max(placed[index], heights[index]))
    return placed


def _find_smallest_letter(
    runs: Sequence[Run], floor: HeightFloor | None
) -> tuple[str, float | None]:
    """The letter that a floor measures (or that is seen most), and the smallest that prints."""
    capitals = all(run.text == run.text.upper() for run in runs)
    letter = "capital" if capitals else "o"
    if floor is not None and floor.measure is LetterMeasure.FIGURE:
        letter = "figure"
    elif floor is not None and floor.measure is LetterMeasure.CAPITAL:
        letter = "capital"
    elif floor is not None and floor.measure is LetterMeasure.SMALL_O:
        letter = "o"
    heights = {
        "capital": [run.letters.capital_mm for run in runs],
        "o": [run.letters.small_o_mm for run in runs],
        "figure": [run.letters.figure_mm for run in runs],
    }[letter]
    return letter, min((h for h in heights if h is not None), default=None)
