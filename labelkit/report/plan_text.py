"""A plan for a terminal, and as one self-contained page."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from labelkit.plan.order_plan import Plan
from labelkit.plan.weight import WeighedPieces
from labelkit.report.phrasebook import Phrases
from labelkit.report.plan_parts import PlanSection, PlanTable, describe_checklist_item
from labelkit.report.plan_plot import WeightPlot, make_plot
from labelkit.report.plan_view import WordedPlan, word_plan
from labelkit.report.render import render_template

WIDTH = 100
_PLOT_WIDTH = 40


def format_plan_text(plan: Plan, language: str | None = None) -> str:
    """The plan in plain lines of at most WIDTH characters where words allow."""
    worded = word_plan(plan, language)
    blocks = [
        (section.title, list(_format_section(section, worded, plan))) for section in worded.sections
    ]
    heads = [list(_wrap_text(warned.text, "! ")) for warned in worded.warned]
    ways = [[line for way in w.ways for line in _wrap_text(way, "   - ")] for w in worded.warned]
    warned = [head + way for head, way in zip(heads, ways, strict=True)]
    return render_template("plan.txt.j2", view=worded, warned=warned, blocks=blocks)


def format_plan_html(plan: Plan, language: str | None = None) -> str:
    """The plan as one self-contained HTML page."""
    worded = word_plan(plan, language)
    plot = None if plan.weighed is None else plot_weighed_pieces(plan, plan.weighed)
    return render_template("plan.html.j2", view=worded, plot=plot, say=worded.phrases)


def plot_weighed_pieces(plan: Plan, found: WeighedPieces) -> WeightPlot:
    """The plot of the weighed pieces against the declared weight and the strictest tolerance."""
    lightest = max(hold.lightest_g for hold in plan.weight.holds)
    return make_plot(found.weights_g, plan.weight.declared_g, lightest)


def _format_section(section: PlanSection, worded: WordedPlan, plan: Plan) -> Iterator[str]:
    if section.stop:
        yield from _wrap_text(section.stop, "! ")
        yield ""
    for number, table in enumerate(section.tables):
        if number:
            yield ""
        yield from _format_table(table)
    for check in section.checks:
        yield from _wrap_text(describe_checklist_item(worded.phrases, check), "[ ] ")
    if section.key == "weighed" and plan.weighed is not None:
        yield from _format_plot(plot_weighed_pieces(plan, plan.weighed), worded.phrases)
    for line in section.lines:
        yield from _wrap_text(line, "")
    if section.caution:
        yield from _wrap_text(section.caution, "")


def _wrap_text(text: str, lead: str) -> Iterator[str]:
    blank = " " * len(lead)
    yield from wrap(text, WIDTH, initial_indent=lead, subsequent_indent=blank) or [lead.rstrip()]


def _format_table(table: PlanTable) -> Iterator[str]:
    rows = [row.cells for row in table.rows]
    if not rows:
        return
    if table.heading:
        rows.insert(0, table.heading)
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.align))]
    for number, row in enumerate(rows):
        yield _format_row(row, widths, table.align)
        if table.heading and number == 0:
            yield _format_row(tuple("-" * width for width in widths), widths, table.align)


def _format_row(cells: tuple[str, ...], widths: list[int], align: str) -> str:
    padded = (
        cell.rjust(width) if side == "r" else cell.ljust(width)
        for cell, width, side in zip(cells, widths, align, strict=True)
    )
    return "  ".join(padded).rstrip()


def _format_plot(plot: WeightPlot, say: Phrases) -> Iterator[str]:
    """A bar of blocks for each step of weight; the declared weight's step is pointed at."""
    scale = min(1.0, _PLOT_WIDTH / plot.tallest)
    labels = [say.grams(one.low_g, plot.places) for one in plot.bins]
    width = max(len(label) for label in labels)
    for one, label in zip(plot.bins, labels, strict=True):
        blocks = "█" * max(round(one.count * scale), 1 if one.count else 0)
        here = one.low_g <= plot.declared_g < one.low_g + plot.step_g
        mark = f"  ← {say('weighed.axis_declared')}" if here else ""
        number = f" {one.count}" if one.count else ""
        yield f"  {label.rjust(width)}  {blocks}{number}{mark}".rstrip()
