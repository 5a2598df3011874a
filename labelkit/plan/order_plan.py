"""The whole plan of an order, from the same files as its label."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from functools import cached_property

from labelkit import rules
from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, Said
from labelkit.common.scales import Scale
from labelkit.compose.fingerprint import collect_content, make_job_code
from labelkit.compose.job import Job
from labelkit.formula import compute_batch
from labelkit.formula.materials import merge_own_materials
from labelkit.formula.weighing_mistakes import WeighingCheck, check_weighing
from labelkit.impose import LeftOver, count_labels_per_sheet, count_sheets_needed, find_left_over
from labelkit.order.label import DISPLAY, LabelSpec
from labelkit.order.maker import name_label_for_maker, trace_path_of
from labelkit.order.plan import LabelSheets, Making, MouldKind, PlanSpec
from labelkit.order.prices import Price
from labelkit.order.recipe import Recipe
from labelkit.plan import trace
from labelkit.plan.approval import compare_contents, read_approval
from labelkit.plan.batching import (
    BatchPlan,
    Scales,
    Weighing,
    WeighingRole,
    plan_batch,
    scales_at_hand,
)
from labelkit.plan.consumer_prices import find_final_price_law
from labelkit.plan.cost import Cost, MaterialCost, Pricing, compute_cost, compute_pricing
from labelkit.plan.count import Counts, count_pieces
from labelkit.plan.dates import MOST_DAYS_LONGER_IN_MOULD, Calendar, DatedStep, PlanStep, Schedule
from labelkit.plan.density import TRUE_TO, compute_density
from labelkit.plan.moulding import (
    MassBalance,
    Moulding,
    balance_masses,
    goes_into_bar,
    is_odd_slice,
    plan_moulding,
)
from labelkit.plan.passed import PassedDays, find_passed_days
from labelkit.plan.poured import (
    PouredBatch,
    batch_from_record,
    counts_from_record,
    find_other_amount,
    find_poured_batches,
    judge_poured_batch,
    list_other_lots,
    pick_batch_of_lot,
    spec_from_record,
)
from labelkit.plan.pouring import PlannedLot, make_planned_lot, schedule_order
from labelkit.plan.price_list import (
    UnusedPrice,
    list_odd_oil_prices,
    list_unused_prices,
    make_density_lookup,
)
from labelkit.plan.shelf_draw import ShelfDraw, draw_from_shelf
from labelkit.plan.supplies import (
    BOTH_SIDES,
    PanelSheets,
    SupplyNeed,
    count_supplies,
    find_needless_spares,
)
from labelkit.plan.trace import BatchRecord, RecordedMaterial
from labelkit.plan.tried import Tried, count_pours
from labelkit.plan.weight import WeighedPieces, WeightPlan, judge_weights, plan_weight
from labelkit.rules.duties import DutyAtOtherTime, list_duties_at_other_times
from labelkit.rules.facts import PackageFace

OLDEST_POUR_DAYS = 366
"""A pour so long before its event is likelier a slip in the year (labelkit's own judgement)."""


class Worry(StrEnum):
    """What the maker has to know of a plan; the first ones mean that it cannot be kept as it is."""

    UNFIT_RECIPE = "unfit-recipe"
    """It may leave lye over, or holds more of something than its supplier allows."""
    PAST = "past"
    LATE = "late"
    NO_DELIVERY = "no-delivery"
    """The day of delivery is past, and the event is not."""
    PASSED = "passed"
    """Days are past on which something was to be done that may not be done yet."""
    OVERSTATED = "overstated"
    """The declared weight is more than the pieces will hold."""
    POURED_SHORT = "poured-short"
    """The batch is poured, and has fewer pieces than the order asks now."""
    WEIGHED_SHORT = "weighed-short"
    """The pieces that were weighed do not hold the declared weight."""
    WEIGHED_ALLOWANCE = "weighed-allowance"
    """Their average is under the declared weight: an allowance known from memory lets it pass."""
    WEIGHED_MEMORY = "weighed-memory"
    """They hold by a scheme that is known from memory only."""
    WEIGHED_FEW = "weighed-few"
    """Fewer pieces were weighed than a region's scheme weighs."""
    LONG_MOULD = "long-mould"
    """A closure keeps the batch in its mould until it is hard to cut."""
    SHORT_CURE = "short-cure"
    CLOSED_DELIVERY = "closed-delivery"
    COARSE_SCALE = "coarse-scale"
    ODD_SLICE = "odd-slice"
    """A loaf would be sliced thinner or thicker than a bar of soap is."""
    ODD_FACE = "odd-face"
    """No piece of the declared face and weight can be cut of such a bar."""
    OTHER_POURED = "other-poured"
    """A batch is recorded as poured for this label and event, under another lot than its own."""
    OTHER_LOT = "other-lot"
    """The label's lot neither is nor adds to what the pattern and the day of pouring give."""
    NO_LOTS = "no-lots"
    OTHER_RECIPE = "other-recipe"
    """The recipe's amounts are not those of the poured batch: the label follows the recipe."""
    OTHER_LOTS = "other-lots"
    """The recipe names other lots of a material than were recorded with the pour."""
    NO_PRICES = "no-prices"
    NO_TAX = "no-tax"
    """Consumers are to be shown prices with tax in them, and no rate of it is given."""
    UNTRIED = "untried"
    """Neither this recipe nor this pair of recipe and scent is recorded as poured before."""
    MISBEHAVED = "misbehaved"
    """A batch of this pair is noted to have misbehaved."""
    SHELF_SHORT = "shelf-short"
    """The shelf has too little of something."""
    SHELF_OLD = "shelf-old"
    """A supplier's paper is older than is stated for it, or a lot is past its day."""
    ODD_PRICE = "odd-price"
    """A kilogram of an oil costs what none does."""
    BELOW_COST = "below-cost"
    LOSS_ASSUMED = "loss-assumed"


FAILING = (
    Worry.UNFIT_RECIPE, Worry.PAST, Worry.LATE, Worry.NO_DELIVERY, Worry.OVERSTATED,
    Worry.POURED_SHORT, Worry.WEIGHED_SHORT,
)  # fmt: skip


@dataclass(frozen=True)
class Plan:
    """Everything around the labels of one event, as seen on the day ``on``."""

    job: Job
    spec: PlanSpec
    on: dt.date
    counts: Counts
    weight: WeightPlan
    moulding: Moulding
    batch: BatchPlan
    balance: MassBalance
    schedule: Schedule
    sheets: tuple[PanelSheets, ...]
    needs: tuple[SupplyNeed, ...]
    cost: Cost
    pricing: Pricing
    duties: tuple[rules.Duty, ...]
    planned_lot: PlannedLot
    poured: PouredBatch | None = None
    """The batch as it is recorded as poured; None: what is planned can still change."""
    other_poured: tuple[BatchRecord, ...] = ()
    """Batches of other lots that are recorded as poured for this label, where its own is not."""
    weighed: WeighedPieces | None = None
    tried: Tried | None = None
    """How often its recipe was poured; None: nothing is recorded, or it is poured."""
    shelf: ShelfDraw | None = None
    """What the batch takes from the workshop's shelf; None: there is none, or it is poured."""
    unused_prices: tuple[UnusedPrice, ...] = ()
    """Lines of the price list that may be misspelt; looked for where something has no price."""

    @property
    def lot(self) -> str:
        """The label's own lot, or the one that follows from the pattern and the day of pouring."""
        return self.job.spec.product.lot or self.planned_lot.code

    @cached_property
    def order_code(self) -> str:
        """Of the order as it stands, as proof and sheets carry it."""
        return make_job_code(self.job)

    @property
    def another_lot(self) -> str:
        """What a second batch for the same event may be called."""
        return f"{self.lot}-B"

    @property
    def lot_given(self) -> bool:
        """The label names the lot."""
        return bool(self.job.spec.product.lot)

    @property
    def spare_labels(self) -> int:
        """Labels of each side that no piece is made for."""
        return self.job.spec.event.labels - self.counts.labelled

    @property
    def is_poured(self) -> bool:
        """The maker has said when it was poured, and that day has come."""
        poured = self.spec.timing.poured_on
        return poured is not None and poured <= self.on

    @property
    def passed(self) -> PassedDays | None:
        """What is past of its days; None where nothing is, or nothing can be done about it."""
        return find_passed_days(self.schedule, self.spec.timing, self.done)

    @cached_property
    def done(self) -> frozenset[PlanStep]:
        """What is recorded as done for the labels as they stand: proof and approval, printing."""
        approval, content = read_approval(self.job.spec.path), collect_content(self.job)
        done: set[PlanStep] = set()
        if approval.approved and not compare_contents(approval.approved.content, content):
            done |= {PlanStep.PROOF, PlanStep.APPROVE}
        if approval.printed and not compare_contents(approval.printed.content, content):
            done |= {PlanStep.PROOF, PlanStep.APPROVE, PlanStep.PRINT}
        return frozenset(done)

    @property
    def steps_left(self) -> tuple[DatedStep, ...]:
        """The days of what is not recorded as done."""
        return tuple(dated for dated in self.schedule.steps if dated.step not in self.done)

    @property
    def quote_until(self) -> dt.date:
        """The last day on which the quote holds, never later than work has to begin."""
        room = (dt.date.max - self.on).days
        until = self.on + dt.timedelta(days=min(self.spec.money.valid_days, room))
        begin = min(dated.first for dated in self.schedule.steps)
        return min(until, begin) if begin >= self.on else min(until, self.schedule.steps[-1].last)

    @property
    def can_be_quoted(self) -> bool:
        """Whether the price asked rests on something: on a whole cost, or on the maker's word.

        A price worked out of a cost that lacks prices would be too low.
        """
        return not self.is_for_display and (self.cost.complete or self.pricing.settled)

    @property
    def lacks_tax(self) -> bool:
        """Prices are to be shown with tax in them, and whether there is any is not said."""
        return self.pricing.with_tax and not self.spec.money.taxes

    @property
    def is_for_display(self) -> bool:
        """Its pieces are for the market table and for photographs: nobody is asked a price."""
        return self.job.spec.event.kind == DISPLAY

    @property
    def unfit(self) -> tuple[str, ...]:
        """Why the recipe must not be poured as it stands; empty when nothing speaks against it."""
        return self.job.declaration.unfit

    @property
    def withholds_masses(self) -> bool:
        """The recipe must not be poured, and has not been: nothing is given to weigh by."""
        return bool(self.unfit) and not self.is_poured

    @property
    def weighing_check(self) -> WeighingCheck:
        """The figure to check at the scale, and what mistakes would make of the batch."""
        superfat = self.job.declaration.superfat
        assert superfat is not None, "a list that was worked out knows its superfat"
        return check_weighing(self.batch.recipe, superfat)

    @property
    def needless_spares(self) -> tuple[int, int]:
        """How many spares fewer save how many sheets of labels."""
        return find_needless_spares(self.sheets, self.job.spec.event.spares)

    @property
    def scales(self) -> Scales:
        """The scales of the workshop, or the recipe's own."""
        return scales_at_hand(self.job.recipe, self.spec.making)

    @property
    def piece_scale(self) -> Scale:
        """What single pieces are weighed on."""
        return self.scales.choose(self.weight.declared_g)

    @property
    def coarse_pieces(self) -> bool:
        """Whether the scale is too coarse to weigh single pieces on."""
        return self.scales.too_coarse(self.weight.declared_g)

    @property
    def other_duties(self) -> tuple[DutyAtOtherTime, ...]:
        """Duties that are not in force on the day of sale, but were before or will be."""
        return list_duties_at_other_times(self.job.facts, self.job.regions, self.job.on)

    @property
    def odd_prices(self) -> tuple[MaterialCost, ...]:
        """Oils of which a kilogram costs so little or so much that a slip is likelier."""
        return tuple(list_odd_oil_prices(self.cost))

    @property
    def amount_changed(self) -> tuple[Weighing, Decimal] | None:
        """The material of which the poured batch holds most otherwise than the recipe would, with
        the recipe's grams for as large a batch; None where it is the recipe's own."""
        if self.poured is None:
            return None
        scales = scales_at_hand(self.job.recipe, self.spec.making)
        return find_other_amount(self.batch, self.job.recipe, scales)

    @property
    def lots_changed(self) -> tuple[tuple[Weighing, tuple[str, ...]], ...]:
        """Materials whose lots are other than those of the poured batch's record, with these."""
        if self.poured is None:
            return ()
        return tuple(list_other_lots(self.batch, self.poured.record))

    @property
    def worries(self) -> tuple[Worry, ...]:
        return tuple(_find_worries(self))

    @property
    def can_be_kept(self) -> bool:
        return not any(worry in FAILING for worry in self.worries)

    def record(self) -> BatchRecord:
        """What the trace keeps of this order."""
        spec, bars = self.job.spec, self.moulding.bars_made
        made = BatchRecord(
            lot=self.lot,
            label=name_label_for_maker(spec.path, spec.maker.path),
            names=_pick_any_text(spec.event.names),
            date=spec.event.date,
            place=_pick_any_text(spec.event.place),
            labels=spec.event.labels,
            recipe=self.job.recipe.name,
            poured=self.schedule.day(PlanStep.POUR),
            materials=tuple(
                RecordedMaterial(line.name, line.lots, line.mass_g) for line in self.batch.weighings
            ),
            planned=not self.is_poured,
            sent=self.spec.sent,
            net_weight_g=spec.product.net_weight_g,
            order_code=self.order_code,
            bars=bars,
            pieces=bars * self.counts.per_bar,
            piece_g=self.weight.cut_g,
        )
        if self.poured is None:
            return made
        kept = self.poured.record
        return replace(made, bars=kept.bars, pieces=kept.pieces, piece_g=kept.piece_g)


def make_plan(
    job: Job, on: dt.date, weights_g: Sequence[Decimal] = (), poured_on: dt.date | None = None
) -> Plan:
    """Plans the order of a job as of a day; with ``weights_g`` it also judges weighed pieces.

    ``poured_on`` is the day it was really poured, whatever the files say. The amounts of a batch
    that is recorded as poured are those of the record. Raises InputError for
    values that cannot be used, FitError when the labels do not fit the stock.
    """
    event, product, source = job.spec.event, job.spec.product, format_path(job.spec.path)
    spec = job.spec.plan.with_cure(job.recipe.cure.weeks)
    if poured_on is not None:
        spec = _set_pouring_day(spec, poured_on, on, event.date)
    recorded = find_poured_batches(job.spec, on)
    found = pick_batch_of_lot(recorded, product.lot)
    if found is not None:
        spec = spec_from_record(spec, found.record, on)
    spec = _set_density(spec, job.recipe)
    making = _set_cavity_mass(spec.making)
    scales = scales_at_hand(job.recipe, making)
    counts = count_pieces(event.guests, spec.spare_pieces, making)
    if found is not None:
        counts = counts_from_record(counts, found.record)
    weight = plan_weight(
        product.net_weight_g,
        counts.labelled,
        job.regions,
        compute_batch(job.recipe).loss,
        making,
        scales.choose(product.net_weight_g).division_g,
    )
    moulding = plan_moulding(counts, weight.cut_g, making, source)
    if found is None:
        batch = plan_batch(job.recipe, moulding.target_g(making.pot_loss_percent), scales)
        poured = None
    else:
        batch = batch_from_record(job.recipe, scales, found.record, job.spec)
        poured = judge_poured_batch(
            found.record, job.spec, spec, counts, job.recipe, scales, weight.cut_g, on
        )
    dated = schedule_order(job.spec, spec, counts, on)
    shelf = None
    if found is None and job.order.shelf is not None:
        shelf = _draw_from_shelf(job, batch, dated.day(PlanStep.POUR))
        batch = replace(batch, weighings=shelf.weighings)
    spec = replace(spec, labels=_price_stocks(job.spec, spec.labels))
    sheets = tuple(_count_sheets(job, spec))
    needs = count_supplies(spec, counts.labelled, counts.to_wrap, sheets)
    materials, money = merge_own_materials(job.recipe), spec.money
    prices: tuple[Price, ...] = ()
    if job.order.no_prices is not None:
        raise job.order.no_prices
    if job.order.prices:
        density_of = make_density_lookup(materials)
        prices = tuple(line.of_mass(density_of) for line in job.order.prices)
    made = compute_cost(batch.weighings, materials, prices, needs, counts, money)
    weighed = None
    if weights_g:
        weighed = judge_weights(
            weights_g,
            product.net_weight_g,
            counts.labelled,
            job.regions,
            making.further_loss_percent,
        )
    return Plan(
        job=job,
        spec=spec,
        on=on,
        counts=counts,
        weight=weight,
        moulding=moulding,
        batch=batch,
        balance=balance_masses(batch.poured_g, moulding, counts),
        schedule=dated,
        sheets=sheets,
        needs=needs,
        cost=made,
        pricing=compute_pricing(
            made, spec.money, with_tax=find_final_price_law(job.regions) is not None
        ),
        duties=rules.list_duties(job.facts, job.regions, job.on),
        planned_lot=make_planned_lot(spec, dated, job.recipe),
        poured=poured,
        other_poured=() if found else tuple(state.record for state in recorded),
        weighed=weighed,
        tried=_count_pours(job, spec, dated.day(PlanStep.POUR), on) if found is None else None,
        shelf=shelf,
        unused_prices=list_unused_prices(prices, made.materials, materials),
    )


def plan_from_record(plan: Plan, entry: BatchRecord) -> Plan:
    """The plan whose record this is: once that says poured, nothing in it can still change."""
    if plan.poured is not None or entry.planned:
        return plan
    job, spec, counts = plan.job, plan.spec, counts_from_record(plan.counts, entry)
    args = (job.recipe, scales_at_hand(job.recipe, spec.making), plan.weight.cut_g, plan.on)
    return replace(
        plan, counts=counts, poured=judge_poured_batch(entry, job.spec, spec, counts, *args)
    )


def _draw_from_shelf(job: Job, batch: BatchPlan, pour: dt.date) -> ShelfDraw:
    """The lots of a batch, after what every other recorded batch took."""
    shelf, maker = job.order.shelf, job.spec.maker.path
    assert shelf is not None, "asked only where there is one"
    own = name_label_for_maker(job.spec.path, maker)
    states = trace.list_standing_states(trace_path_of(maker))
    others = {s.record.lot.casefold(): s.record for s in states if s.record.label != own}
    materials = merge_own_materials(job.recipe)
    return draw_from_shelf(batch.weighings, shelf, materials, others.values(), pour)


def _count_pours(job: Job, spec: PlanSpec, pour: dt.date, on: dt.date) -> Tried | None:
    """How often the recipe of an order was poured before, and how it went."""
    states = trace.list_standing_states(trace_path_of(job.spec.maker.path))
    mould = spec.making.mould.name if spec.making.mould else ""
    records = (state.record for state in states)
    return count_pours(job.recipe, records, pour, on, job.order.pours, mould)


def _price_stocks(label: LabelSpec, labels: LabelSheets) -> LabelSheets:
    """The sheets with the prices of their stocks by name, where none is given for them alone."""
    second = label.second.stock if label.second and label.second.stock else label.stock
    own, other = labels.prices.get(label.stock), labels.prices.get(second)
    return replace(
        labels,
        price=own if labels.price is None else labels.price,
        other_price=other if labels.other_price is None else labels.other_price,
    )


def _set_density(spec: PlanSpec, recipe: Recipe) -> PlanSpec:
    """With the batch's own density where nobody gave one and it is none of oils and lye alone."""
    if spec.has_own("density"):
        return spec
    common = spec.making.density_g_ml
    density = compute_density(recipe, compute_batch(recipe))
    if abs(density - common) <= common * TRUE_TO:
        return spec
    used = tuple(
        replace(one, value=str(density)) if one.key == "plan.density" else one
        for one in spec.defaults
    )
    return replace(spec, making=replace(spec.making, density_g_ml=density), defaults=used)


def _set_pouring_day(spec: PlanSpec, poured: dt.date, on: dt.date, event: dt.date) -> PlanSpec:
    """The same order, poured on a day that is not after today nor after the delivery."""
    if poured > on:
        expected = Said(
            "is after today ({day}); a day to come belongs in [plan] as poured_on", day=Day(on)
        )
        raise InputError("--poured", "", poured, expected)
    if poured > (spec.timing.deliver_on or event):
        raise InputError("--poured", "", poured, Said("is after the day of delivery"))
    if (event - poured).days > OLDEST_POUR_DAYS:
        expected = Said(
            "is over a year before the event ({day}); check the year: soap that really is so old"
            " has poured_on in [plan]",
            day=Day(event),
        )
        raise InputError("--poured", "", poured, expected)
    return replace(spec, timing=replace(spec.timing, poured_on=poured))


def _set_cavity_mass(making: Making) -> Making:
    """A cavity fixes what a piece weighs, unless the maker says so."""
    mould = making.mould
    if mould is None or mould.kind is not MouldKind.CAVITIES or making.piece_poured_g is not None:
        return making
    piece = mould.volume_ml * making.density_g_ml / making.pieces_per_bar
    return replace(making, piece_poured_g=piece)


def _count_sheets(job: Job, spec: PlanSpec) -> Iterator[PanelSheets]:
    """The sheets of each panel. Plain sheets are cut up: no position of theirs is left or used."""
    label, starts = job.spec, spec.labels
    panels = {"front": starts.front_start, "back": starts.back_start}
    if starts.two_sided:
        panels = {BOTH_SIDES: starts.front_start}
    panels |= dict.fromkeys(job.printed_names[2:], 1)
    for panel, start in panels.items():
        run = job.print_run(panel)
        if start > 1 and not job.stock.ready_cut:
            expected = Said(
                "start is for ready-cut labels; {stock} is cut up once printed", stock=label.stock
            )
            raise InputError(format_path(label.path), "plan.labels", start, expected)
        # A row of a roll is a page; where on the roll a job begins is counted by sheet.
        first = 1 if run.stock.is_counted_roll else start
        args = (run.stock, run.trim, run.count, first, (), label.bleed_mm)
        left = find_left_over(*args) if run.stock.ready_cut else LeftOver((), 0)
        yield PanelSheets(
            panel=panel,
            labels=run.count,
            sheets=count_sheets_needed(*args),
            per_sheet=count_labels_per_sheet(run.stock, run.trim, label.bleed_mm),
            stock=run.stock.title,
            left=len(left.free),
            next_start=left.start,
            part_used=start > 1,
        )


def _find_worries(plan: Plan) -> Iterator[Worry]:
    spec, dated = plan.spec, plan.schedule
    if plan.unfit:
        yield Worry.UNFIT_RECIPE
    yield from _find_day_worries(plan)
    if not plan.weight.holds_declared:
        yield Worry.OVERSTATED
    if plan.poured is not None and plan.poured.short:
        yield Worry.POURED_SHORT
    if plan.weighed is not None:
        yield from _find_weight_worries(plan.weighed, plan.weight)
    longest = spec.timing.unmould_days + MOST_DAYS_LONGER_IN_MOULD
    if dated.mould_days > longest and dated.day(PlanStep.CUT) >= plan.on:
        yield Worry.LONG_MOULD
    if dated.short_cure:
        yield Worry.SHORT_CURE
    calendar = Calendar(spec.timing.closed, spec.timing.holidays)
    if not calendar.is_open(dated.day(PlanStep.DELIVER)):
        yield Worry.CLOSED_DELIVERY
    if plan.coarse_pieces or any(line.coarse for line in plan.batch.weighings):
        yield Worry.COARSE_SCALE
    if plan.poured is None and is_odd_slice(plan.moulding.slice_mm):
        yield Worry.ODD_SLICE
    elif plan.poured is None and not has_possible_face(plan):
        yield Worry.ODD_FACE
    if plan.other_poured:
        yield Worry.OTHER_POURED
    if not plan.planned_lot.allows(plan.lot):
        yield Worry.OTHER_LOT
    if any(not line.lots for line in plan.batch.weighings if line.role is not WeighingRole.WATER):
        yield Worry.NO_LOTS
    if plan.amount_changed is not None:
        yield Worry.OTHER_RECIPE
    if plan.lots_changed:
        yield Worry.OTHER_LOTS
    if not plan.cost.complete:
        yield Worry.NO_PRICES
    if plan.lacks_tax and plan.can_be_quoted:
        yield Worry.NO_TAX
    if plan.tried is not None and plan.tried.times == 0 and not plan.is_for_display:
        yield Worry.UNTRIED
    if plan.tried is not None and plan.tried.misbehaved:
        yield Worry.MISBEHAVED
    if plan.shelf is not None and plan.shelf.to_order:
        yield Worry.SHELF_SHORT
    if plan.shelf is not None and plan.shelf.old:
        yield Worry.SHELF_OLD
    if plan.odd_prices:
        yield Worry.ODD_PRICE
    if plan.pricing.result < 0:
        yield Worry.BELOW_COST
    if plan.weight.loss.source == "default":
        yield Worry.LOSS_ASSUMED


def has_possible_face(plan: Plan) -> bool:
    """Whether a piece with the declared face can be cut; True where no loaf is measured."""
    bar = list_bar_sides_mm(plan)
    if not bar or plan.job.spec.product.label_is_tag:  # a tag's face says nothing of the piece
        return True
    return goes_into_bar(list_piece_sides_mm(plan), bar)


def list_bar_sides_mm(plan: Plan) -> tuple[Decimal, ...]:
    """Width, height and thickness of a bar as it is sliced; empty where no loaf is measured."""
    mould, slice_mm = plan.spec.making.mould, plan.moulding.slice_mm
    if mould is None or slice_mm is None:
        return ()
    return mould.width_mm, mould.fill_mm, slice_mm


def list_piece_sides_mm(plan: Plan) -> tuple[Decimal, Decimal, Decimal]:
    """Width and height of the face that a piece is to have, and how deep its mass makes it."""
    product = plan.job.spec.product
    face = PackageFace(product.face_width_mm, product.face_height_mm, product.face_shape)
    depth_cm = plan.weight.cut_g / plan.moulding.density_g_ml / face.area_cm2
    return face.width_mm, face.height_mm, depth_cm * 10


def _find_day_worries(plan: Plan) -> Iterator[Worry]:
    dated, event, left = plan.schedule, plan.job.spec.event.date, plan.passed is not None
    late = dated.late is not None
    if plan.on > event or (plan.on == event and (late or left)):
        yield Worry.PAST
    if late:
        yield Worry.LATE
    if dated.day(PlanStep.DELIVER) < plan.on < event:
        yield Worry.NO_DELIVERY
    if left:
        yield Worry.PASSED


def _find_weight_worries(weighed: WeighedPieces, weight: WeightPlan) -> Iterator[Worry]:
    if not weighed.holds:
        yield Worry.WEIGHED_SHORT
    elif any(verdict.leans_on_allowance for verdict in weighed.at_sale):
        yield Worry.WEIGHED_ALLOWANCE
    if weighed.holds and any(verdict.leans_on_memory for verdict in weighed.at_sale):
        yield Worry.WEIGHED_MEMORY
    if weighed.pieces < weight.sample:
        yield Worry.WEIGHED_FEW


def _pick_any_text(words: dict[str, str]) -> str:
    return next(iter(words.values()), "")
