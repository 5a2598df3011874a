"""Reads the Code of Federal Regulations as the United States' printing office publishes it in XML.

Two forms: the current text (eCFR bulk data: ``DIV8 TYPE="SECTION" N="§ 701.13"``) and the annual
edition (``SECTION`` with ``SECTNO``). Both have the paragraphs of a section one after another, each
with its own mark at its head, "(h)" or "(1)"; which lies in which, only the marks tell.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import zip_longest

ROOTS = ("DLPSTEXTCLASS", "ECFR", "CFRDOC", "CFRGRANULE")
"""GPO, e-CFR XML User Guide, and CFR XML User Guide; "ECFR" and "CFRGRANULE" from memory."""
_NOT_LAW = ("HEAD", "SECTNO", "SUBJECT", "CITA", "SECAUTH", "EDNOTE", "EFFDNOT", "FTNT", "PRTPAGE")
"""Elements of a section that are no words of it."""
_MARKS = re.compile(r"\s*((?:\(\w{1,5}\)\s*)+)")
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii", "xiii", "xiv")
_DATE = re.compile(r"([A-Z][a-z]{2})[a-z]*\.? (\d{1,2}), (\d{4})")


def is_cfr(root: ET.Element) -> bool:
    return root.tag in ROOTS


def list_paragraphs(root: ET.Element, section: str) -> tuple[str, ...] | None:
    """The texts of a section's paragraph ("701.13(h)(1)") with all that lies in it, of a whole
    section ("701.13") or of a part ("255"); None where it is not there."""
    number, *marks = re.findall(r"^[\d.]+|\(\w+\)", section)
    if "." not in number:
        part = _find_part(root, number)
        return None if part is None else tuple(_list_texts(part))
    found = _find_section(root, number)
    if found is None:
        return None
    texts = tuple(_list_texts(found))
    if not marks:
        return texts
    wanted = tuple(mark.strip("()") for mark in marks)
    inside = [text for place, text in _place_paragraphs(texts) if place[: len(wanted)] == wanted]
    return tuple(inside) or None


def read_amended_day(root: ET.Element, section: str) -> str:
    """The day (ISO 8601) on which a section was last amended, as its source note says; or ""."""
    found = _find_section(root, re.match(r"[\d.]*", section)[0])  # type: ignore[index]
    notes = () if found is None else found.iter("CITA")
    days = (match for note in notes for match in _DATE.finditer(_join_text(note)))
    return max((_to_iso(match) for match in days), default="")


def _to_iso(match: re.Match[str]) -> str:
    try:
        return datetime.strptime(" ".join(match.groups()), "%b %d %Y").date().isoformat()
    except ValueError:  # no month's name
        return ""


def _find_part(root: ET.Element, number: str) -> ET.Element | None:
    parts = (one for one in root.iter("DIV5") if one.get("N") == number)
    return next(parts, None) or next(
        (one for one in root.iter("PART") if _names_part(one, number)), None
    )


def _names_part(part: ET.Element, number: str) -> bool:
    heading = part.find("HD")
    return heading is not None and _join_text(heading).upper().startswith(f"PART {number}—")


def _find_section(root: ET.Element, number: str) -> ET.Element | None:
    for one in root.iter("DIV8"):
        if one.get("TYPE") == "SECTION" and _read_number(one.get("N", "")) == number:
            return one
    for one in root.iter("SECTION"):
        named = one.find("SECTNO")
        if named is not None and _read_number(_join_text(named)) == number:
            return one
    return None


def _read_number(text: str) -> str:
    """A section's number, without the sign before it."""
    return text.replace("§", "").strip()


def _list_texts(element: ET.Element) -> Iterator[str]:
    """The paragraphs of a section or a part, in order."""
    for inner in element:
        if inner.tag in _NOT_LAW:
            continue
        if inner.tag in ("P", "FP", "FP-1", "FP-2"):
            yield _join_text(inner)
        else:
            yield from _list_texts(inner)


def _join_text(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


# -- which paragraph lies in which -----------------------------------------------------------------


def _place_paragraphs(texts: Sequence[str]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every paragraph with its place, such as ("h", "1"); one without a mark goes on with the one
    before it."""
    marks = [_read_marks(text) for text in texts]
    following = [next((m[0] for m in marks[n + 1 :] if m), "") for n in range(len(marks))]
    place: tuple[str, ...] = ()
    for text, own, later in zip_longest(texts, marks, following, fillvalue=""):
        for number, mark in enumerate(own):
            after = own[number + 1] if number + 1 < len(own) else later
            place = _step_into(place, mark, str(after))
        yield place, str(text)


def _read_marks(text: str) -> tuple[str, ...]:
    found = _MARKS.match(text)
    return tuple(re.findall(r"\((\w+)\)", found[1])) if found else ()


def _step_into(place: tuple[str, ...], mark: str, later: str) -> tuple[str, ...]:
    """The place of a mark after another place: (a), (1), (i), (A) lie in each other in this order
    (1 CFR 21.11). A letter that is a numeral too is read by what went before and what comes."""
    if mark.isdecimal():
        return (*place[:1], mark)
    if mark.isupper():
        return (*place[:3], mark)
    if mark in _ROMAN and len(place) > 1 and _goes_on_in_numerals(place, mark, later):
        return (*place[:2], mark)
    return (mark,)


def _goes_on_in_numerals(place: tuple[str, ...], mark: str, later: str) -> bool:
    order = _ROMAN.index(mark)
    before = place[2] if len(place) > 2 else ""
    is_next = before in _ROMAN[order - 1 : order] if order else not before
    is_next_letter = len(mark) == 1 and ord(mark) == ord(place[0][0]) + 1
    if is_next and is_next_letter:  # (h)(3), then (i): what follows tells
        return later == _ROMAN[order + 1]
    return is_next
