"""Days of a plan that are past already, and what is left of the delivery where they were missed.

A plan knows when it was poured, not whether a proof was sent or labels were printed: of every such
day that is past it says what follows if the work is still to be done.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from labelkit.order.plan import Timing
from labelkit.plan.dates import Calendar, Dated, Schedule, Step

_DAY = dt.timedelta(days=1)
UNKNOWN = (Step.PROOF, Step.APPROVE, Step.PRINT, Step.WRAP, Step.DELIVER)
"""Steps that the files do not say to be done, in the order in which each waits for the last."""


@dataclass(frozen=True, slots=True)
class Left:
    """Steps that lead to the same day of delivery where the first undone one is among them."""

    steps: tuple[Step, ...]
    deliver: dt.date
    """The first day of delivery if that is begun now."""
    kept: bool
    """The delivery is still in time."""


@dataclass(frozen=True, slots=True)
class Passed:
    """What is past of a plan whose event is not, and whose pour is done or still ahead."""

    begin: dt.date
    """The first open day on which what was missed can be done."""
    steps: tuple[Dated, ...]
    left: tuple[Left, ...]
    answer_by: dt.date | None
    """An approval by this day makes up for a proof sent late; None: it does not, or need not."""


def passed(dated: Schedule, timing: Timing) -> Passed | None:
    """The days that are past; None where there are none, or where the plan itself is late or over.

    An order that is not poured in time is late as a whole, which the schedule says.
    """
    poured = timing.poured_on is not None
    if dated.on > dated.day(Step.EVENT) or (not poured and dated.day(Step.POUR) < dated.on):
        return None
    steps = tuple(d for d in dated.steps if d.step in UNKNOWN and d.last < dated.on)
    if not steps:
        return None
    calendar = Calendar(timing.closed, timing.holidays)
    left: list[Left] = []
    for step in (d.step for d in steps):
        one = _left(step, dated, timing, calendar)
        if left and left[-1].deliver == one.deliver:
            one = Left((*left.pop().steps, step), one.deliver, one.kept)
        left.append(one)
    approve, found = dated.day(Step.APPROVE), [d.step for d in steps]
    mends = found == [Step.PROOF] and not left[0].kept
    begin = calendar.at_or_after(dated.on)
    return Passed(begin, steps, tuple(left), approve if mends and approve >= begin else None)


def _left(step: Step, dated: Schedule, timing: Timing, calendar: Calendar) -> Left:
    """The delivery if this step is begun now, and everything after it is still to be done."""
    planned, begin = dated.day(Step.DELIVER), calendar.at_or_after(dated.on)
    if step is Step.DELIVER:
        return Left((step,), begin, kept=False)
    wrap = begin
    if step is not Step.WRAP:
        wrap = max(
            dated.day(Step.WRAP), calendar.on(_printed(step, begin, dated, calendar, timing), 1)
        )
    if dated.late is not None:
        wrap = max(wrap, dated.day(Step.CUT) + timing.cure_weeks * 7 * _DAY)
    last = calendar.on(calendar.at_or_after(wrap), _wrap_days(dated, calendar) - 1)
    kept = last < planned
    return Left((step,), planned if kept else calendar.on(last, 1), kept)


def _printed(
    step: Step, begin: dt.date, dated: Schedule, calendar: Calendar, timing: Timing
) -> dt.date:
    if step is Step.PRINT:
        return begin
    approved = begin
    if step is Step.PROOF:
        approved = calendar.at_or_after(begin + timing.proof_days * _DAY)
    return max(dated.day(Step.PRINT), calendar.on(approved, 1))


def _wrap_days(dated: Schedule, calendar: Calendar) -> int:
    """Open days from the first to the last of wrapping."""
    span = dated.dated(Step.WRAP)
    days = (span.first + n * _DAY for n in range((span.last - span.first).days + 1))
    return max(1, sum(map(calendar.is_open, days)))
