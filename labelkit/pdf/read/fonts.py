"""The fonts of a PDF as the file itself describes them: characters, widths, outlines."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from functools import cached_property
from typing import Any, NamedTuple


class Glyph(NamedTuple):
    """What a character code of a font stands for, and how it prints. Lengths in ems."""

    character: str
    width: float
    """What the file states as its advance."""
    bounds: tuple[float, float, float, float] | None
    """Left, bottom, right and top of its outline, None where there is none."""
    figure: bool


class EmbeddedFont:
    """One font resource: characters, widths and outlines, all from the file itself."""

    def __init__(self, resource: Any) -> None:
        self._resource = resource
        self.name = str(resource.get("/BaseFont", "/unknown"))[1:].split("+")[-1]
        self.composite = resource.get("/Subtype") == "/Type0"
        self._font = resource["/DescendantFonts"][0].get_object() if self.composite else resource
        descriptor = self._font.get("/FontDescriptor")
        self._descriptor = descriptor.get_object() if descriptor is not None else {}
        self._glyphs: dict[int, Glyph] = {}

    @property
    def embedded(self) -> bool:
        return any(k in self._descriptor for k in ("/FontFile", "/FontFile2", "/FontFile3"))

    def codes(self, data: bytes) -> Iterable[int]:
        """The character codes of a shown string: two bytes each in a composite font."""
        if self.composite:
            return [data[i] << 8 | data[i + 1] for i in range(0, len(data) - 1, 2)]
        return data

    def glyph(self, code: int) -> Glyph:
        """What a code stands for; U+FFFD where the file does not say."""
        known = self._glyphs.get(code)
        if known is None:
            character = self._to_unicode.get(code, "\ufffd")
            width = self._widths.get(code, self._default_width) / 1000
            bounds = self._bounds_of_glyph(self._glyph_name(code))
            known = self._glyphs[code] = Glyph(character, width, bounds, character.isdigit())
        return known

    @cached_property
    def letters_em(self) -> tuple[float | None, float | None, float | None]:
        """Heights of the capital "H" and of the lower-case "o", and the width of the "N"."""
        capital, small_o, n = (self._outline(letter) for letter in "HoN")
        return (
            capital[3] - capital[1] if capital else None,
            small_o[3] - small_o[1] if small_o else None,
            n[2] - n[0] if n else None,
        )

    def _outline(self, letter: str) -> tuple[float, float, float, float] | None:
        code = self._code_of.get(letter)
        return self.glyph(code).bounds if code is not None else None

    @cached_property
    def weight(self) -> int:
        """OS/2 weight class of the embedded program, or read from the font's name."""
        program = self._program
        if program is not None and "OS/2" in program:
            return int(program["OS/2"].usWeightClass)
        bold = re.search(r"(Semi|Demi|Extra|Ultra)?-?Bold|Black|Heavy", self.name)
        return 700 if bold else 400

    @cached_property
    def _program(self) -> Any:
        from fontTools.ttLib import TTFont, TTLibError

        stream = self._descriptor.get("/FontFile2")
        if stream is None:
            return None
        try:
            return TTFont(io.BytesIO(stream.get_object().get_data()), lazy=True)
        except (TTLibError, AssertionError, KeyError):
            return None

    @cached_property
    def _cmap(self) -> dict[int, str]:
        table = self._program["cmap"] if self._program is not None else None
        if table is None:
            return {}
        for platform, encoding in ((1, 0), (3, 0), (3, 1)):
            sub = table.getcmap(platform, encoding)
            if sub is not None:
                return dict(sub.cmap)
        return {}

    def _glyph_name(self, code: int) -> str | None:
        if self._program is None:
            return None
        if self.composite:
            order = self._program.getGlyphOrder()
            return order[code] if code < len(order) else None
        return self._cmap.get(code) or self._cmap.get(0xF000 + code)

    def _bounds_of_glyph(self, name: str | None) -> tuple[float, float, float, float] | None:
        """The box of the ink itself: that in a glyph's own header may be of its control points."""
        from fontTools.pens.boundsPen import BoundsPen

        if name is None or self._outlines is None:
            return None
        pen = BoundsPen(None)
        self._outlines.draw_glyph_with_pen(self._program.getGlyphID(name), pen)
        if pen.bounds is None:
            return None
        em = self._outlines.face.upem
        x0, y0, x1, y1 = pen.bounds
        return x0 / em, y0 / em, x1 / em, y1 / em

    @cached_property
    def _outlines(self) -> Any:
        """HarfBuzz's font of the embedded program, which draws it quicker than fontTools does."""
        import uharfbuzz as hb

        program = self._program
        if program is None or "glyf" not in program:
            return None
        return hb.Font(hb.Face(self._descriptor["/FontFile2"].get_object().get_data()))

    @cached_property
    def _to_unicode(self) -> dict[int, str]:
        stream = self._resource.get("/ToUnicode")
        return _parse_to_unicode(stream.get_object().get_data()) if stream is not None else {}

    @cached_property
    def _code_of(self) -> dict[str, int]:
        return {text: code for code, text in reversed(self._to_unicode.items())}

    @cached_property
    def _widths(self) -> dict[int, float]:
        if not self.composite:
            first = int(self._font.get("/FirstChar", 0))
            return {first + i: float(w) for i, w in enumerate(self._font.get("/Widths", []))}
        return _parse_composite_widths(self._font.get("/W", []))

    @cached_property
    def _default_width(self) -> float:
        if self.composite:
            return float(self._font.get("/DW", 1000))
        return float(self._descriptor.get("/MissingWidth", 0))


def _parse_composite_widths(entries: Any) -> dict[int, float]:
    """A composite font's /W array: ``c [w ...]`` or ``first last w`` (ISO 32000-1, 9.7.4.3)."""
    widths: dict[int, float] = {}
    items = [entry.get_object() for entry in entries]
    i = 0
    while i + 1 < len(items):
        first = int(items[i])
        if isinstance(items[i + 1], list):
            widths.update({first + k: float(w) for k, w in enumerate(items[i + 1])})
            i += 2
        elif i + 2 < len(items):
            last = min(int(items[i + 1]), first + 65535)
            widths.update(dict.fromkeys(range(first, last + 1), float(items[i + 2])))
            i += 3
        else:
            break
    return widths


def _parse_to_unicode(data: bytes) -> dict[int, str]:
    """The bfchar and bfrange entries of a ToUnicode map (ISO 32000-1, 9.10.3)."""
    text = data.decode("latin-1")
    mapping: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.S):
        for code, value in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            mapping[int(code, 16)] = _decode_utf16(value)
    for block in re.findall(r"beginbfrange(.*?)endbfrange", text, re.S):
        pattern = r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(?:<([0-9A-Fa-f]+)>|\[(.*?)\])"
        for low, high, start, listed in re.findall(pattern, block, re.S):
            first, last = int(low, 16), min(int(high, 16), int(low, 16) + 65535)
            if start:
                base = int(start, 16)
                for code in range(first, last + 1):
                    mapping[code] = _decode_utf16(f"{base + code - first:0{len(start)}X}")
            else:
                values = re.findall(r"<([0-9A-Fa-f]+)>", listed)
                mapping.update(
                    zip(range(first, last + 1), map(_decode_utf16, values), strict=False)
                )
    return mapping


def _decode_utf16(hexadecimal: str) -> str:
    if len(hexadecimal) <= 4:
        return chr(int(hexadecimal, 16))
    return bytes.fromhex(hexadecimal).decode("utf-16-be", "replace")
