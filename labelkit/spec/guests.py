"""guests.csv: a name for each label."""

from __future__ import annotations

import csv
import unicodedata
from pathlib import Path

from labelkit.errors import InputError, shown_path
from labelkit.spec.reader import read_text

NAME_COLUMNS = frozenset(
    {
        "name", "names", "guest", "guests",
        "nom", "noms", "invité", "invités", "invitée",
        "naam", "namen", "gast", "gasten", "gäste",
        "nimi", "vieras", "namn", "gäst", "nome", "nombre", "imię",
    }
)  # fmt: skip
"""Headings under which the guests' names are looked for, in any letter case."""
DELIMITERS = ",;\t"
"""What spreadsheets put between columns: the semicolon where the comma is the decimal sign."""
MAX_NAME = 120
MAX_BYTES = 20_000_000


def read_guests(path: Path) -> tuple[str, ...]:
    """The guests' names in file order.

    One name a line, or a table with a column headed "name" (or the like in another language),
    its columns parted by commas, semicolons or tabs. Raises InputError on an empty file, a missing
    column, an open quotation mark, an absurdly long name or characters that cannot be printed.
    """
    rows = _rows(path, read_text(path, "a list of guests (CSV)", MAX_BYTES))
    header = [cell.strip().lower() for cell in rows[0]] if rows else []
    named = [number for number, cell in enumerate(header) if cell in NAME_COLUMNS]
    if not rows or (named and len(rows) == 1):
        raise InputError(shown_path(path), "", None, "holds no names; expected one name a line")
    if named:
        column, first = named[0], 1
    elif len(header) == 1:
        column, first = 0, 0
    else:
        raise InputError(
            shown_path(path), "line 1", ", ".join(rows[0]), 'expected a column headed "name"'
        )
    for number, row in enumerate(rows[first:], start=first + 1):
        if len(row) > len(header):
            message = f"has {len(row)} fields, the first row {len(header)}; quote the name"
            raise InputError(shown_path(path), f"row {number}", ", ".join(row), message)
    return tuple(
        _name(row, column, path, number) for number, row in enumerate(rows[first:], start=first + 1)
    )


def _rows(path: Path, text: str) -> list[list[str]]:
    """The rows that are not blank, split at the delimiter the first line uses most."""
    lines = text.splitlines()
    head = next((line for line in lines if line.strip()), "")
    delimiter = max(DELIMITERS, key=head.count)
    try:
        rows = list(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise InputError(
            shown_path(path), "", None, f"is not CSV ({error}); is a quotation mark not closed?"
        ) from error
    return [row for row in rows if any(cell.strip() for cell in row)]


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
