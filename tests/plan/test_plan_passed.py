"""Days that are past, counted by hand on a calendar."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from labelkit.order.plan import Timing
from labelkit.plan.dates import Schedule, make_schedule
from labelkit.plan.order_plan import Plan, Worry
from labelkit.plan.passed import PassedDays, find_passed_days
from labelkit.report.plan_json import format_plan_json
from labelkit.report.plan_text import format_plan_text

Planned = Callable[..., Plan]

EVENT = dt.date(2027, 6, 19)
"""A Saturday."""
POURED = Timing(
    deliver_on=None,
    poured_on=dt.date(2027, 4, 27),
    cure_weeks=6,
    unmould_days=2,
    supply_days=14,
    supplies_in_hand=True,
    proof_days=7,
    hours_per_day=Decimal(6),
    closed=(),
    holidays={},
)
"""Without a closed day the sample is delivered on Friday the 18th, wrapped on the 17th, printed on
the 16th; the proof is approved on Tuesday the 15th and sent 7 days before, on Tuesday the 8th."""


def june(day: int) -> dt.date:
    return dt.date(2027, 6, day)


def made(on: dt.date, minutes: int = 120, **changes: object) -> tuple[Schedule, Timing]:
    timing = replace(POURED, **changes)  # type: ignore[arg-type]
    return make_schedule(EVENT, on, timing, Decimal(minutes), "label.toml"), timing


def left(found: PassedDays | None) -> list[tuple[str, dt.date, bool]]:
    assert found is not None
    return [(" ".join(one.steps), one.deliver, one.kept) for one in found.left]


def test_a_day_is_past_on_the_next() -> None:
    assert find_passed_days(*made(june(8))) is None
    # Sent on the 9th, answered on the 16th, printed 17th, wrapped 18th, delivered 19th.
    found = find_passed_days(*made(june(9)))
    assert left(found) == [("proof", june(19), False)]
    assert found is not None
    assert found.answer_by == june(15)  # then everything is as planned


@pytest.mark.parametrize(
    ("on", "wanted"),
    [
        # The 16th: a proof sent is answered on the 23rd, printed 24th, wrapped 25th, delivered
        # 26th. One approved that day is printed on the 17th, wrapped 18th, delivered 19th.
        (16, [("proof", 26), ("approve", 19)]),
        # The 17th: each a day later; what is only to be printed is wrapped 18th, delivered 19th.
        (17, [("proof", 27), ("approve", 20), ("print", 19)]),
        (18, [("proof", 28), ("approve", 21), ("print", 20), ("wrap", 19)]),
        # The day of the event.
        (19, [("proof", 29), ("approve", 22), ("print", 21), ("wrap", 20), ("deliver", 19)]),
    ],
)
def test_the_delivery_slips_with_what_is_still_to_do(
    on: int, wanted: list[tuple[str, int]]
) -> None:
    found = find_passed_days(*made(june(on)))
    assert left(found) == [(step, june(day), False) for step, day in wanted]
    assert found is not None
    assert found.answer_by is None
    assert [dated.step for dated in found.steps] == [step for step, _ in wanted]


def test_after_the_event_nothing_can_be_done() -> None:
    assert find_passed_days(*made(june(20))) is None


def test_a_day_that_can_be_made_up_for() -> None:
    # Agreed for Thursday the 10th, so sent on the 3rd. Sent on the 8th it is answered on the 15th,
    # in time to print on the 16th; so is one that is approved at once on the 11th.
    agreed = {"approve_on": june(10)}
    found = find_passed_days(*made(june(8), **agreed))
    assert left(found) == [("proof", june(18), True)]
    assert found is not None
    assert found.answer_by is None  # none is needed
    # Sent on the 11th: answered 18th, printed 19th, wrapped 20th, delivered 21st.
    assert left(find_passed_days(*made(june(11), **agreed))) == [
        ("proof", june(21), False),
        ("approve", june(18), True),
    ]


def test_closed_days_come_between() -> None:
    # Closed on Sunday and Monday; the days of the plan fall on none of these. On Sunday the 13th
    # work begins on Tuesday the 15th: answered on Tuesday the 22nd, printed on the 23rd, wrapped
    # on the 24th, delivered on the 25th.
    found = find_passed_days(*made(june(13), closed=(6, 0)))
    assert left(found) == [("proof", june(25), False)]
    assert found is not None
    assert (found.begin, found.answer_by) == (june(15), june(15))
    # On the 19th: what is to be printed is wrapped on Tuesday the 22nd, delivered on the 23rd; what
    # is to be wrapped is delivered on Tuesday the 22nd.
    assert left(find_passed_days(*made(june(19), closed=(6, 0))))[2:] == [
        ("print", june(23), False),
        ("wrap", june(22), False),
        ("deliver", june(19), False),
    ]


def test_wrapping_of_several_days_is_past_after_the_last() -> None:
    # 12 hours in days of 6 are two: the 16th and the 17th; printed on the 15th. On the 17th what is
    # still to be printed is wrapped on the 18th and 19th, delivered on the 20th.
    assert left(find_passed_days(*made(june(17), minutes=720)))[-1] == ("print", june(20), False)


def test_a_pour_ahead_waits_for_no_answer() -> None:
    # Wrapped on 17 June, cut 42 days before, on 6 May, poured on the 4th; approved on the 3rd, sent
    # on 26 April. Sent two days late it is answered on 5 May: long before the print.
    ahead = {"poured_on": None}
    found = find_passed_days(*made(dt.date(2027, 4, 28), **ahead))
    assert left(found) == [("proof", june(18), True)]
    # A pour that is missed makes the plan late as a whole.
    late, timing = made(dt.date(2027, 5, 5), **ahead)
    assert late.late is not None
    assert find_passed_days(late, timing) is None


def test_the_cure_is_waited_for() -> None:
    # Poured on 20 May, cut on the 22nd: six weeks are over on 3 July, delivered on the 4th, whether
    # the proof (sent on the 17th, answered on the 24th) or the print is what is still to do.
    found = find_passed_days(*made(june(17), poured_on=dt.date(2027, 5, 20)))
    assert left(found) == [("proof approve print", dt.date(2027, 7, 4), False)]


# -- in the plan: the sample is delivered on Friday 11 June, wrapped on the 10th, printed on the
# 9th; its proof is approved on the 8th, sent on the 1st. It is closed on Sunday and Monday.

SAMPLE_POURED = ("[plan]\n", "[plan]\npoured_on = 2027-04-27\n")
DAYS = {Worry.PAST, Worry.LATE, Worry.NO_DELIVERY, Worry.PASSED}


@pytest.mark.parametrize(
    ("on", "worries", "kept"),
    [
        (1, set(), True),
        # Nobody knows whether it was sent: it is told, and the plan can be kept.
        (2, {Worry.PASSED}, True),
        (11, {Worry.PASSED}, True),
        (12, {Worry.PASSED, Worry.NO_DELIVERY}, False),
        (19, {Worry.PASSED, Worry.PAST}, False),
        (20, {Worry.PAST}, False),
    ],
)
def test_what_is_past_is_told(planned: Planned, on: int, worries: set[Worry], kept: bool) -> None:
    plan = planned(SAMPLE_POURED, on=june(on))
    assert {*plan.worries} & DAYS == worries
    assert plan.can_be_kept is kept


def test_an_event_today_that_was_never_poured_is_past(planned: Planned) -> None:
    assert {*planned(on=june(19)).worries} & DAYS == {Worry.PAST, Worry.LATE}


def test_what_is_past_in_words(planned: Planned) -> None:
    # Sent on Wednesday the 2nd: answered on the 9th, printed 10th, wrapped 11th, delivered on
    # Saturday the 12th.
    plan = planned(SAMPLE_POURED, on=june(2))
    for language, wanted in (
        ("en", "! These days are past: send the proof (June 1, 2027). - Not done yet: send the"),
        ("en", "Then delivery on Saturday, June 12, 2027 at the earliest, not on June 11, 2027."),
        ("en", "have it approved by Tuesday, June 8, 2027: the delivery on June 11, 2027 is then"),
        ("fr", "! Jours déjà passés : envoyer l’épreuve (1er juin 2027)."),
        ("fr", "Livraison alors le samedi 12 juin 2027 au plus tôt, et non le 11 juin 2027."),
        ("fr", "la faire approuver au plus tard le mardi 8 juin 2027 : la livraison du 11 juin"),
    ):
        told = " ".join(format_plan_text(plan, language).replace("\u202f", " ").split())
        assert wanted in told.replace("\u00a0", " ")
    assert json.loads(format_plan_json(plan))["days"]["past"] == {
        "steps": ["proof"],
        "if_still_to_do": [{"steps": ["proof"], "deliver": "2027-06-12", "kept": False}],
        "approval_that_keeps_it": "2027-06-08",
    }
    assert "The event is today" in format_plan_text(planned(on=june(19)))
