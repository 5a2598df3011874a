"""The JSON Schema of layout files: every design passes it, and it knows the keys that are read."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from command import labelkit
from jsonschema import Draft202012Validator

from labelkit.order.fields import LAYOUT, load_file_tables
from labelkit.order.schema import build_schema

ROOT = Path(__file__).resolve().parents[2]
FILES = [*(ROOT / "layouts").glob("*.toml"), *(ROOT / "layouts" / "backs").glob("*.toml"),
         ROOT / "samples" / "millpond-wedding" / "figleaf.toml"]  # fmt: skip


def test_the_command_prints_it() -> None:
    printed = json.loads(labelkit("schema", "layout.toml").stdout)
    assert printed == build_schema(LAYOUT)


@pytest.mark.parametrize("path", sorted(FILES), ids=lambda p: p.stem)
def test_every_design_passes(path: Path) -> None:
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    errors = [e.message for e in Draft202012Validator(build_schema(LAYOUT)).iter_errors(data)]
    assert errors == []


def test_a_slip_is_told() -> None:
    data = {"labelkit": 1, "front": {"blocks": [{"element": "names", "alling": "left"}]}}
    (error,) = Draft202012Validator(build_schema(LAYOUT)).iter_errors(data)
    assert "alling" in error.message


def test_it_knows_the_keys_that_the_readers_ask_for_and_no_others() -> None:
    asked: set[str] = set()
    for name in ("layout.py", "ornament.py"):
        source = (ROOT / "labelkit" / "order" / name).read_text(encoding="utf-8")
        pattern = r'(?:table|group)\.\w+\(\s*"(\w+)"|_?read_\w+\(table, "(\w+)"'
        asked |= {key for found in re.findall(pattern, source) for key in found if key}
    tables = {"faces", "ornaments", "steps", "keep_clear", "blocks", "art", "borders",
              "surrounds", "patterns"}  # fmt: skip
    known = {key for table in load_file_tables()[LAYOUT].values() for key in table.fields}
    sides = {"head", "right", "foot", "left"}
    elsewhere = {"labelkit", "extends", "leave_out"}
    assert asked - tables - sides - elsewhere == known - sides - elsewhere
