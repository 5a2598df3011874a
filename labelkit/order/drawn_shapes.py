"""Filled shapes of a drawing as areas: cut by each other, united, and laid over each other where
they let through what lies beneath.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.order.logo import Drawing

MOST_SEE_THROUGH = 100
"""Shapes that are laid over others one by one; each is held against all that lie beneath it."""
OPAQUE = 0.999
"""Nobody sees through what is as opaque as this."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A shape, and how opaque it is."""

    shape: Drawing
    opacity: float = 1.0

    @property
    def opaque(self) -> bool:
        return self.opacity >= OPAQUE


def lay_over(layers: Sequence[Layer]) -> list[Layer]:
    """The same picture of layers that each show alone: where a see-through one lies over others,
    there is a layer in the colour that shows.

    Opaque ones stay whole beneath what covers them. Compositing is that of SVG 1.1, 14.2.
    """
    laid: list[Layer] = []
    for layer in layers:
        if layer.opaque:
            laid.append(layer)
        else:
            laid = _lay_one_over(laid, layer)
    return laid


def _lay_one_over(laid: list[Layer], layer: Layer) -> list[Layer]:
    rest: Drawing | None = layer.shape
    beneath, over = list(laid), list[Layer]()
    for number in reversed(range(len(beneath))):
        if rest is None:
            break
        below = beneath[number]
        shared = intersect(rest, below.shape)
        if shared is None:
            continue
        over.append(_blend(replace(shared, colour=layer.shape.colour), layer.opacity, below))
        rest = subtract(rest, below.shape)
        if not below.opaque:
            left = subtract(below.shape, layer.shape)
            beneath[number] = replace(below, shape=left or Drawing("", colour=below.shape.colour))
    kept = [one for one in beneath if one.shape.path]
    return [*kept, *reversed(over), *([replace(layer, shape=rest)] if rest else [])]


def fade(layers: Sequence[Layer], opacity: float) -> list[Layer]:
    """What a group shows, made see-through as a whole: what it covers of itself stays covered."""
    shown: list[Layer] = []
    covered: Any = None
    for layer in reversed(lay_over(layers)):
        seen = (
            layer.shape if covered is None else combine_shapes(layer.shape, covered, "DIFFERENCE")
        )
        if seen is not None:
            shown.append(Layer(seen, layer.opacity * opacity))
        covered = _join(covered, layer.shape)
    return shown[::-1]


def put_on_paper(layers: Sequence[Layer]) -> Iterator[Drawing]:
    """Plain shapes of layers that were laid over each other, as they show on white paper."""
    paper = Layer(Drawing("", colour="#ffffff"))
    for layer in layers:
        yield layer.shape if layer.opaque else _blend(layer.shape, layer.opacity, paper).shape


def _blend(shape: Drawing, opacity: float, below: Layer) -> Layer:
    """A see-through shape where all of it lies over another layer."""
    whole = opacity + below.opacity * (1 - opacity)
    channels = (
        round((a * opacity + b * below.opacity * (1 - opacity)) / whole)
        for a, b in zip(_channels(shape), _channels(below.shape), strict=True)
    )
    return Layer(replace(shape, colour="#" + "".join(f"{v:02x}" for v in channels)), whole)


def _channels(shape: Drawing) -> tuple[int, ...]:
    colour = shape.colour or "#000000"
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


# -- areas -----------------------------------------------------------------------------------------


def intersect(one: Drawing, other: Drawing) -> Drawing | None:
    """What two shapes have in common; None for nothing."""
    return _cut(one, other, "INTERSECTION") if _have_common_box(one, other) else None


def subtract(one: Drawing, other: Drawing) -> Drawing | None:
    """What of a shape lies outside another; None for nothing."""
    return _cut(one, other, "DIFFERENCE") if _have_common_box(one, other) else one


def _cut(one: Drawing, other: Drawing, how: str) -> Drawing | None:
    return combine_shapes(one, make_skia_path(other), how)


def _have_common_box(one: Drawing, other: Drawing) -> bool:
    return do_boxes_meet(make_skia_path(one).bounds, make_skia_path(other).bounds)


def _join(area: Any, shape: Drawing) -> Any:
    import pathops

    own = make_skia_path(shape)
    return own if area is None else pathops.op(area, own, pathops.PathOp.UNION)


def do_boxes_meet(one: Sequence[float], other: Sequence[float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def combine_shapes(shape: Drawing, other: Any, how: str) -> Drawing | None:
    """A shape cut by another; None where nothing of it is left. ValueError where it cannot be."""
    import pathops
    from fontTools.pens.svgPathPen import SVGPathPen

    try:
        made = pathops.op(make_skia_path(shape), other, pathops.PathOp[how], fix_winding=False)
    except pathops.PathOpsError as error:
        raise ValueError("shapes") from error
    pen = SVGPathPen(None, ntos=format_number)
    made.draw(pen)
    commands = str(pen.getCommands())
    # What Skia makes are contours that never cross, in no particular direction.
    return Drawing(commands, True, shape.colour) if commands else None


def unite_drawings(drawings: Sequence[Drawing]) -> str:
    """The path of everything that some drawings cover, to be filled even-odd."""
    import pathops
    from fontTools.pens.svgPathPen import SVGPathPen

    whole = pathops.Path()
    for drawing in drawings:
        whole = pathops.op(whole, make_skia_path(drawing), pathops.PathOp.UNION, fix_winding=False)
    pen = SVGPathPen(None, ntos=format_number)
    whole.draw(pen)
    return str(pen.getCommands())


def make_skia_path(shape: Drawing) -> Any:
    """The shape as Skia has it; nobody may change it."""
    return _make_skia_path(shape.path, shape.even_odd)


@lru_cache(maxsize=4096)
def _make_skia_path(path: str, even_odd: bool) -> Any:
    import pathops
    from fontTools.svgLib.path import parse_path

    kind = pathops.FillType.EVEN_ODD if even_odd else pathops.FillType.WINDING
    made = pathops.Path(fillType=kind)
    parse_path(path, made.getPen(allow_open_paths=True))
    return made


def format_number(value: float) -> str:
    return f"{value:.5f}".rstrip("0").rstrip(".")
