"""Which batch went to which event, and which supplier's lots were in it: a file beside the maker's.

The record is one SQLite file. Everything of an event is written in one transaction, so that a
reader finds the old record whole or the new one whole.
"""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path

from labelkit.errors import InputError, shown_path

FILE_NAME = "trace.sqlite"
APPLICATION_ID = 0x6C6B7472
"""Marks the file as labelkit's own ("lktr"), in SQLite's header."""
VERSION = 1
_WAIT_S = 10.0

_SCHEMA = (
    """CREATE TABLE event (
        id INTEGER PRIMARY KEY,
        lot TEXT NOT NULL,
        label TEXT NOT NULL,
        names TEXT NOT NULL,
        date TEXT NOT NULL,
        place TEXT NOT NULL,
        labels INTEGER NOT NULL,
        recipe TEXT NOT NULL,
        poured TEXT NOT NULL,
        UNIQUE (lot, label, date)
    )""",
    """CREATE TABLE material (
        event INTEGER NOT NULL REFERENCES event (id) ON DELETE CASCADE,
        line INTEGER NOT NULL,
        name TEXT NOT NULL,
        lot TEXT NOT NULL,
        grams TEXT NOT NULL,
        PRIMARY KEY (event, line)
    )""",
    "CREATE INDEX material_by_lot ON material (lot COLLATE NOCASE)",
)


@dataclass(frozen=True, slots=True)
class Material:
    name: str
    lot: str
    """The supplier's; empty where it is not known yet."""
    mass_g: Decimal


@dataclass(frozen=True, slots=True)
class Record:
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
    materials: tuple[Material, ...]


def trace_file(maker: Path) -> Path:
    """The record's place, beside the maker's file."""
    return maker.parent / FILE_NAME


def record(path: Path, entry: Record) -> None:
    """Writes an event's batch, in place of what was recorded for the same event and lot.

    Raises InputError when the lot code already names another batch, or the file cannot be used.
    """
    with recording(path, entry):
        pass


@contextmanager
def recording(path: Path, entry: Record) -> Iterator[None]:
    """The same, kept only if the block ends well."""
    with _opened(path, create=True) as database, _transaction(database):
        _check_lot(database, entry)
        database.execute(
            "DELETE FROM event WHERE lot = ? AND label = ? AND date = ?",
            (entry.lot, entry.label, entry.date.isoformat()),
        )
        cursor = database.execute(
            "INSERT INTO event (lot, label, names, date, place, labels, recipe, poured)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                entry.lot, entry.label, entry.names, entry.date.isoformat(), entry.place,
                entry.labels, entry.recipe, entry.poured.isoformat(),
            ),
        )  # fmt: skip
        database.executemany(
            "INSERT INTO material (event, line, name, lot, grams) VALUES (?, ?, ?, ?, ?)",
            [
                (cursor.lastrowid, line, material.name, material.lot, str(material.mass_g))
                for line, material in enumerate(entry.materials)
            ],
        )
        yield


def _check_lot(database: sqlite3.Connection, entry: Record) -> None:
    """One lot code is one batch: another recipe or day of pouring under it breaks the trace."""
    other = database.execute(
        "SELECT recipe, poured, names FROM event WHERE lot = ? COLLATE NOCASE"
        " AND NOT (label = ? AND date = ?) AND (recipe <> ? OR poured <> ?) ORDER BY date LIMIT 1",
        (entry.lot, entry.label, entry.date.isoformat(), entry.recipe, entry.poured.isoformat()),
    ).fetchone()
    if other is not None:
        recipe, poured, names = other
        expected = f"is already the lot of another batch ({recipe}, poured {poured}, for {names})"
        raise InputError(shown_path(entry.label), "product.lot", entry.lot, expected)


def find(path: Path, lot: str) -> tuple[Record, ...]:
    """Every event whose batch used this lot of a material, or is this lot itself, by date.

    Letter case and outer blanks are ignored. InputError when there is no record yet.
    """
    with _opened(path, create=False) as database:
        rows = database.execute(
            "SELECT id, lot, label, names, date, place, labels, recipe, poured FROM event"
            " WHERE ?1 <> '' AND (lot = ?1 COLLATE NOCASE"
            " OR id IN (SELECT event FROM material WHERE lot = ?1 COLLATE NOCASE))"
            " ORDER BY date, lot, label",
            (lot.strip(),),
        ).fetchall()
        return tuple(_record(database, row) for row in rows)


def near(path: Path, lot: str) -> tuple[str, ...]:
    """Recorded lots that look like one that was not found."""
    with _opened(path, create=False) as database:
        rows = database.execute(
            "SELECT lot FROM material WHERE lot <> '' UNION SELECT lot FROM event ORDER BY 1"
        ).fetchall()
    known = {str(row[0]).casefold(): str(row[0]) for row in rows}
    found = get_close_matches(lot.strip().casefold(), sorted(known), n=3, cutoff=0.6)
    return tuple(known[key] for key in found)


def _record(database: sqlite3.Connection, row: Sequence[object]) -> Record:
    number, lot, label, names, date, place, labels, recipe, poured = row
    materials = database.execute(
        "SELECT name, lot, grams FROM material WHERE event = ? ORDER BY line", (number,)
    ).fetchall()
    try:
        return Record(
            lot=str(lot),
            label=str(label),
            names=str(names),
            date=dt.date.fromisoformat(str(date)),
            place=str(place),
            labels=int(str(labels)),
            recipe=str(recipe),
            poured=dt.date.fromisoformat(str(poured)),
            materials=tuple(
                Material(str(name), str(lot), Decimal(str(grams))) for name, lot, grams in materials
            ),
        )
    except (ValueError, ArithmeticError) as error:
        raise sqlite3.DatabaseError("it holds a date or a number that is none") from error


# -- the file --------------------------------------------------------------------------------------


@contextmanager
def _opened(path: Path, create: bool) -> Iterator[sqlite3.Connection]:
    """The record's database, checked to be one; every fault of the file is an InputError."""
    if not create and not path.exists():
        expected = "no such file; `labelkit plan LABEL.toml --record` writes it"
        raise InputError(shown_path(path), "", None, expected)
    # Read-write even to read: after a crash SQLite first has to roll back what was left half done.
    mode = "rwc" if create else "rw"
    try:
        uri = f"{path.absolute().as_uri()}?mode={mode}"
        with closing(
            sqlite3.connect(uri, uri=True, timeout=_WAIT_S, isolation_level=None)
        ) as database:
            database.execute("PRAGMA foreign_keys = ON")
            _check_file(path, database, create)
            yield database
    except (sqlite3.Error, UnicodeDecodeError) as error:
        reason = str(error) or type(error).__name__
        raise InputError(
            shown_path(path), "", None, f"cannot be used as a record: {reason}"
        ) from error


def _check_file(path: Path, database: sqlite3.Connection, create: bool) -> None:
    (application,) = database.execute("PRAGMA application_id").fetchone()
    (version,) = database.execute("PRAGMA user_version").fetchone()
    (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if create and (application, version, tables) == (0, 0, 0):
        with _transaction(database):
            # Another run may have made the tables while this one waited for its turn.
            (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
            if not tables:
                for statement in _SCHEMA:
                    database.execute(statement)
                database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                database.execute(f"PRAGMA user_version = {VERSION}")
        return
    if application != APPLICATION_ID:
        raise InputError(shown_path(path), "", None, "is not labelkit's record; move it away")
    if version != VERSION:
        expected = f"has format {version}; this version reads {VERSION}; update labelkit"
        raise InputError(shown_path(path), "", None, expected)


@contextmanager
def _transaction(database: sqlite3.Connection) -> Iterator[None]:
    database.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        database.execute("ROLLBACK")
        raise
    database.execute("COMMIT")


def label_name(label: Path, maker: Path) -> str:
    """The label's file as the record names it: from the maker's folder, with forward slashes."""
    return Path(os.path.relpath(label.resolve(), maker.resolve().parent)).as_posix()
