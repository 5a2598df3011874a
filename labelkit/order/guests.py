"""guests.csv: a name for each label."""

from __future__ import annotations

import csv
import re
import unicodedata
from array import array
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import NOTHING, FactList, Number, Said
from labelkit.common.text_match import fold_as_read, list_closest
from labelkit.order.guest_files import UTF_16, read_list_text
from labelkit.order.guest_names import (
    ListNote,
    extract_formula_text,
    is_joined_name,
    is_sum_line,
    names_from_cells,
    note_odd_names,
    repair_mojibake,
    strip_hidden_letters,
    strip_list_marks,
)
from labelkit.order.remembered import remember_reading

WHOLE_COLUMNS = frozenset(
    {
        "guest", "guests", "guest name", "name of guest", "full name", "name", "names",
        "guest list", "list of guests", "liste des invites", "liste d invites", "gasteliste",
        "gastenlijst", "lista de invitados", "lista de convidados", "lista degli invitati",
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
_ACCEPTED = Said(
    '"name" (guest, nom, invité, nombre, invitado, nome, convidado, ospite, naam, gast ...) or two'
    ' headed "first name" and "last name" (prénom, nom; nombre, apellidos; nome, apelido,'
    " sobrenome, cognome; voornaam, achternaam; Vorname, Nachname ...)"
)
DELIMITERS = ",;\t|"
"""What spreadsheets put between columns: the semicolon where the comma is the decimal sign."""
MAX_NAME = 120
MAX_GUESTS, MAX_COLUMNS = 100_000, 1_000
"""Of one list; for a list on one line, guests are its columns."""
MOST_TOLD = 12
"""Entries of a list that are told in one run: more of them are likely another kind of file."""
_TAB_AFTER_MARK = re.compile(r"^(\s*(?:\d{1,6}[.)]|[•‣▪●○■□–—*-]))\t+")
"""What a word processor puts after the number or bullet of a list's entry."""


_WITH_A_TAB = Said(
    'is a name and more, parted by a tab; write a first line that says what each column is, "name"'
    ' and, behind a tab, "table" or the like: only the names are printed'
)


class GuestList(NamedTuple):
    names: tuple[str, ...]
    """In file order."""
    unread: tuple[str, ...] = ()
    """Headings of the columns that are no part of a name."""
    notes: tuple[ListNote, ...] = ()
    """What was taken off, mended or guessed."""
    lines: Sequence[int] = ()
    """The line of the file, counted from 1, on which each name stands."""

    def lines_of(self, names: Iterable[str]) -> Mapping[str, tuple[int, ...]]:
        """The lines on which each of these names stands; none of a name that is not listed."""
        found: dict[str, list[int]] = {name: [] for name in names}
        for line, name in zip(self.lines, self.names, strict=True):
            if name in found:
                found[name].append(line)
        return {name: tuple(lines) for name, lines in found.items()}


@remember_reading
def read_guests(path: Path) -> GuestList:
    """The guests' names in file order.

    One name a line, or a table with a column headed "name" (or the like in another language), its
    columns parted by commas, semicolons or tabs. Where given names and surnames have columns of
    their own they are joined in this order. Rows without a letter or a figure, as spreadsheets
    leave them behind, are passed over. What clings to pasted names is taken off and noted. Raises
    InputError on a file of another kind, an empty one, a missing column, an open quotation mark, an
    absurdly long name, characters that cannot be printed, and on what is no name.
    """
    text, encoding = read_list_text(path)
    rows = _parse_rows(path, text)
    header = [_normalize_heading(repair_mojibake(cell)) for cell in rows[0].cells] if rows else []
    columns = _find_name_columns(header)
    if not rows or (columns and len(rows) == 1):
        raise InputError(
            format_path(path), "", None, Said("holds no names; expected one name a line")
        )
    unread: tuple[str, ...] = ()
    notes: list[ListNote] = []
    if columns:
        others = (n for n, cell in enumerate(header) if cell and n not in columns)
        unread = tuple(" ".join(rows[0].cells[n].split()) for n in others)
        rows = rows[1:]
    elif len(header) == 1:
        columns = (0,)
    elif len(rows) == 1 and (parted := _split_one_line_list(rows[0])):
        notes.append(ListNote("one-line", parted))
        rows = [_Row(rows[0].line, [name], rows[0].delimiter) for name in parted]
        header, columns = header[:1], (0,)
    else:
        raise _make_heading_error(path, rows)
    tidied = _NameTidier()
    found = [_read_name(row, columns, len(header), tidied, path) for row in rows]
    wrong = [entry for entry in found if isinstance(entry, InputError)]
    written = [
        (row, entry) for row, entry in zip(rows, found, strict=True) if isinstance(entry, str)
    ]
    names, marks = strip_list_marks([name for _, name in written])
    named = [(row, name) for (row, _), name in zip(written, names, strict=True)]
    _tell_wrong_entries([*wrong, *_find_bad_names(path, named, rows[-1])])
    notes += [*tidied.notes(), *marks, *_note_couple(names), *note_odd_names(names)]
    if passed := tuple(filter(_is_no_ruling, _list_empty_lines(text))):
        notes.append(ListNote("passed-over", passed))
    if encoding:
        guessed = () if encoding == UTF_16 else [name for name in names if not name.isascii()]
        notes.insert(0, ListNote(encoding, tuple(guessed)))
    lines = array("I", (row.line for row in rows))  # there may be a hundred thousand
    return GuestList(tuple(names), unread, tuple(notes), lines)


def _split_one_line_list(row: _Row) -> tuple[str, ...]:
    """The names where a list is one line of them; none where it may be one name with a comma."""
    cells = [cell for cell in row.cells if cell.strip()]
    label, _, first = cells[0].partition(":")
    labelled = bool(first.strip()) and _normalize_heading(label) in WHOLE_COLUMNS
    if labelled:
        cells[0] = first
    is_names = all(any(letter.isalpha() for letter in cell) for cell in cells)
    several = len(cells) > 1 and (labelled or row.delimiter in ";|")
    joined = row.delimiter == "," and len(names_from_cells(cells)) > len(cells)
    if not is_names or not (len(cells) > 2 or several or joined):
        return ()
    if row.delimiter == ",":
        return names_from_cells(cells)
    return tuple(" ".join(cell.split()) for cell in cells)


def _make_heading_error(path: Path, rows: Sequence[_Row]) -> InputError:
    """The complaint about lines of several cells under no heading."""
    row = rows[0]
    if row.delimiter == "\t":
        return InputError(format_path(path), "", row.text, _WITH_A_TAB, line=row.line)
    expected = Said(
        "expected a column headed {accepted}; where each line is one name, {one_name}",
        accepted=_ACCEPTED,
        one_name=_suggest_one_name(row),
    )
    if len(rows) == 1:
        expected = Said(
            "is it one guest or several? Put each on a line of their own; or {one_name}",
            one_name=_suggest_one_name(row),
        )
    return InputError(format_path(path), "", row.text, expected, line=row.line)


def _suggest_one_name(row: _Row) -> Said:
    """What makes one name of a line that is taken for several cells."""
    if row.delimiter == "|":
        return Said("take out the | and what follows it")
    return Said("put a name with a comma in quotes: {quoted}", quoted=_quote_row(row))


def _note_couple(names: Sequence[str]) -> Iterator[ListNote]:
    """A list that is one name, and that of two."""
    if len(names) == 1 and is_joined_name(names[0]):
        yield ListNote("couple", (names[0],))


def _normalize_heading(cell: str) -> str:
    """A heading without letter case, accents or marks between its words."""
    bare = unicodedata.normalize("NFKD", cell.casefold())
    letters = "".join(c for c in bare if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in letters).split())


def _find_name_columns(header: Sequence[str]) -> tuple[int, ...]:
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


def choose_guests(asked: Iterable[str], names: Sequence[str]) -> tuple[str, ...]:
    """The guests named, as they stand on the list, in the order they were asked for.

    Each text is a name or several parted by commas; letter case, outer blanks and the kind of
    apostrophe are ignored. A name asked for twice is given twice. InputError for one that is not on
    the list.
    """
    known = {fold_as_read(name): name for name in reversed(names)}
    wanted = [part for text in asked for part in _split_asked_names(text, known)]
    for name in wanted:
        if fold_as_read(name) not in known:
            near = list_closest(fold_as_read(name), known, 3)
            told = Said(
                "is not on the guest list; did you mean {meant}?"
                if near
                else "is not on the guest list",
                meant=FactList((known[one] for one in near), "or"),
            )
            raise InputError("--guests", "", name, told)
    return tuple(known[fold_as_read(name)] for name in wanted)


def _split_asked_names(text: str, known: Container[str]) -> list[str]:
    """The names in a text; one that has a comma of its own is taken whole."""
    if fold_as_read(text) in known:
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


def _parse_rows(path: Path, text: str) -> list[_Row]:
    """The rows that say something, split at the delimiter the first line uses most."""
    lines = text.splitlines()
    _check_size(path, lines)
    lines = [_TAB_AFTER_MARK.sub(r"\1 ", line) for line in lines]
    head = next((line for line in lines if _has_content(line)), "")
    delimiter = max(DELIMITERS, key=head.count)
    bare = [line.rstrip(DELIMITERS + " ") for line in lines]
    if delimiter not in head or not any(delimiter in line for line in bare):
        lines = bare  # one name a line, and what a spreadsheet may leave after it
    ended = (f"{line}\n" for line in lines)  # a cell may go over several
    reader = csv.reader(ended, delimiter=delimiter, strict=True, skipinitialspace=True)
    rows: list[_Row] = []
    line = 1
    try:
        for cells in reader:
            rows.append(_Row(line, cells, delimiter))
            line = reader.line_num + 1
    except csv.Error as error:
        raise InputError(
            format_path(path),
            "",
            None,
            Said("is not CSV ({error}); is a quotation mark not closed?", error=error),
        ) from error
    return [row for row in rows if any(map(_has_content, row.cells))]


def _check_size(path: Path, lines: Sequence[str]) -> None:
    """InputError for more guests or columns than any event has, before they are looked at."""
    most = max((max(map(line.count, DELIMITERS)) for line in lines), default=0)
    if most >= MAX_COLUMNS:
        wide = Said(
            "has {count} columns; expected a list of names, one a line", count=Number(most + 1)
        )
        raise InputError(format_path(path), "", None, wide)
    if sum(bool(line.strip(f"{DELIMITERS} ")) for line in lines) > MAX_GUESTS + 1:
        long = Said(
            "holds over {count} guests; make several events of it", count=Number(MAX_GUESTS)
        )
        raise InputError(format_path(path), "", None, long)


def _list_empty_lines(text: str) -> Iterator[str]:
    """The lines without a letter, a figure or a picture."""
    return (line.strip() for line in text.splitlines() if line.strip() and not _has_content(line))


def _is_no_ruling(line: str) -> bool:
    """Whether a line is more than what a spreadsheet or a rule across the list leaves."""
    return any(letter not in DELIMITERS + " \t-–—_=*.\"'" for letter in line)


def _quote_row(row: _Row) -> str:
    return f'"{", ".join(cell.strip() for cell in row.cells[:2])}"'


def _has_content(text: str) -> bool:
    """Whether it has a letter, a figure or a picture (an emoji is Unicode's category So): somebody
    may be meant by it, and a row passed over would be a guest without a label."""
    return any(letter.isalnum() or unicodedata.category(letter) == "So" for letter in text)


class _NameTidier:
    """Makes names of cells, and keeps what it did to them."""

    def __init__(self) -> None:
        self._read: dict[str, dict[str, str]] = {}
        """By kind: what was written, and what it was read as."""
        self._found: dict[str, list[str]] = {}
        """By kind: names that look alike before and after."""

    def name(self, row: _Row, columns: Iterable[int], path: Path) -> str:
        """The name in these columns of a row; InputError for a formula and for none."""
        cells = [row.cells[column] for column in columns if column < len(row.cells)]
        text = " ".join(self._cell(cell, row, path) for cell in cells)
        text = self._noted("decoded", text, repair_mojibake(text))
        shown = strip_hidden_letters(text)
        name = unicodedata.normalize("NFC", " ".join(shown.split()))
        if shown != text:
            self._found.setdefault("hidden", []).append(name)
        if len(shown.strip().splitlines()) > 1:
            self._found.setdefault("lines", []).append(name)
        if not name:
            raise InputError(format_path(path), "", None, Said("has no name"), line=row.line)
        if "\t" in text.strip():
            raise InputError(format_path(path), "", text, _WITH_A_TAB, line=row.line)
        return name

    def _cell(self, cell: str, row: _Row, path: Path) -> str:
        if not cell.lstrip().startswith("="):
            return cell
        text = extract_formula_text(cell)
        if text is None:
            expected = Said(
                "is a formula; paste the list as values, without formulas, and save it again"
            )
            raise InputError(format_path(path), "", cell, expected, line=row.line)
        return self._noted("formula", cell.strip(), text)

    def _noted(self, kind: str, written: str, read: str) -> str:
        if written != read:
            self._read.setdefault(kind, {})[written] = read
        return read

    def notes(self) -> Iterator[ListNote]:
        for kind, read in self._read.items():
            yield ListNote(kind, tuple(read), tuple(read.values()))
        for kind, names in self._found.items():
            yield ListNote(kind, tuple(names))


def _read_name(
    row: _Row, columns: Iterable[int], most_cells: int, tidied: _NameTidier, path: Path
) -> str | InputError:
    """The name of a row, or what keeps it from being read."""
    if len(row.cells) > most_cells:
        message = Said(
            "has {count} fields, the first row {first}; {one_name}",
            count=len(row.cells),
            first=most_cells,
            one_name=_suggest_one_name(row),
        )
        return InputError(format_path(path), "", row.text, message, line=row.line)
    try:
        return tidied.name(row, columns, path)
    except InputError as error:
        return error


def _find_bad_names(
    path: Path, named: Sequence[tuple[_Row, str]], last: _Row
) -> Iterator[InputError]:
    """What is wrong with the entries of a list that are no names or cannot be printed."""
    in_letters = any(letter.isalpha() for _, name in named for letter in name)
    for row, name in named:
        at_end = row is last and len(named) > 1
        if complaint := _describe_bad_name(name, in_letters, at_end):
            yield InputError(format_path(path), "", name, complaint, line=row.line)


def _tell_wrong_entries(wrong: Sequence[InputError]) -> None:
    """Raises what is wrong with the entries of a list, together and in their order."""
    if wrong:
        first, *others = sorted(wrong, key=lambda error: error.line or 0)
        raise replace(first, others=tuple(others[: MOST_TOLD - 1]))


def _describe_bad_name(name: str, in_letters: bool, at_end: bool) -> Said:
    """What is wrong with a name; "" where nothing is."""
    if len(name) > MAX_NAME:
        return Said("expected at most {most} letters", most=MAX_NAME)
    if any(unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} for letter in name):
        return Said("has characters that cannot be printed")
    if "|" in name:
        return Said("what follows the | is no part of a name; take it and the | out")
    if is_sum_line(_normalize_heading(name), at_end):
        return Said("is this a guest? It reads like a count of the list; take the line out")
    if in_letters and not any(letter.isalpha() for letter in name):
        return Said("is this a guest? It has no letter; take the line out, or write the name")
    return NOTHING
