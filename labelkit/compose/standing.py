"""Between which heights a row fits a curved shape, its ways of setting given."""

from __future__ import annotations

import math
from functools import cached_property
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.compose.lines import count_block_lines, measure_line_strips
from labelkit.compose.options import measure_row_width_mm
from labelkit.compose.parts import BlockRow, SetArt, SetBlock, Sets, list_set_blocks
from labelkit.compose.room import PLACE_ROUNDING_MM, Room, TextArea

STEP_MM = 0.1
"""How closely the bounds of a broken paragraph are looked for."""


class RowBounds(NamedTuple):
    """Where lines of known widths may stand: the lowest and highest place of the row's top.

    A row that fits nowhere has none.
    """

    lowest_mm: float = -math.inf
    highest_mm: float = math.inf
    nowhere: bool = False

    def fits(self, top_mm: float) -> bool:
        """Whether the row fits with its top at a height."""
        if self.nowhere:
            return False
        return self.lowest_mm - PLACE_ROUNDING_MM <= top_mm <= self.highest_mm + PLACE_ROUNDING_MM


@dataclass(frozen=True, eq=False)
class ParagraphBounds:
    """Where a block may stand whose lines are as wide as the shape lets them be.

    Its bounds are looked for from where it stands across the widest part of the shape. Where it
    does not fit even there it fits nowhere, and has none.
    """

    place: TextArea
    made: SetBlock
    pad_mm: float

    def fits(self, top_mm: float) -> bool:
        """Whether it takes no more lines there than were counted for it."""
        made = self.made
        room = Room.below(self.place, top_mm - self.pad_mm)
        counts = count_block_lines(made.way, made.size_pt, room, made.hyphenated)
        return counts is not None and all(
            count <= most for count, most in zip(counts, made.counts, strict=True)
        )

    @cached_property
    def lowest_mm(self) -> float:
        return self._furthest(self.place.foot_mm + self.made.height_mm + self.pad_mm, -math.inf)

    @cached_property
    def highest_mm(self) -> float:
        return self._furthest(self.place.top_mm + self.pad_mm, math.inf)

    def _furthest(self, end_mm: float, nowhere: float) -> float:
        """The top nearest to ``end_mm`` at which it fits."""
        if self.fits(end_mm):
            return end_mm
        if not self._fits_centred:
            return nowhere
        inner, outer = self._centred_mm, end_mm
        while abs(outer - inner) > STEP_MM:
            tried = (inner + outer) / 2
            inner, outer = (tried, outer) if self.fits(tried) else (inner, tried)
        return inner

    @cached_property
    def _centred_mm(self) -> float:
        """The top of the block where it stands across the widest part of the shape."""
        height = self.made.height_mm
        lowest, highest = self.place.foot_mm + height, self.place.top_mm
        return min(max(self.place.widest_at_mm + height / 2, lowest), highest) + self.pad_mm

    @cached_property
    def _fits_centred(self) -> bool:
        return self.fits(self._centred_mm)


Standing = RowBounds | ParagraphBounds


def find_standing(place: TextArea, row: BlockRow, sets: Sets) -> Standing:
    """Where in a curved shape a row may stand."""
    pad = row.pads_mm(sets)[0]
    strips = _measure_row_strips(row, sets)
    if strips is None:
        (made,) = list_set_blocks(sets)
        return ParagraphBounds(place, made, pad)
    lowest, highest = -math.inf, math.inf
    for upper, lower, width in strips:
        low, high = place.span_mm(width)
        lowest = max(lowest, low + lower + pad)
        highest = min(highest, high + upper + pad)
    return RowBounds(lowest, highest) if lowest <= highest else RowBounds(nowhere=True)


def _measure_row_strips(row: BlockRow, sets: Sets) -> list[tuple[float, float, float]] | None:
    """What a row takes of the shape: between two distances below its top, a width.

    None where a paragraph is broken into lines: those are as wide as the shape lets them be.
    """
    first = sets[0]
    if isinstance(first, SetArt):
        return [(0.0, first.height_mm, first.width_mm)]
    blocks = list_set_blocks(sets)
    if len(blocks) > 1:
        return [(0.0, row.ink_mm(blocks), measure_row_width_mm(blocks))]
    return measure_line_strips(first)
