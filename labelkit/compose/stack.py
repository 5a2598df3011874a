"""Where the rows of a panel stand: head, middle and foot, pushed to where they fit the shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from labelkit.compose.choices import Choices
from labelkit.compose.lines import line_counts, line_strips
from labelkit.compose.options import row_width_mm
from labelkit.compose.parts import Row, SetArt, SetBlock, Sets, set_blocks
from labelkit.compose.room import Place, Room
from labelkit.spec.layout import ZONES

OPTICAL_CENTRE = 0.46
"""Share of the free height above a block that is meant to look centred (book practice)."""
SHIFT_STEP_MM = 0.1
PLACE_ROUNDING_MM = 1e-6

_Steps = list[tuple[Row, float]]
"""Rows of a zone, and how far below the zone's top each begins."""


@dataclass(frozen=True)
class Stack:
    """Stacks the rows of one panel. Heights are millimetres from the foot of the trim."""

    place: Place
    choices: Choices
    unit_mm: float
    _clear: dict[tuple[object, ...], bool] = field(default_factory=dict)

    def gap_mm(self, row: Row, above: Row) -> float:
        """The space before a row, as the layout likes it; none where the law keeps more clear."""
        if self._keep_clear(row) or self._keep_clear(above):
            return 0.0
        return row.lead.above * self.unit_mm

    def gaps_mm(self, rows: Sequence[Row]) -> float:
        """All spaces between rows together."""
        return sum(self.gap_mm(row, above) for above, row in pairwise(rows))

    def tops(
        self, rows: Sequence[Row], sets: Mapping[int, Sets], gaps: float
    ) -> tuple[dict[int, float], float]:
        """Top of every row, and how much height is left over (below zero: lacking).

        ``gaps`` is the share of the liked spaces that is kept.
        """
        before = {row.index: self.gap_mm(row, above) * gaps for above, row in pairwise(rows)}
        zones = {zone: [row for row in rows if row.lead.zone == zone] for zone in ZONES}
        steps: dict[str, _Steps] = {}
        heights: dict[str, float] = {}
        for zone, members in zones.items():
            steps[zone], heights[zone] = self._steps(members, sets, before)
        leading = {
            z: before.get(members[0].index, 0.0) if members else 0.0 for z, members in zones.items()
        }
        head = self.place.top_mm - self._pushed(steps["head"], sets, self.place.top_mm, -1)
        lowest = self.place.foot_mm + heights["foot"]
        foot = lowest + self._pushed(steps["foot"], sets, lowest, 1)
        middle_top = head - heights["head"] - leading["middle"]
        free = middle_top - foot - leading["foot"] - heights["middle"]
        middle = middle_top - max(free, 0.0) * OPTICAL_CENTRE
        starts = {"head": head, "middle": middle, "foot": foot}
        return {row.index: starts[zone] - d for zone in ZONES for row, d in steps[zone]}, free

    def fits(
        self, rows: Sequence[Row], sets: Mapping[int, Sets], tops: Mapping[int, float]
    ) -> bool:
        """Whether every row fits the shape where it stands."""
        if self.place.straight:
            return True
        return all(self._need(row, sets[row.index])(tops[row.index]) for row in rows)

    def void_mm(
        self, rows: Sequence[Row], sets: Mapping[int, Sets], tops: Mapping[int, float]
    ) -> float:
        """How far the shape keeps the text from its head and its foot."""
        if self.place.straight or not rows:
            return 0.0
        first, last = rows[0], rows[-1]
        foot = tops[last.index] - last.height_mm(sets[last.index])
        return (self.place.top_mm - tops[first.index]) + (foot - self.place.foot_mm)

    def _keep_clear(self, row: Row) -> bool:
        """Whether the law keeps what is above and below a row away from it."""
        key = row.key
        if key not in self._clear:
            floors = [self.choices.ways.floors.of(block.element) for block in row.blocks]
            self._clear[key] = any(f.clear_letter_heights or f.clear_mm for f in floors)
        return self._clear[key]

    def _steps(
        self, zone: Sequence[Row], sets: Mapping[int, Sets], before: Mapping[int, float]
    ) -> tuple[_Steps, float]:
        """How far below the zone's top each of its rows begins, and the height of all."""
        found: _Steps = []
        down = 0.0
        for number, row in enumerate(zone):
            down += before[row.index] if number else 0.0
            found.append((row, down))
            down += row.height_mm(sets[row.index])
        return found, down

    def _pushed(self, steps: _Steps, sets: Mapping[int, Sets], top: float, way: int) -> float:
        """How far a zone is moved inwards (up or down) until the shape is wide enough for it."""
        if self.place.straight or not steps:
            return 0.0
        needs = [(self._need(row, sets[row.index]), down) for row, down in steps]

        pushed, furthest = 0, max(1, int(self.place.height_mm / 2 / SHIFT_STEP_MM))
        # The shape widens towards its middle, so what fits once fits further in.
        for fits, down in needs:
            if fits(top + way * pushed * SHIFT_STEP_MM - down):
                continue
            low, high = pushed, furthest
            while high - low > 1:
                tried = (low + high) // 2
                start = top + way * tried * SHIFT_STEP_MM
                low, high = (low, tried) if fits(start - down) else (tried, high)
            pushed = high
        return pushed * SHIFT_STEP_MM

    def _need(self, row: Row, sets: Sets) -> Callable[[float], bool]:
        """Whether a row, its sets given, fits the shape with its top at a height."""
        pad = row.pads_mm(sets)[0]
        strips = _strips(row, sets)
        if strips is None:
            (made,) = set_blocks(sets)
            return lambda top: _holds(made, Room.below(self.place, top - pad))
        width_at = self.place.width

        def fits(top: float) -> bool:
            for upper, lower, width in strips:
                if width_at(top - pad - lower, top - pad - upper) < width - PLACE_ROUNDING_MM:
                    return False
            return True

        return fits


def _strips(row: Row, sets: Sets) -> list[tuple[float, float, float]] | None:
    """What a row takes of the shape: between two distances below its top, a width.

    None where a paragraph is broken into lines: those are as wide as the shape lets them be.
    """
    first = sets[0]
    if isinstance(first, SetArt):
        return [(0.0, first.height_mm, first.width_mm)]
    blocks = set_blocks(sets)
    if len(blocks) > 1:
        return [(0.0, row.ink_mm(blocks), row_width_mm(blocks))]
    return line_strips(first)


def _holds(made: SetBlock, room: Room) -> bool:
    """Whether a block takes no more lines in a room than were counted for it."""
    counts = line_counts(made.way, made.size_pt, room, made.hyphenated)
    return counts is not None and all(
        count <= most for count, most in zip(counts, made.counts, strict=True)
    )
