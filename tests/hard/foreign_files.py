"""Files made to be read for ever, or to fill a computer, from a few kilobytes each.

Nothing here is shared with the first harness: sheets are taken apart by pypdf, fonts by fontTools,
pictures chunk by chunk.
"""

from __future__ import annotations

import io
import struct
import zlib
from functools import lru_cache
from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from PIL import Image
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    StreamObject,
)

ROOT = Path(__file__).resolve().parents[2]
EVENT = ROOT / "samples" / "lighthouse-supper"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:&'-()%/"


# -- PDFs ------------------------------------------------------------------------------------------


def write_pdf(writer: PdfWriter) -> bytes:
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


def make_page(content: bytes, resources: DictionaryObject | None = None) -> bytes:
    writer = PdfWriter()
    page = writer.add_blank_page(612, 792)
    stream = DecodedStreamObject()
    stream.set_data(content)
    page[NameObject("/Contents")] = writer._add_object(stream)
    page[NameObject("/Resources")] = resources or DictionaryObject()
    return write_pdf(writer)


def make_repeating_tree() -> bytes:
    """Forty nodes, each twice the child of the one above: more pages than a life has seconds."""
    writer = PdfWriter()
    page = writer.add_blank_page(612, 792).indirect_reference
    below = page
    for _ in range(40):
        node = DictionaryObject()
        node[NameObject("/Type")] = NameObject("/Pages")
        node[NameObject("/Kids")] = ArrayObject([below, below])
        node[NameObject("/Count")] = NumberObject(2)
        below = writer._add_object(node)
    root = writer._root_object
    root[NameObject("/Pages")] = below
    return write_pdf(writer)


def make_repeating_condition() -> bytes:
    """A layer that is shown if a condition holds, made of the same condition twice, and so on."""
    writer = PdfWriter()
    group = DictionaryObject({NameObject("/Type"): NameObject("/OCG")})
    below: object = writer._add_object(group)
    for _ in range(19):
        operator = NameObject("/And")
        below = writer._add_object(ArrayObject([operator, below, below]))  # type: ignore[list-item]
    layer = DictionaryObject({NameObject("/Type"): NameObject("/OCMD")})
    layer[NameObject("/VE")] = below  # type: ignore[assignment]
    page = writer.add_blank_page(612, 792)
    stream = DecodedStreamObject()
    stream.set_data(b"/OC /L BDC EMC " * 40)
    page[NameObject("/Contents")] = writer._add_object(stream)
    named = DictionaryObject({NameObject("/L"): writer._add_object(layer)})
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/Properties"): named})
    return write_pdf(writer)


def make_font_resource(**entries: object) -> DictionaryObject:
    font = DictionaryObject(
        {NameObject("/Type"): NameObject("/Font"), NameObject("/Subtype"): NameObject("/TrueType")}
    )
    for name, value in entries.items():
        font[NameObject(f"/{name}")] = value  # type: ignore[assignment]
    fonts = DictionaryObject({NameObject("/F1"): font})
    return DictionaryObject({NameObject("/Font"): fonts})


LABEL = b"/LkPlace <</N 0 /Panel /front /Shape /rectangle /W 125 /H 79>> BDC %s EMC"
RUN = b"/LkRun <</E /names>> BDC BT /F1 9 Tf 9 %d Td (A) Tj ET EMC "


def make_endless_map() -> bytes:
    """A ToUnicode map whose blocks begin a hundred thousand times and never end."""
    stream = DecodedStreamObject()
    stream.set_data(b"1 beginbfrange <00> <ff> [" + b"beginbfrange <00> <ff> [ <41> " * 100_000)
    return make_page(LABEL % (RUN % 9), make_font_resource(ToUnicode=stream))


def make_wide_map() -> bytes:
    """Ten thousand ranges of 65,536 letters each."""
    stream = DecodedStreamObject()
    ranges = b"<0000> <ffff> <0041>\n" * 10_000
    stream.set_data(b"1 beginbfrange " + ranges + b"endbfrange")
    return make_page(LABEL % (RUN % 9), make_font_resource(ToUnicode=stream))


def make_covers() -> bytes:
    """Twenty thousand runs, and twenty thousand rectangles painted over them."""
    runs = b"".join(RUN % (n % 70) for n in range(20_000))
    covers = b"".join(b"%d 0 .01 .01 re f " % (n % 120) for n in range(20_000))
    return make_page(LABEL % (runs + covers), make_font_resource())


def make_thin_stream(packed: int = 60_000) -> bytes:
    """Seventy megabytes of text operators out of sixty kilobytes."""
    content = zlib.compress(b"BT /F1 9 Tf (AAAA) Tj ET\n" * 2_800_000, 9)
    stream = StreamObject()
    stream._data = content
    stream[NameObject("/Filter")] = NameObject("/FlateDecode")
    writer = PdfWriter()
    page = writer.add_blank_page(612, 792)
    page[NameObject("/Contents")] = writer._add_object(stream)
    page[NameObject("/Resources")] = make_font_resource()
    made = write_pdf(writer)
    assert len(made) < 10 * packed
    return made


def make_many_pages() -> bytes:
    """A page of fifty thousand operators, four thousand times."""
    writer = PdfWriter()
    stream = DecodedStreamObject()
    stream.set_data(b"q 1 0 0 1 0 0 cm Q\n" * 25_000)
    content = writer._add_object(stream)
    for _ in range(4_000):
        page = writer.add_blank_page(612, 792)
        page[NameObject("/Contents")] = content
    return write_pdf(writer)


PDFS = {
    "page tree that repeats": make_repeating_tree,
    "layer conditions that repeat": make_repeating_condition,
    "character map without end": make_endless_map,
    "character map of millions": make_wide_map,
    "runs under covers": make_covers,
    "stream of 70 MB": make_thin_stream,
    "pages by the thousand": make_many_pages,
}


# -- fonts -----------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def make_plain_font() -> bytes:
    """A font whose every letter is a box, each a little wider than the one before."""
    names = [".notdef", *(f"u{ord(letter):04X}" for letter in LETTERS)]
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(letter): f"u{ord(letter):04X}" for letter in LETTERS})
    outlines = {}
    for number, name in enumerate(names):
        pen = TTGlyphPen(None)
        if name != "u0020":
            right, top = 300 + 2 * number, 500 if name[1:] > "0060" else 700
            for point, draw in zip(
                ((50, 0), (50, top), (right, top), (right, 0)),
                (pen.moveTo, pen.lineTo, pen.lineTo, pen.lineTo),
                strict=True,
            ):
                draw(point)
            pen.closePath()
        outlines[name] = pen.glyph()
    builder.setupGlyf(outlines)
    builder.setupHorizontalMetrics(dict.fromkeys(names, (600, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Boxes", "styleName": "Regular", "psName": "Boxes"})
    builder.setupOS2(usWeightClass=400)
    builder.setupPost()
    stream = io.BytesIO()
    builder.font.save(stream)
    return stream.getvalue()


def make_nested_font(depth: int = 20) -> bytes:
    """An A that is two of a glyph that is two of a glyph ... twenty deep."""
    font = TTFont(io.BytesIO(make_plain_font()))
    below = "u0042"
    for level in range(depth):
        pen = TTGlyphPen({below: None})
        for _ in range(2):
            pen.addComponent(below, (1, 0, 0, 1, 0, 0))
        name = f"nest{level}" if level < depth - 1 else "u0041"
        if name not in font.getGlyphOrder():
            font.setGlyphOrder([*font.getGlyphOrder(), name])
        glyph = pen.glyph()
        font["glyf"].glyphs[name] = glyph
        font["glyf"].glyphOrder = font.getGlyphOrder()
        font["hmtx"][name] = (600, 50)
        below = name
    font.recalcBBoxes = False
    stream = io.BytesIO()
    for name in font.getGlyphOrder():
        glyph = font["glyf"].glyphs[name]
        if glyph.isComposite():
            glyph.xMin = glyph.yMin = 0
            glyph.xMax = glyph.yMax = 500
    font["maxp"].recalc = lambda _: None  # counting what it is made of would take for ever
    font.save(stream)
    return stream.getvalue()


def replace_table(data: bytes, tag: bytes, body: bytes) -> bytes:
    """The font with one table's bytes exchanged."""
    (count,) = struct.unpack_from(">H", data, 4)
    tables: list[tuple[bytes, bytes]] = []
    for index in range(count):
        own, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        tables.append((own, body if own == tag else data[offset : offset + length]))
    if tag not in dict(tables):
        tables.append((tag, body))
    return join_tables(data[:4], tables)


def join_tables(kind: bytes, tables: list[tuple[bytes, bytes]]) -> bytes:
    head, body = kind + struct.pack(">4H", len(tables), 16, 0, 0), b""
    start = 12 + 16 * len(tables)
    for tag, own in sorted(tables):
        padded = own + b"\0" * (-len(own) % 4)
        words = struct.unpack(f">{len(padded) // 4}L", padded)
        head += struct.pack(">4sLLL", tag, sum(words) & 0xFFFFFFFF, start + len(body), len(own))
        body += padded
    return head + body


def make_many_names() -> bytes:
    """65,535 names, each the same 64 kB in another language: 4.3 GB when they are read."""
    records = b"".join(
        struct.pack(">6H", 3, 1, n & 0xFFFF, n % 20, 65_534, 0) for n in range(65_535)
    )
    body = struct.pack(">3H", 0, 65_535, 65_535) + records
    body = struct.pack(">3H", 0, 65_535, 0) + records  # the texts are the records themselves
    return replace_table(make_plain_font(), b"name", body)


def make_odd_axes(version: int = 9) -> bytes:
    """An fvar table of a version that is none."""
    axis = struct.pack(">4s3l2H", b"wght", 100 << 16, 400 << 16, 900 << 16, 0, 256)
    body = struct.pack(">8H", version, 0, 16, 2, 1, 20, 0, 8) + axis
    return replace_table(make_plain_font(), b"fvar", body)


FONTS = {
    "composites twenty deep": make_nested_font,
    "65,535 names": make_many_names,
    "axes of no version": make_odd_axes,
}


# -- drawings and pictures -------------------------------------------------------------------------


def make_svg(inside: str) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 99 99">{inside}</svg>'.encode()


DRAWINGS = {
    "transform of one long word": lambda: make_svg(
        f'<path d="M0 0H9V9Z" transform="{"a" * 60_000}"/>'
    ),
    "transform of brackets": lambda: make_svg(
        f'<path d="M0 0H9V9Z" transform="{"rotate(" * 10_000}"/>'
    ),
    "transform of blanks": lambda: make_svg(
        f'<path d="M0 0H9V9Z" transform="rotate{" " * 60_000}"/>'
    ),
    "path of 800,000 lines": lambda: make_svg(f'<path d="M0 0{"h1v1" * 400_000}z"/>'),
    "800,000 points": lambda: make_svg(f'<polygon points="{"1 2 " * 800_000}"/>'),
    "white over black by the thousand": lambda: make_svg(
        "".join(
            f'<circle cx="{n % 97}" cy="{n % 89}" r="{n % 50 + 1}" '
            f'fill="{("white", "black")[n % 2]}"/>'
            for n in range(1_999)
        )
    ),
    "style of comments": lambda: make_svg(f'<path d="M0 0H9V9Z" style="{"/*" * 100_000}"/>'),
    "opacity of digits": lambda: make_svg(f'<path d="M0 0H9V9Z" opacity="{"1" * 200_000}x"/>'),
    "many groups": lambda: make_svg("<g>" * 30_000 + '<path d="M0 0H9V9Z"/>' + "</g>" * 30_000),
}


def make_chunk(tag: bytes, body: bytes) -> bytes:
    return struct.pack(">L", len(body)) + tag + body + struct.pack(">L", zlib.crc32(tag + body))


def make_large_png(side: int, colour: int = 6, depth: int = 8) -> bytes:
    """A picture of one tone, so many pixels a side, out of a few kilobytes."""
    bits = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour] * depth
    packer = zlib.compressobj(9, wbits=-15)
    rows = (b"\0" + b"\x20" * ((side * bits + 7) // 8)) * (side // 10)
    # After a full flush the same bytes pack the same rows again (RFC 1950 and 1951).
    packed = packer.compress(rows) + packer.flush(zlib.Z_FULL_FLUSH)
    check = 1
    for _ in range(10):
        check = zlib.adler32(rows, check)
    body = b"\x78\xda" + packed * 10 + packer.flush() + struct.pack(">L", check)
    head = struct.pack(">LLBBBBB", side, side, depth, colour, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", body), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(make_chunk(tag, own) for tag, own in chunks)


def make_jpeg(side: int) -> bytes:
    stream = io.BytesIO()
    Image.new("L", (side, side), 60).save(stream, "JPEG", progressive=True, quality=30)
    return stream.getvalue()


PICTURES = {
    "7,700 pixels squared": lambda: make_large_png(7_700),
    "5,000 pixels squared, 16 bits": lambda: make_large_png(5_000, 6, 16),
    "5,000 pixels squared, 16 bits of grey": lambda: make_large_png(5_000, 0, 16),
    "4,900 pixels squared": lambda: make_large_png(4_900),
    "progressive JPEG of 4,900 pixels squared": lambda: make_jpeg(4_900),
}


# -- lists -----------------------------------------------------------------------------------------

LISTS = {
    "300,000 columns": lambda: b"name" + b",x" * 300_000 + b"\nAna" + b",y" * 300_000,
    "300,000 columns below the heading": lambda: b"name,table\nAna" + b",y" * 300_000,
    "2,000,000 guests": lambda: b"".join(b"G%d\n" % n for n in range(2_000_000)),
    "one line of 300,000 names": lambda: ", ".join(f"Ana {n}" for n in range(300_000)).encode(),
    "one name of 10 MB": lambda: b"A" * 10_000_000,
    "brackets": lambda: b"(" * 5_000_000,
}
