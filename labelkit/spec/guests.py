"""guests.csv: a name for each label."""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Container, Iterable, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

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
    its columns parted by commas, semicolons or tabs. Rows without a letter or a figure, as
    spreadsheets leave them behind, are passed over. Raises InputError on an empty file, a missing
    column, an open quotation mark, an absurdly long name or characters that cannot be printed.
    """
    rows = _rows(path, read_text(path, "a list of guests (CSV)", MAX_BYTES))
    header = [cell.strip().lower() for cell in rows[0].cells] if rows else []
    named = [number for number, cell in enumerate(header) if cell in NAME_COLUMNS]
    if not rows or (named and len(rows) == 1):
        raise InputError(shown_path(path), "", None, "holds no names; expected one name a line")
    if named:
        column, first = named[0], 1
    elif len(header) == 1:
        column, first = 0, 0
    else:
        raise InputError(
            shown_path(path),
            f"line {rows[0].line}",
            ", ".join(rows[0].cells),
            'expected a column headed "name"; where each line is one name, put a name with a comma'
            f" in quotes: {_quoted(rows[0])}",
        )
    for row in rows[first:]:
        if len(row.cells) > len(header):
            message = f"has {len(row.cells)} fields, the first row {len(header)}; "
            message += f"put a name with a comma in quotes: {_quoted(row)}"
            raise InputError(shown_path(path), f"line {row.line}", ", ".join(row.cells), message)
    return tuple(_name(row, column, path) for row in rows[first:])


def chosen_guests(asked: Iterable[str], names: Sequence[str]) -> tuple[str, ...]:
    """The guests named, as they stand on the list, in the order they were asked for.

    Each text is a name or several parted by commas; letter case, outer blanks and the kind of
    apostrophe are ignored. A name asked for twice is given twice. InputError for one that is not on
    the list.
    """
    known = {_alike(name): name for name in reversed(names)}
    wanted = [part for text in asked for part in _parted(text, known)]
    for name in wanted:
        if _alike(name) not in known:
            near = get_close_matches(_alike(name), known, n=3)
            listed = " or ".join(known[one] for one in near)
            meant = f"; did you mean {listed}?" if near else ""
            raise InputError("--guests", "", name, f"is not on the guest list{meant}")
    return tuple(known[_alike(name)] for name in wanted)


def _parted(text: str, known: Container[str]) -> list[str]:
    """The names in a text; one that has a comma of its own is taken whole."""
    if _alike(text) in known:
        return [text]
    return [part.strip() for part in text.split(",") if part.strip()] or [text]


def _alike(name: str) -> str:
    return unicodedata.normalize("NFC", " ".join(name.split())).replace("’", "'").casefold()


class _Row(NamedTuple):
    line: int
    """Of the file, counted from 1."""
    cells: list[str]


def _rows(path: Path, text: str) -> list[_Row]:
    """The rows that say something, split at the delimiter the first line uses most."""
    lines = text.splitlines()
    head = next((line for line in lines if _says_something(line)), "")
    delimiter = max(DELIMITERS, key=head.count)
    bare = [line.rstrip(DELIMITERS + " ") for line in lines]
    if delimiter not in head or not any(delimiter in line for line in bare):
        lines = bare  # one name a line, and what a spreadsheet may leave after it
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    try:
        rows = [_Row(reader.line_num, cells) for cells in reader]
    except csv.Error as error:
        raise InputError(
            shown_path(path), "", None, f"is not CSV ({error}); is a quotation mark not closed?"
        ) from error
    return [row for row in rows if any(map(_says_something, row.cells))]


def _quoted(row: _Row) -> str:
    return f'"{", ".join(cell.strip() for cell in row.cells[:2])}"'


def _says_something(text: str) -> bool:
    return any(letter.isalnum() for letter in text)


def _name(row: _Row, column: int, path: Path) -> str:
    where = f"line {row.line}"
    if column >= len(row.cells) or not row.cells[column].strip():
        raise InputError(shown_path(path), where, None, "has no name")
    name = unicodedata.normalize("NFC", " ".join(row.cells[column].split()))
    if len(name) > MAX_NAME:
        raise InputError(shown_path(path), where, name, f"expected at most {MAX_NAME} letters")
    if any(unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} for letter in name):
        raise InputError(shown_path(path), where, name, "has characters that cannot be printed")
    return name
