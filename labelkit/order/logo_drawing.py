"""The filled shapes of an SVG drawing as they are seen: what is hidden, covered by white or off the
page is not there, and what cannot be kept is told.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any, NoReturn
from xml.etree import ElementTree

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said, Verbatim
from labelkit.order.drawn_shapes import (
    MOST_SEE_THROUGH,
    OPAQUE,
    Layer,
    combine_shapes,
    do_boxes_meet,
    fade,
    format_number,
    lay_over,
    make_skia_path,
    put_on_paper,
)
from labelkit.order.logo import WITH_SHAPES, Drawing

MAX_SHAPES = 2_000
MAX_DEPTH = 40
MAX_NUMBERS = 150_000
"""In all paths, some 25,000 curves: many times what a finely drawn emblem has."""
STROKED_SIZE = 4_000
"""Units of a shape's longer side while its stroke is outlined."""
MAX_TRANSFORM = 1_000
"""Characters of one ``transform``."""

WHITE = "#ffffff"
_SVG = "http://www.w3.org/2000/svg"
_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "polygon", "polyline"})
_GROUPS = frozenset({"svg", "g", "a"})
_SILENT = frozenset({"title", "desc", "metadata", "defs", "namedview"})
_SIMPLER = Said("save it as plain SVG in your drawing program")
_ONE_COLOUR = Said(
    "give the shape one plain colour in your drawing program, then save as plain SVG"
)
_APART = Said("break it up into plain shapes in your drawing program, then save as plain SVG")
_STROKES = Said("convert strokes to outlines in your drawing program, then save as plain SVG")
_CURES = {
    "text": Said("convert text to outlines in your drawing program, then save as plain SVG"),
    "line": Said("convert lines to outlines in your drawing program, then save as plain SVG"),
    "image": Said("a picture within a drawing; save the logo as a PNG instead"),
    "linearGradient": _ONE_COLOUR,
    "radialGradient": _ONE_COLOUR,
    "pattern": _ONE_COLOUR,
    "use": _APART,
    "symbol": _APART,
    "clipPath": _APART,
    "mask": _APART,
    "filter": _APART,
    "style": Said("save as plain SVG, with each colour on its shape and not in a style sheet"),
}
"""What a maker does about the parts of a drawing that cannot be printed as they look."""

_INHERITED = {
    "fill": "black", "fill-rule": "nonzero", "fill-opacity": "1", "color": "black",
    "stroke": "none", "stroke-width": "1", "stroke-opacity": "1", "visibility": "visible",
    "stroke-linecap": "butt", "stroke-linejoin": "miter", "stroke-miterlimit": "4",
    "stroke-dasharray": "none", "paint-order": "normal", "vector-effect": "none",
}  # fmt: skip
"""Properties that a group hands on, and what they begin with (SVG 1.1, appendix N; the last two
SVG 2)."""
_CAPS, _JOINS = ("butt", "round", "square"), ("miter", "round", "bevel")
_OWN = {"display": "inline", "opacity": "1"}
_EFFECTS = frozenset({
    "clip-path", "clip", "mask", "filter", "marker", "marker-start", "marker-mid", "marker-end",
    "mix-blend-mode", "transform", "transform-origin", "transform-box", "translate", "rotate",
    "scale",
})  # fmt: skip
_NO_EFFECT = frozenset({"none", "normal", "auto", "inherit", "initial", "unset", ""})
_HARMLESS = re.compile(
    r"(font|text|stroke|stop|flood|lighting|line|letter|word|writing|baseline|dominant|alignment"
    r"|solid|shape|color|image|glyph|-inkscape)(-.*)?"
    r"|isolation|enable-background|overflow|clip-rule|direction|kerning"
    r"|unicode-bidi|white-space|pointer-events|cursor|inline-size"
)
"""Properties that change nothing about a filled shape without a stroke."""
_CONDITIONS = ("requiredFeatures", "requiredExtensions", "systemLanguage")
_PLACED = ("x", "y", "width", "height", "viewBox")
_PX = {"": 1.0, "px": 1.0, "pt": 4 / 3, "pc": 16.0, "in": 96.0, "mm": 96 / 25.4, "cm": 960 / 25.4}
"""User units to each unit of length (CSS Values and Units 3, 6.2)."""
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBERS_OF_PATH = re.compile(r"\d+\.?\d*|\.\d+")
_LENGTH = re.compile(rf"({_NUMBER})\s*(px|pt|pc|in|mm|cm|%|)")
_FUNCTION = re.compile(r"\s*,?\s*([A-Za-z]{1,20})\s{0,20}\(([^()]*)\)")
_SEE_THROUGH = re.compile(rf"rgba\(([^()]*),\s*({_NUMBER}%?)\s*\)")
_LENGTHS_ACROSS = ("x", "width", "cx", "rx")
_LENGTHS_DOWN = ("y", "height", "cy", "ry")

View = tuple[float, float, float, float]
"""x, y, width, height; y down."""


def parse_drawing(data: bytes, name: str) -> tuple[tuple[Drawing, ...], View]:
    """The shapes that are seen, and what they cover; InputError for what cannot be kept.

    A drawing of one colour goes into the label's own ink. White shapes are cut out of what lies
    beneath them, so that the paper shows there, whatever its colour.
    """
    if re.search(rb"<!\s*(DOCTYPE|ENTITY)", data, re.IGNORECASE):
        _refuse(name, Said("declares a document type or entities; save it as plain SVG"))
    try:
        root = ElementTree.fromstring(data)
        reader = _ShapeReader(name, root)
        drawn = list(put_on_paper(lay_over(list(reader.read_shapes()))))
        seen = _keep_what_is_seen(drawn, reader.page)
        bounds = _measure_bounds(seen)
    except (ElementTree.ParseError, ValueError, IndexError, TypeError, KeyError,
            AssertionError, ZeroDivisionError, OverflowError, RecursionError) as error:  # fmt: skip
        raise InputError(
            name, "", None, Said("cannot be read as SVG; {cure}", cure=_SIMPLER)
        ) from error
    if bounds is None:
        _refuse(name, Said("shows nothing; expected filled shapes"))
    x0, y0, x1, y1 = bounds
    if not all(math.isfinite(v) and abs(v) < 1e9 for v in bounds):
        _refuse(name, Said("has shapes without end; expected shapes of finite size"))
    if x1 - x0 <= 0 or y1 - y0 <= 0:
        _refuse(name, Said("has no extent; expected filled shapes"))
    return tuple(seen), (x0, y0, x1 - x0, y1 - y0)


def _measure_bounds(drawings: Iterable[Drawing]) -> tuple[float, float, float, float] | None:
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.svgLib.path import parse_path

    pen = BoundsPen(None)
    for drawing in drawings:
        parse_path(drawing.path, pen)
    return pen.bounds  # type: ignore[no-any-return]


# -- what is seen ----------------------------------------------------------------------------------


def _keep_what_is_seen(shapes: Sequence[Drawing], page: View | None) -> list[Drawing]:
    """Shapes on the page, without what white ones cover; None for the one colour there is."""
    on_page = [kept for shape in shapes if (kept := _cut_to_page(shape, page))]
    if len({shape.colour for shape in on_page}) > 1:
        on_page = list(_cut_out_white(on_page))
    if len({shape.colour for shape in on_page}) == 1:
        return [replace(shape, colour=None) for shape in on_page]
    return on_page


def _cut_to_page(shape: Drawing, page: View | None) -> Drawing | None:
    bounds = _measure_bounds([shape])
    if bounds is None:
        return None
    if page is None:
        return shape
    x, y, width, height = page
    hair = 1e-3 * max(width, height)
    left, top, right, bottom = bounds
    if left > x + width or right < x or top > y + height or bottom < y:
        return None
    if min(left - x, top - y) >= -hair and max(right - x - width, bottom - y - height) <= hair:
        return shape
    corners = f"M{x!r} {y!r}H{x + width!r}V{y + height!r}H{x!r}Z"
    return combine_shapes(shape, make_skia_path(Drawing(corners)), "INTERSECTION")


def _cut_out_white(shapes: Sequence[Drawing]) -> Iterator[Drawing]:
    """Coloured shapes without what later white ones cover; their order is kept."""
    import pathops

    kept: list[Drawing] = []
    white: Any = None
    for shape in reversed(shapes):
        if shape.colour == WHITE:
            own = make_skia_path(shape)
            white = pathops.op(white, own, pathops.PathOp.UNION) if white is not None else own
        elif white is None or not do_boxes_meet(white.bounds, make_skia_path(shape).bounds):
            kept.append(shape)
        elif (cut := combine_shapes(shape, white, "DIFFERENCE")) is not None:
            kept.append(cut)
    return reversed(kept)


def _stroke_path(line: Any, values: Mapping[str, str]) -> tuple[Any, float]:
    """The area of a stroke, and how many times too large it is. ValueError where it has no end.

    Skia rounds ends and corners to about a quarter of a unit, which is much in a small drawing: a
    stroke is outlined as large as Skia can well count.
    """
    import pathops

    width = _read_length(values["stroke-width"])
    left, top, right, bottom = line.bounds
    scale = STROKED_SIZE / max(right - left, bottom - top, width)
    if not scale > 0:
        raise ValueError("stroke without end")
    area = line.transform(scale, 0, 0, scale)
    cap, join = values["stroke-linecap"].upper(), values["stroke-linejoin"].upper()
    try:
        area.stroke(
            width * scale,
            pathops.LineCap[f"{cap}_CAP"],
            pathops.LineJoin[f"{join}_JOIN"],
            float(values["stroke-miterlimit"]),
        )
        area.convertConicsToQuads()
        area.simplify(fix_winding=True)
    except pathops.PathOpsError as error:
        raise ValueError("stroke") from error
    return area, scale


# -- reading ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Paint:
    """The properties that decide how a shape is painted, as its groups hand them on."""

    values: Mapping[str, str]
    opacity: float = 1.0
    shown: bool = True

    @property
    def visible(self) -> bool:
        return self.shown and self.opacity > 0 and self.values["visibility"] == "visible"

    @property
    def filled(self) -> bool:
        return self.values["fill"] not in ("none", "transparent") and self._read("fill-opacity") > 0

    @property
    def stroked(self) -> bool:
        if self.values["stroke"] in ("none", "transparent"):
            return False
        return self._read("stroke-opacity") > 0 and _read_length(self.values["stroke-width"], 1) > 0

    @property
    def has_plain_stroke(self) -> bool:
        """Whether its stroke is an unbroken line, as wide as the drawing says, with known ends."""
        values = self.values
        return (
            values["stroke-dasharray"] in _NO_EFFECT
            and values["vector-effect"] in _NO_EFFECT
            and values["stroke-linecap"] in _CAPS
            and values["stroke-linejoin"] in _JOINS
        )

    @property
    def stroke_first(self) -> bool:
        """Whether the stroke lies under the fill (SVG 2, 13.8)."""
        return self.values["paint-order"].replace("markers", "").strip().startswith("stroke")

    @property
    def stroke_opacity(self) -> float:
        return self._read("stroke-opacity")

    @property
    def fill_opacity(self) -> float:
        return self._read("fill-opacity")

    def _read(self, name: str) -> float:
        return _read_share(self.values[name])


class _ShapeReader:
    """Walks through a drawing and finds its shapes, in its own coordinates."""

    def __init__(self, name: str, root: ElementTree.Element) -> None:
        self._name, self._root = name, root
        self._numbers = 0
        self._see_through = 0
        self._namespace = root.tag.rpartition("}")[0]

    @cached_property
    def page(self) -> View | None:
        """What of the drawing is shown; None where it does not say."""
        width, height = (self._read_side(side) for side in ("width", "height"))
        text = self._root.get("viewBox")
        if text is None:
            return (0.0, 0.0, width, height) if width and height else None
        x, y, wide, tall = _read_numbers(text)
        if wide <= 0 or tall <= 0:
            _refuse(self._name, Said("shows nothing; expected filled shapes"))
        if width and height and abs(width * tall - height * wide) > 1e-3 * width * tall:
            fitting = " ".join(self._root.get("preserveAspectRatio", "xMidYMid").split())
            if fitting not in ("xMidYMid", "xMidYMid meet"):
                _refuse(
                    self._name,
                    Said(
                        "is stretched to its page ({fitting}); {cure}",
                        fitting=fitting[:40],
                        cure=_SIMPLER,
                    ),
                )
            scale = min(width / wide, height / tall)
            x, y = x - (width / scale - wide) / 2, y - (height / scale - tall) / 2
            wide, tall = width / scale, height / scale
        return x, y, wide, tall

    def _read_side(self, side: str) -> float:
        text = self._root.get(side, "100%").strip()
        return 0.0 if text.endswith("%") or text == "auto" else _read_length(text)

    def read_shapes(self) -> Iterator[Layer]:
        from fontTools.misc.transform import Identity

        if _local_name(self._root.tag) != "svg":
            raise ValueError("root")
        walk = self._walk(self._root, Identity, _Paint(_INHERITED), 0)
        for number, shape in enumerate(walk):
            if number >= MAX_SHAPES:
                _refuse(
                    self._name,
                    Said(
                        "has over {most} shapes; unite them in your drawing program",
                        most=MAX_SHAPES,
                    ),
                )
            yield shape

    def _walk(
        self, element: ElementTree.Element, outer: Any, paint: _Paint, depth: int
    ) -> Iterator[Layer]:
        tag = _local_name(element.tag)
        if tag in _SILENT or element.tag.rpartition("}")[0] != self._namespace:
            self._check_definitions(element, tag)
            return
        self._check_element(element, tag, depth)
        own = outer.transform(_parse_transform(element.get("transform", "")))
        painted = self._paint(element, tag, paint)
        if not painted.shown or painted.opacity == 0:
            return
        layers = self._walk_inside(element, tag, own, painted, depth)
        yield from layers if painted.opacity >= OPAQUE else fade(list(layers), painted.opacity)

    def _walk_inside(
        self, element: ElementTree.Element, tag: str, own: Any, painted: _Paint, depth: int
    ) -> Iterator[Layer]:
        if tag in _SHAPES:
            if painted.visible and (painted.filled or painted.stroked):
                yield from self._make_shape(element, tag, own, painted)
            return
        for child in element:
            if isinstance(child.tag, str):
                yield from self._walk(child, own, painted, depth + 1)

    def _count_see_through(self, opacity: float) -> float:
        """The opacity of one more shape; InputError for more see-through ones than can be laid."""
        self._see_through += opacity < OPAQUE
        if self._see_through > MOST_SEE_THROUGH:
            _refuse(
                self._name,
                Said(
                    "has over {most} see-through shapes; {cure}",
                    most=MOST_SEE_THROUGH,
                    cure=_ONE_COLOUR,
                ),
            )
        return opacity

    def _check_definitions(self, element: ElementTree.Element, tag: str) -> None:
        held = next((child.tag for child in element if isinstance(child.tag, str)
                     and child.tag.rpartition("}")[0] == self._namespace), None)  # fmt: skip
        if tag == "defs" and held is not None:
            local = _local_name(held)
            _refuse(
                self._name,
                Said(
                    "refers to definitions (<{held}>); {cure}",
                    held=local,
                    cure=_CURES.get(local, WITH_SHAPES),
                ),
            )

    def _check_element(self, element: ElementTree.Element, tag: str, depth: int) -> None:
        if tag not in _SHAPES | _GROUPS:
            _refuse(
                self._name,
                Said("holds <{tag}>; {cure}", tag=tag, cure=_CURES.get(tag, WITH_SHAPES)),
            )
        if depth > MAX_DEPTH:
            _refuse(self._name, Said("is nested too deeply"))
        if tag == "svg" and depth and any(name in element.attrib for name in _PLACED):
            _refuse(
                self._name, Said("holds a drawing within the drawing (<svg>); {cure}", cure=_APART)
            )
        for name, value in element.attrib.items():
            local = _local_name(name)
            small = local.lower()
            if (
                small.startswith("on")
                or (small == "href" and tag != "a")
                or ("url(" in value.lower())
            ):
                refers = Said(
                    "refers to something else in {local} of <{tag}>; {expected}",
                    local=Verbatim(small),
                    tag=tag,
                    expected=WITH_SHAPES,
                )
                _refuse(self._name, refers)
            if local in _CONDITIONS:
                _refuse(
                    self._name,
                    Said("has a <{tag}> shown on a condition; {cure}", tag=tag, cure=_SIMPLER),
                )
            if local in _EFFECTS - {"transform", "rotate"} and value.strip() not in _NO_EFFECT:
                _refuse(
                    self._name,
                    Said(
                        "has a <{tag}> with {effect}; {cure}",
                        tag=tag,
                        effect=Verbatim(local),
                        cure=_APART,
                    ),
                )

    def _paint(self, element: ElementTree.Element, tag: str, outer: _Paint) -> _Paint:
        style = self._read_style(element, tag)

        def find(name: str, inherited: str) -> str:
            value = style.get(name, element.get(name, "")).strip().lower()
            return inherited if value in ("", "inherit") else value

        values = {name: find(name, outer.values[name]) for name in _INHERITED}
        own = {name: find(name, usual) for name, usual in _OWN.items()}
        opacity = self._count_see_through(_read_share(own["opacity"]))
        return _Paint(values, opacity, own["display"] != "none")

    def _read_style(self, element: ElementTree.Element, tag: str) -> dict[str, str]:
        """The style's properties; InputError for one that would change what is seen."""
        style: dict[str, str] = {}
        for part in re.sub(r"/\*.*?\*/", " ", element.get("style", ""), flags=re.S).split(";"):
            name, _, value = part.partition(":")
            name = name.strip().lower()
            value = re.sub(r"\s*!\s*important\s*$", "", value.strip()[:200], flags=re.I)
            if name in _INHERITED or name in _OWN:
                style[name] = value
            elif name in _EFFECTS:
                if value.lower() not in _NO_EFFECT:
                    _refuse(
                        self._name,
                        Said(
                            "has a <{tag}> with {effect} in its style; {cure}",
                            tag=tag,
                            effect=Verbatim(name),
                            cure=_APART,
                        ),
                    )
            elif name and not _HARMLESS.fullmatch(name):
                _refuse(
                    self._name,
                    Said(
                        "has a <{tag}> with {effect} in its style; {cure}",
                        tag=tag,
                        effect=Verbatim(name[:40]),
                        cure=_SIMPLER,
                    ),
                )
        return style

    def _make_shape(
        self, element: ElementTree.Element, tag: str, move: Any, paint: _Paint
    ) -> Iterator[Layer]:
        painters = []
        if paint.filled:
            painters.append(self._fill_shape)
        if paint.stroked:
            painters.insert(0 if paint.stroke_first else 1, self._outline_stroke)
        for painter in painters:
            yield from painter(element, tag, move, paint)

    def _outline_stroke(
        self, element: ElementTree.Element, tag: str, move: Any, paint: _Paint
    ) -> Iterator[Layer]:
        """The stroke of a shape as the area it covers."""
        import pathops
        from fontTools.pens.svgPathPen import SVGPathPen
        from fontTools.pens.transformPen import TransformPen

        values = paint.values
        colour = _parse_colour(values["stroke"], values["color"])
        if colour is None or not paint.has_plain_stroke:
            _refuse(self._name, Said("has a <{tag}> with a stroke; {cure}", tag=tag, cure=_STROKES))
        line = pathops.Path()
        self._draw_path(element, tag, line.getPen(allow_open_paths=True))
        area, scale = _stroke_path(line, values)
        pen = SVGPathPen(None, ntos=format_number)
        area.draw(TransformPen(pen, move.scale(1 / scale)))
        if commands := str(pen.getCommands()):
            opacity = self._count_see_through(paint.stroke_opacity * colour[1])
            yield Layer(Drawing(commands, False, colour[0]), opacity)

    def _fill_shape(
        self, element: ElementTree.Element, tag: str, move: Any, paint: _Paint
    ) -> Iterator[Layer]:
        colour = _parse_colour(paint.values["fill"], paint.values["color"])
        if colour is None:
            fill = paint.values["fill"][:30]
            _refuse(
                self._name,
                Said(
                    "has a <{tag}> filled with {fill}; {cure}",
                    tag=tag,
                    fill=Verbatim(fill),
                    cure=_ONE_COLOUR,
                ),
            )
        if path := self._transform_path(element, tag, move):
            opacity = self._count_see_through(paint.fill_opacity * colour[1])
            even_odd = paint.values["fill-rule"] == "evenodd"
            yield Layer(Drawing(path, even_odd, colour[0]), opacity)

    def _transform_path(self, element: ElementTree.Element, tag: str, move: Any) -> str:
        from fontTools.pens.svgPathPen import SVGPathPen
        from fontTools.pens.transformPen import TransformPen

        pen = SVGPathPen(None, ntos=format_number)
        self._draw_path(element, tag, TransformPen(pen, move))
        return str(pen.getCommands())

    def _draw_path(self, element: ElementTree.Element, tag: str, pen: Any) -> None:
        from fontTools.svgLib.path import parse_path
        from fontTools.svgLib.path.shapes import PathBuilder

        attributes = self._resolve_lengths(element.attrib)
        if tag == "rect":
            _limit_corners(attributes)
        data = attributes.get("d", "") + attributes.get("points", "")
        self._numbers += sum(1 for _ in _NUMBERS_OF_PATH.finditer(data))
        if self._numbers > MAX_NUMBERS:
            _refuse(
                self._name,
                Said(
                    "has paths of over {most} numbers; simplify them in your drawing program",
                    most=Number(MAX_NUMBERS),
                ),
            )
        builder = PathBuilder()
        builder.add_path_from_element(ElementTree.Element(tag, attributes))
        for part in builder.paths:
            parse_path(part, pen)

    def _resolve_lengths(self, attributes: Mapping[str, str]) -> dict[str, str]:
        """Attributes with every length in user units."""
        made: dict[str, str] = {}
        for name, value in attributes.items():
            if name in ("d", "points"):
                made[name] = value
            elif name in (*_LENGTHS_ACROSS, *_LENGTHS_DOWN, "r") and value.strip() != "auto":
                whole = self.page[3 if name in _LENGTHS_DOWN else 2] if self.page else 0.0
                length = _read_length(value, whole)
                if length < 0 and name in ("width", "height", "r", "rx", "ry"):
                    raise ValueError("negative length")
                made[name] = repr(length)
        return made


def _limit_corners(attributes: dict[str, str]) -> None:
    """Corners of a rectangle as round as its sides let them be (SVG 1.1, 9.2)."""
    radii = [attributes.get(name) for name in ("rx", "ry")]
    for name, side, own in zip(("rx", "ry"), ("width", "height"), radii, strict=True):
        given = own if own is not None else next((r for r in radii if r is not None), None)
        if given is not None:
            attributes[name] = repr(min(float(given), float(attributes[side]) / 2))


def _read_length(text: str, whole: float = 0.0) -> float:
    """A length in user units; ``whole`` is what per cent are of. ValueError for another."""
    found = _LENGTH.fullmatch(text.strip())
    if found is None:
        raise ValueError("length")
    number, unit = float(found[1]), found[2]
    if unit != "%":
        return number * _PX[unit]
    if not whole:
        raise ValueError("per cent of nothing")
    return number / 100 * whole


def _read_numbers(text: str) -> list[float]:
    """Numbers parted by commas or blanks; ValueError for anything else."""
    parts = [part for part in re.split(r"[\s,]+", text.strip()) if part]
    if not all(re.fullmatch(_NUMBER, part) for part in parts):
        raise ValueError("number")
    return [float(part) for part in parts]


def _read_share(text: str) -> float:
    found = re.fullmatch(rf"({_NUMBER})(%?)", text)
    if found is None:
        raise ValueError("opacity")
    return min(max(float(found[1]) / (100 if found[2] else 1), 0.0), 1.0)


def _parse_colour(fill: str, current: str) -> tuple[str, float] | None:
    """A colour as #rrggbb, and how opaque it is; None for what is none (CSS Color 3, 4.2)."""
    from PIL import ImageColor

    text = current if fill == "currentcolor" else fill
    found = _SEE_THROUGH.fullmatch(text)
    share = _read_share(found[2]) if found else 1.0
    if found:
        text = f"rgb({found[1]})"
    if text.startswith(("rgba", "hsla", "hsv")):
        return None
    try:
        red, green, blue, *opacity = ImageColor.getrgb(text)
    except ValueError:
        return None
    colour = "#" + "".join(f"{min(tone, 255):02x}" for tone in (red, green, blue))
    return colour, share * (opacity[0] / 255 if opacity else 1.0)


def _parse_transform(text: str) -> Any:
    """An SVG transform list as one matrix; ValueError for a function that is not known."""
    from fontTools.misc.transform import Identity, Transform

    result, at, text = Identity, 0, text.strip()
    if len(text) > MAX_TRANSFORM:
        raise ValueError("transform")
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if found is None:
            raise ValueError("transform")
        at, name, values = found.end(), found[1], _read_numbers(found[2])
        if name == "matrix" and len(values) == 6:
            result = result.transform(Transform(*values))
        elif name == "translate" and len(values) in (1, 2):
            result = result.translate(*values)
        elif name == "scale" and len(values) in (1, 2):
            result = result.scale(*values)
        elif name == "rotate" and len(values) in (1, 3):
            x, y = values[1:] or (0.0, 0.0)
            result = result.translate(x, y).rotate(math.radians(values[0])).translate(-x, -y)
        elif name in ("skewX", "skewY") and len(values) == 1:
            lean = math.tan(math.radians(values[0]))
            across, down = (lean, 0.0) if name == "skewX" else (0.0, lean)
            result = result.transform(Transform(1, down, across, 1, 0, 0))
        else:
            raise ValueError(f"transform {name!r} is not known")
    return result


def _local_name(name: str) -> str:
    return name.rpartition("}")[2]


def _refuse(name: str, what: Said) -> NoReturn:
    raise InputError(name, "", None, what)
