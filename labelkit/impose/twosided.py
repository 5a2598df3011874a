"""Pieces with two sides: sheets printed on both sides in register, tags that fold, bands that wrap.

Separate stickers for front and back need none of this; they are two sheets alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from labelkit.errors import FitError
from labelkit.impose.sheet import Line, Place, Sheet
from labelkit.runs import Box

FLIPS = ("long", "short")
"""The edge of the page about which a duplex printer, or a hand, turns the sheet over."""


def mirror_for_back(sheet: Sheet, flip: str = "long") -> Sheet:
    """The other side of a sheet: every label behind its front, upright when the piece is turned.

    A piece is turned like a page, about its own upright axis. Crop and registration marks fall on
    those of the front; ruler, cut numbers and notes are on the front alone.
    """
    if flip not in FLIPS:
        raise ValueError(f"flip {flip!r}; expected one of {', '.join(FLIPS)}")
    width, height = sheet.page_width_mm, sheet.page_height_mm
    sideways = (flip == "long") == (height >= width)

    def over(x: float, y: float) -> tuple[float, float]:
        return (width - x, y) if sideways else (x, height - y)

    def place(front: Place) -> Place:
        x, y = over(front.x_mm, front.y_mm)
        # Turned about the page's upright axis, a label's left becomes right; about the level one
        # its top becomes its foot.
        if sideways:
            return replace(front, x_mm=x - front.width_mm, turns=-front.turns % 4)
        return replace(front, y_mm=y - front.height_mm, turns=(2 - front.turns) % 4)

    def line(mark: Line) -> Line:
        return Line(*over(mark.x0, mark.y0), *over(mark.x1, mark.y1), mark.weight_pt)

    return Sheet(
        page_width_mm=width,
        page_height_mm=height,
        places=tuple(place(front) for front in sheet.places),
        marks=tuple(line(mark) for mark in sheet.marks),
        registration=tuple(
            replace(target, x_mm=x, y_mm=y)
            for target in sheet.registration
            for x, y in (over(target.x_mm, target.y_mm),)
        ),
    )


# -- pieces of several panels ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Part:
    """Where one panel stands on a flat piece, from the piece's lower left corner."""

    panel: str
    box: Box
    """Its trim as it lies on the piece."""
    turns: int = 0
    """Quarter turns anticlockwise."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A flat piece that carries several panels: what is cut out and then folded or wrapped.

    It has the measures of a trim, and is imposed like one.
    """

    width_mm: float
    height_mm: float
    parts: tuple[Part, ...]
    folds: tuple[Line, ...] = ()
    unprinted: tuple[Box, ...] = ()
    """Where nothing is printed: glue needs bare paper."""
    shape: str = "rectangle"
    corner_mm: float = 0.0

    def part(self, panel: str) -> Part:
        return next(part for part in self.parts if part.panel == panel)


def fold_over_tag(
    width_mm: float, height_mm: float, fold: str = "head", spine_mm: float = 0.0
) -> Piece:
    """A tag of this size printed flat on one side and folded, front outside and back outside.

    ``fold`` is "head" (over the top, the back upside down on the flat) or "side" (like a book);
    ``spine_mm`` is the width lost in the fold of thick card.
    """
    if fold == "side":
        middle = width_mm + spine_mm
        return Piece(
            width_mm + middle,
            height_mm,
            (
                Part("front", Box(middle, 0.0, middle + width_mm, height_mm)),
                Part("back", Box(0.0, 0.0, width_mm, height_mm)),
            ),
            tuple(Line(x, 0.0, x, height_mm) for x in sorted({width_mm, middle})),
        )
    if fold != "head":
        raise ValueError(f"fold {fold!r}; expected head or side")
    middle = height_mm + spine_mm
    return Piece(
        width_mm,
        height_mm + middle,
        (
            Part("front", Box(0.0, 0.0, width_mm, height_mm)),
            Part("back", Box(0.0, middle, width_mm, middle + height_mm), 2),
        ),
        tuple(Line(0.0, y, width_mm, y) for y in sorted({height_mm, middle})),
    )


def wrap_band(front_width_mm: float, depth_mm: float, height_mm: float, overlap_mm: float) -> Piece:
    """A band around a bar: side, front, side, back, and an overlap glued under the first side.

    ``front_width_mm`` is the bar's face, ``depth_mm`` its thickness, ``height_mm`` the width of
    the paper strip. Raises FitError for an overlap that would reach under the front.
    """
    if overlap_mm > depth_mm:
        raise FitError(
            "band",
            f"an overlap of {overlap_mm:g} mm reaches under the front of a piece {depth_mm:g} mm"
            " thick",
            (f"an overlap of at most {depth_mm:g} mm",),
        )
    edges = [depth_mm, depth_mm + front_width_mm, 2 * depth_mm + front_width_mm]
    girth = 2 * (front_width_mm + depth_mm)
    return Piece(
        girth + overlap_mm,
        height_mm,
        (
            Part("front", Box(edges[0], 0.0, edges[1], height_mm)),
            Part("back", Box(edges[2], 0.0, girth, height_mm)),
        ),
        tuple(Line(x, 0.0, x, height_mm) for x in (*edges, girth)),
        (Box(girth, 0.0, girth + overlap_mm, height_mm),),
    )


def part_of_sheet(sheet: Sheet, piece: Piece, panel: str) -> Sheet:
    """The sheet of one panel, where ``sheet`` places whole pieces."""
    part = piece.part(panel)
    return replace(sheet, places=tuple(_part_place(place, piece, part) for place in sheet.places))


def _part_place(place: Place, piece: Piece, part: Part) -> Place:
    box = _on_page(place, piece, part.box)
    return Place(
        place.index, box.x0_mm, box.y0_mm, box.width_mm, box.height_mm,
        (place.turns + part.turns) % 4, place.cell,
    )  # fmt: skip


def _on_page(place: Place, piece: Piece, box: Box) -> Box:
    """A box of the flat piece as it lies on the page."""
    width, height = piece.width_mm, piece.height_mm
    turned = (
        box,
        Box(height - box.y1_mm, box.x0_mm, height - box.y0_mm, box.x1_mm),
        Box(width - box.x1_mm, height - box.y1_mm, width - box.x0_mm, height - box.y0_mm),
        Box(box.y0_mm, width - box.x1_mm, box.y1_mm, width - box.x0_mm),
    )[place.turns]
    return turned.shifted(place.x_mm, place.y_mm)
