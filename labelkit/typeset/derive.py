"""Static fonts derived from installed ones: one instance of a variable font, real small capitals
or other figures given the plain code points, cached on disk.

HarfBuzz cuts the font down to the letters labels use and instances it, in a hundredth of the time
that fontTools takes: the first label of a new maker waits for every face there is to be tried. The
result depends on nothing but the source file and the wish, so two machines make the same bytes.
"""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from labelkit.common.errors import FaceError, describe_os_error, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.kept import (
    find_kept_file,
    find_temporary_folder,
    keep_file,
    list_kept_folders,
    make_stem,
)
from labelkit.common.messages import Said
from labelkit.typeset.fontfiles import guard_font_reading, has_sound_kerning
from labelkit.typeset.scripts import needs_shaping

RECIPE = "4"
"""Counts up when derived fonts must be made anew."""

DAMAGED_KERNING = "-damaged-kerning"
"""Ends the name of a font in the cache whose source's kerning is not as its maker wrote it."""

FIGURES = "0123456789"
_POSITIONING = ("kern", "mark", "mkmk")
_KEPT_TABLES = {
    "head", "hhea", "hmtx", "maxp", "cmap", "loca", "glyf", "name", "post", "OS/2",
    "GPOS", "GDEF", "kern",
    "fvar", "gvar", "avar", "HVAR", "MVAR",
}  # fmt: skip


@dataclass(frozen=True)
class FontDerivation:
    """What to make of a source font."""

    name: str
    """PostScript name of the result."""
    axes: tuple[tuple[str, float], ...] = ()
    """Where to pin each axis of a variable font."""
    features: tuple[str, ...] = ()
    """GSUB features whose glyphs take the place of the plain ones: "smcp", "lnum", "onum"."""


def keep_font(stem: str, make: Callable[[], tuple[bytes, bool]]) -> Path:
    """The path of the font kept under a name, which is made if it is not there whole.

    ``make`` gives the font and whether the kerning of its source is sound.
    """
    if found := find_kept_file(stem):
        return found[0]
    made, sound = make()
    ending = ".ttf" if sound else f"{DAMAGED_KERNING}.ttf"
    try:
        return keep_file(stem, ending, made)
    except OSError as error:
        raise FaceError(
            Said(
                "{target}: cannot be written: {reason}",
                target=format_path(find_temporary_folder()),
                reason=describe_os_error(error),
            )
        ) from error


def has_damaged_kerning(path: Path) -> bool:
    """Whether the font that this one was made of has kerning that nobody wrote so.

    HarfBuzz takes what makes sense of it and drops the rest. It is looked at once, when the font is
    made, and the name in the cache remembers it.
    """
    return path.stem.endswith(DAMAGED_KERNING) and path.parent in list_kept_folders()


def has_sound_font_kerning(data: bytes, source: Path) -> bool:
    from fontTools.ttLib import TTFont

    with guard_font_reading(source):
        return has_sound_kerning(TTFont(io.BytesIO(data), lazy=True))


def make_static_font(data: bytes, source: Path, wish: FontDerivation) -> bytes:
    """The bytes of the static font made from ``data`` as wished; FaceError when it cannot be."""
    from fontTools.ttLib import TTFont

    with guard_font_reading(source):
        font = TTFont(io.BytesIO(data), lazy=True)
        letters = _map_letters(font, data, wish.features)
        small = _make_instance(data, font, letters.values(), wish.axes)
        made = TTFont(io.BytesIO(small), lazy=True, recalcTimestamp=False, recalcBBoxes=False)
        _check_outlines(font, made, letters.values())
        if "fvar" in made:
            raise ValueError("axes that cannot be pinned")
        _set_letters(made, letters)
        _rename_font(made, wish.name)
        stream = io.BytesIO()
        made.save(stream)
    return stream.getvalue()


def find_substitutes(data: bytes, characters: str, features: tuple[str, ...]) -> dict[str, int]:
    """The glyph numbers that a font's GSUB features put in place of single characters."""
    import uharfbuzz as hb

    font = hb.Font(hb.Face(data))
    wanted = dict.fromkeys(features, True)
    plain = {"liga": False, "clig": False, "calt": False, "locl": False, "ccmp": False}
    found: dict[str, int] = {}
    for character in characters:
        nominal = font.get_nominal_glyph(ord(character))
        buffer = hb.Buffer()
        buffer.add_str(character)
        buffer.guess_segment_properties()
        hb.shape(font, buffer, plain | wanted)
        glyphs = [info.codepoint for info in buffer.glyph_infos]
        if len(glyphs) == 1 and glyphs[0] not in (0, nominal):
            found[character] = glyphs[0]
    return found


def _map_letters(font: Any, data: bytes, features: tuple[str, ...]) -> dict[int, int]:
    """The number of the glyph for every code point of the result."""
    plain = {
        code: int(font.getGlyphID(glyph))
        for code, glyph in font.getBestCmap().items()
        if code <= 0xFFFF and not needs_shaping(chr(code))
    }
    if not features:
        return plain
    swapped = find_substitutes(data, "".join(map(chr, plain)), features)
    letters = plain | {ord(c): glyph for c, glyph in swapped.items()}
    if "smcp" in features:
        # A lower-case letter without a small capital would stand out: the face does not have it.
        for code in plain:
            if unicodedata.category(chr(code)) == "Ll" and chr(code) not in swapped:
                del letters[code]
    return letters


def _make_instance(
    data: bytes, font: Any, glyphs: Iterable[int], axes: Iterable[tuple[str, float]]
) -> bytes:
    """A static font of these glyphs. They keep their numbers, on which a kern table goes by."""
    import uharfbuzz as hb

    face, wanted = hb.Face(data), hb.SubsetInput()
    wanted.flags = (
        hb.SubsetFlags.NO_HINTING | hb.SubsetFlags.NOTDEF_OUTLINE | hb.SubsetFlags.RETAIN_GIDS
    )
    wanted.glyph_set.update({0, *glyphs})
    _replace_tags(wanted.layout_feature_tag_set, _POSITIONING)
    _replace_tags(wanted.drop_table_tag_set, font.reader.tables.keys() - _KEPT_TABLES)
    if "GPOS" not in font:
        wanted.no_subset_table_tag_set.add(_tag_number("kern"))
    else:
        wanted.drop_table_tag_set.add(_tag_number("kern"))
    for tag, value in axes:
        wanted.pin_axis_location(face, tag, value)
    return bytes(hb.SubsetPlan(face, wanted).execute().blob.data)


def _replace_tags(tags: Any, wanted: Iterable[str]) -> None:
    tags.clear()
    tags.update({_tag_number(tag) for tag in wanted})


def _tag_number(name: str) -> int:
    """HarfBuzz's number for a table's or feature's tag."""
    return int.from_bytes(name.encode("latin-1"), "big")


def _check_outlines(font: Any, made: Any, glyphs: Iterable[int]) -> None:
    """ValueError where a glyph has lost its outline: HarfBuzz leaves out what is damaged."""
    old, new = font["loca"], made["loca"]
    for glyph in glyphs:
        if old[glyph + 1] > old[glyph] and not new[glyph + 1] > new[glyph]:
            raise ValueError(f"outline of glyph {glyph}")


def _set_letters(font: Any, letters: Mapping[int, int]) -> None:
    """Makes these the only letters of a font."""
    from fontTools.ttLib import newTable
    from fontTools.ttLib.tables._c_m_a_p import CmapSubtable

    table = newTable("cmap")
    table.tableVersion = 0
    sub = CmapSubtable.newSubtable(4)
    sub.platformID, sub.platEncID, sub.language = 3, 1, 0
    sub.cmap = {code: font.getGlyphName(glyph) for code, glyph in letters.items()}
    table.tables = [sub]
    font["cmap"] = table


def _rename_font(font: Any, postscript: str) -> None:
    """Gives the derived font a name of its own, so that no reader takes it for its source.

    Nothing else that the source says of itself is kept: it may name whom a face was licensed to,
    and there are files that say gigabytes.
    """
    from fontTools.ttLib import newTable

    names = font["name"] = newTable("name")
    names.names = []
    family, _, style = postscript.partition("-")
    values = {1: postscript, 2: "Regular", 3: postscript, 4: postscript, 6: postscript}
    if style:
        values |= {16: family, 17: style}
    for number, value in values.items():
        names.setName(value, number, 3, 1, 0x409)


def make_postscript_name(text: str) -> str:
    """``text`` with only what a PostScript name may hold (printable ASCII, no delimiters)."""
    return re.sub(r"[^A-Za-z0-9_.+-]", "", text)[:63]


def make_font_stem(name: str, *makings: object) -> str:
    """The name under which a font is kept: another where anything of its making is another."""
    import fontTools
    import uharfbuzz as hb

    return make_stem(name, RECIPE, fontTools.version, hb.version_string(), *makings)
