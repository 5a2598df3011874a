"""The same files make the same bytes, whatever the computer's language, place and hash seed."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import pytest
from hard_case import ROOT
from sample_copies import copy_sample

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("sheet", "lighthouse-supper/label.toml", "--out", "lighthouse"),
    ("sheet", "shearing-ball/label.toml", "--out", "ball"),
    ("proof", "lighthouse-supper/label.toml", "--out", "proof.pdf"),
    ("preflight", "lighthouse-supper/label.toml", "--format", "json", "--region", "CA-QC"),
    ("preflight", "shearing-ball/label.toml", "--format", "html", "--strict"),
    ("preflight", "border-anniversary/label.toml", "--timeline"),
    ("declare", "lighthouse-supper/recipe.toml", "--on", "2027-06-19"),
    ("declare", "lighthouse-supper/recipe.toml", "--format", "json", "--on", "2027-06-19"),
    ("plan", "lighthouse-supper/label.toml", "--on", "2027-03-01", "--format", "pdf",
     "--out", "plan.pdf", "--ics", "days.ics"),
    ("plan", "lighthouse-supper/label.toml", "--on", "2027-03-01", "--format", "html",
     "--language", "fr"),
    ("plan", "lighthouse-supper/label.toml", "--on", "2027-03-01", "--format", "json"),
    ("stock", "show", "a4-4x8-44x28", "--out", "stock.pdf"),
    ("calibrate", "--page", "letter", "--out", "page.pdf"),
    ("rules", "--format", "json"),
)  # fmt: skip

SETTINGS = (
    {"PYTHONHASHSEED": "0", "TZ": "UTC", "LANG": "C", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "LANG": "fr_CA.UTF-8", "LC_ALL": "C.UTF-8"},
    {"PYTHONHASHSEED": "4294967295", "TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8",
     "PYTHONUTF8": "1", "COLUMNS": "40"},
)  # fmt: skip

_DRIVER = """
import contextlib, io, json, sys
from labelkit.cli import main
said = []
for command in json.loads(sys.argv[1]):
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            main(command)
        except SystemExit as done:
            out.write(f"exit {int(done.code or 0)}")
    said.append(out.getvalue())
with open("said.json", "w", encoding="utf-8") as stream:
    json.dump(said, stream)
"""


@lru_cache(maxsize=8)
def digests(setting: int, python: str, folder: Path) -> dict[str, str]:
    """A digest of everything that is written and said, by file or command."""
    place = folder / f"{setting}-{Path(python).parent.parent.name}"
    samples = place / "samples"
    copy_sample(ROOT / "samples", samples)
    environment = {
        key: value
        for key, value in os.environ.items()
        if not key.startswith(("LC_", "LANG", "PYTHON", "SOURCE_DATE")) and key != "TZ"
    }
    environment |= SETTINGS[setting] | {
        "PYTHONPATH": str(ROOT),
        "XDG_CACHE_HOME": str(place / "cache"),
    }
    arguments = [python, "-c", _DRIVER, json.dumps(COMMANDS)]
    subprocess.run(arguments, cwd=samples, env=environment, check=True)
    said = json.loads((samples / "said.json").read_text(encoding="utf-8"))
    found = {
        " ".join(command): _digest(text.encode())
        for command, text in zip(COMMANDS, said, strict=True)
    }
    assert all(text.endswith(("exit 0", "exit 1")) for text in said), said
    for path in sorted(samples.rglob("*")):
        if path.suffix in {".pdf", ".ics", ".png"}:
            found[str(path.relative_to(samples))] = _digest(path.read_bytes())
    return found


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("same")


@pytest.mark.long
@pytest.mark.parametrize("setting", range(1, len(SETTINGS)))
def test_no_setting_of_the_computer_shows(setting: int, folder: Path) -> None:
    """Hash seed, time zone, language and the width of the terminal make no byte of difference."""
    first = digests(0, sys.executable, folder)
    assert len(first) > len(COMMANDS) + 6  # the files, too
    assert digests(setting, sys.executable, folder) == first


@pytest.mark.long
@pytest.mark.skipif(
    "LABELKIT_OTHER_PYTHON" not in os.environ,
    reason="LABELKIT_OTHER_PYTHON names no second Python with labelkit's dependencies",
)
def test_another_python_makes_the_same(folder: Path) -> None:
    other = os.environ["LABELKIT_OTHER_PYTHON"]
    assert digests(1, other, folder) == digests(0, sys.executable, folder)
