"""Sentences that remember what they were made of, so that a report can say them in any language.

A room that finds something words it in English, the language of the source, as gettext programs
do: the English template is the key under which a report looks up its own language. What fills the
braces is kept beside it (numbers, days, names of elements), and a report writes it anew in its
language. Everything here *is* its English text, so whoever wants English needs nothing more.
"""

from __future__ import annotations

import calendar
import datetime as dt
import typing
from collections.abc import Iterable, Sequence
from decimal import Decimal

CAPITAL, OPEN = "cap", "open"
"""Formats any fact knows: with a capital at its start, and without a full stop at its end."""
LONGEST_QUOTE = 48
_JOINED: dict[str, typing.Literal["standard", "or"]] = {"and": "standard", "or": "or"}
"""What Unicode CLDR calls lists joined by a word."""


def format_fact_text(text: str, form: str) -> str:
    """A fact's text in one of the formats every language has."""
    if form == CAPITAL:
        return text[:1].upper() + text[1:]
    return text.removesuffix(".") if form == OPEN else text


class Fact(str):
    """A text that may stand in a sentence; ``{x:cap}`` and ``{x:open}`` change how it stands."""

    def __format__(self, spec: str) -> str:
        return format_fact_text(str(self), spec)

    def __copy__(self) -> Fact:
        return self

    def __deepcopy__(self, memo: object) -> Fact:
        """Nothing of a fact ever changes."""
        return self

    def __reduce__(self) -> tuple[object, ...]:
        """Its text and what it was made of: most are made of something else than their text."""
        return restore_fact, (type(self), str(self), vars(self))


def restore_fact(kind: type[Fact], text: str, made_of: dict[str, object]) -> Fact:
    """A fact as it was before it was sent to another process."""
    made = str.__new__(kind, text)
    vars(made).update(made_of)
    return made


class Said(Fact):
    """A sentence or phrase in English, with its template and what was filled in."""

    template: str
    facts: dict[str, object]

    def __new__(cls, template: str, **facts: object) -> Said:
        """Fills the braces of ``template``; without facts braces mean nothing."""
        made = super().__new__(cls, template.format(**facts) if facts else template)
        made.template, made.facts = template, facts
        return made


NOTHING = Said("")
"""Where there is nothing to say."""


class Term(Fact):
    """A name out of a fixed set: an element, a panel, a place. ``kind`` says which set."""

    kind: str

    def __new__(cls, kind: str, text: str) -> Term:
        made = super().__new__(cls, text)
        made.kind = kind
        return made


class Number(Fact):
    """A number as English writes it: 1.6, 40, 0.0101."""

    def __new__(cls, value: Decimal | int, places: int | None = None) -> Number:
        """``value`` with exactly ``places`` decimals, or with those that are not zero."""
        if places is not None:
            return super().__new__(cls, f"{value:.{places}f}")
        text = f"{value:f}"
        return super().__new__(cls, text.rstrip("0").rstrip(".") if "." in text else text)

    @property
    def value(self) -> Decimal:
        return Decimal(str(self))


def make_number(value: float) -> Number:
    """A number with at most six figures, as a file would have it: 8, 0.25."""
    return Number(Decimal(f"{value:g}"))


def round_to_tenths(value: float, rounding: str) -> Number:
    """A measured length with one decimal, rounded up or down (ROUND_CEILING, ROUND_FLOOR).

    What is needed is told rounded up and what there is rounded down, or the two look alike.
    """
    return Number(Decimal(str(round(value, 6))).quantize(Decimal("0.1"), rounding), 1)


class Day(Fact):
    """A day, in English texts as ISO 8601 writes it."""

    day: dt.date

    def __new__(cls, day: dt.date) -> Day:
        made = super().__new__(cls, day.isoformat())
        made.day = day
        return made


class Month(Fact):
    """A month of a year, in English texts as "February 2027"."""

    first: dt.date

    def __new__(cls, year: int, month: int) -> Month:
        made = super().__new__(cls, f"{calendar.month_name[month]} {year}")
        made.first = dt.date(year, month, 1)
        return made


class Quoted(Fact):
    """Words of the label in quotation marks, shortened."""

    words: str

    def __new__(cls, text: str) -> Quoted:
        words = " ".join(text.split())
        if len(words) > LONGEST_QUOTE:
            words = words[: LONGEST_QUOTE - 1] + "…"
        made = super().__new__(cls, f"“{words}”")
        made.words = words
        return made


class Verbatim(Quoted):
    """Words that are quoted whole, as a file would write them in English."""

    def __new__(cls, text: str) -> Verbatim:
        made = str.__new__(cls, repr(text))
        made.words = text
        return made


class Language(Fact):
    """The name of a language; the tag itself where it names none (it may be a PDF's)."""

    tag: str

    def __new__(cls, tag: str) -> Language:
        made = super().__new__(cls, find_language_name(tag, "en"))
        made.tag = tag
        return made


class FactList(Fact):
    """Several facts in a row, parted by commas or another mark, or joined by "and" or "or"."""

    parts: tuple[str, ...]
    word: str

    def __new__(cls, parts: Iterable[str], word: str = "") -> FactList:
        kept = tuple(parts)
        made = super().__new__(cls, join_texts(kept, word, "en_GB"))
        made.parts, made.word = kept, word
        return made


def shorten_list(parts: Sequence[str], most: int) -> Fact:
    """The first of some facts, and how many more there are."""
    if len(parts) <= most:
        return FactList(parts)
    return Said("{first} and {more} more", first=FactList(parts[:most]), more=len(parts) - most)


def count_things(n: int, one: str, several: str, **facts: object) -> Said:
    """A number of things, by the template for one of them or that for several."""
    return Said(one if n == 1 else several, n=n, **facts)


def join_texts(parts: Sequence[str], word: str, locale: str) -> str:
    """Texts in a row as a locale writes them: with its word for "and" or "or" before the last, or
    all with the same mark between; none is a comma."""
    if word not in _JOINED:
        return f"{word or ','} ".join(parts)
    from babel.lists import format_list

    return format_list(parts, _JOINED[word], locale)


def find_language_name(tag: str, language: str) -> str:
    """What a language is called in another; ``tag`` itself where nobody knows it."""
    from babel import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(tag, sep="-").get_language_name(language) or tag)
    except (UnknownLocaleError, ValueError):
        return tag
