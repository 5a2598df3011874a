"""Reads the dates in a statement of durability, in figures or with the month's name."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange
from collections.abc import Iterable, Iterator

from labelkit.common.frozen import dataclass
from labelkit.common.months import find_month

DATE_LIKE = re.compile(r"\d{1,4}(?:[/.-]\d{1,4}){1,2}")
_DAY_MONTH_YEAR = re.compile(
    r"(?:(?:0?[1-9]|[12]\d|3[01])[/.-])?(?:0?[1-9]|1[0-2])[/.-](?!0000)\d{4}"
)
_YEAR_FIGURES = 4

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
class StatedDate:
    """A month and year, perhaps with a day, until which a piece is said to keep."""

    text: str
    """As it stands on the label."""
    year: int
    month: int
    day: int | None

    @property
    def last(self) -> dt.date:
        """Its day, or the last of its month: "best used before the end of"."""
        return dt.date(self.year, self.month, self.day or monthrange(self.year, self.month)[1])

    @property
    def in_figures(self) -> str:
        """As month/year or day/month/year."""
        start = f"{self.day:02}/" if self.day else ""
        return f"{start}{self.month:02}/{self.year}"


def find_stated_dates(text: str, languages: Iterable[str]) -> list[StatedDate]:
    """Every date in a text; those in words only where none is in figures."""
    return [*find_dates_in_figures(text)] or [*find_dates_in_words(text, languages)]


def find_dates_in_words(text: str, languages: Iterable[str]) -> Iterator[StatedDate]:
    """Every date in a text whose month is named; ``languages`` (BCP 47) are tried before others."""
    first = tuple(languages)
    for order in _ORDERS:
        for match in order.finditer(text):
            month = find_month(match["month"], first)
            if month:
                year, day = int(match["year"]), int(match["day"] or 0)
                known = 1 <= day <= monthrange(year, month)[1]
                yield StatedDate(match[0].strip(), year, month, day if known else None)


def find_dates_in_figures(text: str) -> Iterator[StatedDate]:
    """Every date in a text that is in figures, whatever their order, where it can be told."""
    for match in DATE_LIKE.finditer(text):
        written = match[0] if is_date_in_order(match[0]) else put_date_in_order(match[0])
        if written:
            *day, month, year = (int(part) for part in re.split(r"[/.-]", written))
            last = monthrange(year, month)[1]
            yield StatedDate(match[0], year, month, min(day[0], last) if day else None)


def is_date_in_order(written: str) -> bool:
    """Whether a date in figures is month/year or day/month/year."""
    return _DAY_MONTH_YEAR.fullmatch(written) is not None


def put_date_in_order(written: str) -> str:
    """A date with its year first, or its month before its day, as it is to stand; empty: unclear.

    The year has to have four figures.
    """
    parts = re.split(r"[/.-]", written)
    if len(parts[0]) == _YEAR_FIGURES:
        year, *others = parts
        others.reverse()
    else:
        *others, year = parts
    likely = [others, others[::-1]]
    found = ("/".join((*(part.zfill(2) for part in order), year)) for order in likely)
    return next((date for date in found if _is_date(date)), "")


def _is_date(text: str) -> bool:
    """Whether a text is a month and year, or a day that there is."""
    if not is_date_in_order(text):
        return False
    *day, month, year = map(int, text.split("/"))
    return not day or day[0] <= monthrange(year, month)[1]
