"""The words of a report in one language, from a file per language, and how its locale writes."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from importlib.resources import files
from typing import Any

from labelkit.errors import LabelkitError
from labelkit.quantity import written_date, written_number

_NO_BREAK = {" %": "\u00a0%", " :": "\u00a0:", "« ": "«\u00a0", " »": "\u00a0»"}


class LanguageError(LabelkitError):
    """A language that a report was asked for and has no words in."""


@dataclass(frozen=True)
class Phrases:
    """Words by dotted key, and the locale that numbers, dates and money are written for."""

    language: str
    locale: str
    words: Mapping[str, str]

    def __call__(self, key: str, **values: object) -> str:
        """The words of a key with its braces filled; KeyError for a key that is not there."""
        return self.words[key].format(**values)

    def has(self, key: str) -> bool:
        return key in self.words

    def many(self, key: str, number: int | Decimal) -> str:
        """A counted thing in the form its number takes."""
        from babel import Locale

        form = Locale.parse(self.locale).plural_form(number)
        template = self.words.get(f"plural.{key}.{form}") or self.words[f"plural.{key}.other"]
        return template.format(n=self.number(Decimal(number)))

    def number(self, value: Decimal | int, places: int | None = None) -> str:
        """A number as the locale writes it, rounded to ``places`` or with its own decimals."""
        value = Decimal(value)
        if places is not None:
            value = value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
        return written_number(value, self.locale)

    def grams(self, mass_g: Decimal, places: int | None = None) -> str:
        """A mass with its unit; without ``places`` as many decimals as it has."""
        value = mass_g if places is not None else plain(mass_g)
        return f"{self.number(value, places)}\u00a0{self('unit.grams')}"

    def date(self, day: dt.date, style: str = "long") -> str:
        return written_date(day, self.locale, style)

    def weekday(self, day: dt.date) -> str:
        return written_date(day, self.locale, "EEEE")

    def money(self, amount: Decimal, currency: str) -> str:
        from babel.numbers import format_currency

        return str(format_currency(amount, currency, locale=self.locale))

    def of(self, words: Mapping[str, str]) -> str:
        """The maker's own words in this language, or in whichever they are written."""
        return words.get(self.language) or words.get("") or next(iter(words.values()), "")


def plain(value: Decimal) -> Decimal:
    """A number without trailing zeros or exponent: 143.20 is 143.2, 1E+3 is 1000."""
    value = value.normalize()
    return value.quantize(Decimal(1)) if value == value.to_integral_value() else value


def languages(book: str) -> tuple[str, ...]:
    """The languages a book of words is written in."""
    names = (path.name for path in files("labelkit.report").joinpath("words").iterdir())
    return tuple(sorted(n.split(".")[1] for n in names if n.startswith(f"{book}.")))


def phrases(book: str, language: str, territory: str) -> Phrases:
    """The words of a book in a language, written as in a territory (ISO 3166) where it can be.

    Raises LanguageError when the book has no such language.
    """
    known = languages(book)
    if language not in known:
        raise LanguageError(f"language {language}: expected one of {', '.join(known)}")
    return Phrases(language, _locale(language, territory), _words(book, language))


def _locale(language: str, territory: str) -> str:
    from babel import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(f"{language}_{territory}"))
    except (UnknownLocaleError, ValueError):
        return language


@lru_cache(maxsize=16)
def _words(book: str, language: str) -> Mapping[str, str]:
    name = f"words/{book}.{language}.toml"
    data = tomllib.loads(files("labelkit.report").joinpath(name).read_text("utf-8"))
    return dict(_flat("", data))


def _flat(prefix: str, data: Mapping[str, Any]) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, value in data.items():
        key = f"{prefix}.{name}" if prefix else name
        found += _flat(key, value) if isinstance(value, dict) else [(key, _tight(value))]
    return found


def _tight(text: str) -> str:
    """Binds to its neighbour what must not be parted from it at the end of a line."""
    for loose, bound in _NO_BREAK.items():
        text = text.replace(loose, bound)
    return text
