"""Days as people write them, and how they stand in a file."""

from __future__ import annotations

import calendar
import datetime as dt
import re

from labelkit.common.messages import NOTHING, Month, Said
from labelkit.common.months import find_month

_NUMERIC = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})\.?")
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th|er|e|\.)?\s+(?:de\s+)?([^\W\d_]+)\.?,?\s+(\d{4})")
_MONTH_FIRST = re.compile(r"([^\W\d_]+)\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})")
_AS_WRITTEN = Said("write year-month-day, such as 2027-06-19")


def suggest_day(text: str) -> Said:
    """How a day that people write otherwise stands in a file; "" for what is no day.

    ``27.02.2027`` and ``27 février 2027`` are ``2027-02-27``. Where strokes leave open which is
    the month, both readings are given.
    """
    text = text.strip()
    numeric = _NUMERIC.fullmatch(text)
    if numeric:
        return _suggest_from_figures(*numeric.groups())
    for pattern, day_at, month_at in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        named = pattern.fullmatch(text)
        month = find_month(named.group(month_at)) if named else None
        if named and month:
            return _suggest_written_day(int(named.group(3)), month, int(named.group(day_at)))
    return NOTHING


def _suggest_from_figures(first: str, mark: str, second: str, last: str) -> Said:
    one, two, three = int(first), int(second), int(last)
    if len(first) == 4 and len(last) <= 2:
        return _suggest_written_day(one, two, three)
    if len(last) != 4 or len(first) > 2:
        return _AS_WRITTEN
    if two > 12:
        return _suggest_written_day(three, one, two)
    if mark == ".":  # with points the day comes first everywhere
        return _suggest_written_day(three, two, one)
    if all(1 <= month <= 12 for month in (one, two)) and one != two and three:
        day_first, month_first = dt.date(three, two, one), dt.date(three, one, two)
        return Said(
            "write {day_first} if the day came first, {month_first} if the month did",
            day_first=day_first,
            month_first=month_first,
        )
    return _suggest_written_day(three, two, one)


def _suggest_written_day(year: int, month: int, day: int) -> Said:
    if not (1 <= month <= 12 and year >= 1):
        return Said("there is no such day; {cure}", cure=_AS_WRITTEN)
    days = calendar.monthrange(year, month)[1]
    if not 1 <= day <= days:
        return Said(
            "there is no such day: {month} has {days} days",
            month=Month(year, month),
            days=days,
        )
    return Said("write {day}", day=dt.date(year, month, day).isoformat())
