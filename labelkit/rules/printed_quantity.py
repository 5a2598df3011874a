"""Reads the masses in a net quantity statement, with how each is written."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import GRAMS_PER_OUNCE

_GRAMS = {
    "mg": Fraction(1, 1000),
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": Fraction(GRAMS_PER_OUNCE),
    "lb": Fraction(GRAMS_PER_OUNCE) * 16,
    "dram": Fraction(GRAMS_PER_OUNCE) / 16,
}
_SPELLINGS = {
    "mg": "mg milligram milligrams milligramme milligrammes",
    "g": "g gr grs gm gms gram grams gramme grammes",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
    "oz": "oz ozs ounce ounces once onces",
    "lb": "lb lbs pound pounds livre livres",
    "dram": "dr dram drams",
}
_UNITS = {word: unit for unit, words in _SPELLINGS.items() for word in words.split()}
_AMOUNT = re.compile(
    r"(?<![\w.,])(?<!\d/)(?P<number>(?:\d+\s+)?\d+\s?[/\u2044]\s?\d+|\d*[.,]\d+|\d+)"
    r"(?P<gap>[\s-]*)(?P<word>[^\W\d_]+)(?P<dot>\.?)"
)
METRIC = frozenset({"mg", "g", "kg"})


@dataclass(frozen=True, slots=True)
class PrintedAmount:
    """One mass as printed: "1 1/2 lb", "28,5 g"."""

    text: str
    number: str
    value: Fraction
    unit: str
    """"mg", "g", "kg", "oz", "lb" or "dram"."""
    symbol: str
    """The unit as written, without a full stop."""
    gap: str
    """What stands between the number and the unit."""
    dot: bool
    """Whether a full stop follows the unit."""

    @property
    def grams(self) -> Fraction:
        return self.value * _GRAMS[self.unit]

    @property
    def is_metric(self) -> bool:
        return self.unit in METRIC

    @property
    def denominator(self) -> int | None:
        """Of a vulgar fraction as written; None for a whole or decimal number."""
        _, slash, below = self.number.replace("\u2044", "/").partition("/")
        return int(below) if slash else None

    @property
    def numerator(self) -> int | None:
        above, slash, _ = self.number.replace("\u2044", "/").partition("/")
        return int(above.split()[-1]) if slash else None

    @property
    def decimals(self) -> int:
        """Figures after the decimal marker."""
        _, marker, after = self.number.replace(",", ".").partition(".")
        return len(after) if marker else 0

    @property
    def figures(self) -> int:
        """Significant figures as printed; zeros before the first other figure do not count."""
        return len(re.sub(r"\D", "", self.number).lstrip("0"))

    @property
    def lacks_zero(self) -> bool:
        """Whether it begins with the decimal marker."""
        return self.number[0] in ".,"


@lru_cache(maxsize=256)
def find_amounts(text: str) -> tuple[PrintedAmount, ...]:
    """Every mass in a text, in order."""
    return tuple(_parse_amounts(_expand_fractions(text)))


def _parse_amounts(text: str) -> Iterator[PrintedAmount]:
    position = 0
    while match := _AMOUNT.search(text, position):
        unit = _UNITS.get(match["word"].casefold())
        value = _parse_number(match["number"])
        # A number that belongs to no mass ("3 bars") is passed over word by word.
        position = match.end() if unit else match.end("number")
        if unit and value is not None:
            yield PrintedAmount(
                match[0],
                match["number"],
                value,
                unit,
                match["word"],
                match["gap"],
                bool(match["dot"]),
            )


def _parse_number(number: str) -> Fraction | None:
    whole, _, rest = number.replace("\u2044", "/").rpartition(" ")
    try:
        if "/" in rest:
            return Fraction(rest) + Fraction(whole.strip() or 0)
        return Fraction(number.replace(",", "."))
    except (ValueError, ZeroDivisionError):
        return None


def _expand_fractions(text: str) -> str:
    """Vulgar fraction characters and special spaces in plain figures: 1½ as "1 1/2"."""
    spaced = re.sub(r"([\u00bc-\u00be\u2150-\u215e])", r" \1", text)
    return unicodedata.normalize("NFKC", spaced).strip()
