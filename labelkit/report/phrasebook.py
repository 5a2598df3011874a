"""The words of a report in one language, from a file per language, and how its locale writes."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Verbatim
from labelkit.common.own_tables import read_own_table
from labelkit.common.quantity import format_long_date, format_report_number
from labelkit.common.scales import (
    Scale,
    ScaleUnit,
    find_other_scale,
    format_figure,
    format_on_scale,
)
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.french import set_french_spacing

_BEFORE_UNIT = re.compile(r"(?<=[\d}]) (?=(?:%|(?:mm|cm|g|kg|mL|em|pt|ppp|dpi|cm²|po²)(?!\w)))")
_FIELD = re.compile(r"`[^`]*`|\{[^{}]*\}")
"""What is left as it is while a text is spaced: fields to be filled, and what is typed as it stands
between backticks."""
_AT_HOME = {"en": "en_GB"}
"""Languages whose plain locale is one country's: Unicode CLDR's "en" has the days of the United
States, where nearly all other English has the day first, as its "en_001" (the world)."""
_PRIVATE = 0xE000
"""Letters from here on stand for fields while a text is spaced."""


class LanguageError(LabelkitError):
    """A language that a report was asked for and has no words in."""

    def __init__(self, language: str, known: Iterable[str]) -> None:
        super().__init__(
            Said(
                "--language: {language}: expected one of {languages}, the languages that reports "
                "are written in; those of the label itself stand under label.languages",
                language=Verbatim(language),
                languages=FactList(known),
            )
        )


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
        return self.form(f"plural.{key}", number, n=self.number(Decimal(number)))

    def form(self, key: str, number: int | Decimal, **values: object) -> str:
        """The words of a key in the form that a number takes, which may stand apart from them.

        Which form that is, the plural rules of Unicode CLDR say: French has the singular for 0.
        """
        from babel import Locale

        form = f"{key}.{Locale.parse(self.locale).plural_form(number)}"
        return self(form if self.has(form) else f"{key}.other", **values)

    def number(self, value: Decimal | int, places: int | None = None) -> str:
        """A number as reports write it, rounded to ``places`` or with its own decimals."""
        value = Decimal(value)
        if places is not None:
            value = value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
        return format_report_number(value, self.locale)

    def grams(self, mass_g: Decimal, places: int | None = None) -> str:
        """A mass with its unit; without ``places`` as many decimals as it has."""
        value = mass_g if places is not None else strip_zeros(mass_g)
        return f"{self.number(value, places)}\u00a0{self('unit.grams')}"

    def weighed(self, mass_g: Decimal, scale: Scale, rounding: str = ROUND_HALF_UP) -> str:
        """A mass as a scale shows it; grams follow where the scale shows ounces."""
        shown = format_on_scale(mass_g, scale, self.locale, rounding)
        if not scale.is_avoirdupois:
            return shown
        grams = find_other_scale(scale, ScaleUnit.GRAMS)
        return f"{shown} ({format_on_scale(mass_g, grams, self.locale, rounding)})"

    def average(self, mass_g: Decimal, scale: Scale) -> str:
        """What many weighings on a scale come to: a place finer than one of them."""
        return self.weighed(mass_g, scale.average)

    def average_figure(self, mass_g: Decimal, scale: Scale) -> str:
        """The same without its unit."""
        return format_figure(mass_g, scale.average, self.locale)

    def date(self, day: dt.date, style: str = "long") -> str:
        return format_long_date(day, self.locale, style)

    def weekday(self, day: dt.date) -> str:
        return format_long_date(day, self.locale, "EEEE")

    def money(self, amount: Decimal, currency: str) -> str:
        from babel.numbers import format_currency

        return str(format_currency(amount, currency, locale=self.locale))

    def of(self, words: Mapping[str, str]) -> str:
        """The maker's own words in this language, or in whichever they are written, as set type."""
        return set_apostrophes(pick_language(words, self.language))


def pick_language(words: Mapping[str, str], language: str) -> str:
    """The maker's own words in a language, or in whichever they are written, as they were typed."""
    return words.get(language) or words.get("") or next(iter(words.values()), "")


def strip_zeros(value: Decimal) -> Decimal:
    """A number without trailing zeros or exponent: 143.20 is 143.2, 1E+3 is 1000."""
    value = value.normalize()
    return value.quantize(Decimal(1)) if value == value.to_integral_value() else value


@cache
def list_languages(book: str) -> tuple[str, ...]:
    """The languages a book of words is written in."""
    names = (path.name for path in files("labelkit.report").joinpath("words").iterdir())
    return tuple(sorted({n.split(".")[1] for n in names if n.startswith(f"{book}.")}))


def load_phrases(book: str, language: str, *regions: str, occasion: str = "") -> Phrases:
    """The words of a book in a language, written as ``choose_locale`` says for some regions.

    A file such as plan-CA.fr.toml holds the words that are others in one country, one such as
    plan-memorial.fr.toml those that are others on an occasion.

    Raises LanguageError when the book has no such language.
    """
    known = list_languages(book)
    if language not in known:
        raise LanguageError(language, known)
    locale = choose_locale(language, *regions)
    words = _load_words(book, language)
    for own in (f"{book}-{locale.partition('_')[2]}", f"{book}-{occasion}"):
        if language in list_languages(own):
            words = {**words, **_load_words(own, language)}
    return Phrases(language, locale, words)


def choose_locale(language: str, *regions: str) -> str:
    """How a language is written by its readers: as in the first of the regions (ISO 3166) in which
    it is an official language, or else as at its own home, whatever marks the country has.

    One locale writes all of a report: numbers, days, money and lists.
    """
    from babel import Locale, UnknownLocaleError
    from babel.languages import get_official_languages

    for territory in (region.split("-")[0] for region in regions):
        if language in get_official_languages(territory, de_facto=True):
            try:
                return str(Locale.parse(f"{language}_{territory}"))
            except (UnknownLocaleError, ValueError):
                continue
    return _AT_HOME.get(language, language)


@lru_cache(maxsize=16)
def _load_words(book: str, language: str) -> Mapping[str, str]:
    data = read_own_table(f"report/words/{book}.{language}")
    return {key: bind_words(text, language) for key, text in _flatten_words("", data)}


def _flatten_words(prefix: str, data: Mapping[str, Any]) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, value in data.items():
        key = f"{prefix}.{name}" if prefix else name
        found += _flatten_words(key, value) if isinstance(value, dict) else [(key, value)]
    return found


def bind_words(text: str, language: str) -> str:
    """Binds to its neighbour what must not be parted from it at the end of a line.

    Units to their numbers; in French also high punctuation and guillemets, by the narrow no-break
    space. Braces to be filled and what stands between backticks are left as they are.
    """
    text = _BEFORE_UNIT.sub("\u00a0", text)
    if language != "fr":
        return text
    fields = _FIELD.findall(text)
    places = iter(range(_PRIVATE, _PRIVATE + len(fields)))
    spaced = set_french_spacing(_FIELD.sub(lambda _: chr(next(places)), text))
    for number, field in enumerate(fields):
        spaced = spaced.replace(chr(_PRIVATE + number), field)
    return spaced
