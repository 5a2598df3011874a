"""Names of people in many scripts, each set and read back whole by four readers."""

from __future__ import annotations

import io
import re
import unicodedata
from itertools import groupby

import pytest
import uharfbuzz as hb
from name_pdf import name_table, names_page, own_faces
from pdfminer.high_level import extract_text
from pypdf import PdfReader
from pypdfium2 import PdfDocument

from labelkit.model.runs import Run
from labelkit.pdf.compare import PLACE_TOLERANCE_MM
from labelkit.pdf.read import read_panel_bytes
from labelkit.typeset.clusters import Cluster, split_into_pieces
from labelkit.typeset.companions import MixedFace, find_writing_face

TABLE = {
    language: [name for name, _ in rows]
    for language, rows in groupby(name_table(), key=lambda row: row[1])
}
PACKAGED = set(
    re.findall(
        r"\w+",
        "en ga fr es pt nl de is sv pl cs hu ro lt tr az vi yo mi el ru uk sr kk he ar fa ur hi mr"
        " ne bn ta te th km",
    )
)
"""Languages that the packages labelkit depends on can write, whatever fonts a computer has."""
SPACES_BESIDE_ACCENTS = {"yo", "oj"}
"""pypdf and PDFium take an accent set over its letter for the end of a word."""
NOT_SHOWN = str.maketrans("", "", "\u200b\u200c\u200d")
"""Joiners, which PDFium leaves out."""


def plain(text: str) -> str:
    """Text as it counts: canonically equal text is the same (UAX 15), blanks are one space."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


@pytest.mark.parametrize("language", TABLE)
@pytest.mark.quick(30)
def test_names_are_read_back_as_they_were_typed(language: str) -> None:
    unwritten = []
    for name in TABLE[language]:
        panel, data = names_page([name], own_faces())
        if not panel.runs:
            unwritten.append(name)
            continue
        check_own_reading(panel.runs[0], data)
        assert plain(extract_text(io.BytesIO(data))) == plain(name), "pdfminer"
        pypdf = PdfReader(io.BytesIO(data)).pages[0].extract_text()
        pdfium = PdfDocument(data)[0].get_textpage().get_text_range()
        if language in SPACES_BESIDE_ACCENTS:
            name, pypdf, pdfium = (text.replace(" ", "") for text in (name, pypdf, pdfium))
        assert plain(pypdf) == plain(name), "pypdf"
        assert plain(pdfium).translate(NOT_SHOWN) == plain(name).translate(NOT_SHOWN), "PDFium"
    if unwritten:
        assert language not in PACKAGED
        pytest.skip(f"no font on this computer writes {', '.join(unwritten)}")


def check_own_reading(run: Run, data: bytes) -> None:
    """labelkit's own reader finds the text, its place and its ink."""
    (found,) = read_panel_bytes(data, "names.pdf").panels[0].panel.runs
    assert found.text == run.text
    assert found.x_mm == pytest.approx(run.x_mm, abs=PLACE_TOLERANCE_MM)
    assert found.advance_mm == pytest.approx(run.advance_mm, abs=PLACE_TOLERANCE_MM)
    for side in ("x0_mm", "y0_mm", "x1_mm", "y1_mm"):
        wanted = getattr(run.ink, side)
        assert getattr(found.ink, side) == pytest.approx(wanted, abs=PLACE_TOLERANCE_MM)
    assert found.letters.small_o_mm == pytest.approx(run.letters.small_o_mm)


def test_the_table_has_two_hundred_names_of_many_scripts() -> None:
    from fontTools.unicodedata import script

    names = [name for name, _ in name_table()]
    scripts = {script(letter) for name in names for letter in name}
    assert len(names) == len(set(names)) >= 200
    assert len(scripts - {"Zyyy", "Zinh"}) >= 25


# Scripts whose glyphs depend on their neighbours, as HarfBuzz shapes the whole word by itself.
@pytest.mark.parametrize("name", ["कृष्ण", "தமிழ்செல்வி", "ចន្ទ្រា", "చంద్రిక", "নন্দিনী", "นฤมล"])
def test_words_are_shaped_as_the_font_asks(name: str) -> None:
    face = find_writing_face(own_faces(), name)
    assert isinstance(face, MixedFace)
    (_, companion, _) = face.companions[0]
    clusters = [piece for piece in split_into_pieces(face, name) if isinstance(piece, Cluster)]
    buffer = hb.Buffer()
    buffer.add_str(name)
    buffer.guess_segment_properties()
    hb.shape(companion.font, buffer)
    wanted = [info.codepoint for info in buffer.glyph_infos]
    assert [glyph for cluster in clusters for glyph, _, _ in cluster.glyphs] == wanted


@pytest.mark.parametrize("name", ["ليلى", "محمد"])
def test_arabic_letters_join(name: str) -> None:
    """Letters that join take other glyphs than they have alone (The Unicode Standard, 9.2)."""
    face = find_writing_face(own_faces(), name)
    assert isinstance(face, MixedFace)
    (_, companion, _) = face.companions[0]
    glyphs = [g for piece in split_into_pieces(face, name) if isinstance(piece, Cluster)
              for g, _, _ in piece.glyphs]  # fmt: skip
    alone = {companion.font.get_nominal_glyph(ord(letter)) for letter in name}
    assert len(alone & set(glyphs)) < len(set(name))


@pytest.mark.parametrize("family", ["cormorant-garamond", "fira-sans", "josefin-sans"])
@pytest.mark.parametrize("name", ["נועה", "अनु", "ธนพ"])
def test_letters_of_two_scripts_look_as_tall(family: str, name: str) -> None:
    """The main letters stand between the small o and the capital (common practice, no source)."""
    own = own_faces(family, 400)
    panel, _ = names_page([name, "o", "H"], own)
    main, small, capital = (run.ink.height_mm for run in panel.runs)
    assert small * 0.95 <= main * 1.0
    assert main <= capital * 1.75  # with the signs above and below
