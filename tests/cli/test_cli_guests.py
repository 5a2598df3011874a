"""A guest's name that cannot be set is told with its line in the list of guests."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner
from fontTools.ttLib import TTFont

from labelkit.cli import cli
from labelkit.common.resources import layouts_dir
from labelkit.job.prepare import preflight, prepare
from labelkit.typeset.faces import FaceRequest, load_face

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
    assert "front: In guests.csv: lines 4, 8: guest 'محمد' has letters that join" in told
    assert f"; line 5: guest '{LONG}' needs " in told
    assert "; line 6: guest '王 Wei' cannot be written in Cormorant" in told
    assert "Ada" not in told
    assert "the name in Latin letters" in told
    code, told = labelkit("preflight", label, "--language", "fr")
    assert code == 1
    assert "Dans guests.csv\u202f: lignes 4, 8\u202f: invité «\u202fمحمد\u202f»\u202f: a " in told
    assert "ligne 5\u202f: invité" in told
    assert "(en anglais)" not in told
    assert "le nom en lettres latines" in told


def test_names_that_cannot_be_set_hide_no_other_finding(
    label: Path, event: Callable[..., Path]
) -> None:
    """What is found beside them is what is found of the same label with the other guests alone."""
    event(('layout = "lantern"', 'layout = "lantern"\ncolour = "#999999"'), ('lot = "LS-2704"', ""))
    found = {f.rule: f for f in preflight(prepare(label)).findings}
    (label.parent / "guests.csv").write_text("name;table\nAda;1\nAda;2\n", encoding="utf-8")
    without = {f.rule: f for f in preflight(prepare(label)).findings}
    assert found.keys() - without.keys() == {"LABELKIT-FIT"}
    assert without.keys() - found.keys() == set()
    assert {"CA-LOT", "CRAFT-CONTRAST", "CRAFT-GUEST-COLUMNS"} <= found.keys()
    same = {rule for rule, finding in without.items() if finding == found[rule]}
    assert "CRAFT-CONTRAST" in same  # judged on the label's own trim, not on a larger one


def test_the_sheet_of_some_guests_names_their_lines_alone(label: Path, tmp_path: Path) -> None:
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", "--guests", "ada, 王 wei")
    assert code == 1
    assert "In guests.csv: line 6: guest '王 Wei'" in told
    assert LONG not in told
    assert not (tmp_path / "out").exists()


def test_the_proof_and_the_stock_asked_for_name_the_lines_too(label: Path, tmp_path: Path) -> None:
    code, _ = labelkit("proof", label, "--out", tmp_path / "proof.pdf", "--language", "en")
    assert code == 1
    assert not (tmp_path / "proof.pdf").exists()  # the customer's
    with pdfplumber.open(tmp_path / "proof-maker.pdf") as pdf:
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


# -- what helps a name that no face can write ------------------------------------------------------

BY_HAND = "the name in Latin letters; a spare label, with the name written by hand"
OWN = "a layout of your own that names a file of a face with the letters"


def ways(event: Callable[..., Path], *names: str, language: str = "en") -> str:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\n" + "\n".join(names), encoding="utf-8")
    _, told = labelkit("preflight", label, "--language", language)
    lines = told.splitlines()
    start = next(number for number, line in enumerate(lines) if "LABELKIT-FIT" in line)
    return lines[start + 1].partition(": ")[2].strip()


@pytest.mark.parametrize("name", ["محمد", "דוד", "राम", "Ram राम"])
def test_no_layout_is_offered_for_letters_that_are_not_set_in_any(
    event: Callable[..., Path], name: str
) -> None:
    """Hebrew and Arabic run from right to left, Devanagari reorders (The Unicode Standard)."""
    assert ways(event, name) == BY_HAND


@pytest.mark.parametrize("names", [["王 Wei"], ["王 Wei", "محمد"]])
def test_where_no_layout_here_has_the_letters_one_of_your_own_may(
    event: Callable[..., Path], names: list[str]
) -> None:
    assert ways(event, *names) == f"{OWN}; {BY_HAND}"


def having(letter: str) -> list[str]:
    """The layouts whose face for guests has a letter, by the fonts' own tables of characters."""
    found = []
    for path in sorted(layouts_dir().glob("*.toml")):
        data = tomllib.loads(path.read_text("utf-8"))
        (block,) = [b for b in data["front"]["blocks"] if b.get("element") == "guest"]
        face = data["faces"][block["face"]]
        style = {"weight": face.get("weight", 400), "italic": face.get("italic", False)}
        font = TTFont(load_face(FaceRequest(face["family"], **style)).path)
        if ord(letter) in font.getBestCmap():
            found.append(path.stem)
    return found


@pytest.mark.parametrize("letter", ["♥", "Ⅻ"])
def test_layouts_that_have_the_letters_are_named_and_can_set_them(
    event: Callable[..., Path], letter: str
) -> None:
    able = having(letter)
    assert able
    told = ways(event, f"Noé {letter}")
    assert told == f"a layout whose face has the letters: {' or '.join(able)}; {OWN}; {BY_HAND}"
    for layout in able:
        label = event()
        text = label.read_text("utf-8").replace('layout = "lantern"', f'layout = "{layout}"')
        other = label.with_name(f"{layout}.toml")
        other.write_text(text.replace('trim = "44 x 28 mm"', 'trim = "60 x 45 mm"'), "utf-8")
        _, found = labelkit("preflight", other, "--language", "en")
        assert "cannot be written" not in found
        assert "LABELKIT-FIT" not in found


def test_a_layout_has_to_help_all_the_names_it_is_offered_for(event: Callable[..., Path]) -> None:
    assert set(having("♥")).isdisjoint(having("Ⅻ"))
    assert ways(event, "Noé ♥", "Louis Ⅻ") == f"{OWN}; {BY_HAND}"


def test_french_says_what_helps_too(event: Callable[..., Path]) -> None:
    told = ways(event, "Noé ♥", "محمد", language="fr")
    assert "un gabarit dont le caractère a ces lettres" in told
    assert "une étiquette de réserve, le nom écrit à la main" in told
    assert "(en anglais)" not in told


def test_the_spare_it_speaks_of_has_no_name_on_it(event: Callable[..., Path]) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\nAda\nBo", encoding="utf-8")
    job = prepare(label)
    front = job.composed[0]
    assert job.spec.event.labels == 3  # two guests, and 10 % spares rounded up
    assert [len(job.own_runs(front, number)) for number in range(3)] == [1, 1, 0]
