"""Labelkit's own tables read as Python's own parser reads them, which is the reference."""

from __future__ import annotations

import tomllib
from decimal import Decimal

from labelkit.common.own_tables import PACKAGE, read_own_table

TABLES = sorted(
    path.relative_to(PACKAGE).as_posix()
    for path in PACKAGE.rglob("*.toml")
    if path.parent.name != "starter"  # with blanks yet to be filled in
)


def test_each_says_what_tomllib_reads_in_it() -> None:
    assert len(TABLES) > 60
    for name in TABLES:
        expected = tomllib.loads((PACKAGE / name).read_text("utf-8"), parse_float=Decimal)
        assert read_own_table(name.removesuffix(".toml")) == expected, name
