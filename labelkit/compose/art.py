"""Ornaments, rules and borders, moved from their own view box to their place on the panel."""

from __future__ import annotations

from labelkit.runs import Box, Ornament
from labelkit.spec.layout import Art, Block, Border, OrnamentSpec
from labelkit.typeset.outline import Outline

RULE_MM = 0.2


def placed_ornament(
    spec: OrnamentSpec, box: Box, colour: str, flip_x: bool = False, flip_y: bool = False
) -> Ornament:
    """The ornament's path moved from its view box (y down) into ``box`` (y up, millimetres)."""
    from fontTools.misc.transform import Transform
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    x, y, width, height = spec.view
    sx, sy = box.width_mm / width, box.height_mm / height
    across = (-sx, box.x1_mm + x * sx) if flip_x else (sx, box.x0_mm - x * sx)
    up = (sy, box.y0_mm - y * sy) if flip_y else (-sy, box.y1_mm + y * sy)
    move = Transform(across[0], 0, 0, up[0], across[1], up[1])
    pen = SVGPathPen(None, ntos=lambda v: f"{v:.4f}".rstrip("0").rstrip("."))
    parse_path(spec.path, TransformPen(pen, move))
    return Ornament(pen.getCommands(), box, colour, spec.stroke_mm)


def ornament_box(
    spec: OrnamentSpec, height_mm: float, top: float, align: str, left: float, right: float
) -> Box:
    """Where an ornament of some height stands in a row between two sides."""
    width = height_mm * spec.view[2] / spec.view[3]
    x = {"left": left, "right": right - width}.get(align, (left + right - width) / 2)
    return Box(x, top - height_mm, x + width, top)


def rule(block: Block, y: float, left: float, right: float, colour: str) -> Ornament:
    """A thin line across a share of the inner width."""
    half, middle = (right - left) * block.width_share / 2, (left + right) / 2
    path = f"M{middle - half:.4f} {y:.4f}L{middle + half:.4f} {y:.4f}"
    box = Box(middle - half, y - RULE_MM / 2, middle + half, y + RULE_MM / 2)
    return Ornament(path, box, colour, RULE_MM)


def fixed_art(art: Art, spec: OrnamentSpec, outline: Outline, colour: str) -> Ornament:
    """An ornament anchored to an edge or corner of the trim."""
    width, height = art.width_mm, art.width_mm * spec.view[3] / spec.view[2]
    room_x, room_y = outline.width_mm - width, outline.height_mm - height
    x, y = room_x / 2, room_y / 2
    if "left" in art.anchor:
        x = art.inset_mm
    elif "right" in art.anchor:
        x = room_x - art.inset_mm
    if "top" in art.anchor:
        y = room_y - art.inset_mm
    elif "bottom" in art.anchor:
        y = art.inset_mm
    box = Box(x, y, x + width, y + height)
    return placed_ornament(spec, box, colour, art.flip_x, art.flip_y)


def border(line: Border, outline: Outline, colour: str) -> Ornament:
    """A line that follows the trim at a distance."""
    box = Box(0.0, 0.0, outline.width_mm, outline.height_mm).inset(line.inset_mm)
    return Ornament(outline.path(-line.inset_mm), box, line.colour or colour, line.stroke_mm)
