"""Holds the rows that were read against the official text of the law: Canada publishes it in XML.

Of each provision the table keeps where it stands, the day its text was seen, from when that text
was in force, and a hash of it, not the text. Which rows rest on a provision their citations say.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import zip_longest
from pathlib import Path

from labelkit.common.errors import InputError, shown_path
from labelkit.common.regions import known_regions
from labelkit.common.rule_tables import read_table
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.surfaces import SurfaceRow, every_row
from labelkit.rules.tables import load_rules

MOST_BYTES = 50_000_000
"""Larger than any act: such a file is something else."""
_LIMS = "{http://justice.gc.ca/lims}"
_LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
_PARTS = ("Subsection", "Paragraph", "Subparagraph", "Clause")
_NOT_LAW = ("HistoricalNote", "MarginalNote", "Footnote", "Label")
"""Elements of a provision that are no words of the law."""


@dataclass(frozen=True, slots=True)
class Law:
    """An act or regulation, as the tables cite it and as its file is called."""

    short: str
    name: str
    file: str
    """Name of the English XML file."""


@dataclass(frozen=True, slots=True)
class Provision:
    """What is kept of one provision."""

    law: str
    section: str
    """"14(2)", "2(1) “ingredient”", "Schedule I", "Schedule 1, item 116"."""
    fid: str
    """The identifier it has in the XML, whatever its number."""
    seen: str
    in_force: str
    """Days (ISO 8601): when its text was seen, and from when that text was in force."""
    sha256: str


class State(StrEnum):
    """What has become of a provision since its text was seen."""

    SAME = "same"
    CHANGED = "changed"
    MOVED = "moved"
    """The same text stands under another number."""
    GONE = "gone"
    NO_FILE = "no file"
    """The folder has no text of that law."""


@dataclass(frozen=True, slots=True)
class Verified:
    """One provision as it stands in a folder of laws, and the rows that rest on it."""

    provision: Provision
    state: State
    in_force: str
    """From when its present text is in force; empty where there is none."""
    rules: tuple[str, ...]
    now: str = ""
    """The section where the text stands now, if it has moved."""


@lru_cache(maxsize=1)
def laws() -> Mapping[str, Law]:
    """The laws of which texts are kept, by the short name that citations use."""
    return {short: Law(short, **row) for short, row in read_table("provisions")["law"].items()}


@lru_cache(maxsize=1)
def provisions() -> tuple[Provision, ...]:
    """Everything that is kept, in the table's order."""
    return tuple(Provision(**row) for row in read_table("provisions").get("provision", ()))


# -- what the tables cite --------------------------------------------------------------------------


def cited(citation: str) -> tuple[tuple[str, str], ...]:
    """Law and section of every provision in a citation whose law is among ``laws``.

    "CPLR ss. 12(b), 6(2)" are two; "27(c), (d)" and "31(2) to (4)" go on where the first stands.
    """
    names = "|".join(re.escape(short) for short in sorted(laws(), key=len, reverse=True))
    heads = list(re.finditer(rf"(?<!\w)({names}),?(?=\s)", citation))
    found: list[tuple[str, str]] = []
    for head, following in zip_longest(heads, heads[1:]):
        end = following.start() if following else len(citation)
        body = re.split(r";|\band (?:CR|CPLR)\b", citation[head.end() : end])[0]
        found += ((head[1], section) for section in _sections(body))
    return tuple(dict.fromkeys(found))


_ITEM = re.compile(
    r"(?P<schedule>[Ss]chedule(?: [IVX\d]+)?(?:, item \d+)?)"
    r"|(?P<to>\bto\b)|(?P<term>“[^”]+”)"
    r"|(?P<section>\d+(?:\.\d+)*)?(?P<parts>(?:\([\w.]+\))+)|(?P<whole>\d+(?:\.\d+)*)"
)


def _sections(body: str) -> Iterator[str]:
    base, ranged = "", False
    parts: list[str] = []
    for item in _ITEM.finditer(re.sub(r"\bPart [IVX]+\b", "", body)):
        if item["schedule"]:
            yield item["schedule"][0].upper() + item["schedule"][1:]
        elif item["to"]:
            ranged = True
        elif item["term"]:
            yield f"{base}{''.join(parts)} {item['term']}"
        else:
            new = re.findall(r"\([\w.]+\)", item["parts"] or "")
            first = parts[-1] if parts else ""
            if item["section"] or item["whole"]:
                base, parts = item["section"] or item["whole"], new
            else:
                parts = [*parts[: len(parts) - len(new)], *new]
            lead = f"{base}{''.join(parts[:-1])}"
            if ranged and first.strip("()").isdecimal() and parts[-1].strip("()").isdecimal():
                between = range(int(first.strip("()")) + 1, int(parts[-1].strip("()")))
                yield from (f"{lead}({number})" for number in between)
            ranged = False
            # "2(1) “ingredient”": the definition is meant, not the whole of the section.
            if not re.match(r"\s*“", item.string[item.end() :]):
                yield f"{base}{''.join(parts)}"


def resting() -> dict[tuple[str, str], tuple[str, ...]]:
    """The rows that were read, by each provision they cite, in the order of the tables.

    Those of other surfaces are named by surface and region: "gift-box CA".
    """
    read: list[tuple[str, Rule | SurfaceRow]] = [
        *((rule.id, rule) for rule in load_rules(tuple(known_regions()))),
        *((f"{row.surface} {row.region}", row) for row in every_row()),
    ]
    found: dict[tuple[str, str], dict[str, None]] = {}
    for name, row in read:
        if row.provenance is Provenance.READ:
            for provision in cited(row.citation):
                found.setdefault(provision, {})[name] = None
    return {provision: tuple(names) for provision, names in found.items()}


# -- the text of the law ---------------------------------------------------------------------------


def read_law(path: Path) -> ET.Element:
    """The root of a law's XML; InputError for a file that is no such thing."""
    told = "is no act or regulation in the XML of the Department of Justice of Canada"
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as error:
        raise InputError(shown_path(path), "", None, f"cannot be read: {error.strerror}") from None
    if b"<!ENTITY" in data:
        raise InputError(shown_path(path), "", None, told)
    try:
        root = ET.fromstring(data)
    except ET.ParseError as error:
        raise InputError(shown_path(path), "", None, f"{told} ({error})") from None
    if root.tag not in ("Regulation", "Statute"):
        raise InputError(shown_path(path), "", None, told)
    return root


def find_provision(root: ET.Element, section: str) -> ET.Element | None:
    """The element of a provision: a section or a part of it, a definition, a schedule's item."""
    if section.startswith("Schedule"):
        return _scheduled(root, section)
    number, _, term = section.partition(" ")
    first, *parts = re.findall(r"^[\d.]+|\([\w.]+\)", number)
    body = root.find("Body")
    sections = () if body is None else body.iter("Section")
    element = next((one for one in sections if _label(one) == first), None)
    for part in parts:
        if element is not None:
            inner = (one for one in element if one.tag in _PARTS and _label(one) == part)
            element = next(inner, None)
    if element is None or not term:
        return element
    wanted = term.strip("“”")
    defined = (one for one in element.iter("Definition") if _term(one) == wanted)
    return next(defined, None)


def _scheduled(root: ET.Element, section: str) -> ET.Element | None:
    name, _, item = section.partition(", item ")
    for schedule in root.iter("Schedule"):
        heading = schedule.find("ScheduleFormHeading")
        if heading is None or _label(heading).casefold() != name.casefold():
            continue
        if not item:
            return schedule
        return next((one for one in schedule.iter("Item") if _label(one) == item), None)
    return None


def _label(element: ET.Element) -> str:
    label = element.find("Label")
    return "" if label is None else "".join(label.itertext()).strip()


def _term(definition: ET.Element) -> str:
    term = next(definition.iter("DefinedTermEn"), None)
    return "" if term is None else "".join(term.itertext()).strip()


def words_of(element: ET.Element) -> str:
    """The words of a provision, without notes, numbers of its parts, and line breaks.

    Empty for one that is repealed.
    """
    if element.find("Repealed") is not None or element.find("Text/Repealed") is not None:
        return ""
    return " ".join(unicodedata.normalize("NFKC", " ".join(_texts(element))).split())


def _texts(element: ET.Element) -> Iterator[str]:
    if element.tag not in _NOT_LAW:
        yield element.text or ""
        for inner in element:
            yield from _texts(inner)
            yield inner.tail or ""


def hash_of(words: str) -> str:
    """The hash that the table keeps of a provision's words."""
    return hashlib.sha256(words.encode("utf-8")).hexdigest()


def in_force_from(element: ET.Element) -> str:
    """From when the present text of a provision is in force, as the XML says: its latest part."""
    days = [one.get(f"{_LIMS}inforce-start-date", "") for one in element.iter()]
    return max(days, default="")


def identifier(element: ET.Element) -> str:
    return element.get(f"{_LIMS}fid", "")


def law_file(folder: Path, law: Law) -> Path | None:
    """The English text of a law in a folder or below it; None: it is not there."""
    for path in sorted(folder.rglob(law.file)):
        if read_law(path).get(_LANGUAGE, "en") == "en":
            return path
    return None


def verify(folder: Path) -> tuple[Verified, ...]:
    """Every provision kept, held against the laws in a folder; InputError for what is no law."""
    if not folder.is_dir():
        raise InputError(shown_path(folder), "", None, "is no folder with the XML of laws")
    files = {short: law_file(folder, law) for short, law in laws().items()}
    if not any(files.values()):
        expected = ", ".join(law.file for law in laws().values())
        raise InputError(shown_path(folder), "", None, f"holds none of these files: {expected}")
    roots = {short: read_law(path) for short, path in files.items() if path}
    rows = resting()
    return tuple(
        _verified(one, roots.get(one.law), rows.get((one.law, one.section), ()))
        for one in provisions()
    )


def _verified(kept: Provision, root: ET.Element | None, rules: tuple[str, ...]) -> Verified:
    if root is None:
        return Verified(kept, State.NO_FILE, "", rules)
    element = find_provision(root, kept.section)
    words = "" if element is None else words_of(element)
    if element is not None and hash_of(words) == kept.sha256:
        return Verified(kept, State.SAME, in_force_from(element), rules)
    moved, now = _moved(root, kept)
    if moved is not None:
        return Verified(kept, State.MOVED, in_force_from(moved), rules, now)
    if element is None or not words:
        return Verified(kept, State.GONE, "", rules)
    return Verified(kept, State.CHANGED, in_force_from(element), rules)


def _moved(root: ET.Element, kept: Provision) -> tuple[ET.Element | None, str]:
    """The element that has a provision's identifier and its very words, and where it stands."""
    for section in root.iter("Section"):
        for element, place in _numbered(section, _label(section)):
            if identifier(element) == kept.fid and hash_of(words_of(element)) == kept.sha256:
                return element, place
    return None, ""


def _numbered(element: ET.Element, place: str) -> Iterator[tuple[ET.Element, str]]:
    yield element, place
    for inner in element:
        if inner.tag in _PARTS:
            yield from _numbered(inner, f"{place}{_label(inner)}")
