"""Fonts that call themselves alike: every letter is drawn by the font it was composed in."""

from __future__ import annotations

import io
from pathlib import Path

import pdfplumber
import pypdf
import pytest
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont

from labelkit.compose import make_run
from labelkit.impose import MarginNote
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.model.runs import NEUTRAL, Panel
from labelkit.pdf.compare import compare_pages
from labelkit.pdf.read import read_pages
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import Face, FaceRequest, load_face, load_face_file

NAME = "FiraSans-Regular"
"""What the face of the margin is called, and every font here."""
SOURCES = ("cormorant-garamond", "alegreya-sans")


def outline(font: TTFont, glyph: str) -> list[tuple[str, tuple[tuple[float, float], ...]]]:
    pen = RecordingPen()
    font.getGlyphSet()[glyph].draw(pen)
    return list(pen.value)


@pytest.fixture(scope="module")
def namesakes(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two families' files with the PostScript name of a third."""
    paths = []
    for source in SOURCES:
        font = TTFont(load_face(FaceRequest(source)).path)
        for record in font["name"].names:
            if record.nameID == 6:
                record.string = NAME
        paths.append(tmp_path_factory.mktemp("fonts") / f"{source}.ttf")
        font.save(paths[-1])
    return paths


def test_fonts_of_one_name_keep_apart(namesakes: list[Path]) -> None:
    margin = load_face(FaceRequest("fira-sans"))
    faces = [load_face_file(path) for path in namesakes]
    assert margin.name == NAME
    assert len({face.name for face in (margin, *faces)}) == 3
    assert all(face.name.startswith(NAME) for face in faces)
    # The same file from another folder is the same font, and called the same.
    copy = namesakes[0].with_name("copy.ttf")
    copy.write_bytes(namesakes[0].read_bytes())
    assert load_face_file(copy).name == faces[0].name


def test_each_letter_is_drawn_by_its_own_font(namesakes: list[Path]) -> None:
    """The programs embedded in the PDF against the files they came from (by fontTools)."""
    faces: list[Face] = [load_face_file(path) for path in namesakes]
    # On one panel, on another, and in the margin.
    runs = [
        make_run("Hg", "names", NEUTRAL, face, 9.0, 4.0, 4.0 + 8 * n)
        for n, face in enumerate(faces)
    ]
    sides = (
        SheetSide(
            Panel("front", 44, 28, runs=tuple(runs)), {f.name: f for f in faces}, lambda _: ()
        ),
        SheetSide(Panel("back", 44, 28, runs=(runs[1],)), {faces[1].name: faces[1]}, lambda _: ()),
    )
    sheet = Sheet(
        100, 60, (LabelPlace(0, 5, 5, 44, 28),), notes=(MarginNote(5, 50, "Hg", 9 / 72 * 25.4),)
    )
    pages = (Page(0, sheet), Page(1, sheet))
    stream = io.BytesIO()
    draw_pages(stream, sides, pages, DocumentInfo("T", "en"))
    assert list(compare_pages(sides, (0,), pages, read_pages(stream, "t.pdf"))) == []
    sources = [TTFont(path) for path in (*namesakes, load_face(FaceRequest("fira-sans")).path)]
    with pdfplumber.open(stream) as pdf:
        front = sorted((c for c in pdf.pages[0].chars if c["text"] == "g"), key=lambda c: c["y0"])
        back = sorted((c for c in pdf.pages[1].chars if c["text"] == "g"), key=lambda c: c["y0"])
    programs = embedded(stream)
    for letter, source in zip((*front, *back), (*sources, *sources[1:]), strict=True):
        program, codes = programs[letter["fontname"]]
        drawn = outline(program, program["cmap"].getcmap(1, 0).cmap[codes["g"]])
        assert drawn == outline(source, source.getBestCmap()[ord("g")])


def embedded(stream: io.BytesIO) -> dict[str, tuple[TTFont, dict[str, int]]]:
    """Every font of a PDF by its name: its program, and the code of each character."""
    found: dict[str, tuple[TTFont, dict[str, int]]] = {}
    reader = pypdf.PdfReader(stream)
    for font in reader.pages[0]["/Resources"]["/Font"].values():  # type: ignore[index]
        font = font.get_object()
        program = font["/FontDescriptor"]["/FontFile2"].get_data()
        lines = font["/ToUnicode"].get_data().decode("latin-1").splitlines()
        pairs = [line.split("> <") for line in lines if line.startswith("<") and "> <" in line]
        codes = {chr(int(to[:-1], 16)): int(code[1:], 16) for code, to in pairs if len(code) == 3}
        found[str(font["/BaseFont"])[1:]] = (TTFont(io.BytesIO(program)), codes)
    return found
