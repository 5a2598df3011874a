"""The lines to cut along as SVG and as DXF, for a cutting machine.

Both are in millimetres, with the sheet's lower left corner at the origin of the DXF and its upper
left at that of the SVG, as each of the two has it. Every layer is by itself, and the registration
marks that stand on the printed sheet are one of them: a machine that looks for them there finds
the cuts where the labels are, whatever the printer did.

The DXF is of release 12 (AC1009), which every program for cutting reads: closed POLYLINEs, since
that release knows neither splines nor ellipses.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from labelkit.common.frozen import dataclass
from labelkit.impose.sheet import RegistrationMark, Sheet
from labelkit.model.outline import Outline
from labelkit.model.path_segments import Point, trace_contours

REGISTRATION = "Registration"
STEPS = 12
"""Chords to 15 degrees of an arc: they leave a circle of 200 mm across by 6 µm."""
COLOURS = {
    "Die line": ("#ff00ff", 6),
    "Kiss cut": ("#00a0e0", 4),
    "Fold line": ("#00a000", 3),
    REGISTRATION: ("#000000", 7),
}
"""By which a program tells layers apart that knows no names: in SVG, and as DXF numbers colours."""


@dataclass(frozen=True, slots=True)
class CutLayer:
    """Lines of one kind on a sheet."""

    name: str
    paths: tuple[str, ...]
    """SVG path data in millimetres from the sheet's lower left corner, y up."""


def lay_cuts(sheet: Sheet, lines: Mapping[str, str]) -> tuple[CutLayer, ...]:
    """The cuts of a sheet by layer, and its registration marks.

    ``lines`` are paths of one label by the name of their layer, in its own millimetres, y up.
    """
    cuts = (
        CutLayer(name, tuple(move_path(path, place.matrix_mm) for place in sheet.places))
        for name, path in lines.items()
    )
    marks = tuple(path for target in sheet.registration for path in _draw_target(target))
    return (*cuts, CutLayer(REGISTRATION, marks))


def _draw_target(target: RegistrationMark) -> Iterator[str]:
    radius = target.radius_mm
    ring = Outline("round", 2 * radius, 2 * radius).path()
    yield move_path(ring, (1, 0, 0, 1, target.x_mm - radius, target.y_mm - radius))
    for line in target.cross:
        yield f"M{line.x0:.4f} {line.y0:.4f}L{line.x1:.4f} {line.y1:.4f}"


def move_path(path: str, matrix: Sequence[float]) -> str:
    """Path data moved by a matrix of six numbers."""
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    pen = SVGPathPen(None, ntos=_format_number)
    parse_path(path, TransformPen(pen, tuple(matrix)))
    return str(pen.getCommands())


def _format_number(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


# -- SVG -------------------------------------------------------------------------------------------


def draw_cut_svg(sheet: Sheet, layers: Iterable[CutLayer]) -> bytes:
    """The lines as SVG 1.1, a group to a layer; nothing is transformed, which some pass over."""
    width, height = (_format_number(v) for v in (sheet.page_width_mm, sheet.page_height_mm))
    flip = (1, 0, 0, -1, 0, sheet.page_height_mm)
    groups = []
    for layer in layers:
        colour, _ = COLOURS[layer.name]
        paths = "".join(f'<path d="{move_path(path, flip)}"/>\n' for path in layer.paths)
        name = layer.name.replace(" ", "-").lower()
        groups.append(
            f'<g id="{name}" fill="none" stroke="{colour}" stroke-width="0.1">\n'
            f"<title>{layer.name}</title>\n{paths}</g>\n"
        )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm"'
        f' height="{height}mm" viewBox="0 0 {width} {height}">\n{"".join(groups)}</svg>\n'
    ).encode()


# -- DXF -------------------------------------------------------------------------------------------


def draw_cut_dxf(sheet: Sheet, layers: Sequence[CutLayer]) -> bytes:
    """The lines as ASCII DXF, release 12."""
    pairs = [
        *_section("HEADER", _list_header(sheet)),
        *_section("TABLES", _list_tables(layers)),
        *_section("ENTITIES", (pair for layer in layers for pair in _list_polylines(layer))),
        (0, "EOF"),
    ]
    return "".join(f"{code}\r\n{value}\r\n" for code, value in pairs).encode("ascii")


Pair = tuple[int, object]
"""A group: its code, and what stands there."""


def _section(name: str, body: Iterable[Pair]) -> Iterator[Pair]:
    yield from ((0, "SECTION"), (2, name))
    yield from body
    yield 0, "ENDSEC"


def _list_header(sheet: Sheet) -> Iterator[Pair]:
    yield from ((9, "$ACADVER"), (1, "AC1009"))
    corner = (sheet.page_width_mm, sheet.page_height_mm)
    for name, (x, y) in (("$EXTMIN", (0.0, 0.0)), ("$EXTMAX", corner)):
        yield from ((9, name), (10, _format_number(x)), (20, _format_number(y)), (30, "0"))


def _list_tables(layers: Sequence[CutLayer]) -> Iterator[Pair]:
    yield from ((0, "TABLE"), (2, "LTYPE"), (70, 1), (0, "LTYPE"), (2, "CONTINUOUS"), (70, 0))
    yield from ((3, "Solid line"), (72, 65), (73, 0), (40, "0"), (0, "ENDTAB"))
    yield from ((0, "TABLE"), (2, "LAYER"), (70, len(layers)))
    for layer in layers:
        _, colour = COLOURS[layer.name]
        yield from ((0, "LAYER"), (2, _name_layer(layer)), (70, 0), (62, colour))
        yield 6, "CONTINUOUS"
    yield 0, "ENDTAB"


def _name_layer(layer: CutLayer) -> str:
    """Release 12 has capitals, figures, "$", "-" and "_"."""
    return layer.name.upper().replace(" ", "_")


def _list_polylines(layer: CutLayer) -> Iterator[Pair]:
    name = _name_layer(layer)
    for path in layer.paths:
        for contour in trace_contours(path, STEPS):
            closed = contour[0] == contour[-1]
            yield from ((0, "POLYLINE"), (8, name), (66, 1), (70, int(closed)))
            yield from ((10, "0"), (20, "0"), (30, "0"))
            for x, y in _drop_repeats(contour[:-1] if closed else contour):
                yield from ((0, "VERTEX"), (8, name))
                yield from ((10, _format_number(x)), (20, _format_number(y)), (30, "0"))
            yield from ((0, "SEQEND"), (8, name))


def _drop_repeats(points: Iterable[Point]) -> Iterator[Point]:
    """Points without those that lie on the one before: a blade would stand still there."""
    last: Point | None = None
    for point in points:
        if last is None or max(abs(a - b) for a, b in zip(point, last, strict=True)) > 1e-4:
            yield point
            last = point
