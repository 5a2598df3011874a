"""Days counted by hand on a calendar, and what holds for every order."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labelkit.common.errors import InputError
from labelkit.order.plan import Timing
from labelkit.plan.dates import (
    Calendar,
    Closure,
    LateWayOut,
    PlanStep,
    Schedule,
    count_wrap_days,
    make_schedule,
)

TIMING = Timing(
    deliver_on=None,
    poured_on=None,
    cure_weeks=6,
    unmould_days=2,
    supply_days=14,
    supplies_in_hand=False,
    proof_days=7,
    hours_per_day=Decimal(6),
    closed=(),
    holidays={},
)
DAY = dt.timedelta(days=1)


def plan(event: dt.date, on: dt.date = dt.date(2026, 1, 1), **changes: object) -> Schedule:
    minutes = changes.pop("minutes", Decimal(120))
    timing = replace(TIMING, **changes)
    return make_schedule(event, on, timing, minutes, "label.toml")  # type: ignore[arg-type]


def days(made: Schedule) -> dict[PlanStep, str]:
    return {dated.step: dated.first.isoformat() for dated in made.steps}


def test_over_a_leap_day() -> None:
    # The event is on Sunday 5 March 2028. Deliver on the 4th, wrap on the 3rd. Six weeks are 42
    # days: from 3 March back to 3 February are 29 (2028 has a 29 February), 13 more: 21 January.
    # Poured two days before, 19 January; ordered 14 days before that, 5 January.
    # Labels are printed on 2 March. The proof is approved on the day before the pour, 18 January,
    # and was sent 7 days before, on the 11th.
    found = days(plan(dt.date(2028, 3, 5)))
    assert found[PlanStep.DELIVER] == "2028-03-04"
    assert found[PlanStep.WRAP] == "2028-03-03"
    assert found[PlanStep.CUT] == "2028-01-21"
    assert found[PlanStep.POUR] == "2028-01-19"
    assert found[PlanStep.ORDER] == "2028-01-05"
    assert found[PlanStep.PRINT] == "2028-03-02"
    assert found[PlanStep.APPROVE] == "2028-01-18"
    assert found[PlanStep.PROOF] == "2028-01-11"
    # A year without the leap day: from 3 March back to 3 February are 28, 14 more: 20 January.
    assert days(plan(dt.date(2027, 3, 5)))[PlanStep.CUT] == "2027-01-20"


def test_over_a_years_end() -> None:
    # The event is on Saturday 30 January 2027: deliver 29, wrap 28 January. 42 days back: 28 in
    # January leave 14, 31 December less 14 is 17 December 2026. Pour 15, order 1 December.
    found = days(plan(dt.date(2027, 1, 30)))
    assert found[PlanStep.CUT] == "2026-12-17"
    assert found[PlanStep.POUR] == "2026-12-15"
    assert found[PlanStep.ORDER] == "2026-12-01"


def test_work_waits_for_open_days() -> None:
    # The event is on Monday 31 May 2027. The workshop is closed on Sunday and Monday, and on
    # Saturday 29 May for a feast: deliver on Friday 28 May, wrap on Thursday 27 May, print on
    # Wednesday 26 May. 42 days before 27 May is Thursday 15 April. Two days before is Tuesday
    # 13 April: open. 14 days before is Tuesday 30 March.
    made = plan(dt.date(2027, 5, 31), closed=(0, 6), holidays={"Feast": (dt.date(2027, 5, 29),)})
    found = days(made)
    assert found[PlanStep.DELIVER] == "2027-05-28"
    assert found[PlanStep.WRAP] == "2027-05-27"
    assert found[PlanStep.CUT] == "2027-04-15"
    assert found[PlanStep.POUR] == "2027-04-13"
    assert found[PlanStep.ORDER] == "2027-03-30"


def test_the_proof_is_approved_before_the_pour_or_as_it_is_agreed() -> None:
    # The event is on Sunday 5 March 2028. Closed on weekends: delivered on Friday the 3rd, wrapped
    # on Thursday 2 March, cut on Thursday 20 January, poured on Tuesday the 18th. Nine days before
    # is Sunday the 9th, so Friday the 7th; seven days before that is Friday 31 December.
    event = dt.date(2028, 3, 5)
    found = days(plan(event, closed=(5, 6), approve_days=9))
    assert found[PlanStep.POUR] == "2028-01-18"
    assert (found[PlanStep.PROOF], found[PlanStep.APPROVE]) == ("2027-12-31", "2028-01-07")
    # Open on every day, it is poured on 19 January whenever the approval is agreed.
    found = days(plan(event, approve_on=dt.date(2028, 2, 20)))
    assert (found[PlanStep.PROOF], found[PlanStep.APPROVE]) == ("2028-02-13", "2028-02-20")
    assert found[PlanStep.POUR] == "2028-01-19"
    # Poured already: what is left is the time before printing on 2 March.
    found = days(plan(event, poured_on=dt.date(2028, 1, 19)))
    assert (found[PlanStep.PROOF], found[PlanStep.APPROVE]) == ("2028-02-23", "2028-03-01")
    with pytest.raises(InputError, match=r"plan\.approve_on: 2028-03-02: is not before the labels"):
        plan(event, approve_on=dt.date(2028, 3, 2))


def test_an_order_is_placed_when_suppliers_work() -> None:
    # The event is on Saturday 27 February 2027, delivery on the 26th, wrapping on the 25th. 42 days
    # back is Thursday 14 January, two days more Tuesday the 12th, 14 days more Tuesday 29 December
    # 2026. A shutdown from 24 December leaves out Saturday the 26th: open, but no supplier's day.
    shut = tuple(dt.date(2026, 12, day) for day in (24, 25, 28, 29, 30, 31))
    how = {"closed": (0, 6), "holidays": {"Shutdown": shut}}
    event = dt.date(2027, 2, 27)
    assert days(plan(event, **how))[PlanStep.ORDER] == "2026-12-26"
    found = days(plan(event, suppliers_closed=(5, 6), **how))
    assert found[PlanStep.ORDER] == "2026-12-23"  # a Wednesday
    assert found[PlanStep.POUR] == "2027-01-12"


def test_who_works_at_weekends_orders_on_a_day_of_the_suppliers() -> None:
    # Open on Saturday and Sunday only. Sunday 28 February 2027: delivered on Saturday the 27th,
    # wrapped on Sunday the 21st, cut 42 days before, on Sunday 10 January. Two days before is
    # Friday the 8th: poured on Sunday the 3rd. 14 days before is Sunday 20 December 2026; the
    # suppliers' last day before it is Friday the 18th.
    made = plan(dt.date(2027, 2, 28), closed=(0, 1, 2, 3, 4), suppliers_closed=(5, 6))
    found = days(made)
    assert (found[PlanStep.CUT], found[PlanStep.POUR]) == ("2027-01-10", "2027-01-03")
    assert found[PlanStep.ORDER] == "2026-12-18"


def test_too_late_on_a_day_without_suppliers() -> None:
    # 8 January 2028 is a Saturday: ordered on Monday the 10th, poured on the 24th, cut on the 26th,
    # 42 days on is 8 March (leap year), delivered on the 9th.
    late = plan(dt.date(2028, 3, 5), on=dt.date(2028, 1, 8), suppliers_closed=(5, 6)).late
    assert late is not None
    assert late.by_full_cure == dt.date(2028, 3, 9)


def test_days_off_in_a_row_are_one_closure() -> None:
    # Christmas Eve 2026 is a Thursday. Closed on Sundays and Mondays, the days between 26 and 29
    # December are closed anyway; Wednesday the 30th is open.
    shut = tuple(dt.date(2026, 12, day) for day in (24, 25, 26, 29, 31))
    calendar = Calendar((0, 6), {"Shutdown": shut, "Feast": ((2, 6),)})
    assert calendar.closures(dt.date(2026, 12, 1), dt.date(2027, 2, 27)) == (
        Closure(
            "Shutdown",
            (
                (dt.date(2026, 12, 24), dt.date(2026, 12, 29)),
                (dt.date(2026, 12, 31), dt.date(2026, 12, 31)),
            ),
        ),
        Closure("Feast", ((dt.date(2027, 2, 6), dt.date(2027, 2, 6)),)),
    )


def test_a_holiday_of_every_year() -> None:
    calendar = Calendar((), {"Christmas": ((12, 25), (12, 26)), "Leap": ((2, 29),)})
    assert not calendar.is_open(dt.date(2031, 12, 25))
    assert calendar.holiday(dt.date(2028, 2, 29)) == "Leap"
    assert calendar.at_or_before(dt.date(2031, 12, 26)) == dt.date(2031, 12, 24)


def test_wrapping_takes_as_many_open_days_as_its_minutes() -> None:
    # 66 pieces at 12 minutes are 792 minutes: at 6 hours (360 minutes) a day, 2.2 -> 3 days.
    assert count_wrap_days(Decimal(792), Decimal(6)) == 3
    assert count_wrap_days(Decimal(360), Decimal(6)) == 1
    # Over a closed Sunday, back from Tuesday 8 June 2027: Tuesday, Monday and Saturday.
    made = plan(dt.date(2027, 6, 10), minutes=Decimal(792), closed=(6,))
    assert made.dated(PlanStep.WRAP).first == dt.date(2027, 6, 5)
    assert made.dated(PlanStep.WRAP).last == dt.date(2027, 6, 8)


# -- too late --------------------------------------------------------------------------------------


def test_too_late_to_have_supplies_sent_but_not_to_fetch_them() -> None:
    # As in the leap year's order: ordered by 5 January, poured by 19 January 2028. On 8 January it
    # is 3 days too late to order; the pour is still to come.
    late = plan(dt.date(2028, 3, 5), on=dt.date(2028, 1, 8)).late
    assert late is not None
    assert (late.days, late.missed) == (3, PlanStep.ORDER)
    assert LateWayOut.FETCH in late.ways_out
    # From 8 January: supplies on 22 January, cut on the 24th, 42 days on is 6 March (leap year),
    # delivered on 7 March. With 28 days: 21 February, delivered on 22 February, in time.
    assert late.by_full_cure == dt.date(2028, 3, 7)
    assert late.by_least_cure == dt.date(2028, 2, 22)
    assert LateWayOut.SHORTER_CURE in late.ways_out


def test_too_late_for_any_cure() -> None:
    # On 1 March 2028 nothing poured can be cured by the 4th: 42 days since the pour of 19 January.
    late = plan(dt.date(2028, 3, 5), on=dt.date(2028, 3, 1), supplies_in_hand=True).late
    assert late is not None
    assert (late.days, late.missed) == (
        42,
        PlanStep.POUR,
    )  # 12 in January, 29 in February, 1 in March
    assert LateWayOut.SHORTER_CURE not in late.ways_out
    assert late.ways_out[-2:] == (LateWayOut.CURED_STOCK, LateWayOut.LATER)


def test_in_time_to_the_day() -> None:
    assert plan(dt.date(2028, 3, 5), on=dt.date(2028, 1, 5)).late is None
    one_day = plan(dt.date(2028, 3, 5), on=dt.date(2028, 1, 6)).late
    assert one_day is not None
    assert one_day.days == 1


def test_a_batch_in_cure_is_late_when_it_is_not_cured_by_the_day_of_wrapping() -> None:
    # Poured on 1 February 2028, cut on the 3rd: 42 days later is 16 March, 13 days after wrapping
    # on 3 March.
    late = plan(dt.date(2028, 3, 5), on=dt.date(2028, 2, 10), poured_on=dt.date(2028, 2, 1)).late
    assert late is not None
    assert (late.days, late.missed) == (13, PlanStep.CURE)
    in_time = plan(dt.date(2028, 3, 5), on=dt.date(2028, 2, 10), poured_on=dt.date(2028, 1, 19))
    assert in_time.late is None
    assert in_time.cure_days == 42


def test_a_batch_is_never_cut_before_it_was_poured() -> None:
    # The event is on Monday 31 May 2027, Sunday is closed: delivered on Saturday the 29th, at the
    # latest. Poured on Sunday the 30th, it is hopeless, but not cut on the day before.
    made = plan(dt.date(2027, 5, 31), closed=(6,), poured_on=dt.date(2027, 5, 30))
    assert made.day(PlanStep.CUT) == dt.date(2027, 5, 30)
    assert made.late is not None


def test_more_wrapping_than_a_year_is_refused() -> None:
    with pytest.raises(InputError, match=r"plan\.minutes"):
        plan(dt.date(2028, 3, 5), minutes=Decimal(10**9))


@pytest.mark.parametrize("event", [dt.date(1, 1, 15), dt.date(9999, 12, 31)])
def test_an_event_at_either_end_of_the_calendar_is_refused(event: dt.date) -> None:
    with pytest.raises(InputError, match=rf"event\.date: {event}: expected a year"):
        plan(event)


# -- every order -----------------------------------------------------------------------------------

dates = st.dates(dt.date(2000, 1, 1), dt.date(2100, 12, 31))


@given(
    event=dates,
    on=dates,
    deliver_before=st.none() | st.integers(0, 30),
    poured_before=st.none() | st.integers(0, 200),
    weeks=st.integers(1, 30),
    unmould=st.integers(0, 10),
    supply=st.integers(0, 60),
    proof=st.integers(0, 30),
    in_hand=st.booleans(),
    closed=st.sets(st.integers(0, 6), max_size=6),
    holidays=st.lists(dates, max_size=8),
    minutes=st.decimals(1, 6000, places=0),
)
def test_no_day_is_after_the_event_and_steps_keep_their_order(
    event: dt.date, on: dt.date, deliver_before: int | None, poured_before: int | None, weeks: int,
    unmould: int, supply: int, proof: int, in_hand: bool, closed: set[int],
    holidays: list[dt.date], minutes: Decimal,
) -> None:  # fmt: skip
    deliver = None if deliver_before is None else event - deliver_before * DAY
    poured = None if poured_before is None else (deliver or event) - poured_before * DAY
    assume(poured is None or deliver is not None or poured_before >= 1)  # type: ignore[operator]
    made = plan(
        event, on, deliver_on=deliver, poured_on=poured, cure_weeks=weeks, unmould_days=unmould,
        supply_days=supply, proof_days=proof, supplies_in_hand=in_hand,
        closed=tuple(sorted(closed)), holidays={"Closed": tuple(holidays)}, minutes=minutes,
    )  # fmt: skip
    found = {dated.step: dated for dated in made.steps}
    assert all(dated.first <= dated.last <= event for dated in made.steps)
    assert [d.first for d in made.steps] == sorted(d.first for d in made.steps)
    chains = [
        (PlanStep.ORDER, PlanStep.POUR, PlanStep.CUT),
        (
            PlanStep.PROOF,
            PlanStep.APPROVE,
            PlanStep.PRINT,
            PlanStep.WRAP,
            PlanStep.DELIVER,
            PlanStep.EVENT,
        ),
    ]
    for chain in chains:
        known = [found[step].first for step in chain if step in found]
        assert known == sorted(known)
    if poured is None:
        assert found[PlanStep.APPROVE].last < found[PlanStep.POUR].first
        # The cure is never cut short by the reckoning.
        assert (found[PlanStep.WRAP].first - found[PlanStep.CUT].first).days >= 7 * weeks
        calendar = Calendar(tuple(closed), {"Closed": tuple(holidays)})
        for step in (PlanStep.ORDER, PlanStep.POUR, PlanStep.CUT, PlanStep.PRINT):
            assert step not in found or calendar.is_open(found[step].first)
    if made.late is not None:
        assert made.late.days > 0
        assert made.late.by_least_cure <= made.late.by_full_cure


# A shutdown from Thursday 24 December 2026 to Sunday 10 January 2027.
SHUT = tuple(dt.date(2026, 12, 24) + n * DAY for n in range(18))


def test_no_batch_is_left_in_its_mould_over_a_closure() -> None:
    # The event is on Thursday 25 February 2027: delivered on the 24th, wrapped on the 23rd. 42 days
    # before is Tuesday 12 January; two days before that, the 10th, is closed, and the last open
    # day before is 23 December: 20 days in the mould. So it is cut before the closure: on Wednesday
    # 23 December, and poured two days before, on the 21st.
    found = days(plan(dt.date(2027, 2, 25), holidays={"Shutdown": SHUT}))
    assert (found[PlanStep.CUT], found[PlanStep.POUR]) == ("2026-12-23", "2026-12-21")
    # One day later it is cut on the 13th, and poured on Monday the 11th, after the closure.
    found = days(plan(dt.date(2027, 2, 26), holidays={"Shutdown": SHUT}))
    assert (found[PlanStep.CUT], found[PlanStep.POUR]) == ("2027-01-13", "2027-01-11")


def test_nor_where_work_starts_now() -> None:
    # Today is 22 December: a pour could not be cut before the 11th of January. With everything at
    # hand it is poured on the 11th, cut on the 13th, cured on 24 February, delivered on the 25th.
    made = plan(
        dt.date(2027, 2, 20), on=dt.date(2026, 12, 22), supplies_in_hand=True,
        holidays={"Shutdown": SHUT},
    )  # fmt: skip
    assert made.late is not None
    assert made.late.by_full_cure == dt.date(2027, 2, 25)


def test_a_batch_that_was_poured_before_a_closure_says_how_long_it_lies() -> None:
    # Poured on 23 December, cut on the first open day from the 25th on: 11 January, 19 days.
    made = plan(dt.date(2027, 3, 20), poured_on=dt.date(2026, 12, 23), holidays={"Shutdown": SHUT})
    assert made.mould_days == 19
