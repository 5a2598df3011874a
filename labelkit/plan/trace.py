"""Which batch went to which event, and which supplier's lots were in it: a file beside the maker's.

The record is one SQLite file. Nothing is ever deleted from it: recording an event and lot again
adds a new state and marks the older one as superseded, and what was wrong is marked as withdrawn.
Everything of a state is written in one transaction, so that a reader finds the old record whole or
the new one whole.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.journal import FileRead, Journal, Work, lock_journal, note_work
from labelkit.common.locks import hold_off_signals
from labelkit.common.messages import Day, FactList, Said, count_things
from labelkit.common.quantity import round_grams
from labelkit.common.text_match import fold_as_read, list_closest
from labelkit.common.written import note_written
from labelkit.order.plan import SentPieces
from labelkit.plan.lotcode import LotMatch, match_lots

RECORDING, WITHDRAWING = "plan --record", "trace --withdraw"
PRIVATE = 0o600
"""A new record is readable by its owner alone: it names whose event every batch went to."""
APPLICATION_ID = 0x6C6B7472
"""Marks the file as labelkit's own ("lktr"), in SQLite's header."""
VERSION = 3
OLDEST = 1
"""The first format kept no states and no days of recording, the second one lot of a material and
no pieces. Both are read, and brought up when written. A program that reads up to the second would
miss a material's other lots: it is told to be updated."""
MOST_AMOUNTS = 3
"""More than so many that changed are only counted."""
_WAIT_S = 10.0

_SCHEMA = (
    """CREATE TABLE state (
        id INTEGER PRIMARY KEY,
        entry INTEGER NOT NULL,
        lot TEXT NOT NULL,
        label TEXT NOT NULL,
        names TEXT NOT NULL,
        date TEXT NOT NULL,
        place TEXT NOT NULL,
        labels INTEGER NOT NULL,
        recipe TEXT NOT NULL,
        poured TEXT NOT NULL,
        planned INTEGER NOT NULL,
        recorded TEXT NOT NULL,
        ended TEXT NOT NULL DEFAULT '',
        withdrawn INTEGER NOT NULL DEFAULT 0,
        reason TEXT NOT NULL DEFAULT '',
        net_grams TEXT NOT NULL DEFAULT '',
        order_code TEXT NOT NULL DEFAULT '',
        bars INTEGER NOT NULL DEFAULT 0,
        pieces INTEGER NOT NULL DEFAULT 0,
        piece_grams TEXT NOT NULL DEFAULT ''
    )""",
    """CREATE TABLE used (
        state INTEGER NOT NULL REFERENCES state (id),
        line INTEGER NOT NULL,
        name TEXT NOT NULL,
        grams TEXT NOT NULL,
        PRIMARY KEY (state, line)
    )""",
    """CREATE TABLE used_lot (
        state INTEGER NOT NULL REFERENCES state (id),
        line INTEGER NOT NULL,
        part INTEGER NOT NULL,
        lot TEXT NOT NULL,
        PRIMARY KEY (state, line, part)
    )""",
    """CREATE TABLE sent (
        state INTEGER NOT NULL REFERENCES state (id),
        line INTEGER NOT NULL,
        pieces INTEGER NOT NULL,
        receiver TEXT NOT NULL,
        day TEXT NOT NULL,
        PRIMARY KEY (state, line)
    )""",
    "CREATE INDEX used_by_lot ON used_lot (lot COLLATE NOCASE)",
)
_USED, _USED_LOT = _SCHEMA[1], _SCHEMA[2]
_FROM_FORMAT_1 = (
    *_SCHEMA,
    # The first format kept the day of the plan as the day of pouring: it is taken for planned.
    "INSERT INTO state (id, entry, lot, label, names, date, place, labels, recipe, poured, planned,"
    " recorded) SELECT id, id, lot, label, names, date, place, labels, recipe, poured, 1, ''"
    " FROM event",
    "INSERT INTO used (state, line, name, grams) SELECT event, line, name, grams FROM material",
    "INSERT INTO used_lot (state, line, part, lot)"
    " SELECT event, line, 0, lot FROM material WHERE lot <> ''",
    "DROP TABLE material",
    "DROP TABLE event",
)
_LATER_COLUMNS = ("net_grams", "order_code")
"""Texts that a record of the second format may lack."""
_FROM_FORMAT_2 = (
    "ALTER TABLE state ADD COLUMN bars INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE state ADD COLUMN pieces INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE state ADD COLUMN piece_grams TEXT NOT NULL DEFAULT ''",
    "DROP INDEX IF EXISTS used_by_lot",
    "ALTER TABLE used RENAME TO used_2",
    _USED,
    _USED_LOT,
    "INSERT INTO used (state, line, name, grams) SELECT state, line, name, grams FROM used_2",
    "INSERT INTO used_lot (state, line, part, lot)"
    " SELECT state, line, 0, lot FROM used_2 WHERE lot <> ''",
    "DROP TABLE used_2",
    _SCHEMA[-1],
)
_COLUMNS = (
    "id, entry, lot, label, names, date, place, labels, recipe, poured, planned,"
    " recorded, ended, withdrawn, reason, net_grams, order_code, bars, pieces, piece_grams"
)


@dataclass(frozen=True, slots=True)
class RecordedMaterial:
    name: str
    lots: tuple[str, ...]
    """The supplier's; none where none is known yet."""
    mass_g: Decimal


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """One batch as it went to one event."""

    lot: str
    label: str
    """The label's file, from the maker's folder."""
    names: str
    date: dt.date
    place: str
    labels: int
    """How many labels of each side carry the lot code."""
    recipe: str
    poured: dt.date
    materials: tuple[RecordedMaterial, ...]
    planned: bool = False
    """The day of pouring is the plan's; nobody has said yet that it was poured."""
    sent: tuple[SentPieces, ...] = ()
    """Pieces that went elsewhere than to the event."""
    net_weight_g: Decimal | None = None
    """Of a piece, as its label declares it; None: recorded before it was kept."""
    order_code: str = ""
    """What was planned, as proof and sheets name it; empty: recorded before it was kept."""
    bars: int = 0
    pieces: int = 0
    """Pieces that the batch is to give, before any is lost; 0: recorded before it was kept."""
    piece_g: Decimal | None = None
    """The average a piece is cut to, as poured."""

    @property
    def lots(self) -> tuple[str, ...]:
        """The batch's own lot, then those of its materials."""
        return (self.lot, *(lot for material in self.materials for lot in material.lots))


@dataclass(frozen=True, slots=True)
class RecordedState:
    """What the record said of a batch and its event, and for how long."""

    record: BatchRecord
    recorded: dt.date | None
    """None: of the first format, which kept no day."""
    ended: dt.date | None = None
    """The day it was superseded or withdrawn; None: it stands."""
    withdrawn: bool = False
    reason: str = ""
    """Of the withdrawal, in the maker's words."""
    changes: tuple[str, ...] = ()
    """What the state after it says otherwise."""
    number: int = 0
    """Its row; later states have higher ones."""
    entry: int = 0
    """The row of the first state of the same batch and event."""

    @property
    def stands(self) -> bool:
        return self.ended is None


@dataclass(frozen=True, slots=True)
class RecordingOutcome:
    """What recording did."""

    entry: BatchRecord
    """As it was written."""
    new: bool
    changes: tuple[str, ...] = ()
    """What is different from what stood before."""
    otherwise: bool = False
    """It is confirmed as poured, with other amounts than were planned before."""
    kept_day: bool = False
    """The plan had another day of pouring than the one confirmed before, which stays."""
    beside: tuple[BatchRecord, ...] = ()
    """What else stands for the same label's file, under other lots or for other events."""


# -- writing ---------------------------------------------------------------------------------------


def record_batch(
    path: Path, entry: BatchRecord, on: dt.date, inputs: tuple[FileRead, ...] = ()
) -> RecordingOutcome:
    """Records an event's batch on a day; the same event and lot again corrects what stands.

    It is the same event when the label's file is, and the names or the date are. A day of pouring
    that was confirmed stays until another is confirmed, and its amounts stay. The journal is told
    of it, and of the files it was made from. Raises InputError when the lot code already names
    another batch, or the file cannot be used.
    """
    with stage_record(path, entry, on, inputs) as outcome:
        return outcome


@contextmanager
def stage_record(
    path: Path, entry: BatchRecord, on: dt.date, inputs: tuple[FileRead, ...] = ()
) -> Iterator[RecordingOutcome]:
    """The same, kept only if the block ends well."""
    with lock_journal(Journal(path.parent), RECORDING):
        with (
            _drop_if_empty(path),
            _open_database(path, "rwc") as database,
            _run_in_transaction(path, database),
        ):
            outcome = _record_in_database(path, database, entry, on)
            yield outcome
        entry = outcome.entry
        if outcome.new or outcome.changes:
            recorded = {"lot": entry.lot, "label": entry.label, "names": entry.names}
            details = {"recorded": recorded}
            note_work(Work(RECORDING, path.parent, inputs, entry.order_code, details))


def _record_in_database(
    path: Path, database: sqlite3.Connection, entry: BatchRecord, on: dt.date
) -> RecordingOutcome:
    _prepare_tables(path, database)
    standing = _read_states(database, "ended = ''")
    former = _find_former_state(standing, entry)
    others = [state.record for state in standing if state is not former]
    entry, kept_day = _keep_pour(entry, former)
    _check_lot_unique(entry, others)
    changes = list_differences(former.record, entry) if former else ()
    if changes or former is None:
        _write_state(database, entry, on, former)
    beside = tuple(other for other in others if other.label == entry.label)
    otherwise = former is not None and _has_other_pour(entry, former.record)
    return RecordingOutcome(entry, former is None, changes, otherwise, kept_day, beside)


def withdraw_batch(path: Path, lot: str, event: str, on: dt.date, reason: str = "") -> BatchRecord:
    """Marks what stands of a batch (its own lot code) as wrong; it stays readable, with the day.

    ``event`` (the names, the date, the label's file, or empty) tells the batch's events apart.
    Raises InputError where nothing or more than one is meant, or the file cannot be used.
    """
    _check_record_exists(path)
    with lock_journal(Journal(path.parent), WITHDRAWING):
        with _open_database(path, "rw") as database, _run_in_transaction(path, database):
            entry = _withdraw_in_database(path, database, lot, event, (on, reason))
        withdrawn = {"lot": entry.lot, "label": entry.label, "names": entry.names}
        note_work(Work(WITHDRAWING, path.parent, details={"withdrawn": withdrawn}))
    return entry


def _withdraw_in_database(
    path: Path, database: sqlite3.Connection, lot: str, event: str, why: tuple[dt.date, str]
) -> BatchRecord:
    _prepare_tables(path, database)
    standing = _read_states(database, "ended = '' AND lot = ? COLLATE NOCASE", lot.strip())
    meant = [state for state in standing if _is_for_event(state.record, event)]
    if not meant:
        expected = Said("stands recorded as no batch's lot; `labelkit trace --list` shows them")
        raise InputError(format_path(path), "", lot.strip(), expected)
    if len(meant) > 1:
        events = ", ".join(f"{state.record.date} {state.record.names}" for state in meant)
        expected = Said(
            "stands recorded for several events ({events}); say which with --event",
            events=events,
        )
        raise InputError(format_path(path), "", lot.strip(), expected)
    on, reason = why
    database.execute(
        "UPDATE state SET ended = ?, withdrawn = 1, reason = ? WHERE id = ?",
        (on.isoformat(), reason, meant[0].number),
    )
    return meant[0].record


def _is_for_event(entry: BatchRecord, event: str) -> bool:
    known = {fold_as_read(entry.names), entry.date.isoformat(), fold_as_read(entry.label)}
    return not event or fold_as_read(event) in known


def _find_former_state(
    standing: Iterable[RecordedState], entry: BatchRecord
) -> RecordedState | None:
    """What stands of the same batch and event: its date may have moved, or its names be mended."""

    def likeness(state: RecordedState) -> int:
        old = state.record
        if old.label != entry.label or old.lot.casefold() != entry.lot.casefold():
            return 0
        return 2 * (old.names == entry.names) + (old.date == entry.date)

    best = max(standing, key=likeness, default=None)
    return best if best is not None and likeness(best) else None


def _keep_pour(entry: BatchRecord, former: RecordedState | None) -> tuple[BatchRecord, bool]:
    """A pour that was confirmed stays: no plan takes the place of its day or of its amounts.

    Another day may be confirmed, and lots may be corrected.
    """
    if former is None or former.record.planned:
        return entry, False
    poured = former.record
    known = index_materials(poured.materials)
    materials = tuple(
        replace(material, mass_g=known[key].mass_g) if key in known else material
        for key, material in index_materials(entry.materials).items()
    )
    kept = replace(
        entry,
        materials=materials,
        bars=poured.bars,
        pieces=poured.pieces,
        piece_g=poured.piece_g,
    )
    if not entry.planned:
        return kept, False
    return replace(kept, poured=poured.poured, planned=False), poured.poured != entry.poured


def _has_other_pour(entry: BatchRecord, plan: BatchRecord) -> bool:
    before, now = (
        {key: material.mass_g for key, material in index_materials(one.materials).items()}
        for one in (plan, entry)
    )
    return plan.planned and not entry.planned and before != now


def _check_lot_unique(entry: BatchRecord, others: Iterable[BatchRecord]) -> None:
    """One lot code is one batch: another recipe or day of pouring under it breaks the trace.

    A day that is confirmed settles one that was only planned.
    """
    for other in others:
        if other.lot.casefold() != entry.lot.casefold():
            continue
        settled = other.planned and not entry.planned
        if other.recipe == entry.recipe and (other.poured == entry.poured or settled):
            continue
        way_out = "give this one another, or take that back: labelkit trace {lot} --withdraw"
        if entry.planned and other.recipe == entry.recipe:
            way_out = "add --poured {day} if it is the same batch, or give this one another"
            if other.planned:
                way_out = (
                    "write poured_on = {day} in [plan] if it is the same batch, or give this one"
                    " another"
                )
        expected = Said(
            "is already the lot of another batch ({recipe}, {pouring}, for {names}); {way_out}",
            recipe=other.recipe,
            pouring=describe_pouring(other),
            names=other.names,
            way_out=Said(way_out, lot=other.lot, day=other.poured),
        )
        raise InputError(format_path(entry.label), "product.lot", entry.lot, expected)


def _write_state(
    database: sqlite3.Connection, entry: BatchRecord, on: dt.date, former: RecordedState | None
) -> None:
    """A new state, and the end of the one before it."""
    (last,) = database.execute("SELECT coalesce(max(id), 0) FROM state").fetchone()
    number = last + 1
    if former is not None:
        ended = (on.isoformat(), former.number)
        database.execute("UPDATE state SET ended = ? WHERE id = ?", ended)
    database.execute(
        "INSERT INTO state (id, entry, lot, label, names, date, place, labels, recipe, poured,"
        " planned, recorded, net_grams, order_code, bars, pieces, piece_grams)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            number, former.entry if former else number, entry.lot, entry.label, entry.names,
            entry.date.isoformat(), entry.place, entry.labels, entry.recipe,
            entry.poured.isoformat(), entry.planned, on.isoformat(),
            _format_stored_mass(entry.net_weight_g), entry.order_code, entry.bars, entry.pieces,
            _format_stored_mass(entry.piece_g),
        ),
    )  # fmt: skip
    database.executemany(
        "INSERT INTO used (state, line, name, grams) VALUES (?, ?, ?, ?)",
        [
            (number, line, material.name, str(material.mass_g))
            for line, material in enumerate(entry.materials)
        ],
    )
    database.executemany(
        "INSERT INTO used_lot (state, line, part, lot) VALUES (?, ?, ?, ?)",
        [
            (number, line, part, lot)
            for line, material in enumerate(entry.materials)
            for part, lot in enumerate(material.lots)
        ],
    )
    database.executemany(
        "INSERT INTO sent (state, line, pieces, receiver, day) VALUES (?, ?, ?, ?, ?)",
        [
            (number, line, sent.pieces, sent.to, sent.on.isoformat() if sent.on else "")
            for line, sent in enumerate(entry.sent)
        ],
    )


def _format_stored_mass(mass_g: Decimal | None) -> str:
    return "" if mass_g is None else f"{mass_g:f}"


_NONE = Said("none")


# -- what is different -----------------------------------------------------------------------------


def describe_pouring(entry: BatchRecord) -> Said:
    return (
        Said("planned to be poured {day}", day=Day(entry.poured))
        if entry.planned
        else Said("poured {day}", day=Day(entry.poured))
    )


def list_differences(old: BatchRecord, new: BatchRecord) -> tuple[Said, ...]:
    """What a record says otherwise than an older one of the same batch, each in a few words."""
    return tuple(_find_differences(old, new))


_WHAT = {
    "names": "names {now} (was {before})",
    "date": "date {now} (was {before})",
    "place": "place {now} (was {before})",
    "labels": "labels {now} (was {before})",
    "recipe": "recipe {now} (was {before})",
    "pieces": "pieces {now} (was {before})",
    "order_code": "order {now} (was {before})",
}
"""What of a batch's record can be corrected, and how that is told."""


def _find_differences(old: BatchRecord, new: BatchRecord) -> Iterator[Said]:
    if describe_pouring(old) != describe_pouring(new):
        yield Said("{now} (was {before})", now=describe_pouring(new), before=describe_pouring(old))
    for what, template in _WHAT.items():
        before, now = getattr(old, what), getattr(new, what)
        if before != now:
            yield Said(template, now=now or _NONE, before=before or _NONE)
    if old.net_weight_g != new.net_weight_g:
        yield Said(
            "net weight {now} (was {before})",
            now=_format_grams(new.net_weight_g),
            before=_format_grams(old.net_weight_g),
        )
    yield from _find_material_differences(old.materials, new.materials)
    for sent in new.sent:
        if sent not in old.sent:
            yield describe_sent(sent)
    for sent in old.sent:
        if sent not in new.sent:
            yield Said("no longer {sent}", sent=describe_sent(sent))


def _format_grams(mass_g: Decimal | None) -> Said:
    return _NONE if mass_g is None else Said("{n} g", n=round_grams(mass_g))


def _find_material_differences(
    old: Sequence[RecordedMaterial], new: Sequence[RecordedMaterial]
) -> Iterator[Said]:
    before, now = index_materials(old), index_materials(new)
    amounts = [
        Said(
            "{name} {now} g (was {before} g)",
            name=key[0],
            now=round_grams(mass_g),
            before=round_grams(before[key].mass_g),
        )
        for key, mass_g in ((key, material.mass_g) for key, material in now.items())
        if key in before and before[key].mass_g != mass_g
    ]
    for key, material in now.items():
        if key not in before:
            lots = FactList(material.lots)
            told = "{name} added, lot {lots}" if lots else "{name} added"
            yield Said(told, name=material.name, lots=lots)
        elif before[key].lots != material.lots:
            yield Said(
                "{name} lot {now} (was {before})",
                name=key[0],
                now=FactList(material.lots) or _NONE,
                before=FactList(before[key].lots) or _NONE,
            )
    for key, material in before.items():
        if key not in now:
            lots = FactList(material.lots)
            told = "{name} left out, lot {lots}" if lots else "{name} left out"
            yield Said(told, name=material.name, lots=lots)
    if len(amounts) <= MOST_AMOUNTS:
        yield from amounts
    else:
        yield Said("amounts of {count} materials", count=len(amounts))


def index_materials(
    materials: Iterable[RecordedMaterial],
) -> dict[tuple[str, int], RecordedMaterial]:
    """Materials by name, and by how often the name stood before."""
    found: dict[tuple[str, int], RecordedMaterial] = {}
    for material in materials:
        times = sum(1 for name, _ in found if name == material.name)
        found[material.name, times] = material
    return found


def describe_sent(sent: SentPieces) -> Said:
    if sent.on is None:
        return count_things(sent.pieces, "{n} piece to {to}", "{n} pieces to {to}", to=sent.to)
    return count_things(
        sent.pieces,
        "{n} piece to {to} on {day}",
        "{n} pieces to {to} on {day}",
        to=sent.to,
        day=Day(sent.on),
    )


# -- reading ---------------------------------------------------------------------------------------


def find_states(path: Path, lot: str) -> tuple[RecordedState, ...]:
    """Every state in which a batch had this lot of a material, or this lot itself, or one near it.

    Those that stand come first, each part by the event's date; ``match_lot_in_record`` tells
    how well each fits. InputError when there is no record yet.
    """
    with _open_for_reading(path) as database:
        return tuple(
            state for state in _read_all_states(database) if match_lot_in_record(state.record, lot)
        )


def match_lot_in_record(entry: BatchRecord, lot: str) -> LotMatch | None:
    """How well a lot fits the batch's own or one of its materials'; None where it fits none."""
    found = {match_lots(one, lot) for one in entry.lots}
    return next((match for match in (LotMatch.EXACT, LotMatch.NEAR) if match in found), None)


def list_last_states(path: Path) -> tuple[RecordedState, ...]:
    """The last state of every batch and event, in the same order."""
    with _open_for_reading(path) as database:
        states = _read_all_states(database)
    last = {
        entry: max(state.number for state in states if state.entry == entry)
        for entry in {state.entry for state in states}
    }
    return tuple(state for state in states if state.number == last[state.entry])


def list_all_states(path: Path) -> tuple[RecordedState, ...]:
    """Every state of every batch and event."""
    with _open_for_reading(path) as database:
        return tuple(_read_all_states(database))


def list_standing_states(path: Path, label: str = "") -> tuple[RecordedState, ...]:
    """What stands recorded for a label's file, as ``name_label_for_maker`` names it, or for all."""
    if not has_record(path):
        return ()
    with _open_for_reading(path) as database:
        if not label:
            return tuple(_read_states(database, "ended = ''"))
        return tuple(_read_states(database, "ended = '' AND label = ?", label))


def list_near_lots(path: Path, lot: str) -> tuple[str, ...]:
    """Recorded lots that look like one that was not found."""
    with _open_for_reading(path) as database:
        rows = database.execute(
            "SELECT lot FROM used_lot UNION SELECT lot FROM state ORDER BY 1"
        ).fetchall()
    known = {str(row[0]).casefold(): str(row[0]) for row in rows}
    return tuple(known[key] for key in list_closest(lot.strip().casefold(), known, 3))


def _read_all_states(database: sqlite3.Connection) -> list[RecordedState]:
    """Every state, each with what the next of its entry says otherwise."""
    states = _read_states(database, "1")
    after = {old.number: new for old, new in pairwise(states) if old.entry == new.entry}
    told = [
        replace(state, changes=list_differences(state.record, after[state.number].record))
        if state.number in after
        else state
        for state in states
    ]
    return sorted(told, key=_state_rank)


def _state_rank(state: RecordedState) -> tuple[bool, dt.date, str, str, int]:
    entry = state.record
    return (not state.stands, entry.date, entry.lot, entry.label, state.number)


def _read_states(database: sqlite3.Connection, where: str, *values: str) -> list[RecordedState]:
    """The states of a condition, those of one entry in a row."""
    rows = database.execute(
        f"SELECT {_COLUMNS} FROM state WHERE {where} ORDER BY entry, id", values
    ).fetchall()
    try:
        return [_parse_state(database, row) for row in rows]
    except (ValueError, ArithmeticError) as error:
        raise sqlite3.DatabaseError(Said("it holds a date or a number that is none")) from error


def _parse_state(database: sqlite3.Connection, row: Sequence[object]) -> RecordedState:
    number, entry, lot, label, names, date, place, labels, recipe, poured = row[:10]
    planned, recorded, ended, withdrawn, reason, net_grams, order_code, *amounts = row[10:]
    bars, pieces, piece_grams = amounts
    materials = database.execute(
        "SELECT line, name, grams FROM used WHERE state = ? ORDER BY line", (number,)
    ).fetchall()
    lots = database.execute(
        "SELECT line, lot FROM used_lot WHERE state = ? ORDER BY line, part", (number,)
    ).fetchall()
    sent = database.execute(
        "SELECT pieces, receiver, day FROM sent WHERE state = ? ORDER BY line", (number,)
    ).fetchall()
    return RecordedState(
        record=BatchRecord(
            lot=str(lot),
            label=str(label),
            names=str(names),
            date=dt.date.fromisoformat(str(date)),
            place=str(place),
            labels=int(str(labels)),
            recipe=str(recipe),
            poured=dt.date.fromisoformat(str(poured)),
            materials=tuple(
                RecordedMaterial(
                    str(name),
                    tuple(str(one) for at, one in lots if at == line),
                    Decimal(str(grams)),
                )
                for line, name, grams in materials
            ),
            planned=bool(planned),
            sent=tuple(
                SentPieces(int(pieces), str(to), _parse_day(day)) for pieces, to, day in sent
            ),
            net_weight_g=_parse_mass(net_grams),
            order_code=str(order_code),
            bars=int(str(bars)),
            pieces=int(str(pieces)),
            piece_g=_parse_mass(piece_grams),
        ),
        recorded=_parse_day(recorded),
        ended=_parse_day(ended),
        withdrawn=bool(withdrawn),
        reason=str(reason),
        number=int(str(number)),
        entry=int(str(entry)),
    )


def _parse_day(value: object) -> dt.date | None:
    return dt.date.fromisoformat(str(value)) if value else None


def _parse_mass(value: object) -> Decimal | None:
    return Decimal(str(value)) if value else None


# -- the file --------------------------------------------------------------------------------------


@contextmanager
def _open_for_reading(path: Path) -> Iterator[sqlite3.Connection]:
    """The record as it is now in this version's format; the file itself is left as it is."""
    _check_record_exists(path)
    # Read-write even to read: after a crash SQLite first has to roll back what was left half done.
    with _open_database(path, "rw") as database:
        version = _read_version(path, database)
        if version == VERSION:
            yield database
            return
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
            database.backup(copy)
            _upgrade_tables(copy, version)
            yield copy


def has_record(path: Path) -> bool:
    """Whether anything was ever recorded there; InputError where that cannot be read."""
    return path.exists() and not _is_begun_only(path)


def _check_record_exists(path: Path) -> None:
    if not has_record(path):
        expected = Said("no such file; `labelkit plan LABEL.toml --record` writes it")
        raise InputError(format_path(path), "", None, expected)


@contextmanager
def _open_database(path: Path, mode: str) -> Iterator[sqlite3.Connection]:
    """The record's database; every fault of the file is an InputError."""
    try:
        uri = f"{path.absolute().as_uri()}?mode={mode}"
        with closing(
            sqlite3.connect(uri, uri=True, timeout=_WAIT_S, isolation_level=None)
        ) as database:
            yield database
    except (sqlite3.Error, UnicodeDecodeError) as error:
        reason = Said(str(error) or type(error).__name__)
        raise InputError(
            format_path(path), "", None, Said("cannot be used as a record: {reason}", reason=reason)
        ) from error


def _prepare_tables(path: Path, database: sqlite3.Connection) -> None:
    """Makes the tables of a new record, and brings up those of an older one."""
    if _is_new_record(database):
        with suppress(OSError):
            path.chmod(PRIVATE)
        for statement in _SCHEMA:
            database.execute(statement)
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute(f"PRAGMA user_version = {VERSION}")
    else:
        _upgrade_tables(database, _read_version(path, database))


def _is_new_record(database: sqlite3.Connection) -> bool:
    (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
    (application,) = database.execute("PRAGMA application_id").fetchone()
    return (tables, application) == (0, 0)


def _is_begun_only(path: Path) -> bool:
    """Whether another run is about to write the first batch, or was killed when it was."""
    with _open_database(path, "rw") as database:
        return _is_new_record(database)


def _upgrade_tables(database: sqlite3.Connection, version: int) -> None:
    """Whatever stands in an older record, in the tables of this version's format."""
    if version == VERSION:
        return
    if version == OLDEST:
        statements: tuple[str, ...] = _FROM_FORMAT_1
    else:
        added = (
            f"ALTER TABLE state ADD COLUMN {name} TEXT NOT NULL DEFAULT ''"
            for name in _list_lacking_columns(database)
        )
        statements = (*added, *_FROM_FORMAT_2)
    for statement in statements:
        database.execute(statement)
    database.execute(f"PRAGMA user_version = {VERSION}")


def _list_lacking_columns(database: sqlite3.Connection) -> list[str]:
    """The columns added to the second format that a record of it does not have."""
    there = {name for _, name, *_ in database.execute("PRAGMA table_info(state)").fetchall()}
    return [column for column in _LATER_COLUMNS if column not in there]


def _read_version(path: Path, database: sqlite3.Connection) -> int:
    """The format of a record that this version can read; InputError otherwise."""
    (application,) = database.execute("PRAGMA application_id").fetchone()
    (version,) = database.execute("PRAGMA user_version").fetchone()
    if application != APPLICATION_ID:
        raise InputError(
            format_path(path), "", None, Said("is not labelkit's record; move it away")
        )
    if not OLDEST <= version <= VERSION:
        expected = Said(
            "has format {version}; this version reads up to {known}; update labelkit",
            version=version,
            known=VERSION,
        )
        raise InputError(format_path(path), "", None, expected)
    return int(version)


@contextmanager
def _drop_if_empty(path: Path) -> Iterator[None]:
    """Removes the file of a new record in which nothing was written after all.

    To be used under the lock of the workshop: another run may be about to write in it.
    """
    new = not path.exists()
    try:
        yield
    except BaseException:
        with suppress(OSError):
            if new and path.stat().st_size == 0:
                path.unlink()
        raise


@contextmanager
def _run_in_transaction(path: Path, database: sqlite3.Connection) -> Iterator[None]:
    database.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        database.execute("ROLLBACK")
        raise
    with hold_off_signals():
        database.execute("COMMIT")
        note_written([path])
