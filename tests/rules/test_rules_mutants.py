"""No number of any rules table can change without a test noticing.

The whole run is a script (tests/mutate_tables.py), and the long run does all of it; in every run
one table in full, and the script's own parts.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

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
    "table", [table if table == "NZ" else pytest.param(table, marks=pytest.mark.long)
              for table in TABLES]
)  # fmt: skip
def test_a_changed_number_is_noticed(table: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mutate.reading, "read_table_text", mutate.reading.read_table_text)
    assert mutate.main([table]) == 0
    mutate.forget_tables()  # the true one is read again
