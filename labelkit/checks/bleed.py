"""Art that meets the cut, and whether it runs over it: a cut a little astray shows otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import Said, make_number
from labelkit.impose.warn import HARMLESS_MM
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours
from labelkit.model.runs import Box, Ornament, Panel
from labelkit.rules.findings import Finding

MEETS_MM = 0.05
"""Ink this near the trim is meant to reach it."""
PRESS_BLEED_MM = 2.0
"""What a printing works wants at the least; many ask for 3 mm (common practice, no source)."""


def check_bleed(panels: Iterable[Panel], bleed_mm: float) -> Iterator[Finding]:
    """A finding for each panel whose art meets the trim while the order has next to no bleed."""
    for panel in panels:
        if bleed_mm < HARMLESS_MM and meets_trim(panel):
            yield make_own_finding(
                "CRAFT-BLEED",
                Said("Art meets the cut and does not run over it: a cut astray leaves a bare edge"),
                panel=panel.name,
                measured=make_number(bleed_mm),
                required=make_number(PRESS_BLEED_MM),
                unit="mm",
                citation=Said("common practice, no source"),
                remedy=Said(
                    'Say bleed = "2 mm" under [label], or choose a layout whose art stops.'
                ),
            )


def meets_trim(panel: Panel) -> bool:
    """Whether art or a picture of a panel reaches its trim."""
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    return any(_reaches(one, outline) for one in panel.ornaments) or any(
        not outline.contains(picture.box, MEETS_MM) for picture in panel.pictures
    )


def _reaches(ornament: Ornament, outline: Outline) -> bool:
    half = (ornament.stroke_mm or 0.0) / 2
    if outline.contains(ornament.box, MEETS_MM + half):
        return False
    return any(
        not outline.contains(Box(x, y, x, y), MEETS_MM + half)
        for contour in trace_contours(ornament.path)
        for x, y in contour
    )
