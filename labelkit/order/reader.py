"""Reads one TOML table value by value; every complaint names file, key, value and what is right."""

from __future__ import annotations

import codecs
import datetime as dt
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NoReturn, TypeVar

from labelkit.common import quantity
from labelkit.common.days import suggest_day
from labelkit.common.errors import AsTyped, InputError, format_path
from labelkit.common.scales import DIVISION, read_scale
from labelkit.order.blanks import BLANK, drop_blanks, has_blank, list_blanks, refuse_blanks
from labelkit.order.fields import (
    describe_home_of_key,
    describe_near_key,
    find_usual_word,
    is_known_key,
)
from labelkit.order.laid_over import find_text_over, is_file_there
from labelkit.order.mistakes import (
    MistakeUsed,
    collect_mistakes,
    collecting_mistakes,
    has_noted_mistakes,
    is_collecting_mistakes,
    note_file_text,
)
from labelkit.order.toml_mistakes import find_toml_mistake

T = TypeVar("T")

Words = dict[str, str]
"""Text per language; the key "" holds for every language."""

FORMAT = 1
"""The format number every file carries as ``labelkit = 1``."""

MAX_FILE_BYTES = 1_000_000
"""A spec is a page of text; anything larger is the wrong file."""

REQUIRED: Any = object()

MAX_CHARACTERS = 2_000
"""Of one text: more than a label holds in the smallest type."""

FIRST_YEAR, LAST_YEAR = 1900, 2999
"""Far enough round today for any event, and from the ends of the calendar to count days."""

ONE_SLIP = 0.85
"""Two keys so much alike are the same with a slip of the finger (labelkit's own judgement)."""

MOST_DOTS = 64
"""On a line outside quotes: in dotted keys and decimal numbers."""
_QUOTED = re.compile(
    r'"""(?s:.*?)"""' r"|'''(?s:.*?)'''" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'|#[^\n]*"
)

_LANGUAGE_TAG_MAX = 12
SAVED_AS_TABLE = (
    'in your spreadsheet save it as the file type "CSV UTF-8", or as CSV with the character set'
    ' "Unicode (UTF-8)"'
)
"""How programs for tables call it (common practice, no source)."""


def read_bytes(path: Path, what: str = "a TOML file", limit: int = MAX_FILE_BYTES) -> bytes:
    """The bytes of a file or of what is laid over it, or InputError when it is missing, unreadable
    or far too large."""
    data = find_text_over(path)
    if data is None:
        data = _read_file(path, what, limit)
    if len(data) > limit:
        raise InputError(format_path(path), "", None, f"is over {limit:,} bytes; expected {what}")
    return data


def _read_file(path: Path, what: str, limit: int) -> bytes:
    """The bytes of a file, and one byte over the limit where it has more."""
    try:
        if path.is_dir():
            raise InputError(
                format_path(path), "", None, f"is a folder; {_suggest_file_within(path, what)}"
            )
        if not path.exists():
            raise InputError(format_path(path), "", None, f"no such file; expected {what}")
        if not path.is_file():
            raise InputError(format_path(path), "", None, f"is not a plain file; expected {what}")
        with path.open("rb") as stream:
            return stream.read(limit + 1)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(format_path(path), "", None, f"cannot be read: {reason}") from error


def _suggest_file_within(folder: Path, what: str) -> str:
    """What is expected in place of a folder: the file of the usual name, where it holds one."""
    usual = re.search(r"\((\w+\.toml)\)$", what)
    own = folder / usual.group(1) if usual else folder
    return f"did you mean {format_path(own)}?" if own.is_file() else f"expected {what}"


_DOCUMENT = "is a document of a word processor; save it as plain text in UTF-8"
_NO_PLAIN_TEXT = (
    (codecs.BOM_UTF16_LE, "is not UTF-8 text, but UTF-16; save the file as UTF-8"),
    (codecs.BOM_UTF16_BE, "is not UTF-8 text, but UTF-16; save the file as UTF-8"),
    (b"PK\x03\x04", _DOCUMENT),
    (b"\xd0\xcf\x11\xe0", _DOCUMENT),
    (b"{\\rtf", _DOCUMENT),
)
"""What files begin with that an editor of plain text did not write (their published formats, from
memory), and what to do."""


def read_text(path: Path, what: str, limit: int = MAX_FILE_BYTES) -> str:
    """The text of a UTF-8 file (a byte order mark is allowed), or InputError."""
    data = read_bytes(path, what, limit)
    for sign, meant in _NO_PLAIN_TEXT:
        if data.startswith(sign):
            raise InputError(format_path(path), "", None, meant)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        how = SAVED_AS_TABLE if "(CSV)" in what else "save the file as UTF-8"
        expected = f"is not UTF-8 text; {how}"
        raise InputError(format_path(path), f"line {line}", None, expected) from error


def read_toml(path: Path, what: str, limit: int = MAX_FILE_BYTES) -> Table:
    """The top table of a TOML file in labelkit's format; InputError otherwise, or for what is
    still to be filled in."""
    text, data = _parse_toml_file(path, what, limit)
    if BLANK in text:
        collect_mistakes(refuse_blanks, list_blanks(format_path(path), text, data))
    return _make_top_table(path, data)


def read_unfilled_toml(path: Path, what: str) -> Table:
    """The same of a file that may have blanks: as if their keys did not stand in it."""
    if (
        is_collecting_mistakes()
    ):  # blanks are mistakes like others, and are passed over as those are
        return read_toml(path, what)
    return _make_top_table(path, drop_blanks(_parse_toml_file(path, what)[1]))


def check_filled_in(paths: Iterable[Path]) -> None:
    """InputError with every blank of some files; what else is wrong with one, its reader tells."""
    blanks: list[InputError] = []
    for path in paths:
        with suppress(InputError):
            if BLANK in read_text(path, "a TOML file"):
                blanks += list_blanks(format_path(path), *_parse_toml_file(path, "a TOML file"))
    refuse_blanks(blanks)


def _parse_toml_file(
    path: Path, what: str, limit: int = MAX_FILE_BYTES
) -> tuple[str, dict[str, Any]]:
    """The text of a TOML file, and what it says."""
    text = read_text(path, what, limit)
    note_file_text(path, text)
    _check_dotted_keys(path, text)
    try:
        return text, tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise _make_toml_error(path, text, error) from error


def _make_top_table(path: Path, data: dict[str, Any]) -> Table:
    table = Table(path, "", data)
    number = table.integer("labelkit", FORMAT, least=1)
    if number != FORMAT:
        table.wrong("labelkit", number, f"this version reads format {FORMAT}; update labelkit")
    return table


def _make_toml_error(path: Path, text: str, error: ValueError | RecursionError) -> InputError:
    """The complaint for a file that is no TOML: what the line should be, or the parser's words."""
    # Python reads no integer of thousands of digits and says so with a plain ValueError.
    reason = " ".join(str(error).split()) or "nested too deeply"
    slip = find_toml_mistake(text, reason) if isinstance(error, tomllib.TOMLDecodeError) else None
    if slip is None:
        return InputError(format_path(path), "", None, f"is not TOML: {reason}")
    where = f"line {slip.line}: {slip.key}" if slip.key else f"line {slip.line}"
    return InputError(format_path(path), where, AsTyped(slip.found) or None, slip.cure)


def _check_dotted_keys(path: Path, text: str) -> None:
    """Refuses dotted keys of very many parts, which the parser would unfold into gigabytes."""
    for number, line in enumerate(_QUOTED.sub('""', text).split("\n"), start=1):
        if line.count(".") > MOST_DOTS:
            raise InputError(format_path(path), f"line {number}", None, "is not a line of a spec")


def _has_visible_letters(text: str) -> bool:
    """Whether anything of a text can be seen: a letter, a figure, a sign."""
    return any(unicodedata.category(letter)[0] in "LNPS" for letter in text)


def suggest_nearest(typed: str, names: Iterable[str]) -> str:
    """The nearest of some names as a question, with a blank after it; "" where none is near."""
    word, options = typed.casefold(), list(names)
    near = get_close_matches(word, options, 1, ONE_SLIP) or get_close_matches(word, options, 2)
    return f"did you mean {' or '.join(near)}? " if near else ""


def describe_missing_file(path: Path, what: str) -> str:
    """The complaint where a file that a spec names is not there; "" where it is.

    What lies there but is no such file is told by whoever reads it.
    """
    try:
        if is_file_there(path) or path.exists() or path.is_symlink():
            return ""
        names = [other.name for other in path.parent.glob(f"*{path.suffix}")]
    except (OSError, ValueError):
        return ""
    near = get_close_matches(path.name, names, 1, ONE_SLIP)
    return f"no such file; {f'did you mean {near[0]}? ' if near else ''}expected {what}"


def is_below_folder(folder: Path, name: str) -> bool:
    """Whether a file named in a spec lies in the spec's folder or below, links followed."""
    try:
        base = folder.resolve()
        return (base / name).resolve().is_relative_to(base)
    except (OSError, RuntimeError):  # links that lead round in a circle lead nowhere
        return False


class Table:
    """One TOML table being read. Call ``done()`` last: it reports keys nobody asked for."""

    def __init__(
        self,
        path: Path,
        prefix: str,
        data: Mapping[str, Any],
        top: Mapping[str, Any] | None = None,
    ) -> None:
        self.path = path
        self.prefix = prefix
        self._data = data
        self._top = data if top is None else top
        self._asked: set[str] = set()
        self._taken_for_others: set[str] = set()
        """Keys that were told to be meant for missing ones."""

    # -- complaints ------------------------------------------------------------------------------

    def key(self, name: str) -> str:
        return f"{self.prefix}.{name}" if self.prefix else name

    def wrong(self, name: str, value: object, expected: str) -> NoReturn:
        raise InputError(format_path(self.path), self.key(name), value, expected)

    def done(self) -> None:
        """InputError for a key that means nothing here, with the nearest that does."""
        for name in self._data:
            if name not in self._asked | self._taken_for_others and not self._passed_over(name):
                collect_mistakes(self.unknown, name, self._asked)

    def _passed_over(self, name: str) -> bool:
        """Whether a key may not have been asked for because of a mistake before it."""
        return has_noted_mistakes() and is_known_key(name, re.sub(r"\[\d+\]", "", self.prefix))

    def unknown(self, name: str, known: Iterable[str], what: str = "key") -> NoReturn:
        """InputError for a key that means nothing here: where it belongs, or what is near it."""
        options = sorted(known)
        near = get_close_matches(name, options, n=1)
        home = (
            ""
            if get_close_matches(name, options, 1, ONE_SLIP)
            else describe_home_of_key(name, self.prefix)
        )
        if home:
            hint = f" here; {home}" + (f", or did you mean {near[0]!r}?" if near else "")
        elif near:
            hint = f"; did you mean {near[0]!r}?"
        else:
            kin = describe_near_key(name)
            hint = f"; {kin}" if kin else "; known here: " + ", ".join(options)
        self.wrong(name, None, f"unknown {what}{hint}")

    # -- values ----------------------------------------------------------------------------------

    def has(self, name: str) -> bool:
        self._asked.add(name)
        return name in self._data

    def raw(self, name: str, default: Any = REQUIRED, expected: str = "a value") -> Any:
        self._asked.add(name)
        if name in self._data:
            value = self._data[name]
            if is_collecting_mistakes() and has_blank(value):
                raise MistakeUsed  # every blank has been noted
            return value
        if default is REQUIRED:
            self.wrong(name, None, f"missing; expected {expected}{self._elsewhere(name)}")
        return default

    def _elsewhere(self, name: str) -> str:
        """Where a missing key may have gone: misspelt here, or into another table of the file."""
        strange = sorted(self._data.keys() - self._asked)
        same = [key for key in strange if find_usual_word(key) == name]
        near = same or get_close_matches(name, strange, n=1)
        if near:
            self._taken_for_others.add(near[0])
            return f" (is {near[0]!r} meant for it?)"
        if self.prefix.isidentifier():
            if name in self._top and not is_known_key(name, ""):
                return f" (it stands above the tables; move it under [{self.prefix}])"
            for other, inner in self._top.items():
                if isinstance(inner, dict) and name in inner and not is_known_key(name, other):
                    return f" (it stands under [{other}]; move it to [{self.prefix}])"
        return ""

    def _typed(self, name: str, kind: type[T], default: Any, expected: str) -> T | Any:
        value = self.raw(name, default, expected)
        if value is default and name not in self._data:
            return value
        if not isinstance(value, kind) or (kind is not bool and isinstance(value, bool)):
            self.wrong(name, value, f"expected {expected}")
        return value

    @collecting_mistakes
    def text(
        self,
        name: str,
        default: Any = REQUIRED,
        expected: str = "text in quotes",
        most: int = MAX_CHARACTERS,
    ) -> Any:
        """One line or more of text, without control characters; never blank."""
        value = self._typed(name, str, default, expected)
        if name in self._data:
            if not _has_visible_letters(value):
                self.wrong(name, value, f"is blank; expected {expected}")
            self._check_letters(name, value, most)
        return value

    def _check_letters(self, name: str, text: str, most: int = MAX_CHARACTERS) -> None:
        if len(text) > most:
            self.wrong(name, text, f"is {len(text)} letters long; expected at most {most}")
        if any(unicodedata.category(c) == "Cc" and c not in "\n\t" for c in text):
            self.wrong(name, text, "contains control characters")

    @collecting_mistakes
    def choice(self, name: str, allowed: Iterable[str], default: Any = REQUIRED) -> Any:
        options = list(allowed)
        expected = "one of " + ", ".join(options)
        value = self.text(name, default, expected)
        if name in self._data and value not in options:
            self.wrong(name, value, f"expected {expected}")
        return value

    @collecting_mistakes
    def flag(self, name: str, default: Any = REQUIRED) -> Any:
        return self._typed(name, bool, default, "true or false")

    @collecting_mistakes
    def integer(
        self, name: str, default: Any = REQUIRED, least: int = 0, most: int = 1_000_000
    ) -> Any:
        expected = f"a whole number from {least} to {most}"
        if str(self._data.get(name)).strip().isdecimal():
            self._check_quotes(name, self._data[name])
        value = self._typed(name, int, default, expected)
        if name in self._data and not least <= value <= most:
            self.wrong(name, value, f"expected {expected}")
        return value

    @collecting_mistakes
    def number(
        self, name: str, default: Any = REQUIRED, least: float = 0.0, most: float = 1e6
    ) -> Any:
        """A plain number as an exact Decimal (as printed in the file, not as a binary float)."""
        expected = f"a number from {least:g} to {most:g}"
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        self._check_quotes(name, value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(name, value, f"expected {expected}")
        if not least <= value <= most:  # also refuses NaN
            self.wrong(name, value, f"expected {expected}")
        return Decimal(repr(value))

    def _check_quotes(self, name: str, value: object) -> None:
        if isinstance(value, str) and (written := quantity.unquote_number(value)):
            self.wrong(name, value, f"write {written} without quotes")

    @collecting_mistakes
    def date(self, name: str, default: Any = REQUIRED) -> Any:
        expected = "a date such as 2027-06-19 (no quotes)"
        if isinstance(self._data.get(name), str) and (hint := suggest_day(self._data[name])):
            self.wrong(name, self._data[name], f"{hint} (no quotes)")
        value = self._typed(name, dt.date, default, expected)
        if isinstance(value, dt.datetime):
            self.wrong(name, value, f"expected {expected}")
        if name in self._data and not FIRST_YEAR <= value.year <= LAST_YEAR:
            self.wrong(name, value, f"expected a day from {FIRST_YEAR} to {LAST_YEAR}")
        return value

    def _parsed(self, name: str, parse: Callable[[str], T], default: Any, expected: str) -> T | Any:
        bare = self._data.get(name)
        if isinstance(bare, int | float) and not isinstance(bare, bool):
            value = str(self.raw(name))  # a number that lacks unit and quotes: the parser says so
        else:
            value = self._typed(name, str, default, expected)
        if name not in self._data:
            return value
        try:
            return parse(value)
        except quantity.QuantityError as error:
            self.wrong(name, self._data[name], str(error))

    @collecting_mistakes
    def mass_g(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal grams, never negative."""
        return self._parsed(name, quantity.parse_mass_g, default, 'a mass such as "480 g"')

    @collecting_mistakes
    def scale(self, name: str, default: Any = REQUIRED) -> Any:
        """A Scale, by one of its divisions."""
        return self._parsed(name, read_scale, default, DIVISION)

    @collecting_mistakes
    def length_mm(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal millimetres, never negative."""
        return self._parsed(name, quantity.parse_length_mm, default, 'a length such as "44 mm"')

    @collecting_mistakes
    def size_mm(self, name: str, default: Any = REQUIRED, equal_sides: bool = False) -> Any:
        """Width and height as Decimal millimetres; of what has equal sides one length will do."""
        if not equal_sides:
            expected = 'a size such as "44 x 28 mm"'
            return self._parsed(name, quantity.parse_size_mm, default, expected)

        def parse(text: str) -> tuple[Decimal, Decimal]:
            if re.search("[x×]", text):
                return quantity.parse_size_mm(text)
            side = quantity.parse_length_mm(text)
            return side, side

        return self._parsed(name, parse, default, 'a size such as "45 mm"')

    @collecting_mistakes
    def percent(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal percent, from 0 to 100, written ``"5 %"``."""
        expected = quantity.suggest_share(str(self.raw(name, default, 'a share such as "5 %"')))
        value = self._parsed(name, quantity.parse_percent, default, expected)
        if name in self._data and value > 100:
            self.wrong(name, self._data[name], "expected a share of at most 100 %")
        return value

    @collecting_mistakes
    def texts(
        self,
        name: str,
        default: Any = REQUIRED,
        expected: str = "a list of texts",
        least: int = 0,
    ) -> Any:
        """A tuple of at least so many texts, none blank; a single text stands for a list of one."""
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        items = [value] if isinstance(value, str) else value
        if not isinstance(items, list) or not all(isinstance(item, str) for item in items):
            self.wrong(name, value, f"expected {expected}")
        if len(items) < least:
            self.wrong(name, value, f"is empty; expected {expected}")
        for item in items:
            if not _has_visible_letters(item):
                self.wrong(name, value, f"has a blank text; expected {expected}")
            self._check_letters(name, item)
        return tuple(items)

    @collecting_mistakes
    def words(self, name: str, default: Any = REQUIRED) -> Any:
        """Words per language as ``{en = "Soap", fr = "Savon"}``, or one text for all (key "")."""
        expected = 'words per language such as { en = "Soap", fr = "Savon" }'
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        if isinstance(value, str):
            return {"": self.text(name)}
        if not isinstance(value, dict) or not value:
            self.wrong(name, value, f"expected {expected}")
        inner = self.table(name)
        words = {language: inner.text(language) for language in value}
        for language in words:
            if not language.replace("-", "").isalnum() or len(language) > _LANGUAGE_TAG_MAX:
                inner.wrong(language, None, 'expected a language tag such as "fr"')
        return words

    # -- tables in tables ------------------------------------------------------------------------

    @collecting_mistakes
    def table(self, name: str, default: Any = REQUIRED) -> Table:
        """The table under ``name``; an empty one when ``default`` is None and it is absent."""
        value = self._typed(name, dict, default, f"a table [{self.key(name)}]")
        return Table(self.path, self.key(name), value if value is not None else {}, self._top)

    def tables(self, name: str) -> Iterator[Table]:
        """The tables of a list ``[[name]]``, in order; none when it is absent."""
        value = self.raw(name, [])
        if isinstance(value, dict):
            brackets = f"[[{self.key(name)}]] with two brackets"
            self.wrong(name, None, f"is a single table; write {brackets} for each")
        if not isinstance(value, list):
            self.wrong(name, value, f"expected a list of tables [[{self.key(name)}]]")
        for index, item in enumerate(value, start=1):
            if not isinstance(item, dict):
                self.wrong(name, item, f"expected a list of tables [[{self.key(name)}]]")
            yield Table(self.path, f"{self.key(name)}[{index}]", item, self._top)

    def rows(self, name: str, read: Callable[[Table], T]) -> tuple[T, ...]:
        """What a reader makes of each table of a list ``[[name]]``, in order."""

        def every() -> tuple[T, ...]:
            return tuple(collect_mistakes(read, table) for table in self.tables(name))

        return collect_mistakes(every)

    def names(self) -> list[str]:
        """Every key that stands in this table, in file order."""
        return list(self._data)

    @collecting_mistakes
    def must_be_there(self, name: str, value: str, what: str) -> Path:
        """The path of a file named from this one's folder; InputError where there is none."""
        path = self.path.parent / value
        complaint = describe_missing_file(path, what)
        if complaint:
            self.wrong(name, value, complaint)
        return path

    @collecting_mistakes
    def beside(self, name: str, default: Any = REQUIRED) -> Any:
        """The path of a file named in the spec, which must lie beside it or below (no climbing)."""
        value = self.text(name, default, "the name of a file beside this one")
        if name not in self._data:
            return value
        if not is_below_folder(self.path.parent, value):
            self.wrong(name, value, "must lie beside this file or in a folder below it")
        return self.path.parent / value
