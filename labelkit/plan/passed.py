"""Days of a plan that are past already, and what is left of the delivery where they were missed.

A plan knows when it was poured, and of proof and printing what was recorded with them: of every day
that is past it says what follows if its work is still to be done.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from labelkit.common.frozen import dataclass
from labelkit.order.plan import Timing
from labelkit.plan.dates import Calendar, DatedStep, PlanStep, Schedule

_DAY = dt.timedelta(days=1)
UNKNOWN = (PlanStep.PROOF, PlanStep.APPROVE, PlanStep.PRINT, PlanStep.WRAP, PlanStep.DELIVER)
"""Steps that the files do not say to be done, in the order in which each waits for the last."""


@dataclass(frozen=True, slots=True)
class DeliveryForecast:
    """Steps that lead to the same day of delivery where the first undone one is among them."""

    steps: tuple[PlanStep, ...]
    deliver: dt.date
    """The first day of delivery if that is begun now."""
    kept: bool
    """The delivery is still in time."""


@dataclass(frozen=True, slots=True)
class PassedDays:
    """What is past of a plan whose event is not, and whose pour is done or still ahead."""

    begin: dt.date
    """The first open day on which what was missed can be done."""
    steps: tuple[DatedStep, ...]
    left: tuple[DeliveryForecast, ...]
    answer_by: dt.date | None
    """An approval by this day makes up for a proof sent late; None: it does not, or need not."""


def find_passed_days(
    dated: Schedule, timing: Timing, done: Collection[PlanStep] = ()
) -> PassedDays | None:
    """The days that are past; None where there are none, or where the plan itself is late or over.

    Steps that are known to be ``done`` are passed over.

    An order that is not poured in time is late as a whole, which the schedule says.
    """
    poured = timing.poured_on is not None
    if dated.on > dated.day(PlanStep.EVENT) or (not poured and dated.day(PlanStep.POUR) < dated.on):
        return None
    steps = tuple(
        d for d in dated.steps if d.step in UNKNOWN and d.step not in done and d.last < dated.on
    )
    if not steps:
        return None
    calendar = Calendar(timing.closed, timing.holidays)
    left: list[DeliveryForecast] = []
    for step in (d.step for d in steps):
        one = _forecast_delivery(step, dated, timing, calendar)
        if left and left[-1].deliver == one.deliver:
            one = DeliveryForecast((*left.pop().steps, step), one.deliver, one.kept)
        left.append(one)
    approve, found = dated.day(PlanStep.APPROVE), [d.step for d in steps]
    mends = found == [PlanStep.PROOF] and not left[0].kept
    begin = calendar.at_or_after(dated.on)
    return PassedDays(begin, steps, tuple(left), approve if mends and approve >= begin else None)


def _forecast_delivery(
    step: PlanStep, dated: Schedule, timing: Timing, calendar: Calendar
) -> DeliveryForecast:
    """The delivery if this step is begun now, and everything after it is still to be done."""
    planned, begin = dated.day(PlanStep.DELIVER), calendar.at_or_after(dated.on)
    if step is PlanStep.DELIVER:
        return DeliveryForecast((step,), begin, kept=False)
    wrap = begin
    if step is not PlanStep.WRAP:
        wrap = max(
            dated.day(PlanStep.WRAP),
            calendar.on(_find_printing_day(step, begin, dated, calendar, timing), 1),
        )
    if dated.late is not None:
        wrap = max(wrap, dated.day(PlanStep.CUT) + timing.cure_weeks * 7 * _DAY)
    last = calendar.on(calendar.at_or_after(wrap), _count_open_wrap_days(dated, calendar) - 1)
    kept = last < planned
    return DeliveryForecast((step,), planned if kept else calendar.on(last, 1), kept)


def _find_printing_day(
    step: PlanStep, begin: dt.date, dated: Schedule, calendar: Calendar, timing: Timing
) -> dt.date:
    if step is PlanStep.PRINT:
        return begin
    approved = begin
    if step is PlanStep.PROOF:
        approved = calendar.at_or_after(begin + timing.proof_days * _DAY)
    return max(dated.day(PlanStep.PRINT), calendar.on(approved, 1))


def _count_open_wrap_days(dated: Schedule, calendar: Calendar) -> int:
    """Open days from the first to the last of wrapping."""
    span = dated.dated(PlanStep.WRAP)
    days = (span.first + n * _DAY for n in range((span.last - span.first).days + 1))
    return max(1, sum(map(calendar.is_open, days)))
