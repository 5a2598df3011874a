"""Absurd values, and sample documents with some of theirs replaced by them."""

from __future__ import annotations

import copy
import datetime as dt
import math
import re
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

Node = Any
"""A value of a TOML document."""
Path = tuple[str | int, ...]

# -- values ----------------------------------------------------------------------------------------

ARABIC = "صابون زيتون"
HEBREW = "סבון זית"
OVERRIDE = "Soap \u202egnihton\u202c \u2066x\u2069"
COMBINED = "S" + "\u0301\u0323\u0308" * 200 + "oap"

TEXTS = (
    "", " ", "\t", "\n", "a\nb", "x" * 300, "word " * 2_000, "x" * 50_000, "\u0000",
    "\u001b[31mred",
    "\u007f", "\u0085", "\u2028", ARABIC, HEBREW, OVERRIDE, COMBINED, "e\u0301", "\ufeffSoap",
    "\U0001f9fc", "\U0001f468\u200d\U0001f469\u200d\U0001f467", "\ufffe", "\uffff", "\ue000",
    "\U0010ffff", "สบู่", "साबुन", "石鹸", "ﬁligree", "Straße", "İstanbul", "\u00ad\u00ad", "\u200b",
    "<<<", "<<< fill in", "<b>&amp;</b>", "'; DROP TABLE event; --", "$(reboot)", "%s%n%d",
    "{{ 7 * 7 }}", "{% include 'label.toml' %}", "{{ names.__class__ }}", "(" * 500, ")" * 3,
    "..", "/", "../label.toml", "/dev/zero", "/etc/hostname", "label.toml", "C:\\con", "a/b/c",
    "nul\\0", "http://127.0.0.1:9/x", "file:///etc/hostname", "~", "$HOME", "-", "--help", "%",
    "#", "#zzzzzz", "#12345", "#000000", "none", "True", "nan", "inf", "None", "[]", "{}",
)  # fmt: skip
NUMBERS = (
    0, -1, 1, 2, 3, 41, 99, 1_000_000, 1_000_001, 2**31, 2**63, -(2**63), 10**30, 10**300, 0.0,
    -0.0,
    0.1, 1e-9, 5e-324, 0.5, 1.5, 99.9, 1e9, 1e18, 1e308, -1e308, math.nan, math.inf, -math.inf,
)  # fmt: skip
QUANTITY_NUMBERS = (
    "0", "0.0", "-1", "-0", "1", "0.0001", "0.3", "5", "8", "12,5", "44", "1 000", "999999",
    "1e9", "9" * 30, "9" * 400, "0." + "0" * 300 + "1", "nan", "inf", "-inf", "NaN", "٤٤", "½",
    "1/2",
    "1..2", "1,2,3", "+7", "", " ", "0x1f", "1_0", "²",
)  # fmt: skip
UNITS = (
    "mm", "cm", "m", "km", "in", '"', "″", "pt", "g", "kg", "mg", "lb", "oz", "stone", "µm", "%",
    "ml",
    "", " mm mm", "mm x", "x mm", "× 28 mm", "x 28 mm", "x 28", "min", "weeks", "€", "mm\u0000",
)  # fmt: skip
DATES = (
    dt.date(1, 1, 1), dt.date(1582, 10, 10), dt.date(1999, 12, 31), dt.date(2024, 2, 29),
    dt.date(2027, 6, 19), dt.date(9999, 12, 31), dt.datetime(2027, 6, 19, 10), dt.time(10, 0),
)  # fmt: skip
CODES = (
    "en", "fr", "de", "nl", "fi", "sv", "ar", "he", "zh", "zh-Hant-TW", "en-GB", "xx", "EN", "e",
    "",
    "root", "fr_CA", "und", "en-" + "x" * 50, "CA", "US", "EU", "BE", "AQ", "ca", "CA-QC", "GB-NIR",
    "rectangle", "rounded", "round", "oval", "arch", "square", "back", "front", "tag", "card",
    "leaflet", "notice", "website", "cosmetic", "soap", "die", "plain", "roll", "NaOH", "KOH",
    "letter-plain", "a4-4x8-44x28", "roll-62", "names", "text", "bold", "left", "justified",
    "after trace", "parfum", "name", "ingredients", "net-quantity", "dealer", "lot", "guest",
)  # fmt: skip


def quantities() -> st.SearchStrategy[str]:
    """Text that might be a mass, a length, a size or a share, and mostly is not."""
    return st.builds(
        lambda number, gap, unit: f"{number}{gap}{unit}",
        st.sampled_from(QUANTITY_NUMBERS),
        st.sampled_from(("", " ", "\u00a0", "\u202f", "\t")),
        st.sampled_from(UNITS),
    )


def texts() -> st.SearchStrategy[str]:
    return st.one_of(
        st.sampled_from(TEXTS),
        quantities(),
        st.sampled_from(CODES),
        st.text(st.characters(exclude_categories=("Cs",)), max_size=40),
    )


def scalars() -> st.SearchStrategy[Node]:
    return st.one_of(
        texts(),
        texts(),
        st.sampled_from(NUMBERS),
        st.sampled_from(DATES),
        st.booleans(),
        st.integers(-(10**6), 10**6),
        st.floats(),
    )


def values() -> st.SearchStrategy[Node]:
    """Any value of a document: scalars, lists, tables, and nests of them."""
    return st.one_of(
        scalars(),
        scalars(),
        scalars(),
        st.lists(scalars(), max_size=4),
        st.dictionaries(texts(), scalars(), max_size=3),
        st.builds(nested, st.integers(1, 60), st.booleans(), scalars()),
        st.builds(lambda value, count: [value] * count, scalars(), st.sampled_from((41, 300))),
    )


def nested(depth: int, lists: bool, value: Node) -> Node:
    """A value inside so many lists or tables."""
    for _ in range(depth):
        value = [value] if lists else {"a": value}
    return value


# -- mutations -------------------------------------------------------------------------------------


def paths(document: Node, above: Path = ()) -> Iterator[Path]:
    """The way to every value of a document, outermost first."""
    items: Iterator[tuple[str | int, Node]]
    items = iter(document.items()) if isinstance(document, dict) else iter(enumerate(document))
    for key, value in items:
        yield (*above, key)
        if isinstance(value, dict | list):
            yield from paths(value, (*above, key))


def at(document: Node, path: Path) -> Node:
    for key in path:
        document = document[key]
    return document


@st.composite
def mutated(draw: st.DrawFn, document: Node) -> tuple[Node, str]:
    """A document with one to three of its values spoilt, and what was done to it."""
    made = copy.deepcopy(document)
    done = []
    for _ in range(draw(st.sampled_from((1, 1, 1, 2, 3)))):
        ways = list(paths(made))
        if not ways:
            break
        path = draw(st.sampled_from(ways))
        place, key = at(made, path[:-1]), path[-1]
        name = ".".join(map(str, path))
        act = draw(st.sampled_from(_ACTS))
        if act == "scale":
            factor = draw(st.sampled_from(FACTORS))
            place[key] = _scaled(place[key], factor)
            done.append(f"{name} x {factor}")
        elif act == "words" and isinstance(place[key], str):
            place[key] = draw(st.sampled_from(WORDS))
            done.append(f"{name} = {_short(place[key])}")
        elif act in {"replace", "like", "words"}:
            value = draw(values() if act == "replace" else _like(place[key]))
            place[key] = value
            done.append(f"{name} = {_short(value)}")
        elif act == "drop":
            del place[key]
            done.append(f"no {name}")
        elif act == "borrow":
            other = draw(st.sampled_from(ways))
            value = copy.deepcopy(at(document_or(made, document, other), other))
            place[key] = value
            done.append(f"{name} = {'.'.join(map(str, other))}")
        elif act == "repeat" and isinstance(place[key], list) and place[key]:
            times = draw(st.sampled_from((2, 30, 300)))
            place[key] = [copy.deepcopy(place[key][0]) for _ in range(times)]
            done.append(f"{name} {times} times")
        elif isinstance(place, dict):
            other_key = draw(texts())
            place[other_key] = place.pop(key) if act == "rename" else draw(values())
            done.append(f"{act} {_short(other_key)} at {name}")
    return made, "; ".join(done)


_ACTS = (
    "scale", "scale", "scale", "scale", "words", "words", "like", "like", "like", "replace", "drop",
    "borrow", "repeat", "rename", "add",
)  # fmt: skip
FACTORS = (0, 0.01, 0.1, 0.5, 0.9, 1.1, 2, 5, 10, 100, 10_000, -1)
WORDS = (
    "Soap", "The Very Long Wedding of Maximiliana and Bartholomew-Ferdinand", "x", "A" * 60,
    "i" * 200,
    "Wort " * 60, "Łódź", "Ægir & Þór", "50 g", "100 % natural, cures eczema", "www.example",
    "Donaudampfschiffahrtsgesellschaft" * 4, "12.5", "a-b" * 40, "\u00a0", "1/2", "«»", "…",
)  # fmt: skip


def _scaled(value: Node, factor: float) -> Node:
    """A number, or each number of a text, so many times as large; anything else as it is."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        made = value * factor
        return int(made) if isinstance(value, int) and made == int(made) else made
    if isinstance(value, str):
        return re.sub(r"\d+(?:\.\d+)?", lambda found: f"{float(found[0]) * factor:g}", value)
    if isinstance(value, list):
        return [_scaled(item, factor) for item in value]
    return value


def document_or(made: Node, document: Node, path: Path) -> Node:
    """The changed document if it still has a value at ``path``, else the first one."""
    try:
        at(made, path)
    except (KeyError, IndexError, TypeError):
        return document
    return made


def _like(value: Node) -> st.SearchStrategy[Node]:
    """Other values of the same type."""
    if isinstance(value, bool):
        return st.booleans()
    if isinstance(value, str):
        return quantities() if re.search(r"\d", value) else texts()
    if isinstance(value, int | float):
        return st.one_of(st.sampled_from(NUMBERS), st.integers(-5, 500), st.floats(-5, 500))
    if isinstance(value, dt.date):
        return st.one_of(st.sampled_from(DATES), st.dates())
    if isinstance(value, list):
        return st.lists(scalars(), max_size=5)
    return values()


def _short(value: Node) -> str:
    text = ascii(value)
    return text if len(text) <= 50 else f"{text[:40]}... ({len(text)} letters)"


# -- writing ---------------------------------------------------------------------------------------


def toml(document: dict[str, Node]) -> bytes:
    """A document as TOML: plain keys one a line, every table and list inline."""
    return "".join(f"{_key(key)} = {_value(value)}\n" for key, value in document.items()).encode(
        "utf-8", "replace"
    )


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _quoted(key)


def _value(value: Node) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return repr(value)


def _quoted(text: str) -> str:
    return '"' + "".join(_letter(letter) for letter in text) + '"'


def _letter(letter: str) -> str:
    if letter in '"\\':
        return "\\" + letter
    if ord(letter) < 32 or ord(letter) == 127:
        return f"\\u{ord(letter):04x}"
    return letter
