"""A plan on paper: the workshop's sheet, the batch record, the cost, and the customer's quote."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial

from labelkit.common.quantity import PT_PER_MM
from labelkit.common.scales import format_on_scale
from labelkit.compose.fingerprint import format_pdf_keyword
from labelkit.pdf.write.draw import DocumentInfo
from labelkit.pdf.write.page import (
    FAINT,
    INK,
    MARGIN_MM,
    QUIET,
    RED,
    TRAIL_MM,
    WHITE,
    PageWriter,
    choose_page_size,
    measure_width_mm,
)
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.dates import DatedStep, PlanStep
from labelkit.plan.order_plan import Plan
from labelkit.report.layout_sheet import draw_label
from labelkit.report.phrasebook import strip_zeros
from labelkit.report.plan_masses import MassColumns
from labelkit.report.plan_parts import (
    ChecklistItem,
    PlanRow,
    PlanSection,
    PlanTable,
    describe_checklist_item,
    join_lots,
    make_speech,
    translate_material,
)
from labelkit.report.plan_plot import WeightPlot
from labelkit.report.plan_text import plot_weighed_pieces
from labelkit.report.plan_trade import describe_raw_materials, make_quote
from labelkit.report.plan_view import WordedPlan, check_quote, word_plan
from labelkit.report.plan_work import (
    describe_bars,
    describe_batch,
    describe_cut,
    describe_harmless_mistakes,
    describe_poured_batch,
    describe_scale_check,
    describe_stop,
    list_cautions,
)
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.faces import Face

GUTTER_MM = 8.0
COLUMN_GAP_MM = 5.0
BOX_MM = 2.6
COST_MM = 140.0
"""Width of the cost's columns: figures stay in sight of their names."""
DAY_MM = 7.9
CHECK_MM = 46.0
"""Width of the figure to check at the scale, beside the mistakes."""
STAMP_DEGREES = 50.0
FIGURES_IN_A_LINE = 3
"""Of the batch's own figures; where the poured mass goes stands on a line of its own."""
STAMP_SHARE = 0.72
"""Length of the stamp, as a share of the page's diagonal."""
HALF_CAPITAL = 0.32
"""Half the height of a capital, as a share of the size: it is centred by it."""
STAMP = "#f3dcd9"
"""A red so pale that what is printed over it can be read."""
TOP_MM = 15.0
LOW_MM = 12.0
MOST_LABEL_MM = 60.0
"""The highest label that a quote shows."""
SIGNED_MM = 26.0
"""What the lines to sign a quote take above the lowest."""


def draw_plan_pdf(plan: Plan, language: str | None, pages: Sequence[str]) -> bytes:
    """The pages asked for ("workshop", "batch", "cost", "quote"), always in that order.

    InputError for a quote whose price would leave out what has no price.
    """
    if "quote" in pages:
        check_quote(plan, language)
    stream = io.BytesIO()
    worded = word_plan(plan, language)
    sheet = _PlanPages(stream, plan, worded)
    for name in ("workshop", "batch", "cost"):
        if name in pages:
            sheet.put(getattr(sheet, name), sheet.low)
    if "quote" in pages:
        asked = (language,) if language else plan.spec.money.quote_languages
        for tag in asked or (worded.phrases.language,):
            sheet.put(partial(sheet.quote, tag), sheet.low + SIGNED_MM)
    sheet.save()
    return stream.getvalue()


class _PlanPages(PageWriter):
    """The pages of one plan."""

    def __init__(self, stream: io.BytesIO, plan: Plan, worded: WordedPlan) -> None:
        self.plan, self.view, self.say = plan, worded, worded.phrases
        self._stamped = False
        self._quoted = 0
        title = f"{self.say('head.plan')}: {worded.title}"
        info = DocumentInfo(title, self.say.language, keywords=format_pdf_keyword(plan.order_code))
        super().__init__(stream, choose_page_size(plan.job.regions), info)

    @property
    def top(self) -> float:
        return self.page_mm[1] - TOP_MM

    @property
    def low(self) -> float:
        return LOW_MM

    @property
    def width(self) -> float:
        return self.right - MARGIN_MM

    # -- the workshop's sheet

    def workshop(self) -> None:
        """What hangs on the wall: days, figures, supplies and duties."""
        self._head(self.say("head.workshop"))
        self._figures()
        self._worries()
        top = self.y
        left = 0.51 * self.width
        x = MARGIN_MM + left + GUTTER_MM
        self._days(MARGIN_MM, left)
        below = self.y
        self.y = top
        for key in ("count", "weight"):
            self._figure_list(self.view.section(key), x)
        self.y = min(below, self.y)
        self._lines(self.view.section("weight").lines, 8)
        self.y -= 2
        if self.view.has("second"):
            self._section(self.view.section("second"))
        self._section(self._supplies())
        for key in (key for key in ("duties", "weighed") if self.view.has(key)):
            self._section(self.view.section(key))

    def _supplies(self) -> PlanSection:
        """The batch record has the materials' table: here a line of them leaves more room."""
        section = self.view.section("supplies")
        lines = (describe_raw_materials(self.plan, self.say), *section.lines[1:])
        return replace(section, tables=section.tables[1:], lines=lines)

    def _head(self, *kind: str) -> None:
        """The event's names, and what page this is."""
        worded, size = self.view, 25.0
        while size > 12 and self.lines(worded.title, MARGIN_MM, size, None, self.serif)[1:]:
            size -= 1
        used = self.paragraph(worded.title, MARGIN_MM, self.y - 7, size, INK, None, self.serif)
        self.y -= used - self.leading(size)
        about = (*kind, worded.order, worded.date, worded.place)
        line = " · ".join(part for part in about if part)
        self.text(line, MARGIN_MM, self.y - 13.5, self.plain, 10, QUIET)
        self.y -= 18.5
        self.text(worded.lot, MARGIN_MM, self.y, self.bold, 10, INK)
        self.text(worded.as_of, self.right, self.y, self.plain, 9, QUIET, "right")
        self.y -= 3
        self.line(MARGIN_MM, self.y, self.right, self.y, INK, 0.6)
        self.y -= 6

    def _figures(self) -> None:
        """The figures one looks for across the room."""
        say, plan = self.say, self.plan
        counts, mould = plan.counts, plan.moulding
        poured = "figure.is_poured" if plan.is_poured else "figure.poured"
        figures = [
            (say.number(counts.needed), say.form("count.needed", counts.needed)),
            (say.number(counts.bars), describe_bars(plan, say)),
            (describe_cut(plan, say), say("figure.cut")),
            (format_on_scale(plan.batch.poured_g, plan.scales.main, say.locale), say(poured)),
        ]
        kept = plan.poured is None or plan.poured.record.pieces > 0
        if plan.poured is not None:
            pieces = say.number(counts.cut) if kept else "–"
            figures[0] = (pieces, say.form("figure.pieces", counts.cut))
        if not kept:  # an older record, without its bars
            del figures[1]
        elif mould.slice_mm is not None:
            thickness = f"{say.number(strip_zeros(mould.slice_mm))}\u00a0mm"
            figures.insert(2, (thickness, say("figure.slice")))
        step = self.width / len(figures)
        for index, (figure, words) in enumerate(figures):
            x = MARGIN_MM + index * step
            self.text(figure, x, self.y - 7, self.serif, 26, INK)
            self.paragraph(words, x, self.y - 12, 8.5, QUIET, step - 3)
        self.y -= 19

    def _worries(self) -> None:
        for warned in self.view.warned:
            colour, face = (RED, self.bold) if warned.fails else (INK, self.plain)
            self.y -= self.paragraph(warned.text, MARGIN_MM, self.y, 9.5, colour, None, face)
            for way in warned.ways:
                self.text("–", MARGIN_MM, self.y, self.plain, 9.5, INK)
                self.y -= self.paragraph(way, MARGIN_MM + 4, self.y, 9.5, INK)
            self.down(1)
        if self.view.warned:
            self.down(3)

    def _days(self, x: float, width: float) -> None:
        """A line of days, from the first thing to do down to the event."""
        self._title(self.view.section("days").title)
        axis, text = x + 1.6, x + 6.5
        top = self.y
        steps = self.plan.steps_left
        foot = top + 1.2 - DAY_MM * self.snug * (len(steps) - 1)
        self.line(axis, top + 1.2, axis, foot, FAINT, 0.6)
        for dated in steps:
            self._day(dated, axis, text)
        for line in self.view.section("days").lines:
            self.y -= self.paragraph(line, x, self.y, 8, QUIET, width)
        self.down(4)

    def _day(self, dated: DatedStep, axis: float, x: float) -> None:
        strong = dated.step in (PlanStep.POUR, PlanStep.DELIVER, PlanStep.EVENT)
        self.dot(axis, self.y + 1.2, 1.2 if strong else 0.8, INK if strong else QUIET)
        what = self.say(f"step.{dated.step.value}")
        self.text(what, x, self.y, self.bold if strong else self.plain, 10.5, INK)
        self.text(self._span(dated), x, self.y - 3.7 * self.snug, self.plain, 8.5, QUIET)
        self.down(DAY_MM)

    def _span(self, dated: DatedStep) -> str:
        first = self.say.date(dated.first, "full")
        if dated.first == dated.last:
            return first
        return self.say("step.span", first=first, last=self.say.date(dated.last, "full"))

    def _figure_list(self, section: PlanSection, x: float) -> None:
        """Rows of a figure and what it is of, the figures ranged right."""
        self._title(section.title, x)
        (table,) = section.tables
        column = max(self._width(row.cells[0], row) for row in table.rows)
        for row in table.rows:
            face = self.bold if row.strong else self.plain
            self.text(row.cells[0], x + column, self.y, face, 9, INK, "right")
            words = x + column + 3
            used = self.paragraph(row.cells[1], words, self.y, 9, INK, None, face)
            self.y -= max(4.0 * self.snug, used)
        self.down(3)

    def _width(self, text: str, row: PlanRow) -> float:
        return measure_width_mm(text, self.bold if row.strong else self.plain, 9)

    # -- the batch record

    def batch(self) -> None:
        """What is weighed, with room for lots, ticks and what happened."""
        say, plan = self.say, self.plan
        title = say("head.batch")
        if plan.is_poured:
            title = say("head.batch_poured", date=say.date(plan.schedule.day(PlanStep.POUR)))
        if plan.withholds_masses:
            self._stamp()
        self._head(title, set_apostrophes(plan.job.recipe.name))
        if plan.withholds_masses:
            self._stop()
        elif plan.is_poured:
            line = describe_poured_batch(plan, say)
            self.y -= self.paragraph(line, MARGIN_MM, self.y, 10, INK, None, self.bold)
            self.down(4)
        self._weighings()
        if plan.withholds_masses:
            self._caution_box()
        else:
            self._make_up()
        self._stamped = False

    def _make_up(self) -> None:
        """What the batch comes to and, until it is poured, what to check at the scale."""
        plan = self.plan
        if not plan.is_poured:
            self.keep(self._weighing_check, 18)
        lines = tuple(describe_batch(plan, self.say))
        for line in (" · ".join(lines[:FIGURES_IN_A_LINE]), *lines[FIGURES_IN_A_LINE:]):
            self.y -= self.paragraph(line, MARGIN_MM, self.y, 9, QUIET)
        self.down(3)
        if not plan.is_poured:
            self._caution_box()
        self._blanks()

    def new_page(self) -> None:
        super().new_page()
        if self._stamped:
            self._stamp()

    def _stamp(self) -> None:
        """Across the whole page, under what is printed, that nothing of it may be poured."""
        self._stamped = True
        text, size = self.say("batch.stop"), 100.0
        size *= STAMP_SHARE * math.hypot(*self.page_mm) / measure_width_mm(text, self.bold, size)
        turn, half = math.radians(STAMP_DEGREES), HALF_CAPITAL * size / PT_PER_MM
        x, y = (side / 2 for side in self.page_mm)
        x, y = x + half * math.sin(turn), y - half * math.cos(turn)
        self.slanted(text, x, y, self.bold, size, STAMP, STAMP_DEGREES)

    def _stop(self) -> None:
        """In place of a figure to weigh by: that it must not be poured, and why."""
        stop, *reasons = describe_stop(self.plan, self.say)
        high = 14.0
        self.box(MARGIN_MM, self.y - high, self.width, high, RED)
        middle = (MARGIN_MM + self.right) / 2
        self.text(stop, middle, self.y - high + 4, self.bold, 30, WHITE, "centre")
        self.y -= high + 6
        for reason in (*reasons, *describe_scale_check(self.plan, self.say)):
            self.y -= self.paragraph(reason, MARGIN_MM, self.y, 10.5, RED, None, self.bold)
        self.down(5)

    def _weighing_check(self) -> None:
        """The one figure to check at the scale, beside the mistakes it is there for."""
        say, top = self.say, self.y
        scale = self.plan.weighing_check.scale
        if scale is not None:
            self.text(say("batch.lye_of_oils"), MARGIN_MM, self.y, self.plain, 8, QUIET)
            share = f"{say.number(scale.share_percent, 2)}\u00a0%"
            self.text(share, MARGIN_MM, self.y - 8.5, self.serif, 26, INK)
            ends = say("batch.ends", ends=make_speech(say)(scale.ends))
            self.text(ends, MARGIN_MM, self.y - 13.5, self.bold, 9.5, INK)
            self.y -= 17.5
            beyond, column = say("batch.beyond", soft=say.number(scale.soft_percent)), CHECK_MM - 5
            self.y -= self.paragraph(beyond, MARGIN_MM, self.y, 8, QUIET, column) + 2.3
            self._blank("batch.weighed_share", MARGIN_MM, column)
            self.y -= 3.4
        below, self.y = self.y, top
        self._mistakes(MARGIN_MM + CHECK_MM)
        self.y = min(below, self.y)
        self.down(5.7)

    def _mistakes(self, x: float) -> None:
        """What must not happen, each on a line of its own, and in a few lines what else may."""
        found = self.plan.weighing_check
        speech = make_speech(self.say)
        if found.caustic:
            self.text(self.say("batch.caustic"), x, self.y, self.bold, 9, RED)
            self.down(4.2)
        for mistake in found.caustic:
            self.text("–", x, self.y, self.plain, 9, INK)
            self.y -= self.paragraph(speech(mistake.told), x + 3, self.y, 9, INK)
        if found.harmless:
            self.down(1)
            line = describe_harmless_mistakes(self.plan, self.say)
            self.y -= self.paragraph(line, x, self.y, 8.5, QUIET)

    def _weighings(self) -> None:
        say, fit = self.say, not self.plan.withholds_masses
        column, lead = self.right - 52, self.right - 82
        name, beside = MARGIN_MM + 7, self.right - 58
        columns = MassColumns(self.plan.batch, self.plan.scales, say)
        heads = (
            (say("batch.material"), name, "left"),
            (columns.heading[0], lead, "right"),
            (columns.heading[1], beside, "right"),
            (say("batch.lot"), column, "left"),
        )
        for text, x, align in heads:
            self.text(text, x, self.y, self.plain, 8, QUIET, align)
        self.down(7)
        for line in self.plan.batch.weighings:
            self.room(9 + 4 * len(line.lots))
            self.text(self._weighed_name(line), name, self.y, self.plain, 11, INK)
            if fit:
                if not self.plan.is_poured:  # nothing is left to weigh and tick off
                    self.box(MARGIN_MM, self.y - 0.4, 3.2, 3.2, stroke=INK, weight_pt=0.5)
                mass, other = columns.cells(line)
                self.text(mass, lead, self.y, self.bold, 12, INK, "right")
                self.text(other, beside, self.y, self.plain, 9.5, QUIET, "right")
            else:
                self._struck(lead)
                self._struck(beside)
            if line.lots:
                used = self.paragraph(join_lots(line), column, self.y, 10, INK, self.right - column)
                self.y -= used - self.leading(10)
            elif line.role is not WeighingRole.WATER:
                self.line(column, self.y - 1, self.right, self.y - 1)
            self.down(2.8)
            self.line(MARGIN_MM, self.y, self.right, self.y, FAINT, 0.2)
            self.down(4.8)
        self.text(say("batch.total"), name, self.y, self.bold, 11, INK)
        if fit:
            self.text(columns.total[0], lead, self.y, self.bold, 12, INK, "right")
        else:
            self._struck(lead)
        self.down(7.5)

    def _struck(self, right: float) -> None:
        """What stands in place of a mass that must not be weighed."""
        self.line(right - 11, self.y + 1.2, right, self.y + 1.2, RED, 2.0)

    def _weighed_name(self, line: Weighing) -> str:
        name = translate_material(self.plan, self.say, line)
        return (
            f"{name}, {self.say('batch.late_oil')}" if line.role is WeighingRole.LATE_OIL else name
        )

    def _caution_box(self) -> None:
        """How lye is handled, once, where it is weighed."""
        texts, inner = list_cautions(self.say), self.width - 10
        height = 9.0 + sum(len(self.lines(t, 0, 9, inner)) * self.leading(9) + 0.8 for t in texts)
        self.room(height)
        self.box(MARGIN_MM, self.y - height, self.width, height, stroke=RED, weight_pt=0.8)
        y = self.y - 5.5
        self.text(self.say("batch.cautions"), MARGIN_MM + 5, y, self.bold, 10, RED)
        y -= 4.6
        for text in texts:
            y -= self.paragraph(text, MARGIN_MM + 5, y, 9, INK, inner) + 0.8
        self.y -= height
        self.down(9)

    def _blanks(self) -> None:
        """Lines to write on."""
        self.room(3 * 10.5 * self.snug + 3)
        keys = ("weighed_by", "day", "lye_heat", "trace_at", "unmoulded", "marker")
        half = (self.width - GUTTER_MM) / 2
        for index, key in enumerate(keys):
            self._blank(f"batch.{key}", MARGIN_MM + (index % 2) * (half + GUTTER_MM), half)
            if index % 2:
                self.down(10.5)
        self._blank("batch.notes", MARGIN_MM, self.width)
        foot = self.y - 3
        while self.y > LOW_MM + 12:
            self.y -= 9
            self.line(MARGIN_MM, self.y, self.right, self.y, FAINT, 0.3)
        self.y = min(self.y, foot) - TRAIL_MM

    def _blank(self, key: str, x: float, width: float) -> None:
        self.line(x, self.y, x + width, self.y)
        self.text(self.say(key), x, self.y - 3.4, self.plain, 8, QUIET)

    # -- cost, for the maker's eyes

    def cost(self) -> None:
        """The true cost, line by line, and the prices that follow."""
        self._head(self.say("head.cost"))
        for table in self.view.section("cost").tables:
            self._table(table, 9.5, COST_MM)
            self.down(4)
        self._lines(self.view.section("cost").lines, 8.5)
        if self.view.section("cost").caution:
            self._lines((self.view.section("cost").caution,), 8)
        if self.view.has("assumed"):
            self.down(4)
            self._section(self.view.section("assumed"))

    def put(self, draw: Callable[[], None], low: float) -> None:
        """Something on pages of its own, set as snug as it takes to end above ``low`` on one."""
        self.set_snug(draw, low)
        draw()
        self.new_page()

    # -- the customer's quote

    def quote(self, language: str) -> None:
        """What the customer signs; it shows the price and never the cost."""
        made = make_quote(self.plan, language)
        self.letterhead(made.maker, made.contact)
        self.y -= 12
        self.text(made.phrases("head.quote"), MARGIN_MM, self.y - 8, self.serif, 28, INK)
        for index, mark in enumerate(made.marks):
            y = self.y - 8 + 4.5 * (len(made.marks) - 1 - index)
            self.text(mark, self.right, y, self.plain, 10, INK, "right")
        self.y -= 17
        for line in made.customer:
            self.text(set_apostrophes(line), MARGIN_MM, self.y, self.plain, 10.5, INK)
            self.down(4.8)
        self.down(3 if made.customer else 0)
        self.y -= self.paragraph(made.heading, MARGIN_MM, self.y, 12, INK, None, self.bold) + 1
        for line in made.lines:
            self.y -= self.paragraph(line, MARGIN_MM, self.y, 10.5, INK)
        self._labels()
        self.down(8)
        self._table(made.table, 10.5, self.width, ruled=True)
        self.down(6)
        for line in made.dates:
            self.y -= self.paragraph(line, MARGIN_MM, self.y, 10.5, INK)
            self.down(0.6)
        self.down(4)
        for title, text in made.words:
            self.text(title, MARGIN_MM, self.y, self.bold, 10.5, INK)
            self.down(5)
            self.y -= self.paragraph(text, MARGIN_MM, self.y, 10.5, INK)
            self.down(2.5)
        self.lines_to_sign(made.sign, LOW_MM + 18, 8)

    def _labels(self) -> None:
        """The labels that are included, at their true size where the page has room for them."""
        shown = [one for one in self.plan.job.fitting[:2] if one.panel.height_mm <= MOST_LABEL_MM]
        if sum(one.panel.width_mm + GUTTER_MM for one in shown) > self.width + GUTTER_MM:
            shown = shown[:1]
        if not shown or shown[0].panel.width_mm > self.width:
            return
        self.y -= 2 + max(one.panel.height_mm for one in shown)
        x = MARGIN_MM
        for number, one in enumerate(shown):
            self._faces.update(one.faces)
            if not self.is_measuring:
                draw_label(self, f"quoted{self._quoted}-{number}", one, x, self.y)
            x += one.panel.width_mm + GUTTER_MM
        self._quoted += 0 if self.is_measuring else 1
        self.y -= 4

    # -- parts of every page

    def _title(self, text: str, x: float = MARGIN_MM) -> None:
        self.text(text, x, self.y - 2, self.serif, 15, INK)
        self.down(8)

    def _section(self, section: PlanSection) -> None:
        """A section on one page, where a page holds it."""
        self.keep(lambda: self._whole(section), 18)

    def _whole(self, section: PlanSection) -> None:
        self._title(section.title)
        if section.key == "weighed" and self.plan.weighed is not None:
            self._plot(plot_weighed_pieces(self.plan, self.plan.weighed))
        for table in section.tables:
            self._table(table, 9, COST_MM)
        for check in section.checks:
            self._check(check)
        self._lines(section.lines, 8.5)
        if section.caution:
            self._lines((section.caution,), 8)
        self.down(3)

    def _lines(self, lines: Iterable[str], size: float) -> None:
        for line in lines:
            self.room(1)
            self.y -= self.paragraph(line, MARGIN_MM, self.y, size, QUIET)
            self.down(0.6)

    def _check(self, check: ChecklistItem) -> None:
        text, x = describe_checklist_item(self.say, check), MARGIN_MM + 5
        self.room((len(self.lines(text, x, 8.5)) - 1) * self.leading(8.5))
        self.box(MARGIN_MM, self.y - 0.3, BOX_MM, BOX_MM, stroke=INK, weight_pt=0.4)
        self.y -= self.paragraph(text, x, self.y, 8.5, INK)
        self.down(0.7)

    def _table(
        self, table: PlanTable, size: float, width: float | None = None, ruled: bool = False
    ) -> None:
        """Columns as wide as their widest cell; the first takes what ``width`` leaves."""
        if not table.rows:
            return
        wide = self._columns(table, size, width)
        if table.heading:
            self._cells(table.heading, wide, table.align, self.plain, size - 1, QUIET)
            self.down(size * 0.5)
        for number, row in enumerate(table.rows):
            self.room(size * 0.5)
            if row.strong and number and not ruled:
                self.down(1.0)
            face = self.bold if row.strong else self.plain
            self._cells(row.cells, wide, table.align, face, size, INK)
            if ruled:
                self.line(MARGIN_MM, self.y - 2.4, self.right, self.y - 2.4, FAINT, 0.2)
            self.down(size * (0.72 if ruled else 0.46))

    def _columns(self, table: PlanTable, size: float, width: float | None) -> list[float]:
        rows = [row.cells for row in table.rows] + ([table.heading] if table.heading else [])
        wide = [
            max(measure_width_mm(row[column], self.bold, size) for row in rows) + COLUMN_GAP_MM
            for column in range(len(table.align))
        ]
        if width is not None:
            wide[0] = max(wide[0], width - sum(wide[1:]))
        return wide

    def _cells(
        self, cells: Sequence[str], wide: Sequence[float], align: str, face: Face, size: float,
        colour: str,
    ) -> None:  # fmt: skip
        x = MARGIN_MM
        for index, (cell, width, side) in enumerate(zip(cells, wide, align, strict=True)):
            last = index == len(wide) - 1
            if side == "r":
                end = x + width - (0.0 if last else COLUMN_GAP_MM)
                self.text(cell, end, self.y, face, size, colour, "right")
            else:
                self.text(cell, x, self.y, face, size, colour)
            x += width

    def _plot(self, plot: WeightPlot) -> None:
        """How many pieces fell into each step of weight."""
        width, height = 0.62 * self.width, 22.0
        self.room(height + 16)
        top, base, left = self.y - 3, self.y - 3 - height, MARGIN_MM
        step = width / len(plot.bins)
        for index, one in enumerate(plot.bins):
            if one.count:
                x, tall = left + index * step, (height - 5) * one.count / plot.tallest
                self.box(x + 0.4, base, step - 0.8, tall, FAINT)
                count = self.say.number(one.count)
                self.text(count, x + step / 2, base + tall + 1, self.plain, 7.5, QUIET, "centre")
        self.line(left, base, left + width, base, INK, 0.4)
        for index in range(len(plot.bins) + 1):
            weight = self.say.number(plot.low_g + index * plot.step_g, plot.places)
            self.text(weight, left + index * step, base - 3.6, self.plain, 7.5, QUIET, "centre")
        marks = (
            (plot.declared_g, self.say("weighed.axis_declared"), INK),
            (plot.lightest_g, self.say("weighed.axis_lightest"), RED),
        )
        for mark, name, colour in marks:
            if plot.shows(mark):
                x = left + width * plot.across(mark)
                self.line(x, base, x, top, colour, 0.5)
                label = f"{name} {self.say.grams(mark)}"
                self.text(label, x, top + 1, self.plain, 8, colour, "centre")
        self.y = base - 9
