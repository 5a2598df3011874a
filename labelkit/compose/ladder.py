"""The steps down from the setting that a layout likes to what only the law holds up."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

from labelkit.compose.arrangements import load_face_of
from labelkit.compose.letters import least_size_pt
from labelkit.order.layout import Block, FaceSpec, Layout, PanelLayout, SizeSpec, Step
from labelkit.rules.floors import HeightFloor, Measure

SMALL_LETTERS = "o"


def tightened(plan: PanelLayout, layout: Layout, step: Step, edge_mm: float) -> PanelLayout:
    """The plan with its sizes, leading and margin let down to a step, where they are not below it.

    The margin stays where a line or a drawing keeps to it, and at ``edge_mm`` or more: what the
    law keeps some element from the edge.
    """
    drawn = plan.borders or plan.art
    margin = plan.margin_mm if drawn else min(plan.margin_mm, max(step.margin_mm, edge_mm))
    return replace(
        plan,
        margin_mm=margin,
        sizes={name: _let_down(name, plan, layout, step) for name in plan.sizes},
        blocks=tuple(_closer(block, step) for block in plan.blocks),
    )


def _closer(block: Block, step: Step) -> Block:
    return replace(block, leading=min(block.leading, step.leading)) if block.element else block


def _let_down(name: str, plan: PanelLayout, layout: Layout, step: Step) -> SizeSpec:
    """A size class whose small letters may print as small as the step says."""
    size = plan.sizes[name]
    faces = {layout.faces[b.face] for b in plan.blocks if b.element and b.size == name}
    needed = [_letters_pt(face, step) for face in faces]
    least = max((pt for pt in needed if pt < math.inf), default=size.least_pt)
    return replace(size, least_pt=min(size.least_pt, math.ceil(least * 100) / 100))


def _letters_pt(spec: FaceSpec, step: Step) -> float:
    """The size at which a face's small letters print as tall as a step asks."""
    floor = HeightFloor(Decimal(repr(step.letters_mm)), Measure.SMALL_O, "", legal=False)
    return least_size_pt(load_face_of(spec, spec.widths[0]), SMALL_LETTERS, floor)
