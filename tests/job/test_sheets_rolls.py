"""Labels of a roll are counted from its beginning, and from one job to the next."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit

from labelkit.common.errors import InputError
from labelkit.impose.roll import count_roll, list_changes_of_roll
from labelkit.order.label import Trim
from labelkit.order.stock import Stock, read_stock

ROLL = """labelkit = 1
title = "My roll"
kind = "roll"
width = "60 mm"
across = 1
die = "56 x 40 mm"
feed_gap = "3 mm"
labels = {labels}
"""


def make_roll(folder: Path, labels: int, across: int = 1) -> Stock:
    path = folder / "roll.toml"
    text = ROLL.format(labels=labels).replace("across = 1", f"across = {across}")
    path.write_text(text.replace("60 mm", f"{60 * across} mm"), encoding="utf-8")
    return read_stock(path)


def test_front_and_back_follow_each_other_on_a_roll(tmp_path: Path) -> None:
    """By counting: 10 from label 23 on are 23 to 32, the next ten 33 to 42."""
    trim = Trim(56, 40)
    use = count_roll(make_roll(tmp_path, 500), {"front": (trim, 10), "back": (trim, 10)}, 23)
    assert [(s.name, s.first, s.last) for s in use.spans] == [("front", 23, 32), ("back", 33, 42)]
    assert (use.next_start, use.left, use.rolls) == (43, 458, 1)
    assert list(list_changes_of_roll(use)) == []


def test_where_a_roll_ends_is_told(tmp_path: Path) -> None:
    """Rolls of 15: the front takes 10 to 19, so that five are on the first roll and five on the
    next; of the back's ten from 20 to 29 it has all; one is left."""
    trim = Trim(56, 40)
    use = count_roll(make_roll(tmp_path, 15), {"front": (trim, 10), "back": (trim, 10)}, 10)
    ((span, done),) = list_changes_of_roll(use)
    assert (span.name, done) == ("front", 6)
    assert (use.next_start, use.left, use.rolls) == (15, 1, 2)


def test_a_roll_that_is_just_used_up(tmp_path: Path) -> None:
    use = count_roll(make_roll(tmp_path, 20), {"front": (Trim(56, 40), 10)}, 11)
    assert (use.next_start, use.left) == (1, 0)
    assert list(list_changes_of_roll(use)) == []


def test_a_row_that_was_begun_is_used_up(tmp_path: Path) -> None:
    """Three in a row: five labels take two rows, and begin with a new one after label 4."""
    roll = make_roll(tmp_path, 300, across=3)
    use = count_roll(roll, {"front": (Trim(56, 40), 5)}, 5)
    assert [(s.first, s.last) for s in use.spans] == [(7, 12)]
    assert use.next_start == 13


def test_a_label_that_a_roll_does_not_have(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a full roll has 20 labels"):
        count_roll(make_roll(tmp_path, 20), {"front": (Trim(56, 40), 1)}, 21)


@pytest.mark.usefixtures("ink_on_trust")
def test_a_roll_is_remembered_from_job_to_job(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    on_roll = ('layout = "lantern"', 'stock = "roll.toml"\nlayout = "lantern"')
    label = personal("roll", ("A B",), "2", on_roll)
    make_roll(label.parent, 100)
    first = labelkit("sheet", label, "--out", tmp_path, "--start", 23, "--remember")
    assert first.returncode == 0, first.stderr
    spans = [
        (int(one), int(other))
        for one, other in re.findall(r"labels (\d+) to (\d+) of the roll", first.stdout)
    ]
    # Front and back have equally many labels, and the back's follow the front's.
    (front, back) = spans
    assert front[0] == 23
    assert back[0] == front[1] + 1
    assert back[1] - back[0] == front[1] - front[0]
    assert f"The roll has {100 - back[1]} of 100 labels left" in first.stdout
    again = labelkit("sheet", label, "--out", tmp_path, "--remember")
    assert f"labels {back[1] + 1} to " in again.stdout
    skipped = labelkit("sheet", label, "--out", tmp_path, "--skip", 2)
    assert skipped.returncode == 2
    assert "feed the roll past damaged labels" in skipped.stderr
