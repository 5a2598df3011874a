"""Reads the dates in a statement of durability that are written with the month's name."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from labelkit.months import month_named

_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th|er|e|\.|º|ª)?"
_MONTH = r"(?P<month>[^\W\d_]{3,})\.?"
_YEAR = r"(?P<year>[12]\d{3})(?!\d)"
_OF = r"(?:(?:of|de|del|do)\s+)?"
_GAP = r"(?:\s*[/.-]\s*|,?\s+)"
_ORDERS = tuple(
    re.compile(pattern)
    for pattern in (
        rf"(?<![\w/.-])(?:{_DAY}{_GAP}{_OF})?{_MONTH}{_GAP}{_OF}{_YEAR}",
        rf"(?<!\w){_MONTH}\s+{_DAY},?\s+{_YEAR}",
        # As Hungarian, Lithuanian and Latvian have it, with their words for "year".
        rf"(?<!\d){_YEAR}(?:\.|\s+m\.|\.?\s+gada)?{_GAP}{_MONTH}(?:\s+{_DAY}(?!\d))?",
    )
)


@dataclass(frozen=True, slots=True)
class WordedDate:
    """A month and year, perhaps with a day, whose month is written as a word."""

    text: str
    """As it stands on the label."""
    year: int
    month: int
    day: int | None

    @property
    def last(self) -> dt.date:
        """Its day, or the last of its month."""
        return dt.date(self.year, self.month, self.day or monthrange(self.year, self.month)[1])

    @property
    def in_figures(self) -> str:
        """As month/year or day/month/year."""
        start = f"{self.day:02}/" if self.day else ""
        return f"{start}{self.month:02}/{self.year}"


def dates_in_words(text: str, languages: Iterable[str]) -> Iterator[WordedDate]:
    """Every date in a text whose month is named; ``languages`` (BCP 47) are tried before others."""
    first = tuple(languages)
    for order in _ORDERS:
        for match in order.finditer(text):
            month = month_named(match["month"], first)
            if month:
                year, day = int(match["year"]), int(match["day"] or 0)
                known = 1 <= day <= monthrange(year, month)[1]
                yield WordedDate(match[0].strip(), year, month, day if known else None)
