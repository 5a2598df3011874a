"""Reads one TOML table value by value; every complaint names file, key, value and what is right."""

from __future__ import annotations

import codecs
import datetime as dt
import math
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple, NoReturn, TypeVar

from labelkit.common import quantity
from labelkit.common.days import suggest_day
from labelkit.common.errors import AsTyped, InputError, describe_os_error, format_path
from labelkit.common.first_bytes import read_at_most
from labelkit.common.messages import NOTHING, FactList, Number, Said, Verbatim
from labelkit.common.scales import DIVISION, read_scale
from labelkit.common.text_match import ONE_SLIP, find_closest, list_closest
from labelkit.order.blanks import BLANK, drop_blanks, has_blank, list_blanks, refuse_blanks
from labelkit.order.fields import (
    FILES,
    Field,
    Range,
    describe_home_of_key,
    describe_near_key,
    find_field,
    find_usual_word,
    is_known_key,
)
from labelkit.order.inputs import note_file_read
from labelkit.order.laid_over import find_text_over, hold_text_read, is_file_there
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

MOST_DOTS = 64
"""On a line outside quotes: in dotted keys and decimal numbers."""
_QUOTED = re.compile(
    r'"""(?s:.*?)"""' r"|'''(?s:.*?)'''" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'|#[^\n]*"
)

_LANGUAGE_TAG_MAX = 12
_COLOUR = re.compile("#[0-9a-fA-F]{6}")
SAVED_AS_TABLE = Said(
    'in your spreadsheet save it as the file type "CSV UTF-8", or as CSV with the character set'
    ' "Unicode (UTF-8)"'
)
"""How programs for tables call it (common practice, no source)."""


def read_bytes(path: Path, what: Said = Said("a TOML file"), limit: int = MAX_FILE_BYTES) -> bytes:
    """The bytes of a file or of what is laid over it, or InputError when it is missing, unreadable
    or far too large."""
    data = find_text_over(path)
    if data is None:
        data = _read_file(path, what, limit)
    if len(data) > limit:
        raise InputError(
            format_path(path),
            "",
            None,
            Said("is over {limit} bytes; expected {what}", limit=Number(limit), what=what),
        )
    hold_text_read(path, data)
    note_file_read(path, data)
    return data


def _read_file(path: Path, what: Said, limit: int) -> bytes:
    """The bytes of a file, and one byte over the limit where it has more."""
    try:
        if not path.is_file():
            raise InputError(format_path(path), "", None, _describe_no_file(path, what))
        return read_at_most(path, limit + 1)
    except OSError as error:
        told = Said("cannot be read: {reason}", reason=describe_os_error(error))
        raise InputError(format_path(path), "", None, told) from error


def _describe_no_file(path: Path, what: Said) -> Said:
    """What lies where a file is expected."""
    if path.is_dir():
        return Said("is a folder; {hint}", hint=_suggest_file_within(path, what))
    if not path.exists():
        return Said("no such file; expected {what}", what=what)
    return Said("is not a plain file; expected {what}", what=what)


def _suggest_file_within(folder: Path, what: Said) -> Said:
    """What is expected in place of a folder: the file of the usual name, where it holds one."""
    usual = re.search(r"\((\w+\.toml)\)$", what)
    own = folder / usual.group(1) if usual else folder
    return (
        Said("did you mean {own}?", own=format_path(own))
        if own.is_file()
        else Said("expected {what}", what=what)
    )


_DOCUMENT = Said("is a document of a word processor; save it as plain text in UTF-8")
_UTF_16 = Said("is not UTF-8 text, but UTF-16; save the file as UTF-8")
_NO_PLAIN_TEXT = (
    (codecs.BOM_UTF16_LE, _UTF_16),
    (codecs.BOM_UTF16_BE, _UTF_16),
    (b"PK\x03\x04", _DOCUMENT),
    (b"\xd0\xcf\x11\xe0", _DOCUMENT),
    (b"{\\rtf", _DOCUMENT),
)
"""What files begin with that an editor of plain text did not write (their published formats, from
memory), and what to do."""


def read_text(path: Path, what: Said, limit: int = MAX_FILE_BYTES) -> str:
    """The text of a UTF-8 file (a byte order mark is allowed), or InputError."""
    data = read_bytes(path, what, limit)
    for sign, meant in _NO_PLAIN_TEXT:
        if data.startswith(sign):
            raise InputError(format_path(path), "", None, meant)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        how = SAVED_AS_TABLE if "(CSV)" in what else Said("save the file as UTF-8")
        expected = Said("is not UTF-8 text; {how}", how=how)
        raise InputError(format_path(path), "", None, expected, line=line) from error


WHAT_FILES_ARE = {
    "label.toml": Said("a label spec (label.toml)"),
    "maker.toml": Said("a maker file (maker.toml)"),
    "recipe.toml": Said("a recipe (recipe.toml)"),
    "prices.toml": Said("a price list (prices.toml)"),
    "shelf.toml": Said("a shelf (shelf.toml)"),
    "printers.toml": Said("a file of printers (printers.toml)"),
    "part-used.toml": Said("a file of part-used sheets (part-used.toml)"),
    "a stock file": Said("a stock file"),
    "a layout file": Said("a layout file"),
}


def _say_what_file_is(file: str) -> Said:
    return WHAT_FILES_ARE.get(file) or (file if isinstance(file, Said) else Said(file))


def read_toml(path: Path, file: str, limit: int = MAX_FILE_BYTES) -> Table:
    """The top table of a TOML file in labelkit's format; InputError otherwise, or for what is
    still to be filled in. ``file`` is one of ``fields.FILES``, or what else it is, in words."""
    text, data = _parse_toml_file(path, _say_what_file_is(file), limit)
    if BLANK in text or "\\" in text:  # a blank may be written in escapes
        collect_mistakes(refuse_blanks, list_blanks(format_path(path), text, data))
    return _make_top_table(path, data, file)


def read_unfilled_toml(path: Path, file: str) -> Table:
    """The same of a file that may have blanks: as if their keys did not stand in it."""
    if (
        is_collecting_mistakes()
    ):  # blanks are mistakes like others, and are passed over as those are
        return read_toml(path, file)
    return _make_top_table(path, drop_blanks(_parse_toml_file(path, WHAT_FILES_ARE[file])[1]), file)


def check_filled_in(paths: Iterable[Path]) -> None:
    """InputError with every blank of some files; what else is wrong with one, its reader tells."""
    blanks: list[InputError] = []
    for path in paths:
        with suppress(InputError):
            if BLANK.encode() in read_bytes(path):
                blanks += list_blanks(
                    format_path(path), *_parse_toml_file(path, Said("a TOML file"))
                )
    refuse_blanks(blanks)


def _parse_toml_file(
    path: Path, what: Said, limit: int = MAX_FILE_BYTES
) -> tuple[str, dict[str, Any]]:
    """The text of a TOML file, and what it says."""
    text = read_text(path, what, limit)
    note_file_text(path, text)
    _check_dotted_keys(path, text)
    try:
        return text, _load_toml(text)
    except (ValueError, RecursionError) as error:
        raise _make_toml_error(path, text, error) from error


@lru_cache(maxsize=16)  # of the files of an order that is being edited one is changed at a time
def _load_toml(text: str) -> dict[str, Any]:
    """What a text says; nobody writes in it."""
    return tomllib.loads(text)


def _make_top_table(path: Path, data: dict[str, Any], file: str) -> Table:
    table = Table(path, "", data, file)
    number = table.integer("labelkit", FORMAT)
    if number != FORMAT:
        table.wrong(
            "labelkit",
            number,
            Said("this version reads format {known}; update labelkit", known=FORMAT),
        )
    return table


def _make_toml_error(path: Path, text: str, error: ValueError | RecursionError) -> InputError:
    """The complaint for a file that is no TOML: what the line should be, or the parser's words."""
    # Python reads no integer of thousands of digits and says so with a plain ValueError.
    reason = Said(" ".join(str(error).split()) or "nested too deeply")
    slip = find_toml_mistake(text, reason) if isinstance(error, tomllib.TOMLDecodeError) else None
    if slip is None:
        return InputError(format_path(path), "", None, Said("is not TOML: {reason}", reason=reason))
    found = AsTyped(slip.found) or None
    return InputError(format_path(path), slip.key, found, slip.cure, line=slip.line)


def _check_dotted_keys(path: Path, text: str) -> None:
    """Refuses dotted keys of very many parts, which the parser would unfold into gigabytes."""
    if text.count(".") <= MOST_DOTS:
        return
    for number, line in enumerate(_QUOTED.sub('""', text).split("\n"), start=1):
        if line.count(".") > MOST_DOTS:
            raise InputError(
                format_path(path), "", None, Said("is not a line of a spec"), line=number
            )


def _has_visible_letters(text: str) -> bool:
    """Whether anything of a text can be seen: a letter, a figure, a sign."""
    return any(unicodedata.category(letter)[0] in "LNPS" for letter in text)


def suggest_nearest(typed: str, names: Iterable[str]) -> Said:
    """The nearest of some names as a question, with a blank after it; "" where none is near."""
    word, options = typed.casefold(), list(names)
    near = list_closest(word, options, 1, ONE_SLIP) or list_closest(word, options, 2)
    return Said("did you mean {near}? ", near=FactList(near, "or")) if near else NOTHING


def describe_missing_file(path: Path, what: Said) -> Said:
    """The complaint where a file that a spec names is not there; "" where it is.

    What lies there but is no such file is told by whoever reads it.
    """
    try:
        if is_file_there(path) or path.exists() or path.is_symlink():
            return NOTHING
        names = [other.name for other in path.parent.glob(f"*{path.suffix}")]
    except (OSError, ValueError):
        return NOTHING
    near = find_closest(path.name, names, ONE_SLIP)
    hint = Said("did you mean {near}? ", near=near) if near else NOTHING
    return Said("no such file; {hint}expected {what}", hint=hint, what=what)


def _parse_equal_sides(text: str) -> tuple[Decimal, Decimal]:
    """A size in two lengths, or in the one that both are."""
    if re.search("[x×]", text):
        return quantity.parse_size_mm(text)
    side = quantity.parse_length_mm(text)
    return side, side


def is_below_folder(folder: Path, name: str) -> bool:
    """Whether a file named in a spec lies in the spec's folder or below, links followed."""
    try:
        base = folder.resolve()
        return (base / name).resolve().is_relative_to(base)
    except (OSError, RuntimeError):  # links that lead round in a circle lead nowhere
        return False


_COARSE = {"g": ("kg", 1000), "mm": ("m", 10_000), "g or mL": ("kg or L", 1000)}
"""The unit in which large limits are told, and from how many on."""
_ANY = Range(Decimal(0), Decimal(1_000_000))
"""Of a number in a file whose keys are in no table of fields."""


def format_range(limits: Range, unit: str) -> Said:
    """What lies within: ``from 0.1 g to 1 kg``, ``from 8 to 400 mm``, ``at most 30 mm``."""
    coarse, many = _COARSE.get(unit, ("", 0))
    is_coarse = bool(coarse) and limits.most >= many
    facts = {
        "least": Number(limits.least),
        "unit": unit,
        "most": Number(limits.most / 1000 if is_coarse else limits.most),
        "large": coarse if is_coarse else unit,
    }
    if limits.least == 0:
        return Said("at most {most} {large}", **facts)
    if is_coarse:
        return Said("from {least} {unit} to {most} {large}", **facts)
    return Said("from {least} to {most} {unit}", **facts)


# What is expected is given along with every value that is asked for, and seldom told.


@lru_cache(maxsize=512)
def _describe_whole_number(limits: Range) -> Said:
    least, most = int(limits.least), int(limits.most)
    return Said("a whole number from {least} to {most}", least=least, most=most)


@lru_cache(maxsize=512)
def _describe_number(limits: Range) -> Said:
    least, most = Number(limits.least), Number(limits.most)
    return Said("a number from {least} to {most}", least=least, most=most)


@lru_cache(maxsize=512)
def _describe_choice(options: tuple[str, ...]) -> Said:
    return Said("one of {listed}", listed=FactList(options))


class TableState(NamedTuple):
    """What a table holds, and what it was asked for so far: two that are alike read alike."""

    path: Path
    file: str
    prefix: str
    written: str
    """As Python writes its values: 5 and 5.0 are equal, and read otherwise."""
    asked: frozenset[str]


class Table:
    """One TOML table being read. What may stand for a key, its field says (fields.toml).

    Call ``done()`` last: it reports keys nobody asked for.
    """

    def __init__(
        self,
        path: Path,
        prefix: str,
        data: Mapping[str, Any],
        file: str,
        top: Mapping[str, Any] | None = None,
    ) -> None:
        self.path = path
        self.prefix = prefix
        self.file = file
        """One of ``fields.FILES``; another: its keys are in no table of fields."""
        self._data = data
        self._top = data if top is None else top
        self._asked: set[str] = set()
        self._taken_for_others: set[str] = set()
        """Keys that were told to be meant for missing ones."""

    # -- complaints ------------------------------------------------------------------------------

    def key(self, name: str) -> str:
        return f"{self.prefix}.{name}" if self.prefix else name

    def wrong(self, name: str, value: object, expected: Said) -> NoReturn:
        raise InputError(format_path(self.path), self.key(name), value, expected)

    def done(self) -> None:
        """InputError for a key that means nothing here, with the nearest that does."""
        for name in self._data:
            if name not in self._asked | self._taken_for_others and not self._passed_over(name):
                collect_mistakes(self.unknown, name, self._asked)

    def _passed_over(self, name: str) -> bool:
        """Whether a key may not have been asked for because of a mistake before it."""
        return has_noted_mistakes() and is_known_key(name, re.sub(r"\[\d+\]", "", self.prefix))

    def unknown(self, name: str, known: Iterable[str], what: Said = Said("key")) -> NoReturn:
        """InputError for a key that means nothing here: where it belongs, or what is near it."""
        options = sorted(known)
        near = find_closest(name, options)
        is_slip = bool(find_closest(name, options, ONE_SLIP))
        home = NOTHING if is_slip else describe_home_of_key(name, self.prefix)
        facts = {"what": what, "home": home, "near": Verbatim(near)}
        if home:
            told = "unknown {what} here; {home}"
            if near:
                told = "unknown {what} here; {home}, or did you mean {near}?"
            self.wrong(name, None, Said(told, **facts))
        if near:
            self.wrong(name, None, Said("unknown {what}; did you mean {near}?", **facts))
        kin = describe_near_key(name) or Said("known here: {keys}", keys=FactList(options))
        self.wrong(name, None, Said("unknown {what}; {kin}", what=what, kin=kin))

    # -- fields ----------------------------------------------------------------------------------

    def field(self, name: str) -> Field | None:
        """What the table of fields says of a key; of a name of the maker's own what it says of
        the key under which her names stand, and None where it knows neither."""
        outer, _, own = self.prefix.rpartition(".")
        found = find_field(self.file, self.prefix, name)
        return found or find_field(self.file, outer, own)

    def limits(self, name: str) -> Range:
        """Least and most of a number, in the field's own unit."""
        field = self.field(name)
        if field is None and self.file in FILES:
            raise KeyError(self.key(name))
        return (field.range if field else None) or _ANY

    def options(self, name: str) -> tuple[str, ...]:
        """The only texts that may stand for a key."""
        field = self.field(name)
        return field.one_of if field else ()

    def outside(self, name: str, expected: Said) -> NoReturn:
        """InputError for a value outside the limits of its key."""
        field = self.field(name)
        told = Said("expected {expected}", expected=expected)
        if field and field.hint:
            told = Said("{told}; {hint}", told=told, hint=Said(field.hint))
        self.wrong(name, self._data[name], told)

    def check_limits(self, name: str, *values: Decimal) -> None:
        """InputError for a measure outside its field's range, where the field has one."""
        field = self.field(name)
        if field is None or field.range is None or all(one in field.range for one in values):
            return
        expected = format_range(field.range, field.unit or "%")
        is_size = len(values) > 1
        self.outside(name, Said("{range} a side", range=expected) if is_size else expected)

    # -- values ----------------------------------------------------------------------------------

    def raw_data(self) -> Mapping[str, Any]:
        """What the file says here, unread."""
        return self._data

    @property
    def state(self) -> TableState:
        """What a reader can tell it by."""
        return TableState(
            self.path, self.file, self.prefix, repr(self._data), frozenset(self._asked)
        )

    def note_asked(self, names: Iterable[str]) -> None:
        """Keys that were asked for when the same was read before."""
        self._asked.update(names)

    def has(self, name: str) -> bool:
        self._asked.add(name)
        return name in self._data

    def raw(self, name: str, default: Any = REQUIRED, expected: Said = Said("a value")) -> Any:
        self._asked.add(name)
        if name in self._data:
            value = self._data[name]
            if is_collecting_mistakes() and has_blank(value):
                raise MistakeUsed  # every blank has been noted
            return value
        if default is REQUIRED:
            self.wrong(
                name,
                None,
                Said(
                    "missing; expected {expected}{elsewhere}",
                    expected=expected,
                    elsewhere=self._elsewhere(name),
                ),
            )
        return default

    def _elsewhere(self, name: str) -> Said:
        """Where a missing key may have gone: misspelt here, or into another table of the file."""
        strange = sorted(self._data.keys() - self._asked)
        same = [key for key in strange if find_usual_word(key) == name]
        near = same[0] if same else find_closest(name, strange)
        if near:
            self._taken_for_others.add(near)
            return Said(" (is {near} meant for it?)", near=Verbatim(near))
        if self.prefix.isidentifier():
            if name in self._top and not is_known_key(name, ""):
                return Said(
                    " (it stands above the tables; move it under [{prefix}])", prefix=self.prefix
                )
            for other, inner in self._top.items():
                if isinstance(inner, dict) and name in inner and not is_known_key(name, other):
                    return Said(
                        " (it stands under [{other}]; move it to [{prefix}])",
                        other=other,
                        prefix=self.prefix,
                    )
        return NOTHING

    def _typed(self, name: str, kind: type[T], default: Any, expected: Said) -> T | Any:
        value = self.raw(name, default, expected)
        if value is default and name not in self._data:
            return value
        if not isinstance(value, kind) or (kind is not bool and isinstance(value, bool)):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        return value

    @collecting_mistakes
    def text(
        self,
        name: str,
        default: Any = REQUIRED,
        expected: Said = Said("text in quotes"),
        most: int = MAX_CHARACTERS,
    ) -> Any:
        """One line or more of text, without control characters; never blank."""
        value = self._typed(name, str, default, expected)
        if name in self._data:
            if not _has_visible_letters(value):
                self.wrong(name, value, Said("is blank; expected {expected}", expected=expected))
            self._check_letters(name, value, most)
        return value

    @collecting_mistakes
    def line(self, name: str) -> Any:
        """Text for a label, which breaks it into lines itself."""
        text = self.text(name)
        if "\n" in text or "\t" in text:
            self.wrong(
                name,
                text,
                Said("has a line break or a tab in it; write it on one line, with plain blanks"),
            )
        return text

    def _check_letters(self, name: str, text: str, most: int = MAX_CHARACTERS) -> None:
        if len(text) > most:
            self.wrong(
                name,
                text,
                Said(
                    "is {count} letters long; expected at most {most}", count=len(text), most=most
                ),
            )
        if any(unicodedata.category(c) == "Cc" and c not in "\n\t" for c in text):
            self.wrong(name, text, Said("contains control characters"))

    @collecting_mistakes
    def choice(self, name: str, default: Any = REQUIRED, among: Iterable[str] | None = None) -> Any:
        """One of the texts that may stand here; ``among`` where another table of the file says."""
        options = self.options(name) if among is None else tuple(among)
        expected = _describe_choice(options)
        value = self.text(name, default, expected)
        if name in self._data and value not in options:
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        return value

    @collecting_mistakes
    def flag(self, name: str, default: Any = REQUIRED) -> Any:
        return self._typed(name, bool, default, Said("true or false"))

    @collecting_mistakes
    def integer(self, name: str, default: Any = REQUIRED) -> Any:
        limits = self.limits(name)
        expected = _describe_whole_number(limits)
        if str(self._data.get(name)).strip().isdecimal():
            self._check_quotes(name, self._data[name])
        value = self._typed(name, int, default, expected)
        if name in self._data and value not in limits:
            self.outside(name, expected)
        return value

    @collecting_mistakes
    def number(self, name: str, default: Any = REQUIRED) -> Any:
        """A plain number as an exact Decimal (as printed in the file, not as a binary float)."""
        limits = self.limits(name)
        expected = _describe_number(limits)
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        self._check_quotes(name, value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        number = Decimal(repr(value))
        if number.is_nan() or number not in limits:
            self.outside(name, expected)
        return number

    @collecting_mistakes
    def numbers(self, name: str, default: Any = REQUIRED) -> Any:
        """A list of plain numbers as they stand in the file: whole ones where the field says so."""
        field = self.field(name)
        whole = field is not None and field.kind == "integers"
        limits = self.limits(name)
        expected = Said(
            "a list of whole numbers from {least} to {most}"
            if whole
            else "a list of numbers from {least} to {most}",
            least=Number(limits.least),
            most=Number(limits.most),
        )
        value = self.raw(name, default, expected)
        kind = int if whole else int | float
        if name in self._data and not (
            isinstance(value, list)
            and all(isinstance(one, kind) and not isinstance(one, bool) for one in value)
            and all(math.isfinite(one) and Decimal(repr(one)) in limits for one in value)
        ):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        return value

    def _check_quotes(self, name: str, value: object) -> None:
        if isinstance(value, str) and (written := quantity.unquote_number(value)):
            self.wrong(name, value, Said("write {written} without quotes", written=written))

    @collecting_mistakes
    def date(self, name: str, default: Any = REQUIRED) -> Any:
        expected = Said("a date such as 2027-06-19 (no quotes)")
        if isinstance(self._data.get(name), str) and (hint := suggest_day(self._data[name])):
            self.wrong(name, self._data[name], Said("{hint} (no quotes)", hint=hint))
        value = self._typed(name, dt.date, default, expected)
        if isinstance(value, dt.datetime):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        if name in self._data and not FIRST_YEAR <= value.year <= LAST_YEAR:
            self.wrong(
                name,
                value,
                Said(
                    "expected a day from {first} to {last}",
                    first=FIRST_YEAR,
                    last=LAST_YEAR,
                ),
            )
        return value

    def _parsed(
        self, name: str, parse: Callable[[str], T], default: Any, expected: Said
    ) -> T | Any:
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
            self.wrong(name, self._data[name], error.told)

    @collecting_mistakes
    def mass_g(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal grams, never negative."""
        value = self._parsed(name, quantity.parse_mass_g, default, Said('a mass such as "480 g"'))
        if name in self._data:
            self.check_limits(name, value)
        return value

    @collecting_mistakes
    def scale(self, name: str, default: Any = REQUIRED) -> Any:
        """A Scale, by one of its divisions."""
        value = self._parsed(name, read_scale, default, DIVISION)
        if name in self._data and value.division_g not in self.limits(name):
            self.outside(name, DIVISION)
        return value

    @collecting_mistakes
    def length_mm(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal millimetres, never negative."""
        value = self._parsed(
            name, quantity.parse_length_mm, default, Said('a length such as "44 mm"')
        )
        if name in self._data:
            self.check_limits(name, value)
        return value

    @collecting_mistakes
    def size_mm(self, name: str, default: Any = REQUIRED, equal_sides: bool = False) -> Any:
        """Width and height as Decimal millimetres; of what has equal sides one length will do."""
        parse = _parse_equal_sides if equal_sides else quantity.parse_size_mm
        expected = Said('a size such as "45 mm"' if equal_sides else 'a size such as "44 x 28 mm"')
        value = self._parsed(name, parse, default, expected)
        if name in self._data:
            self.check_limits(name, *value)
        return value

    @collecting_mistakes
    def percent(self, name: str, default: Any = REQUIRED) -> Any:
        """Decimal percent, written ``"5 %"``."""
        expected = quantity.suggest_share(
            str(self.raw(name, default, Said('a share such as "5 %"')))
        )
        value = self._parsed(name, quantity.parse_percent, default, expected)
        if name in self._data:
            self.check_limits(name, value)
        return value

    @collecting_mistakes
    def colour(self, name: str, default: str | None = None) -> Any:
        """A colour as #rrggbb in small letters."""
        expected = Said('a colour such as "#3a2f25"')
        value = self.text(name, default, expected)
        if name in self._data and not _COLOUR.fullmatch(value):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        return value.lower() if name in self._data else value

    @collecting_mistakes
    def ink(self, name: str, default: str | None = None) -> Any:
        """A colour as #rrggbb in small letters, or one of the names that may stand here."""
        options = self.options(name)
        listed = FactList(options)
        expected = Said('a colour such as "#3a2f25", or one of {listed}', listed=listed)
        value = self.text(name, default, expected)
        if name not in self._data or value in options:
            return value
        if not _COLOUR.fullmatch(value):
            near = suggest_nearest(value, options)
            told = Said("{near}expected {expected}", near=near, expected=expected)
            self.wrong(name, value, told)
        return value.lower()

    @collecting_mistakes
    def texts(
        self,
        name: str,
        default: Any = REQUIRED,
        expected: Said = Said("a list of texts"),
        least: int = 0,
    ) -> Any:
        """A tuple of at least so many texts, none blank; a single text stands for a list of one."""
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        items = [value] if isinstance(value, str) else value
        if not isinstance(items, list) or not all(isinstance(item, str) for item in items):
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        if len(items) < least:
            self.wrong(name, value, Said("is empty; expected {expected}", expected=expected))
        options = self.options(name)
        for item in items:
            if not _has_visible_letters(item):
                self.wrong(
                    name, value, Said("has a blank text; expected {expected}", expected=expected)
                )
            self._check_letters(name, item)
            if options and item.lower() not in options:
                self.wrong(name, item, Said("expected some of {listed}", listed=FactList(options)))
        return tuple(item.lower() for item in items) if options else tuple(items)

    @collecting_mistakes
    def words(self, name: str, default: Any = REQUIRED) -> Any:
        """Words per language as ``{en = "Soap", fr = "Savon"}``, or one text for all (key "")."""
        expected = Said('words per language such as { en = "Soap", fr = "Savon" }')
        value = self.raw(name, default, expected)
        if name not in self._data:
            return value
        if isinstance(value, str):
            return {"": self.line(name)}
        if not isinstance(value, dict) or not value:
            self.wrong(name, value, Said("expected {expected}", expected=expected))
        inner = self.table(name)
        words = {language: inner.line(language) for language in value}
        for language in words:
            if not language.replace("-", "").isalnum() or len(language) > _LANGUAGE_TAG_MAX:
                inner.wrong(language, None, Said('expected a language tag such as "fr"'))
        return words

    # -- tables in tables ------------------------------------------------------------------------

    @collecting_mistakes
    def table(self, name: str, default: Any = REQUIRED) -> Table:
        """The table under ``name``; an empty one when ``default`` is None and it is absent."""
        value = self._typed(name, dict, default, Said("a table [{key}]", key=self.key(name)))
        return Table(self.path, self.key(name), value or {}, self.file, self._top)

    def tables(self, name: str) -> Iterator[Table]:
        """The tables of a list ``[[name]]``, in order; none when it is absent."""
        value = self.raw(name, [])
        if isinstance(value, dict):
            told = "is a single table; write [[{key}]] with two brackets for each"
            self.wrong(name, None, Said(told, key=self.key(name)))
        if not isinstance(value, list):
            self.wrong(name, value, Said("expected a list of tables [[{key}]]", key=self.key(name)))
        for index, item in enumerate(value, start=1):
            if not isinstance(item, dict):
                self.wrong(
                    name, item, Said("expected a list of tables [[{key}]]", key=self.key(name))
                )
            yield Table(self.path, f"{self.key(name)}[{index}]", item, self.file, self._top)

    def rows(self, name: str, read: Callable[[Table], T]) -> tuple[T, ...]:
        """What a reader makes of each table of a list ``[[name]]``, in order, each read whole."""

        def every() -> tuple[T, ...]:
            return tuple(collect_mistakes(table.read, read) for table in self.tables(name))

        return collect_mistakes(every)

    def read(self, read: Callable[[Table], T]) -> T:
        """What a reader makes of this table; InputError for a key that it did not ask for."""
        found = read(self)
        self.done()
        return found

    @collecting_mistakes
    def refuse_repeated(
        self, rows: Iterable[T], find_name: Callable[[T], tuple[str, str]], told: Said
    ) -> None:
        """InputError for the first row whose name, which comes with its key, stands there twice,
        letter case aside."""
        known: set[str] = set()
        for name, value in map(find_name, rows):
            if value.casefold() in known:
                self.wrong(name, value, told)
            known.add(value.casefold())

    def names(self) -> list[str]:
        """Every key that stands in this table, in file order."""
        return list(self._data)

    @collecting_mistakes
    def must_be_there(self, name: str, value: str, what: Said) -> Path:
        """The path of a file named from this one's folder; InputError where there is none."""
        path = self.path.parent / value
        complaint = describe_missing_file(path, what)
        if complaint:
            self.wrong(name, value, complaint)
        return path

    @collecting_mistakes
    def beside(self, name: str, default: Any = REQUIRED) -> Any:
        """The path of a file named in the spec, which must lie beside it or below (no climbing)."""
        value = self.text(name, default, Said("the name of a file beside this one"))
        if name not in self._data:
            return value
        if not is_below_folder(self.path.parent, value):
            self.wrong(name, value, Said("must lie beside this file or in a folder below it"))
        return self.path.parent / value
