"""A guest's name that cannot be set is told with its line in the list of guests."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from labelkit.cli import cli

LONG = "Wilhelmina Featherstonehaugh of Upper Umberwood upon the Water"
LISTED = f"""name;table

Ada;1
محمد;2
"{LONG}";2
王 Wei;3

محمد;4
"""
"""A head, then names on lines 3 to 6 and 8, as an editor counts them."""


@pytest.fixture
def label(event: Callable[..., Path]) -> Path:
    """The sample event, with guests of whom three cannot be set."""
    path = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (path.parent / "guests.csv").write_text(LISTED, encoding="utf-8")
    return path


def labelkit(*arguments: str | Path) -> tuple[int, str]:
    done = CliRunner().invoke(cli, [*map(str, arguments)], standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return int(done.return_value), done.output


def test_the_preflight_names_file_and_lines(label: Path) -> None:
    code, told = labelkit("preflight", label, "--language", "en")
    assert code == 1
    assert "front: In guests.csv: lines 4, 8: guest 'محمد' cannot be written in Cor" in told
    assert f"; line 5: guest '{LONG}' needs " in told
    assert "; line 6: guest '王 Wei' cannot be written in Cormorant" in told
    assert "Ada" not in told
    assert "the name in Latin letters" in told
    code, told = labelkit("preflight", label, "--language", "fr")
    assert code == 1
    assert "Dans guests.csv\u202f: lignes 4, 8\u202f: invité «\u202fمحمد\u202f»\u202f: ne " in told
    assert "ligne 5\u202f: invité" in told
    assert "(en anglais)" not in told
    assert "le nom en lettres latines" in told


def test_the_sheet_of_some_guests_names_their_lines_alone(label: Path, tmp_path: Path) -> None:
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", "--guests", "ada, 王 wei")
    assert code == 1
    assert "In guests.csv: line 6: guest '王 Wei'" in told
    assert LONG not in told
    assert not (tmp_path / "out").exists()


def test_the_proof_and_the_stock_asked_for_name_the_lines_too(label: Path, tmp_path: Path) -> None:
    code, _ = labelkit("proof", label, "--out", tmp_path / "proof.pdf", "--language", "en")
    assert code == 1
    with pdfplumber.open(tmp_path / "proof.pdf") as pdf:
        words = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
    assert "In guests.csv: lines 4, 8: guest" in words
    code, told = labelkit("fit", label, "--stock", "letter-plain")
    assert code == 1
    assert f"in guests.csv: line 5: guest '{LONG}' needs " in told


def test_of_many_guests_the_first_twelve_are_named(label: Path) -> None:
    names = "".join(f"王 {letter}\n" for letter in "ABCDEFGHIJKLMN")
    (label.parent / "guests.csv").write_text("name\n" + 14 * "李\n" + names, encoding="utf-8")
    _, told = labelkit("preflight", label, "--format", "json")
    message = next(f for f in json.loads(told)["findings"] if f["rule"] == "LABELKIT-FIT")
    # 李 is on lines 2 to 15, of which twelve are named; 王 A to K on 16 to 26; 15 names in all.
    assert "lines 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, …: guest '李'" in message["message"]
    assert "line 26: guest '王 K'" in message["message"]
    assert message["message"].endswith("; and 3 more.")
    assert "王 L" not in message["message"]
