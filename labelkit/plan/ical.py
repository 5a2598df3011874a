"""The schedule as an iCalendar file (RFC 5545), written by hand: it is a page of text.

Every step is an event of whole days that does not block the maker's time.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from hashlib import sha256

from labelkit.common.frozen import dataclass

MOST_OCTETS = 75
"""Of a line, without its line break (RFC 5545, 3.1)."""


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One event of whole days. ``key`` names the step, so that a new file updates the old one."""

    key: str
    first: dt.date
    last: dt.date
    summary: str
    description: str = ""


def format_calendar(name: str, order: str, on: dt.date, entries: Iterable[CalendarEntry]) -> str:
    """The calendar of an order; ``order`` tells it from others and ``on`` stamps it."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//labelkit//plan//EN",
        "CALSCALE:GREGORIAN",
        f"X-WR-CALNAME:{escape_ical(name)}",
    ]
    for entry in entries:
        lines += _format_event(order, on, entry)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in fold_line(line))


def _format_event(order: str, on: dt.date, entry: CalendarEntry) -> Iterator[str]:
    digest = sha256(f"{order}\n{entry.key}".encode()).hexdigest()[:24]
    yield "BEGIN:VEVENT"
    yield f"UID:{digest}@labelkit.invalid"
    yield f"DTSTAMP:{_format_day(on)}T000000Z"
    yield f"DTSTART;VALUE=DATE:{_format_day(entry.first)}"
    # The end of an event of whole days is the day after it, and left out where the event is a
    # single day (RFC 5545, 3.6.1).
    if entry.last > entry.first:
        yield f"DTEND;VALUE=DATE:{_format_day(entry.last + dt.timedelta(days=1))}"
    yield f"SUMMARY:{escape_ical(entry.summary)}"
    if entry.description:
        yield f"DESCRIPTION:{escape_ical(entry.description)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _format_day(day: dt.date) -> str:
    return day.strftime("%Y%m%d") if day.year >= 1000 else f"{day.year:04d}{day:%m%d}"


def escape_ical(text: str) -> str:
    """TEXT as RFC 5545, 3.3.11 wants it: backslash, semicolon, comma and line end escaped."""
    for mark in ("\\", ";", ","):
        text = text.replace(mark, f"\\{mark}")
    return text.replace("\r\n", "\\n").replace("\n", "\\n").replace("\r", "")


def fold_line(line: str) -> Iterator[str]:
    """A content line cut into parts of at most 75 octets, each after the first led by a space.

    No character is cut in two (RFC 5545, 3.1).
    """
    part, octets = "", 0
    for character in line:
        size = len(character.encode())
        if octets + size > MOST_OCTETS:
            yield part
            part, octets = " ", 1
        part, octets = part + character, octets + size
    yield part
