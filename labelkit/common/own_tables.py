"""Labelkit's own TOML tables, which lie in the rooms that they serve; decimal numbers stay exact.

They are read by tomli, the parser that became Python's ``tomllib``: compiled, where its maker
offers it so, it takes a third of the time, and most commands read some fifty tables. What a maker
writes is read by ``tomllib`` (``order.reader``).
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import tomli

PACKAGE = Path(__file__).parents[1]


def read_own_table(name: str) -> dict[str, Any]:
    """A table by its path in the package, without the ending: "formula/tables/materials"."""
    return parse_own_table(read_own_text(f"{name}.toml"))


def parse_own_table(text: str) -> dict[str, Any]:
    return tomli.loads(text, parse_float=Decimal)


def read_own_text(name: str) -> str:
    """A text file by its path in the package."""
    return (PACKAGE / name).read_text("utf-8")
