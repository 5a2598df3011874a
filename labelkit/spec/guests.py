"""guests.csv: a name for each label."""

from __future__ import annotations

import csv
import unicodedata
from pathlib import Path

from labelkit.errors import InputError, shown_path
from labelkit.spec.reader import read_text

NAME_COLUMN = "name"
MAX_NAME = 120
MAX_BYTES = 20_000_000


def read_guests(path: Path) -> tuple[str, ...]:
    """The guests' names in file order.

    One name a line, or a table with a column headed "name". Raises InputError on an empty file, a
    missing column, an absurdly long name or characters that cannot be printed.
    """
    text = read_text(path, "a list of guests (CSV)", MAX_BYTES)
    rows = [row for row in csv.reader(text.splitlines()) if any(cell.strip() for cell in row)]
    if not rows:
        raise InputError(shown_path(path), "", None, "holds no names; expected one name a line")
    header = [cell.strip().lower() for cell in rows[0]]
    if NAME_COLUMN in header:
        column, first = header.index(NAME_COLUMN), 1
    elif len(header) == 1:
        column, first = 0, 0
    else:
        raise InputError(
            shown_path(path), "line 1", ", ".join(rows[0]), 'expected a column headed "name"'
        )
    return tuple(
        _name(row, column, path, number) for number, row in enumerate(rows[first:], start=first + 1)
    )


def _name(row: list[str], column: int, path: Path, number: int) -> str:
    where = f"row {number}"
    if column >= len(row) or not row[column].strip():
        raise InputError(shown_path(path), where, None, "has no name")
    name = unicodedata.normalize("NFC", " ".join(row[column].split()))
    if len(name) > MAX_NAME:
        raise InputError(shown_path(path), where, name, f"expected at most {MAX_NAME} letters")
    if any(unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} for letter in name):
        raise InputError(shown_path(path), where, name, "has characters that cannot be printed")
    return name
