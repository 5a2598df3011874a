"""The proof a customer signs: every panel at actual size and enlarged, with what was measured."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from labelkit import rules
from labelkit.draw import (
    DocumentInfo,
    define_panel,
    fill_colour,
    number,
    path_operators,
    stroke_colour,
)
from labelkit.errors import LabelkitError
from labelkit.job import Job, preflight
from labelkit.page import FAINT, INK, MARGIN_MM, QUIET, RED, Pen, page_of, points
from labelkit.quantity import written_date, written_number
from labelkit.report.captions import LANGUAGES, Captions
from labelkit.rules.findings import Level, Report
from labelkit.runs import NEUTRAL, Panel, Run
from labelkit.typeset.faces import Face
from labelkit.typeset.outline import Outline

PNG_DPI = 600


@dataclass(frozen=True, slots=True)
class Proof:
    """A finished proof as PDF bytes, and the preflight it shows."""

    data: bytes
    report: Report


class ProofError(LabelkitError):
    """A proof that was asked for in a way it cannot be made."""


def make_proof(job: Job, language: str | None = None) -> Proof:
    """Draws the proof of a job in one of its languages; FitError if the label cannot be set."""
    report = preflight(job)
    stream = io.BytesIO()
    _Sheet(stream, job, report, captions_for(job, language)).draw()
    return Proof(stream.getvalue(), report)


def png_pages(data: bytes, folder: Path, stem: str = "proof") -> dict[Path, bytes]:
    """The pages of a PDF as PNG files at PNG_DPI, by the path each would have in ``folder``."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    pages: dict[Path, bytes] = {}
    for index, page in enumerate(document, start=1):
        stream = io.BytesIO()
        page.render(scale=PNG_DPI / 72).to_pil().save(stream, "PNG", dpi=(PNG_DPI, PNG_DPI))
        pages[folder / f"{stem}-{index}.png"] = stream.getvalue()
    return pages


class _Sheet(Pen):
    """The pages of one proof."""

    def __init__(self, stream: io.BytesIO, job: Job, report: Report, words: Captions) -> None:
        self.job, self.report, self.words = job, report, words
        info = DocumentInfo(f"{words.proof}: {self._names()}", words.language)
        super().__init__(stream, page_of(job.regions), info, job.faces)

    def _names(self) -> str:
        names = self.job.spec.event.names
        return names.get(self.words.language) or next(iter(names.values()))

    # -- the pages

    def draw(self) -> None:
        for index, composed in enumerate(self.job.composed):
            define_panel(self.canvas, f"panel{index}", composed.panel, self.fonts, 0.0)
        self._heading()
        for index, composed in enumerate(self.job.composed):
            self._panel(f"panel{index}", composed.panel)
        self._signature()
        self.new_page()
        self._heights()
        self._ingredients()
        self._findings()
        self.new_page()
        self.save()

    def _heading(self) -> None:
        spec, words = self.job.spec, self.words
        self.text(self._names(), MARGIN_MM, self.y - 7, self.serif, 24, INK)
        date = written_date(spec.event.date, words.locale)
        place = spec.event.place.get(words.language) or next(iter(spec.event.place.values()), "")
        line = " · ".join(part for part in (words.proof, date, place) if part)
        self.text(line, MARGIN_MM, self.y - 14, self.plain, 10, QUIET)
        right = self.right
        self.text(spec.maker.name, right, self.y - 14, self.plain, 10, QUIET, "right")
        self.y -= 24

    def _panel(self, form: str, panel: Panel) -> None:
        """One panel: actual size at the left with its dimensions, enlarged beside it."""
        words = self.words
        title = words.panel(panel.name)
        self.text(title, MARGIN_MM, self.y, self.bold, 10, INK)
        self.y -= 6
        left, room = MARGIN_MM + 6, self.page_mm[0] - 2 * MARGIN_MM
        spare = room - panel.width_mm - 30
        enlarge = max(1.0, min(2.4, spare / panel.width_mm, 78 / panel.height_mm))
        big_left = self.right - panel.width_mm * enlarge
        self._place(form, panel, left, self.y - panel.height_mm, 1.0)
        self._dimensions(panel, left, self.y - panel.height_mm)
        self._place(form, panel, big_left, self.y - panel.height_mm * enlarge, enlarge)
        self._safe_area(panel, big_left, self.y - panel.height_mm * enlarge, enlarge)
        note = f"{words.actual_size}"
        below = self.y - panel.height_mm - 11
        self.text(note, left, below, self.plain, 8, QUIET)
        caption = words.enlarged.format(times=_written(enlarge, words.locale))
        big_below = self.y - panel.height_mm * enlarge - 4
        self.text(caption, big_left, big_below, self.plain, 8, QUIET)
        self.y = min(below, big_below) - 10

    def _place(self, form: str, panel: Panel, x: float, y: float, scale: float) -> None:
        code = self.canvas._code
        code.append(f"q {_m(scale)} 0 0 {_m(scale)} {points(x)} {points(y)} cm")
        if panel.background:
            code += ["q", *_fill(panel, panel.background), "Q"]
        self.canvas.doForm(form)
        code += [stroke_colour(FAINT), f"{_m(0.4 / scale)} w", *self._die(panel), "S", "Q"]

    def _die(self, panel: Panel, inset: float = 0.0) -> list[str]:
        return path_operators(_outline(panel).path(-inset))

    def _safe_area(self, panel: Panel, x: float, y: float, scale: float) -> None:
        code = self.canvas._code
        code.append(f"q {_m(scale)} 0 0 {_m(scale)} {points(x)} {points(y)} cm")
        dash = f"[{_m(2 / scale)} {_m(2 / scale)}] 0 d"
        code += [stroke_colour(FAINT), f"{_m(0.3 / scale)} w {dash}"]
        code += [*self._die(panel, panel.safe_mm), "S", "Q"]

    def _dimensions(self, panel: Panel, x: float, y: float) -> None:
        """Width below and height at the left of the actual-size panel, as on a drawing."""
        low, width, height = y - 3.5, panel.width_mm, panel.height_mm
        self.line(x, low, x + width, low)
        self.line(x, low - 1, x, low + 1)
        self.line(x + width, low - 1, x + width, low + 1)
        label = f"{_written(width, self.words.locale)} mm"
        self.text(label, x + width / 2, low - 3.2, self.plain, 7.5, QUIET, "centre")
        side = x - 3.0
        self.line(side, y, side, y + height)
        self.line(side - 1, y, side + 1, y)
        self.line(side - 1, y + height, side + 1, y + height)
        tall = _written(height, self.words.locale)
        self.text(tall, side - 1.2, y + height / 2 - 1, self.plain, 7.5, QUIET, "right")

    def _signature(self) -> None:
        words, left = self.words, MARGIN_MM
        y = max(MARGIN_MM + 24, 42.0)
        self.paragraph(words.please_check, left, y + 12, 9, INK)
        third = (self.page_mm[0] - 2 * MARGIN_MM - 16) / 3
        for index, label in enumerate((words.approved_by, words.signature, words.signed_on)):
            x = left + index * (third + 8)
            self.line(x, y - 8, x + third, y - 8)
            self.text(label, x, y - 12, self.plain, 8, QUIET)

    # -- what was measured

    def _heights(self) -> None:
        words = self.words
        self._title(words.letter_heights)
        columns = (MARGIN_MM, 70.0, 95.0, 120.0, 145.0)
        self._row(columns, words.height_columns, self.bold)
        floors = rules.floors(self.job.facts, self.job.regions, self.job.on)
        for panel in self.job.panels:
            for row in self._height_rows(panel, floors):
                self._row(columns, row, self.plain)
        for panel in self.job.panels:
            self.y -= 1
            self.paragraph(
                f"{words.panel(panel.name)}: {panel.note}", MARGIN_MM, self.y, 7.5, QUIET
            )
            self.y -= 4
        self.y -= 5

    def _height_rows(self, panel: Panel, floors: rules.Floors) -> Iterator[tuple[str, ...]]:
        seen: set[tuple[str, str]] = set()
        for run in panel.runs:
            key = (run.element, run.language)
            if key in seen or run.element in {"separator", "draft-mark"}:
                continue
            seen.add(key)
            yield self._height_row(panel, run, floors)

    def _height_row(self, panel: Panel, run: Run, floors: rules.Floors) -> tuple[str, ...]:
        words = self.words
        name = f"{words.panel(panel.name)}, {words.element(run.element)}"
        if run.language != NEUTRAL:
            name += f" ({run.language})"
        least = [f for f in floors.of(run.element).heights if f.legal]
        needed = max((f.least_mm for f in least), default=None)
        return (
            name,
            _height(run.letters.capital_mm, words.locale),
            _height(run.letters.small_o_mm, words.locale),
            _height(run.letters.figure_mm, words.locale),
            "–" if needed is None else f"{written_number(needed, words.locale)} mm",
        )

    def _ingredients(self) -> None:
        words, declaration = self.words, self.job.declaration
        self._title(words.ingredient_order)
        basis = f"{words.style[declaration.style]}, {words.basis[declaration.basis]}"
        self.text(basis, MARGIN_MM, self.y, self.plain, 8, QUIET)
        self.y -= 5
        columns = (MARGIN_MM, 110.0, 135.0)
        for line in declaration.lines:
            grams = f"{written_number(round(line.mass_g, 2), words.locale)} g"
            share = f"{written_number(round(line.percent, 3), words.locale)} %"
            self._row(columns, (line.name, grams, share), self.plain)
        self.y -= 5

    def _findings(self) -> None:
        words, report = self.words, self.report
        self._title(f"{words.preflight}: {words.verdict[report.verdict]}")
        regions = f"{' + '.join(report.regions)}, {written_date(report.on, words.locale)}"
        self.text(regions, MARGIN_MM, self.y, self.plain, 8, QUIET)
        self.y -= 5
        for finding in report.findings:
            colour = RED if finding.level is Level.FAIL else INK
            used = self.paragraph(
                f"{finding.rule}: {finding.message}", MARGIN_MM, self.y, 8, colour
            )
            self.y -= used + 0.8
            if self.y < MARGIN_MM + 12:
                self.new_page()
        self.paragraph(words.not_legal_advice, MARGIN_MM, self.y - 3, 8, QUIET)

    # -- lines of a table

    def _title(self, text: str) -> None:
        self.text(text, MARGIN_MM, self.y, self.serif, 14, INK)
        self.y -= 6

    def _row(self, columns: Iterable[float], cells: Iterable[str], face: Face) -> None:
        if self.y < MARGIN_MM + 8:
            self.new_page()
        for x, cell in zip(columns, cells, strict=True):
            self.text(cell, x, self.y, face, 8, INK)
        self.y -= 4


def _outline(panel: Panel) -> Outline:
    return Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)


def _fill(panel: Panel, colour: str) -> list[str]:
    return [fill_colour(colour), *path_operators(_outline(panel).path(0.0)), "f"]


def _height(value: float | None, locale: str) -> str:
    return "–" if value is None else f"{_written(round(value, 2), locale)} mm"


def _written(value: float, locale: str) -> str:
    return written_number(Decimal(f"{value:.2f}").normalize() + 0, locale)


def _m(value: float) -> str:
    return number(value)


def captions_for(job: Job, language: str | None) -> Captions:
    """The captions asked for, or those of the label's first language that there are any in."""
    if language is not None and language not in LANGUAGES:
        raise ProofError(f"--language {language}: expected one of {', '.join(LANGUAGES)}")
    spoken = [language] if language else [*job.spec.languages, "en"]
    return next(LANGUAGES[code] for code in spoken if code in LANGUAGES)
