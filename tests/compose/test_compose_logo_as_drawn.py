"""A drawing prints as an ordinary renderer shows it, or is refused with a reason.

The reference is resvg (the package resvg-py), a renderer of static SVG that shares no code with
labelkit. Both pictures are compared as pixels: hers as resvg draws the whole file, ours as PDFium
draws the panel the logo was placed on.
"""

from __future__ import annotations

import base64
import io
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import resvg_py
from PIL import Image, ImageChops, ImageCms, ImageStat

from labelkit.common.errors import InputError
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.art import place_logo
from labelkit.model.runs import Box, Panel
from labelkit.order.logo import Logo, read_logo
from labelkit.pdf.write.draw import DocumentInfo, PdfFonts, define_panel, make_canvas

SIDE = 400
"""Pixels of the longer side of both pictures."""
DRAWN = 2 * SIDE
"""Pixels of the width in which they are drawn before they are made smaller."""
MOST_APART = 0.012
"""Share of the pixels that may differ by over a third of all tones: the smoothed edges."""


def svg(inner: str, root: str = 'viewBox="0 0 100 100"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {root}>{inner}</svg>'


def render_reference(text: str) -> Image.Image:
    """The file as resvg draws it, on white."""
    data = bytes(resvg_py.svg_to_bytes(svg_string=text, width=DRAWN, background="white", dpi=96))
    return Image.open(io.BytesIO(data)).convert("RGB")


def render_placed(logo: Logo, ink: str = "#000000") -> Image.Image:
    """The logo as it prints, alone on a panel of its own shape."""
    width, height = 40.0, 40.0 / logo.aspect
    art, pictures = place_logo(logo, Box(0, 0, width, height), ink)
    panel = Panel("front", width, height, ornaments=tuple(art), pictures=tuple(pictures))
    stream = io.BytesIO()
    canvas = make_canvas(stream, (width, height), DocumentInfo("logo", "en"))
    define_panel(canvas, "panel", panel, PdfFonts(canvas, {}), 0.0)
    canvas.doForm("panel")
    canvas.showPage()
    canvas.save()
    page = pypdfium2.PdfDocument(stream.getvalue())[0]
    return page.render(scale=DRAWN / (width * PT_PER_MM)).to_pil().convert("RGB")


def crop_to_ink(picture: Image.Image) -> Image.Image:
    box = ImageChops.difference(picture, Image.new("RGB", picture.size, "white")).getbbox()
    assert box is not None
    return picture.crop(box)


def measure_difference(one: Image.Image, other: Image.Image) -> float:
    """The share of the pixels that differ, both pictures cut to what they show."""
    one, other = crop_to_ink(one), crop_to_ink(other)
    assert one.width / one.height == pytest.approx(other.width / other.height, rel=0.02)
    size = (SIDE, max(1, round(SIDE * one.height / one.width)))
    if one.height > one.width:
        size = (max(1, round(SIDE * one.width / one.height)), SIDE)
    one, other = (p.resize(size, Image.Resampling.BOX) for p in (one, other))
    apart = ImageChops.difference(one, other).convert("L").point(lambda tone: 255 * (tone > 85))
    return apart.histogram()[255] / (size[0] * size[1])


def read(tmp_path: Path, text: str) -> Logo:
    path = tmp_path / "logo.svg"
    path.write_text(text, encoding="utf-8")
    return read_logo(path)


SQUARE = '<path d="M10 10H90V90H10Z"/>'
RING = '<circle cx="50" cy="50" r="30" fill="white"/><circle cx="50" cy="50" r="12"/>'

DRAWINGS = {
    "white on black": SQUARE + RING,
    "white ground": '<rect width="100%" height="100%" fill="#FFF"/>'
    '<circle cx="40" cy="60" r="20"/>',
    "white over the half of two": '<circle cx="30" cy="50" r="20"/>'
    '<circle cx="70" cy="50" r="20"/>'
    '<path fill="rgb(255,255,255)" d="M30 0H70V100H30Z"/>',
    "black over white over black": SQUARE + RING + '<path d="M45 0H55V100H45Z"/>',
    "even-odd under white": '<path fill-rule="evenodd" d="M0 0H60V60H0ZM20 20H40V40H20Z"/>'
    '<path fill="white" d="M30 30L60 30 60 60Z"/>',
    "white with a hole": SQUARE
    + '<path fill="white" fill-rule="evenodd" d="M20 20H80V80H20ZM40 40H60V60H40Z"/>',
    "display none": SQUARE + '<path display="none" d="M0 0H100V50H0Z"/>',
    "display none in a style": '<g style="display:none"><path d="M0 0H99V99H0Z"/></g>' + SQUARE,
    "visibility": '<g visibility="hidden"><path d="M0 0H99V99H0Z"/>'
    '<path visibility="visible" d="M20 0H70V20H20Z"/></g>',
    "visibility collapse": SQUARE + '<path style="visibility: collapse" d="M0 0H100V9H0Z"/>',
    "opacity zero": SQUARE + '<g opacity="0"><path opacity="1" d="M0 0H100V9H0Z"/></g>',
    "fill opacity zero": SQUARE + '<path style="fill-opacity:0%" d="M0 0H100V9H0Z"/>',
    "transparent": SQUARE + '<path fill="transparent" d="M0 0H100V9H0Z"/>',
    "a stroke": '<path fill="none" stroke="black" stroke-width="8" d="M10 10H90L50 80"/>',
    "a stroke with round ends": '<path fill="none" stroke="black" stroke-width="8"'
    ' stroke-linecap="round" stroke-linejoin="round" d="M20 20H80L50 80"/>',
    "a stroke about an area": '<circle cx="50" cy="50" r="30" stroke="black" stroke-width="6"/>',
    "a stroke that is stretched": '<g transform="scale(1 .5)"><path fill="none" stroke="#000"'
    ' stroke-width="9" d="M10 20C40 20 60 160 90 160"/></g>',
    "a stroke of a small drawing": '<g transform="scale(100)"><circle cx=".5" cy=".5" r=".3"'
    ' fill="none" stroke="black" stroke-width=".1"/></g>',
    "a stroke that is one point": '<path fill="none" stroke="black" stroke-width="20"'
    ' stroke-linecap="round" d="M50 50h0M10 10H20"/>',
    "a stroke with blunt corners": '<path fill="none" stroke="black" stroke-width="10"'
    ' stroke-miterlimit="1" d="M20 20H80L20 40"/>',
    "a stroke with cut corners": '<path fill="none" stroke="black" stroke-width="20"'
    ' stroke-linejoin="bevel" stroke-linecap="square" d="M20 20H80L50 80"/>',
    "a stroke under its area": '<circle cx="50" cy="50" r="30" fill="white" stroke="black"'
    ' stroke-width="16" style="paint-order:markers stroke fill"/>',
    "a stroke that crosses itself": '<path fill="none" stroke="black" stroke-width="8"'
    ' d="M10 10L90 90M90 10L10 90M10 50C90 0 0 90 90 50"/>',
    "a white stroke": SQUARE
    + '<path fill="none" stroke="#fff" stroke-width="8" d="M20 20H80V80"/>',
    "a stroke of another colour": '<circle cx="50" cy="50" r="30" fill="#a02040" stroke="#204060"'
    ' stroke-width="8"/>',
    "stroke of no width": '<path stroke="red" stroke-width="0" d="M10 10H90V90Z"/>',
    "important": '<path style="fill: #000 !important; /* a */ stroke: none" d="M10 10H90V40H10Z"/>',
    "current colour": '<g color="#204060"><path fill="currentColor" d="M1 1H9V30Z"/></g>',
    "transforms": '<g transform="translate(50,50) rotate(30)"><path transform="scale(1 -2)'
    ' skewX(20)" d="M-10-10H10V10L0 15-10 10Z"/></g>',
    "turned about": '<rect x="20" y="20" width="40" height="20" transform="rotate(45 50 50)"/>',
    "matrix": '<ellipse cx="40" cy="40" rx="20" ry="10" transform="matrix(1 .3 -.2 1 3 4)"/>',
    "round corners": '<rect x="5" y="5" width="80" height="40" rx="12"/>',
    "corners of two radii": '<rect x="5" y="5" width="80" height="40" rx="30" ry="10"/>',
    "corners too large": '<rect x="5" y="5" width="80" height="40" rx="90" ry="90"/>',
    "polygon": '<polygon points="10,10 90,20 70,80,20 60"/>',
    "polyline": '<polyline points="10,10 90,20 70,80"/>',
    "arcs": '<path d="M10 50a40 40 0 0180 0A20 10 30 1 0 10 50z"/>',
    "smooth curves": '<path d="M10 80C40 10 65 10 95 80S150 150 10 80M20 20q10-20 20 0t20 0z"/>',
    "off the page": SQUARE + '<path d="M200 0H300V20H200Z"/><path d="M-50 40H30V60H-50Z"/>',
    "two colours": '<path fill="#800000" d="M10 10H90V50H10Z"/>'
    '<path fill="#004080" d="M10 50H90V90H10Z"/><circle cx="50" cy="50" r="20" fill="white"/>',
    "a colour over another": '<path fill="#800000" d="M10 10H90V90H10Z"/>'
    '<circle cx="50" cy="50" r="30" fill="#20a040"/>',
    "millimetres": '<rect x="1mm" y="2mm" width="15mm" height="8pt"/>',
    "foreign": '<x:mark xmlns:x="urn:x"><path d="M0 0H9V9Z"/></x:mark>' + SQUARE,
    "comment": "<!-- <path/> -->" + SQUARE,
}


@pytest.mark.parametrize("inner", DRAWINGS.values(), ids=DRAWINGS)
@pytest.mark.quick(8)
def test_a_drawing_prints_as_it_looks(tmp_path: Path, inner: str) -> None:
    text = svg(inner)
    logo = read(tmp_path, text)
    one_ink = {drawing.colour for drawing in logo.drawings} == {None}
    if one_ink:  # in the label's ink, so the reference is drawn in black too
        grey = render_reference(text).convert("L")
        reference = grey.point(lambda tone: 255 * (tone > 200)).convert("RGB")
    else:
        reference = render_reference(text)
    assert measure_difference(reference, render_placed(logo)) < MOST_APART


RED, BLUE = '<path fill="#a01020" d="M10 10H70V60H10Z"', '<path fill="#1030a0" d="M30 30H90V90H30Z"'

SEE_THROUGH = {
    "over another": f'{RED}/>{BLUE} fill-opacity=".4"/>',
    "two of them": f'{RED} opacity=".5"/>{BLUE} opacity=".5"/>',
    "three over each other": f'{RED} opacity=".5"/>{BLUE} opacity="50%"/>'
    '<circle cx="50" cy="50" r="15" fill="#10a040" style="opacity:.6"/>',
    "a group that covers itself": f'<g opacity=".5">{RED}/>{BLUE}/></g>',
    "a group over another": f'<circle cx="50" cy="50" r="40" fill="#e0b020"/>'
    f'<g opacity=".5">{RED}/>{BLUE}/></g>',
    "a group of see-through ones": f'<circle cx="50" cy="50" r="40" fill="#e0b020"/>'
    f'<g opacity=".7">{RED} fill-opacity=".5"/>{BLUE} fill-opacity=".8"/></g>',
    "a stroke": f'{RED} stroke="#104010" stroke-width="12" stroke-opacity=".5"/>',
    "an area and its stroke as one": f'{RED} stroke="#104010" stroke-width="12" opacity=".5"/>',
    "white over a colour": f'{RED}/><path fill="#fff" opacity=".5" d="M20 20H90V40H20Z"/>',
    "even-odd": f'{RED}/><path fill="#1030a0" fill-rule="evenodd" fill-opacity=".5"'
    ' d="M0 0H90V90H0ZM30 30H60V60H30Z"/>',
    "a colour that is": f'{RED}/><path fill="rgba(16, 48, 160, .4)" d="M30 30H90V90H30Z"/>'
    '<path fill="#1030a080" d="M5 60H95V80H5Z"/>',
    "under what is opaque": f'{RED} opacity=".3"/>{BLUE}/>',
}


@pytest.mark.parametrize("inner", SEE_THROUGH.values(), ids=SEE_THROUGH)
@pytest.mark.quick(5)
def test_what_is_see_through_prints_as_it_shows_on_paper(tmp_path: Path, inner: str) -> None:
    """Tone by tone: a hundred places that resvg shows in one colour all about."""
    ground = '<path fill="#000" d="M0 0H2V2H0ZM98 98H100V100H98Z"/>'  # so that both show all
    text = svg(ground + inner)
    ours, theirs = (
        picture.resize((400, 400), Image.Resampling.BOX)
        for picture in (render_placed(read(tmp_path, text)), render_reference(text))
    )
    looked_at = 0
    for x in range(20, 400, 20):
        for y in range(20, 400, 20):
            about = theirs.crop((x - 5, y - 5, x + 6, y + 6)).getextrema()
            if all(high - low <= 1 for low, high in about):
                looked_at += 1
                pair = zip(ours.getpixel((x, y)), theirs.getpixel((x, y)), strict=True)
                assert all(abs(a - b) <= 2 for a, b in pair), (x, y)
    assert looked_at > 100
    assert measure_difference(theirs, ours) < MOST_APART


def test_a_white_drawing_is_all_ink(tmp_path: Path) -> None:
    """Made for dark ground, it has a shape of one colour like any other."""
    logo = read(tmp_path, svg('<circle cx="50" cy="50" r="40" fill="white"/>'))
    black = render_reference(svg('<circle cx="50" cy="50" r="40"/>'))
    assert measure_difference(black, render_placed(logo)) < MOST_APART


def test_white_shapes_show_the_ground_and_print_nothing(tmp_path: Path) -> None:
    logo = read(tmp_path, svg(SQUARE + RING))
    art, _ = place_logo(logo, Box(0, 0, 10, 10), "#335577")
    assert {ornament.colour for ornament in art} == {"#335577"}


@pytest.mark.parametrize(
    ("root", "same"),
    [
        ('viewBox="0 0 100 100" width="50mm" height="50mm"', True),
        ('viewBox="20 20 50 50"', True),
        ('width="80" height="60"', True),
        ('viewBox="0 0 100 50" width="100" height="100"', True),
        ('viewBox="-10 -10 200 120" preserveAspectRatio="none"', True),
        ('viewBox="0 0 100 50" width="100" height="100" preserveAspectRatio="none"', False),
        ('viewBox="0 0 100 50" width="100" height="100" preserveAspectRatio="xMidYMid slice"',
         False),
    ],
)  # fmt: skip
def test_what_of_a_drawing_is_on_its_page(tmp_path: Path, root: str, same: bool) -> None:
    text = svg('<circle cx="50" cy="40" r="38"/><path d="M0 0H30V90Z"/>', root)
    if same:
        logo = read(tmp_path, text)
        assert measure_difference(render_reference(text), render_placed(logo)) < MOST_APART
    else:
        with pytest.raises(InputError, match="is stretched to its page"):
            read(tmp_path, text)


@pytest.mark.parametrize(
    ("inner", "says"),
    [
        ('<path clip-path="circle(20%)" d="M0 0H99V99H0Z"/>', "<path> with 'clip-path'"),
        ('<path style="clip-path: inset(9px)" d="M0 0H9V9Z"/>', "'clip-path' in its style"),
        ('<path style="transform: rotate(9deg)" d="M0 0H9V9Z"/>', "'transform' in its style"),
        ('<path style="zoom: 2" d="M0 0H9V9Z"/>', "'zoom' in its style"),
        ('<path style="d: path(\'M0 0H9\')" d="M0 0H9V9Z"/>', "'d' in its style"),
        ('<path transform-origin="50 50" transform="rotate(9)" d="M0 0H9V9Z"/>', "origin"),
        ('<svg x="50" y="50"><path d="M0 0H9V9Z"/></svg>', "holds a drawing within the drawing"),
        ('<svg viewBox="0 0 9 9"><path d="M0 0H9V9Z"/></svg>', "a drawing within the drawing"),
        ('<path opacity="0.5" d="M0 0H9V9Z"/>' * 101, "has over 100 see-through shapes"),
        ('<path fill="hsla(9,9%,9%,.5)" d="M0 0H9V9Z"/>', "filled with 'hsla(9,9%,9%,.5)'"),
        ('<path fill="banana" d="M0 0H9V9Z"/>', "filled with 'banana'; give the shape one plain"),
        ('<path systemLanguage="fr" d="M0 0H9V9Z"/>', "shown on a condition"),
        ("<style>path { fill: red }</style>", "holds <style>; save as plain SVG, with each"),
        ('<rect width="9em" height="9"/>', "cannot be read as SVG"),
        ('<path transform="rotate(9) aaa" d="M0 0H9V9Z"/>', "cannot be read as SVG"),
        ('<path display="none" d="M0 0H9V9Z"/>', "shows nothing"),
        ('<path d="M200 0H300V20H200Z"/>', "shows nothing"),
        ('<path d="M0 0H9V9Z" style="mask: none; filter: blur(2px)"/>', "'filter' in its style"),
    ],
)
def test_what_cannot_be_kept_is_told(tmp_path: Path, inner: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, svg(inner))
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


# -- pictures --------------------------------------------------------------------------------------


def render_picture(data: bytes, size: tuple[int, int]) -> Image.Image:
    """A PNG or JPEG as resvg shows it, by decoders of its own."""
    kind = "png" if data[1:4] == b"PNG" else "jpeg"
    href = f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"
    width, height = size
    image = f'<image href="{href}" width="{width}" height="{height}"/>'
    text = svg(image, f'viewBox="0 0 {width} {height}"')
    shown = bytes(resvg_py.svg_to_bytes(svg_string=text, width=width, background="white"))
    return Image.open(io.BytesIO(shown)).convert("RGB")


def save(image: Image.Image, kind: str, **options: Any) -> bytes:
    stream = io.BytesIO()
    image.save(stream, kind, **options)
    return stream.getvalue()


def shades(mode: str, count: int = 256, step: int = 1) -> Image.Image:
    picture = Image.new(mode, (count, 40))
    picture.putdata([x * step for _ in range(40) for x in range(count)])
    return picture


def dotted() -> Image.Image:
    """Four corners of four colours, half of it see-through."""
    picture = Image.new("RGBA", (60, 40), (200, 30, 30, 255))
    picture.paste((30, 120, 60, 128), (30, 0, 60, 20))
    picture.paste((20, 20, 160, 255), (0, 20, 30, 40))
    picture.paste((0, 0, 0, 0), (40, 25, 60, 40))
    return picture


PICTURES = {
    "16 bits of grey": save(shades("I;16", 256, 257), "PNG"),
    "8 bits of grey": save(shades("L"), "PNG"),
    "1 bit": save(dotted().convert("L").point(lambda tone: 255 * (tone > 60)).convert("1"), "PNG"),
    "see-through": save(dotted(), "PNG"),
    "grey and see-through": save(dotted().convert("LA"), "PNG"),
    "palette": save(dotted().convert("RGB").quantize(8), "PNG"),
    "palette with a clear colour": save(dotted().convert("RGB").quantize(8), "PNG", transparency=0),
    "one colour is clear": save(dotted().convert("RGB"), "PNG", transparency=(200, 30, 30)),
    "JPEG": save(dotted().convert("RGB").resize((240, 160)), "JPEG", quality=95),
    "JPEG of grey": save(shades("L"), "JPEG", quality=95),
    "progressive": save(dotted().convert("RGB").resize((240, 160)), "JPEG", progressive=True),
}


@pytest.mark.parametrize("data", PICTURES.values(), ids=PICTURES)
def test_a_picture_prints_as_it_looks(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "logo.png").write_bytes(data)
    logo = read_logo(tmp_path / "logo.png")
    assert logo.pixels is not None
    ours = Image.new("RGB", logo.pixels, "white")
    picture = Image.open(io.BytesIO(logo.picture)).convert("RGBA")
    ours.paste(picture, (0, 0), picture)
    placed = render_placed(logo).resize(logo.pixels, Image.Resampling.BOX)
    reference = render_picture(data, logo.pixels)
    # Decoders of JPEG round differently; PDFium draws pixels larger with smoothed edges.
    assert max(ImageStat.Stat(ImageChops.difference(reference, ours)).mean) < 1.5
    assert max(ImageStat.Stat(ImageChops.difference(reference, placed)).mean) < 4


@pytest.mark.parametrize(
    ("orientation", "corner"),
    # Exif 2.3, tag 274 (from memory): where the stored picture's first row and column are seen.
    [(1, "left top"), (2, "right top"), (3, "right bottom"), (4, "left bottom"),
     (5, "left top"), (6, "right top"), (7, "right bottom"), (8, "left bottom")],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_picture_stands_as_its_camera_was_held(
    tmp_path: Path, orientation: int, corner: str, kind: str
) -> None:
    picture = Image.new("RGB", (96, 48), "white")
    picture.paste("black", (0, 0, 24, 24))
    exif = Image.Exif()
    exif[0x0112] = orientation
    (tmp_path / "l.png").write_bytes(save(picture, kind, exif=exif))
    logo = read_logo(tmp_path / "l.png")
    assert logo.pixels == ((96, 48) if orientation < 5 else (48, 96))
    made = Image.open(io.BytesIO(logo.picture)).convert("L")
    across, down = corner.split()
    x = 8 if across == "left" else made.width - 8
    y = 8 if down == "top" else made.height - 8
    assert made.getpixel((x, y)) < 20
    assert made.getpixel((made.width - x, y)) > 235


@pytest.mark.parametrize(
    ("picture", "says"),
    [
        (Image.new("RGBA", (40, 40), (10, 10, 10, 0)), "shows nothing; all of it is white or"),
        (Image.new("RGB", (40, 40), "white"), "shows nothing"),
        (Image.new("L", (400, 10), 0), "is over twenty times as long as it is wide"),
    ],
)
def test_a_picture_of_nothing_is_told(tmp_path: Path, picture: Image.Image, says: str) -> None:
    (tmp_path / "l.png").write_bytes(save(picture, "PNG"))
    with pytest.raises(InputError, match=says):
        read_logo(tmp_path / "l.png")


def test_colours_are_as_the_pictures_own_profile_means_them(tmp_path: Path) -> None:
    """A profile whose red and green are exchanged: what says (255, 0, 0) is seen green."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, green = profile.index(b"rXYZ"), profile.index(b"gXYZ")
    profile[red : red + 4], profile[green : green + 4] = b"gXYZ", b"rXYZ"
    picture = Image.new("RGB", (40, 40), (255, 0, 0))
    (tmp_path / "l.png").write_bytes(save(picture, "PNG", icc_profile=bytes(profile)))
    made = Image.open(io.BytesIO(read_logo(tmp_path / "l.png").picture)).convert("RGB")
    red_, green_, blue_ = made.getpixel((20, 20))
    assert green_ > 200 > 60 > red_ + blue_
