"""The finished PDF as a document: what validators, viewers and printing works look at."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pdfplumber
import pypdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from pypdf.generic import ContentStream
from sheet_events import GUESTS, SAMPLE

from labelkit.common.errors import InputError
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.model.runs import Box, Panel, Picture
from labelkit.pdf.write.document import format_unicode_map
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages

QPDF = shutil.which("qpdf")


@pytest.fixture(scope="module")
def few(personal: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> MadeSheets:
    """One sheet of labels for guests whose names are hard to write, and a spare."""
    return make_sheets_of_file(personal("few", GUESTS, "1"), tmp_path_factory.mktemp("few"))


def readers(*makings: MadeSheets) -> list[pypdf.PdfReader]:
    return [pypdf.PdfReader(path) for made in makings for path in made.files]


@pytest.mark.skipif(QPDF is None, reason="qpdf is not installed on this computer")
def test_qpdf_has_nothing_to_say(made: MadeSheets, named: MadeSheets) -> None:
    for path in (*made.files, *named.files):
        done = subprocess.run(
            ["qpdf", "--check", str(path)], capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, ""), done.stdout + done.stderr
        assert "No syntax or stream encoding errors found" in done.stdout


def test_version_and_header(made: MadeSheets) -> None:
    """ISO 32000-1, 7.5.2: the version, and four bytes above 127 in the next line."""
    for path in made.files:
        first, second = path.read_bytes().split(b"\n")[:2]
        assert first == b"%PDF-1.7"
        assert second[:1] == b"%"
        assert len(second) == 5
        assert all(byte > 127 for byte in second[1:])


def test_what_the_file_says_of_itself(made: MadeSheets) -> None:
    for reader, panel in zip(readers(made), ("front", "back"), strict=True):
        title = f"The Lighthouse Supper: {panel} labels"
        assert reader.metadata is not None
        assert reader.metadata.title == title
        catalog: Any = reader.trailer["/Root"]
        assert catalog["/Lang"] == "en"
        viewer = catalog["/ViewerPreferences"]
        # ISO 32000-1, 12.2, table 150: no scaling by default, the title in the window's bar.
        assert (viewer["/PrintScaling"], viewer["/DisplayDocTitle"]) == ("/None", True)
        xmp = ElementTree.fromstring(catalog["/Metadata"].get_data().decode("utf-8-sig"))
        text = " ".join(xmp.itertext())
        assert title in text
        assert reader.metadata["/CreationDate"] == "D:20000101000000+00'00'"
        assert "2000-01-01T00:00:00Z" in text


def test_no_personal_data(named: MadeSheets) -> None:
    """Neither who made it, nor where, nor any guest, outside the labels themselves."""
    allowed = {
        "/Title", "/Subject", "/Keywords", "/Creator", "/Producer", "/CreationDate", "/ModDate",
    }  # fmt: skip
    for reader in readers(named):
        assert reader.metadata is not None
        assert set(reader.metadata) == allowed
        assert re.fullmatch(r"order \w{4}-\w{4}", reader.metadata["/Keywords"])
        assert {reader.metadata[k] for k in ("/Creator", "/Producer")} == {"labelkit"}
    for path in named.files:
        data = path.read_bytes()
        for secret in (b"/Author", os.fsencode(Path.home()), b"Babin", b"/tmp"):
            assert secret not in data


# -- fonts -----------------------------------------------------------------------------------------


def fonts(reader: pypdf.PdfReader) -> list[Any]:
    """Every font of the file, wherever it is."""
    found = [reader.get_object(number) for number in range(1, len(reader.xref[0]) + 1)]
    return [o for o in found if isinstance(o, dict) and o.get("/Type") == "/Font"]


def test_fonts_are_embedded_subsets(made: MadeSheets, named: MadeSheets) -> None:
    for reader in readers(made, named):
        every = fonts(reader)
        assert len(every) >= 3
        tags = set()
        for font in every:
            # ISO 32000-1, 9.6.4: six capitals and a plus, different for each subset.
            assert re.fullmatch(r"/[A-Z]{6}\+\S+", font["/BaseFont"])
            tags.add(font["/BaseFont"])
            descriptor = font["/FontDescriptor"]
            assert descriptor["/FontName"] == font["/BaseFont"]
            program = TTFont(BytesIO(descriptor["/FontFile2"].get_data()))
            drawn = [g for g in program.getGlyphOrder() if program["glyf"][g].numberOfContours]
            # Letters used, and "H", "o" and "N" to measure by: a text face has thousands.
            assert 3 <= len(drawn) <= 90
        assert len(tags) == len(every)


def test_sheets_of_other_letters_have_other_tags(made: MadeSheets, named: MadeSheets) -> None:
    """A printing works that puts two files together must not take one subset for the other."""
    first, second = readers(made)[0], readers(named)[0]
    names = [
        {f["/BaseFont"] for f in fonts(r) if "Cormorant" in f["/BaseFont"]} for r in (first, second)
    ]
    assert names[0]
    assert names[0].isdisjoint(names[1])


def test_character_maps_keep_to_the_standard() -> None:
    """ISO 32000-1, 9.10.3, and Adobe Technical Note 5014: at most 100 entries in a block."""
    subset = [0, *[32] * 32, *range(0x400, 0x400 + 180), 0x1F9FC]
    text = format_unicode_map(subset)
    blocks = re.findall(r"(\d+) beginbfchar\n(.*?)\nendbfchar", text, re.S)
    assert [int(count) for count, _ in blocks] == [100, 82]
    entries: dict[int, str] = {}
    for count, lines in blocks:
        rows = re.findall(r"<(..)> <((?:....)+)>", lines)
        assert len(rows) == int(count)
        entries |= {int(code, 16): bytes.fromhex(v).decode("utf-16-be") for code, v in rows}
    assert entries[32] == " "
    assert 0 not in entries
    assert entries[33] == "\u0400"
    assert entries[len(subset) - 1] == "\U0001f9fc"
    assert len(set(entries.values())) == len(entries)


# -- ink -------------------------------------------------------------------------------------------


def colours(reader: pypdf.PdfReader) -> set[tuple[str, ...]]:
    """Every colour operator with its operands, on pages and in forms."""
    streams = [page.get_contents() for page in reader.pages]
    for number in range(1, len(reader.xref[0]) + 1):
        found = reader.get_object(number)
        if isinstance(found, dict) and found.get("/Subtype") == "/Form":
            streams.append(ContentStream(found, reader))
    setting = {b"g", b"G", b"rg", b"RG", b"k", b"K", b"cs", b"CS", b"sc", b"SC", b"scn", b"SCN"}
    return {
        (name.decode(), *map(str, operands))
        for stream in streams
        if stream is not None
        for operands, name in stream.operations
        if name in setting
    }


def test_black_is_a_single_ink(made: MadeSheets) -> None:
    """Black as DeviceGray (ISO 32000-1, 8.6.4.2): four inks that miss each other blur 5 pt type."""
    for reader in readers(made):
        assert colours(reader) == {("g", "0"), ("G", "0")}


@pytest.mark.usefixtures("ink_on_trust")
def test_colour_is_kept_and_grey_needs_no_colour(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    for colour, operator in (("#204060", "rg"), ("#404040", "g")):
        change = ('layout = "lantern"', f'layout = "lantern"\ncolour = "{colour}"')
        made = make_sheets_of_file(personal("c", ("A B",), "0", change), tmp_path / colour[1:])
        used = colours(readers(made)[0])
        values = [round(int(colour[i : i + 2], 16) / 255, 5) for i in (1, 3, 5)]
        expected = (operator, *map(str, values[: 3 if operator == "rg" else 1]))
        assert expected in used


# -- the same every time ---------------------------------------------------------------------------


def test_bytes_depend_on_nothing_but_the_input(made: MadeSheets, tmp_path: Path) -> None:
    """Made in this process, after whatever else it did, and in one of its own elsewhere."""
    environment = {
        "PYTHONHASHSEED": "77",
        "TZ": "Asia/Kathmandu",
        "LANG": "fr_CA.UTF-8",
        "LC_ALL": "",
        "HOME": str(tmp_path),
    }
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "labelkit",
            "sheet",
            str(SAMPLE / "label.toml"),
            "--out",
            str(tmp_path / "elsewhere"),
        ],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    here, there = (
        {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in files}
        for files in (made.files, (tmp_path / "elsewhere").iterdir())
    )
    assert here == there
    assert set(here) == {"front.pdf", "back.pdf"}


@pytest.mark.usefixtures("ink_on_trust")
def test_dates_follow_source_date_epoch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The variable of the Reproducible Builds project: seconds since 1970-01-01 UTC."""
    epoch = 1_813_881_600
    stamp = dt.datetime.fromtimestamp(epoch, dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(epoch))
    made = make_sheets_of_file(SAMPLE / "label.toml", tmp_path)
    for reader in readers(made):
        assert reader.metadata is not None
        assert reader.metadata.creation_date == stamp
        assert reader.metadata.modification_date == stamp
        catalog: Any = reader.trailer["/Root"]
        assert f"{stamp:%Y-%m-%dT%H:%M:%SZ}".encode() in catalog["/Metadata"].get_data()


@pytest.mark.parametrize("value", ["yesterday", "-5", "1e9", "٣", "9" * 40])
def test_an_impossible_date_is_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, value: str
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    with pytest.raises(InputError, match="SOURCE_DATE_EPOCH"):
        make_sheets_of_file(SAMPLE / "label.toml", tmp_path / "out")
    assert not (tmp_path / "out").exists()


# -- many pages, pictures --------------------------------------------------------------------------


def drawn(pages: list[Page], *sides: SheetSide) -> bytes:
    stream = BytesIO()
    draw_pages(stream, sides, pages, DocumentInfo("T", "en"))
    return stream.getvalue()


def test_a_tree_of_many_pages() -> None:
    """More pages than one node of the tree holds, each found by three readers in order."""
    side = SheetSide(Panel("front", 30, 20), {}, lambda _: ())
    pages = [
        Page(0, Sheet(40 + number / 10, 30, (LabelPlace(number, 5, 5, 30, 20),)))
        for number in range(250)
    ]
    data = drawn(pages, side)
    widths = [(40 + number / 10) * 72 / 25.4 for number in range(250)]
    reader = pypdf.PdfReader(BytesIO(data))
    assert [float(p.mediabox.width) for p in reader.pages] == pytest.approx(widths, abs=1e-4)
    root: Any = reader.trailer["/Root"]
    assert [kid.get_object()["/Count"] for kid in root["/Pages"]["/Kids"]] == [100, 100, 50]
    document = pypdfium2.PdfDocument(data)
    assert [document[n].get_width() for n in range(250)] == pytest.approx(widths, abs=1e-3)
    with pdfplumber.open(BytesIO(data)) as plumbed:
        assert len(plumbed.pages) == 250


def test_a_picture_is_kept_once_and_packed(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGBA", (40, 20), (200, 30, 30, 128)).save(tmp_path / "logo.png")
    data = (tmp_path / "logo.png").read_bytes()
    panel = Panel("front", 30, 20, pictures=(Picture(data, (40, 20), Box(5, 5, 15, 10)),))
    places = tuple(LabelPlace(n, 5, 5 + 25 * n, 30, 20) for n in range(3))
    data = drawn([Page(0, Sheet(40, 90, places))], SheetSide(panel, {}, lambda _: ()))
    reader = pypdf.PdfReader(BytesIO(data))
    every = [reader.get_object(n) for n in range(1, len(reader.xref[0]) + 1)]
    images = [o for o in every if isinstance(o, dict) and o.get("/Subtype") == "/Image"]
    assert len(images) == 2  # the picture and its transparency
    assert all("ASCII85" not in str(image["/Filter"]) for image in images)
    bitmap = pypdfium2.PdfDocument(data)[0].render(scale=4).to_pil().convert("RGB")
    for place in places:
        x, y = (place.x_mm + 10) * 72 / 25.4 * 4, (90 - place.y_mm - 7.5) * 72 / 25.4 * 4
        red, green, blue = bitmap.getpixel((round(x), round(y)))
        # Half of (200, 30, 30) over white.
        assert (red, green, blue) == pytest.approx((227, 142, 142), abs=4)


# -- text ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sheets", ["few", pytest.param("named", marks=pytest.mark.long)])
def test_three_readers_see_the_same_text(sheets: str, request: pytest.FixtureRequest) -> None:
    """pypdf, PDFium and pdfplumber (pdfminer.six), blanks of any kind apart."""
    made: MadeSheets = request.getfixturevalue(sheets)
    for path in made.files:
        document = pypdfium2.PdfDocument(path)
        reader = pypdf.PdfReader(path)
        with pdfplumber.open(path) as plumbed:
            for number, page in enumerate(plumbed.pages):
                drawn_letters = [c["text"] for c in page.chars if not c["text"].isspace()]
                theirs = [
                    reader.pages[number].extract_text(),
                    document[number].get_textpage().get_text_range(),
                ]
                for text in theirs:
                    letters = [c for c in text if not c.isspace() and c not in "\ufffe\x02"]
                    assert sorted(letters) == sorted(drawn_letters)


def test_no_break_spaces_come_out_as_such(few: MadeSheets) -> None:
    """By the character map, though the glyph is that of a plain space (ISO 32000-1, 9.10.3)."""
    front, back = few.files
    labels = len(GUESTS) + 1
    for words, path in (("40\u00a0g", front), ("Ingrédients\u202f:", back)):
        assert pypdf.PdfReader(path).pages[0].extract_text().count(words) == labels
        page = pypdfium2.PdfDocument(path)[0].get_textpage()
        assert page.get_text_range().count(words) == labels


def test_words_are_whole_in_the_order_they_are_read(few: MadeSheets) -> None:
    text = pypdf.PdfReader(few.files[1]).pages[0].extract_text()
    first = text[: text.index("Ingredients", 20)]
    order = [
        "Ingredients",
        "Sodium Olivate",
        "Parfum",
        "SAVONNERIE ESTRAN",
        "bonjour@estran.example",
    ]
    places = [first.index(word) for word in order]
    assert places == sorted(places)


@pytest.mark.usefixtures("ink_on_trust")
def test_further_labels_take_little_room(personal: Callable[..., Path], tmp_path: Path) -> None:
    """Fewer than 120 bytes to a further label without a name: what was asked of this program."""
    sizes = []
    for guests in (72, 144):  # two pages, and four
        label = personal(f"n{guests}", tuple(f"G {n}" for n in range(guests)), "0")
        made = make_sheets_of_file(label, tmp_path / str(guests), Wish())
        sizes.append([path.stat().st_size for path in made.files])
    front, back = ((b - a) / 72 for a, b in zip(*sizes, strict=True))
    assert back < 120
    assert front < 120
