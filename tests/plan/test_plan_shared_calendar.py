"""Two orders of one workshop in one calendar, worked by hand.

Both are the sample's order: poured on Tuesday 27 April 2027, cut on Thursday 29 April, wrapped on
10
June (test_plan_dates.py counts such days). Each fills 2 loaves, is cut into 25 bars of 3, 75
pieces,
and takes 150 minutes to pour.
"""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from command import labelkit

from labelkit.job.prepare import prepare_job
from labelkit.plan.order_plan import Plan, make_plan
from labelkit.plan.shared_calendar import SharedCalendar, SharedThing, lay_together

ON = dt.date(2026, 11, 25)
POUR, CUT, WRAP = dt.date(2027, 4, 27), dt.date(2027, 4, 29), dt.date(2027, 6, 10)
DAY = dt.timedelta(days=1)
Event = Callable[..., Path]


@pytest.fixture
def both(event: Event) -> Callable[..., SharedCalendar]:
    """The sample and a second order of its recipe, with changes in its own or the maker's file."""

    def make(*changes: tuple[str, str], maker: tuple[tuple[str, str], ...] = ()) -> SharedCalendar:
        first = event()
        for old, new in maker:
            event((old, new), file="maker.toml")
        folder = first.parent
        second = folder.parent / "second"
        shutil.copytree(folder, second)
        path = second / "label.toml"
        text = path.read_text(encoding="utf-8")
        names = (
            ('recipe = "recipe.toml"', f'recipe = "../{folder.name}/recipe.toml"'),
            ("The Lighthouse Supper", "The Harbour Tea"),
        )
        for old, new in (*names, *changes):
            assert old in text
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
        return lay_together([plan_of(first), plan_of(path)], ON)

    return make


def plan_of(path: Path) -> Plan:
    return make_plan(prepare_job(path), ON)


def test_two_orders_want_one_mould(both: Callable[..., SharedCalendar]) -> None:
    # 2 + 2 loaves from the pour to the day before the cut, and two moulds.
    (one,) = both(maker=(('ends = "10 mm"', 'ends = "10 mm"\nowned = 2'),)).collisions
    assert (one.thing, one.first, one.last) == (SharedThing.MOULD, POUR, CUT - DAY)
    assert (one.wanted, one.have) == (4, 2)
    assert len(one.orders) == 2


def test_four_moulds_are_enough(both: Callable[..., SharedCalendar]) -> None:
    assert both(maker=(('ends = "10 mm"', 'ends = "10 mm"\nowned = 4'),)).collisions == ()


def test_a_mould_is_free_on_the_day_of_the_cut(both: Callable[..., SharedCalendar]) -> None:
    # Delivered two days later (Sunday and Monday are closed: Tuesday 15 June for Friday 11),
    # wrapped
    # on Saturday 12 June, cut on Saturday 1 May, poured on Thursday 29 April, when the first
    # is cut.
    made = both(("deliver_on = 2027-06-11", "deliver_on = 2027-06-15"))
    assert [c for c in made.collisions if c.thing is SharedThing.MOULD] == []


def test_two_orders_want_one_rack(both: Callable[..., SharedCalendar]) -> None:
    # 75 + 75 pieces lie from 29 April to 9 June.
    made = both(
        maker=(
            ('ends = "10 mm"', 'ends = "10 mm"\nowned = 4'),
            ("[plan]\n", "[plan]\nrack = 149\n"),
        )
    )
    (one,) = made.collisions
    assert (one.thing, one.first, one.last) == (SharedThing.RACK, CUT, WRAP - DAY)
    assert (one.wanted, one.have) == (150, 149)


def test_two_orders_want_one_pair_of_hands(both: Callable[..., SharedCalendar]) -> None:
    # Two pours of 150 minutes on a day of 4 hours, 240 minutes. Wrapping and labelling take
    # 1.5 x 68
    # + 0.75 x 66 = 151.5 minutes each: 303 together on 10 June.
    made = both(
        maker=(
            ('ends = "10 mm"', 'ends = "10 mm"\nowned = 4'),
            ("[plan]\n", "[plan]\nhours_per_day = 4\n"),
        )
    )
    found = [(c.thing, c.first, c.wanted) for c in made.collisions]
    assert found == [
        (SharedThing.HANDS, POUR, 300),
        (SharedThing.HANDS, WRAP, Decimal(303)),
    ]


def test_one_recipe_can_be_poured_together(both: Callable[..., SharedCalendar]) -> None:
    made = both()
    (joint,) = made.joint
    assert (joint.pour, joint.saved_minutes, joint.moulds) == (POUR, 150, 4)
    assert joint.poured_g == sum(plan.batch.poured_g for plan in made.orders)


def test_a_pour_a_month_later_stays_its_own(both: Callable[..., SharedCalendar]) -> None:
    later = (("date = 2027-06-19", "date = 2027-07-19"), ("2027-06-11", "2027-07-16"))
    assert both(*later).joint == ()


def test_a_folder_of_events_on_the_command_line(
    both: Callable[..., SharedCalendar], tmp_path: Path
) -> None:
    both()
    done = labelkit("plan", tmp_path, "--on", "2026-11-25")
    assert done.returncode == 1
    assert "! Moulds, April 27, 2027 – April 28, 2027: The Lighthouse Supper and" in done.stdout
    refused = labelkit("plan", tmp_path, "--page", "batch")
    assert refused.returncode == 2
    assert labelkit("plan", tmp_path / "none").returncode == 2
