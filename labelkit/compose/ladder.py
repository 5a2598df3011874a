"""The steps down from the setting that a layout likes to what only the law holds up."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from labelkit.compose.arrangements import load_spec_face
from labelkit.compose.letters import find_least_size_pt
from labelkit.order.layout import (
    DESIGNS,
    Block,
    FaceSpec,
    Layout,
    PanelLayout,
    SizeSpec,
    TighterStep,
)
from labelkit.rules.floors import HeightFloor, LetterMeasure

SMALL_LETTERS = "o"
MOST_NAME_LINES = 3
"""Names of people stand in so many lines where the layout's own number does not hold them."""


@lru_cache(maxsize=DESIGNS)
def tighten_layout(
    plan: PanelLayout, layout: Layout, step: TighterStep, edge_mm: float
) -> PanelLayout:
    """The plan with its sizes, leading and margin let down to a step, where they are not below it,
    and with room for names in a line more.

    The margin stays where a line or a drawing keeps to it, and at ``edge_mm`` or more: what the
    law keeps some element from the edge.
    """
    drawn = plan.borders or plan.art
    margin = plan.margin_mm if drawn else min(plan.margin_mm, max(step.margin_mm, edge_mm))
    return replace(
        plan,
        margin_mm=margin,
        sizes={name: _lower_least_size(name, plan, layout, step) for name in plan.sizes},
        blocks=tuple(_tighten_block(block, step) for block in plan.blocks),
    )


@lru_cache(maxsize=DESIGNS)
def _tighten_block(block: Block, step: TighterStep) -> Block:
    if not block.element:
        return block
    lines = max(block.lines, MOST_NAME_LINES) if block.element == "names" else block.lines
    leading = min(block.leading, step.leading)
    if (lines, leading) == (block.lines, block.leading):
        return block
    return replace(block, leading=leading, lines=lines)


def _lower_least_size(name: str, plan: PanelLayout, layout: Layout, step: TighterStep) -> SizeSpec:
    """A size class whose small letters may print as small as the step says."""
    size = plan.sizes[name]
    if size.kept:
        return size
    faces = {layout.faces[b.face] for b in plan.blocks if b.element and b.size == name}
    needed = [_find_letters_size_pt(face, step) for face in faces]
    least = max((pt for pt in needed if pt < math.inf), default=size.least_pt)
    return replace(size, least_pt=min(size.least_pt, math.ceil(least * 100) / 100))


def _find_letters_size_pt(spec: FaceSpec, step: TighterStep) -> float:
    """The size at which a face's small letters print as tall as a step asks."""
    floor = HeightFloor(Decimal(repr(step.letters_mm)), LetterMeasure.SMALL_O, "", legal=False)
    return find_least_size_pt(load_spec_face(spec, spec.widths[0]), SMALL_LETTERS, floor)
