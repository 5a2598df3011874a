"""Ornaments, rules, borders and logos, moved from their own view to their place on the panel."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from labelkit.model.outline import Outline
from labelkit.model.path_segments import Matrix, trace_contours
from labelkit.model.runs import Box, Ornament, Picture
from labelkit.order.layout import Art, Block, Border, Layout, OrnamentSpec
from labelkit.order.logo import Drawing, Logo

ART_AIR_MM = 1.6
"""Of art at a side, to head and foot of the trim: a taller drawing is made smaller."""

BAR_MM = 0.5
"""Rules as heavy as this are bars: one sees how they end."""

View = tuple[float, float, float, float]


def place_ornament(
    spec: OrnamentSpec, box: Box, colour: str, flip_x: bool = False, flip_y: bool = False
) -> Ornament:
    """The ornament's path moved from its view (y down) into ``box`` (y up, millimetres)."""
    move = _map_view_to_box(spec.view, box, flip_x, flip_y)
    return Ornament(spec.path, box, colour, spec.stroke_mm, spec.even_odd, spec.filled, move)


def place_logo(logo: Logo, box: Box, colour: str) -> tuple[list[Ornament], list[Picture]]:
    """A logo in its box: a picture as it is, a drawing of one colour in the label's ink."""
    if logo.pixels is not None:
        return [], [Picture(logo.picture, logo.pixels, box)]
    return [
        place_drawing(drawing, logo.view, box, drawing.colour or colour)
        for drawing in logo.drawings
    ], []


def place_drawing(drawing: Drawing, view: View, box: Box, colour: str) -> Ornament:
    """A drawing moved from its view (y down) into ``box`` (y up, millimetres)."""
    move = _map_view_to_box(view, box)
    return Ornament(drawing.path, box, colour, None, drawing.even_odd, move=move)


def _map_view_to_box(view: View, box: Box, flip_x: bool = False, flip_y: bool = False) -> Matrix:
    x, y, width, height = view
    sx, sy = box.width_mm / width, box.height_mm / height
    across = (-sx, box.x1_mm + x * sx) if flip_x else (sx, box.x0_mm - x * sx)
    up = (sy, box.y0_mm - y * sy) if flip_y else (-sy, box.y1_mm + y * sy)
    return across[0], 0.0, 0.0, up[0], across[1], up[1]


def find_aspect(block: Block, layout: Layout, logo: Logo | None) -> float:
    """Width over height of what is drawn in a block."""
    if block.picture and logo is not None:
        return logo.aspect
    view = layout.ornaments[block.ornament].view
    return view[2] / view[3]


def find_art_box(
    width_mm: float, height_mm: float, top: float, align: str, left: float, right: float
) -> Box:
    """Where art of some size stands in a row between two sides."""
    x = {"left": left, "right": right - width_mm}.get(align, (left + right - width_mm) / 2)
    return Box(x, top - height_mm, x + width_mm, top)


def make_rule_line(block: Block, top: float, left: float, right: float, colour: str) -> Ornament:
    """A line across a share of the inner width; a heavy one has square ends."""
    width = (right - left) * block.width_share
    start = {"left": left, "right": right - width}.get(block.align, (left + right - width) / 2)
    end, foot = start + width, top - block.stroke_mm
    box = Box(start, foot, end, top)
    if block.stroke_mm >= BAR_MM:
        corners = ((start, foot), (end, foot), (end, top), (start, top))
        path = "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in corners) + "Z"
        return Ornament(path, box, colour)
    y = (foot + top) / 2
    return Ornament(f"M{start:.4f} {y:.4f}L{end:.4f} {y:.4f}", box, colour, block.stroke_mm)


def place_fixed_art(
    art: Art, spec: OrnamentSpec, outline: Outline, colour: str, bleed_mm: float
) -> list[Ornament]:
    """An ornament anchored to an edge or corner of the trim, or repeated along an edge."""
    if art.repeat:
        return _repeat_along_edge(art, spec, outline, colour, bleed_mm)
    height = art.width_mm * spec.view[3] / spec.view[2]
    if art.anchor in ("left", "centre", "right") and art.inset_mm >= 0:
        height = min(height, outline.height_mm - 2 * ART_AIR_MM)
    width = height * spec.view[2] / spec.view[3]
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
    return [place_ornament(spec, box, colour, art.flip_x, art.flip_y)]


def _repeat_along_edge(
    art: Art, spec: OrnamentSpec, outline: Outline, colour: str, bleed_mm: float
) -> list[Ornament]:
    """A whole number of ornaments between the sides, none wider than asked; more over the bleed."""
    count = max(1, math.ceil(outline.width_mm / art.width_mm - 1e-9))
    width = outline.width_mm / count
    height = width * spec.view[3] / spec.view[2]
    y = art.inset_mm if "bottom" in art.anchor else outline.height_mm - height - art.inset_mm
    beyond = math.ceil(bleed_mm / width - 1e-9)
    return [
        place_ornament(
            spec, Box(n * width, y, (n + 1) * width, y + height), colour, art.flip_x, art.flip_y
        )
        for n in range(-beyond, count + beyond)
    ]


def make_border(line: Border, outline: Outline, colour: str) -> Ornament:
    """A line that follows the trim at a distance."""
    box = Box(0.0, 0.0, outline.width_mm, outline.height_mm).inset(line.inset_mm)
    return Ornament(outline.path(-line.inset_mm), box, line.colour or colour, line.stroke_mm)


def make_band(letters: Ornament, band: Box, outline: Outline, bleed_mm: float) -> Ornament:
    """A band of ink from edge to edge, as high as a box, with letters cut out.

    One that reaches the head of the trim runs over it.
    """
    low, high = band.y0_mm, band.y1_mm
    if high >= outline.height_mm:
        high += bleed_mm
    corners = _cut_strip(outline, bleed_mm, low, high)
    ink = "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in corners) + "Z"
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    box = Box(left, low, right, high)
    return replace(letters, drawn=ink + letters.path, box=box, even_odd=True, move=None)


def _cut_strip(
    outline: Outline, bleed_mm: float, low: float, high: float
) -> list[tuple[float, float]]:
    """The part of a trim and its bleed between two heights: of a convex shape, cut twice."""
    (corners,) = trace_contours(outline.path(bleed_mm))
    for level, sign in ((low, 1.0), (high, -1.0)):
        kept: list[tuple[float, float]] = []
        for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
            inside, follows = sign * (y0 - level) >= 0, sign * (y1 - level) >= 0
            if inside:
                kept.append((x0, y0))
            if inside != follows:
                kept.append((x0 + (x1 - x0) * (level - y0) / (y1 - y0), level))
        corners = kept
    return corners


def make_ground(outline: Outline, colour: str, bleed_mm: float) -> Ornament:
    """A solid colour over the whole panel and its bleed."""
    box = Box(0.0, 0.0, outline.width_mm, outline.height_mm).inset(-bleed_mm)
    return Ornament(outline.path(bleed_mm), box, colour)
