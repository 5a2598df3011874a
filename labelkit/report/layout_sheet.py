"""Every layout with the words of one order, front and back at their true size, on one sheet."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Sequence

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Said, Term
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.order.label import Trim, describe_trim
from labelkit.pdf.write.draw import (
    DocumentInfo,
    define_panel,
    fill_operator,
    format_pdf_number,
    stroke_operator,
)
from labelkit.pdf.write.page import FAINT, INK, QUIET, RED, PageWriter
from labelkit.report.proof_sheet import outline_operators
from labelkit.rules.findings import Finding

EDGE_MM, GAP_MM, CAPTION_MM = 12.0, 3.0, 13.0
BETWEEN_MM = 8.0
TITLE_PT, NOTE_PT = 10.0, 7.5
GROUND = "#f1ece4"
MOST_REASONS = 2

Say = Callable[[Said], str]
"""Words a sentence in somebody's language."""


@dataclass(frozen=True, slots=True)
class LayoutTrial:
    """An order in one layout."""

    job: Job
    failing: tuple[Finding, ...]
    """What the law has against it on the order's own trim."""
    smallest: Trim | None
    """In the order's proportions; None where there is none, or it was not asked for."""

    @property
    def unfit(self) -> tuple[FitError, ...]:
        return self.job.unfit

    @property
    def legal(self) -> bool:
        return not self.failing and not self.unfit

    @property
    def verdict(self) -> Said:
        """Whether it is legal on the order's own trim, and if not why, in a line."""
        if self.unfit:
            panel = Term("panel", self.unfit[0].panel)
            return Said("does not fit this trim: {panel}", panel=panel)
        if self.failing:
            rules = list(dict.fromkeys(finding.rule for finding in self.failing))
            return Said("not legal here: {rules}", rules=FactList(rules[:MOST_REASONS]))
        return Said("legal on this trim")

    @property
    def trim_text(self) -> Said:
        trim = self.job.spec.trim
        return Said("{trim}, {shape}", trim=describe_trim(trim), shape=Term("shape", trim.shape))

    @property
    def smallest_text(self) -> Said:
        """What the smallest trim is; "" where it is not known."""
        if self.smallest is None:
            return NOTHING
        return Said("smallest {trim}", trim=describe_trim(self.smallest))


def draw_layout_sheet(trials: Sequence[LayoutTrial], title: str, say: Say = str) -> bytes:
    """One page as large as it takes: a cell for each layout, as many in a row as make it squarish.

    The labels are at their true size; ``say`` words what is told of them.
    """
    trim = trials[0].job.spec.trim
    cell_w = 2 * trim.width_mm + GAP_MM + BETWEEN_MM
    cell_h = trim.height_mm + CAPTION_MM
    columns = max(1, round(math.sqrt(len(trials) * cell_h / cell_w * 1.3)))
    rows = math.ceil(len(trials) / columns)
    page = (
        2 * EDGE_MM + columns * cell_w - BETWEEN_MM,
        2 * EDGE_MM + 10 + rows * cell_h,
    )
    stream = io.BytesIO()
    writer = _begin_page(stream, page, title, trials)
    for number, trial in enumerate(trials):
        x = EDGE_MM + number % columns * cell_w
        y = page[1] - EDGE_MM - 10 - (number // columns + 1) * cell_h + CAPTION_MM
        _draw_trial(writer, number, trial, x, y, trial.job.layout.title, say)
    writer.canvas.showPage()
    writer.save()
    return stream.getvalue()


def draw_specimen(trials: Sequence[LayoutTrial], title: str, say: Say = str) -> bytes:
    """One design at several trims, one under the other, each with its verdict."""
    tallest = [trial.job.spec.trim.height_mm + CAPTION_MM for trial in trials]
    widest = max(trial.job.spec.trim.width_mm for trial in trials)
    page = (2 * EDGE_MM + 2 * widest + GAP_MM, 2 * EDGE_MM + 10 + sum(tallest))
    stream = io.BytesIO()
    writer = _begin_page(stream, page, title, trials)
    y = page[1] - EDGE_MM - 10
    for number, (trial, height) in enumerate(zip(trials, tallest, strict=True)):
        y -= height
        _draw_trial(writer, number, trial, EDGE_MM, y + CAPTION_MM, say(trial.trim_text), say)
    writer.canvas.showPage()
    writer.save()
    return stream.getvalue()


def _begin_page(
    stream: io.BytesIO, page: tuple[float, float], title: str, trials: Sequence[LayoutTrial]
) -> PageWriter:
    """A page on a quiet ground with its title."""
    faces = {
        name: face for t in trials for one in t.job.fitting for name, face in one.faces.items()
    }
    writer = PageWriter(stream, page, DocumentInfo(title, "en"), faces)
    width, height = (format_pdf_number(side * PT_PER_MM) for side in page)
    writer.canvas._code += ["q", fill_operator(GROUND), f"0 0 {width} {height} re f", "Q"]
    writer.text(title, EDGE_MM, page[1] - EDGE_MM - 3, writer.serif, 16, INK)
    return writer


def _draw_trial(
    writer: PageWriter, number: int, trial: LayoutTrial, x: float, y: float, name: str, say: Say
) -> None:
    trim = trial.job.spec.trim
    left = x
    for composed in trial.job.fitting[:2]:
        draw_label(writer, f"trial{number}{composed.panel.name}", composed, left, y)
        left += trim.width_mm + GAP_MM
    writer.text(name, x, y - 4.6, writer.serif, TITLE_PT, INK)
    end = x + 2 * trim.width_mm + GAP_MM
    colour = QUIET if trial.legal else RED
    writer.text(say(trial.smallest_text), end, y - 4.6, writer.plain, NOTE_PT, QUIET, "right")
    writer.text(say(trial.verdict), x, y - 8.2, writer.plain, NOTE_PT, colour)


def draw_label(writer: PageWriter, name: str, composed: ComposedPanel, x: float, y: float) -> None:
    """A label on its own paper, as it will be cut."""
    panel, code = composed.panel, writer.canvas._code
    define_panel(writer.canvas, name, panel, writer.fonts, 0.0)
    at = f"{format_pdf_number(x * PT_PER_MM)} {format_pdf_number(y * PT_PER_MM)}"
    path = outline_operators(panel, 0.0)
    code += [f"q 1 0 0 1 {at} cm", "q", fill_operator(panel.background or "#ffffff")]
    code += [*path, "f", "Q", "q", *path, "W n"]
    writer.canvas.doForm(name)
    code += ["Q", f"{stroke_operator(FAINT)} 0.3 w", *path, "S", "Q"]
