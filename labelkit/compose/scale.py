"""A layout's measures for the trim at hand: larger type on larger labels."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from labelkit.compose.element_words import Wordings
from labelkit.compose.room import STRAIGHT
from labelkit.model.outline import Outline
from labelkit.order.layout import DESIGNS, Art, Block, PanelLayout, SizeSpec
from labelkit.order.ornament import LINE_AIR_MM, TEXT_AIR_MM, Surround
from labelkit.rules.floors import Floors

MOST_GROWTH = 3.0
LEAST_SURROUND = 0.64
LEAST_MARGIN_MM = 2.0
LEAST_MARGIN_SMALL_MM = 1.5
SMALL_TRIM_MM = 30.0
"""A trim with a shorter side may have the slimmer margin (common practice, no source)."""


@lru_cache(maxsize=DESIGNS)
def scale_layout(
    plan: PanelLayout, drawn_for_mm: tuple[float, float], outline: Outline, edge_mm: float
) -> PanelLayout:
    """The panel's plan with everything that is taste scaled to the trim.

    Least sizes stay: they are what can still be read. The margin is at least ``edge_mm``, what an
    element that is on the panel must keep from its edge.
    """
    share = _measure_share(drawn_for_mm, outline)
    growth = find_growth(drawn_for_mm, outline)
    sizes = {name: _scale_size(size, growth) for name, size in plan.sizes.items()}
    return replace(
        plan,
        margin_mm=max(_scale_margin(plan.margin_mm, share, growth, outline), edge_mm),
        unit_mm=plan.unit_mm * growth,
        sizes=sizes,
        blocks=tuple(_scale_block(block, growth) for block in plan.blocks),
        art=tuple(_scale_art(art, growth) for art in plan.art),
        keep_clear_mm=tuple(side * growth for side in plan.keep_clear_mm),  # type: ignore[arg-type]
        surrounds=tuple(_scale_surround(one, share) for one in plan.surrounds),
        patterns=tuple(replace(one, depth_mm=one.depth_mm * growth) for one in plan.patterns),
    )


def find_growth(drawn_for_mm: tuple[float, float], outline: Outline) -> float:
    """How much larger the largest type of a layout is on a trim than on the one it is meant for."""
    return min(MOST_GROWTH, max(1.0, _measure_share(drawn_for_mm, outline)))


def _measure_share(drawn_for_mm: tuple[float, float], outline: Outline) -> float:
    """The size of a trim as a share of what a layout is meant for: of lengths, not of areas."""
    box = outline.width_mm * outline.height_mm
    area = box if outline.shape in STRAIGHT else outline.area_mm2
    return math.sqrt(area / (drawn_for_mm[0] * drawn_for_mm[1]))


def _scale_size(size: SizeSpec, growth: float) -> SizeSpec:
    return size if size.kept else replace(size, most_pt=round(size.most_pt * growth, 2))


@lru_cache(maxsize=DESIGNS)
def keep_room_for_art(plan: PanelLayout, outline: Outline) -> PanelLayout:
    """The plan with a margin that leaves what grows along the trim its room."""
    shape = outline.shape
    taken = [
        one.inset_mm + one.depth_mm + TEXT_AIR_MM
        for one in plan.surrounds
        if one.keeps_clear and shape in one.shapes
    ]
    taken += [
        line.inset_mm + line.stroke_mm / 2 + LINE_AIR_MM
        for line in plan.borders
        if shape in line.shapes
    ]
    patterns = [one for one in plan.patterns if shape in one.shapes]
    taken += [one.depth_mm + TEXT_AIR_MM for one in patterns if one.area == "around"]
    margin_mm = max([plan.margin_mm, *taken])
    sides = list(plan.keep_clear_mm)
    for number, side in enumerate(("head", "right", "foot", "left")):
        deep = [one.depth_mm + TEXT_AIR_MM - margin_mm for one in patterns if one.area == side]
        sides[number] = max([sides[number], *deep])
    return replace(
        plan, margin_mm=margin_mm, keep_clear_mm=(sides[0], sides[1], sides[2], sides[3])
    )


def _scale_margin(liked_mm: float, share: float, growth: float, outline: Outline) -> float:
    if share >= 1:
        return liked_mm * math.sqrt(growth)
    small = min(outline.width_mm, outline.height_mm) < SMALL_TRIM_MM
    least = LEAST_MARGIN_SMALL_MM if small else LEAST_MARGIN_MM
    return max(min(liked_mm, least), liked_mm * share)


def find_edge_clearance_mm(words: Wordings, floors: Floors) -> float:
    """How far from the edge some element on the panel must stay, in millimetres."""
    edges = (dict(floors.of(element).clear_mm).get("edge", 0) for element in words)
    return float(max(edges, default=0))


@lru_cache(maxsize=DESIGNS)
def _scale_block(block: Block, growth: float) -> Block:
    if block.beside:
        return replace(block, beside_height_mm=block.beside_height_mm * growth)
    if not block.height_mm[1]:
        return block
    (least, most), (low, high) = block.height_mm, block.picture_height_mm
    return replace(block, height_mm=(least, most * growth), picture_height_mm=(low, high * growth))


def _scale_surround(one: Surround, share: float) -> Surround:
    """Drawings along the trim grow with it, less than type does, and shrink a little."""
    by = math.sqrt(min(MOST_GROWTH, max(LEAST_SURROUND, share)))
    return replace(one, depth_mm=one.depth_mm * by, spacing_mm=one.spacing_mm * by)


def _scale_art(art: Art, growth: float) -> Art:
    return replace(art, width_mm=art.width_mm * growth) if growth > 1 else art
