"""Holds the rows that were read against the official text of the law: Canada publishes it in XML,
and so do the United States of their regulations (``cfr.py``).

Of each provision the table keeps where it stands, the day its text was seen, from when that text
was in force, and a hash of it, not the text. Of some only a sentence, or less, was seen word for
word: then the hash is of that, and it is looked for in the provision. Which rows rest on a
provision their citations say.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from functools import lru_cache
from itertools import zip_longest
from pathlib import Path

from labelkit.common.errors import InputError, describe_os_error, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.regions import list_region_titles
from labelkit.common.rule_tables import read_table
from labelkit.rules import cfr
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.surfaces import SurfaceRow, load_surface_rows
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
    """The identifier it has in the XML, whatever its number; empty: it has none."""
    seen: str
    in_force: str
    """Days (ISO 8601): when its text was seen, and from when that text was in force; or empty."""
    sha256: str
    words: int = 0
    """How many words of it were seen, as a quotation; 0: the whole."""


class ProvisionState(StrEnum):
    """What has become of a provision since its text was seen."""

    SAME = "same"
    CHANGED = "changed"
    MOVED = "moved"
    """The same text stands under another number."""
    GONE = "gone"
    NOT_KEPT = "not kept"
    """It is there, but nothing of its words was kept to compare."""
    NO_FILE = "no file"
    """The folder has no text of that law."""


@dataclass(frozen=True, slots=True)
class VerifiedProvision:
    """One provision as it stands in a folder of laws, and the rows that rest on it."""

    provision: Provision
    state: ProvisionState
    in_force: str
    """From when its present text is in force; empty where there is none."""
    rules: tuple[str, ...]
    now: str = ""
    """The section where the text stands now, if it has moved."""


@lru_cache(maxsize=1)
def load_laws() -> Mapping[str, Law]:
    """The laws of which texts are kept, by the short name that citations use."""
    return {short: Law(short, **row) for short, row in read_table("provisions")["law"].items()}


@lru_cache(maxsize=1)
def load_provisions() -> tuple[Provision, ...]:
    """Everything that is kept, in the table's order."""
    return tuple(Provision(**row) for row in read_table("provisions").get("provision", ()))


# -- what the tables cite --------------------------------------------------------------------------


def parse_citation(citation: str) -> tuple[tuple[str, str], ...]:
    """Law and section of every provision in a citation whose law is among ``load_laws``.

    "CPLR ss. 12(b), 6(2)" are two; "27(c), (d)" and "31(2) to (4)" go on where the first stands.
    """
    names = "|".join(re.escape(short) for short in sorted(load_laws(), key=len, reverse=True))
    heads = list(re.finditer(rf"(?<!\w)({names}),?(?=\s)", citation))
    found: list[tuple[str, str]] = []
    for head, following in zip_longest(heads, heads[1:]):
        end = following.start() if following else len(citation)
        body = re.split(r";|\band (?:CR|CPLR)\b", citation[head.end() : end])[0]
        parse = _parse_cfr_sections if is_cfr_title(head[1]) else _parse_sections
        found += ((head[1], section) for section in parse(body))
    return tuple(dict.fromkeys(found))


_ITEM = re.compile(
    r"(?P<schedule>[Ss]chedule(?: [IVX\d]+)?(?:, item \d+)?)"
    r"|(?P<to>\bto\b)|(?P<term>“[^”]+”)"
    r"|(?P<section>\d+(?:\.\d+)*)?(?P<parts>(?:\([\w.]+\))+)|(?P<whole>\d+(?:\.\d+)*)"
)


def _parse_sections(body: str) -> Iterator[str]:
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


_CFR_ITEM = re.compile(r"(?P<to>\bto\b)|(?P<number>\d+(?:\.\d+)?)?(?P<marks>(?:\(\w+\))*)")


def is_cfr_title(law: str) -> bool:
    """Whether a law is a title of the Code of Federal Regulations: "21 CFR"."""
    return law.endswith(" CFR")


def _parse_cfr_sections(body: str) -> Iterator[str]:
    """ "701.13(h)(2), (3), (i)" are (h)(2), (h)(3) and (i): a letter is never in a numeral."""
    number, marks, ranged = "", [""], False
    for item in _CFR_ITEM.finditer(body):
        new = re.findall(r"\((\w+)\)", item["marks"] or "")
        if item["to"]:
            ranged = True
        elif item["number"] or new:
            before = marks[0] if marks else ""
            if item["number"]:
                number, marks = item["number"], new
            else:
                marks = [*(marks[:1] if new[0].isdecimal() else []), *new]
            if ranged:
                between = range(ord(before) + 1, ord(marks[0]))
                yield from (f"{number}({chr(letter)})" for letter in between)
            ranged = False
            yield number + "".join(f"({mark})" for mark in marks)


def index_resting_rows() -> dict[tuple[str, str], tuple[str, ...]]:
    """The rows that were read, by each provision they cite, in the order of the tables.

    Those of other surfaces are named by surface and region: "gift-box CA".
    """
    read: list[tuple[str, Rule | SurfaceRow]] = [
        *((rule.id, rule) for rule in load_rules(tuple(list_region_titles()))),
        *((f"{row.surface} {row.region}", row) for row in load_surface_rows()),
    ]
    found: dict[tuple[str, str], dict[str, None]] = {}
    for name, row in read:
        if row.provenance is Provenance.READ:
            for provision in parse_citation(row.citation):
                found.setdefault(provision, {})[name] = None
    return {provision: tuple(names) for provision, names in found.items()}


# -- the text of the law ---------------------------------------------------------------------------


def read_law(path: Path) -> ET.Element:
    """The root of a law's XML; InputError for a file that is no such thing."""
    told = Said("is no act or regulation in the XML of Canada's or the United States' government")
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as error:
        raise InputError(
            format_path(path),
            "",
            None,
            Said("cannot be read: {reason}", reason=describe_os_error(error)),
        ) from None
    if b"<!ENTITY" in data:
        raise InputError(format_path(path), "", None, told)
    try:
        root = ET.fromstring(data)
    except ET.ParseError as error:
        raise InputError(
            format_path(path), "", None, Said("{told} ({error})", told=told, error=Said(str(error)))
        ) from None
    if root.tag not in ("Regulation", "Statute") and not cfr.is_cfr(root):
        raise InputError(format_path(path), "", None, told)
    return root


def find_provision(root: ET.Element, section: str) -> ET.Element | None:
    """The element of a provision: a section or a part of it, a definition, a schedule's item."""
    if section.startswith("Schedule"):
        return _find_in_schedule(root, section)
    number, _, term = section.partition(" ")
    first, *parts = re.findall(r"^[\d.]+|\([\w.]+\)", number)
    body = root.find("Body")
    sections = () if body is None else body.iter("Section")
    element = next((one for one in sections if _read_label(one) == first), None)
    for part in parts:
        if element is not None:
            inner = (one for one in element if one.tag in _PARTS and _read_label(one) == part)
            element = next(inner, None)
    if element is None or not term:
        return element
    wanted = term.strip("“”")
    defined = (one for one in element.iter("Definition") if _read_term(one) == wanted)
    return next(defined, None)


def _find_in_schedule(root: ET.Element, section: str) -> ET.Element | None:
    name, _, item = section.partition(", item ")
    for schedule in root.iter("Schedule"):
        heading = schedule.find("ScheduleFormHeading")
        if heading is None or _read_label(heading).casefold() != name.casefold():
            continue
        if not item:
            return schedule
        return next((one for one in schedule.iter("Item") if _read_label(one) == item), None)
    return None


def _read_label(element: ET.Element) -> str:
    label = element.find("Label")
    return "" if label is None else "".join(label.itertext()).strip()


def _read_term(definition: ET.Element) -> str:
    term = next(definition.iter("DefinedTermEn"), None)
    return "" if term is None else "".join(term.itertext()).strip()


def read_provision_words(element: ET.Element) -> str:
    """The words of a provision, without notes, numbers of its parts, and line breaks.

    Empty for one that is repealed.
    """
    if element.find("Repealed") is not None or element.find("Text/Repealed") is not None:
        return ""
    return " ".join(unicodedata.normalize("NFKC", " ".join(_list_texts(element))).split())


def _list_texts(element: ET.Element) -> Iterator[str]:
    if element.tag not in _NOT_LAW:
        yield element.text or ""
        for inner in element:
            yield from _list_texts(inner)
            yield inner.tail or ""


def hash_words(words: str) -> str:
    """The hash that the table keeps of a provision's words."""
    return hashlib.sha256(words.encode("utf-8")).hexdigest()


def read_in_force_day(element: ET.Element) -> str:
    """From when the present text of a provision is in force, as the XML says: its latest part."""
    days = [one.get(f"{_LIMS}inforce-start-date", "") for one in element.iter()]
    return max(days, default="")


def read_identifier(element: ET.Element) -> str:
    return element.get(f"{_LIMS}fid", "")


def find_law_file(folder: Path, law: Law) -> Path | None:
    """The English text of a law in a folder or below it; None: it is not there."""
    for path in sorted(folder.rglob(law.file)):
        if read_law(path).get(_LANGUAGE, "en") == "en":
            return path
    return None


def verify_provisions(folder: Path) -> tuple[VerifiedProvision, ...]:
    """Every provision kept, held against the laws in a folder; InputError for what is no law."""
    if not folder.is_dir():
        raise InputError(format_path(folder), "", None, Said("is no folder with the XML of laws"))
    files = {short: find_law_file(folder, law) for short, law in load_laws().items()}
    if not any(files.values()):
        expected = ", ".join(law.file for law in load_laws().values())
        raise InputError(
            format_path(folder),
            "",
            None,
            Said("holds none of these files: {expected}", expected=expected),
        )
    roots = {short: read_law(path) for short, path in files.items() if path}
    rows = index_resting_rows()
    kept = load_provisions()
    known = {(one.law, one.section) for one in kept}
    unseen = (place for place in rows if is_cfr_title(place[0]) and place not in known)
    return tuple(
        _verify_provision(one, roots.get(one.law), rows.get((one.law, one.section), ()))
        for one in (*kept, *(Provision(*place, "", "", "", "") for place in sorted(unseen)))
    )


def _verify_provision(
    kept: Provision, root: ET.Element | None, rules: tuple[str, ...]
) -> VerifiedProvision:
    if root is None:
        return VerifiedProvision(kept, ProvisionState.NO_FILE, "", rules)
    if cfr.is_cfr(root):
        texts = cfr.list_paragraphs(root, kept.section)
        state = _compare_quotation(kept, texts)
        return VerifiedProvision(kept, state, cfr.read_amended_day(root, kept.section), rules)
    element = find_provision(root, kept.section)
    words = "" if element is None else read_provision_words(element)
    if element is not None and hash_words(words) == kept.sha256:
        return VerifiedProvision(kept, ProvisionState.SAME, read_in_force_day(element), rules)
    moved, now = _find_moved(root, kept)
    if moved is not None:
        return VerifiedProvision(kept, ProvisionState.MOVED, read_in_force_day(moved), rules, now)
    if element is None or not words:
        return VerifiedProvision(kept, ProvisionState.GONE, "", rules)
    return VerifiedProvision(kept, ProvisionState.CHANGED, read_in_force_day(element), rules)


def _compare_quotation(kept: Provision, texts: Sequence[str] | None) -> ProvisionState:
    """Whether the words that were seen still stand in a provision, case and signs aside."""
    if texts is None:
        return ProvisionState.GONE
    if not kept.words:
        return ProvisionState.NOT_KEPT
    words = list_plain_words(" ".join(texts))
    ends = range(kept.words, len(words) + 1)
    runs = (" ".join(words[end - kept.words : end]) for end in ends)
    same = any(hash_words(run) == kept.sha256 for run in runs)
    return ProvisionState.SAME if same else ProvisionState.CHANGED


def list_plain_words(text: str) -> list[str]:
    """Words and figures alone, in small letters: how a quotation is compared."""
    return re.findall(r"[a-z0-9]+", text.casefold())


def _find_moved(root: ET.Element, kept: Provision) -> tuple[ET.Element | None, str]:
    """The element that has a provision's identifier and its very words, and where it stands."""
    for section in root.iter("Section"):
        for element, place in _list_numbered_parts(section, _read_label(section)):
            if (
                read_identifier(element) == kept.fid
                and hash_words(read_provision_words(element)) == kept.sha256
            ):
                return element, place
    return None, ""


def _list_numbered_parts(element: ET.Element, place: str) -> Iterator[tuple[ET.Element, str]]:
    yield element, place
    for inner in element:
        if inner.tag in _PARTS:
            yield from _list_numbered_parts(inner, f"{place}{_read_label(inner)}")
