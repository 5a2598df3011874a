"""The days of an order, counted back from the event; and what can still be done when it is late.

Work is done on open days, and orders are placed on days on which suppliers work too; soap cures,
and parcels travel, on any day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum
from itertools import chain

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, Said
from labelkit.order.plan import Timing

LEAST_CURE_WEEKS = 4
"""Common practice for cold-process soap, no source."""
MOST_DAYS_LONGER_IN_MOULD = 5
"""Beyond the days to unmould: after about a week a loaf is hard to cut (labelkit's own
judgement)."""
DAYS_BEFORE_EVENT = 1
MOST_WRAP_DAYS = 366
EARLIEST_YEAR, LATEST_YEAR = 1900, 9000
"""Far enough from the calendar's ends that no reckoning meets them."""
_LONGEST_CLOSURE = 366
_WEEK = 7
_DAY = dt.timedelta(days=1)


class PlanStep(StrEnum):
    ORDER = "order"
    PROOF = "proof"
    APPROVE = "approve"
    POUR = "pour"
    CUT = "cut"
    CURE = "cure"
    PRINT = "print"
    WRAP = "wrap"
    DELIVER = "deliver"
    EVENT = "event"


class LateWayOut(StrEnum):
    """What could still be done when a day has passed."""

    ALREADY = "already"
    """It is poured already: the file can say when."""
    FETCH = "fetch"
    """The supplies can no longer be sent in time, but the pour can be kept."""
    SHORTER_CURE = "shorter-cure"
    """The least cure still fits."""
    CURED_STOCK = "cured-stock"
    """Use pieces of an earlier batch of the same recipe."""
    LATER = "later"
    """Deliver later than planned; ``Late.by_full_cure`` says when."""


@dataclass(frozen=True, slots=True)
class DatedStep:
    """One step, on the last days on which it still is in time."""

    step: PlanStep
    first: dt.date
    last: dt.date


@dataclass(frozen=True, slots=True)
class Lateness:
    """By how many days the order is too late, and what is left to do."""

    days: int
    missed: PlanStep
    ways_out: tuple[LateWayOut, ...]
    by_full_cure: dt.date
    """The first day of delivery if work starts now and the cure is not cut short."""
    by_least_cure: dt.date
    """The same with the least cure."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """The days in their order. ``late`` is None when everything can still be done in time."""

    on: dt.date
    steps: tuple[DatedStep, ...]
    cure_weeks: int
    late: Lateness | None

    def day(self, step: PlanStep) -> dt.date:
        """The first day of a step; KeyError for one that this order does not have."""
        return self.dated(step).first

    def dated(self, step: PlanStep) -> DatedStep:
        found = [dated for dated in self.steps if dated.step is step]
        if not found:
            raise KeyError(step)
        return found[0]

    @property
    def cure_days(self) -> int:
        """How long the pieces really lie: from cutting to the first day of wrapping."""
        return (self.day(PlanStep.WRAP) - self.day(PlanStep.CUT)).days

    @property
    def mould_days(self) -> int:
        """How long the batch lies in its mould: from the pour to the cut."""
        return (self.day(PlanStep.CUT) - self.day(PlanStep.POUR)).days

    @property
    def short_cure(self) -> bool:
        return self.cure_weeks < LEAST_CURE_WEEKS


@dataclass(frozen=True, slots=True)
class Calendar:
    """Which days are open for work."""

    closed: tuple[int, ...]
    holidays: Mapping[str, tuple[dt.date | tuple[int, int], ...]]

    def is_open(self, day: dt.date) -> bool:
        return day.weekday() not in self.closed and not self.holiday(day)

    def holiday(self, day: dt.date) -> str:
        """The name of the holiday, or nothing."""
        for name, dates in self.holidays.items():
            if day in dates or (day.month, day.day) in dates:
                return name
        return ""

    def at_or_before(self, day: dt.date) -> dt.date:
        """The last open day that is not after ``day``; ``day`` itself if a whole year is closed."""
        return next((d for n in range(_LONGEST_CLOSURE) if self.is_open(d := day - n * _DAY)), day)

    def at_or_after(self, day: dt.date) -> dt.date:
        return next((d for n in range(_LONGEST_CLOSURE) if self.is_open(d := day + n * _DAY)), day)

    def back(self, day: dt.date, open_days: int) -> dt.date:
        """The open day so many open days before ``day`` (which is one)."""
        for _ in range(open_days):
            day = self.at_or_before(day - _DAY)
        return day

    def on(self, day: dt.date, open_days: int) -> dt.date:
        for _ in range(open_days):
            day = self.at_or_after(day + _DAY)
        return day

    def closures(self, first: dt.date, last: dt.date) -> tuple[Closure, ...]:
        """The holidays between two days, each once, by the first of its days."""
        found: dict[str, list[tuple[dt.date, dt.date]]] = {}
        for day in (first + n * _DAY for n in range((last - first).days + 1)):
            name = self.holiday(day)
            if not name:
                continue
            spans = found.setdefault(name, [])
            if spans and self._closed_between(spans[-1][1], day):
                spans[-1] = (spans[-1][0], day)
            else:
                spans.append((day, day))
        return tuple(Closure(name, tuple(spans)) for name, spans in found.items())

    def _closed_between(self, first: dt.date, last: dt.date) -> bool:
        return not any(self.is_open(first + n * _DAY) for n in range(1, (last - first).days))


@dataclass(frozen=True, slots=True)
class Closure:
    """A holiday with its days: the first and last of every span without an open day in it."""

    name: str
    spans: tuple[tuple[dt.date, dt.date], ...]


def make_order_calendar(timing: Timing) -> Calendar:
    """The days on which an order is placed and taken up."""
    both = tuple(sorted({*timing.closed, *timing.suppliers_closed}))
    # Who makes soap at weekends only still orders on a day of the suppliers'.
    closed = both if len(both) < _WEEK else timing.suppliers_closed
    return Calendar(closed, timing.holidays)


def make_schedule(
    event: dt.date, on: dt.date, timing: Timing, wrap_minutes: Decimal, source: str
) -> Schedule:
    """The latest day of every step, as seen on the day ``on``.

    ``wrap_minutes`` is the time that labelling and wrapping take in all. Raises InputError (naming
    ``source``) for a year beyond all reason, more wrapping than a year holds, or an approval that
    comes after printing.
    """
    if not EARLIEST_YEAR <= event.year <= LATEST_YEAR:
        expected = Said(
            "expected a year from {earliest_year} to {latest_year}",
            earliest_year=EARLIEST_YEAR,
            latest_year=LATEST_YEAR,
        )
        raise InputError(format_path(source), "event.date", event, expected)
    calendar = Calendar(timing.closed, timing.holidays)
    span = count_wrap_days(wrap_minutes, timing.hours_per_day)
    if span > MOST_WRAP_DAYS:
        expected = Said(
            "labelling and wrapping would take {span} days; give their minutes in [plan]", span=span
        )
        raise InputError(format_path(source), "plan.minutes", None, expected)
    made = _schedule_steps(event, on, timing, span, calendar)
    printed = made.day(PlanStep.PRINT)
    if timing.approve_on is not None and timing.approve_on >= printed:
        expected = Said("is not before the labels are printed ({day})", day=Day(printed))
        raise InputError(format_path(source), "plan.approve_on", timing.approve_on, expected)
    return made


def count_wrap_days(wrap_minutes: Decimal, hours_per_day: Decimal) -> int:
    """Open days that labelling and wrapping take; at least one."""
    days = (wrap_minutes / (hours_per_day * 60)).to_integral_value(ROUND_CEILING)
    return max(1, int(days))


def _schedule_steps(
    event: dt.date, on: dt.date, timing: Timing, span: int, calendar: Calendar
) -> Schedule:
    deliver = timing.deliver_on or calendar.at_or_before(event - DAYS_BEFORE_EVENT * _DAY)
    wrap_last = calendar.at_or_before(deliver - _DAY)
    wrap = calendar.back(wrap_last, span - 1)
    printed = calendar.at_or_before(wrap - _DAY)
    cut, pour = _find_cut_and_pour_days(timing, wrap, deliver, calendar)
    approve = _find_approval_day(timing, pour, printed, calendar)
    proof = calendar.at_or_before(approve - timing.proof_days * _DAY)
    steps = [
        DatedStep(PlanStep.POUR, pour, pour),
        DatedStep(PlanStep.CUT, cut, cut),
        DatedStep(PlanStep.CURE, cut, max(cut, wrap - _DAY)),
        DatedStep(PlanStep.PROOF, proof, proof),
        DatedStep(PlanStep.APPROVE, approve, approve),
        DatedStep(PlanStep.PRINT, printed, printed),
        DatedStep(PlanStep.WRAP, wrap, wrap_last),
        DatedStep(PlanStep.DELIVER, deliver, deliver),
        DatedStep(PlanStep.EVENT, event, event),
    ]
    if not timing.supplies_in_hand and timing.poured_on is None:
        order = make_order_calendar(timing).at_or_before(pour - timing.supply_days * _DAY)
        steps.insert(0, DatedStep(PlanStep.ORDER, order, order))
    order_of = list(PlanStep)
    steps.sort(key=lambda dated: (dated.first, order_of.index(dated.step)))
    late = _judge_lateness(tuple(steps), on, timing, span, calendar)
    return Schedule(on, tuple(steps), timing.cure_weeks, late)


def _find_approval_day(
    timing: Timing, pour: dt.date, printed: dt.date, calendar: Calendar
) -> dt.date:
    """Before the pour (common practice, no source); once it is poured, before printing."""
    if timing.approve_on is not None:
        return timing.approve_on
    if timing.poured_on is not None:
        return calendar.at_or_before(printed - _DAY)
    return calendar.at_or_before(pour - timing.approve_days * _DAY)


def _find_cut_and_pour_days(
    timing: Timing, wrap: dt.date, deliver: dt.date, calendar: Calendar
) -> tuple[dt.date, dt.date]:
    """Back from the end of cure; or, once it is poured, forward from the pour."""
    if timing.poured_on is not None:
        pour = timing.poured_on
        # Poured on a day closed for delivery, it may be delivered, on paper, before it was poured.
        cut = min(calendar.at_or_after(pour + timing.unmould_days * _DAY), deliver)
        return max(cut, pour), pour
    last = calendar.at_or_before(wrap - timing.cure_weeks * 7 * _DAY)

    def pair(cut: dt.date) -> tuple[dt.date, dt.date]:
        return cut, calendar.at_or_before(cut - timing.unmould_days * _DAY)

    earlier = (last - n * _DAY for n in range(1, _LONGEST_CLOSURE))
    cuts = chain([last], filter(calendar.is_open, earlier))
    return next((both for both in map(pair, cuts) if _can_lie(timing, *both)), pair(last))


def _can_lie(timing: Timing, cut: dt.date, pour: dt.date) -> bool:
    """Whether a loaf may wait in its mould from one day to the other."""
    return (cut - pour).days <= timing.unmould_days + MOST_DAYS_LONGER_IN_MOULD


def _find_first_pour(timing: Timing, day: dt.date, calendar: Calendar) -> dt.date:
    """The first open day from one on whose loaf is not left in its mould over a closure."""
    first = calendar.at_or_after(day)
    days = (d for n in range(_LONGEST_CLOSURE) if calendar.is_open(d := first + n * _DAY))
    return next(
        (
            pour
            for pour in days
            if _can_lie(timing, calendar.at_or_after(pour + timing.unmould_days * _DAY), pour)
        ),
        first,
    )


# -- too late --------------------------------------------------------------------------------------


def _judge_lateness(
    steps: tuple[DatedStep, ...], on: dt.date, timing: Timing, span: int, calendar: Calendar
) -> Lateness | None:
    days = {dated.step: dated.first for dated in steps}
    if on > days[PlanStep.EVENT]:
        return None  # over: nothing is left to plan
    if timing.poured_on is not None:
        missed, by = _judge_lateness_in_cure(days, timing)
    else:
        missed = next(
            (s for s in (PlanStep.ORDER, PlanStep.POUR) if s in days and days[s] < on), None
        )
        by = (on - days[missed]).days if missed else 0
    if missed is None:
        return None
    full = find_earliest_delivery(on, timing, timing.cure_weeks, span, calendar)
    least = find_earliest_delivery(
        on, timing, min(LEAST_CURE_WEEKS, timing.cure_weeks), span, calendar
    )
    ways = [] if timing.poured_on is not None else [LateWayOut.ALREADY]
    if missed is PlanStep.ORDER and days[PlanStep.POUR] >= on:
        ways.append(LateWayOut.FETCH)
    if timing.cure_weeks > LEAST_CURE_WEEKS and least <= days[PlanStep.DELIVER]:
        ways.append(LateWayOut.SHORTER_CURE)
    ways += [LateWayOut.CURED_STOCK, LateWayOut.LATER]
    return Lateness(by, missed, tuple(ways), full, least)


def _judge_lateness_in_cure(
    days: Mapping[PlanStep, dt.date], timing: Timing
) -> tuple[PlanStep | None, int]:
    """A batch that is poured already is late when its cure ends after wrapping must begin."""
    ready = days[PlanStep.CUT] + timing.cure_weeks * 7 * _DAY
    short = (ready - days[PlanStep.WRAP]).days
    return (PlanStep.CURE, short) if short > 0 else (None, 0)


def find_earliest_delivery(
    on: dt.date, timing: Timing, weeks: int, span: int, calendar: Calendar
) -> dt.date:
    """The first day of delivery if work starts on the day ``on``, wrapping taking ``span`` days."""
    if timing.poured_on is not None:
        pour = timing.poured_on
    else:
        here = on
        if not timing.supplies_in_hand:
            here = make_order_calendar(timing).at_or_after(on) + timing.supply_days * _DAY
        pour = _find_first_pour(timing, here, calendar)
    cut = calendar.at_or_after(pour + timing.unmould_days * _DAY)
    wrap = calendar.at_or_after(max(cut + weeks * 7 * _DAY, on))
    return calendar.at_or_after(calendar.on(wrap, span - 1) + _DAY)
