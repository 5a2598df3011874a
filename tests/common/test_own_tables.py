"""Labelkit's own tables read as Python's own parser reads them, which is the reference."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest

from labelkit.common.own_tables import PACKAGE, read_own_table

TABLES = sorted(path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.toml"))


@pytest.mark.parametrize("name", [n for n in TABLES if "starter" not in n])
def test_it_says_what_tomllib_reads_in_it(name: str) -> None:
    expected = tomllib.loads((PACKAGE / name).read_text("utf-8"), parse_float=Decimal)
    assert read_own_table(name.removesuffix(".toml")) == expected
    assert expected
