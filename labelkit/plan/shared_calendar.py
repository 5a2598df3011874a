"""Several orders in one calendar: where they want one mould, rack or pair of hands at a time.

The days of each order are its own plan's. A mould is in use from the pour until the day of the cut,
which empties it; pieces lie on the rack from the cut until they are wrapped.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.order.plan import Mould
from labelkit.plan.cost import WorkStep
from labelkit.plan.dates import Calendar, DatedStep, PlanStep
from labelkit.plan.order_plan import Plan

MOST_DAYS_EARLIER = 21
"""A batch is not poured so much earlier than it must be: the rack is wanted (labelkit's own
judgement)."""
_DAY = dt.timedelta(days=1)


class SharedThing(StrEnum):
    MOULD = "mould"
    RACK = "rack"
    HANDS = "hands"


@dataclass(frozen=True)
class Collision:
    """Days on which several orders together want more of one thing than there is."""

    thing: SharedThing
    first: dt.date
    last: dt.date
    orders: tuple[Plan, ...]
    wanted: Decimal
    """Loaves or trays, pieces, or minutes; the most of these days."""
    have: Decimal


@dataclass(frozen=True)
class JointBatch:
    """Orders of one recipe that one pour can serve."""

    recipe: str
    orders: tuple[Plan, ...]
    pour: dt.date
    poured_g: Decimal
    moulds: int
    """All together; 0 where none is measured."""
    saved_minutes: Decimal
    """Of pours that fall away."""


@dataclass(frozen=True)
class SharedCalendar:
    """What several orders ask of one workshop, as seen on a day."""

    on: dt.date
    orders: tuple[Plan, ...]
    """By the day of their event."""
    steps: tuple[tuple[DatedStep, Plan], ...]
    collisions: tuple[Collision, ...]
    joint: tuple[JointBatch, ...]

    @property
    def can_be_kept(self) -> bool:
        return not self.collisions and all(plan.can_be_kept for plan in self.orders)


def lay_together(plans: Sequence[Plan], on: dt.date) -> SharedCalendar:
    """Lays the plans of several orders in one calendar."""
    orders = tuple(sorted(plans, key=lambda plan: (plan.job.spec.event.date, plan.lot)))
    steps = ((dated, plan) for plan in orders for dated in plan.schedule.steps)
    order_of = list(PlanStep)
    return SharedCalendar(
        on=on,
        orders=orders,
        steps=tuple(sorted(steps, key=lambda pair: (pair[0].first, order_of.index(pair[0].step)))),
        collisions=tuple(_find_collisions(orders, on)),
        joint=tuple(_find_joint_batches(orders, on)),
    )


def _find_collisions(orders: tuple[Plan, ...], on: dt.date) -> Iterator[Collision]:
    by_mould: dict[Mould, list[Plan]] = defaultdict(list)
    for plan in orders:
        if plan.spec.making.mould is not None:
            by_mould[replace(plan.spec.making.mould, owned=None, divider=False)].append(plan)
    for sharing in by_mould.values():
        moulds = (plan.spec.making.mould for plan in sharing)
        owned = [mould.owned for mould in moulds if mould is not None and mould.owned is not None]
        have = max(owned) if owned else max(plan.moulding.moulds for plan in sharing)
        yield from _find_overlaps(
            SharedThing.MOULD, sharing, Decimal(have), on, _list_days_in_mould,
            lambda plan: Decimal(plan.moulding.moulds),
        )  # fmt: skip
    racks = [plan.spec.making.rack for plan in orders if plan.spec.making.rack is not None]
    if racks:
        yield from _find_overlaps(
            SharedThing.RACK, orders, Decimal(max(racks)), on, _list_days_on_rack,
            lambda plan: Decimal(plan.counts.cut),
        )  # fmt: skip
    yield from _find_full_days(orders, on)


def _list_days_in_mould(plan: Plan) -> Iterator[dt.date]:
    """From the pour to the day before the cut."""
    pour, cut = plan.schedule.day(PlanStep.POUR), plan.schedule.day(PlanStep.CUT)
    yield from (pour + n * _DAY for n in range(max(1, (cut - pour).days)))


def _list_days_on_rack(plan: Plan) -> Iterator[dt.date]:
    """From the cut to the day before wrapping."""
    cut, wrap = plan.schedule.day(PlanStep.CUT), plan.schedule.day(PlanStep.WRAP)
    yield from (cut + n * _DAY for n in range((wrap - cut).days))


def _find_overlaps(
    thing: SharedThing,
    orders: Sequence[Plan],
    have: Decimal,
    on: dt.date,
    list_days: Callable[[Plan], Iterator[dt.date]],
    measure: Callable[[Plan], Decimal],
) -> Iterator[Collision]:
    """The runs of days on which several orders want more than there is."""
    wanted: dict[dt.date, list[Plan]] = defaultdict(list)
    for plan in orders:
        for day in list_days(plan):
            if day >= on:
                wanted[day].append(plan)
    over = {
        day: (tuple(plans), total)
        for day, plans in wanted.items()
        if len(plans) > 1 and (total := sum(map(measure, plans), Decimal(0))) > have
    }
    yield from _join_days(thing, over, have)


def _find_full_days(orders: Sequence[Plan], on: dt.date) -> Iterator[Collision]:
    """Days on which the work of several orders is more than a day holds."""
    minutes: dict[dt.date, list[tuple[Plan, Decimal]]] = defaultdict(list)
    for plan in orders:
        for day, spent in _list_work_days(plan):
            if day >= on and spent:
                minutes[day].append((plan, spent))
    have = max(plan.spec.timing.hours_per_day for plan in orders) * 60
    over = {}
    for day, work in minutes.items():
        plans = tuple(dict.fromkeys(id(plan) for plan, _ in work))
        total = sum((spent for _, spent in work), Decimal(0))
        if len(plans) > 1 and total > have:
            over[day] = (tuple(p for p in orders if id(p) in plans), total)
    yield from _join_days(SharedThing.HANDS, over, have)


def _list_work_days(plan: Plan) -> Iterator[tuple[dt.date, Decimal]]:
    """The minutes of each day's work; wrapping goes on over its open days in equal parts."""
    spent = {line.work: line.minutes for line in plan.cost.work}
    steps = {
        PlanStep.PROOF: spent[WorkStep.DESIGN],
        PlanStep.POUR: spent[WorkStep.POUR],
        PlanStep.CUT: spent[WorkStep.CUT],
        PlanStep.PRINT: spent[WorkStep.PRINT],
        PlanStep.DELIVER: spent[WorkStep.DELIVER],
    }
    for step, minutes in steps.items():
        yield plan.schedule.day(step), minutes
    timing, wrap = plan.spec.timing, plan.schedule.dated(PlanStep.WRAP)
    calendar = Calendar(timing.closed, timing.holidays)
    span = (wrap.first + n * _DAY for n in range((wrap.last - wrap.first).days + 1))
    days = [day for day in span if calendar.is_open(day)] or [wrap.first]
    for day in days:
        yield day, (spent[WorkStep.WRAP] + spent[WorkStep.LABEL]) / len(days)


def _join_days(
    thing: SharedThing, over: dict[dt.date, tuple[tuple[Plan, ...], Decimal]], have: Decimal
) -> Iterator[Collision]:
    """One collision for each run of days with the same orders."""
    run: Collision | None = None
    for day in sorted(over):
        plans, total = over[day]
        if run is not None and run.last == day - _DAY and run.orders == plans:
            run = replace(run, last=day, wanted=max(run.wanted, total))
            continue
        if run is not None:
            yield run
        run = Collision(thing, day, day, plans, total, have)
    if run is not None:
        yield run


def _find_joint_batches(orders: Sequence[Plan], on: dt.date) -> Iterator[JointBatch]:
    """Orders of one recipe, none poured yet, that one pour on the earliest day can serve."""
    by_recipe: dict[object, list[Plan]] = defaultdict(list)
    for plan in orders:
        pour = plan.schedule.day(PlanStep.POUR)
        if plan.poured is None and not plan.is_poured and pour >= on and not plan.unfit:
            by_recipe[plan.job.recipe.path.resolve()].append(plan)
    for same in by_recipe.values():
        first = min(plan.schedule.day(PlanStep.POUR) for plan in same)
        near = tuple(
            plan
            for plan in same
            if (plan.schedule.day(PlanStep.POUR) - first).days <= MOST_DAYS_EARLIER
        )
        if len(near) > 1:
            yield _make_joint_batch(near, first)


def _make_joint_batch(orders: tuple[Plan, ...], pour: dt.date) -> JointBatch:
    minutes = [plan.spec.money.minutes.pour for plan in orders]
    return JointBatch(
        recipe=orders[0].job.recipe.name,
        orders=orders,
        pour=pour,
        poured_g=sum((plan.batch.poured_g for plan in orders), Decimal(0)),
        moulds=sum(plan.moulding.moulds for plan in orders),
        saved_minutes=sum(minutes, Decimal(0)) - max(minutes),
    )
