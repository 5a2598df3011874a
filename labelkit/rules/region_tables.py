"""Reads the regions' tables as they are written. A region is a file named by its code; nothing here
knows any region.

A child region (``extends``) has all its parent's rows. A row may stand in for a parent's row
(``replaces``), taking over whatever it does not say itself, and a child may do without some
(``drops``).
"""

from __future__ import annotations

import datetime as dt
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.rule_tables import read_table


@dataclass(frozen=True, slots=True)
class RegionTable:
    """One file: its heading and its rows as written."""

    code: str
    title: str
    extends: str
    drops: tuple[str, ...]
    home: tuple[str, ...]
    """Countries (ISO 3166) whose goods are no imports here; empty: as the parent's."""
    languages: tuple[tuple[str, ...], ...]
    """Sets of languages of which the label's required words must have one whole."""
    rows: tuple[dict[str, Any], ...]


@lru_cache(maxsize=64)
def load_region_table(code: str) -> RegionTable:
    data = read_table(code)
    return RegionTable(
        code,
        data["title"],
        data.get("extends", ""),
        tuple(data.get("drops", ())),
        tuple(data.get("home", ())),
        tuple(tuple(one) for one in data.get("languages", ())),
        tuple(data.get("rule", ())),
    )


def list_ancestry(code: str) -> tuple[str, ...]:
    """The region and those it extends, nearest first."""
    table = load_region_table(code)
    return (code, *list_ancestry(table.extends)) if table.extends else (code,)


def merge_rows(code: str) -> list[tuple[str, dict[str, Any]]]:
    """Every row of a region, its parents' included, with the table it stands in."""
    table = load_region_table(code)
    inherited = merge_rows(table.extends) if table.extends else []
    rows = {row["id"]: (owner, row) for owner, row in inherited if row["id"] not in table.drops}
    for row in table.rows:
        stands_in_for = row.get("replaces")
        if stands_in_for:
            _, parent_row = rows.pop(stands_in_for)
            row = {**parent_row, **row}
        rows[row["id"]] = (code, row)
    return list(rows.values())


def find_start_day(
    since: dt.date | None, existing_from: dt.date | None, first_sold_on: dt.date
) -> dt.date | None:
    """The day from which a row in force ``since`` binds a product; None: it always did.

    ``existing_from`` is when products that were first sold before it come to be bound.
    """
    spared = since is not None and first_sold_on < since
    return existing_from if spared and existing_from else since
