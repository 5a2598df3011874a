"""The format number of every kind of file: read, or explained in one line."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import hard_toml as documents
import pytest
from hard_case import SAMPLE, Case
from hard_cases import PRINTERS, STOCK, bytes_of, with_layout
from hard_run import Outcome, run

PREFLIGHT = ("preflight", "label.toml")
REST = b'labelkit = 1\n\n[[rest]]\nstock = "a4-4x8-44x28"\nstart = 3\n'
LAYOUT, READY_CUT = b'layout = "mine.toml"', b', stock = "a4-4x8-44x28"'
KINDS = {
    "label.toml": PREFLIGHT,
    "maker.toml": PREFLIGHT,
    "recipe.toml": PREFLIGHT,
    "prices.toml": ("plan", "label.toml"),
    "mine.toml": PREFLIGHT,
    "stock.toml": ("stock", "show", "stock.toml"),
    "printers.toml": ("calibrate", "--page", "a4", "--printer", "hall", "--across", "170",
                      "--up", "249.3", "--left", "20", "--foot", "20", "--edge", "4"),
    "part-used.toml": ("sheet", "label.toml", "--out", "out", "--remember"),
}  # fmt: skip
"""Every kind of file, and a command that reads it."""


def outcome(name: str, change: tuple[bytes, bytes]) -> Outcome:
    """What comes of a command when the format number of one of its files is changed."""
    files = with_layout({})
    files |= {
        "stock.toml": documents.toml(STOCK),
        "printers.toml": documents.toml(PRINTERS),
        "part-used.toml": REST,
    }
    if name == "part-used.toml":  # is kept for ready-cut labels
        files["label.toml"] = bytes_of(files["label.toml"]).replace(LAYOUT, LAYOUT + READY_CUT)
    data = bytes_of(files[name])
    assert data.count(change[0]) == 1
    files[name] = data.replace(*change)
    return run(Case(name, KINDS[name], files))


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.quick(4)
def test_a_file_of_this_format_is_read_and_one_without_a_number_as_the_first(name: str) -> None:
    codes = []
    for number in (b"labelkit = 1\n", b""):
        found = outcome(name, (b"labelkit = 1\n", number))
        assert not found.faults
        assert found.code in (0, 1), found.stderr
        codes.append(found.code)
    assert codes[0] == codes[1]


@pytest.mark.parametrize("name", KINDS)
def test_a_newer_file_asks_for_a_newer_labelkit(name: str) -> None:
    found = outcome(name, (b"labelkit = 1", b"labelkit = 2"))
    assert not found.faults
    assert found.code == 2
    wanted = rf"{re.escape(name)}: (line \d+: )?labelkit: 2: this version reads format 1; update"
    assert re.search(wanted, found.stderr)


@pytest.mark.parametrize("number", [b"0", b"-1", b"1.0", b'"1"', b"true", b"[1]", b"99999999999"])
@pytest.mark.parametrize("name", ["label.toml", "recipe.toml"])
@pytest.mark.quick(7)
def test_what_is_no_format_number_is_told(name: str, number: bytes) -> None:
    found = outcome(name, (b"labelkit = 1", b"labelkit = " + number))
    assert not found.faults
    assert found.code == 2
    assert re.search(rf"{re.escape(name)}: line \d+: labelkit: ", found.stderr)


def test_a_newer_record_asks_for_a_newer_labelkit(tmp_path: Path) -> None:
    for name in ("label.toml", "maker.toml", "recipe.toml", "prices.toml"):
        shutil.copy(SAMPLE / name, tmp_path)
    files = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with closing(sqlite3.connect(tmp_path / "trace.sqlite")) as database:
        database.execute("PRAGMA application_id = 0x6C6B7472")
        database.execute("PRAGMA user_version = 4")
        database.execute("CREATE TABLE event (id INTEGER)")
        database.commit()
    files["trace.sqlite"] = (tmp_path / "trace.sqlite").read_bytes()
    for command in (("trace", "OL-0311"), ("plan", "label.toml", "--record", "--format", "json")):
        found = run(Case("record", command, files))
        assert not found.faults
        assert found.code == 2
        assert "has format 4; this version reads up to 3; update labelkit" in found.stderr
