"""Four readers of PDF that share no code see the same in all that labelkit writes.

pypdf (with labelkit's own reader on it), PDFium, pdfminer.six (in pdfplumber) and poppler: the
letters, where each stands, the fonts, the page boxes, and the ink. qpdf checks the files' syntax.
"""

from __future__ import annotations

import ctypes
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pypdfium2
import pytest
from hard_case import ROOT
from PIL import Image, ImageChops

from labelkit.cli import main
from labelkit.model.runs import Run
from labelkit.pdf.read import PlacedPanel, read_panels

RAW = pypdfium2.raw
POINTS_PER_MM = 72 / 25.4
NEAR_PT = 0.02
"""0.007 mm: what poppler's two decimals and the readers' single-precision floats leave."""
DPI = 200
SAMPLES = sorted(path.parent.name for path in (ROOT / "samples").glob("*/label.toml"))
WAYS = {
    "sheets": ("sheet", "--out", "."),
    "two-sided": ("sheet", "--two-sided", "long", "--out", "."),
    "press": ("sheet", "--one-per-page", "--out", "."),
    "proof": ("proof", "--out", "proof.pdf"),
    "plan": ("plan", "--on", "2027-01-04", "--format", "pdf", "--out", "plan.pdf"),
}
LABELS_ONLY = {"sheets", "two-sided", "press"}
QUICK = {
    ("shearing-ball", "sheets"),
    ("lighthouse-supper", "two-sided"),
    ("border-anniversary", "press"),
    ("orchard-wedding", "proof"),
    ("lighthouse-supper", "plan"),
}
"""One of each way in every run; the long run makes the others."""
MADE = [
    pytest.param((sample, way), marks=() if (sample, way) in QUICK else pytest.mark.long)
    for sample in SAMPLES
    for way in WAYS
    if way != "plan" or (ROOT / "samples" / sample / "prices.toml").exists()
]

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="poppler is not installed on this computer"
)
needs_qpdf = pytest.mark.skipif(
    shutil.which("qpdf") is None, reason="qpdf is not installed on this computer"
)


@dataclass(frozen=True, slots=True)
class Letter:
    """One visible letter; its origin in points from the page's foot and left edge."""

    text: str
    x_pt: float
    y_pt: float


@pytest.fixture(scope="module", params=MADE, ids="-".join)
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The PDFs one command makes of one sample."""
    sample, way = request.param
    folder = tmp_path_factory.mktemp("made")
    command, *options = WAYS[way]
    with pytest.MonkeyPatch.context() as here:
        here.chdir(folder)
        with pytest.raises(SystemExit) as done:
            main([command, str(ROOT / "samples" / sample / "label.toml"), *options])
    assert done.value.code == 0
    files = sorted(folder.glob("*.pdf"))
    assert files
    return files


def said_by(*command: str) -> str:
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stderr in ("", "no word list\n")  # pdftotext, of a page without a letter
    return done.stdout


def pdfium_letters(page: Any) -> Iterator[Letter]:
    text = page.get_textpage()
    for index in range(RAW.FPDFText_CountChars(text)):
        letter = chr(RAW.FPDFText_GetUnicode(text, index))
        if not letter.isspace() and RAW.FPDFText_IsGenerated(text, index) != 1:
            x, y = ctypes.c_double(), ctypes.c_double()
            assert RAW.FPDFText_GetCharOrigin(text, index, x, y)
            yield Letter(letter, x.value, y.value)


def unmatched(ours: list[Letter], theirs: list[Letter]) -> list[Letter]:
    """Those of ``ours`` that no letter of ``theirs`` stands on; each of theirs serves once."""
    buckets: dict[tuple[str, int, int], list[Letter]] = {}
    for letter in theirs:
        key = (letter.text, round(letter.x_pt), round(letter.y_pt))
        buckets.setdefault(key, []).append(letter)
    left = []
    for letter in ours:
        places = [
            buckets.get((letter.text, round(letter.x_pt) + dx, round(letter.y_pt) + dy), [])
            for dx in (0, -1, 1)
            for dy in (0, -1, 1)
        ]
        for place in places:
            if near := next((other for other in place if is_near(letter, other)), None):
                place.remove(near)
                break
        else:
            left.append(letter)
    return left


def is_near(one: Letter, other: Letter) -> bool:
    return abs(one.x_pt - other.x_pt) < NEAR_PT and abs(one.y_pt - other.y_pt) < NEAR_PT


@pytest.mark.quick(2)
def test_pdfium_and_pdfminer_agree_on_every_letter(made: list[Path]) -> None:
    for path in made:
        with pdfplumber.open(path) as plumbed:
            for page, other in zip(plumbed.pages, pypdfium2.PdfDocument(path), strict=True):
                theirs = list(pdfium_letters(other))
                ours = [
                    Letter(c["text"], c["matrix"][4], c["matrix"][5])
                    for c in page.chars
                    if not c["text"].isspace()
                ]
                assert len(ours) == len(theirs) > 0 or is_blank(path)
                assert not unmatched(ours, theirs)


@pytest.mark.quick(2)
def test_pypdf_agrees_on_the_letters(made: list[Path]) -> None:
    for path in made:
        for page, other in zip(
            pypdf.PdfReader(path).pages, pypdfium2.PdfDocument(path), strict=True
        ):
            ours = Counter(c for c in page.extract_text() if not c.isspace())
            assert ours == Counter(letter.text for letter in pdfium_letters(other))


def start_of(run: Run, placed: PlacedPanel) -> Letter:
    """The first visible letter of a run where its label says it stands, turned as the label is."""
    x, y = run.x_mm, run.baseline_mm
    width, height = placed.panel.width_mm, placed.panel.height_mm
    across, up = ((x, y), (height - y, x), (width - x, height - y), (y, width - x))[placed.turns]
    page_x, page_y = placed.x_mm + across, placed.y_mm + up
    return Letter(run.text[0], page_x * POINTS_PER_MM, page_y * POINTS_PER_MM)


@pytest.mark.quick(2)
def test_our_reader_agrees_on_where_every_run_begins(made: list[Path]) -> None:
    for path in made:
        found = read_panels(path)
        if path.name not in {"front.pdf", "back.pdf", "both-sides.pdf"}:
            continue
        assert found.panels
        assert not found.stray_text
        document = pypdfium2.PdfDocument(path)
        theirs: dict[int, list[Letter]] = {}
        for placed in found.panels:
            page = placed.page
            if page not in theirs:
                theirs[page] = list(pdfium_letters(document[page]))
            starts = [
                start_of(run, placed) for run in placed.panel.runs if not run.text[0].isspace()
            ]
            assert starts
            assert not unmatched(starts, list(theirs[page]))


WORD = re.compile(
    r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>'
)
PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.DOTALL)


def is_blank(path: Path) -> bool:
    """Whether it may have pages without a letter: a place card without a name, each on its page."""
    return path.name == "place-card.pdf"


@needs_poppler
@pytest.mark.quick(2)
def test_poppler_agrees_on_the_letters_and_where_words_begin(made: list[Path]) -> None:
    import html

    for path in made:
        pages = PAGE.findall(said_by("pdftotext", "-bbox", str(path), "-"))
        for (_, height, body), other in zip(pages, pypdfium2.PdfDocument(path), strict=True):
            letters = list(pdfium_letters(other))
            words = [(*map(float, word[:4]), html.unescape(word[4])) for word in WORD.findall(body)]
            said = Counter(c for *_, text in words for c in text if not c.isspace())
            assert said == Counter(letter.text for letter in letters)
            for *box, text in words:
                assert any(
                    letter.text == text[0] and begins(letter, float(height), *box)
                    for letter in letters
                ), (path.name, text, box)


def begins(letter: Letter, height: float, x0: float, top: float, x1: float, foot: float) -> bool:
    """Whether a letter stands in a word's box and at its beginning, whichever way it is turned."""
    x, y = letter.x_pt, height - letter.y_pt
    inside = x0 - NEAR_PT < x < x1 + NEAR_PT and top - NEAR_PT < y < foot + NEAR_PT
    return inside and min(abs(x - x0), abs(x - x1), abs(y - top), abs(y - foot)) < NEAR_PT


def pypdf_fonts(path: Path) -> set[str]:
    """The names of all fonts, forms' own among them."""
    reader = pypdf.PdfReader(path)
    every = (reader.get_object(number) for number in range(1, len(reader.xref[0]) + 1))
    return {
        str(found["/BaseFont"])[1:]
        for found in every
        if isinstance(found, dict) and found.get("/Type") == "/Font"
    }


def pdfium_fonts(path: Path) -> set[str]:
    names = set()
    buffer, flags = ctypes.create_string_buffer(200), ctypes.c_int()
    for page in pypdfium2.PdfDocument(path):
        text = page.get_textpage()
        for index in range(RAW.FPDFText_CountChars(text)):
            if RAW.FPDFText_IsGenerated(text, index) != 1:
                RAW.FPDFText_GetFontInfo(text, index, buffer, 200, flags)
                names.add(buffer.value.decode())
    return names


@pytest.mark.quick(2)
def test_three_readers_name_the_same_fonts(made: list[Path]) -> None:
    for path in made:
        with pdfplumber.open(path) as plumbed:
            plumbed_names = {char["fontname"] for page in plumbed.pages for char in page.chars}
        assert pypdf_fonts(path) == plumbed_names
        assert {name.rpartition("+")[2] for name in plumbed_names} == {
            name.rpartition("+")[2] for name in pdfium_fonts(path)
        }


@needs_poppler
def test_poppler_finds_every_font_embedded_and_mapped_to_unicode(made: list[Path]) -> None:
    for path in made:
        rows = said_by("pdffonts", str(path)).splitlines()[2:]
        assert {row.split()[0] for row in rows} == pypdf_fonts(path)
        for row in rows:
            assert re.search(r"TrueType +\S+ +yes yes yes +\d+ +0$", row), row


BOXES = {"MediaBox": "mediabox", "CropBox": "cropbox", "BleedBox": "bleedbox", "TrimBox": "trimbox"}


def test_pypdf_and_pdfium_agree_on_the_page_boxes(made: list[Path]) -> None:
    for path in made:
        for page, other in zip(
            pypdf.PdfReader(path).pages, pypdfium2.PdfDocument(path), strict=True
        ):
            for name in BOXES.values():
                ours = [float(side) for side in getattr(page, name)]
                theirs = getattr(other, f"get_{name}")()
                assert ours == pytest.approx(theirs, abs=1e-4), name


@needs_poppler
def test_poppler_agrees_on_the_page_boxes(made: list[Path]) -> None:
    for path in made:
        pages = pypdf.PdfReader(path).pages
        said = said_by("pdfinfo", "-box", "-l", str(len(pages)), str(path))
        for number, page in enumerate(pages, 1):
            for title, name in BOXES.items():
                line = re.search(rf"^Page +{number} {title}: +(.*)$", said, re.MULTILINE)
                assert line, (title, number)
                told = [float(side) for side in line[1].split()]
                ours = [float(side) for side in getattr(page, name)]
                assert told == pytest.approx(ours, abs=0.0051)  # it prints two decimals


@needs_poppler
@pytest.mark.quick(1)
def test_pdfium_and_poppler_put_the_ink_in_the_same_places(
    made: list[Path], tmp_path: Path
) -> None:
    """First two pages of each: ink of one is nowhere over two pixels (0.25 mm) off the other's."""
    for path in made:
        said_by(
            "pdftoppm", "-r", str(DPI), "-gray", "-l", "2", str(path), str(tmp_path / path.stem)
        )
        pictures = sorted(tmp_path.glob(f"{path.stem}-[0-9]*.pgm"))
        document = pypdfium2.PdfDocument(path)
        pages = list(islice(document, 2))
        for picture, page in zip(pictures, pages, strict=True):
            theirs = Image.open(picture).convert("L")
            ours = page.render(scale=DPI / 72, grayscale=True).to_pil().convert("L")
            size = (min(ours.width, theirs.width), min(ours.height, theirs.height))
            assert max(abs(ours.width - theirs.width), abs(ours.height - theirs.height)) <= 1
            assert ours.getextrema()[0] < 128  # there is ink
            for one, other in ((ours, theirs), (theirs, ours)):
                assert not strays(one.crop((0, 0, *size)), other.crop((0, 0, *size)))


def strays(one: Image.Image, other: Image.Image) -> int:
    """How many well inked pixels of ``one`` have no ink at or beside them in ``other``."""
    from PIL import ImageFilter

    inked = one.point(lambda value: 255 if value < 96 else 0)
    around = other.filter(ImageFilter.MinFilter(5)).point(lambda value: 255 if value < 224 else 0)
    return sum(ImageChops.subtract(inked, around).histogram()[1:])


@needs_qpdf
def test_qpdf_finds_nothing_to_say(made: list[Path]) -> None:
    for path in made:
        assert "No syntax or stream encoding errors found" in said_by("qpdf", "--check", str(path))
