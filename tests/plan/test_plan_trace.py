"""The record: what went where, and that it is whole whatever happens."""

from __future__ import annotations

import datetime as dt
import signal
import sqlite3
import subprocess
import sys
import textwrap
from contextlib import closing
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.maker import name_label_for_maker, trace_path_of
from labelkit.order.plan import SentPieces
from labelkit.plan import trace
from labelkit.plan.lotcode import LotMatch, is_addition_to, make_lot_code, match_lots
from labelkit.plan.trace import BatchRecord, RecordedMaterial

SUPPER = BatchRecord(
    lot="LS-2704",
    label="supper/label.toml",
    names="The Lighthouse Supper",
    date=dt.date(2027, 6, 19),
    place="Anse-aux-Brumes",
    labels=66,
    recipe="Oat, honey and sea buckthorn",
    poured=dt.date(2027, 4, 27),
    materials=(
        RecordedMaterial("olive-oil", ("OL-0311",), Decimal("1272")),
        RecordedMaterial("NaOH", ("NA-5530",), Decimal("372")),
        RecordedMaterial("honey", (), Decimal("32")),
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
        RecordedMaterial("olive-oil", ("OL-0311",), Decimal("800")),
        RecordedMaterial("NaOH", ("NA-6001",), Decimal("250")),
    ),
)


DAY = dt.date(2026, 11, 25)
LATER = dt.date(2026, 12, 2)
PLANNED = replace(SUPPER, planned=True)
WEIGHED = replace(SUPPER, net_weight_g=Decimal("40.5"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return trace_path_of(tmp_path / "maker.toml")


def standing(path: Path, lot: str) -> list[BatchRecord]:
    return [state.record for state in trace.find_states(path, lot) if state.stands]


def with_lots(entry: BatchRecord, name: str, *lots: str) -> BatchRecord:
    changed = (replace(m, lots=lots) if m.name == name else m for m in entry.materials)
    return replace(entry, materials=tuple(changed))


def test_a_material_is_followed_to_every_event(path: Path) -> None:
    assert trace.record_batch(path, REGATTA, DAY).new
    assert trace.record_batch(path, SUPPER, DAY).new
    assert standing(path, " ol-0311 ") == [SUPPER, REGATTA]  # by date; case and blanks aside
    assert standing(path, "NA-6001") == [REGATTA]
    assert standing(path, "LS-2704") == [SUPPER]  # a batch by its own lot
    assert trace.find_states(path, "") == ()  # what has no lot is not found by an empty one
    assert trace.find_states(path, "OL-0312") == ()
    assert trace.list_near_lots(path, "OL-0312") == ("OL-0311",)


def test_every_lot_of_a_material_is_found(path: Path) -> None:
    # The rest of one drum and the beginning of the next went into the same pot.
    both = with_lots(SUPPER, "olive-oil", "OL-0311", "OL-0312")
    trace.record_batch(path, both, DAY)
    assert standing(path, "OL-0311") == standing(path, "OL-0312") == [both]
    assert both.lots == ("LS-2704", "OL-0311", "OL-0312", "NA-5530")
    done = trace.record_batch(path, with_lots(SUPPER, "olive-oil", "OL-0312"), LATER)
    assert done.changes == ("olive-oil lot OL-0312 (was OL-0311, OL-0312)",)
    assert [state.stands for state in trace.find_states(path, "OL-0311")] == [False]


@pytest.mark.parametrize(
    ("asked", "lot", "match"),
    [
        ("OL-0311", "OL-0311", LotMatch.EXACT),
        (" OL-0311 ", "OL-0311", LotMatch.EXACT),  # outer blanks are of the typing
        ("e\u0301-7", "\u00e9-7", LotMatch.EXACT),  # one letter, typed in two ways (Unicode NFC)
        # Letter case, marks and blanks; letters for figures and the other way round.
        ("ol-0311 ", "OL-0311", LotMatch.NEAR),
        ("OL0311", "OL-0311", LotMatch.NEAR),
        ("OL 0311", "OL-0311", LotMatch.NEAR),
        ("OL/03.11", "OL-0311", LotMatch.NEAR),
        ("OL–0311", "OL-0311", LotMatch.NEAR),  # an en dash
        ("OL-O311", "OL-0311", LotMatch.NEAR),
        ("0L-0311", "OL-0311", LotMatch.NEAR),
        ("OL-03I1", "OL-0311", LotMatch.NEAR),
        ("OL-03l1", "OL-0311", LotMatch.NEAR),
        # Another lot, and nothing at all.
        ("OL-0312", "OL-0311", None),
        ("OL-311", "OL-0311", None),
        ("OL-03115", "OL-0311", None),
        ("", "OL-0311", None),
        (" ", " ", None),
        ("--", "//", None),
        ("--", "--", LotMatch.EXACT),
    ],
)
def test_a_lot_fits_as_it_is_written_or_nearly(
    asked: str, lot: str, match: LotMatch | None
) -> None:
    assert match_lots(asked, lot) is match
    assert match_lots(lot, asked) is match


def test_a_near_match_is_found_and_told_from_an_exact_one(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    trace.record_batch(path, with_lots(REGATTA, "olive-oil", "OL0311"), DAY)
    found = {state.record.lot: state.record for state in trace.find_states(path, "OL-0311")}
    assert set(found) == {"LS-2704", "LS-2707"}
    assert trace.match_lot_in_record(found["LS-2704"], "OL-0311") is LotMatch.EXACT
    assert trace.match_lot_in_record(found["LS-2707"], "OL-0311") is LotMatch.NEAR


# -- correcting ------------------------------------------------------------------------------------


def test_recording_again_corrects_and_keeps_what_stood(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    mended = with_lots(SUPPER, "olive-oil", "OL-9999")
    done = trace.record_batch(path, mended, LATER)
    assert (done.new, done.changes) == (False, ("olive-oil lot OL-9999 (was OL-0311)",))
    (old,) = trace.find_states(path, "OL-0311")
    assert (old.record, old.recorded, old.ended) == (SUPPER, DAY, LATER)
    assert (old.withdrawn, old.changes) == (False, done.changes)
    (new,) = trace.find_states(path, "OL-9999")
    assert (new.record, new.recorded, new.ended) == (mended, LATER, None)
    assert [state.stands for state in trace.find_states(path, "LS-2704")] == [True, False]


def test_recording_the_same_again_changes_nothing(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    before = path.read_bytes()
    done = trace.record_batch(path, SUPPER, LATER)
    assert (done.new, done.changes) == (False, ())
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "moved",
    [
        replace(PLANNED, date=dt.date(2027, 6, 26), poured=dt.date(2027, 5, 4)),
        replace(PLANNED, names="The Lighthouse Dinner", poured=dt.date(2027, 5, 4)),
    ],
)
def test_an_event_that_moved_or_was_misspelt_is_the_same_event(
    path: Path, moved: BatchRecord
) -> None:
    trace.record_batch(path, PLANNED, DAY)
    done = trace.record_batch(path, moved, LATER)
    assert not done.new
    assert "planned to be poured 2027-05-04 (was planned to be poured 2027-04-27)" in done.changes
    assert standing(path, "LS-2704") == [moved]


def test_another_event_of_the_same_file_stands_beside_it(path: Path) -> None:
    # One label.toml, edited for the next order of the same batch: both are wanted in a recall.
    trace.record_batch(path, SUPPER, DAY)
    next_one = replace(SUPPER, names="The Harbour Tea", date=dt.date(2027, 8, 1))
    done = trace.record_batch(path, next_one, LATER)
    assert (done.new, done.beside) == (True, (SUPPER,))
    assert standing(path, "OL-0311") == [SUPPER, next_one]


def test_many_amounts_that_change_are_counted() -> None:
    more = replace(
        SUPPER,
        labels=70,
        materials=tuple(RecordedMaterial(f"oil-{n}", (), Decimal(2 * n)) for n in range(5)),
    )
    less = replace(more, materials=tuple(replace(m, mass_g=m.mass_g + 1) for m in more.materials))
    assert trace.list_differences(more, less) == ("amounts of 5 materials",)
    one = replace(
        more, materials=(*more.materials[:4], replace(more.materials[4], mass_g=Decimal(9)))
    )
    assert trace.list_differences(more, one) == ("oil-4 9 g (was 8 g)",)
    assert trace.list_differences(SUPPER, replace(SUPPER, materials=SUPPER.materials[:1])) == (
        "NaOH left out, lot NA-5530",
        "honey left out",
    )
    assert trace.list_differences(SUPPER, more)[0] == "labels 70 (was 66)"


# -- planned and poured ----------------------------------------------------------------------------


def test_a_plan_is_not_a_pour_until_it_is_confirmed(path: Path) -> None:
    trace.record_batch(path, PLANNED, DAY)
    assert trace.describe_pouring(standing(path, "LS-2704")[0]) == "planned to be poured 2027-04-27"
    poured = replace(SUPPER, poured=dt.date(2027, 4, 28))
    done = trace.record_batch(path, poured, LATER)
    assert done.changes == ("poured 2027-04-28 (was planned to be poured 2027-04-27)",)
    # A later plan, for pieces sent elsewhere, does not turn the fact into a plan again.
    sent = replace(PLANNED, sent=(SentPieces(5, "Fern Gifts, Suva, Fiji"),))
    done = trace.record_batch(path, sent, LATER)
    assert (done.kept_day, done.changes) == (True, ("5 pieces to Fern Gifts, Suva, Fiji",))
    assert standing(path, "LS-2704") == [replace(poured, sent=sent.sent)]


def test_pieces_sent_elsewhere_are_kept_and_can_be_taken_back(path: Path) -> None:
    sent = (
        SentPieces(5, "Fern Gifts, Suva, Fiji", dt.date(2027, 6, 20)),
        SentPieces(1, "the tester"),
    )
    trace.record_batch(path, replace(SUPPER, sent=sent), DAY)
    assert standing(path, "OL-0311")[0].sent == sent
    done = trace.record_batch(path, replace(SUPPER, sent=sent[1:]), LATER)
    assert done.changes == ("no longer 5 pieces to Fern Gifts, Suva, Fiji on 2027-06-20",)


# -- one lot is one batch --------------------------------------------------------------------------


def test_one_lot_code_is_one_batch(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    same_batch = replace(SUPPER, label="second/label.toml", names="A second table")
    trace.record_batch(path, same_batch, DAY)
    assert len(standing(path, "LS-2704")) == 2
    with pytest.raises(InputError, match=r"product\.lot: 'ls-2704': is already the lot of another"):
        trace.record_batch(path, replace(REGATTA, lot="ls-2704"), DAY)
    other_recipe = replace(same_batch, label="third/label.toml", recipe="Plain")
    with pytest.raises(InputError, match="labelkit trace LS-2704 --withdraw"):
        trace.record_batch(path, other_recipe, DAY)
    assert len(standing(path, "LS-2704")) == 2


def test_two_plans_of_one_batch_are_told_to_agree_on_its_day(path: Path) -> None:
    second = replace(
        PLANNED, label="second/label.toml", names="A second table", poured=dt.date(2027, 5, 4)
    )
    trace.record_batch(path, PLANNED, DAY)
    with pytest.raises(
        InputError, match=r"write poured_on = 2027-04-27 in \[plan\] if it is the sa"
    ):
        trace.record_batch(path, second, DAY)
    assert trace.record_batch(path, replace(second, poured=PLANNED.poured), DAY).new


def test_a_confirmed_day_settles_what_was_planned_for_the_same_batch(path: Path) -> None:
    second = replace(PLANNED, label="second/label.toml", names="A second table")
    trace.record_batch(path, PLANNED, DAY)
    trace.record_batch(path, second, DAY)
    poured = replace(SUPPER, poured=dt.date(2027, 4, 29))
    trace.record_batch(path, poured, LATER)
    # The other event's plan still says the 27th: it is told how to say that it is the same batch.
    with pytest.raises(InputError, match="add --poured 2027-04-29 if it is the same batch"):
        trace.record_batch(path, replace(second, labels=60), LATER)
    done = trace.record_batch(path, replace(second, poured=poured.poured, planned=False), LATER)
    assert done.changes == ("poured 2027-04-29 (was planned to be poured 2027-04-27)",)


# -- withdrawing -----------------------------------------------------------------------------------


def test_what_is_withdrawn_stays_readable_with_its_day(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    assert trace.withdraw_batch(path, " ls-2704 ", "", LATER, "another shelf") == SUPPER
    (state,) = trace.find_states(path, "OL-0311")
    assert (state.record, state.withdrawn, state.ended) == (SUPPER, True, LATER)
    assert state.reason == "another shelf"
    with pytest.raises(InputError, match="'LS-2704': stands recorded as no batch's lot"):
        trace.withdraw_batch(path, "LS-2704", "", LATER)
    # Its lot is free for another batch, and the same event can be recorded anew.
    trace.record_batch(path, replace(REGATTA, lot="LS-2704"), LATER)
    assert trace.record_batch(path, replace(SUPPER, lot="LS-2705"), LATER).new
    assert [(s.record.lot, s.withdrawn) for s in trace.list_last_states(path)] == [
        ("LS-2705", False), ("LS-2704", False), ("LS-2704", True),
    ]  # fmt: skip


@pytest.mark.parametrize("event", ["A Second Table", "2027-06-20", "second/label.toml"])
def test_a_batch_of_several_events_is_withdrawn_from_the_one_that_is_named(
    path: Path, event: str
) -> None:
    second = replace(
        SUPPER, label="second/label.toml", names="A second table", date=dt.date(2027, 6, 20)
    )
    trace.record_batch(path, SUPPER, DAY)
    trace.record_batch(path, second, DAY)
    with pytest.raises(
        InputError, match=r"several events \(2027-06-19 The Lighthouse Supper, 2027"
    ):
        trace.withdraw_batch(path, "LS-2704", "", LATER)
    trace.withdraw_batch(path, "LS-2704", event, LATER)
    assert standing(path, "LS-2704") == [SUPPER]


def test_nothing_can_be_withdrawn_where_nothing_is_recorded(path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        trace.withdraw_batch(path, "LS-2704", "", DAY)
    assert not path.exists()


# -- the file --------------------------------------------------------------------------------------

FORMAT_1 = """
    CREATE TABLE event (
        id INTEGER PRIMARY KEY, lot TEXT NOT NULL, label TEXT NOT NULL, names TEXT NOT NULL,
        date TEXT NOT NULL, place TEXT NOT NULL, labels INTEGER NOT NULL, recipe TEXT NOT NULL,
        poured TEXT NOT NULL, UNIQUE (lot, label, date));
    CREATE TABLE material (
        event INTEGER NOT NULL REFERENCES event (id) ON DELETE CASCADE, line INTEGER NOT NULL,
        name TEXT NOT NULL, lot TEXT NOT NULL, grams TEXT NOT NULL, PRIMARY KEY (event, line));
    CREATE INDEX material_by_lot ON material (lot COLLATE NOCASE);
    INSERT INTO event VALUES (3, 'LS-2704', 'supper/label.toml', 'The Lighthouse Supper',
        '2027-06-19', 'Anse-aux-Brumes', 66, 'Oat, honey and sea buckthorn', '2027-04-27');
    INSERT INTO material VALUES (3, 0, 'olive-oil', 'OL-0311', '1272'),
        (3, 1, 'NaOH', 'NA-5530', '372'), (3, 2, 'honey', '', '32');
    PRAGMA application_id = 0x6C6B7472;
    PRAGMA user_version = 1;
"""
"""The tables of the first format as it was released, and an event in them."""


FORMAT_2 = """
    CREATE TABLE state (
        id INTEGER PRIMARY KEY, entry INTEGER NOT NULL, lot TEXT NOT NULL, label TEXT NOT NULL,
        names TEXT NOT NULL, date TEXT NOT NULL, place TEXT NOT NULL, labels INTEGER NOT NULL,
        recipe TEXT NOT NULL, poured TEXT NOT NULL, planned INTEGER NOT NULL,
        recorded TEXT NOT NULL, ended TEXT NOT NULL DEFAULT '',
        withdrawn INTEGER NOT NULL DEFAULT 0, reason TEXT NOT NULL DEFAULT ''LATER);
    CREATE TABLE used (
        state INTEGER NOT NULL REFERENCES state (id), line INTEGER NOT NULL, name TEXT NOT NULL,
        lot TEXT NOT NULL, grams TEXT NOT NULL, PRIMARY KEY (state, line));
    CREATE TABLE sent (
        state INTEGER NOT NULL REFERENCES state (id), line INTEGER NOT NULL,
        pieces INTEGER NOT NULL, receiver TEXT NOT NULL, day TEXT NOT NULL,
        PRIMARY KEY (state, line));
    CREATE INDEX used_by_lot ON used (lot COLLATE NOCASE);
    INSERT INTO state (id, entry, lot, label, names, date, place, labels, recipe, poured, planned,
        recorded) VALUES (1, 1, 'LS-2704', 'supper/label.toml', 'The Lighthouse Supper',
        '2027-06-19', 'Anse-aux-Brumes', 66, 'Oat, honey and sea buckthorn', '2027-04-27', 0,
        '2026-11-25');
    INSERT INTO used VALUES (1, 0, 'olive-oil', 'OL-0311', '1272'),
        (1, 1, 'NaOH', 'NA-5530', '372'), (1, 2, 'honey', '', '32');
    INSERT INTO sent VALUES (1, 0, 5, 'Fern Gifts, Suva, Fiji', '');
    PRAGMA application_id = 0x6C6B7472;
    PRAGMA user_version = 2;
"""
"""The tables of the second format as it was released, and a batch in them; LATER: the column that
was added to it."""
NET_GRAMS = ", net_grams TEXT NOT NULL DEFAULT ''"
OF_FORMAT_2 = replace(SUPPER, sent=(SentPieces(5, "Fern Gifts, Suva, Fiji"),))


@pytest.mark.parametrize("later", ["", NET_GRAMS])
def test_a_record_of_the_second_format_is_read_and_left_as_it_is(path: Path, later: str) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript(FORMAT_2.replace("LATER", later))
    before = path.read_bytes()
    (state,) = trace.find_states(path, "OL-0311")
    assert (state.record, state.recorded, state.stands) == (OF_FORMAT_2, DAY, True)
    assert trace.list_near_lots(path, "OL-0312") == ("OL-0311",)
    assert path.read_bytes() == before


@pytest.mark.parametrize("later", ["", NET_GRAMS])
def test_a_record_of_the_second_format_is_brought_up_when_written(path: Path, later: str) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript(FORMAT_2.replace("LATER", later))
    both = with_lots(OF_FORMAT_2, "olive-oil", "OL-0311", "OL-0312")
    done = trace.record_batch(path, replace(both, net_weight_g=Decimal("40.5")), LATER)
    assert done.changes == (
        "net weight 40.5 g (was none)",
        "olive-oil lot OL-0311, OL-0312 (was OL-0311)",
    )
    assert [state.record for state in trace.find_states(path, "OL-0311")] == [
        done.entry,
        OF_FORMAT_2,
    ]
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (3,)
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []


def test_the_declared_weight_is_kept_and_its_correction_told(path: Path) -> None:
    trace.record_batch(path, WEIGHED, DAY)
    assert standing(path, "LS-2704") == [WEIGHED]
    done = trace.record_batch(path, replace(WEIGHED, net_weight_g=Decimal("38")), LATER)
    assert done.changes == ("net weight 38 g (was 40.5 g)",)
    assert trace.record_batch(path, done.entry, LATER).changes == ()


def test_a_record_of_the_first_format_is_read_and_left_as_it_is(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript(FORMAT_1)
    before = path.read_bytes()
    (state,) = trace.find_states(path, "OL-0311")
    # It kept the day of the plan as if it were poured: now it is called planned.
    assert (state.record, state.recorded, state.stands) == (PLANNED, None, True)
    assert trace.list_near_lots(path, "OL-0312") == ("OL-0311",)
    assert path.read_bytes() == before


def test_a_record_of_the_first_format_is_brought_up_when_it_is_written(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript(FORMAT_1)
    done = trace.record_batch(path, with_lots(SUPPER, "honey", "HO-7"), DAY)
    assert done.changes == (
        "poured 2027-04-27 (was planned to be poured 2027-04-27)",
        "honey lot HO-7 (was none)",
    )
    assert [state.record for state in trace.find_states(path, "OL-0311")] == [done.entry, PLANNED]
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (3,)
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_file_that_is_no_record_is_left_alone(path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        trace.find_states(path, "OL-0311")
    path.write_text("not a database, but a page of notes" * 50)
    with pytest.raises(InputError, match="cannot be used as a record"):
        trace.record_batch(path, SUPPER, DAY)
    assert path.read_text().startswith("not a database")
    path.unlink()
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE poem (line TEXT)")
    with pytest.raises(InputError, match="is not labelkit's record"):
        trace.record_batch(path, SUPPER, DAY)
    path.unlink()
    path.mkdir()
    with pytest.raises(InputError, match="cannot be used as a record"):
        trace.record_batch(path, SUPPER, DAY)


def test_a_record_that_another_run_has_only_begun_holds_nothing_of_a_label(path: Path) -> None:
    assert trace.list_standing_states(path, SUPPER.label) == ()
    path.touch()  # as SQLite leaves it before the first commit
    assert trace.list_standing_states(path, SUPPER.label) == ()
    trace.record_batch(path, SUPPER, DAY)
    assert [state.record for state in trace.list_standing_states(path, SUPPER.label)] == [SUPPER]
    assert trace.list_standing_states(path, "other/label.toml") == ()


def test_a_record_of_a_later_format_is_not_touched(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA user_version = 4")
    with pytest.raises(InputError, match="has format 4; this version reads up to 3"):
        trace.record_batch(path, REGATTA, DAY)


def test_a_fault_half_way_leaves_the_old_record_whole(path: Path) -> None:
    trace.record_batch(path, SUPPER, DAY)

    class Faulty(RecordedMaterial):
        def __getattribute__(self, name: str) -> object:
            if name == "lots":
                raise RuntimeError("the power fails")
            return super().__getattribute__(name)

    broken = replace(SUPPER, materials=(Faulty("olive-oil", "OL-9", Decimal(1)),))
    with pytest.raises(RuntimeError):
        trace.record_batch(path, broken, DAY)
    assert standing(path, "LS-2704") == [SUPPER]


def test_a_process_killed_in_the_middle_of_writing_leaves_the_old_record_whole(path: Path) -> None:
    trace.record_batch(path, PLANNED, DAY)
    # Kills itself after the old state is ended and the new one begun, before the commit.
    program = """
        import datetime, os, signal, sys
        from dataclasses import replace
        from pathlib import Path
        from labelkit.plan import trace
        path = Path(sys.argv[1])
        (old,) = (state.record for state in trace.find_states(path, "LS-2704"))

        class Deadly(tuple):
            def __iter__(self):
                if sys._getframe(1).f_code.co_name == "_write_state":
                    os.kill(os.getpid(), signal.SIGKILL)
                return super().__iter__()

        half = replace(old, names="Half written", materials=Deadly(old.materials))
        trace.record_batch(path, half, datetime.date.today())
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program), str(path)], check=False, timeout=600
    )
    assert done.returncode == -signal.SIGKILL
    assert standing(path, "LS-2704") == [PLANNED]


def test_a_record_in_use_is_told_in_one_line(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trace.record_batch(path, SUPPER, DAY)
    monkeypatch.setattr(trace, "_WAIT_S", 0.05)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(InputError, match="locked"):
        trace.record_batch(path, REGATTA, DAY)
    holder.execute("ROLLBACK")
    holder.close()
    trace.record_batch(path, REGATTA, DAY)


def test_lot_codes_after_the_makers_pattern() -> None:
    # 27 April 2027 is the 117th day of the year (31 + 28 + 31 + 27) and in the 17th week (ISO 8601:
    # 26 April 2027 is a Monday, and 4 January is in week 1).
    day = dt.date(2027, 4, 27)
    assert make_lot_code("LS-{yy}{mm}", day, "") == "LS-2704"
    assert make_lot_code("{yyyy}-{day_of_year}", day, "") == "2027-117"
    assert make_lot_code("{yy}w{week}", day, "") == "27w17"
    assert make_lot_code("{recipe}{dd}", day, "Épices, orange & clou") == "EOC27"
    # A date near the year's end belongs to a week of the next year (ISO 8601).
    assert make_lot_code("{week}", dt.date(2025, 12, 29), "") == "01"


@pytest.mark.parametrize(
    ("lot", "code", "adds"),
    [
        # Set apart by a mark, or by a letter after a figure or a figure after a letter: how makers
        # tell the batches of a day apart (common practice, no source).
        ("L261128-B", "L261128", True),
        ("L261128 b", "L261128", True),
        ("L261128/2", "L261128", True),
        ("L261128B", "L261128", True),
        ("L261128-B2/3", "L261128", True),
        ("L261128 – 2", "L261128", True),
        ("GS2", "GS", True),
        ("2027-B", "2027-", True),  # the pattern ends in a mark itself
        # The code itself, nothing added, nothing that can be read as an addition.
        ("L261128", "L261128", False),
        ("L261128-", "L261128", False),
        ("L261128-?", "L261128", False),
        ("L261128, L261129", "L261128", False),  # two lots
        # A figure more may be a slip in the date, a letter more another recipe.
        ("L2611281", "L261128", False),
        ("GSA", "GS", False),
        # Something before it, or another day.
        ("B-L261128", "L261128", False),
        ("L261127-B", "L261128", False),
        ("anything", "", False),
    ],
)
def test_what_is_plainly_added_to_a_lot_code(lot: str, code: str, adds: bool) -> None:
    assert is_addition_to(lot, code) is adds


def test_the_label_is_named_from_the_makers_folder(tmp_path: Path) -> None:
    maker, label = tmp_path / "maker.toml", tmp_path / "supper" / "label.toml"
    assert name_label_for_maker(label, maker) == "supper/label.toml"
    assert name_label_for_maker(tmp_path / "label.toml", tmp_path / "shop" / "maker.toml") == (
        "../label.toml"
    )
