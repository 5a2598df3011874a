"""The sizes of small text that a label and the pieces with it share.

It stands in one size on the label and on every piece of about its size, on larger and smaller ones
in whole steps of one scale: as large as all have room for. Names are as large as each piece lets
them be, and what the law wants larger is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from labelkit.compose.drawing import FittedPanel
from labelkit.compose.panel import ACCENTED
from labelkit.compose.scale import find_growth
from labelkit.model.outline import Outline
from labelkit.order.label import Trim
from labelkit.order.layout import DESIGNS, READABLE_MM, Layout, PanelLayout, SizeSpec

SIZE_STEP = 4 / 3
"""From size to size of the scale: a fourth (common practice, no source)."""
_GRAIN_PT = 0.01
_ROUNDING = 1e-6

SharedSizes = Mapping[tuple[str, str], float]
"""In points, by side and size class, on a trim as large as the label's."""


class SizedFace(NamedTuple):
    """A face of the label or of a piece, composed as it likes best."""

    side: str
    """Whose design it has."""
    most_step: int
    made: FittedPanel


def find_most_step(layout: Layout, trim: Trim, label: tuple[Layout, Trim]) -> int:
    """The largest step of the scale for small text on a trim, by the sizes that its layout likes
    there and the label's on its own: there, and on anything smaller, it is 0."""
    growth, of_label = (
        find_growth(of.drawn_for_mm, Outline(on.shape, on.width_mm, on.height_mm, on.corner_mm))
        for of, on in ((layout, trim), label)
    )
    return max(0, math.floor(math.log(growth / of_label, SIZE_STEP) + _ROUNDING))


def share_sizes(layout: Layout, faces: Iterable[SizedFace]) -> SharedSizes:
    """The largest sizes of small text for which every face has room, the label's coming first.

    A face with so little room that all would lose a whole step has smaller steps of its own. Of
    one on which letters are below what reads well the others take no notice.
    """
    first: dict[tuple[str, str], float] = {}
    found: dict[tuple[str, str], float] = {}
    for side, most_step, made in faces:
        for fit in made.fit.elements if _reads_well(layout, made) else ():
            key = side, fit.size_class
            liked = math.log(fit.size_pt / first.setdefault(key, fit.size_pt), SIZE_STEP)
            size_pt = fit.size_pt / SIZE_STEP ** min(most_step, int(liked))
            found[key] = min(found.get(key, math.inf), size_pt)
    large = {
        (side, block.size)
        for side in ("front", "back")
        for block in layout.panel(side).blocks
        if block.element in ACCENTED
    }
    return {key: size_pt for key, size_pt in found.items() if key not in large}


def keep_sizes(
    layout: Layout, plan: PanelLayout, sizes: SharedSizes, free: SizedFace
) -> PanelLayout:
    """A design with the shared sizes, in the largest steps for which a face as it was set ``free``
    has room."""
    if not _reads_well(layout, free.made):
        return plan
    kept = dict(plan.sizes)
    for fit in free.made.fit.elements:
        shared = sizes.get((free.side, fit.size_class))
        if shared is None:
            continue
        fits = math.floor(math.log(fit.size_pt / shared, SIZE_STEP) + _ROUNDING)
        step = min(free.most_step, fits)
        size_pt = _round_down(shared * SIZE_STEP**step)
        if step >= 0 or size_pt >= plan.sizes[fit.size_class].least_pt:
            kept[fit.size_class] = SizeSpec(size_pt, size_pt, kept=True)
    return _put_sizes(plan, tuple(kept.items()), max(1, free.made.fit.step))


@lru_cache(maxsize=DESIGNS)
def _put_sizes(
    plan: PanelLayout, sizes: tuple[tuple[str, SizeSpec], ...], first_step: int
) -> PanelLayout:
    return replace(plan, sizes=dict(sizes), first_step=first_step)


def has_kept_sizes(plan: PanelLayout, made: FittedPanel) -> bool:
    """Whether a face has the sizes that a design keeps anyway."""
    sizes = ((plan.sizes[fit.size_class], fit.size_pt) for fit in made.fit.elements)
    return all(size_pt == size.most_pt for size, size_pt in sizes if size.kept)


def _reads_well(layout: Layout, made: FittedPanel) -> bool:
    step = made.fit.step
    return not step or layout.steps[step - 1].letters_mm >= READABLE_MM


def _round_down(size_pt: float) -> float:
    return round(math.floor(size_pt / _GRAIN_PT + _ROUNDING) * _GRAIN_PT, 2)
