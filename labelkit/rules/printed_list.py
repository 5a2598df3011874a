"""Reads the printed ingredient list and finds each name's line in the declaration."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.recent import RecentResults
from labelkit.common.text_match import fold_without_spaces
from labelkit.formula.declaration import DeclaredLine, Role
from labelkit.model.runs import NEUTRAL, ElementText, Panel

_OTHER_NAMES = {
    Role.PARFUM: ("parfum", "fragrance", "perfume"),
    Role.AROMA: ("aroma", "flavour", "flavor"),
}
_HEADING = re.compile(r"^\s*ingr[eé]di[eë]nt\w*[^:,]*:\s*", re.IGNORECASE)
"""A heading that ran into the list."""


@dataclass(frozen=True, slots=True)
class PrintedName:
    """One name of the printed list, and the declared line it stands for (None: there is none)."""

    text: str
    line: DeclaredLine | None


@dataclass(frozen=True, slots=True)
class PrintedList:
    """The ingredient list as printed."""

    panel: Panel
    text: str
    names: tuple[PrintedName, ...]
    lines: tuple[DeclaredLine, ...]
    """The declared lines in the order they are printed in."""


def read_printed_list(
    panel: Panel, texts: Sequence[ElementText], lines: tuple[DeclaredLine, ...]
) -> PrintedList:
    """The list of a panel; where it is in several languages, the neutral one."""
    text = next((t for t in texts if t.language == NEUTRAL), texts[0]).text
    names = _recall_names(split_names(text), lines)
    return PrintedList(panel, text, names, tuple(name.line for name in names if name.line))


_MATCHED = RecentResults[tuple[tuple[DeclaredLine, ...], tuple["PrintedName", ...]]](16)


def _recall_names(
    names: tuple[str, ...], lines: tuple[DeclaredLine, ...]
) -> tuple[PrintedName, ...]:
    """What ``match_names`` found: every rule on the list asks for the same names and lines."""
    known = _MATCHED.recall((names, id(lines)))  # the same lines, which are kept with the answer
    if known is None:
        known = _MATCHED.keep((names, id(lines)), (lines, match_names(names, lines)))
    return known[1]


@lru_cache(maxsize=64)
def split_names(text: str) -> tuple[str, ...]:
    """The names of a printed list. A comma inside parentheses or between figures parts nothing."""
    text = _HEADING.sub("", text)
    names, depth, start = [], 0, 0
    for index, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if character == "," and depth <= 0 and not _is_between_figures(text, index):
            names.append(text[start:index])
            start = index + 1
    names.append(text[start:])
    return tuple(name for raw in names if (name := " ".join(raw.split()).rstrip(".")))


def _is_between_figures(text: str, index: int) -> bool:
    return text[index - 1 : index].isdecimal() and text[index + 1 : index + 2].isdecimal()


def match_names(names: Iterable[str], lines: tuple[DeclaredLine, ...]) -> tuple[PrintedName, ...]:
    """Each printed name with its declared line, whole names before mere parts of names."""
    names = list(names)
    found: list[DeclaredLine | None] = [None] * len(names)
    free = list(lines)
    for forms_of_name, forms_of_line in (
        (_whole_name_keys, _whole_line_keys),
        (_partial_name_keys, _partial_line_keys),
    ):
        for index, name in enumerate(names):
            if found[index] is None:
                keys = forms_of_name(name)
                line = next((line for line in free if keys & forms_of_line(line)), None)
                if line is not None:
                    found[index] = line
                    free.remove(line)
    return tuple(PrintedName(name, line) for name, line in zip(names, found, strict=True))


@lru_cache(maxsize=4096)
def make_name_key(name: str) -> str:
    """A name for comparing, as readers do."""
    return fold_without_spaces(name)


@lru_cache(maxsize=4096)
def list_name_keys(name: str) -> frozenset[str]:
    """The name, the name without its parentheses, what they hold, and each part of "A/B"."""
    bare = re.sub(r"\s*\([^()]*\)", "", name)
    inside = re.findall(r"\(([^()]*)\)", name)
    parts = [name, bare, *inside, *name.split("/"), *bare.split("/")]
    return frozenset(key for part in parts if (key := make_name_key(part)))


def _whole_name_keys(name: str) -> frozenset[str]:
    return frozenset({make_name_key(name)})


def _partial_name_keys(name: str) -> frozenset[str]:
    return list_name_keys(name)


def _whole_line_keys(line: DeclaredLine) -> frozenset[str]:
    return frozenset({make_name_key(line.name), make_name_key(line.inci)})


def _partial_line_keys(line: DeclaredLine) -> frozenset[str]:
    return (
        list_name_keys(line.name) | list_name_keys(line.inci) | {*_OTHER_NAMES.get(line.role, ())}
    )
