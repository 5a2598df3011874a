"""The workshop's shelf: lots by oldest first, amounts taken off by what is recorded, old papers.

The sample's batch takes 1272 g of olive oil (test_plan_report.py prints it).
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit

from labelkit.job.prepare import prepare_job
from labelkit.order.recipe import read_recipe
from labelkit.order.shelf import read_shelf
from labelkit.plan.order_plan import Plan, Worry, make_plan

Event = Callable[..., Path]
ON = dt.date(2026, 11, 25)
SHELF = """labelkit = 1
[[shelf]]
item = "huile d'olive"
supplier = "Huilerie des Brisants"
saponification_value = 189.5
certificate_on = 2026-10-01
[[shelf.lot]]
lot = "OL-2"
amount = "2 kg"
received = 2026-10-01
[[shelf.lot]]
lot = "OL-1"
amount = "500 g"
received = 2026-01-01
[[shelf]]
item = "Hay & honey"
limit = "4.1 %"
allergens = { Linalool = "3.2 %", Coumarin = "1.4 %", Eugenol = "0.2 %" }
statement_on = 2026-09-01
"""


@pytest.fixture
def shelved(event: Event) -> Callable[..., Path]:
    """The sample with a shelf, and a recipe that leaves to it what stands there."""

    def make(shelf: str = SHELF) -> Path:
        label = event()
        recipe = label.with_name("recipe.toml")
        text = recipe.read_text(encoding="utf-8")
        text = re.sub(r'lot = "OL-0311"\n|saponification_value = 189.5.*\n|limit = .*\n', "", text)
        recipe.write_text(re.sub(r"\[scent.allergens\].*\n(\w+ = .*\n)+", "", text), "utf-8")
        label.with_name("shelf.toml").write_text(shelf, encoding="utf-8")
        return label

    return make


def plan_of(label: Path) -> Plan:
    return make_plan(prepare_job(label), ON)


def olive(plan: Plan) -> tuple[str, ...]:
    return next(line.lots for line in plan.batch.weighings if line.name == "olive-oil")


def test_a_recipe_takes_from_the_shelf_what_it_does_not_say(shelved, planned) -> None:  # type: ignore[no-untyped-def]
    """Value, limit and statement are those that the sample's own recipe says: the same list and
    the same masses follow."""
    own = planned()
    label = shelved()
    from_shelf = plan_of(label)
    assert read_recipe(label.with_name("recipe.toml")).oils[0].saponification_value is None
    assert from_shelf.job.declaration.names == own.job.declaration.names
    both = (own, from_shelf)
    masses, shelf_masses = ([w.mass_g for w in plan.batch.weighings] for plan in both)
    assert masses == shelf_masses


def test_the_oldest_lot_is_drawn_first(shelved: Callable[..., Path]) -> None:
    # 500 g of January and 772 g of October.
    plan = plan_of(shelved())
    assert olive(plan) == ("OL-1", "OL-2")
    assert Worry.SHELF_SHORT not in plan.worries


def test_what_is_missing_is_to_be_ordered_and_of_whom(shelved: Callable[..., Path]) -> None:
    # 1272 g less 500 g and 700 g: 72 g.
    label = shelved(SHELF.replace("2 kg", "700 g"))
    plan = plan_of(label)
    assert plan.shelf is not None
    (one,) = plan.shelf.to_order
    assert (one.weighing.name, one.missing_g) == ("olive-oil", 72)
    told = " ".join(labelkit("plan", label, "--on", "2026-11-25").stdout.split())
    assert "To order by Tuesday, April 13, 2027: 72 g of olive oil (Huilerie" in told


def test_a_recorded_batch_takes_its_amounts_off_and_a_withdrawn_one_gives_them_back(
    shelved: Callable[..., Path],
) -> None:
    # 2500 g less 1272 g leave 1228 g in OL-2: 44 g too little for a second batch like the first.
    label = shelved()
    assert labelkit("plan", label, "--on", "2026-11-25", "--record").returncode == 0
    assert olive(plan_of(label)) == ("OL-1", "OL-2")  # its own batch is not counted against it
    second = label.with_name("second.toml")
    text = label.read_text(encoding="utf-8").replace("LS-2704", "LS-2704-B")
    second.write_text(text.replace("The Lighthouse Supper", "The Tea"), encoding="utf-8")
    after = plan_of(second)
    assert olive(after) == ("OL-2",)
    assert after.shelf is not None
    assert [one.missing_g for one in after.shelf.to_order] == [44]
    found = labelkit("trace", "OL-1", "--maker", label.with_name("maker.toml")).stdout
    assert "The Lighthouse Supper" in found
    undone = labelkit("trace", "LS-2704", "--withdraw", "--maker", label.with_name("maker.toml"))
    assert undone.returncode == 0
    assert olive(plan_of(second)) == ("OL-1", "OL-2")


def test_old_papers_and_lots_past_their_day_are_told(shelved: Callable[..., Path]) -> None:
    # Poured on 27 April 2027. A certificate of 26 April 2025 is more than 24 months old, one of the
    # 27th is not. The lot that keeps until 26 April is not drawn.
    old = SHELF.replace("2026-10-01\n[[shelf.lot]]", "2025-04-26\n[[shelf.lot]]")
    old = old.replace("received = 2026-01-01", "received = 2026-01-01\nbest_before = 2027-04-26")
    plan = plan_of(shelved(old))
    assert plan.shelf is not None
    assert [one.what for one in plan.shelf.old] == ["certificate", "best-before"]
    assert olive(plan) == ("OL-2",)
    young = plan_of(
        shelved(SHELF.replace("2026-10-01\n[[shelf.lot]]", "2025-04-27\n[[shelf.lot]]"))
    )
    assert young.shelf is not None
    assert young.shelf.old == ()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('item = "Hay & honey"', 'item = "huile d\'olive"', "stands twice"),
        ('amount = "2 kg"', "", "shelf[1].lot[1].amount: missing"),
        ("supplier =", "suplier =", "did you mean 'supplier'?"),
    ],
)
def test_mistakes_of_the_shelf_are_told_with_their_place(
    shelved: Callable[..., Path], old: str, new: str, told: str
) -> None:
    done = labelkit("plan", shelved(SHELF.replace(old, new)), "--on", "2026-11-25")
    assert done.returncode == 2
    assert told in done.stderr
    assert "shelf.toml" in done.stderr


def test_a_workshop_without_a_shelf_is_as_before(
    planned: Callable[..., Plan], tmp_path: Path
) -> None:
    assert read_shelf(tmp_path / "shelf.toml") is None
    assert planned().shelf is None
