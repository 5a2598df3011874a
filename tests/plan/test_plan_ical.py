"""The calendar file against RFC 5545."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.plan.ical import CalendarEntry, escape_ical, fold_line, format_calendar


def unfolded(text: str) -> str:
    """RFC 5545, 3.1: a CRLF followed by one white space character is taken out."""
    return re.sub(r"\r\n[ \t]", "", text)


def unescaped(text: str) -> str:
    """RFC 5545, 3.3.11: ESCAPED-CHAR is one of \\\\, \\;, \\, and \\n."""
    return re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1], text)


def test_text_is_escaped_as_in_the_standard() -> None:
    # The example of RFC 5545, 3.3.11.
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert escape_ical(text) == (r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.")
    assert escape_ical("a, b; c\\d") == r"a\, b\; c\\d"


@given(st.text(st.characters(codec="utf-8", exclude_characters="\r\n"), max_size=400))
def test_lines_are_folded_at_75_octets_and_between_characters(line: str) -> None:
    # RFC 5545, 3.1: no line over 75 octets; a character of several octets is not split.
    parts = list(fold_line(line))
    assert all(len(part.encode()) <= 75 for part in parts)
    assert unfolded("\r\n".join(parts)) == line
    assert all(part.startswith(" ") for part in parts[1:])


@given(st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=200))
def test_escaping_loses_nothing(text: str) -> None:
    assert unescaped(escape_ical(text)) == text


ENTRIES = (
    CalendarEntry(
        "cure", dt.date(2027, 12, 20), dt.date(2028, 2, 29), "Souper: affiner", "À 73; lot, 2"
    ),
    CalendarEntry("deliver", dt.date(2028, 3, 4), dt.date(2028, 3, 4), "Souper: livrer"),
)


def test_a_calendar_has_what_the_standard_requires() -> None:
    text = format_calendar("Souper, du phare", "order", dt.date(2027, 11, 1), ENTRIES)
    lines = unfolded(text).split("\r\n")
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    # 3.4, 3.6, 3.7.3, 3.7.4: one VCALENDAR with VERSION and PRODID.
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-2] == "END:VCALENDAR"
    assert lines.count("VERSION:2.0") == 1
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    # 3.6.1: UID and DTSTAMP once in each VEVENT; DTEND is exclusive, and may be left out of an
    # event of one day.
    assert sum(line.startswith("UID:") for line in lines) == 2
    assert lines.count("DTSTAMP:20271101T000000Z") == 2
    assert "DTSTART;VALUE=DATE:20271220" in lines
    assert "DTEND;VALUE=DATE:20280301" in lines
    assert sum(line.startswith("DTEND") for line in lines) == 1
    assert r"DESCRIPTION:À 73\; lot\, 2" in lines


def test_the_same_step_keeps_its_identity() -> None:
    def uids(order: str) -> list[str]:
        text = format_calendar("name", order, dt.date(2027, 11, 1), ENTRIES)
        return re.findall(r"UID:(\S+)", text)

    assert uids("order") == uids("order")
    assert len(set(uids("order") + uids("another"))) == 4


def test_another_reader_finds_the_same_events() -> None:
    icalendar = pytest.importorskip("icalendar")
    text = format_calendar("Souper, du phare", "order", dt.date(2027, 11, 1), ENTRIES)
    calendar = icalendar.Calendar.from_ical(text)
    events = list(calendar.walk("VEVENT"))
    assert [str(e["SUMMARY"]) for e in events] == ["Souper: affiner", "Souper: livrer"]
    assert events[0].decoded("DTSTART") == dt.date(2027, 12, 20)
    assert events[0].decoded("DTEND") == dt.date(2028, 3, 1)
    assert str(events[0]["DESCRIPTION"]) == "À 73; lot, 2"
