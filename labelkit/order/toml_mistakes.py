"""What went wrong on a line that is no TOML, in a maker's words, with the line as it should stand.

Nothing here reads a file: the parser has failed already and said where, and only the text of that
line is looked at. What none of these knows is told in the parser's own words.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from labelkit.common.days import suggest_day
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Said, Verbatim
from labelkit.order.fields import is_list_table

LONGEST_LINE = 500
"""Letters of a line that are looked at."""

_AT = re.compile(r"\(at line (\d+), column \d+\)")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+(?:\s*\.\s*[A-Za-z0-9_-]+)*|\"[^\"]*\"|'[^']*'")
_CURLY = "“”„‟‘’‚‛«»″＂"
_TEXT = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')
_HEX_COLOUR = re.compile(r"#[0-9a-fA-F]{6}(?![\w])")
_BLANK_BRACES = Said("a table in { } must stand on one line, with a comma between its parts")


@dataclass(frozen=True, slots=True)
class TomlMistake:
    """A line of a file that is no TOML."""

    line: int
    """Counted from 1."""
    key: str
    """The dotted path, empty where the line has no key."""
    found: str
    """What stands there, as typed."""
    cure: Said


@dataclass(frozen=True, slots=True)
class _BareValue:
    """What stands after the equals sign, and what the parser said of it."""

    text: str
    reason: str


def find_toml_mistake(text: str, reason: str) -> TomlMistake | None:
    """The slip behind a parser's complaint; None where the text shows none that is known.

    ``reason`` is what tomllib said, with "(at line 3, column 5)" or "(at end of document)".
    """
    whole = text.replace("\r\n", "\n").split("\n")
    lines = [line[:LONGEST_LINE] for line in whole]
    number = _find_line_number(lines, reason)
    line = lines[number - 1].strip()
    if len(whole[number - 1]) > LONGEST_LINE:
        return None
    if reason.startswith("Cannot"):
        return _find_repetition(lines, number)
    if line.startswith("[") and _find_open_list_key(lines, number) is None:
        return _find_broken_header(line, number)
    key, value = _split_assignment(line)
    opener = _find_open_list_key(lines, number)
    if opener is not None:  # within a list that runs over several lines
        key, value = opener, f"[{_strip_comment(line).rstrip(',')}]"
    elif not key:
        return _find_line_without_pair(line, number)
    elif key[0] in _CURLY:
        return TomlMistake(
            number, "", key, Said("write a key without quotes: {key}", key=key.strip(_CURLY))
        )
    elif not _is_bare_key(key):
        plain = "_".join(key.split())
        cure = (
            Said("write {right}", right=plain)
            if _is_bare_key(plain)
            else Said('or put it in quotes: "..."')
        )
        return TomlMistake(
            number,
            "",
            key,
            Said("a key has the letters a to z, digits, _ and - alone; {cure}", cure=cure),
        )
    for known in _KNOWN:
        cure = known(_BareValue(value, reason))
        if cure:
            return TomlMistake(
                number, _make_key_path(lines, number, key), line if opener else value, cure
            )
    if opener is not None and "Unclosed array" in reason:
        cure = Said("a comma is missing at the end of the line above")
        return TomlMistake(number, _make_key_path(lines, number, key), line, cure)
    return None


# -- where it is -----------------------------------------------------------------------------------


def _find_line_number(lines: list[str], reason: str) -> int:
    """The number of the line where it began: what was never closed runs on to the next key."""
    at = _AT.search(reason)
    filled = [number for number, line in enumerate(lines, 1) if line.strip()] or [1]
    number = min(int(at.group(1)), len(lines)) if at else filled[-1]
    for mark in ('"""', "'''"):
        odd = [n for n, line in enumerate(lines, 1) if line.count(mark) % 2]
        if "Unterminated" in reason and len(odd) % 2:
            return odd[-1]
    if "Unclosed" not in reason:
        return number
    line = lines[number - 1]
    goes_on = (
        line.strip() and not _split_header(line) and not _is_bare_key(_split_assignment(line)[0])
    )
    if not goes_on:
        for above in range(number, 0, -1):
            if _split_assignment(lines[above - 1])[1][:1] in {"[", "{"}:
                return above
    return number


def _is_bare_key(text: str) -> bool:
    return _BARE_KEY.fullmatch(text) is not None


def _find_open_list_key(lines: list[str], number: int) -> str | None:
    """The key of a list that was opened on a line above and runs on to this one."""
    line = lines[number - 1].strip()
    if line[:1] not in {"{", '"', "'", "[", "]"} or (line[:1] == "[" and _split_header(line)):
        return None
    if line[:1] in {'"', "'"} and re.match(rf"(?:{_TEXT.pattern})\s*=", line):
        return None
    for above in reversed(lines[: number - 1]):
        key, value = _split_assignment(above)
        if key and above.strip()[:1] not in {"{", "["}:
            bare = _TEXT.sub("", value)
            return key if value.startswith("[") and bare.count("[") > bare.count("]") else None
        if _split_header(above):
            return None
    return None


def _split_header(line: str) -> tuple[str, str, str] | None:
    """The opening brackets, the name and the closing brackets of a ``[table]`` line."""
    line = line.split("#")[0].strip()
    name = line.strip("[] \t")
    if not line.startswith("[") or not re.fullmatch(r"[\w.\-\"']+", name):
        return None
    opening = len(line) - len(line.lstrip("["))
    closing = len(line) - len(line.rstrip("]"))
    return "[" * opening, name, "]" * closing


def _split_assignment(line: str) -> tuple[str, str]:
    """The key and the bare value of a line, both empty where it assigns nothing."""
    key, equals, value = line.strip().partition("=")
    if not equals or not key.strip() or "#" in key or key.lstrip().startswith("["):
        return "", ""
    return key.strip(), _strip_comment(value)


def _strip_comment(value: str) -> str:
    """A value without the comment after it; a # in quotes or of a bare colour begins none."""
    value = value.strip()
    colour = _HEX_COLOUR.match(value)
    if colour:
        return colour.group(0)
    covered = _TEXT.sub(lambda found: "x" * len(found.group(0)), value)
    comment = covered.find("#")
    return (value if comment < 0 else value[:comment]).strip()


def _make_key_path(lines: list[str], number: int, key: str) -> str:
    """The key's path: the nearest table above, and the key."""
    for line in reversed(lines[: number - 1]):
        header = _split_header(line)
        if header and header[2]:
            return f"{header[1]}.{key}"
    return key


# -- tables and keys -------------------------------------------------------------------------------


def _find_repetition(lines: list[str], number: int) -> TomlMistake | None:
    """A table or a key that stands twice."""
    header = _split_header(lines[number - 1])
    if header is None:
        return _find_repeated_key(lines, number)
    name = header[1]
    heads = [
        (n, h[0]) for n, h in enumerate(map(_split_header, lines[:number]), 1) if h and h[1] == name
    ]
    if is_list_table(name) or any(brackets == "[[" for _, brackets in heads):
        single = next((n for n, brackets in heads if brackets == "["), number)
        return TomlMistake(
            single, "", f"[{name}]", Said("write [[{name}]] with two brackets for each", name=name)
        )
    if len(heads) < 2:
        return None
    cure = Said(
        "stands in line {first} already; put all its lines together under one [{name}]",
        first=heads[0][0],
        name=name,
    )
    return TomlMistake(number, "", f"[{name}]", cure)


def _find_repeated_key(lines: list[str], number: int) -> TomlMistake | None:
    key, value = _split_assignment(lines[number - 1])
    for above in range(number - 1, 0, -1):
        if not key or _split_header(lines[above - 1]):
            return None
        if _split_assignment(lines[above - 1])[0] == key:
            cure = Said(
                "{key} stands in line {above} already; keep one of them", key=key, above=above
            )
            return TomlMistake(number, _make_key_path(lines, number, key), value, cure)
    return None


def _find_broken_header(line: str, number: int) -> TomlMistake | None:
    header = _split_header(line)
    if header is None:
        return None
    opening, name, _ = header
    right = f"[[{name}]]" if is_list_table(name) or opening == "[[" else f"[{name}]"
    typed = line.split("#")[0].strip()
    return (
        TomlMistake(number, "", typed, Said("write {right}", right=right))
        if typed != right
        else None
    )


def _find_line_without_pair(line: str, number: int) -> TomlMistake | None:
    """A line that assigns nothing."""
    line = line.split("#")[0].strip()
    if not line:
        return None
    colon = re.match(r"([\w-]+)\s*:", line)
    if colon and colon.end() == len(line):
        return TomlMistake(number, "", line, Said("write [{name}]", name=colon.group(1)))
    if colon:
        return TomlMistake(
            number,
            "",
            line,
            Said('write = instead of ":", as in {key} = "..."', key=colon.group(1)),
        )
    header = re.fullmatch(r"([\w.-]+)\]+", line)
    if header:
        return TomlMistake(number, "", line, Said("write [{name}]", name=header.group(1)))
    return TomlMistake(
        number, "", line, Said('expected key = "value" or a [table]; a note begins with #')
    )


# -- values ----------------------------------------------------------------------------------------


def _cure_empty(value: _BareValue) -> Said:
    return (
        NOTHING
        if value.text
        else Said('nothing stands after =; write a value, such as "text" in quotes')
    )


def _cure_several(value: _BareValue) -> Said:
    """Two equals signs, or two keys on one line."""
    outside = _TEXT.sub('""', value.text)
    if outside.startswith("="):
        return Said("write a single =")
    if outside[0] not in "[{" and re.search(r"[\s,;][\w-]+\s*=", outside):
        return Said("write each key on a line of its own")
    return NOTHING


def _cure_curly_quotes(value: _BareValue) -> Said:
    """Typographic quotation marks where straight ones belong."""
    text = value.text
    if text[0] in "[{":
        outside = _TEXT.sub("", text)
        return (
            Said('use straight quotes: "..."')
            if any(mark in outside for mark in _CURLY)
            else NOTHING
        )
    unpaired = _TEXT.fullmatch(text) is None
    if text[0] in _CURLY or (text[0] in "\"'" and text[-1] in _CURLY and unpaired):
        inner = text.strip(_CURLY + "\"' ").replace('"', '\\"')
        return Said('use straight quotes: "{inner}"', inner=inner)
    return NOTHING


def _cure_colour(value: _BareValue) -> Said:
    return (
        Said('put it in quotes: "{inner}"', inner=value.text)
        if _HEX_COLOUR.fullmatch(value.text)
        else NOTHING
    )


def _cure_date(value: _BareValue) -> Said:
    """A day written as people write it, or one that the calendar does not have."""
    return suggest_day(value.text)


def _cure_decimal(value: _BareValue) -> Said:
    """A number with a decimal comma, leading zeros or a bare point."""
    comma = re.fullmatch(r"([+-]?\d+),(\d+)", value.text)
    if comma:
        return Said("write {number} with a point", number=f"{int(comma.group(1))}.{comma.group(2)}")
    if re.fullmatch(r"\d+\.|\.\d+|0\d+(\.\d+)?", value.text):
        whole, _, part = value.text.partition(".")
        return Said("write {right}", right=f"{int(whole or 0)}" + (f".{part}" if part else ""))
    return NOTHING


def _cure_truth_value(value: _BareValue) -> Said:
    low = value.text.lower()
    meant = {"yes": "true", "on": "true", "no": "false", "off": "false"}.get(low, low)
    return (
        Said("write {meant} in small letters", meant=meant)
        if meant in {"true", "false"}
        else NOTHING
    )


def _cure_backslash(value: _BareValue) -> Said:
    coded = any(word in value.reason for word in ("escape", "hex value", "Unicode"))
    return Said("write \\\\ for each \\ in it") if coded and "\\" in value.text else NOTHING


def _cure_quotes(value: _BareValue) -> Said:
    """A text whose quotation marks do not pair."""
    text, mark = value.text, value.text[0]
    if text.startswith(('"""', "'''")):
        return (
            Said("the closing {text} is missing", text=text[:3])
            if text.count(text[:3]) % 2
            else NOTHING
        )
    if mark not in "\"'":
        if text[-1] in "\"'" and mark not in "[{":
            return Said("the opening quote is missing: {right}", right=f"{text[-1]}{text}")
        return NOTHING
    whole = _TEXT.match(text)
    if whole is None:
        return Said("the closing quote is missing: {right}", right=f"{text}{mark}")
    after = text[whole.end() :].strip()
    if not after:
        return NOTHING
    if after in {",", ";", "."}:
        return Said("leave out the {after} after the closing quote", after=Verbatim(after))
    if text[-1] == mark:
        inner, other = text[1:-1], "'" if mark == '"' else '"'
        if other not in inner and "\\" not in inner:
            return Said(
                "a quote stands within the text; put it in the other ones: {other}{inner}{other}",
                other=other,
                inner=inner,
            )
        return Said('a quote stands within the text; write \\" for it')
    return Said("leave out what stands after the closing quote: {after}", after=after)


def _cure_brackets(value: _BareValue) -> Said:
    """A list or a table in braces: a comma, an end or quotes are missing."""
    text = value.text
    if text[0] not in "[{":
        return NOTHING
    covered = _TEXT.sub(lambda found: '"' * len(found.group(0)), text)
    if "'" not in text and len(re.findall(r'(?<!\\)"', text)) % 2:
        return Said("a quote is missing: each text has one before it and one after it")
    for found in _TEXT.finditer(text):
        rest = text[found.end() :].lstrip()
        if found.group(0)[0] == "'" and text[found.end() : found.end() + 1].isalpha():
            return Said('the apostrophe ends the text; put the text in the other quotes: "..."')
        if rest and rest[0] not in ",]}=.#":
            return Said("a comma is missing after {text}", text=found.group(0))
    if '"' in _TEXT.sub("", text) or "'" in _TEXT.sub("", text):
        return Said("a quote is missing: each text has one before it and one after it")
    for part in re.split(r"[\[\]{},=]", covered)[1:]:
        word = part.strip()
        # Before an equals sign stands a key, which needs no quotes.
        is_key = re.search(rf"{re.escape(part)}=", covered) is not None
        plain = re.fullmatch(r'[^\W\d][^"]*|\d[\d.,]*\s+[^"]+', word)
        if plain and not is_key and word not in {"true", "false", "inf", "nan"}:
            return Said('put each text in quotes: "{word}"', word=word)
    end = "]" if text[0] == "[" else "}"
    if end not in covered:
        return _BLANK_BRACES if end == "}" else Said("the closing ] is missing")
    return NOTHING


def _cure_unquoted(value: _BareValue) -> Said:
    """Plain words, or a number with its unit."""
    if value.text[0] in "\"'[{":
        return NOTHING
    inner = value.text.replace("\\", "\\\\").replace('"', '\\"')
    cure = Said('put it in quotes: "{inner}"', inner=inner)
    parts = [part.strip() for part in inner.split(",")]
    if len(parts) > 1 and all(part[:1].isalpha() for part in parts):
        listed = FactList(f'"{part}"' for part in parts)
        return Said(
            'put it in quotes: "{inner}", or write a list: [{listed}]', inner=inner, listed=listed
        )
    return cure


_KNOWN: tuple[Callable[[_BareValue], Said], ...] = (
    _cure_empty, _cure_several, _cure_curly_quotes, _cure_colour, _cure_date, _cure_truth_value,
    _cure_decimal, _cure_backslash, _cure_quotes, _cure_brackets, _cure_unquoted,
)  # fmt: skip
