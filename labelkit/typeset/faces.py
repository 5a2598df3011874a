"""Typefaces: found by family or file, made static, measured on their own outlines."""

from __future__ import annotations

import hashlib
import string
import struct
from dataclasses import replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from labelkit.common.confined import run_confined
from labelkit.common.errors import FaceError, InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Verbatim, make_number
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import SOFT_HYPHEN, LetterHeights
from labelkit.typeset import derive, fontfiles
from labelkit.typeset.fontfiles import FontFile
from labelkit.typeset.glyph_parts import GlyphParts
from labelkit.typeset.scripts import is_unseen, needs_shaping

DRAWN_AS = {"\u00a0": " ", "\u202f": " ", "\u2009": " ", SOFT_HYPHEN: "-"}
"""Characters every face can write, and the glyph that stands for them."""

NARROW_SPACES = "\u202f\u2009"
"""Spaces drawn as an advance of NARROW_SPACE_EM: most families have no glyph for them."""
NARROW_SPACE_EM = 0.2

OPTICAL_SIZE_PT = 12.0
"""Where an optical size axis is pinned: labels are set small, and display cuts have hairlines."""

WIDTH_TOLERANCE = 7.0
"""How far from the width asked for, in per cent of normal, a family's own width may be."""

_WEIGHT_WORDS = {
    100: "Thin", 200: "ExtraLight", 300: "Light", 400: "Regular", 500: "Medium",
    600: "SemiBold", 700: "Bold", 800: "ExtraBold", 900: "Black",
}  # fmt: skip
_WIDTH_WORDS = {
    50.0: "UltraCondensed", 62.5: "ExtraCondensed", 75.0: "Condensed", 87.5: "SemiCondensed",
    100.0: "", 112.5: "SemiExpanded", 125.0: "Expanded", 150.0: "ExtraExpanded",
    200.0: "UltraExpanded",
}  # fmt: skip
_NAMED_TABLES = ("maxp", "cmap")
_EVERYDAY = string.ascii_letters + string.digits
"""What hardly a label does without."""
FIGURES = ("lining", "oldstyle", "tabular")
_FEATURE_WORDS = {"smcp": "SmallCaps", "lnum": "Lining", "onum": "Oldstyle", "tnum": "Tabular"}


@dataclass(frozen=True, slots=True)
class FaceRequest:
    """A face by family and style.

    ``family`` is the short name of an installed family ("fira-sans") or the path of a TrueType
    file. ``width`` is in per cent of normal (75 is condensed). ``figures`` is "lining" (the
    family's lining figures where it has them, else those it was drawn with), "oldstyle" or
    "tabular" (lining ones that are all equally wide, where it has them).
    """

    family: str
    weight: int = 400
    width: float = 100
    italic: bool = False
    figures: str = "lining"
    small_caps: bool = False


@dataclass(frozen=True, eq=False)
class Face:
    """A static TrueType face. Lengths named ``_em`` are in ems, measured on the outlines."""

    name: str
    """PostScript name."""
    path: Path
    weight: int
    """OS/2 weight class."""
    units_per_em: int

    # -- heights the law goes by -------------------------------------------------------------------

    @cached_property
    def capital_em(self) -> float | None:
        """Height of the capital "H", or None where the face has none."""
        return self._height_em("H")

    @cached_property
    def small_o_em(self) -> float | None:
        """Height of the lower-case "o" with its overshoot, or None where the face has none."""
        return self._height_em("o")

    def figure_em(self, text: str) -> float | None:
        """Height of the smallest figure in ``text``; None where it has no figure."""
        heights = self._figure_heights_em
        return min((heights[c] for c in text if c in heights), default=None)

    @cached_property
    def _figure_heights_em(self) -> dict[str, float]:
        heights = {c: self._height_em(c) for c in derive.FIGURES}
        return {c: height for c, height in heights.items() if height is not None}

    def letters(self, size_pt: float, text: str) -> LetterHeights:
        """How tall the letters of ``text`` print at ``size_pt``, in millimetres."""
        scale = size_pt / PT_PER_MM
        capital, small_o, figure = self.capital_em, self.small_o_em, self.figure_em(text)
        return LetterHeights(
            capital_mm=None if capital is None else capital * scale,
            small_o_mm=None if small_o is None else small_o * scale,
            figure_mm=None if figure is None else figure * scale,
            n_width_mm=None if self.n_width_em is None else self.n_width_em * scale,
        )

    @cached_property
    def n_width_em(self) -> float | None:
        """Width of the capital "N", the measure of clear space in some laws; None without one."""
        bounds = self._bounds("N")
        return None if bounds is None else (bounds[2] - bounds[0]) / self.units_per_em

    # -- ink ---------------------------------------------------------------------------------------

    def bounds_em(self, character: str) -> tuple[float, float, float, float] | None:
        """Left, bottom, right and top of a character's outline; None for blanks and the missing."""
        known = self._in_ems
        if character not in known:
            em, bounds = self.units_per_em, self._bounds(character)
            known[character] = bounds and (
                bounds[0] / em, bounds[1] / em, bounds[2] / em, bounds[3] / em,
            )  # fmt: skip
        return known[character]

    def draw_outline(self, character: str, pen: Any) -> None:
        """Draws a character's outline with a fontTools pen, in font units; nothing of blanks."""
        from fontTools.pens.recordingPen import DecomposingRecordingPen

        glyph = self.glyphs.get(ord(DRAWN_AS.get(character, character)))
        if glyph is None:
            return
        whole = DecomposingRecordingPen(self._glyph_set)
        with fontfiles.guard_font_reading(self.path):
            self._glyph_set[glyph].draw(whole)
        whole.replay(pen)

    def ink_em(self, text: str) -> tuple[float, float] | None:
        """Lowest and highest ink of ``text`` against its baseline; None for blank text."""
        boxes = [box for c in set(text) if (box := self.bounds_em(c))]
        if not boxes:
            return None
        return min(box[1] for box in boxes), max(box[3] for box in boxes)

    @cached_property
    def lining(self) -> bool:
        """Whether all figures stand on the baseline and are about equally tall."""
        boxes = [box for c in derive.FIGURES if (box := self.bounds_em(c))]
        heights = [box[3] - box[1] for box in boxes]
        return bool(boxes) and min(heights) > 0.9 * max(heights)

    @cached_property
    def stem_em(self) -> float | None:
        """Thickness of the stem of "l" (or "I") halfway up; None where the face has neither."""
        return next((t for c in "lI" if (t := self._thickness_across(c, upright=True))), None)

    @cached_property
    def thinnest_em(self) -> float | None:
        """The thinnest of the stem and of the horizontal strokes of "H" and "o"."""
        strokes = [self.stem_em, *(self._thickness_across(c, upright=False) for c in "Ho")]
        return min((s for s in strokes if s is not None), default=None)

    # -- coverage ----------------------------------------------------------------------------------

    def missing(self, text: str) -> str:
        """The characters of ``text`` this face cannot write, each once, in order of appearance.

        Scripts that join, reorder or run from right to left count as missing even where the face
        has glyphs for them: drawn one by one from left to right they would be misspelt. So do
        letters whose glyph is blank.
        """
        if all(map(self._writable.get, text)):  # most texts, once their letters are known
            return ""
        return "".join(c for c in dict.fromkeys(text) if not self._writes(c))

    def blank(self, text: str) -> str:
        """The characters of ``text`` that have a glyph and print nothing, each once.

        Trial versions leave letters out so, and damaged files lose them; spaces do not count.
        """
        return "".join(c for c in dict.fromkeys(text) if self._is_blank(c))

    def _writes(self, character: str) -> bool:
        known = self._writable.get(character)
        if known is None:
            drawn = ord(DRAWN_AS.get(character, character))
            known = drawn in self.glyphs and not needs_shaping(character)
            known = known and not self._is_blank(character)
            self._writable[character] = known
        return known

    def _is_blank(self, character: str) -> bool:
        if ord(DRAWN_AS.get(character, character)) not in self.glyphs or is_unseen(character):
            return False
        bounds = self._bounds(character)
        if bounds is None or bounds[0] >= bounds[2] or bounds[1] >= bounds[3]:
            return True
        with fontfiles.guard_font_reading(self.path):
            glyph = self.glyphs[ord(DRAWN_AS.get(character, character))]
            return self._parts.has_blank_part(self._font.getGlyphID(glyph))

    @cached_property
    def _writable(self) -> dict[str, bool]:
        return {}

    # -- the font program --------------------------------------------------------------------------

    @cached_property
    def glyphs(self) -> dict[int, str]:
        """Code point to glyph name."""
        with fontfiles.guard_font_reading(self.path):
            return dict(self._font.getBestCmap() or {})

    def advance_em(self, character: str) -> float:
        """Advance width of a character on its own; that of the missing glyph if it has none."""
        if character in NARROW_SPACES:
            return NARROW_SPACE_EM
        glyph = self.glyphs.get(ord(DRAWN_AS.get(character, character)))
        with fontfiles.guard_font_reading(self.path):
            number = 0 if glyph is None else self._font.getGlyphID(glyph)
            return float(self.shaper.get_glyph_h_advance(number)) / self.units_per_em

    @cached_property
    def shaper(self) -> Any:
        """HarfBuzz's font of it, which shapes words and draws quicker than fontTools does."""
        import uharfbuzz as hb

        return hb.Font(hb.Face(fontfiles.read_font(self.path)))

    @cached_property
    def _font(self) -> Any:
        return fontfiles.open_font(fontfiles.read_font(self.path), self.path, _NAMED_TABLES)

    @cached_property
    def _parts(self) -> GlyphParts:
        return GlyphParts(fontfiles.read_font(self.path))

    @cached_property
    def _glyph_set(self) -> Any:
        with fontfiles.guard_font_reading(self.path):
            return self._font.getGlyphSet()

    @cached_property
    def _in_ems(self) -> dict[str, tuple[float, float, float, float] | None]:
        return {}

    @cached_property
    def _measured(self) -> dict[str, tuple[float, float, float, float] | None]:
        return {}

    def _bounds(self, character: str) -> tuple[float, float, float, float] | None:
        """Left, bottom, right and top of a character's outline in font units."""
        character = DRAWN_AS.get(character, character)
        if character not in self._measured:
            self._measured[character] = self._outline_bounds(character)
        return self._measured[character]

    def _outline_bounds(self, character: str) -> tuple[float, float, float, float] | None:
        from fontTools.pens.boundsPen import BoundsPen

        glyph = self.glyphs.get(ord(character))
        if glyph is None:
            return None
        pen = BoundsPen(None)
        with fontfiles.guard_font_reading(self.path):
            self.shaper.draw_glyph_with_pen(self._font.getGlyphID(glyph), pen)
        return pen.bounds  # type: ignore[no-any-return]

    def _height_em(self, character: str) -> float | None:
        bounds = self._bounds(character)
        return None if bounds is None else (bounds[3] - bounds[1]) / self.units_per_em

    def _thickness_across(self, character: str, upright: bool) -> float | None:
        """The thinnest stroke met by a line through the middle of a glyph's box.

        The line runs across an upright stroke, or down through the middle of a letter.
        """
        from labelkit.typeset.strokes import measure_thinnest_crossing

        glyph = self.glyphs.get(ord(character))
        if glyph is None:
            return None
        with fontfiles.guard_font_reading(self.path):
            found = measure_thinnest_crossing(self._glyph_set, glyph, upright)
        return None if found is None else found / self.units_per_em


# -- loading ---------------------------------------------------------------------------------------


def load_face(request: FaceRequest) -> Face:
    """The static, embeddable face that serves a request; FaceError in one line otherwise.

    The same request gives the same object, so faces may key caches.
    """
    if _is_file_path(request.family):
        return _load_requested_face(request)
    return _load_requested_face(replace(request, family=fontfiles.make_family_key(request.family)))


def load_face_file(path: Path | str, request: FaceRequest | None = None) -> Face:
    """The face in a maker's own TrueType file; ``request`` picks the style (family ignored).

    A file of a single style is taken as it is, whatever weight, width or slope is asked for.
    """
    return load_face(replace(request or FaceRequest(""), family=str(path)))


@lru_cache(maxsize=256)
def _load_requested_face(request: FaceRequest) -> Face:
    _check_request(request)
    if _is_file_path(request.family):
        return _make_own_face(Path(request.family), request)
    return _make_face(_choose_file(request.family, request), request)


def find_styled_file(request: FaceRequest) -> FontFile:
    """The installed file that serves a request; FaceError where the family has none."""
    return _choose_file(fontfiles.make_family_key(request.family), request)


def pin_axes(file: FontFile, request: FaceRequest) -> tuple[tuple[str, float], ...]:
    """Where a request stands on the axes of a file."""
    return tuple((axis.tag, _pin_axis(axis, request)) for axis in file.axes)


def _is_file_path(family: str) -> bool:
    return family.lower().endswith((".ttf", ".otf", ".ttc", ".woff", ".woff2")) or "/" in family


def _check_request(request: FaceRequest) -> None:
    if not 1 <= request.weight <= 1000:
        raise FaceError(
            Said(
                "{family}: weight {weight}; expected 1 to 1000",
                family=request.family,
                weight=request.weight,
            )
        )
    if not 50 <= request.width <= 200:
        raise FaceError(
            Said(
                "{family}: width {width}; expected 50 to 200 per cent",
                family=request.family,
                width=request.width,
            )
        )
    if request.figures not in FIGURES:
        raise FaceError(
            Said(
                "{family}: figures {figures}; expected {known}",
                family=request.family,
                figures=Verbatim(request.figures),
                known=FactList(FIGURES),
            )
        )


def _choose_file(family: str, request: FaceRequest) -> FontFile:
    """The installed file nearest the weight asked for, in the width and slope asked for."""
    own = fontfiles.list_family_files(family)
    slope = [f for f in own if f.italic == request.italic]
    if not slope:
        raise FaceError(
            Said(
                "typeface {family} has no italic style, only upright"
                if request.italic
                else "typeface {family} has no upright style, only italic",
                family=Verbatim(family),
            )
        )
    fitting = [f for f in slope if _measure_width_distance(f, request.width) is not None]
    if not fitting:
        fitting = [
            f
            for f in fontfiles.list_sibling_files(family)
            if f.italic == request.italic and _measure_width_distance(f, request.width) is not None
        ]
    if not fitting and request.width == 100:
        fitting = slope  # "fira-sans-condensed" asked for by its own name
    if not fitting:
        raise FaceError(
            Said(
                "typeface {family} has no width of {width} %; it has {widths}",
                family=Verbatim(family),
                width=make_number(request.width),
                widths=_format_widths(family),
            )
        )
    return min(
        fitting,
        key=lambda f: (
            _measure_width_distance(f, request.width) or 0.0,
            _measure_weight_distance(f, request.weight),
            f.path.name,
        ),
    )


def _measure_width_distance(file: FontFile, width: float) -> float | None:
    axis = file.axis("wdth")
    distance = abs((axis.nearest(width) if axis else file.width) - width)
    return distance if distance <= (0.5 if axis else WIDTH_TOLERANCE) else None


def _measure_weight_distance(file: FontFile, weight: int) -> tuple[float, int]:
    """Nearest first; of two equally near the heavier for bold requests, the lighter otherwise."""
    axis = file.axis("wght")
    served = axis.nearest(weight) if axis else float(file.weight)
    return abs(served - weight), -file.weight if weight >= 500 else file.weight


def _format_widths(family: str) -> str:
    texts: set[str] = set()
    for file in (*fontfiles.list_family_files(family), *fontfiles.list_sibling_files(family)):
        axis = file.axis("wdth")
        texts.add(f"{axis.least:g} to {axis.most:g} %" if axis else f"{file.width:g} %")
    return ", ".join(sorted(texts))


def _make_face(file: FontFile, request: FaceRequest) -> Face:
    """The face of an installed file: as it is, or what was made of it, which is kept.

    Nothing of the file is opened here where that is there already.
    """
    data = fontfiles.read_font(file.path)
    digest = hashlib.sha256(data).hexdigest()
    style = (pin_axes(file, request), request.figures, request.small_caps)
    stem = derive.make_font_stem(file.path.stem, digest, *style)
    return _open_face(derive.keep_font(stem, lambda: _make_installed_font(data, file, request)))


def _make_installed_font(data: bytes, file: FontFile, request: FaceRequest) -> tuple[bytes, bool]:
    """The static font that serves a request, and whether its kerning is as its maker wrote it."""
    wish, stated = _plan_derivation(data, file, request)
    derived = wish.axes or wish.features or wish.name != stated
    made = derive.make_static_font(data, file.path, wish) if derived else data
    return made, derive.has_sound_font_kerning(data, file.path)


def _open_face(path: Path) -> Face:
    data = fontfiles.read_font(path)
    weight = fontfiles.parse_font_file(data, path).weight
    with fontfiles.guard_font_reading(path):
        name = fontfiles.read_stated_name(fontfiles.find_table(data, b"name"), 6)
        (units,) = struct.unpack_from(">H", fontfiles.find_table(data, b"head"), 18)
    return Face(name, path, weight, units)


def _plan_derivation(
    data: bytes, file: FontFile, request: FaceRequest
) -> tuple[derive.FontDerivation, str]:
    """What to make of a file for a request, and the PostScript name it states itself."""
    font = fontfiles.open_font(data, file.path)
    fontfiles.check_embedding(font, file.path)
    axes = pin_axes(file, request)
    features = _choose_features(data, file, request)
    with fontfiles.guard_font_reading(file.path):
        stated = fontfiles.read_stated_name(font.reader["name"], 6)
    name = (
        _make_instance_name(font, file, dict(axes)) if axes else derive.make_postscript_name(stated)
    )
    name = (name or derive.make_postscript_name(file.path.stem) or "Unnamed") + "".join(
        _FEATURE_WORDS[feature] for feature in features
    )
    return derive.FontDerivation(name, axes, features), stated


def _make_own_face(path: Path, request: FaceRequest) -> Face:
    """The face of a maker's own file, of which nothing is opened here but what was made of it.

    It may call itself what another font is called already, and in a PDF, as everywhere here, a name
    stands for one font; so the name ends in a part of its digest.
    """
    data = fontfiles.read_font(path)
    digest = hashlib.sha256(data).hexdigest()
    stem = derive.make_font_stem("own", digest, replace(request, family=""))
    try:
        made = derive.keep_font(
            stem,
            lambda: run_confined(format_path(path), make_own_font, data, path, request, digest[:6]),
        )
    except InputError as error:
        raise FaceError(error.told) from error
    face = _open_face(made)
    if blank := face.blank(_EVERYDAY):
        raise FaceError(
            Said(
                "{shown}: prints nothing for {blank}; expected a font with all letters",
                shown=format_path(path),
                blank=Verbatim(blank),
            )
        )
    return face


def make_own_font(data: bytes, path: Path, request: FaceRequest, ending: str) -> tuple[bytes, bool]:
    """The static font made of a maker's file, and whether its kerning is as its maker wrote it.

    Every letter of it is drawn once, so that none takes long later.
    """
    wish, _ = _plan_derivation(data, fontfiles.parse_font_file(data, path), request)
    wish = replace(wish, name=f"{wish.name}-{ending}")
    fontfiles.check_glyph_parts(data, path)
    made = derive.make_static_font(data, path, wish)
    return made, derive.has_sound_font_kerning(data, path)


def _pin_axis(axis: fontfiles.Axis, request: FaceRequest) -> float:
    wanted = {"wght": request.weight, "wdth": request.width, "opsz": OPTICAL_SIZE_PT}
    return axis.nearest(float(wanted.get(axis.tag, axis.default)))


def _choose_features(data: bytes, file: FontFile, request: FaceRequest) -> tuple[str, ...]:
    """The GSUB features to build in; FaceError where the font lacks what was asked for."""
    features: list[str] = []
    if request.small_caps:
        if "a" not in derive.find_substitutes(data, "a", ("smcp",)):
            raise FaceError(
                Said("{name}: has no small capitals of its own", name=format_path(file.path.name))
            )
        features.append("smcp")
    feature = "onum" if request.figures == "oldstyle" else "lnum"
    if derive.find_substitutes(data, derive.FIGURES, (feature,)):
        features.append(feature)
    elif feature == "onum" and _load_plain_face(data, file).lining:
        raise FaceError(
            Said("{name}: has no old-style figures of its own", name=format_path(file.path.name))
        )
    if request.figures == "tabular":
        both = (*features, "tnum")
        if derive.find_substitutes(data, derive.FIGURES, both):
            return both
    return tuple(features)


def _load_plain_face(data: bytes, file: FontFile) -> Face:
    """The font as it stands, to look at its figures."""
    units = int(fontfiles.open_font(data, file.path)["head"].unitsPerEm)
    return Face("", file.path, file.weight, units)


def _make_instance_name(font: Any, file: FontFile, axes: dict[str, float]) -> str:
    """A PostScript name for one instance: ``NotoSans-CondensedBold``.

    Registered names where the axes stand on them, the axis value otherwise (the scheme of Adobe
    Technical Note 5902, simplified).
    """
    names = font.reader["name"]
    stem = next((name for n in (25, 16, 1) if (name := fontfiles.read_stated_name(names, n))), "")
    weight, width = axes.get("wght", float(file.weight)), axes.get("wdth", 100.0)
    words = [
        _WIDTH_WORDS.get(width, f"Width{width:g}"),
        _WEIGHT_WORDS.get(int(weight), f"Weight{weight:g}"),
        "Italic" if file.italic else "",
    ]
    style = "".join(words).replace(".", "p")
    if file.italic and style.startswith("Regular"):
        style = "Italic"
    stem = derive.make_postscript_name(stem).removesuffix("Italic").removesuffix("Roman")
    return f"{stem.rstrip('-')}-{style}"
