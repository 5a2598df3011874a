"""What clings to guests' names that were pasted from elsewhere, and what the names are without it.

Nothing is taken off unseen: every function says what stood there, for the maker to look at.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

_BULLETS = re.compile(
    r"\A(?:(?:[•‣⁃◦∙▪▫●○■□◆◇❖➢➤►▶✓✔✗☐☑☒·*–—−>-]|\[[ xX]?\])\s*)+(?=[^\W_]|[\"'“‘«(#])"
)
"""Signs that stand before the entries of a list: common practice, no source."""
_NUMBER = re.compile(
    r"(?P<hash>[#№(]\s?)?(?P<number>\d{1,6})(?P<mark>\s?[.)\]:](?!\d)|\s[-–—](?=\s))?(?P<space>\s*[-–—]\s*|\s*)"
)
_FORMULA = re.compile(r'=\s*"((?:[^"]|"")*)"')
_JOINED = re.compile(r"\S\s+(?:&|\+|/|and|et|und|y|e|en|og|och|ja)\s+\S", re.IGNORECASE)
_LAST_OF_SEVERAL = re.compile(
    r"(?:(?P<before>.*\S)\s+)?(?:&|and|et|und|y|e|en|og|och|ja)\s+(?P<last>\S.*)",
    re.IGNORECASE | re.DOTALL,
)
_DECODED_TWICE = {"cp1252": re.compile("[\u0080-ÿ‚-›Œœ-ſˆ˜ƒ€™]{2,}"), "mac_roman": re.compile(
    "√[^\\x00-\\x7f]"
)}  # fmt: skip
"""Character sets that UTF-8 is wrongly read in, and what its letters then look like."""
_SUM = re.compile(
    r"(?:(?:grand|sub|overall|en) )?(?P<word>totals?|total general|totale|totaal|sums?|somme|summe"
    r"|gesamt|insgesamt|suma|soma|somma|summa|yhteensa|count|number|nombre|anzahl|aantal|numero)"
    r"(?: (?:of|d|de|der|van|di) ?)?(?: ?(?:guests?|names?|invites?|noms?|gaste|gasten|invitados|"
    r"convidados|ospiti|vieraat))?(?P<count> \d+)?"
    r"|(?P<counted>\d+) (?:guests?|names?|people|persons?|invites?|personnes?|gaste|gasten|personen"
    r"|invitados|personas|convidados|pessoas|ospiti|persone|vierasta|henkiloa)"
)
_SURE_ALONE = frozenset({"total", "totals", "totale", "totaal", "yhteensa", "gesamt", "insgesamt"})


_ASIDE = re.compile(
    r"\s[+&]\s?\d|\bx\s?\d+\s*\Z|\bplus (?:one|two)\b|[(\[][^)\]]*[)\]]|&#?\w+;|</?[a-z][^>]*>"
    r"|\A\W*(?:tb[acd]|n\s?/\s?a|unknown|inconnu|guest|invitee?|gast|invitad[oa]|convidad[oa])\W*\Z"
    r"|\A(?:to confirm|a confirmer|à confirmer)\W*\Z",
    re.IGNORECASE,
)
"""What is written beside names for the host's own use, or for want of one: common practice, no
source; and what pasting from a page leaves."""
_SURNAME_FIRST = re.compile(r"(?P<surname>[^,]+),\s*(?P<given>[^,]+)")
_AFTER_A_COMMA = re.compile(r"(?:jr|sr|[ivx]+|esq|ph\.?d|m\.?d|junior|senior)\.?", re.IGNORECASE)


class ListNote(NamedTuple):
    """Something about a guest list that its maker should look at."""

    kind: str
    written: tuple[str, ...]
    """As it stands in the file."""
    read: tuple[str, ...] = ()
    """What each was taken for, where that is something else."""


def repair_mojibake(text: str) -> str:
    """A text with letters that were decoded twice ("ZoÃ«") as they were meant ("Zoë")."""
    if text.isascii():
        return text
    for codec, run in _DECODED_TWICE.items():
        text = run.sub(lambda found, codec=codec: _repair_run(found.group(), codec), text)  # type: ignore[misc]
    return text


def _repair_run(run: str, codec: str) -> str:
    if re.search("[^ÂÃ]\xa0", run):  # a blank beside a letter likelier than a letter of two
        return run
    try:
        data = b"".join(_encode_letter(letter, codec) for letter in run)
        meant = data.decode("utf-8")
    except UnicodeError:
        return run
    return meant if all(letter.isprintable() for letter in meant) else run


def _encode_letter(letter: str, codec: str) -> bytes:
    """Codes that a character set leaves open are read as they are (WHATWG Encoding Standard)."""
    return letter.encode("latin-1" if "\x80" <= letter < "\xa0" else codec)


def strip_hidden_letters(text: str) -> str:
    """A text without letters that nobody sees, such as zero-width spaces and soft hyphens.

    Those that join or part letters stay in scripts that need them.
    """
    if text.isascii():
        return text
    joins = any(letter.isalpha() and not _is_latin(letter) for letter in text)
    kept = ("\u200c", "\u200d") if joins else ()
    return "".join(c for c in text if c in kept or unicodedata.category(c) != "Cf")


def _is_latin(letter: str) -> bool:
    return unicodedata.name(letter, "").startswith("LATIN")


def extract_formula_text(cell: str) -> str | None:
    """The text that a spreadsheet's formula such as ``="Ana"`` stands for; None for no such one."""
    found = _FORMULA.fullmatch(cell.strip())
    return found.group(1).replace('""', '"') if found else None


def strip_list_marks(names: Sequence[str]) -> tuple[list[str], list[ListNote]]:
    """The names without the numbers, bullets and dashes of a list, and what was done.

    A bullet is none of a name's own letters. A number may be ("3 Doors"): the list as a whole
    decides. Numbers with a mark after them are taken off where every name has one, or where they
    count from 1; numbers without one where every name has one and they rise. Others stay.
    """
    bare = [_BULLETS.sub("", name) for name in names]
    numbers = [_find_leading_number(name) for name in bare]
    counted = [found.value for found in numbers if found and found.marked]
    in_order = [found.value for found in numbers if found]
    takes_marked = len(counted) == len(names) or counted == [*range(1, len(counted) + 1)]
    takes_all = len(names) == len(in_order) > 1 and in_order == sorted(set(in_order))
    read: list[str] = []
    kept: list[str] = []
    for name, found in zip(bare, numbers, strict=True):
        if found and (takes_all or (takes_marked and found.marked)):
            name = name[found.length :]
        elif found:
            kept.append(name)
        read.append(name)
    changed = [(old, new) for old, new in zip(names, read, strict=True) if old != new]
    notes = [ListNote("marks", *map(tuple, zip(*changed, strict=True)))] if changed else []
    return read, [*notes, *([ListNote("numbers", tuple(kept))] if kept else [])]


def note_odd_names(names: Iterable[str]) -> Iterator[ListNote]:
    """Names that are printed as they stand and may not be meant so."""
    asides: list[str] = []
    turned: dict[str, str] = {}
    for name in names:
        if _ASIDE.search(name):
            asides.append(name)
        found = _SURNAME_FIRST.fullmatch(name)
        if found and not _AFTER_A_COMMA.fullmatch(found["given"]) and not is_joined_name(name):
            turned[name] = f"{found['given']} {found['surname']}"
    if asides:
        yield ListNote("asides", tuple(asides))
    if turned:
        yield ListNote("surname-first", tuple(turned), tuple(turned.values()))


class _LeadingNumber(NamedTuple):
    """The number a name begins with."""

    value: int
    marked: bool
    """Whether a mark parts it from the name, as a list's does."""
    length: int
    """Of all that stands before the name."""


def _find_leading_number(name: str) -> _LeadingNumber | None:
    """The number a name begins with, where more follows that has a letter."""
    found = _NUMBER.match(name)
    if not found or not any(letter.isalpha() for letter in name[found.end() :]):
        return None
    marked = bool(found["mark"] or found["hash"])
    if not marked and not found["space"]:
        return None
    return _LeadingNumber(int(found["number"]), marked, found.end())


def names_from_cells(cells: Iterable[str]) -> tuple[str, ...]:
    """The names of a list on one line, whose last may follow an "and"."""
    *names, last = [text for cell in cells if (text := " ".join(cell.split()))]
    found = _LAST_OF_SEVERAL.fullmatch(last)
    if found:
        return (*names, *([found["before"]] if found["before"] else []), found["last"])
    return (*names, last)


def is_joined_name(name: str) -> bool:
    """Whether a name may be those of several: "Ana & Bo"."""
    return _JOINED.search(name) is not None


def is_sum_line(heading: str, at_end: bool) -> bool:
    """Whether a line, without case and marks, counts the list instead of naming a guest."""
    found = _SUM.fullmatch(heading)
    if not found:
        return False
    return bool(found["count"] or found["counted"]) or (at_end and found["word"] in _SURE_ALONE)
