"""Writes one value back into a maker's file and leaves all else as it stands.

Values that are there are set by tomlkit, which keeps comments, order, line ends and the way a text
is quoted. A key that is not there yet goes to the line that shows it as a comment ("# bleed = …"),
as the files of a new order do; where there is none, below the last key of its table. Whatever was
done, the text is parsed again: it says exactly what was meant, or nothing is given back.
"""

from __future__ import annotations

import codecs
import copy
import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from decimal import Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.messages import Said
from labelkit.order.key_lines import find_line_of_key

Keys = tuple[str | int, ...]
"""The way to a value: ("event", "names", "fr"), ("oil", 0, "mass")."""
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_HEADER = re.compile(r"^[ \t]*(?P<open>\[\[?)[ \t]*(?P<name>[^\[\]]+?)[ \t]*\]\]?")
_SHOWN_HEADER = re.compile(r"^#[ \t]*(?P<header>\[\[?[\w.\"-]+\]\]?)(?P<comment>.*)$")
_VALUE = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[^#"'])*"""


class WriteBackError(LabelkitError):
    """A value that cannot be written without touching something else."""


def set_value(data: bytes, keys: Keys, value: object) -> bytes:
    """The bytes of a file with another value at a key; None takes the key out.

    A text, number, day, truth, list or mapping is written as TOML. Raises WriteBackError where the
    result would not say exactly that, or the file is no TOML.
    """
    text, encode = _decode(data)
    before = _parse(text)
    wanted = _change(before, keys, value)
    if wanted == before:
        return data
    now = find_value(before, keys)
    if isinstance(value, Mapping) and isinstance(now, dict):
        with suppress(WriteBackError):
            return encode(_choose([lambda: _set_words_on_line(text, keys, now, value)], wanted))
        if not _is_inline(text, (*keys, "")):
            return _set_table(data, keys, value, now)
    ways: list[Callable[[], str]] = []
    if value is None:
        ways = [lambda: _comment_out(text, keys, wanted), lambda: _set_by_tomlkit(text, keys, None)]
    elif _has(before, keys):
        ways = [
            *([lambda: _set_on_line(text, keys, now, value)] if isinstance(now, str) else []),
            lambda: _set_by_tomlkit(text, keys, value),
        ]
    else:
        by_tomlkit = [lambda: _set_by_tomlkit(text, keys, value)]
        ways = [
            *(by_tomlkit if _is_inline(text, keys) else []),
            *(lambda t=tried: t for tried in _add_key(text, keys, value)),
            *by_tomlkit,
        ]
    return encode(_choose(ways, wanted))


def _set_table(data: bytes, keys: Keys, value: Mapping[str, Any], now: Mapping[str, Any]) -> bytes:
    """The same for a table whose keys have lines of their own: each that differs by itself."""
    for key, inner in value.items():
        if key not in now or not _says_the_same(now[key], inner):
            data = set_value(data, (*keys, key), inner)
    for key in [key for key in now if key not in value]:
        data = set_value(data, (*keys, key), None)
    return data


def add_entry(data: bytes, table: str, values: Mapping[str, object]) -> bytes:
    """The bytes of a file with one more ``[[table]]`` after those that are there."""
    text, encode = _decode(data)
    before = _parse(text)
    wanted = copy.deepcopy(before)
    holder = wanted
    *outer, last = table.split(".")
    for name in outer:
        holder = holder.setdefault(name, {})
        holder = holder[-1] if isinstance(holder, list) else holder
    holder.setdefault(last, []).append(dict(values))
    ways = [lambda t=tried: t for tried in _add_list_entry(text, table, values)]
    return encode(_choose(ways, wanted))


def remove_entry(data: bytes, table: str, index: int) -> bytes:
    """The bytes of a file without its ``[[table]]`` of that number, counted from 0."""
    text, encode = _decode(data)
    before = _parse(text)
    wanted = copy.deepcopy(before)
    *outer, last = table.split(".")
    holder = _walk(wanted, tuple(outer))
    del holder[last][index]
    if not holder[last]:
        del holder[last]
    lines = text.splitlines(keepends=True)
    start = _find_header(lines, table, index)
    if start is None:
        return encode(_choose([lambda: _remove_inline(text, (*outer, last), index)], wanted))
    end = _end_of_section(lines, start, f"{table}.")
    after = end
    while after < len(lines) and not lines[after].strip():
        after += 1
    return encode(_choose([
        lambda: "".join([*lines[:start], *lines[after if start else end:]]),
        lambda: "".join([*lines[:start], *lines[end:]]),
    ], wanted))  # fmt: skip


# -- reading ---------------------------------------------------------------------------------------


def read_values(data: bytes) -> dict[str, Any]:
    """What a file says, numbers exact; WriteBackError where it is no TOML in UTF-8."""
    return _parse(_decode(data)[0])


def find_value(values: Mapping[str, Any], keys: Keys) -> Any:
    """The value at a key; None where there is none."""
    try:
        return _walk(values, keys)
    except (KeyError, IndexError, TypeError):
        return None


def _decode(data: bytes) -> tuple[str, Callable[[str], bytes]]:
    """The text of a file, and what makes a file like it of a text."""
    mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
    try:
        text = data[len(mark) :].decode("utf-8")
    except UnicodeDecodeError as error:
        raise WriteBackError(Said("is not UTF-8 text; save the file as UTF-8")) from error
    return text, lambda made: mark + made.encode("utf-8")


@lru_cache(maxsize=32)
def _parse(text: str) -> dict[str, Any]:
    """What a text says; whoever changes something of it takes a copy."""
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:
        raise WriteBackError(Said("is not TOML: {error}", error=error)) from error


def _walk(values: Any, keys: Keys) -> Any:
    for key in keys:
        values = values[key]
    return values


def _has(values: Any, keys: Keys) -> bool:
    try:
        _walk(values, keys)
    except (KeyError, IndexError, TypeError):
        return False
    return True


def _change(before: Mapping[str, Any], keys: Keys, value: object) -> dict[str, Any]:
    """What the file is to say: the same with this one value."""
    wanted = copy.deepcopy(dict(before))
    holder: Any = wanted
    try:
        for key in keys[:-1]:
            holder = holder.setdefault(key, {}) if isinstance(holder, dict) else holder[key]
        if value is not None:
            holder[keys[-1]] = copy.deepcopy(value)
        elif isinstance(holder, dict):
            holder.pop(keys[-1], None)
        else:
            del holder[keys[-1]]
    except (IndexError, TypeError, AttributeError) as error:
        raise WriteBackError(Said("has no place for {keys}", keys=repr(keys))) from error
    return wanted


def _choose(ways: Sequence[Callable[[], str]], wanted: Mapping[str, Any]) -> str:
    """The first text that says what is wanted and nothing else."""
    for way in ways:
        with suppress(WriteBackError, ValueError, LookupError, TypeError, AttributeError):
            text = way()
            if _says_the_same(_parse(text), wanted):
                return text
    raise WriteBackError(Said("cannot be changed here without touching something else"))


def _says_the_same(one: Any, other: Any) -> bool:
    """Equal values of equal kinds: true is no 1, and 1.0 no 1."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_says_the_same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_says_the_same, one, other))
    return type(one) is type(other) and one == other


# -- values that are there -------------------------------------------------------------------------


def _set_on_line(text: str, keys: Keys, now: str, value: object) -> str:
    """The text with a text's own letters changed where they stand once on its key's line.

    That is how most edits go, several in a second while she types; ValueError for the others.
    """
    number, lines = find_line_of_key(_join_keys(keys), text), text.split("\n")
    line, old = lines[number - 1] if number else "", _quote(now)
    if not isinstance(value, str) or line.count(old) != 1:
        raise ValueError("not on one line")
    lines[number - 1] = line.replace(old, _quote(value))
    return "\n".join(lines)


def _set_words_on_line(
    text: str, keys: Keys, now: Mapping[str, Any], value: Mapping[str, Any]
) -> str:
    """The same for texts by language that stand as one table on its key's line."""
    number, lines = find_line_of_key(_join_keys(keys), text), text.split("\n")
    line = lines[number - 1] if number else ""
    if now.keys() != value.keys():
        raise ValueError("not the same keys")
    for key, inner in value.items():
        if now[key] == inner:
            continue
        if not isinstance(inner, str) or not isinstance(now[key], str):
            raise ValueError("not a text")
        pair = rf"(?<![\w-]){re.escape(_format_key(key))}[ \t]*=[ \t]*{re.escape(_quote(now[key]))}"
        places = [*re.finditer(pair, line)]
        if len(places) != 1:
            raise ValueError("not on one line")
        end = places[0].end()
        line = line[: end - len(_quote(now[key]))] + _quote(inner) + line[end:]
    lines[number - 1] = line
    return "\n".join(lines)


def _join_keys(keys: Keys) -> str:
    """The way to a value as complaints name it."""
    return "".join(f"[{key + 1}]" if isinstance(key, int) else f".{key}" for key in keys)[1:]


def _set_by_tomlkit(text: str, keys: Keys, value: object) -> str:
    import tomlkit

    document = tomlkit.parse(text)
    holder: Any = document
    for key in keys[:-1]:
        holder = holder[key]
    if value is None:
        del holder[keys[-1]]
    else:
        _replace_item(holder, keys[-1], value)
    return tomlkit.dumps(document)


def _remove_inline(text: str, keys: Keys, index: int) -> str:
    """The text without an entry of a list that stands on its key's own lines."""
    import tomlkit

    document = tomlkit.parse(text)
    holder: Any = document
    for key in keys[:-1]:
        holder = holder[key]
    del holder[keys[-1]][index]
    if not holder[keys[-1]]:
        del holder[keys[-1]]
    return tomlkit.dumps(document)


def _replace_item(holder: Any, key: str | int, value: object) -> None:
    """Sets what differs and nothing else: of a list or an inline table only the parts that do."""
    import tomlkit
    from tomlkit.items import Array, InlineTable, String

    there = holder[key] if isinstance(key, int) or key in holder else None
    if isinstance(there, InlineTable) and isinstance(value, Mapping):
        for name in [name for name in there if name not in value]:
            del there[name]
        for name, inner in value.items():
            if name not in there or there[name] != inner:
                _replace_item(there, name, inner)
        return
    if isinstance(there, Array) and isinstance(value, Sequence) and not isinstance(value, str):
        for index, inner in enumerate(value[: len(there)]):
            if there[index] != inner:
                there[index] = _make_item(inner)
        while len(there) > len(value):
            del there[len(there) - 1]
        for inner in value[len(there) :]:
            there.append(_make_item(inner))
        return
    item = _make_item(value)
    if isinstance(there, String) and isinstance(value, str) and there.as_string()[:1] == "'":
        with suppress(ValueError):
            item = tomlkit.string(value, literal=True)
    holder[key] = item


def _make_item(value: object) -> Any:
    import tomlkit

    return tomlkit.parse(f"value = {format_value(value)}\n")["value"]


def format_value(value: object) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quote(value)
    if isinstance(value, dt.date | int):
        return str(value)
    if isinstance(value, Decimal | float):
        text = format(value, "f")
        return text if "." in text else f"{text}.0"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_format_key(str(k))} = {format_value(v)}" for k, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(map(format_value, value))}]"
    raise TypeError(f"{value!r} cannot be written as TOML")


def _quote(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(_escape(letter) for letter in escaped) + '"'


def _escape(letter: str) -> str:
    """Control characters by their number (TOML 1.0, basic strings)."""
    return f"\\u{ord(letter):04X}" if ord(letter) < 32 or ord(letter) == 127 else letter


def _format_key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _quote(key)


# -- keys that are not there yet -------------------------------------------------------------------


def _is_inline(text: str, keys: Keys) -> bool:
    """Whether the table of a key is written on one line, so that it has no lines of its own."""
    import tomlkit
    from tomlkit.items import Array, InlineTable

    try:
        holder: Any = tomlkit.parse(text)
        for key in keys[:-1]:
            holder = holder[key]
            if isinstance(holder, InlineTable | Array):
                return True
    except (LookupError, TypeError, ValueError):
        return False
    return False


def _split_keys(keys: Keys) -> tuple[str, int, str]:
    """The table's dotted name, which of its entries, and the key."""
    names = [part for part in keys[:-1] if isinstance(part, str)]
    numbers = [part for part in keys[:-1] if isinstance(part, int)]
    return ".".join(map(_format_key, names)), (numbers[-1] if numbers else 0), str(keys[-1])


def _add_key(text: str, keys: Keys, value: object) -> Iterator[str]:
    """The text with a new key, the best places first."""
    table, index, key = _split_keys(keys)
    line_end = "\r\n" if "\r\n" in text else "\n"
    written = f"{_format_key(key)} = {format_value(value)}"
    lines = text.splitlines(keepends=True)
    if not table:
        first = next((i for i, line in enumerate(lines) if _HEADER.match(line)), len(lines))
        yield from _put_into(lines, -1, first, key, written, line_end)
        return
    start = _find_header(lines, table, index)
    if start is not None:
        end = _next_header(lines, start)
        yield from _put_into(lines, start, end, key, written, line_end)
    shown = _find_shown_header(lines, table)
    if start is None and shown is not None:
        opened = [*lines]
        opened[shown] = _uncomment_header(lines[shown])
        yield from _put_into(opened, shown, _next_header(opened, shown), key, written, line_end)
    body = text if not text or text.endswith("\n") else text + line_end
    yield f"{body}{line_end}[{table}]{line_end}{written}{line_end}"
    inner = keys[-2] if len(keys) > 1 else ""
    if isinstance(inner, str) and len(keys) > 2:  # a table that its own key line may hold
        yield from _add_key(text, keys[:-1], {key: value})


def _put_into(
    lines: list[str], start: int, end: int, key: str, written: str, line_end: str
) -> Iterator[str]:
    """The key on the line that shows it as a comment; else below the last key of the table."""
    shown = re.compile(rf"^#[ \t]*{re.escape(key)}[ \t]*={_VALUE}(?P<comment>#.*)?$")
    for number in range(start + 1, end):
        if found := shown.match(lines[number].rstrip("\r\n")):
            comment = f"  {found['comment']}" if found["comment"] else ""
            ending = lines[number][len(lines[number].rstrip("\r\n")) :] or line_end
            yield "".join([*lines[:number], f"{written}{comment}{ending}", *lines[number + 1 :]])
            break
    last = max(
        (n for n in range(start + 1, end) if lines[n].strip() and lines[n].lstrip()[0] != "#"),
        default=start,
    )
    head = lines[: last + 1]
    if head and not head[-1].endswith("\n"):
        head[-1] += line_end
    yield "".join([*head, written + line_end, *lines[last + 1 :]])


def _find_header(lines: Sequence[str], table: str, index: int = 0) -> int | None:
    """The line on which a table begins; of a list the entry of that number."""
    found = -1
    for number, line in enumerate(lines):
        header = _HEADER.match(line)
        if header and header["name"].replace(" ", "") == table:
            found += 1
            if found == index or header["open"] == "[":
                return number
    return None


def _next_header(lines: Sequence[str], start: int) -> int:
    """Where a table's lines end: at the next header, also one that is only shown."""
    for number in range(start + 1, len(lines)):
        if _HEADER.match(lines[number]) or _SHOWN_HEADER.match(lines[number].rstrip("\r\n")):
            return number
    return len(lines)


def _end_of_section(lines: Sequence[str], start: int, inner: str) -> int:
    """One past the last line that says something in a list's entry, its inner tables with it."""
    last = start
    for number in range(start + 1, len(lines)):
        header = _HEADER.match(lines[number])
        if header and not header["name"].replace(" ", "").startswith(inner):
            break
        if lines[number].strip() and not lines[number].lstrip().startswith("#"):
            last = number
    return last + 1


def _find_shown_header(lines: Sequence[str], table: str) -> int | None:
    for number, line in enumerate(lines):
        shown = _SHOWN_HEADER.match(line.rstrip("\r\n"))
        if shown and shown["header"].strip("[]") == table:
            return number
    return None


def _uncomment_header(line: str) -> str:
    shown = _SHOWN_HEADER.match(line.rstrip("\r\n"))
    ending = line[len(line.rstrip("\r\n")) :]
    return f"{shown['header']}{shown['comment']}{ending}" if shown else line


def _add_list_entry(text: str, table: str, values: Mapping[str, object]) -> Iterator[str]:
    line_end = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines(keepends=True)
    written = [
        f"{_format_key(key)} = {format_value(value)}{line_end}" for key, value in values.items()
    ]
    block = [f"[[{table}]]{line_end}", *written]
    last, number = None, 0
    while (found := _find_header(lines, table, number)) is not None and found != last:
        last, number = found, number + 1
    if last is not None:
        end = _end_of_section(lines, last, f"{table}.")
        head = lines[:end]
        if not head[-1].endswith("\n"):
            head[-1] += line_end
        yield "".join([*head, line_end, *block, *lines[end:]])
    elif (shown := _find_shown_header(lines, table)) is not None:
        yield "".join([*lines[:shown], *block, line_end, *lines[shown:]])
    body = text if not text or text.endswith("\n") else text + line_end
    yield "".join([body, line_end if body else "", *block])


# -- keys that go ----------------------------------------------------------------------------------


def _comment_out(text: str, keys: Keys, wanted: Mapping[str, Any]) -> str:
    """The text with the line of a key made a comment, so that the key has its place if it comes
    back; what stands on several lines is taken out."""
    table, index, key = _split_keys(keys)
    lines = text.splitlines(keepends=True)
    start = -1 if not table else _find_header(lines, table, index)
    if start is None:
        raise WriteBackError(Said("has no such table"))
    name = re.compile(rf"^[ \t]*(?:{re.escape(key)}|{re.escape(_quote(key))})[ \t]*=")
    for number in range(start + 1, len(lines)):
        if name.match(lines[number]):
            commented = [*lines[:number], f"# {lines[number]}", *lines[number + 1 :]]
            with suppress(WriteBackError):
                if _says_the_same(_parse("".join(commented)), wanted):
                    return "".join(commented)
            for end in range(number + 2, min(len(lines), number + 500) + 1):
                cut = "".join([*lines[:number], *lines[end:]])
                with suppress(WriteBackError):
                    if _says_the_same(_parse(cut), wanted):
                        return cut
            break
    raise WriteBackError(Said("has no such line"))
