"""Fonts of a PDF whose codes stand for shaped clusters: what no single letter's code can write.

Each code is one outline, put together of the glyphs of its cluster, and says in the ToUnicode map
which characters it was shaped from. So text of any script is read back in the order it is read.
"""

from __future__ import annotations

import hashlib
import io
import math
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFStream, PDFString

from labelkit.common.frozen import dataclass
from labelkit.pdf.write.document import format_to_unicode
from labelkit.typeset.clusters import Cluster
from labelkit.typeset.companions import Companion

MOST_CODES = 60_000
"""Of one font: codes are two bytes (ISO 32000-1, 9.7.5.2)."""
_CURVE_ERROR = 1 / 2000
"""Of an em: how far a quadratic may be from the cubic it stands for."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """What a code prints, and the characters it stands for."""

    glyphs: tuple[tuple[int, float, float], ...]
    width: int
    """Thousandths of an em, whole, as viewers read them."""
    text: str


class GlyphFont:
    """One font of a document, which grows by every cluster that is written in it."""

    def __init__(self, companion: Companion, document: Any) -> None:
        self._companion = companion
        self._codes: dict[_Shape, int] = {}
        self.resource = f"/G{len(document.fontMapping) + 1}"
        document.fontMapping[f"{companion.name}{self.resource}"] = self.resource
        document.delayedFonts.append(self)

    @property
    def full(self) -> bool:
        return len(self._codes) >= MOST_CODES

    def code(self, cluster: Cluster, text: str) -> tuple[int, float]:
        """The code of a cluster that was shaped from ``text``, and the width in its ems that the
        PDF states."""
        shape = _Shape(cluster.glyphs, round(cluster.width * 1000), text)
        code = self._codes.setdefault(shape, len(self._codes) + 1)
        return code, shape.width / 1000

    def addObjects(self, document: Any) -> None:
        """Adds font, descriptor, program and character map to a document (reportlab calls it)."""
        program = self._program()
        name = f"{_make_subset_tag(program)}+{self._companion.name}"[:120]
        widths = PDFArray([0, *(shape.width for shape in self._codes)])
        box = PDFArray([round(v) for v in self._box_thousandths])
        stream = _make_stream(document, program)
        stream.dictionary["Length1"] = len(program)
        descriptor = _make_dictionary(
            Type=PDFName("FontDescriptor"), FontName=PDFName(name), Flags=4, FontBBox=box,
            ItalicAngle=0, Ascent=box.sequence[3], Descent=box.sequence[1],
            CapHeight=box.sequence[3], StemV=80,
            FontFile2=document.Reference(stream, f"glyphProgram:{self.resource}"),
        )  # fmt: skip
        system = _make_dictionary(
            Registry=PDFString("Adobe"), Ordering=PDFString("Identity"), Supplement=0
        )
        descendant = _make_dictionary(
            Type=PDFName("Font"), Subtype=PDFName("CIDFontType2"), BaseFont=PDFName(name),
            CIDSystemInfo=system, DW=0, W=PDFArray([0, widths]), CIDToGIDMap=PDFName("Identity"),
            FontDescriptor=document.Reference(descriptor, f"glyphDescriptor:{self.resource}"),
        )  # fmt: skip
        map_ = _make_stream(document, self._to_unicode().encode("ascii"))
        font = _make_dictionary(
            Type=PDFName("Font"), Subtype=PDFName("Type0"), BaseFont=PDFName(name),
            Encoding=PDFName("Identity-H"),
            DescendantFonts=PDFArray([document.Reference(descendant, f"glyphCid:{self.resource}")]),
            ToUnicode=document.Reference(map_, f"glyphMap:{self.resource}"),
        )  # fmt: skip
        internal = self.resource[1:]
        document.Reference(font, internal)
        document.idToObject["BasicFonts"].dict[internal] = font

    def _to_unicode(self) -> str:
        return format_to_unicode(2, ((code, shape.text) for shape, code in self._codes.items()))

    # -- the font program --------------------------------------------------------------------------

    def _program(self) -> bytes:
        """A TrueType font whose glyph n prints what code n stands for."""
        from fontTools.fontBuilder import FontBuilder
        from fontTools.pens.ttGlyphPen import TTGlyphPen

        companion, names = self._companion, [".notdef"]
        outlines = {".notdef": TTGlyphPen(None).glyph()}
        metrics = {".notdef": (0, 0)}
        units = companion.units_per_em
        for shape, code in self._codes.items():
            name = f"c{code}"
            names.append(name)
            outlines[name] = self._outline(shape)
            metrics[name] = (round(shape.width / 1000 * units), 0)
        builder = FontBuilder(units, isTTF=True)
        builder.font.recalcBBoxes = False  # as made here: by the curves, not by their handles
        builder.setupGlyphOrder(names)
        builder.setupCharacterMap({})
        builder.setupGlyf(outlines, calcGlyphBounds=False)
        glyf = builder.font["glyf"]
        for name in names:
            left = getattr(glyf[name], "xMin", 0) if glyf[name].numberOfContours else 0
            metrics[name] = (max(0, metrics[name][0]), left)
        builder.setupHorizontalMetrics(metrics)
        builder.setupHorizontalHeader(ascent=units, descent=-units // 4)
        builder.setupNameTable({"familyName": companion.name, "styleName": "Regular",
                                "psName": companion.name})  # fmt: skip
        builder.setupOS2(usWeightClass=companion.weight)
        builder.setupPost(keepGlyphNames=False)
        builder.font.recalcTimestamp = False
        builder.font["head"].created = builder.font["head"].modified = 0
        drawn = [glyf[name] for name in names if glyf[name].numberOfContours]
        head = builder.font["head"]
        head.xMin = min((glyph.xMin for glyph in drawn), default=0)
        head.yMin = min((glyph.yMin for glyph in drawn), default=0)
        head.xMax = max((glyph.xMax for glyph in drawn), default=0)
        head.yMax = max((glyph.yMax for glyph in drawn), default=0)
        stream = io.BytesIO()
        builder.font.save(stream)
        sides = (head.xMin, head.yMin, head.xMax, head.yMax)
        self._box_thousandths = tuple(side / units * 1000 for side in sides)
        return stream.getvalue()

    def _outline(self, shape: _Shape) -> Any:
        from fontTools.pens.boundsPen import BoundsPen
        from fontTools.pens.cu2quPen import Cu2QuPen
        from fontTools.pens.transformPen import TransformPen
        from fontTools.pens.ttGlyphPen import TTGlyphPen

        font, units = self._companion.font, self._companion.units_per_em
        pen, box = TTGlyphPen(None), BoundsPen(None)
        for glyph, x, y in shape.glyphs:
            place = (1, 0, 0, 1, x * units, y * units)
            font.draw_glyph_with_pen(
                glyph, TransformPen(Cu2QuPen(pen, units * _CURVE_ERROR), place)
            )
            font.draw_glyph_with_pen(glyph, TransformPen(box, place))
        made = pen.glyph()
        if made.numberOfContours and box.bounds:
            made.xMin, made.yMin = (math.floor(side) for side in box.bounds[:2])
            made.xMax, made.yMax = (math.ceil(side) for side in box.bounds[2:])
        return made


def _make_dictionary(**entries: Any) -> Any:
    return PDFDictionary(entries)


def _make_stream(document: Any, content: bytes) -> Any:
    from reportlab.pdfbase.pdfdoc import PDFStreamFilterZCompress

    stream = PDFStream(content=content)
    if document.compression:
        stream.filters = [PDFStreamFilterZCompress()]
    return stream


def _make_subset_tag(program: bytes) -> str:
    """Six capitals that other subsets of a font do not have (ISO 32000-1, 9.6.4)."""
    digest = hashlib.md5(program, usedforsecurity=False).digest()
    return "".join(chr(65 + byte % 26) for byte in digest[:6])
