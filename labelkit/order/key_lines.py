"""On which line of a TOML file a key stands; the files are read by a parser that keeps no lines."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

_HEADER = re.compile(r"\s*(\[\[?)([^\[\]]+)\]")
_ASSIGNED = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*[\w-]+)*)\s*=""")


def find_line_of_key(key: str, text: str) -> int:
    """The line, counted from 1, on which a key such as "oil[2].mass" stands; that of its table
    where the key itself is missing, and 0 where nothing of it is there."""
    if not text:
        return 0
    lines = _map_keys_to_lines(text)
    while key not in lines and key:
        shorter = re.sub(r"(?:\.|^)[^.\[\]]*$|\[\d+\]$", "", key)
        key = shorter if shorter != key else ""
    return lines.get(key, 0)


@lru_cache(maxsize=8)
def _map_keys_to_lines(text: str) -> dict[str, int]:
    return dict(reversed(list(_list_keys_with_lines(text))))  # of what stands twice the first


def _list_keys_with_lines(text: str) -> Iterator[tuple[str, int]]:
    """The full path of every table and key that has a line of its own, in the order of lines."""
    table, counts, open_text = "", dict[str, int](), ""
    for number, line in enumerate(text.split("\n"), start=1):
        if open_text:
            open_text = "" if open_text in line else open_text
            continue
        if header := _HEADER.match(line):
            table = _make_table_path(header[2], header[1] == "[[", counts)
            yield table, number
        elif assigned := _ASSIGNED.match(line):
            name = ".".join(part.strip().strip("\"'") for part in assigned[1].split("."))
            yield f"{table}.{name}" if table else name, number
        for mark in ('"""', "'''"):
            if line.count(mark) % 2:
                open_text = mark


def _make_table_path(name: str, is_list: bool, counts: dict[str, int]) -> str:
    """The path of a table: of each list on the way the entry that was begun last."""
    parts = [part.strip().strip("\"'") for part in name.split(".")]
    path = ""
    for index, part in enumerate(parts, start=1):
        path = f"{path}.{part}" if path else part
        if is_list and index == len(parts):
            counts[path] = counts.get(path, 0) + 1
        if path in counts:
            path = f"{path}[{counts[path]}]"
    return path
