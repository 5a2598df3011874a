"""Font files: where families are installed, what a file is, and whether it may be embedded."""

from __future__ import annotations

import importlib.util
import io
import logging
import pkgutil
import re
import struct
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from difflib import get_close_matches
from functools import lru_cache
from mmap import ACCESS_READ, mmap
from pathlib import Path
from typing import Any

from labelkit.common.errors import FaceError, describe_os_error, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Number, Said, Verbatim

# fontTools warns of oddities in fonts on standard error; what matters of them is a FaceError here.
logging.getLogger("fontTools").addHandler(logging.NullHandler())

PACKAGE_PREFIX = "fontpkg_"
MAX_POINTS = 20_000
"""Of one glyph with all its parts; the finest display faces have a tenth of it."""
MAX_PART_DEPTH = 8
"""Parts within parts; fonts have two or three."""
MAX_NAMES = 4_000
"""Records of a name table; fonts of many languages have hundreds."""
MAX_FONT_BYTES = 50_000_000
"""The largest text families are a tenth of this."""

WIDTH_PERCENT = {
    1: 50.0,
    2: 62.5,
    3: 75.0,
    4: 87.5,
    5: 100.0,
    6: 112.5,
    7: 125.0,
    8: 150.0,
    9: 200.0,
}
"""OS/2 usWidthClass as per cent of normal (OpenType specification, OS/2 table; from memory)."""

SIBLINGS = {
    "-extra-condensed": 62.5, "-condensed": 75.0, "-narrow": 75.0, "-semi-condensed": 87.5,
}  # fmt: skip
"""Families whose narrower widths are packages of their own, and the width their name promises."""

_TRUETYPE = (b"\x00\x01\x00\x00", b"true")
_OTHER_KINDS = {
    b"OTTO": Said("has PostScript (CFF) outlines"),
    b"ttcf": Said("is a collection of several fonts"),
    b"wOFF": Said("is a web font (WOFF)"),
    b"wOF2": Said("is a web font (WOFF2)"),
}
_READ_TABLES = ("head", "hhea", "hmtx", "maxp", "cmap", "loca", "glyf", "OS/2")
_NEEDED_TABLES = (*_READ_TABLES, "name", "post")


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis of a variable font, in the axis's own units."""

    tag: str
    least: float
    default: float
    most: float

    def nearest(self, value: float) -> float:
        return min(max(value, self.least), self.most)


@dataclass(frozen=True, slots=True)
class FontFile:
    """One installed font file: a single style, or a variable font with its axes."""

    path: Path
    weight: int
    """OS/2 weight class of the file as it stands."""
    width: float
    """Per cent of normal."""
    italic: bool
    axes: tuple[Axis, ...] = ()

    def axis(self, tag: str) -> Axis | None:
        return next((axis for axis in self.axes if axis.tag == tag), None)


def make_family_key(family: str) -> str:
    """The short name of a family: ``"Fira Sans"`` is ``"fira-sans"``."""
    return re.sub(r"[\s_]+", "-", family.strip().lower())


def list_installed_families() -> list[str]:
    """Short names of every family package that can be imported, sorted."""
    return sorted(
        module.name.removeprefix(PACKAGE_PREFIX).replace("_", "-")
        for module in pkgutil.iter_modules()
        if module.name.startswith(PACKAGE_PREFIX)
    )


@lru_cache(maxsize=64)
def list_family_files(family: str) -> tuple[FontFile, ...]:
    """The font files of an installed family, by path; FaceError naming what is installed."""
    folder = _find_package_folder(family)
    if folder is None:
        known = FactList(list_installed_families()) or Said("none")
        near = get_close_matches(family.casefold(), list_installed_families(), n=1)
        hint = Said("did you mean {near}? ", near=Verbatim(near[0])) if near else NOTHING
        raise FaceError(
            Said(
                "typeface {family} is not installed; {hint}installed families: {known}",
                family=Verbatim(family),
                hint=hint,
                known=known,
            )
        )
    files = tuple(read_font_file(path) for path in sorted(folder.glob("*.ttf")))
    if not files:
        raise FaceError(
            Said("typeface {family}: its package holds no TrueType files", family=Verbatim(family))
        )
    return files


def _find_package_folder(family: str) -> Path | None:
    folder = find_package_folder(PACKAGE_PREFIX + family.replace("-", "_"))
    return folder and folder / "files"


def find_package_folder(name: str) -> Path | None:
    """Where an installed package lies; None where there is none of this name."""
    if not re.fullmatch(r"[a-z0-9_]+", name):
        return None
    spec = importlib.util.find_spec(name)  # finds the package without running it
    if spec is None or spec.origin is None:
        return None
    return Path(spec.origin).parent


def list_sibling_files(family: str) -> tuple[FontFile, ...]:
    """The files of a family's narrower sister packages, each with the width it really has."""
    found: list[FontFile] = []
    for suffix, promised in SIBLINGS.items():
        if _find_package_folder(family + suffix) is None:
            continue
        for file in list_family_files(family + suffix):
            width = file.width if file.width < 100 else promised
            found.append(FontFile(file.path, file.weight, width, file.italic, file.axes))
    return tuple(found)


def read_font_file(path: Path) -> FontFile:
    """Weight, width, slope and axes as the file itself states them; FaceError if unreadable.

    Every style of a family is looked at before one is opened, so only these figures are read
    (OpenType specification, OS/2 and fvar tables; from memory).
    """
    with (
        guard_font_reading(path),
        path.open("rb") as stream,
        mmap(stream.fileno(), 0, access=ACCESS_READ) as data,
    ):
        return parse_font_file(data, path)


def parse_font_file(data: bytes | mmap, path: Path) -> FontFile:
    """The same of the bytes of a file."""
    with guard_font_reading(path):
        os2 = find_table(data, b"OS/2")
        weight, width_class = struct.unpack_from(">HH", os2, 4)
        (selection,) = struct.unpack_from(">H", os2, 62)
        return FontFile(
            path,
            weight,
            WIDTH_PERCENT.get(width_class, 100.0),
            bool(selection & 1),
            tuple(_parse_axes(find_table(data, b"fvar"))),
        )


def _parse_axes(fvar: bytes) -> Iterator[Axis]:
    if not fvar:
        return
    version, start, _, count, size = struct.unpack_from(">L4H", fvar)
    if version != 0x00010000:
        raise ValueError("fvar")
    for place in range(start, start + count * size, size):
        tag, *values = struct.unpack_from(">4s3l", fvar, place)
        yield Axis(tag.decode("latin-1"), *(value / 65536 for value in values))


def find_table(data: bytes | mmap, wanted: bytes) -> bytes:
    """One table of a whole TrueType file; empty where it has none of that name."""
    (count,) = struct.unpack_from(">H", data, 4)
    for index in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        if tag == wanted:
            return data[offset : offset + length]
    return b""


def read_font(path: Path) -> bytes:
    """The bytes of a complete TrueType file; FaceError when missing, cut short or another kind."""
    shown = format_path(path)
    try:
        if not path.is_file():
            raise FaceError(Said("{shown}: no such font file", shown=shown))
        if path.stat().st_size > MAX_FONT_BYTES:
            raise FaceError(
                Said(
                    "{shown}: is over {most} bytes; expected a font",
                    shown=shown,
                    most=Number(MAX_FONT_BYTES),
                )
            )
        data = path.read_bytes()
    except OSError as error:
        reason = describe_os_error(error)
        raise FaceError(
            Said("{shown}: cannot be read: {reason}", shown=shown, reason=reason)
        ) from error
    if data[:4] in _OTHER_KINDS:
        kind = _OTHER_KINDS[data[:4]]
        raise FaceError(
            Said("{shown}: {kind}; expected a single TrueType font (.ttf)", shown=shown, kind=kind)
        )
    if data[:4] not in _TRUETYPE:
        raise FaceError(Said("{shown}: is not a TrueType font (.ttf)", shown=shown))
    if not _has_complete_tables(data):
        raise FaceError(
            Said("{shown}: is cut short or damaged; copy the font file again", shown=shown)
        )
    return data


def _has_complete_tables(data: bytes) -> bool:
    """Whether every table the file announces lies inside it, and none that is needed is missing."""
    if len(data) < 12:
        return False
    (count,) = struct.unpack(">H", data[4:6])
    if len(data) < 12 + 16 * count:
        return False
    tables: set[str] = set()
    for index in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        if offset + length > len(data):
            return False
        tables.add(tag.decode("latin-1"))
    return tables.issuperset(_NEEDED_TABLES)


@lru_cache(maxsize=16)
def open_font(data: bytes, path: Path, tables: tuple[str, ...] = _READ_TABLES) -> Any:
    """A fontTools font whose ``tables`` have been read; FaceError when they make no sense.

    It is to be read only: whoever opens the same font again is given the same one.
    """
    from fontTools.ttLib import TTFont

    with guard_font_reading(path):
        font = TTFont(io.BytesIO(data), lazy=True, recalcTimestamp=False)
        if "cmap" in tables:
            # Numbers for names: the font's own say nothing here, and take long to read.
            font.setGlyphOrder([f"glyph{n}" for n in range(font["maxp"].numGlyphs)])
        for tag in tables:
            font[tag]
        # OpenType specification, head table: 16 to 16384 (from memory).
        if "head" in tables and not 16 <= font["head"].unitsPerEm <= 16384:
            raise ValueError("units per em")
    return font


def read_stated_name(table: bytes, number: int) -> str:
    """What a font calls itself under a number of its name table; empty where nothing.

    The English name for Windows goes first, then the English one for old Macs, then any. fontTools
    reads the table only after loading all there is to fonts, which takes longer than a panel to
    compose. OpenType specification, name table (from memory).
    """
    check_name_count(table)
    _, count, start = struct.unpack_from(">3H", table)
    found: dict[tuple[int, int], str] = {}
    for index in range(count):
        platform, encoding, language, own, length, offset = struct.unpack_from(
            ">6H", table, 6 + 12 * index
        )
        text = table[start + offset : start + offset + length]
        if own != number or len(text) < length:
            continue
        with suppress(UnicodeDecodeError):
            found.setdefault(
                (platform, language), text.decode(_find_name_encoding(platform, encoding))
            )
    windows, mac = found.get((3, 0x409), ""), found.get((1, 0), "")
    return windows or mac or next(reversed(found.values()), "")


def check_name_count(table: bytes) -> None:
    """ValueError for so many names in a name table that reading them would take gigabytes."""
    (count,) = struct.unpack_from(">H", table, 2)
    if count > MAX_NAMES:
        raise ValueError("names")


def _find_name_encoding(platform: int, encoding: int) -> str:
    if platform in (0, 3):
        return "utf-16-be"
    return "mac-roman" if (platform, encoding) == (1, 0) else "ascii"


def has_sound_kerning(font: Any) -> bool:
    """Whether the table that a fontTools font is kerned by is as its maker wrote it.

    That is GPOS, or else kern; the file gives a checksum of each of its tables (OpenType
    specification, table directory; from memory). A font without kerning adds up.
    """
    from fontTools.ttLib.sfnt import calcChecksum

    tag = next((tag for tag in ("GPOS", "kern") if tag in font), None)
    if tag is None:
        return True
    return bool(calcChecksum(font.reader[tag]) == font.reader.tables[tag].checkSum)


@contextmanager
def guard_font_reading(path: Path) -> Iterator[None]:
    """Turns whatever goes wrong inside a font program, but for want of memory, into one FaceError.

    A damaged font makes the parser fail in any way there is (struct.error, AssertionError,
    IndexError ...); all of them mean the same to a maker.
    """
    try:
        yield
    except (FaceError, MemoryError):
        raise
    except Exception as error:
        shown = format_path(path)
        raise FaceError(
            Said("{shown}: is not a readable TrueType font; copy it again", shown=shown)
        ) from error


def check_glyph_parts(data: bytes, path: Path) -> None:
    """FaceError for a glyph made of parts of parts of parts, which would be drawn for hours.

    Each part is counted as often as it is drawn (OpenType specification, glyf table, composite
    glyphs; from memory).
    """
    font = open_font(data, path)
    with guard_font_reading(path):
        glyf, order = font["glyf"], font.getGlyphOrder()
        points: dict[str, int] = {}

        def count(name: str, depth: int) -> int:
            if name not in points:
                glyph = glyf[name]
                if depth > MAX_PART_DEPTH:
                    points[name] = MAX_POINTS + 1
                elif glyph.isComposite():
                    points[name] = sum(count(p.glyphName, depth + 1) for p in glyph.components)
                else:
                    points[name] = 0 if not glyph.numberOfContours else len(glyph.coordinates)
            return points[name]

        most = max((count(name, 0) for name in order), default=0)
    if most > MAX_POINTS:
        shown = format_path(path)
        raise FaceError(
            Said(
                "{shown}: has a glyph of over {most} points; use another font",
                shown=shown,
                most=Number(MAX_POINTS),
            )
        )


def check_embedding(font: Any, path: Path) -> None:
    """FaceError when the font's licence bits forbid embedding a subset of it in a PDF.

    OpenType specification, OS/2 table, fsType (from memory): bit 1 restricted licence embedding,
    bits 2 and 3 preview-and-print and editable, bit 8 no subsetting, bit 9 bitmaps only; where
    several of bits 1 to 3 are set the least restrictive holds.
    """
    bits = int(font["OS/2"].fsType)
    shown = format_path(path)
    if bits & 0x000E == 0x0002:
        raise FaceError(
            Said(
                "{shown}: its maker forbids embedding (fsType {bits}); use another font",
                shown=shown,
                bits=bits,
            )
        )
    if bits & 0x0100:
        raise FaceError(
            Said(
                "{shown}: its maker forbids subsetting (fsType {bits}); use another font",
                shown=shown,
                bits=bits,
            )
        )
    if bits & 0x0200:
        raise FaceError(
            Said(
                "{shown}: only bitmaps may be embedded (fsType {bits}); use another font",
                shown=shown,
                bits=bits,
            )
        )
