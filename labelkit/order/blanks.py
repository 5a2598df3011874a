"""Blanks: what stands in a maker's file until they have put their own in its place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from labelkit.common.errors import InputError
from labelkit.common.messages import Said

BLANK = "<<<"
"""Marks what a maker still has to fill in; a value or a key that carries it is none."""


def list_blanks(file: str, text: str, data: Mapping[str, Any]) -> list[InputError]:
    """A complaint for every blank of a file, in the order of its lines; ``data`` is its TOML."""
    lines = defaultdict[str, list[int]](list)
    found = list(_find_blanks(data, ""))
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.lstrip().startswith("#"):
            for value in dict.fromkeys(value for _, value in found):
                lines[value] += [number] * line.count(value)
    placed = [(lines[value].pop(0) if lines[value] else 0, key, value) for key, value in found]
    return [
        InputError(file, key, value, Said("is still to be filled in"), line=line)
        for line, key, value in sorted(placed, key=lambda blank: blank[0])
    ]


def refuse_blanks(blanks: Sequence[InputError]) -> None:
    """Raises the first of some complaints with the others told beside it; nothing for none."""
    if blanks:
        raise replace(blanks[0], others=tuple(blanks[1:]))


def drop_blanks(data: Mapping[str, Any]) -> dict[str, Any]:
    """A file's TOML as if no key with a blank stood in it."""
    return {
        key: drop_blanks(value) if isinstance(value, dict) else value
        for key, value in data.items()
        if BLANK not in key and (isinstance(value, dict) or not any(_find_blanks(value, key)))
    }


def has_blank(value: Any) -> bool:
    """Whether a value is still to be filled in; of a table each key is asked by itself."""
    return not isinstance(value, dict) and any(_find_blanks(value, ""))


def _find_blanks(value: Any, key: str) -> Iterator[tuple[str, str]]:
    """Key and text of every blank in a value; a blank that is a key has that of its table."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if BLANK in name:
                yield key, name
            else:
                yield from _find_blanks(inner, f"{key}.{name}" if key else name)
    elif isinstance(value, list):
        for index, inner in enumerate(value, start=1):
            yield from _find_blanks(inner, f"{key}[{index}]" if isinstance(inner, dict) else key)
    elif isinstance(value, str) and BLANK in value:
        yield key, value
