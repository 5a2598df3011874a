"""Shaping against HarfBuzz itself and against what PDFium finds on a drawn page."""

from __future__ import annotations

import io

import pypdfium2
import pytest
import uharfbuzz as hb
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont as EmbeddedFont
from reportlab.pdfgen.canvas import Canvas

from labelkit.common.quantity import PT_PER_MM
from labelkit.typeset.faces import DRAWN_AS, FaceRequest, load_face
from labelkit.typeset.shape import LEAST_WORD_SPACE_EM, shape_text

FACE = load_face(FaceRequest("fira-sans"))
LETTERS = "AVToLYWfijl .,/40gÉèœß&’"


@pytest.mark.parametrize("family", ["fira-sans", "spectral", "great-vibes"])
def test_kerning_is_harfbuzz_s_own(family: str) -> None:
    # HarfBuzz with its default features, ligatures off: pairs without ligature or contextual form.
    face = load_face(FaceRequest(family))
    font = hb.Font(hb.Face(face.path.read_bytes()))
    for text in ("AVATAR", "To You", "LYNX"):
        buffer = hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        hb.shape(font, buffer, {"liga": False, "calt": False, "clig": False})
        expected = [position.x_advance / face.units_per_em for position in buffer.glyph_positions]
        # Word spaces narrower than LEAST_WORD_SPACE_EM are opened to it; all else is HarfBuzz's.
        spaced = [
            max(advance, LEAST_WORD_SPACE_EM) if letter == " " else advance
            for letter, advance in zip(text, expected, strict=True)
        ]
        assert shape_text(face, text).advances_em == pytest.approx(spaced)


def test_kerning_tightens_the_classic_pair() -> None:
    assert shape_text(FACE, "AV").width_em < FACE.advance_em("A") + FACE.advance_em("V") - 0.01


@pytest.mark.parametrize("text", ["fi", "ffl", "Th", "e\u0301", "ij"])
def test_there_is_one_advance_per_character(text: str) -> None:
    for family in ("great-vibes", "spectral", "fira-sans", "eb-garamond"):
        shaped = shape_text(load_face(FaceRequest(family)), text)
        assert len(shaped.advances_em) == len(shaped.inks) == len(text)


@given(st.text(alphabet=LETTERS, max_size=40), st.floats(-0.01, 0.06))
def test_width_is_the_sum_of_the_advances_and_tracking_comes_after_each(
    text: str, tracking: float
) -> None:
    shaped = shape_text(FACE, text)
    width = sum(shaped.advances_em)
    assert shaped.width_em == pytest.approx(width)
    assert shaped.advance_mm(10, tracking) == pytest.approx(
        (width + tracking * len(text)) * 10 / PT_PER_MM
    )


def test_no_break_spaces_are_advances() -> None:
    # Unicode Standard, ch. 6.2: U+202F is a narrow no-break space, a fifth of an em or so, and
    # U+00A0 a space of ordinary width (from memory).
    plain = shape_text(FACE, "40 g").advances_em
    assert shape_text(FACE, "40\u00a0g").advances_em == plain
    narrow = shape_text(FACE, "40\u202fg")
    assert narrow.advances_em[2] == pytest.approx(0.2)
    assert narrow.inks[2] is None


def test_a_soft_hyphen_is_drawn_as_a_hyphen() -> None:
    assert shape_text(FACE, "Sa\u00ad").width_em == shape_text(FACE, "Sa-").width_em
    assert shape_text(FACE, "Sa\u00ad").ink_em == shape_text(FACE, "Sa-").ink_em


def test_a_combining_accent_stands_over_its_letter() -> None:
    # "ọ̀" has no single code point: dotted o, then a combining grave.
    face = load_face(FaceRequest("noto-sans"))
    shaped = shape_text(face, "ọ\u0300")
    letter, accent = shaped.inks
    assert letter is not None and accent is not None
    assert shaped.width_em == pytest.approx(face.advance_em("ọ"), abs=0.002)
    assert accent.y0_em > letter.y1_em  # clear of the letter
    middle = (letter.x0_em + letter.x1_em) / 2
    place = shaped.advances_em[0] + (accent.x0_em + accent.x1_em) / 2
    assert place == pytest.approx(middle, abs=0.08)


def test_blank_text_has_no_ink() -> None:
    assert shape_text(FACE, " \u202f").ink_em is None
    assert shape_text(FACE, "").ink_mm(10) is None


@pytest.mark.parametrize(
    ("family", "text", "tracking"),
    [
        ("fira-sans", "Sodium Cocoate, AVATAR", 0.0),
        ("great-vibes", "Jolanda & Ffyfe", 0.0),
        ("spectral", "QUIET WATERS jg", 0.05),
        ("noto-sans", "Żółć «\u202fОнова\u202f» 40\u00a0g", 0.02),
    ],
)
def test_the_ink_is_where_it_is_drawn(family: str, text: str, tracking: float) -> None:
    # Drawn letter by letter at the pen's places, then found again by PDFium.
    face, size, x, y = load_face(FaceRequest(family)), 18.0, 30.0, 40.0
    shaped = shape_text(face, text)
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(600, 100))
    name = f"placed-{face.name}"
    pdfmetrics.registerFont(EmbeddedFont(name, str(face.path)))
    canvas.setFont(name, size)
    pen = x
    for character, advance in zip(text, shaped.advances_em, strict=True):
        if not character.isspace():
            canvas.drawString(pen, y, DRAWN_AS.get(character, character))
        pen += (advance + tracking) * size
    canvas.save()
    page = pypdfium2.PdfDocument(stream.getvalue())[0].get_textpage()
    found = [
        page.get_charbox(i) for i in range(page.count_chars()) if page.get_text_range(i, 1).strip()
    ]
    ink = shaped.ink_mm(size, x / PT_PER_MM, y / PT_PER_MM, tracking)
    assert ink is not None
    assert ink.x0_mm == pytest.approx(min(box[0] for box in found) / PT_PER_MM, abs=0.02)
    assert ink.y0_mm == pytest.approx(min(box[1] for box in found) / PT_PER_MM, abs=0.02)
    assert ink.x1_mm == pytest.approx(max(box[2] for box in found) / PT_PER_MM, abs=0.02)
    assert ink.y1_mm == pytest.approx(max(box[3] for box in found) / PT_PER_MM, abs=0.02)


@pytest.mark.parametrize("family", ["great-vibes", "josefin-sans", "alegreya-sans", "marcellus"])
@pytest.mark.parametrize("name", ["D’Amour", "O’Dell", "L’Écuyer", "d’Arvieux"])
def test_no_gap_beside_an_apostrophe_is_as_wide_as_half_a_word_space(
    family: str, name: str
) -> None:
    face = load_face(FaceRequest(family))
    shaped = shape_text(face, name)
    space = shape_text(face, " ").width_em
    at = name.index("’")
    for index in (at - 1, at):
        before, after = shaped.inks[index], shaped.inks[index + 1]
        assert before is not None and after is not None
        assert shaped.advances_em[index] + after.x0_em - before.x1_em < space / 2
