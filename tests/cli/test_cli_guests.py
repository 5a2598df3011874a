"""A guest's name that cannot be set is told with its line in the list of guests."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from page_text import read_lines, read_text

from labelkit.cli import cli
from labelkit.common.errors import LabelkitError
from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.typeset.fontfiles import list_family_files

LONG = "Wilhelmina Featherstonehaugh of Upper Umberwood upon the Water"
LISTED = f"""name;table

Ada;1
محمد 🎈;2
"{LONG}";2
🎉 Wei;3

محمد 🎈;4
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
    assert (
        "front: In guests.csv: lines 4, 8: guest 'محمد 🎈' has what no font here can write: '🎈'"
        in told
    )
    assert f"; line 5: guest '{LONG}' needs " in told
    assert "; line 6: guest '🎉 Wei' has what no font here can write: '🎉'" in told
    assert "Ada" not in told
    assert "the name in other letters" in told
    code, told = labelkit("preflight", label, "--language", "fr")
    assert code == 1
    assert (
        "Dans guests.csv\u202f: lignes 4, 8\u202f: invité «\u202fمحمد 🎈\u202f»\u202f: a " in told
    )
    assert "ligne 5\u202f: invité" in told
    assert "(en anglais)" not in told
    assert "le nom en d’autres lettres" in told


def test_names_that_cannot_be_set_hide_no_other_finding(
    label: Path, event: Callable[..., Path]
) -> None:
    """What is found beside them is what is found of the same label with the other guests alone."""
    event(('layout = "lantern"', 'layout = "lantern"\ncolour = "#999999"'), ('lot = "LS-2704"', ""))
    found = {f.rule: f for f in preflight_job(prepare_job(label)).findings}
    (label.parent / "guests.csv").write_text("name;table\nAda;1\nAda;2\n", encoding="utf-8")
    without = {f.rule: f for f in preflight_job(prepare_job(label)).findings}
    assert found.keys() - without.keys() == {"LABELKIT-FIT"}
    assert without.keys() - found.keys() == set()
    assert {"CA-LOT", "CRAFT-CONTRAST", "CRAFT-GUEST-COLUMNS"} <= found.keys()
    same = {rule for rule, finding in without.items() if finding == found[rule]}
    assert "CRAFT-CONTRAST" in same  # judged on the label's own trim, not on a larger one


def test_the_sheet_of_some_guests_names_their_lines_alone(label: Path, tmp_path: Path) -> None:
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", "--guests", "ada, 🎉 wei")
    assert code == 1
    assert "In guests.csv: line 6: guest '🎉 Wei'" in told
    assert LONG not in told
    assert not (tmp_path / "out").exists()


def test_the_proof_and_the_stock_asked_for_name_the_lines_too(label: Path, tmp_path: Path) -> None:
    code, _ = labelkit("proof", label, "--out", tmp_path / "proof.pdf", "--language", "en")
    assert code == 1
    assert not (tmp_path / "proof.pdf").exists()  # the customer's
    words = read_text(tmp_path / "proof-maker.pdf")
    assert "In guests.csv: lines 4, 8: guest" in words
    code, told = labelkit("fit", label, "--stock", "letter-plain")
    assert code == 1
    assert f"in guests.csv: line 5: guest '{LONG}' needs " in told


def test_of_many_guests_the_first_twelve_are_named(label: Path) -> None:
    names = "".join(f"🎉 {letter}\n" for letter in "ABCDEFGHIJKLMN")
    (label.parent / "guests.csv").write_text("name\n" + 14 * "Bo 🎈\n" + names, encoding="utf-8")
    _, told = labelkit("preflight", label, "--format", "json")
    message = next(f for f in json.loads(told)["findings"] if f["rule"] == "LABELKIT-FIT")
    # Bo 🎈 is on lines 2 to 15, of which twelve are named; 🎉 A to K on 16 to 26; 15 names.
    assert "lines 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, …: guest 'Bo 🎈'" in message["message"]
    assert "line 26: guest '🎉 K'" in message["message"]
    assert message["message"].endswith("; and 3 more.")
    assert "🎉 L" not in message["message"]


# -- what helps a name that no font can write ------------------------------------------------------

NO_FONT = (
    "install a font for it on this computer; name a font file with fonts under [label]; the name in"
    " other letters; a spare label, with the name written by hand; --leave-out-unwritten"
    " with labelkit proof and labelkit sheet, for all the others"
)


def ways(event: Callable[..., Path], *names: str, language: str = "en") -> str:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\n" + "\n".join(names), encoding="utf-8")
    _, told = labelkit("preflight", label, "--language", language)
    lines = told.splitlines()
    start = next((number for number, line in enumerate(lines) if "LABELKIT-FIT" in line), None)
    return "" if start is None else lines[start + 1].partition(": ")[2].strip()


@pytest.mark.parametrize("name", ["Noa 🎉", "👩‍👧 Ana"])
def test_what_helps_a_name_with_emoji_is_told(event: Callable[..., Path], name: str) -> None:
    assert ways(event, name) == NO_FONT


@pytest.mark.parametrize("name", ["محمد", "דוד", "राम", "Ram राम", "Noé ♥"])
def test_names_that_once_needed_help_are_set(event: Callable[..., Path], name: str) -> None:
    """Hebrew and Arabic run from right to left, Devanagari reorders (The Unicode Standard)."""
    assert ways(event, name) == ""


def test_french_says_what_helps_too(event: Callable[..., Path]) -> None:
    told = ways(event, "Noé 🎉", language="fr")
    assert "installer sur cet ordinateur une police" in told
    assert "une étiquette de réserve, le nom écrit à la main" in told
    assert "(en anglais)" not in told


def test_the_others_are_printed_where_asked_for(event: Callable[..., Path], tmp_path: Path) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\nAda\nNoa 🎉\nדוד", encoding="utf-8")
    code, _ = labelkit("sheet", label, "--out", tmp_path / "out")
    assert code == 1
    assert not (tmp_path / "out").exists()
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", "--leave-out-unwritten")
    assert code == 0
    assert "1 label without a name, for who could not be set: in guests.csv: line 3:" in told
    assert "guest 'Noa 🎉' has what no font here can write: '🎉'" in told
    assert "Ada" in read_text(tmp_path / "out" / "front.pdf")


def test_the_proof_can_be_made_and_approved_without_one(
    event: Callable[..., Path], tmp_path: Path
) -> None:
    """Both parts say whose label has no name; the code is that of all the guests."""
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\nAda\nNoa 🎉\nBo", encoding="utf-8")
    code, _ = labelkit("proof", label, "--out", tmp_path / "proof.pdf")
    assert code == 1
    assert not (tmp_path / "proof.pdf").exists()
    out = tmp_path / "others" / "proof.pdf"
    code, told = labelkit("proof", label, "--out", out, "--leave-out-unwritten")
    assert code == 0
    assert "1 label without a name, for who could not be set: in guests.csv: line 3:" in told
    said = "\n".join(line for lines in read_lines(out) for line in lines)
    order = make_job_code(prepare_job(label))
    assert f"I approve {order}." in said
    assert "Labels left without a name, to be written by hand (1)\nNoa" in said
    assert "Names to check (2)\n1 Ada 2 Bo" in said
    approve = ("proof", label, "--approved", order, "--on", "2027-05-02")
    assert labelkit(*approve)[0] == 1
    assert labelkit(*approve, "--leave-out-unwritten")[0] == 0
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", "--leave-out-unwritten")
    assert code == 0
    assert f"Order {order}, approved" in told


def test_the_spare_it_speaks_of_has_no_name_on_it(event: Callable[..., Path]) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\nAda\nBo", encoding="utf-8")
    job = prepare_job(label)
    front = job.composed[0]
    assert job.spec.event.labels == 3  # two guests, and 10 % spares rounded up
    assert [len(job.own_runs(front, number)) for number in range(3)] == [1, 1, 0]


# -- a maker's own fonts, and letters as typed -----------------------------------------------------


def test_a_font_of_the_makers_own_writes_a_name_and_is_told(event: Callable[..., Path]) -> None:
    label = event(
        ("guests = 60\n", 'guest_list = "guests.csv"\n'),
        ('layout = "lantern"\n', 'layout = "lantern"\nfonts = ["mine.ttf"]\n'),
    )
    shutil.copy(list_family_files("noto-sans-thai")[0].path, label.parent / "mine.ttf")
    (label.parent / "guests.csv").write_text("name\nAda\nธนพร", encoding="utf-8")
    code, told = labelkit("preflight", label, "--language", "en")
    assert code == 0
    assert "“ธนพร”: written with NotoSansThai" in told
    assert "of the file mine.ttf" in told


@pytest.mark.parametrize(
    ("value", "problem"),
    [
        ('["none.ttf"]', "label.fonts: none.ttf: no such font file"),
        ('["../../elsewhere/x.ttf"]', "must lie beside this file or maker.toml"),
        ("3", "expected names of font files beside this one"),
    ],
)
def test_fonts_that_are_not_there_are_told(
    event: Callable[..., Path], value: str, problem: str
) -> None:
    label = event(('layout = "lantern"\n', f'layout = "lantern"\nfonts = {value}\n'))
    with pytest.raises(LabelkitError) as caught:
        labelkit("preflight", label)
    assert problem in str(caught.value)


@pytest.mark.parametrize("layout", ["bayleaf", "solstice", "stillwater"])
@pytest.mark.parametrize(
    ("names", "key"), [("Ana McLean & Bo", ""), ("Ana & Bo", "capitals = false\n")]
)
def test_names_keep_their_letters(
    event: Callable[..., Path], layout: str, names: str, key: str
) -> None:
    label = event(
        ('{ en = "The Lighthouse Supper", fr = "Le Souper du phare" }', f'"{names}"'),
        ('layout = "lantern"\n', f'layout = "{layout}"\n{key}'),
        ('trim = "44 x 28 mm"', 'trim = "60 x 45 mm"'),
    )
    front = prepare_job(label).composed[0].panel
    shown = "".join(run.text for run in front.runs if run.element == "names")
    assert shown.replace(" ", "") == names.replace(" ", "")
