"""Opens the TOML tables of the rules; decimal numbers stay exact."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[1] / "rules" / "tables"


def read_table(name: str) -> dict[str, Any]:
    """The contents of one table, by its name without the ending."""
    return tomllib.loads(read_table_text(name), parse_float=Decimal)


def read_table_text(name: str) -> str:
    return (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
