"""The keys that a starter file does not show: named under each table, from the table of fields.

So a new key is in every new file as soon as it has its row.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from textwrap import wrap

from labelkit.order.fields import LABEL, MAKER, FieldTable, load_file_tables

_HEADER = re.compile(r"^(?:# )?\[\[?(?P<table>[a-z_.]+)\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^(?:# )?(?:\"[^\"]+\"|[a-z_]+) = ")
_WIDTH = 100
_OF_ONE_ORDER = ("plan.sent", "plan.customer")
"""Tables of the plan that no habit of the workshop can say."""


def add_further_keys(file: str, text: str) -> str:
    """The text of a starter file with a comment under each table that names its other keys, and
    one at the end for whole tables that it does not show."""
    tables = load_file_tables()[file]
    lines = text.splitlines()
    sections = _find_sections(lines)
    for name in sorted(sections, key=lambda name: sections[name][1], reverse=True):
        first, last = sections[name]
        shown = "\n".join(lines[first : last + 1])
        absent = [
            key
            for key in _list_own_keys(file, name, tables)
            if not _has_word(shown, key) and f"{name}.{key}" not in sections
        ]
        if absent:
            lines[last + 1 : last + 1] = _format_comment("Also: ", absent)
    missing = [
        f"[[{name}]]" if table.is_list else f"[{name}]"
        for name, table in tables.items()
        if name and name not in sections and not _stands_elsewhere(file, name, text)
    ]
    lines += ["", "# `labelkit schema --reference` explains every key."]
    lines += _format_comment("Further tables: ", missing) if missing else []
    return "\n".join(lines) + "\n"


def _find_sections(lines: list[str]) -> dict[str, tuple[int, int]]:
    """The first header and the last key of every table that is shown, commented out or not."""
    found: dict[str, tuple[int, int]] = {}
    name, begun = "", 0
    for number, line in enumerate(lines):
        if header := _HEADER.match(line):
            name, begun = header["table"], number
        elif _KEY.match(line) and name and found.get(name, (begun, 0))[0] == begun:
            found[name] = (begun, number)
    return found


def _list_own_keys(file: str, name: str, tables: Mapping[str, FieldTable]) -> Iterator[str]:
    """The keys of a table that belong into this file: of the plan habits into the maker's alone,
    and days into the label's."""
    planned = name.startswith("plan")
    if name in tables and not (planned and file == LABEL):
        for key, field in tables[name].fields.items():
            if not (planned and field.kind == "date"):
                yield key


def _stands_elsewhere(file: str, name: str, text: str) -> bool:
    """Whether a table is written in a line of another, or belongs into the other file."""
    outer, _, inner = name.rpartition(".")
    if file == LABEL and outer == "plan":
        return name not in _OF_ONE_ORDER  # all others are habits as well
    return (file == MAKER and name in _OF_ONE_ORDER) or (bool(outer) and f"{inner} = [" in text)


def _has_word(text: str, word: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text) is not None


def _format_comment(begins: str, names: list[str]) -> list[str]:
    return wrap(
        begins + ", ".join(names), _WIDTH, initial_indent="# ", subsequent_indent="# ",
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip
