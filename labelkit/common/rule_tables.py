"""Opens the TOML tables of the rules; decimal numbers stay exact."""

from __future__ import annotations

from typing import Any

from labelkit.common.own_tables import PACKAGE, parse_own_table, read_own_text

FOLDER = PACKAGE / "rules" / "tables"


def read_table(name: str) -> dict[str, Any]:
    """The contents of one table, by its name without the ending."""
    return parse_own_table(read_table_text(name))


def read_table_text(name: str) -> str:
    return read_own_text(f"rules/tables/{name}.toml")
