"""Which glyphs of a font are put together of others, and which hold nothing.

fontTools lays out every glyph of a font to look at one, and a label uses thirty of a thousand.
OpenType specification, head, loca and glyf tables, composite glyphs (from memory).
"""

from __future__ import annotations

import struct
from functools import cached_property

from labelkit.common.frozen import dataclass
from labelkit.typeset.fontfiles import find_table

_HEADER = 10
_COMPOSITE = -1
_WORDS, _SCALE, _MORE, _TWO_SCALES, _MATRIX = 0x01, 0x08, 0x20, 0x40, 0x80
_SIZE_OF_SCALE = {_SCALE: 2, _TWO_SCALES: 4, _MATRIX: 8}


@dataclass(frozen=True, eq=False)
class GlyphParts:
    """The outlines of a whole TrueType file; struct.error where they make no sense."""

    data: bytes

    def has_blank_part(self, glyph: int) -> bool:
        """Whether a glyph, or one it is put together of, draws nothing: its accent, say."""
        outline = self._find_outline(glyph)
        if not outline:
            return True
        (contours,) = struct.unpack_from(">h", outline)
        if contours > _COMPOSITE:
            return not contours
        return any(map(self.has_blank_part, _list_parts(outline)))

    def _find_outline(self, glyph: int) -> bytes:
        if self._long:
            start, end = struct.unpack_from(">2L", self._places, 4 * glyph)
        else:
            start, end = (2 * place for place in struct.unpack_from(">2H", self._places, 2 * glyph))
        return self._outlines[start:end]

    @cached_property
    def _long(self) -> bool:
        return bool(struct.unpack_from(">h", find_table(self.data, b"head"), 50)[0])

    @cached_property
    def _places(self) -> bytes:
        return find_table(self.data, b"loca")

    @cached_property
    def _outlines(self) -> bytes:
        return find_table(self.data, b"glyf")


def _list_parts(outline: bytes) -> list[int]:
    """The numbers of the glyphs that a composite one is put together of."""
    parts: list[int] = []
    place, flags = _HEADER, _MORE
    while flags & _MORE:
        flags, part = struct.unpack_from(">2H", outline, place)
        parts.append(part)
        place += 8 if flags & _WORDS else 6
        place += sum(size for flag, size in _SIZE_OF_SCALE.items() if flags & flag)
    return parts
