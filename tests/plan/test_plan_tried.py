"""A recipe with a deadline is one that the record knows."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable
from pathlib import Path

from command import labelkit

from labelkit.job.prepare import prepare_job
from labelkit.plan.order_plan import Plan, Worry, make_plan

Event = Callable[..., Path]
ON = dt.date(2027, 5, 10)


def second_order(label: Path, scent: str = "Hay & honey") -> Plan:
    """Another event in September, of the same recipe with a scent of its own."""
    folder = label.parent
    recipe = folder.joinpath("recipe.toml").read_text(encoding="utf-8")
    folder.joinpath("second-recipe.toml").write_text(
        recipe.replace('name = "Hay & honey"', f'name = "{scent}"'), encoding="utf-8"
    )
    text = label.read_text(encoding="utf-8")
    for old, new in (
        ("2027-06-19", "2027-09-18"),
        ("2027-06-11", "2027-09-10"),
        ("LS-2704", "LS-2707"),
        ("The Lighthouse Supper", "The Tea"),
        ('recipe = "recipe.toml"', 'recipe = "second-recipe.toml"'),
    ):
        text = text.replace(old, new)
    second = folder / "second.toml"
    second.write_text(text, encoding="utf-8")
    return make_plan(prepare_job(second), ON)


def record(label: Path) -> None:
    done = labelkit("plan", label, "--on", "2027-04-27", "--record", "--poured", "2027-04-27")
    assert done.returncode == 0, done.stderr


def test_nothing_is_said_where_nothing_is_recorded(event: Event) -> None:
    assert second_order(event()).tried is None


def test_a_recipe_that_was_poured_is_known(event: Event) -> None:
    label = event()
    record(label)
    plan = second_order(label)
    assert plan.tried is not None
    assert (plan.tried.times, plan.tried.last) == (1, dt.date(2027, 4, 27))
    assert Worry.UNTRIED not in plan.worries


def test_a_new_scent_warns_with_the_last_day_for_a_trial(event: Event) -> None:
    # Delivered on Friday 10 September 2027, wrapped on the 9th, cut 42 days before on Thursday 29
    # July, poured on Tuesday the 27th; four weeks before that is Tuesday 29 June.
    label = event()
    record(label)
    plan = second_order(label, "Meadow rain")
    assert Worry.UNTRIED in plan.worries
    assert plan.tried is not None
    assert (plan.tried.times, plan.tried.recipe_times) == (0, 1)
    assert plan.tried.trial_by == dt.date(2027, 6, 29)
    second = label.parent / "second.toml"
    told = " ".join(labelkit("plan", second, "--on", "2027-05-10").stdout.split())
    assert "pour a trial batch by Tuesday, June 29, 2027" in told
    late = labelkit("plan", second, "--on", "2027-07-01").stdout
    assert "it is too late" in " ".join(late.split())


def note(label: Path, *lines: str, lot: str = "LS-2704") -> None:
    text = "\n".join(("labelkit = 1", "[[pour]]", f'lot = "{lot}"', *lines, ""))
    label.parent.joinpath("pours.toml").write_text(text, encoding="utf-8")


def test_how_it_went_is_told_with_what_was_lost_and_noted(event: Event) -> None:
    label = event()
    event(
        ('inside = "330 x 90 mm"', 'inside = "330 x 90 mm"\nname = "long loaf"'), file="maker.toml"
    )
    record(label)
    # Two whole loaves of 13 bars of 3, 78 pieces (worked out in test_plan_poured.py).
    note(
        label, 'mould = "Long loaf"', "lost = 6", 'notes = ["seized", "sweated"]', 'text = "38 °C"'
    )
    plan = second_order(label)
    assert plan.tried is not None
    assert (plan.tried.scent_times, plan.tried.mould_times) == (1, 1)
    assert plan.tried.lost == (6, 78)
    assert Worry.MISBEHAVED in plan.worries
    text = " ".join(
        labelkit("plan", label.parent / "second.toml", "--on", "2027-05-10").stdout.split()
    )
    for told in (
        "It misbehaved before: seized, sweated, 38 °C (lot LS-2704, April 27, 2027).",
        "recorded as poured before: 1 times, last on April 27, 2027",
        "this recipe in the mould long loaf, by your notes: 1 times",
        "lost of the batches that were counted: 6 of 78 pieces",
    ):
        assert told in text, told


def test_the_notes_of_another_pair_are_not_this_ones(event: Event) -> None:
    label = event()
    record(label)
    note(label, 'notes = ["faded"]')
    plan = second_order(label, "Meadow rain")
    assert plan.tried is not None
    assert plan.tried.noted == ()
    assert Worry.MISBEHAVED not in plan.worries
    note(label, "lost = 2")
    assert Worry.MISBEHAVED not in second_order(label).worries  # it behaved


def test_a_note_in_other_words_is_refused(event: Event) -> None:
    label = event()
    note(label, 'notes = ["went wrong"]')
    done = labelkit("plan", label, "--on", "2027-05-10")
    assert done.returncode == 2
    assert "pour[1].notes: 'went wrong': expected some of seized" in done.stderr


# -- noted when it is recorded ---------------------------------------------------------------------


def record_again(label: Path, *options: str) -> str:
    done = labelkit("plan", label, "--on", "2027-05-10", "--record", *options)
    assert done.returncode == 0, done.stderr
    return done.stderr


def test_a_poured_batch_is_asked_after_until_something_is_noted(event: Event) -> None:
    label = event()
    done = labelkit("plan", label, "--on", "2027-04-20", "--record")
    assert "how did lot" not in done.stderr  # it is only planned
    told = labelkit(
        "plan", label, "--on", "2027-04-27", "--record", "--poured", "2027-04-27"
    ).stderr
    (line,) = [line for line in told.splitlines() if "how did lot" in line]
    assert "how did lot LS-2704 go? Once you know, --record --lost 3 --note faded" in line
    assert "how did lot" in record_again(label)
    assert not label.with_name("pours.toml").exists()
    record_again(label, "--lost", "0")
    assert "how did lot" not in record_again(label)


def test_what_is_told_fills_the_history_of_the_recipe(event: Event) -> None:
    label = event()
    event(
        ('inside = "330 x 90 mm"', 'inside = "330 x 90 mm"\nname = "long loaf"'), file="maker.toml"
    )
    record(label)
    told = record_again(label, "--lost", "4", "--note", "seized")
    assert "noted how lot LS-2704 went" in told
    record_again(label, "--lost", "6", "--note", "faded", "--note", "seized")  # weeks later
    pours = label.with_name("pours.toml")
    kept = tomllib.loads(pours.read_text("utf-8"))
    assert kept == {
        "labelkit": 1,
        "pour": [{"lot": "LS-2704", "mould": "long loaf", "lost": 6, "notes": ["seized", "faded"]}],
    }
    plan = second_order(label)
    assert plan.tried is not None
    assert (plan.tried.lost, plan.tried.mould_times) == ((6, 78), 1)
    assert Worry.MISBEHAVED in plan.worries
    undone = labelkit("undo", "--maker", label.with_name("maker.toml"))
    assert undone.returncode == 0
    assert tomllib.loads(pours.read_text("utf-8"))["pour"][0]["lost"] == 4


def test_a_note_leaves_what_a_maker_wrote_herself(event: Event) -> None:
    label = event()
    record(label)
    pours = label.with_name("pours.toml")
    pours.write_text(
        "labelkit = 1 # mine\n\n[[pour]]\nlot = \"OLD-1\"\nlost = 2 # the cat\n\n"
        "[[pour]]\nlot = \"ls-2704\"\ntext = \"38 °C\"\n", "utf-8",
    )  # fmt: skip
    record_again(label, "--note", "sweated")
    text = pours.read_text("utf-8")
    assert "lost = 2 # the cat" in text
    assert text.startswith("labelkit = 1 # mine")
    assert tomllib.loads(text)["pour"][1] == {
        "lot": "ls-2704", "text": "38 °C", "notes": ["sweated"],
    }  # fmt: skip


def test_how_it_went_is_said_of_a_poured_batch_that_is_recorded(event: Event) -> None:
    label = event()
    done = labelkit("plan", label, "--on", "2027-04-20", "--lost", "3")
    assert done.returncode == 2
    assert "--lost and --note are for --record" in done.stderr
    done = labelkit("plan", label, "--on", "2027-04-20", "--record", "--note", "seized")
    assert done.returncode == 2
    assert "known once it is poured; give its day with --poured" in done.stderr
    assert not label.with_name("trace.sqlite").exists()
    done = labelkit("plan", label, "--on", "2027-04-20", "--record", "--note", "went wrong")
    assert done.returncode == 2
    assert "seized" in done.stderr
