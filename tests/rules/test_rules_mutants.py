"""No number of any rules table can change without a test noticing.

The whole run is a script (tests/mutate_tables.py), and the long run does all of it; in every run
one table in full, and the script's own parts.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

import pytest

from labelkit.rules import list_region_titles, load_rules

PACKAGE = Path(__file__).resolve().parents[2] / "labelkit"
sys.path.insert(0, str(Path(__file__).parent.parent))
mutate = __import__("mutate_tables")
TABLES = [
    path.stem
    for path in sorted(mutate.reading.FOLDER.glob("*.toml"))
    if any(mutate.mutants(path.stem))
]


def test_every_number_is_found_and_changed_in_its_last_place() -> None:
    assert mutate.steps("1.6") == ["1.7", "1.5"]
    assert mutate.steps("2026-08-01") == ["2026-08-02", "2026-07-31"]
    changed = {str(m.before) for m in mutate.mutants("common")}
    assert changed == {"0.005", "1.2", "0.8"}
    assert "2028-01-01" in {m.before for m in mutate.mutants("GB")}


@pytest.mark.parametrize(
    "table", [table if table == "conflicts" else pytest.param(table, marks=pytest.mark.long)
              for table in TABLES]
)  # fmt: skip
def test_a_changed_number_is_noticed(table: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mutate.reading, "read_table_text", mutate.reading.read_table_text)
    assert mutate.main([table]) == 0
    mutate.forget_tables()  # the true one is read again


DATED_KINDS = ("allergens", "list-never")
"""Rows from which the ingredient list takes which names it must and must not hold, and when."""


def list_dated_mutants() -> list[Any]:
    """Every shift by a day of a date on which names become due or banned."""
    dated = {r.id for r in load_rules(list(list_region_titles())) if r.kind in DATED_KINDS}
    return [
        mutant
        for table in TABLES
        for mutant in mutate.mutants(table)
        if mutant.rule in dated and "-" in mutant.before
    ]


@pytest.mark.parametrize("mutant", list_dated_mutants(), ids=str)
@pytest.mark.quick(1)
def test_a_day_of_allergens_or_bans_shifted_by_one_is_noticed(
    mutant: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mutate.reading, "read_table_text", mutate.reading.read_table_text)
    cases = [case for case in mutate.rule_cases.all_cases() if case.rule == mutant.rule]
    reader = mutate.Reader()
    reader.use(mutant.table, mutant.text)
    noticed = mutate.is_noticed(mutant, cases, mutate.rule_values.VALUES)
    reader.use("", "")
    assert noticed


def test_no_day_of_law_stands_in_the_recipe_room() -> None:
    """What is due since when is the rules' matter; chemistry and names know no day."""
    dated = [
        f"{path.name}: {day}"
        for path in (PACKAGE / "formula").rglob("*.*")
        if path.suffix in {".py", ".toml"}
        for line in path.read_text("utf-8").splitlines()
        if not line.startswith("#")
        for day in re.findall(r"\b(?:19|20)\d\d-\d\d-\d\d\b", line)
    ]
    assert dated == []
