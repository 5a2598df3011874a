"""Faces measured against what others measured, what their makers state, and what is drawn."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import pypdf
import pypdfium2
import pytest
import uharfbuzz as hb
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont as EmbeddedFont
from reportlab.pdfgen.canvas import Canvas

from labelkit.common.errors import FaceError
from labelkit.common.quantity import PT_PER_MM
from labelkit.typeset import fontfiles
from labelkit.typeset.faces import Face, FaceRequest, load_face, load_face_file

# Heights of the "o" and of the "H" in ems, regular style, as measured on the outlines of the
# packages fontpkg-fira-sans 4.203, -fira-sans-condensed 4.203, -source-sans-3 3.52,
# -alegreya-sans 2.4, -noto-sans 2.15, -marcellus 1.0, -playfair-display 1.203, -spectral 2.5,
# -cormorant-garamond 4.1 (light), -great-vibes 1.103, -eb-garamond 1.3 and -dancing-script 2.1
# with fontTools, before this module was written.
MEASURED = {
    ("fira-sans", 400): (0.551, 0.689),
    ("fira-sans-condensed", 400): (0.552, 0.688),
    ("source-sans-3", 200): (0.502, 0.660),
    ("alegreya-sans", 400): (0.474, 0.641),
    ("noto-sans", 400): (0.556, 0.714),
    ("marcellus", 400): (0.518, 0.700),
    ("playfair-display", 400): (0.543, 0.708),
    ("spectral", 400): (0.470, 0.660),
    ("cormorant-garamond", 300): (0.412, 0.625),
    ("great-vibes", 400): (0.351, 0.980),
    ("eb-garamond", 400): (0.428, 0.658),
    ("dancing-script", 400): (0.384, 0.807),
}


def drawn_box_mm(face: Face, text: str, size_pt: float) -> tuple[float, float]:
    """Foot and head of the ink of ``text`` against its baseline, as PDFium finds them in a PDF."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(300, 100))
    name = f"drawn-{face.name}"
    pdfmetrics.registerFont(EmbeddedFont(name, str(face.path)))
    canvas.setFont(name, size_pt)
    canvas.drawString(20, 50, text)
    canvas.save()
    page = pypdfium2.PdfDocument(stream.getvalue())[0].get_textpage()
    boxes = [page.get_charbox(i) for i in range(page.count_chars()) if page.get_text_range(i, 1)]
    return (
        (min(box[1] for box in boxes) - 50) / PT_PER_MM,
        (max(box[3] for box in boxes) - 50) / PT_PER_MM,
    )


@pytest.mark.parametrize(("family", "weight"), MEASURED)
def test_heights_are_those_measured_on_the_outlines(family: str, weight: int) -> None:
    small_o, capital = MEASURED[family, weight]
    face = load_face(FaceRequest(family, weight=weight))
    assert face.small_o_em == pytest.approx(small_o, abs=0.0006)
    assert face.capital_em == pytest.approx(capital, abs=0.0006)


@pytest.mark.parametrize(
    "family",
    ["fira-sans", "fira-sans-condensed", "noto-sans", "source-sans-3", "spectral", "eb-garamond"],
)
def test_the_capital_agrees_with_the_cap_height_its_maker_states(family: str) -> None:
    # OS/2.sCapHeight: "the distance between the baseline and the approximate height of uppercase
    # letters" (OpenType specification, OS/2 table; from memory), in the fonts as installed.
    (path,) = {
        f.path
        for f in fontfiles.list_family_files(family)
        if not f.italic and (f.axes or f.weight == 400)
    }
    stated = TTFont(path)["OS/2"].sCapHeight / TTFont(path)["head"].unitsPerEm
    assert load_face(FaceRequest(family)).capital_em == pytest.approx(stated, abs=0.012)


@pytest.mark.parametrize(
    "request_",
    [
        FaceRequest("fira-sans"),
        FaceRequest("fira-sans", weight=700, width=75),
        FaceRequest("noto-sans", weight=600, width=80),
        FaceRequest("source-sans-3", italic=True),
        FaceRequest("spectral", small_caps=True, figures="oldstyle"),
        FaceRequest("great-vibes"),
        FaceRequest("marcellus"),
    ],
)
def test_drawn_letters_are_as_tall_as_measured(request_: FaceRequest) -> None:
    # PDFium as the independent reader of the drawn page; 0.02 mm is the tolerance asked for.
    face = load_face(request_)
    for letter, height_em in [
        ("H", face.capital_em),
        ("o", face.small_o_em),
        ("4", face.figure_em("4")),
    ]:
        low, high = drawn_box_mm(face, letter, 24.0)
        assert height_em is not None
        assert high - low == pytest.approx(height_em * 24 / PT_PER_MM, abs=0.02)


def test_letters_scale_with_the_size() -> None:
    # 1.6 mm of "o" in Fira Sans take 8.23 pt, of capital 6.58 pt (from the same measurement).
    face = load_face(FaceRequest("fira-sans"))
    assert face.letters(8.23, "Soap").small_o_mm == pytest.approx(1.6, abs=0.002)
    assert face.letters(6.58, "SOAP").capital_mm == pytest.approx(1.6, abs=0.002)
    assert face.letters(8, "Soap").figure_mm is None


def test_the_smallest_figure_counts() -> None:
    face = load_face(FaceRequest("spectral", figures="oldstyle"))
    heights = {c: face.figure_em(c) for c in "0123456789"}
    assert face.figure_em("40 g, 1.4 oz") == min(heights[c] or 9 for c in "014")
    assert face.figure_em("net") is None


def test_old_style_figures_differ_in_height_and_lining_ones_do_not() -> None:
    assert not load_face(FaceRequest("spectral", figures="oldstyle")).lining
    # Alegreya Sans and Cormorant Garamond have old-style figures unless asked for lining ones.
    assert load_face(FaceRequest("alegreya-sans")).lining
    assert load_face(FaceRequest("cormorant-garamond", weight=500)).lining


def test_small_capitals_are_the_glyphs_the_font_substitutes() -> None:
    # HarfBuzz applying "smcp" to the installed font is the reference for which glyph it is.
    (path,) = {
        f.path for f in fontfiles.list_family_files("spectral") if f.weight == 400 and not f.italic
    }
    font = hb.Font(hb.Face(path.read_bytes()))
    buffer = hb.Buffer()
    buffer.add_str("o")
    buffer.guess_segment_properties()
    hb.shape(font, buffer, {"smcp": True})
    extents = font.get_glyph_extents(buffer.glyph_infos[0].codepoint)
    face = load_face(FaceRequest("spectral", small_caps=True))
    assert face.small_o_em == pytest.approx(-extents.height / 1000)
    plain = load_face(FaceRequest("spectral"))
    assert face.small_o_em is not None and plain.small_o_em is not None
    assert plain.small_o_em < face.small_o_em < (plain.capital_em or 0)


def test_an_instance_is_what_harfbuzz_interpolates() -> None:
    # HarfBuzz interpolates the variable font by itself; advances and extents must agree.
    (path,) = {f.path for f in fontfiles.list_family_files("noto-sans") if not f.italic}
    font = hb.Font(hb.Face(path.read_bytes()))
    font.set_variations({"wght": 700, "wdth": 75})
    face = load_face(FaceRequest("noto-sans", weight=700, width=75))
    for letter in "HogAé4Ωж":
        glyph = font.get_nominal_glyph(ord(letter))
        bounds = face.bounds_em(letter)
        extents = font.get_glyph_extents(glyph)
        assert bounds is not None
        # Both round coordinates to font units, in different places.
        assert bounds[3] * 1000 == pytest.approx(extents.y_bearing, abs=2)
        assert bounds[0] * 1000 == pytest.approx(extents.x_bearing, abs=2)
        assert face.advance_em(letter) * 1000 == pytest.approx(
            font.get_glyph_h_advance(glyph), abs=2
        )
    assert face.weight == 700


def test_a_condensed_face_is_the_family_s_own_sister() -> None:
    assert load_face(FaceRequest("fira-sans", width=75)).name == "FiraSansCondensed-Regular"
    assert load_face(FaceRequest("fira-sans-condensed")).name == "FiraSansCondensed-Regular"
    with pytest.raises(FaceError, match=r"'spectral' has no width of 75 %; it has 100 %"):
        load_face(FaceRequest("spectral", width=75))


@pytest.mark.parametrize(
    ("request_", "name"),
    [
        (FaceRequest("noto-sans", weight=700, width=75), "NotoSans-CondensedBold"),
        (FaceRequest("noto-sans", weight=450, width=80), "NotoSans-Width80Weight450"),
        (FaceRequest("noto-sans", italic=True), "NotoSans-Italic"),
        (FaceRequest("josefin-sans", weight=300), "JosefinSans-Light"),
        (FaceRequest("spectral", small_caps=True), "Spectral-RegularSmallCaps"),
        (FaceRequest("fira-sans", weight=640), "FiraSans-SemiBold"),
    ],
)
def test_postscript_names_tell_derived_faces_apart(request_: FaceRequest, name: str) -> None:
    face = load_face(request_)
    assert face.name == name
    assert TTFont(face.path)["name"].getDebugName(6) == name


@pytest.mark.parametrize("family", fontfiles.list_installed_families())
def test_every_installed_family_embeds_and_gives_its_text_back(family: str) -> None:
    face = load_face(FaceRequest(family))
    stream = io.BytesIO()
    canvas = Canvas(stream)
    pdfmetrics.registerFont(EmbeddedFont(f"whole-{family}", str(face.path)))
    canvas.setFont(f"whole-{family}", 12)
    canvas.drawString(20, 20, "Savon No 40")
    canvas.save()
    page = pypdf.PdfReader(stream).pages[0]
    assert page.extract_text().strip() == "Savon No 40"
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    (font,) = [font for font in fonts if font["/BaseFont"].endswith(f"+{face.name}")]
    assert "/FontFile2" in font["/FontDescriptor"]


# -- coverage --------------------------------------------------------------------------------------

# Letters beyond the basic Latin ones, from memory of each alphabet.
FRENCH = "àâæçéèêëîïôœùûüÿÀÂÆÇÉÈÊËÎÏÔŒÙÛÜŸ«»’…–—"
POLISH = "ąćęłńóśźżĄĆĘŁŃÓŚŹŻ"
GREEK = "αάβγδεέζηήθιίϊΐκλμνξοόπρσςτυύϋΰφχψωώΑΆΒΓΔΕΈΖΗΉΘΙΊΚΛΜΝΞΟΌΠΡΣΤΥΎΦΧΨΩΏ"
BULGARIAN = "абвгдежзийклмнопрстуфхцчшщъьюяАБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЬЮЯ"


@pytest.mark.parametrize("family", ["fira-sans", "noto-sans", "source-sans-3"])
@pytest.mark.parametrize("italic", [False, True])
def test_text_families_cover_the_languages_of_a_label(family: str, italic: bool) -> None:
    face = load_face(FaceRequest(family, italic=italic))
    assert face.missing(FRENCH + POLISH + GREEK + BULGARIAN + "℮") == ""


def test_letters_a_face_lacks_are_named_once_and_in_order() -> None:
    # Great Vibes 1.103 has no Greek and no estimated sign, Marcellus 1.0 no Cyrillic either.
    face = load_face(FaceRequest("great-vibes"))
    assert face.missing("℮ жени ℮ αβα") == "℮αβ"
    assert load_face(FaceRequest("marcellus")).missing("Б℮ł") == "Б℮"


def test_spaces_and_the_soft_hyphen_are_always_writable() -> None:
    face = load_face(FaceRequest("fira-sans"))
    # Fira Sans has no glyph for the narrow no-break space.
    assert 0x202F not in TTFont(face.path).getBestCmap()
    assert face.missing("40\u00a0g\u202f!\u2009\u00ad") == ""
    assert face.advance_em("\u00a0") == face.advance_em(" ")
    assert face.advance_em("\u202f") == pytest.approx(0.2)


@pytest.mark.parametrize("name", ["ليلى", "שרה", "प्रिया", "မြတ်"])
def test_scripts_that_cannot_be_set_letter_by_letter_are_missing(name: str) -> None:
    face = load_face(FaceRequest("noto-sans"))
    assert face.missing(name) == "".join(dict.fromkeys(name))


def test_small_capitals_miss_the_letters_that_have_none() -> None:
    # Noto Sans 2.15 has "ǎ", but no small capital for it ("smcp" leaves it as it is).
    assert load_face(FaceRequest("noto-sans")).missing("aéǎ") == ""
    assert load_face(FaceRequest("noto-sans", small_caps=True)).missing("aéǎ") == "ǎ"


# -- strokes ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("weight", [300, 400, 700])
def test_the_stem_is_the_breadth_of_the_capital_i(weight: int) -> None:
    # The capital I of Fira Sans is a bar: its breadth is its area over its height (fontTools).
    face = load_face(FaceRequest("fira-sans", weight=weight))
    font = TTFont(face.path)
    pen = AreaPen()
    font.getGlyphSet()["I"].draw(pen)
    breadth = abs(pen.value) / font["OS/2"].sCapHeight / 1000
    assert face.stem_em == pytest.approx(breadth, abs=0.012)
    assert face.thinnest_em is not None and face.stem_em is not None
    assert face.thinnest_em <= face.stem_em


def test_a_hairline_is_thinner_than_the_stem() -> None:
    # Playfair Display is a high-contrast face: hairlines several times thinner than stems.
    face = load_face(FaceRequest("playfair-display"))
    assert face.stem_em is not None and face.thinnest_em is not None
    assert face.thinnest_em * 3 < face.stem_em


# -- fonts that cannot be used ---------------------------------------------------------------------


@pytest.fixture
def marcellus() -> bytes:
    return fontfiles.list_family_files("marcellus")[0].path.read_bytes()


def altered(data: bytes, target: Path, fs_type: int) -> Path:
    font = TTFont(io.BytesIO(data))
    font["OS/2"].fsType = fs_type
    font.save(target)
    return target


@pytest.mark.parametrize(
    ("fs_type", "words"),
    [(0x0002, "forbids embedding"), (0x0100, "forbids subsetting"), (0x0200, "only bitmaps")],
)
def test_embedding_permission_is_honoured(
    tmp_path: Path, marcellus: bytes, fs_type: int, words: str
) -> None:
    path = altered(marcellus, tmp_path / f"own-{fs_type}.ttf", fs_type)
    with pytest.raises(FaceError, match=f"own-{fs_type}.ttf: .*{words}"):
        load_face_file(path)


@pytest.mark.parametrize("fs_type", [0x0000, 0x0004, 0x0008, 0x000C])
def test_preview_and_print_permission_is_enough(
    tmp_path: Path, marcellus: bytes, fs_type: int
) -> None:
    # OpenType specification, fsType: preview and print (4) and editable (8) embedding are allowed.
    face = load_face_file(altered(marcellus, tmp_path / f"own-{fs_type}.ttf", fs_type))
    assert face.capital_em == pytest.approx(0.700, abs=0.0006)


@pytest.mark.parametrize("share", [0.0, 0.0001, 0.002, 0.3, 0.9, 0.9999])
def test_a_font_cut_short_is_refused(tmp_path: Path, marcellus: bytes, share: float) -> None:
    path = tmp_path / f"cut-{share}.ttf"
    path.write_bytes(marcellus[: int(len(marcellus) * share)])
    with pytest.raises(FaceError, match=r"cut short|not a TrueType font"):
        load_face_file(path)


def test_damaged_outlines_are_refused_when_they_are_met(tmp_path: Path, marcellus: bytes) -> None:
    data = bytearray(marcellus)
    for index in range(struct.unpack(">H", data[4:6])[0]):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        if tag == b"glyf":
            data[offset : offset + length] = b"\x7f" * length
    path = tmp_path / "damaged.ttf"
    path.write_bytes(data)
    with pytest.raises(FaceError, match=r"damaged\.ttf: is not a readable TrueType font"):
        load_face_file(path).letters(8, "Soap")


def blanked(data: bytes, letters: str, target: Path) -> Path:
    """The font with a width and no outline for some letters."""
    font = TTFont(io.BytesIO(data))
    for letter in letters:
        font["glyf"][font.getBestCmap()[ord(letter)]] = Glyph()
    font.save(target)
    return target


def test_a_font_with_blank_letters_is_refused(tmp_path: Path, marcellus: bytes) -> None:
    path = blanked(marcellus, "av4", tmp_path / "trial.ttf")
    with pytest.raises(FaceError, match=r"trial\.ttf: prints nothing for 'av4'"):
        load_face_file(path)


def test_a_letter_that_is_seldom_needed_may_be_blank_and_then_counts_as_missing(
    tmp_path: Path, marcellus: bytes
) -> None:
    face = load_face_file(blanked(marcellus, "\u00e9&", tmp_path / "trial.ttf"))
    assert face.missing("Caf\u00e9 & th\u00e8, 40\u00a0g\u202f!") == "\u00e9&"
    assert face.blank("Caf\u00e9 & th\u00e8") == "\u00e9&"


def put_together(data: bytes, letter: str, parts: str, target: Path) -> Path:
    """The font with a letter put together of others (OpenType specification, glyf table)."""
    font = TTFont(io.BytesIO(data))
    letters, pen = font.getBestCmap(), TTGlyphPen(font.getGlyphSet())
    for part in parts:
        pen.addComponent(letters[ord(part)], (1, 0, 0, 1, 0, 0))
    font["glyf"][letters[ord(letter)]] = pen.glyph()
    font.save(target)
    return target


def test_a_letter_of_which_a_part_is_blank_counts_as_missing(
    tmp_path: Path, marcellus: bytes
) -> None:
    """The e of an é is there and its accent is not: "Cafe" must not pass for "Café"."""
    whole = put_together(marcellus, "é", "e´", tmp_path / "whole.ttf")
    assert load_face_file(whole).blank("Café") == ""
    lacking = blanked(whole.read_bytes(), "´", tmp_path / "lacking.ttf")
    face = load_face_file(lacking)
    assert face.blank("Café") == "é"
    assert face.missing("Café") == "é"


def test_an_everyday_letter_of_which_a_part_is_blank_is_refused(
    tmp_path: Path, marcellus: bytes
) -> None:
    made = put_together(marcellus, "i", "l´", tmp_path / "whole.ttf").read_bytes()
    with pytest.raises(FaceError, match=r"trial\.ttf: prints nothing for 'i'"):
        load_face_file(blanked(made, "´", tmp_path / "trial.ttf"))


@pytest.mark.parametrize("family", fontfiles.list_installed_families())
@pytest.mark.quick(3)
def test_no_installed_face_has_blank_letters(family: str) -> None:
    face = load_face(FaceRequest(family))
    assert face.blank("".join(map(chr, face.glyphs))) == ""


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"OTTO", "CFF"),
        (b"ttcf", "collection"),
        (b"wOF2", "web font"),
        (b"%PDF", "is not a TrueType font"),
    ],
)
def test_other_kinds_of_font_are_named(tmp_path: Path, head: bytes, words: str) -> None:
    path = tmp_path / f"{words}.ttf"
    path.write_bytes(head + bytes(100))
    with pytest.raises(FaceError, match=words):
        load_face_file(path)


def test_a_missing_family_is_told_with_what_is_installed() -> None:
    with pytest.raises(FaceError, match=r"'firasans' is not installed.* fira-sans, "):
        load_face(FaceRequest("firasans"))
    with pytest.raises(FaceError, match="is not installed"):
        load_face(FaceRequest("fira sans; import os"))


def test_nothing_is_faked() -> None:
    with pytest.raises(FaceError, match="no small capitals of its own"):
        load_face(FaceRequest("marcellus", small_caps=True))
    with pytest.raises(FaceError, match="no italic style"):
        load_face(FaceRequest("marcellus", italic=True))
    with pytest.raises(FaceError, match="no old-style figures of its own"):
        load_face(FaceRequest("josefin-sans", figures="oldstyle"))


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path) -> None:
    for path in (tmp_path / "none.ttf", tmp_path):
        with pytest.raises(FaceError, match="no such font file"):
            load_face_file(path)


def test_the_same_request_gives_the_same_face() -> None:
    assert load_face(FaceRequest("Fira Sans")) is load_face(FaceRequest("fira-sans"))


def test_tabular_figures_are_equally_wide() -> None:
    # OpenType feature registry, "tnum": figures of uniform widths; plain ones of this face are not.
    widths = {
        figures: {
            load_face(FaceRequest("alegreya-sans", 400, figures=figures)).advance_em(c)
            for c in "0123456789"
        }
        for figures in ("lining", "tabular")
    }
    assert len(widths["tabular"]) == 1
    assert len(widths["lining"]) > 1
