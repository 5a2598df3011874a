"""An ornament repeated over a part of the ground, where nothing is written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from labelkit.compose.art import place_ornament
from labelkit.compose.ornament.pencil import find_bounds
from labelkit.compose.ornament.walk import find_way
from labelkit.model.outline import Outline
from labelkit.model.runs import Box, Ornament
from labelkit.order.layout import OrnamentSpec
from labelkit.order.ornament import Pattern

STRAIGHT = ("rectangle", "rounded", "square")
ROW_SHARE = 0.56
"""From row to row, as a share of the pitch."""
AIR_MM = 0.9
"""Between a motif and text, and, where nothing bleeds, between a motif and the trim."""
Motif = tuple[Box, str, tuple[float, float, float, float]]
"""The room a motif takes with its air, its path, and the bounds of its ink."""


def fill_pattern(
    pattern: Pattern,
    spec: OrnamentSpec,
    outline: Outline,
    colour: str,
    bleed_mm: float,
    taken: Sequence[Box],
) -> list[Ornament]:
    """The motifs of a pattern as one ornament; ``taken`` is where text is.

    Only whole motifs are drawn: they run over the trim where the label bleeds, and stay inside it
    where it does not.
    """
    ink = pattern.colour or colour
    made = [
        (path, bounds)
        for room, path, bounds in _place_motifs(pattern, spec, outline, bleed_mm)
        if not any(room.meets(text) for text in taken)
    ]
    if not made:
        return []
    lefts, feet, rights, heads = zip(*(bounds for _, bounds in made), strict=True)
    box = Box(min(lefts), min(feet), max(rights), max(heads))
    path = "".join(path for path, _ in made)
    return [Ornament(path, box, ink, spec.stroke_mm, spec.even_odd, spec.filled)]


@lru_cache(maxsize=32)
def _place_motifs(
    pattern: Pattern, spec: OrnamentSpec, outline: Outline, bleed_mm: float
) -> tuple[Motif, ...]:
    """Every motif that an empty ground would have; words that are typed in take some away."""
    return tuple(
        (box.inset(-AIR_MM), path, find_bounds([path]))
        for box, turned in _list_boxes(pattern, spec, outline, bleed_mm)
        for path in [place_ornament(spec, box, "", flip_y=pattern.turn and turned).path]
    )


def _list_boxes(
    pattern: Pattern, spec: OrnamentSpec, outline: Outline, bleed_mm: float
) -> Iterator[tuple[Box, bool]]:
    """Where motifs stand: round a curved trim in rings, else over all that is asked."""
    if outline.shape in STRAIGHT or pattern.area != "around":
        yield from _list_grid(pattern, spec, outline, bleed_mm)
    else:
        yield from _list_rings(pattern, spec, outline)


def _list_rings(
    pattern: Pattern, spec: OrnamentSpec, outline: Outline
) -> Iterator[tuple[Box, bool]]:
    """Rings inside the trim, evenly filled and begun half a step apart."""
    half_w = pattern.width_mm / 2
    half_h = half_w * spec.view[3] / spec.view[2]
    inset, ring = AIR_MM + half_h, 0
    while inset + half_h <= pattern.depth_mm + AIR_MM:
        way = find_way(outline, inset)
        count = max(6, 2 * round(way.length / pattern.pitch_mm / 2))
        for number in range(count):
            x, y = way.at(way.length * (number + (ring % 2) / 2) / count)[0]
            yield Box(x - half_w, y - half_h, x + half_w, y + half_h), bool(ring % 2)
        inset, ring = inset + pattern.pitch_mm * ROW_SHARE, ring + 1


def _list_grid(
    pattern: Pattern, spec: OrnamentSpec, outline: Outline, bleed_mm: float
) -> Iterator[tuple[Box, bool]]:
    """Every second row half a step aside; a row runs along every edge."""
    width = pattern.width_mm
    height = width * spec.view[3] / spec.view[2]
    straight = outline.shape in STRAIGHT
    # Edges of straight-sided shapes cut motifs cleanly; beyond curved ones ink is waste or worse.
    reach = bleed_mm + width if bleed_mm or straight else -AIR_MM
    columns = max(1, round(outline.width_mm / pattern.pitch_mm))
    rows = max(1, round(outline.height_mm / pattern.pitch_mm / ROW_SHARE / 2)) * 2
    across, up = outline.width_mm / columns, outline.height_mm / rows
    for row in range(-2, rows + 3):
        for column in range(-2, columns + 3):
            x, y = (column + (row % 2) / 2) * across, row * up
            box = Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if outline.contains(box, -reach) and _is_in_area(pattern, box, outline):
                yield box, bool(row % 2)


def _is_in_area(pattern: Pattern, box: Box, outline: Outline) -> bool:
    depth = pattern.depth_mm
    match pattern.area:
        case "head":
            return box.y0_mm >= outline.height_mm - depth
        case "foot":
            return box.y1_mm <= depth
        case "left":
            return box.x1_mm <= depth
        case "right":
            return box.x0_mm >= outline.width_mm - depth
        case "around":
            # Off the room inside: none of its corners stands deeper than that.
            corners = [(x, y) for x in (box.x0_mm, box.x1_mm) for y in (box.y0_mm, box.y1_mm)]
            return not any(outline.contains(Box(x, y, x, y), depth) for x, y in corners)
    return True
