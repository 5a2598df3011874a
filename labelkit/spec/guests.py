"""guests.csv: a name for each label."""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Container, Iterable, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

from labelkit.errors import InputError, shown_path
from labelkit.same_words import as_read
from labelkit.spec.reader import read_text

WHOLE_COLUMNS = frozenset(
    {
        "guest", "guests", "guest name", "name of guest", "full name", "name", "names",
        "nom", "noms", "invite", "invites", "invitee", "invitees", "nom complet", "nom et prenom",
        "prenom et nom",
        "naam", "namen", "gast", "gasten", "volledige naam",
        "gaste", "vollstandiger name", "vor und nachname",
        "nombre", "nombres", "invitado", "invitados", "invitada", "invitadas", "nombre completo",
        "nombre y apellidos", "nombre y apellido",
        "nome", "nomes", "convidado", "convidados", "convidada", "convidadas", "nome completo",
        "nome e apelido", "nome e sobrenome",
        "nomi", "ospite", "ospiti", "invitato", "invitati", "nome e cognome",
        "nimi", "nimet", "vieras", "vieraat", "namn",
    }
)  # fmt: skip
"""Headings under which the guests' names are looked for, without letter case, accents and marks."""
GIVEN_COLUMNS = frozenset(
    {
        "first name", "first names", "first", "given name", "given names", "forename", "forenames",
        "middle name", "prenom", "prenoms", "voornaam", "voornamen", "vorname", "vornamen",
        "nombre de pila", "primeiro nome", "nome proprio", "etunimi", "fornamn", "imie", "imiona",
    }
)  # fmt: skip
SURNAME_COLUMNS = frozenset(
    {
        "surname", "surnames", "last name", "last names", "last", "family name", "nom de famille",
        "achternaam", "familienaam", "nachname", "familienname", "zuname", "apellido", "apellidos",
        "primer apellido", "segundo apellido", "apelido", "apelidos", "sobrenome", "sobrenomes",
        "ultimo nome", "cognome", "cognomi", "sukunimi", "efternamn", "nazwisko",
    }
)  # fmt: skip
SURNAME_BESIDE = {
    "prenom": "nom", "prenoms": "nom", "vorname": "name", "voornaam": "naam", "etunimi": "nimi",
    "fornamn": "namn",
}  # fmt: skip
"""Where the usual word for a name means the surname: beside the word for the given name."""
_ACCEPTED = (
    '"name" (guest, nom, invité, nombre, invitado, nome, convidado, ospite, naam, gast ...) or two'
    ' headed "first name" and "last name" (prénom, nom; nombre, apellidos; nome, apelido,'
    " sobrenome, cognome; voornaam, achternaam; Vorname, Nachname ...)"
)
DELIMITERS = ",;\t"
"""What spreadsheets put between columns: the semicolon where the comma is the decimal sign."""
MAX_NAME = 120
MAX_BYTES = 20_000_000


class GuestList(NamedTuple):
    names: tuple[str, ...]
    """In file order."""
    unread: tuple[str, ...] = ()
    """Headings of the columns that are no part of a name."""


def read_guests(path: Path) -> GuestList:
    """The guests' names in file order.

    One name a line, or a table with a column headed "name" (or the like in another language), its
    columns parted by commas, semicolons or tabs. Where given names and surnames have columns of
    their own they are joined in this order. Rows without a letter or a figure, as spreadsheets
    leave them behind, are passed over. Raises InputError on an empty file, a missing column, an
    open quotation mark, an absurdly long name or characters that cannot be printed.
    """
    rows, columns, unread = _listed(path)
    return GuestList(tuple(_name(row, columns, path) for row in rows), unread)


def guest_lines(path: Path, names: Iterable[str]) -> Mapping[str, tuple[int, ...]]:
    """The lines of a guest list, counted from 1, on which each of these names stands.

    The list is read anew: nothing of it has to be kept for the rare complaint about a name. Names
    are as ``read_guests`` gives them; a name that is not on the list has no line. Raises InputError
    as ``read_guests`` does.
    """
    found: dict[str, list[int]] = {name: [] for name in names}
    rows, columns, _ = _listed(path)
    for row in rows:
        if (name := _name(row, columns, path)) in found:
            found[name].append(row.line)
    return {name: tuple(lines) for name, lines in found.items()}


def _listed(path: Path) -> tuple[list[_Row], tuple[int, ...], tuple[str, ...]]:
    """The rows that hold a name, the columns it stands in, and the headings of the others."""
    rows = _rows(path, read_text(path, "a list of guests (CSV)", MAX_BYTES))
    header = [_heading(cell) for cell in rows[0].cells] if rows else []
    columns = _name_columns(header)
    if not rows or (columns and len(rows) == 1):
        raise InputError(shown_path(path), "", None, "holds no names; expected one name a line")
    unread: tuple[str, ...] = ()
    if columns:
        others = (n for n, cell in enumerate(header) if cell and n not in columns)
        unread = tuple(" ".join(rows[0].cells[n].split()) for n in others)
        rows = rows[1:]
    elif len(header) == 1:
        columns = (0,)
    else:
        raise InputError(
            shown_path(path),
            f"line {rows[0].line}",
            rows[0].text,
            f"expected a column headed {_ACCEPTED}; where each line is one name, put a name with a"
            f" comma in quotes: {_quoted(rows[0])}",
        )
    for row in rows:
        if len(row.cells) > len(header):
            message = f"has {len(row.cells)} fields, the first row {len(header)}; "
            message += f"put a name with a comma in quotes: {_quoted(row)}"
            raise InputError(shown_path(path), f"line {row.line}", row.text, message)
    return rows, columns, unread


def _heading(cell: str) -> str:
    """A heading without letter case, accents or marks between its words."""
    bare = unicodedata.normalize("NFKD", cell.casefold())
    letters = "".join(c for c in bare if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in letters).split())


def _name_columns(header: Sequence[str]) -> tuple[int, ...]:
    """Where the parts of a name stand, in the order they are said; none where no heading is known.

    "Nombre" is a whole name by itself, and a given name beside "Apellidos"; "Nom" is a surname
    beside "Prénom".
    """
    whole, given, surname = (
        [number for number, cell in enumerate(header) if cell in known]
        for known in (WHOLE_COLUMNS, GIVEN_COLUMNS, SURNAME_COLUMNS)
    )
    if given and not surname:
        beside = {SURNAME_BESIDE.get(header[number]) for number in given}
        surname = [number for number in whole if header[number] in beside][:1]
        whole = [] if surname else whole
    if surname:
        return (*(given or whole[:1]), *surname)
    return tuple(whole[:1] or given)


def chosen_guests(asked: Iterable[str], names: Sequence[str]) -> tuple[str, ...]:
    """The guests named, as they stand on the list, in the order they were asked for.

    Each text is a name or several parted by commas; letter case, outer blanks and the kind of
    apostrophe are ignored. A name asked for twice is given twice. InputError for one that is not on
    the list.
    """
    known = {as_read(name): name for name in reversed(names)}
    wanted = [part for text in asked for part in _parted(text, known)]
    for name in wanted:
        if as_read(name) not in known:
            near = get_close_matches(as_read(name), known, n=3)
            listed = " or ".join(known[one] for one in near)
            meant = f"; did you mean {listed}?" if near else ""
            raise InputError("--guests", "", name, f"is not on the guest list{meant}")
    return tuple(known[as_read(name)] for name in wanted)


def _parted(text: str, known: Container[str]) -> list[str]:
    """The names in a text; one that has a comma of its own is taken whole."""
    if as_read(text) in known:
        return [text]
    return [part.strip() for part in text.split(",") if part.strip()] or [text]


class _Row(NamedTuple):
    line: int
    """Of the file, counted from 1."""
    cells: list[str]
    delimiter: str

    @property
    def text(self) -> str:
        """As it stands in the file, but for quotation marks."""
        return self.delimiter.join(self.cells)


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
        rows = [_Row(reader.line_num, cells, delimiter) for cells in reader]
    except csv.Error as error:
        raise InputError(
            shown_path(path), "", None, f"is not CSV ({error}); is a quotation mark not closed?"
        ) from error
    return [row for row in rows if any(map(_says_something, row.cells))]


def _quoted(row: _Row) -> str:
    return f'"{", ".join(cell.strip() for cell in row.cells[:2])}"'


def _says_something(text: str) -> bool:
    return any(letter.isalnum() for letter in text)


def _name(row: _Row, columns: Iterable[int], path: Path) -> str:
    where = f"line {row.line}"
    parts = (row.cells[column] for column in columns if column < len(row.cells))
    name = unicodedata.normalize("NFC", " ".join(" ".join(parts).split()))
    if not name:
        raise InputError(shown_path(path), where, None, "has no name")
    if len(name) > MAX_NAME:
        raise InputError(shown_path(path), where, name, f"expected at most {MAX_NAME} letters")
    if any(unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} for letter in name):
        raise InputError(shown_path(path), where, name, "has characters that cannot be printed")
    return name
