"""Guest lists as makers paste and save them: what becomes of each, and the sentence about it."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import assume, given
from hypothesis import strategies as st

from labelkit.checks.order import check_order
from labelkit.cli import cli
from labelkit.common.errors import InputError
from labelkit.order.guest_names import repair_mojibake, strip_list_marks
from labelkit.order.guests import read_guests
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe

Event = Callable[..., Path]

SAVE_AS = 'save it as the file type "CSV UTF-8", or as CSV with the character set "Unicode (UTF-8)"'


def listing(event: Event, content: str | bytes) -> Path:
    """The sample event with this list of guests; its label.toml."""
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    data = content if isinstance(content, bytes) else content.encode("utf-8")
    (label.parent / "guests.csv").write_bytes(data)
    return label


def labelkit(*arguments: str | Path) -> tuple[int, str, str]:
    done = CliRunner().invoke(cli, [*map(str, arguments)], standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return int(done.return_value), done.stdout, done.stderr


MARKS = "Numbers, bullets and dashes were taken off guests’ names: "
NUMBERS = "Guests’ names that begin with a number are printed with it: "
ONE_LINE = "The guest list is one line, and was taken for these names: "
TWICE = "Guests’ names had been decoded twice, and were read as was meant: "
HIDDEN = "Letters that nobody sees were taken out of guests’ names: "
LINES = "Guests’ names that go over several lines of the list were made one: "
FORMULA = "Formulas of a spreadsheet were read as the names in them: "
OLD = (
    "The guest list is not in UTF-8 and does not say what it is in; read as Windows-1252 it has"
    " these names: "
)
READ = [
    (
        "1. Ana\n2) Bo\n• Cy\n- Di\n– Eve\n",
        ("Ana", "Bo", "Cy", "Di", "Eve"),
        f"{MARKS}“1. Ana” → “Ana”, “2) Bo” → “Bo”, “• Cy” → “Cy”, “- Di” → “Di”, “– Eve” → “Eve”.",
    ),
    ("1.\tAna\n2.\tBo\n", ("Ana", "Bo"), f"{MARKS}“1. Ana” → “Ana”, “2. Bo” → “Bo”."),
    ("1 Ana\n2 Bo\n3 Cy\n", ("Ana", "Bo", "Cy"), f"{MARKS}“1 Ana” → “Ana”"),
    ("(1) Ana\n(2) Bo\n", ("Ana", "Bo"), f"{MARKS}“(1) Ana” → “Ana”"),
    ("1-Ana\n2-Bo\n", ("Ana", "Bo"), f"{MARKS}“1-Ana” → “Ana”"),
    ("name;table\n7. Ana;1\n9. Bo;2\n", ("Ana", "Bo"), f"{MARKS}“7. Ana” → “Ana”"),
    ("* Ana\n[ ] Bo\n☐ Cy\n", ("Ana", "Bo", "Cy"), f"{MARKS}“* Ana” → “Ana”, “[ ] Bo” → “Bo”"),
    # A number may be a name's own: only the whole list can say.
    ("3 Doors\n", ("3 Doors",), f"{NUMBERS}“3 Doors”."),
    ("Ana\n3 Doors\nBo\n", ("Ana", "3 Doors", "Bo"), f"{NUMBERS}“3 Doors”."),
    ("Ana\n3. Bo\n", ("Ana", "3. Bo"), f"{NUMBERS}“3. Bo”."),
    ("4 Ana\n4 Bo\n2 Cy\n", ("4 Ana", "4 Bo", "2 Cy"), f"{NUMBERS}“4 Ana”, “4 Bo”, “2 Cy”."),
    ("Ana, Bo, Cy", ("Ana", "Bo", "Cy"), f"{ONE_LINE}“Ana”, “Bo”, “Cy”."),
    ("Ana; Bo; Cy\n", ("Ana", "Bo", "Cy"), f"{ONE_LINE}“Ana”, “Bo”, “Cy”."),
    ("Ana, Bo and Cy\n", ("Ana", "Bo", "Cy"), f"{ONE_LINE}“Ana”, “Bo”, “Cy”."),
    ("Ana, Bo, and Cy\n", ("Ana", "Bo", "Cy"), f"{ONE_LINE}“Ana”, “Bo”, “Cy”."),
    ("Invités : Ana, Bo\n", ("Ana", "Bo"), f"{ONE_LINE}“Ana”, “Bo”."),
    ('"Ana", "Bo", "Cy"\n', ("Ana", "Bo", "Cy"), f"{ONE_LINE}“Ana”, “Bo”, “Cy”."),
    ("Ana & Bo\n", ("Ana & Bo",), "The guest list is a single name: “Ana & Bo”."),
    ("ZoÃ«\nBo\n", ("Zoë", "Bo"), f"{TWICE}“ZoÃ«” → “Zoë”."),
    ("Oâ€™Dell\nMÃ\u00a0ri\n", ("O’Dell", "Màri"), f"{TWICE}“Oâ€™Dell” → “O’Dell”"),
    ("Zo√´\n", ("Zoë",), f"{TWICE}“Zo√´” → “Zoë”."),
    ("name\nA\u200bna\nBo\u00adb\n", ("Ana", "Bob"), f"{HIDDEN}“Ana”, “Bob”."),
    ('name;t\n"Ana\nMaria";1\nBo;2\n', ("Ana Maria", "Bo"), f"{LINES}“Ana Maria”."),
    ('="Ana"\n="Bo"\n', ("Ana", "Bo"), f'{FORMULA}“="Ana"” → “Ana”, “="Bo"” → “Bo”.'),
    ('"=""Ana"""\n', ("Ana",), f'{FORMULA}“="Ana"” → “Ana”.'),
    ("Ana\nZoë\n".encode("utf-16"), ("Ana", "Zoë"), "The guest list is in UTF-16, not UTF-8, and"),
    ("Ana\nZoë\n".encode("utf-16-be"), ("Ana", "Zoë"), "The guest list is in UTF-16, not UTF-8"),
    ("name\nLuc\nZoë\n".encode("cp1252"), ("Luc", "Zoë"), f"{OLD}“Zoë”."),
]


@pytest.mark.parametrize(("content", "names", "sentence"), READ)
def test_what_is_taken_off_or_guessed_is_told_once(
    event: Event, content: str | bytes, names: tuple[str, ...], sentence: str
) -> None:
    label = listing(event, content)
    assert read_guests(label.parent / "guests.csv").names == names
    spec = read_label(label)
    told = [f for f in check_order(spec, read_recipe(spec.product.recipe)) if "GUEST" in f.rule]
    (finding,) = (f for f in told if f.rule != "CRAFT-GUEST-COLUMNS")
    assert finding.message.startswith(sentence)


def test_every_command_tells_it_once_and_french_says_it(event: Event, tmp_path: Path) -> None:
    label = listing(event, "1. Ana\n2. Bo\n")
    code, told, warned = labelkit("sheet", label, "--out", tmp_path / "sheets")
    assert (code, (told + warned).count(MARKS)) == (0, 1)
    _, told, warned = labelkit("proof", label, "--out", tmp_path / "proof.pdf", "--language", "en")
    assert (told + warned).count(MARKS) == 1
    _, told, _ = labelkit("preflight", label, "--language", "en")
    assert (told.count(MARKS), told.count("CRAFT-GUEST-")) == (1, 1)
    _, told, _ = labelkit("preflight", label, "--language", "fr")
    assert "des puces et des tirets ont été retirés devant des noms" in told
    assert "(en anglais)" not in told


@pytest.mark.parametrize(
    "content",
    [
        "name\n'T Hooft\nO'Dell\nÉlise & Bo\nJean-Guy\nÅsa Öz\nSœur Agnès\n",
        "2nd Lt Ana\nBo\n",
        "Ana & Bo\nCy\n",
        "Guest list\nAna\nBo\n",
        "Total Eclipse\nAna\n",
    ],
)
def test_plain_lists_are_read_without_a_word(event: Event, content: str) -> None:
    assert read_guests(listing(event, content).parent / "guests.csv").notes == ()


def test_a_guest_of_pictures_alone_is_asked_about(event: Event) -> None:
    """A row passed over would be a guest without a label; one of dashes is no guest."""
    with pytest.raises(InputError, match="line 2: '🎈': is this a guest"):
        read_guests(listing(event, "Ana\n🎈\n---\nBo\n").parent / "guests.csv")


@given(st.text("AÀÂÃÄÅÆÇÉÊËÎÑÓÖØÜßàâãäåæçéêëîñóöøüœ' -z", max_size=12))
def test_names_typed_right_are_never_taken_for_decoded_twice(name: str) -> None:
    # UTF-8 goes on from 80 to BF only (RFC 3629, 3), where Windows-1252 has one of these letters
    # (œ, 9C), and no name has it after a letter that is not plain Latin.
    assume(not re.search("[À-ö]œ", name))
    assert repair_mojibake(name) == name


@given(st.lists(st.sampled_from(("Ana", "Bo Lund", "Zoë O’Hara", "Jean-Guy")), min_size=1))
def test_a_numbered_list_gives_the_names_it_numbers(names: list[str]) -> None:
    for form in ("{}. {}", "{}) {}", "({}) {}", "{}: {}", "#{} {}"):
        numbered = [form.format(n, name) for n, name in enumerate(names, start=1)]
        assert strip_list_marks(numbered)[0] == names
    assert strip_list_marks(names) == (names, [])


def packed(part: str, content: bytes = b"") -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr(part, content)
    return stream.getvalue()


OPEN_DOCUMENT = b"application/vnd.oasis.opendocument."
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""Beginning of compound files ([MS-CFB] 2.2, from memory)."""


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (packed("xl/workbook.xml"),
         f"is a workbook (.xlsx), not a list; open it, and in your spreadsheet {SAVE_AS}"),
        (OLE + b"Workbook", f"is an older workbook (.xls), not a list; open it, and in your"
         f" spreadsheet {SAVE_AS}"),
        (packed("mimetype", OPEN_DOCUMENT + b"spreadsheet"), "is a spreadsheet (.ods), not a list"),
        (packed("mimetype", OPEN_DOCUMENT + b"text"), "is a text document (.odt), not a list"),
        (packed("word/document.xml"),
         'is a text document (.docx), not a list; open it, and save it as the file type "plain'
         ' text" (.txt) with the character set UTF-8, a name a line'),
        (OLE + "WordDocument".encode("utf-16-le"), "is a text document (.doc), not a list"),
        (packed("guests.csv", b"Ana\n"), "is a packed file (zip), not a list; unpack it"),
        (b"{\\rtf1\\ansi Ana\\par Bo\\par }", "is a text document (RTF), not a list; open it"),
        (b"%PDF-1.7\n", "is a PDF, not a list; copy the names out of it into a text file"),
        (b"<html><table><tr><td>Ana", "is a web page or another file of tags (HTML, XML), not a"),
        (b"BEGIN:VCARD\nFN:Ana\n", "is an address book (vCard), not a list"),
        (b"\x89PNG\r\n\x1a\n", "is a picture (PNG), not a list"),
        ("Zoë\n".encode("mac_roman"), "line 1: is not UTF-8 text; in your spreadsheet save it"),
        ("Жанна\nИван\n".encode("cp1251"), "line 1: is not UTF-8 text; in your spreadsheet"),
        ("Ana\nBo\nTotal: 2\n", "line 3: 'Total: 2': is this a guest? It reads like a count of the"
         " list; take the line out"),
        ("Ana\nBo\n2 guests\n", "line 3: '2 guests': is this a guest?"),
        ("nom;table\nAna;1\nTotal;1\n", "line 3: 'Total': is this a guest?"),
        ("Ana\nBo\n45\n", "line 3: '45': is this a guest? It has no letter; take the line out, or"
         " write the name"),
        ("Ana|1\n", "line 1: 'Ana|1': is it one guest or several? Put each on a line of their own;"
         " or take out the | and what follows it"),
        ("Ana\nBo|1\n", "line 2: 'Bo|1': what follows the | is no part of a name; take it"),
        ("Bakker, Jan\n", "line 1: 'Bakker,Jan': is it one guest or several? Put each on a line of"
         ' their own; or put a name with a comma in quotes: "Bakker, Jan"'),
        ('=A2&" "&B2\n', "is a formula; paste the list as values, without formulas, and save it"),
    ],
)  # fmt: skip
def test_what_is_no_list_of_names_is_refused_in_one_line(
    event: Event, content: str | bytes, message: str
) -> None:
    label = listing(event, content)
    with pytest.raises(InputError) as caught:
        read_guests(label.parent / "guests.csv")
    told = str(caught.value)
    assert message in told
    assert told.count("guests.csv") == 1
    assert "\n" not in told


def test_columns_may_be_parted_by_strokes(tmp_path: Path) -> None:
    path = tmp_path / "guests.csv"
    path.write_text("name|table\nAna|1\nBo|2\n", "utf-8")
    assert read_guests(path)[:3] == (("Ana", "Bo"), ("table",), ())


def test_a_cell_of_several_lines_keeps_the_lines_of_the_others(tmp_path: Path) -> None:
    path = tmp_path / "guests.csv"
    path.write_text('name;t\n"Ana\nMaria";1\n\n1. Bo;2\n', "utf-8")
    assert read_guests(path).lines_of(["Ana Maria", "Bo"]) == {"Ana Maria": (2,), "Bo": (5,)}
