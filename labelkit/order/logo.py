"""The maker's own logo: a PNG or JPEG picture, or the filled shapes of an SVG drawing."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn
from xml.etree import ElementTree

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import Number, Said, Verbatim
from labelkit.order.reader import read_bytes

MAX_LOGO_BYTES = 20_000_000
MAX_PIXELS = 60_000_000
MAX_SHAPES = 2_000
MAX_DEPTH = 40

_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "polygon", "polyline"})
_GROUPS = frozenset({"svg", "g", "a"})
_SILENT = frozenset({"title", "desc", "metadata", "defs", "namedview"})
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
}
"""What a maker does about the parts of a drawing that cannot be printed as they look."""
_WITH_SHAPES = Said("expected a PNG, a JPEG, or an SVG of filled shapes")


@dataclass(frozen=True, slots=True)
class Drawing:
    """SVG path data (y down) filled by the non-zero or the even-odd rule."""

    path: str
    even_odd: bool = False


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo that has been read; ``pixels`` of a picture, ``drawings`` of an SVG."""

    path: Path
    aspect: float
    """Width over height."""
    pixels: tuple[int, int] | None = None
    drawings: tuple[Drawing, ...] = ()
    view: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0)
    """What the drawings cover: x, y, width, height (y down)."""
    data: bytes = field(default=b"", repr=False)
    """The file."""


def read_logo(path: Path) -> Logo:
    """The logo of a file; InputError in one line for what cannot be printed as it looks.

    An SVG may hold groups and filled shapes and nothing else: no text, strokes, pictures, scripts,
    entities or references. It is drawn in one ink, the label's own.
    """
    data = read_bytes(path, Said("a logo (PNG, JPEG or SVG)"), MAX_LOGO_BYTES)
    if data[:8] == b"\x89PNG\r\n\x1a\n" or data[:3] == b"\xff\xd8\xff":
        return _read_picture(path, data)
    if b"<svg" in data[:4000]:
        return _read_svg(path, data)
    raise InputError(
        format_path(path), "", None, Said("is no logo; {expected}", expected=_WITH_SHAPES)
    )


def _read_picture(path: Path, data: bytes) -> Logo:
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as image:
            width, height = image.size
            if width * height > MAX_PIXELS:
                _refuse_logo(
                    path,
                    Said(
                        "has {width} x {height} pixels; expected at most {most}",
                        width=width,
                        height=height,
                        most=Number(MAX_PIXELS),
                    ),
                )
            image.load()
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError,
            Image.DecompressionBombError) as error:  # fmt: skip
        reason = Said(" ".join(str(error).split())[:60] or type(error).__name__)
        raise InputError(
            format_path(path),
            "",
            None,
            Said("cannot be read as a picture: {reason}", reason=reason),
        ) from error
    return Logo(path, width / height, (width, height), data=data)


# -- SVG -------------------------------------------------------------------------------------------


def _read_svg(path: Path, data: bytes) -> Logo:
    from fontTools.misc.transform import Identity
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.svgLib.path import parse_path

    if re.search(rb"<!\s*(DOCTYPE|ENTITY)", data, re.IGNORECASE):
        _refuse_logo(path, Said("declares a document type or entities; save it as plain SVG"))
    try:
        root = ElementTree.fromstring(data)
        drawings = tuple(_list_filled_shapes(path, root, Identity, _Paint(), 0))
        pen = BoundsPen(None)
        for drawing in drawings:
            parse_path(drawing.path, pen)
    except (ElementTree.ParseError, ValueError, IndexError, TypeError, KeyError,
            AssertionError, ZeroDivisionError, OverflowError) as error:  # fmt: skip
        reason = Said(" ".join(str(error).split())[:60] or type(error).__name__)
        raise InputError(
            format_path(path), "", None, Said("cannot be read as SVG: {reason}", reason=reason)
        ) from error
    bounds = pen.bounds
    if not drawings or bounds is None:
        _refuse_logo(path, Said("shows nothing; expected filled shapes"))
    x0, y0, x1, y1 = bounds
    if len(drawings) > MAX_SHAPES or not all(math.isfinite(v) for v in bounds):
        _refuse_logo(path, Said("expected at most {most} shapes of finite size", most=MAX_SHAPES))
    if x1 - x0 <= 0 or y1 - y0 <= 0:
        _refuse_logo(path, Said("has no extent; expected filled shapes"))
    aspect = (x1 - x0) / (y1 - y0)
    if not 0.05 <= aspect <= 20:
        _refuse_logo(path, Said("is over twenty times as long as it is wide"))
    return Logo(path, aspect, None, drawings, (x0, y0, x1 - x0, y1 - y0), data)


@dataclass(frozen=True, slots=True)
class _Paint:
    """How shapes are painted, as their groups say."""

    fill: str = "black"
    stroke: str = "none"
    rule: str = "nonzero"

    def inside(self, element: ElementTree.Element) -> _Paint:
        parts = [part.partition(":") for part in element.get("style", "").split(";")]
        style = {key.strip(): value.strip() for key, _, value in parts}

        def of(name: str, inherited: str) -> str:
            value = style.get(name, element.get(name, "inherit")).lower()
            return inherited if value == "inherit" else value

        return _Paint(of("fill", self.fill), of("stroke", self.stroke), of("fill-rule", self.rule))


def _list_filled_shapes(
    path: Path, element: ElementTree.Element, outer: Any, paint: _Paint, depth: int
) -> Iterator[Drawing]:
    """The filled shapes of an element and all it holds, in the drawing's own coordinates."""
    tag = _strip_namespace(element.tag)
    if tag in _SILENT:
        if tag == "defs" and len(element):
            held = _strip_namespace(element[0].tag)
            _refuse_logo(
                path,
                Said(
                    "refers to definitions (<{held}>); {cure}",
                    held=held,
                    cure=_CURES.get(held, _WITH_SHAPES),
                ),
            )
        return
    _check_svg_element(path, element, tag, depth)
    own = outer.transform(_parse_transform(element.get("transform", "")))
    painted = paint.inside(element)
    if tag in _SHAPES:
        if painted.stroke != "none":
            _refuse_logo(
                path,
                Said(
                    "has a <{tag}> with a stroke; {cure}",
                    tag=tag,
                    cure=_STROKES,
                ),
            )
        if painted.fill != "none":
            yield Drawing(_transform_path(element, own), painted.rule == "evenodd")
        return
    for child in element:
        if isinstance(child.tag, str):
            yield from _list_filled_shapes(path, child, own, painted, depth + 1)


def _check_svg_element(path: Path, element: ElementTree.Element, tag: str, depth: int) -> None:
    if tag not in _SHAPES | _GROUPS:
        _refuse_logo(
            path, Said("holds <{tag}>; {cure}", tag=tag, cure=_CURES.get(tag, _WITH_SHAPES))
        )
    if depth > MAX_DEPTH:
        _refuse_logo(path, Said("is nested too deeply"))
    for name, value in element.attrib.items():
        local = _strip_namespace(name).lower()
        if local.startswith("on") or (local == "href" and tag != "a") or "url(" in value.lower():
            _refuse_logo(
                path,
                Said(
                    "refers to something else in {local} of <{tag}>; {expected}",
                    local=Verbatim(local),
                    tag=tag,
                    expected=_WITH_SHAPES,
                ),
            )


def _transform_path(element: ElementTree.Element, move: Any) -> str:
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path
    from fontTools.svgLib.path.shapes import PathBuilder

    bare = ElementTree.Element(_strip_namespace(element.tag), _strip_units(element.attrib))
    builder = PathBuilder()
    builder.add_path_from_element(bare)
    pen = SVGPathPen(None, ntos=lambda v: f"{v:.5f}".rstrip("0").rstrip("."))
    for data in builder.paths:
        parse_path(data, TransformPen(pen, move))
    return str(pen.getCommands())


def _strip_units(attributes: dict[str, str]) -> dict[str, str]:
    return {
        name: re.sub(r"px$", "", value.strip())
        for name, value in attributes.items()
        if name != "transform"
    }


def _parse_transform(text: str) -> Any:
    """An SVG transform list as one matrix; ValueError for a function that is not known."""
    from fontTools.misc.transform import Identity, Transform

    result = Identity
    for name, inner in re.findall(r"([A-Za-z]+)\s*\(([^)]*)\)", text):
        values = [float(v) for v in re.split(r"[\s,]+", inner.strip()) if v]
        if name == "matrix" and len(values) == 6:
            result = result.transform(Transform(*values))
        elif name == "translate" and len(values) in (1, 2):
            result = result.translate(*values)
        elif name == "scale" and len(values) in (1, 2):
            result = result.scale(*values)
        elif name == "rotate" and len(values) in (1, 3):
            x, y = values[1:] or (0.0, 0.0)
            result = result.translate(x, y).rotate(math.radians(values[0])).translate(-x, -y)
        else:
            raise ValueError(f"transform {name!r} is not known")
    return result


def _strip_namespace(name: str) -> str:
    return name.rsplit("}", 1)[-1] if isinstance(name, str) else ""


def _refuse_logo(path: Path, what: Said) -> NoReturn:
    raise InputError(format_path(path), "", None, what)
