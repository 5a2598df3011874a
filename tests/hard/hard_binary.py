"""Hostile fonts, pictures, drawings and PDFs: built from nothing, or spoilt copies of good ones."""

from __future__ import annotations

import importlib.util
import io
import struct
import zlib
from functools import lru_cache
from pathlib import Path

from hypothesis import strategies as st

# -- any file --------------------------------------------------------------------------------------


@st.composite
def spoilt(draw: st.DrawFn, data: bytes) -> tuple[bytes, str]:
    """A file cut short, with bytes changed, doubled, left out or put in."""
    act = draw(st.sampled_from(("cut", "bytes", "bytes", "zeros", "double", "insert", "swap")))
    at = draw(st.integers(0, max(0, len(data) - 1)))
    if act == "cut":
        return data[:at], f"cut after {at} bytes"
    if act == "bytes":
        made = bytearray(data)
        places = draw(st.lists(st.integers(0, max(0, len(data) - 1)), min_size=1, max_size=30))
        for place in places:
            if made:
                made[place] = draw(st.sampled_from((0, 1, 0x7F, 0x80, 0xFF, 0x20, 0x3E, 0x2F)))
        return bytes(made), f"bytes changed at {places[:4]}"
    length = draw(st.sampled_from((1, 4, 64, 4096)))
    if act == "zeros":
        return data[:at] + bytes(length) + data[at + length :], f"{length} zeros at {at}"
    if act == "double":
        return data[:at] + data[at : at + length] + data[at:], f"{length} bytes doubled at {at}"
    if act == "insert":
        return data[:at] + b"\xff" * length + data[at:], f"{length} bytes put in at {at}"
    return data[at:] + data[:at], f"turned round at {at}"


@lru_cache(maxsize=4)
def packed_zeros(size: int) -> bytes:
    """So many zeros as zlib packs them: one packed million again and again (RFC 1950, RFC 1951)."""
    compressor = zlib.compressobj(9)
    start = compressor.compress(b"") + compressor.flush(zlib.Z_FULL_FLUSH)
    block = compressor.compress(bytes(1_000_000)) + compressor.flush(zlib.Z_FULL_FLUSH)
    count, rest = divmod(size, 1_000_000)
    assert rest == 0
    checksum = 1
    for _ in range(count):
        checksum = zlib.adler32(bytes(1_000_000), checksum)
    return start + block * count + b"\x03\x00" + struct.pack(">L", checksum)


# -- fonts -----------------------------------------------------------------------------------------


@lru_cache(maxsize=4)
def font(family: str = "great_vibes") -> bytes:
    """The bytes of an installed typeface."""
    spec = importlib.util.find_spec(f"fontpkg_{family}")
    assert spec is not None and spec.origin is not None
    return sorted((Path(spec.origin).parent / "files").glob("*.ttf"))[0].read_bytes()


def font_table(data: bytes, tag: bytes) -> tuple[int, int, int]:
    """Where a table's entry stands in the directory, and the table's offset and length."""
    (count,) = struct.unpack_from(">H", data, 4)
    for number in range(count):
        entry = 12 + 16 * number
        found, _, offset, length = struct.unpack_from(">4sLLL", data, entry)
        if found == tag:
            return entry, offset, length
    raise LookupError(tag)


def with_embedding_bits(data: bytes, bits: int) -> bytes:
    """The font with another fsType (OpenType specification, OS/2 table: at byte 8)."""
    _, offset, _ = font_table(data, b"OS/2")
    return data[: offset + 8] + struct.pack(">H", bits) + data[offset + 10 :]


def with_blank_letters(data: bytes, letters: str) -> bytes:
    """The font with a width and no outline for some letters, as trial versions have them."""
    from fontTools.ttLib import TTFont
    from fontTools.ttLib.tables._g_l_y_f import Glyph

    made, stream = TTFont(io.BytesIO(data)), io.BytesIO()
    for letter in letters:
        made["glyf"][made.getBestCmap()[ord(letter)]] = Glyph()
    made.save(stream)
    return stream.getvalue()


TABLES = (
    b"head", b"hhea", b"hmtx", b"maxp", b"cmap", b"loca", b"glyf", b"name", b"post", b"OS/2",
    b"GPOS",
    b"GSUB", b"GDEF",
)  # fmt: skip


@st.composite
def fonts(draw: st.DrawFn) -> tuple[bytes, str]:
    """A typeface that is broken, forbidden, or says absurd things of itself."""
    data = font()
    act = draw(st.sampled_from(("spoil", "table", "table", "entry", "bits", "numbers", "kind")))
    if act == "spoil":
        return draw(spoilt(data))
    if act == "bits":
        bits = draw(st.sampled_from((0x0002, 0x0100, 0x0200, 0x0302, 0xFFFF, 0x0004, 0x0008)))
        return with_embedding_bits(data, bits), f"fsType {bits:#06x}"
    if act == "kind":
        head = draw(st.sampled_from((b"OTTO", b"ttcf", b"wOF2", b"wOFF", b"true", b"", b"\0" * 4)))
        return head + data[len(head) :], f"starts with {head!r}"
    tag = draw(st.sampled_from(TABLES))
    entry, offset, length = font_table(data, tag)
    if act == "entry":
        field = draw(st.sampled_from((0, 8, 12)))
        value = draw(st.sampled_from((0, 1, 0xFFFF, 0x7FFFFFFF, 0xFFFFFFFF, len(data))))
        made = data[: entry + field] + struct.pack(">L", value) + data[entry + field + 4 :]
        return made, f"{tag!r} directory field {field} = {value:#x}"
    at = offset + draw(st.integers(0, max(0, length - 2)))
    if act == "numbers":
        value = draw(st.sampled_from((0, 1, 0x7FFF, 0x8000, 0xFFFF, 0xFFFE)))
        return data[:at] + struct.pack(">H", value) + data[
            at + 2 :
        ], f"{tag!r} {at - offset}={value}"
    filler = draw(st.sampled_from((b"\0", b"\xff", b"\x7f")))
    end = offset + length
    return data[:at] + filler * (end - at) + data[end:], f"{tag!r} {filler!r} from {at - offset}"


# -- pictures --------------------------------------------------------------------------------------


def png(width: int, height: int, raw: bytes | None = None, colour: int = 2, bits: int = 8) -> bytes:
    """A PNG that says it is so large; ``raw`` are its scan lines (a good small picture if None)."""
    if raw is None:
        raw = b"".join(b"\0" + b"\x33\x66\x99" * width for _ in range(height))
    header = struct.pack(">LLBBBBB", width, height, bits, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        chunk(tag, data)
        for tag, data in ((b"IHDR", header), (b"IDAT", zlib.compress(raw, 9)), (b"IEND", b""))
    )


def chunk(tag: bytes, data: bytes) -> bytes:
    return struct.pack(">L", len(data)) + tag + data + struct.pack(">L", zlib.crc32(tag + data))


@lru_cache(maxsize=2)
def png_bomb() -> bytes:
    """A picture of a megabyte that unfolds to 20000 x 20000 dots of three bytes."""
    header = struct.pack(">LLBBBBB", 20_000, 20_000, 8, 2, 0, 0, 0)
    data = packed_zeros(1_201_000_000)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        chunk(tag, value) for tag, value in ((b"IHDR", header), (b"IDAT", data), (b"IEND", b""))
    )


@lru_cache(maxsize=2)
def png_text_bomb() -> bytes:
    """A small picture with a compressed comment of over a gigabyte."""
    good = png(8, 8)
    return good[:33] + chunk(b"zTXt", b"Comment\0\0" + packed_zeros(1_201_000_000)) + good[33:]


@lru_cache(maxsize=2)
def jpeg() -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (64, 48), "#336699").save(stream, "JPEG")
    return stream.getvalue()


@st.composite
def pictures(draw: st.DrawFn) -> tuple[bytes, str]:
    act = draw(st.sampled_from(("spoil", "spoil", "size", "bomb", "text", "kind", "thin", "cmyk")))
    if act == "bomb":
        return png_bomb(), "decompression bomb"
    if act == "text":
        return png_text_bomb(), "comment of a gigabyte"
    if act == "size":
        sides = st.sampled_from((0, 1, 7_000, 60_000, 2**31 - 1))
        width, height = draw(sides), draw(sides)
        return png(width, height, b"\0\0\0"), f"{width} x {height} dots"
    if act == "thin":
        width, height = draw(st.sampled_from(((1, 4000), (4000, 1), (1, 1))))
        return png(width, height), f"{width} x {height} dots"
    if act == "kind":
        colour = draw(st.sampled_from((0, 2, 3, 4, 6, 1, 99)))
        bits = draw(st.sampled_from((1, 8, 16, 0, 255)))
        return png(20, 20, bytes(20 * 200), colour, bits), f"colour type {colour}, {bits} bits"
    if act == "cmyk":
        from PIL import Image

        stream = io.BytesIO()
        mode = draw(st.sampled_from(("CMYK", "L", "RGB")))
        Image.new(mode, (30, 20)).save(stream, "JPEG")
        return stream.getvalue(), f"JPEG {mode}"
    return draw(spoilt(draw(st.sampled_from((png(40, 30), jpeg())))))


# -- drawings --------------------------------------------------------------------------------------

_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">'
    '<g transform="translate(1 1)" fill="black"><path d="M0 0H10V10H0Z"/>'
    '<circle cx="20" cy="5" r="5"/><rect x="28" y="0" width="8" height="8" rx="1"/>'
    '<polygon points="0,12 5,18 10,12"/></g></svg>'
)
LAUGHS = (
    '<!DOCTYPE l [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;">]>'
)
REFERENCES = (
    "<script>alert(1)</script>",
    '<image href="file:///etc/hostname" width="1" height="1"/>',
    '<image xmlns:x="http://www.w3.org/1999/xlink" x:href="http://127.0.0.1:9/x.png"/>',
    '<use href="#a"/>',
    '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>',
    "<style>@import url(http://127.0.0.1:9/a.css);</style>",
    '<path d="M0 0H9V9Z" fill="url(#g)"/>',
    '<path d="M0 0H9V9Z" style="fill:url(http://127.0.0.1:9/g.svg#a)"/>',
    '<path d="M0 0H9V9Z" onload="alert(1)"/>',
    '<animate attributeName="d" href="#a"/>',
    '<text>Soap</text>',
    '<a href="http://127.0.0.1:9/"><path d="M0 0H9V9Z"/></a>',
)  # fmt: skip


def svg(inside: str, before: str = "", view: str = "0 0 40 20") -> bytes:
    start = f'{before}<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}">'
    return f"{start}{inside}</svg>".encode()


PATHS = (
    "M0 0L1e400 1", "M0 0 L nan nan", "M0 0Q", "M0 0A0 0 0 0 0 0 0", "M0 0A1e-9 1e9 0 1 1 5 5",
    "M0 0C1 2 3", "Z", "M", "L5 5", "M0 0H1V1Z" * 5_000, "m0 0l1 1-1 1z" * 200, "M0,0,0,0,0",
    "M1e308 1e308H-1e308V-1e308Z", "M0 0h.0000001v.0000001z", "M0 0a5 5 0 01.5.5z", "M0 0X5",
    "M 0 0 S 1 1 2 2 T 3 3 R 4 4", "é", "M0 0L" + "9" * 5_000 + " 1", "M-1-1-.5.5.5.5e1.1",
    "M0 0A 5 5 0 2 7 9 9", "", " ", "M0 0H10V10H0Z",
)  # fmt: skip


@st.composite
def drawings(draw: st.DrawFn) -> tuple[bytes, str]:
    act = draw(
        st.sampled_from(
            ("spoil", "refer", "entities", "path", "deep", "many", "transform", "numbers")
        )
    )
    shape = '<path d="M0 0H10V10H0Z"/>'
    if act == "refer":
        inside = draw(st.sampled_from(REFERENCES))
        return svg(shape + inside), inside[:40]
    if act == "entities":
        inside = draw(st.sampled_from(("&d;", "&x;", shape)))
        before = draw(
            st.sampled_from((LAUGHS, '<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
                             '<!doctype svg>', '<?xml version="1.0" encoding="utf-16"?>',
                             '<?xml-stylesheet href="http://127.0.0.1:9/x"?>', "\ufeff"))
        )  # fmt: skip
        return svg(f"<desc>{inside}</desc>{shape}", before), f"{before[:30]} {inside}"
    if act == "path":
        path = draw(st.sampled_from(PATHS))
        return svg(f'<path d="{path}"/>'), f"path {path[:40]!r}"
    if act == "deep":
        depth = draw(st.sampled_from((10, 41, 1_000, 200_000)))
        return svg("<g>" * depth + shape + "</g>" * depth), f"{depth} groups deep"
    if act == "many":
        count = draw(st.sampled_from((300, 2_001, 50_000)))
        return svg(shape * count), f"{count} shapes"
    if act == "transform":
        text = draw(
            st.sampled_from(("scale(0)", "matrix(0 0 0 0 0 0)", "rotate(1e308)", "scale(1e300)",
                             "skewX(90)", "translate()", "matrix(1,2)", "scale(nan)", "rotate(",
                             "x",
                             "translate(1e308 1e308) translate(1e308 1e308)"))
        )  # fmt: skip
        return svg(f'<g transform="{text}">{shape}</g>'), f"transform {text}"
    if act == "numbers":
        number = draw(st.sampled_from(("nan", "inf", "-5", "1e400", "", "5%", "5em", "x", "0")))
        kind = draw(st.sampled_from(("circle", "rect", "ellipse", "polygon", "polyline")))
        attributes = f'cx="{number}" r="{number}" rx="{number}" ry="{number}" x="{number}" y="1"'
        sides = f'width="{number}" height="{number}" points="{number} {number} 1"'
        return svg(f"<{kind} {attributes} {sides}/>"), f"{kind} of {number!r}"
    return draw(spoilt(_SVG.encode()))


# -- PDF -------------------------------------------------------------------------------------------


def pdf(*objects: bytes, trailer: bytes = b"/Root 1 0 R") -> bytes:
    """A PDF of these numbered objects, with a right cross-reference table."""
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size %d %s >>\n" % (len(objects) + 1, trailer)
    return bytes(out) + b"startxref\n%d\n%%%%EOF\n" % start


def stream(data: bytes, extra: bytes = b"") -> bytes:
    return b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(data), extra, data)


CATALOG = b"<< /Type /Catalog /Pages 2 0 R >>"
PAGES = b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>"
PAGE = b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R /Resources %s >>"
PLACE = b"/LkPlace <</N 0 /Panel /front /Shape /rectangle /W 125 /H 79>> BDC %s EMC"


def one_page(content: bytes, resources: bytes = b"<< >>", *more: bytes) -> bytes:
    return pdf(CATALOG, PAGES, PAGE % resources, stream(content), *more)


@lru_cache(maxsize=4)
def flate_bomb() -> bytes:
    """A page whose megabyte of content unfolds to over a gigabyte."""
    content = stream(packed_zeros(1_201_000_000), b"/Filter /FlateDecode")
    return pdf(CATALOG, PAGES, PAGE % b"<< >>", content)


@lru_cache(maxsize=4)
def twice_flate_bomb() -> bytes:
    """The same, packed again: a few kilobytes."""
    data = zlib.compress(packed_zeros(1_201_000_000), 9)
    content = stream(data, b"/Filter [/FlateDecode /FlateDecode]")
    return pdf(CATALOG, PAGES, PAGE % b"<< >>", content)


FONT = b"<< /Font << /F1 << /Type /Font /Subtype /%s %s >> >> >>"
CONTENTS = (
    b"", b"q " * 50_000, b"Q " * 50, b"BT ET", b"BT /F1 1e400 Tf (x) Tj ET",
    b"BT /F1 nan Tf (x) Tj ET",
    b"/LkPlace BMC", b"EMC " * 100, b"/LkPlace << /N (x) >> BDC EMC",
    b"/LkPlace << /N 1e30 /W (x) /H [] >> BDC EMC", b"/LkPlace /Missing BDC EMC",
    b"1 0 0 1 0 cm", b"(x) cm", b"0 0 0 0 0 0 cm " + PLACE % b"BT /F1 9 Tf (x) Tj ET",
    PLACE % b"/LkRun <</E /names /ActualText <feff0041>>> BDC BT /F1 9 Tf (A) Tj ET EMC",
    PLACE % b"/LkRun <</E (x) /Lang 7 /ActualText [1]>> BDC BT /F1 9 Tf (A) Tj ET EMC",
    PLACE % b"/F Do", b"/F Do", b"BI /W 99999999 /H 99999999 ID xxxx EI", b"BI ID",
    b"[(a) -1e308 (b) 1e308] TJ", b"BT /F1 9 Tf [(a) /x << >> null true] TJ ET",
    b"<" + b"41" * 50_000,
    b"(" * 5_000, b"<<" * 5_000, b"[" * 5_000, b"\xff" * 5_000, b"%" * 5_000,
    b"BT /F1 9 Tf " + b"(A) Tj " * 20_000 + b"ET",
)  # fmt: skip
RESOURCES = (
    b"<< >>", b"null", b"[]", b"9 0 R", b"<< /Font 7 >>", b"<< /XObject << /F 5 0 R >> >>",
    b"<< /XObject 5 0 R >>", FONT % (b"Type0", b""), FONT % (b"Type0", b"/DescendantFonts []"),
    FONT % (b"TrueType", b"/FirstChar (x) /Widths 9"), FONT % (b"TrueType",
    b"/FontDescriptor 5 0 R"),
    FONT % (b"Type1", b"/BaseFont 17 /ToUnicode 5 0 R"), FONT % (b"Type3", b"/CharProcs 4 0 R"),
    b"<< /Properties 3 0 R >>",
)  # fmt: skip
FIFTH = (
    b"null", b"<< >>", b"5 0 R", stream(b"/F Do", b"/Type /XObject /Subtype /Form /BBox [0 0 1 1]"),
    stream(b"/F Do /F Do", b"/Subtype /Form /Resources << /XObject << /F 5 0 R >> >>"),
    stream(b"x", b"/Subtype /Form /Matrix [1 2]"), stream(b"x", b"/Subtype /Form /Matrix (x)"),
    b"<< /FontFile2 4 0 R /MissingWidth (x) >>",
    stream(b"1 beginbfrange <0000> <ffffffff> <0041> endbfrange"),
    stream(b"1 beginbfchar <41> <d83dd8> endbfchar <zz>"),
)  # fmt: skip
TREES = (
    (CATALOG, b"<< /Type /Pages /Kids [2 0 R] /Count 1 >>"),
    (CATALOG, b"<< /Type /Pages /Kids [2 0 R 2 0 R] /Count 99999999 >>"),
    (CATALOG, b"<< /Type /Pages /Count -5 >>"),
    (CATALOG, b"<< /Type /Pages /Kids 7 >>"),
    (CATALOG, b"2 0 R"),
    (CATALOG, b"<< /Type /Pages /Kids [" + b"3 0 R " * 20_000 + b"] >>", PAGE % b"<< >>",
    stream(b"")),
    (b"<< /Type /Catalog >>",),
    (b"null",),
    (b"1 0 R",),
    (b"[" * 3_000 + b"]" * 3_000,),
    (b"<< /A " * 2_000 + b">>" * 2_000,),
)  # fmt: skip


@st.composite
def pdfs(draw: st.DrawFn, good: bytes) -> tuple[bytes, str]:
    """A spoilt sheet of labelkit's own, or a PDF made to mislead its reader."""
    act = draw(
        st.sampled_from(("spoil", "spoil", "spoil", "page", "page", "tree", "trailer", "bomb"))
    )
    if act == "page":
        content = draw(st.sampled_from(CONTENTS))
        resources = draw(st.sampled_from(RESOURCES))
        fifth = draw(st.sampled_from(FIFTH))
        return one_page(
            content, resources, fifth
        ), f"{content[:40]!r} {resources[:40]!r} {fifth[:40]!r}"
    if act == "tree":
        objects = draw(st.sampled_from(TREES))
        return pdf(*objects), f"page tree {objects[-1][:50]!r}"
    if act == "trailer":
        trailer = draw(
            st.sampled_from((b"", b"/Root 99 0 R", b"/Root 1 0 R /Prev 9",
            b"/Root 1 0 R /Encrypt 2 0 R",
                             b"/Root 1 0 R /Size -1", b"/Root (x)", b"/Root 1 0 R /Prev 0"))
        )  # fmt: skip
        return pdf(CATALOG, PAGES, PAGE % b"<< >>", stream(b""), trailer=trailer), f"{trailer!r}"
    if act == "bomb":
        which = draw(st.sampled_from(("once", "twice", "empty", "head")))
        made = {
            "once": flate_bomb, "twice": twice_flate_bomb, "empty": lambda: b"",
            "head": lambda: b"%PDF-1.7\n",
        }[which]()  # fmt: skip
        return made, f"flate bomb, {which}"
    return draw(spoilt(good))
