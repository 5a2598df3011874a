"""The record: what went where, and that it is whole whatever happens."""

from __future__ import annotations

import datetime as dt
import signal
import sqlite3
import subprocess
import sys
import textwrap
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.errors import InputError
from labelkit.plan import trace
from labelkit.plan.lotcode import lot_code
from labelkit.plan.trace import Material, Record

SUPPER = Record(
    lot="LS-2704",
    label="supper/label.toml",
    names="The Lighthouse Supper",
    date=dt.date(2027, 6, 19),
    place="Anse-aux-Brumes",
    labels=66,
    recipe="Oat, honey and sea buckthorn",
    poured=dt.date(2027, 4, 27),
    materials=(
        Material("olive-oil", "OL-0311", Decimal("1272")),
        Material("NaOH", "NA-5530", Decimal("372")),
        Material("honey", "", Decimal("32")),
    ),
)
REGATTA = replace(
    SUPPER,
    lot="LS-2707",
    label="regatta/label.toml",
    names="The Regatta",
    date=dt.date(2027, 9, 4),
    poured=dt.date(2027, 7, 13),
    materials=(
        Material("olive-oil", "OL-0311", Decimal("800")),
        Material("NaOH", "NA-6001", Decimal("250")),
    ),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return trace.trace_file(tmp_path / "maker.toml")


def test_a_material_is_followed_to_every_event(path: Path) -> None:
    trace.record(path, REGATTA)
    trace.record(path, SUPPER)
    assert trace.find(path, " ol-0311 ") == (SUPPER, REGATTA)  # by date; case and blanks aside
    assert trace.find(path, "NA-6001") == (REGATTA,)
    assert trace.find(path, "LS-2704") == (SUPPER,)  # a batch by its own lot
    assert trace.find(path, "") == ()  # what has no lot is not found by an empty one
    assert trace.find(path, "OL-0312") == ()
    assert trace.near(path, "OL-0312") == ("OL-0311",)


def test_recording_again_replaces(path: Path) -> None:
    trace.record(path, SUPPER)
    filled = replace(
        SUPPER, materials=(*SUPPER.materials[:2], Material("honey", "HO-7", Decimal("32")))
    )
    trace.record(path, filled)
    trace.record(path, filled)
    assert trace.find(path, "OL-0311") == (filled,)
    assert trace.find(path, "HO-7") == (filled,)


def test_one_lot_code_is_one_batch(path: Path) -> None:
    trace.record(path, SUPPER)
    same_batch = replace(SUPPER, label="second/label.toml", names="A second table")
    trace.record(path, same_batch)
    assert len(trace.find(path, "LS-2704")) == 2
    other_batch = replace(REGATTA, lot="ls-2704")
    with pytest.raises(InputError, match=r"product\.lot: 'ls-2704': is already the lot of another"):
        trace.record(path, other_batch)
    assert len(trace.find(path, "LS-2704")) == 2


def test_a_file_that_is_no_record_is_left_alone(path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        trace.find(path, "OL-0311")
    path.write_text("not a database, but a page of notes" * 50)
    with pytest.raises(InputError, match="cannot be used as a record"):
        trace.record(path, SUPPER)
    assert path.read_text().startswith("not a database")
    path.unlink()
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE poem (line TEXT)")
    with pytest.raises(InputError, match="is not labelkit's record"):
        trace.record(path, SUPPER)
    path.unlink()
    path.mkdir()
    with pytest.raises(InputError, match="cannot be used as a record"):
        trace.record(path, SUPPER)


def test_a_record_of_a_later_format_is_not_touched(path: Path) -> None:
    trace.record(path, SUPPER)
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA user_version = 2")
    with pytest.raises(InputError, match="has format 2; this version reads 1"):
        trace.record(path, REGATTA)


def test_a_fault_half_way_leaves_the_old_record_whole(path: Path) -> None:
    trace.record(path, SUPPER)

    class Faulty(Material):
        def __getattribute__(self, name: str) -> object:
            if name == "lot":
                raise RuntimeError("the power fails")
            return super().__getattribute__(name)

    broken = replace(SUPPER, materials=(Faulty("olive-oil", "OL-9", Decimal(1)),))
    with pytest.raises(RuntimeError):
        trace.record(path, broken)
    assert trace.find(path, "LS-2704") == (SUPPER,)


def test_a_process_killed_in_the_middle_of_writing_leaves_the_old_record_whole(path: Path) -> None:
    trace.record(path, SUPPER)
    # Kills itself after the old rows are deleted and the new event is written, before the commit.
    program = """
        import os, signal, sys
        from dataclasses import replace
        from pathlib import Path
        from labelkit.plan import trace
        path = Path(sys.argv[1])
        (old,) = trace.find(path, "LS-2704")

        class Deadly(tuple):
            def __iter__(self):
                os.kill(os.getpid(), signal.SIGKILL)

        trace.record(path, replace(old, names="Half written", materials=Deadly()))
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program), str(path)], check=False, timeout=60
    )
    assert done.returncode == -signal.SIGKILL
    assert trace.find(path, "LS-2704") == (SUPPER,)


def test_a_record_in_use_is_told_in_one_line(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trace.record(path, SUPPER)
    monkeypatch.setattr(trace, "_WAIT_S", 0.05)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(InputError, match="locked"):
        trace.record(path, REGATTA)
    holder.execute("ROLLBACK")
    holder.close()
    trace.record(path, REGATTA)


def test_lot_codes_after_the_makers_pattern() -> None:
    # 27 April 2027 is the 117th day of the year (31 + 28 + 31 + 27) and in the 17th week (ISO 8601:
    # 26 April 2027 is a Monday, and 4 January is in week 1).
    day = dt.date(2027, 4, 27)
    assert lot_code("LS-{yy}{mm}", day, "") == "LS-2704"
    assert lot_code("{yyyy}-{day_of_year}", day, "") == "2027-117"
    assert lot_code("{yy}w{week}", day, "") == "27w17"
    assert lot_code("{recipe}{dd}", day, "Épices, orange & clou") == "EOC27"
    # A date near the year's end belongs to a week of the next year (ISO 8601).
    assert lot_code("{week}", dt.date(2025, 12, 29), "") == "01"


def test_the_label_is_named_from_the_makers_folder(tmp_path: Path) -> None:
    maker, label = tmp_path / "maker.toml", tmp_path / "supper" / "label.toml"
    assert trace.label_name(label, maker) == "supper/label.toml"
    assert trace.label_name(tmp_path / "label.toml", tmp_path / "shop" / "maker.toml") == (
        "../label.toml"
    )
