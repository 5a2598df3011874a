"""Content streams as operators with their operands (ISO 32000-1, 7.2, 7.3 and 7.8.2).

A sheet of personal labels is tens of thousands of tokens, and every one is read back; the whole
token is therefore matched by one regular expression. Operands come as Python values: numbers as
float, strings as bytes, names as text with their slash, arrays as lists, dictionaries as dicts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

MAX_DEPTH = 100
"""Arrays and dictionaries inside one another; no real file comes near it."""

_SPACE = rb"\x00\t\n\x0c\r "
_REGULAR = rb"[^" + _SPACE + rb"()<>\[\]{}/%]"

_TOKEN = re.compile(
    # Nothing here ever backtracks, so that no file can make the search slow.
    rb"(?>(?:[" + _SPACE + rb"]+|%[^\r\n]*)*)"
    rb"(?:([+-]?+(?:\d++(?:\.\d*+)?+|\.\d++)(?!" + _REGULAR + rb"))"  # 1 number
    rb"|/(" + _REGULAR + rb"*)"  # 2 name
    rb"|\(([^()\\\r]*)\)"  # 3 string without escapes
    rb"|(" + _REGULAR + rb"+)"  # 4 operator or keyword
    rb"|(\[)|(\])|(<<)|(>>)"  # 5 to 8
    rb"|(\()"  # 9 any other string
    rb"|<([0-9A-Fa-f" + _SPACE + rb"]*)>"  # 10 hexadecimal string
    rb"|(.))",  # 11 out of place
    re.S,
)
_NUMBER, _NAME, _STRING, _WORD, _ARRAY, _ARRAY_END, _DICT, _DICT_END, _LONG, _HEX, _ODD = range(
    1, 12
)
_KEYWORDS = {b"true": True, b"false": False, b"null": None}
_IMAGE_END = re.compile(rb"[" + _SPACE + rb"]EI(?!" + _REGULAR + rb")")
_IN_STRING = re.compile(rb"[()\\\r]")
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|.)|\r\n?", re.S)
_ESCAPES = {
    b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f",
    b"\n": b"", b"\r": b"", b"\r\n": b"",
}  # fmt: skip


def parse_operations(data: bytes) -> Iterator[tuple[str, list[Any]]]:
    """Every operator of a content stream with its operands.

    The data of inline images is passed over. ValueError for a string that never ends and for
    nesting no real file has.
    """
    operands: list[Any] = []
    outer: list[list[Any]] = []
    words: dict[bytes, str] = {}
    names: dict[bytes, str] = {}
    position, end, match = 0, len(data), _TOKEN.match
    while position < end:
        token = match(data, position)
        if token is None:  # nothing but white space and comments is left
            return
        position, kind = token.end(), token.lastindex
        if kind == _NUMBER:
            operands.append(float(token[1]))
        elif kind == _NAME:
            raw = token[2]
            if raw not in names:
                names[raw] = _decode_name(raw)
            operands.append(names[raw])
        elif kind == _STRING:
            operands.append(token[3])
        elif kind == _WORD:
            word = token[4]
            if word in _KEYWORDS:
                operands.append(_KEYWORDS[word])
            elif not outer:
                if word not in words:
                    words[word] = word.decode("latin-1")
                if word == b"ID":
                    position = _find_image_end(data, position)
                yield words[word], operands
                operands = []
        elif kind == _HEX:
            operands.append(_decode_hex(token[10]))
        elif kind == _LONG:
            text, position = _parse_string(data, position)
            operands.append(text)
        elif kind in (_ARRAY, _DICT):
            if len(outer) >= MAX_DEPTH:
                raise ValueError("arrays nested too deeply")
            outer.append(operands)
            operands = []
        elif kind in (_ARRAY_END, _DICT_END) and outer:
            inner, operands = operands, outer.pop()
            operands.append(inner if kind == _ARRAY_END else _make_dictionary(inner))


def _make_dictionary(items: list[Any]) -> dict[str, Any]:
    return {str(key): value for key, value in zip(items[::2], items[1::2], strict=False)}


def _decode_name(raw: bytes) -> str:
    text = b"/" + raw
    if b"#" in raw:
        text = re.sub(rb"#([0-9A-Fa-f]{2})", lambda m: bytes([int(m[1], 16)]), text)
    return text.decode("latin-1")


def _decode_hex(digits: bytes) -> bytes:
    packed = digits.translate(None, b"\x00\t\n\x0c\r ")
    return bytes.fromhex((packed + b"0" * (len(packed) % 2)).decode("ascii"))


def _parse_string(data: bytes, start: int) -> tuple[bytes, int]:
    """The literal string whose opening bracket is just before ``start``, and where it ends."""
    depth, position = 1, start
    while True:
        found = _IN_STRING.search(data, position)
        if found is None:
            raise ValueError("a string does not end")
        position = found.end()
        mark = found[0]
        if mark == b"\\":
            position += 1
        elif mark == b"(":
            depth += 1
        elif mark == b")":
            depth -= 1
            if not depth:
                return _ESCAPE.sub(_decode_escape, data[start : position - 1]), position


def _decode_escape(match: re.Match[bytes]) -> bytes:
    escaped = match[1]
    if escaped is None:  # a line end of any kind is one line feed
        return b"\n"
    if escaped[0] in b"01234567":
        return bytes([int(escaped, 8) & 255])
    return _ESCAPES.get(escaped, escaped)


def _find_image_end(data: bytes, start: int) -> int:
    """Where an inline image's data ends: after the first EI that stands alone."""
    found = _IMAGE_END.search(data, start)
    return found.end() if found else len(data)
