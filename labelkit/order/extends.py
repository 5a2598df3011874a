"""A layout that says only how it differs from another: the other's tables with its own laid over.

Tables are laid over key by key; a list such as ``blocks`` is taken whole. ``[[front.changes]]``
changes single blocks of the other's: each names what the block shows and gives the keys that
differ, or ``leave_out = true``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import FactList, Said
from labelkit.common.resources import find_layouts_folder
from labelkit.order.fields import LAYOUT, SURFACES
from labelkit.order.laid_over import is_file_there
from labelkit.order.reader import Table, is_below_folder, read_toml, suggest_nearest

MOST_PARENTS = 6
SHOWS = ("element", "ornament", "picture")
"""What a block shows, and a change finds it by."""
LISTS = ("blocks", "art", "borders", "surrounds", "patterns", "changes")
_SHIPPED = re.compile(r"[a-z0-9-]+(/[a-z0-9-]+)?")


class ChangedBlock(dict[str, Any]):
    """A block with a change laid over it; a mistake in it is one of the change's own table."""

    written_at: str = ""


def read_layout_table(path: Path) -> Table:
    """The top table of a layout, what it extends laid under it."""
    table = Table(path, "", _read_whole(path, ()), LAYOUT)
    table.has("labelkit")  # each file's own was read with it
    return table


def _read_whole(path: Path, children: tuple[Path, ...]) -> dict[str, Any]:
    table = read_toml(path, LAYOUT)
    own = table.raw_data()
    if "extends" not in own:
        return dict(own)
    parent = _find_parent(table, path)
    if len(children) >= MOST_PARENTS or parent in (*children, path):
        table.wrong("extends", own["extends"], Said("leads round in a circle, or too far"))
    return _lay_over(path, _read_whole(parent, (*children, path)), own)


def _find_parent(table: Table, path: Path) -> Path:
    name: str = table.text("extends", expected=Said("a layout by name, or a file of your own"))
    if name.endswith(".toml"):
        if not is_below_folder(path.parent, name) or not is_file_there(path.parent / name):
            table.wrong(
                "extends", name, Said("no such file; a layout of your own lies beside this one")
            )
        return path.parent / name
    folder = find_layouts_folder()
    if not _SHIPPED.fullmatch(name) or not (folder / f"{name}.toml").is_file():
        names = sorted(one.stem for one in folder.glob("*.toml"))
        near = suggest_nearest(name, names)
        table.wrong(
            "extends",
            name,
            Said(
                "no such layout; {near}expected one of {listed}", near=near, listed=FactList(names)
            ),
        )
    return folder / f"{name}.toml"


def _lay_over(path: Path, under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    whole = _merge_tables(under, {k: v for k, v in over.items() if k != "extends"})
    for panel in ("front", "back", *SURFACES):
        own = over.get(panel)
        if isinstance(own, Mapping) and "changes" in own:
            whole[panel] = _change_blocks(path, panel, whole[panel], own["changes"])
    return whole


def _merge_tables(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(under)
    for key, value in over.items():
        before = merged.get(key)
        if isinstance(value, Mapping) and isinstance(before, Mapping) and not _is_whole(value):
            merged[key] = _merge_tables(before, value)
        else:
            merged[key] = value
    return merged


def _is_whole(value: Mapping[str, Any]) -> bool:
    """Whether a table stands for itself: a drawing is taken whole, never mixed with another."""
    return bool({"path", "grow", "letters", "file", "family"} & value.keys())


def _change_blocks(
    path: Path, panel: str, plan: Mapping[str, Any], changes: object
) -> dict[str, Any]:
    blocks = plan.get("blocks")
    if not isinstance(changes, list) or not isinstance(blocks, list):
        raise InputError(
            format_path(path), f"{panel}.changes", None, Said("expected [[...]] tables")
        )
    for number, change in enumerate(changes, start=1):
        at = f"{panel}.changes[{number}]"
        blocks = _change_block(path, at, blocks, change)
    return {**{k: v for k, v in plan.items() if k != "changes"}, "blocks": blocks}


def _change_block(path: Path, at: str, blocks: list[Any], change: object) -> list[Any]:
    shown = (
        next(((key, change[key]) for key in SHOWS if key in change), None)
        if isinstance(change, Mapping)
        else None
    )
    if shown is None or not isinstance(change, Mapping):
        expected = Said("expected what the block shows: {listed}", listed=FactList(SHOWS))
        raise InputError(format_path(path), at, None, expected)
    key, name = shown
    if not any(isinstance(b, Mapping) and b.get(key) == name for b in blocks):
        there = [str(b[key]) for b in blocks if isinstance(b, Mapping) and key in b]
        near = suggest_nearest(str(name), there)
        expected = Said(
            "no block of what it extends shows it; {near}there are {listed}",
            near=near,
            listed=FactList(there),
        )
        raise InputError(format_path(path), f"{at}.{key}", name, expected)
    changed: list[Any] = []
    for block in blocks:
        if not isinstance(block, Mapping) or block.get(key) != name:
            changed.append(block)
        elif not change.get("leave_out"):
            made = ChangedBlock({**block, **{k: v for k, v in change.items() if k != "leave_out"}})
            made.written_at = at
            changed.append(made)
    return changed
