"""Where the rows of a panel stand: head, middle and foot, pushed to where they fit the shape."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from itertools import pairwise

from labelkit.common.frozen import dataclass
from labelkit.compose.choices import Choices
from labelkit.compose.lines import fits_lead_on_line
from labelkit.compose.parts import BlockRow, SetArt, Sets
from labelkit.compose.room import Room, TextArea
from labelkit.compose.standing import Standing, find_standing
from labelkit.order.layout import ZONES

OPTICAL_CENTRE = 0.46
"""Share of the free height above a block that is meant to look centred (book practice)."""
SHIFT_STEP_MM = 0.1
EVEN_VOID = 0.14
"""Share of the height of a curved shape that evenly stacked rows leave free at head and foot."""

ART_APART_MM, ROWS_APART_MM = 0.75, 0.45
"""Between a drawing or rule and text, and between rows of text, where more is liked: closer they
read as one (common practice, no source)."""
IN_GROUP, IN_GROUP_MM = 0.5, 1.0
"""Of the space that a row likes above it, between the parts that it is broken up into; and what of
it is never taken."""
GUEST_APART = 0.9
"""Share of the liked space that is always kept between the names and a guest's own."""
GUEST_UNDER_NAMES = ("guest", "names")

_Steps = list[tuple[BlockRow, float]]
"""Rows of a zone, and how far below the zone's top each begins."""


GapBounds = tuple[float, float, float]
"""The space that a layout likes before a row, the share of it that always stays, and the least
space in millimetres."""


def sum_gaps_mm(bounds: Iterable[GapBounds], share: float) -> float:
    """All spaces together, a share kept of what is liked."""
    return sum([max(liked * max(share, apart), least) for liked, apart, least in bounds])


@dataclass(frozen=True)
class RowStack:
    """Stacks the rows of one panel. Heights are millimetres from the foot of the trim."""

    place: TextArea
    choices: Choices
    unit_mm: float
    _clear: dict[tuple[object, ...], bool] = field(default_factory=dict)
    _known: dict[tuple[object, ...], Standing] = field(default_factory=dict)
    """Where rows may stand, by how they are set."""

    def gap_mm(self, row: BlockRow, above: BlockRow, share: float) -> float:
        """The space before a row of which a share is kept of what the layout likes.

        None where the law keeps more clear. A guest's name keeps most of it, or it would read as
        one of the names above it; and no space closes so far that ink seems to touch.
        """
        liked, apart, least = self._bound_gap(row, above)
        return max(liked * max(share, apart), least)

    def _bound_gap(self, row: BlockRow, above: BlockRow) -> GapBounds:
        if self._keep_clear(row) or self._keep_clear(above):
            return 0.0, 0.0, 0.0
        apart = GUEST_APART if (row.lead.element, above.lead.element) == GUEST_UNDER_NAMES else 0.0
        liked = row.lead.above * self.unit_mm
        if row.lead.row and row.lead.row == above.lead.row:  # broken up, and still one group
            liked = max(IN_GROUP * liked, min(liked, IN_GROUP_MM))
        drawn = not (row.lead.element and above.lead.element)
        return liked, apart, min(liked, ART_APART_MM if drawn else ROWS_APART_MM)

    def gaps_mm(self, rows: Sequence[BlockRow], share: float) -> float:
        """All spaces between rows together, a share kept of what is liked."""
        return sum_gaps_mm(self.bound_gaps(rows), share)

    def bound_gaps(self, rows: Sequence[BlockRow]) -> tuple[GapBounds, ...]:
        """What bounds the spaces between rows."""
        return tuple([self._bound_gap(row, above) for above, row in pairwise(rows)])

    def tops(
        self, rows: Sequence[BlockRow], sets: Mapping[int, Sets], gaps: float, head_mm: float = 0.0
    ) -> tuple[dict[int, float], float]:
        """Top of every row, and how much height is left over (below zero: lacking).

        ``gaps`` is the share of the liked spaces that is kept; ``head_mm`` is left free at the
        head.
        """
        before = {row.index: self.gap_mm(row, above, gaps) for above, row in pairwise(rows)}
        zones = {zone: [row for row in rows if row.lead.zone == zone] for zone in ZONES}
        if len(zones["foot"]) == len(rows) and not any(map(self._bound, rows)):
            # With nothing above them they would look fallen down.
            zones = {"head": [], "middle": list(rows), "foot": []}
        steps: dict[str, _Steps] = {}
        heights: dict[str, float] = {}
        for zone, members in zones.items():
            steps[zone], heights[zone] = self._steps(members, sets, before)
        leading = {
            z: before.get(members[0].index, 0.0) if members else 0.0 for z, members in zones.items()
        }
        head, foot = self.place.top_mm - head_mm, self.place.foot_mm + heights["foot"]
        if not self.place.straight:
            head -= self._down_from_head(steps["head"], sets, head)
            foot += self._up_from_foot(steps["foot"], sets, foot)
        middle_top = head - heights["head"] - leading["middle"]
        free = middle_top - foot - leading["foot"] - heights["middle"]
        down = max(free, 0.0) * OPTICAL_CENTRE
        if not self.place.straight:
            down = self._down_from_top(steps["middle"], sets, middle_top, down)
            free -= down if down > max(free, 0.0) else 0.0
        middle = middle_top - down
        starts = {"head": head, "middle": middle, "foot": foot}
        return {row.index: starts[zone] - d for zone in ZONES for row, d in steps[zone]}, free

    def even_tops(
        self, rows: Sequence[BlockRow], sets: Mapping[int, Sets], gaps: float
    ) -> dict[int, float]:
        """Tops of rows that share out the height as they would a rectangle's."""
        before = {row.index: self.gap_mm(row, above, gaps) for above, row in pairwise(rows)}
        void = EVEN_VOID * self.place.height_mm
        steps, height = self._steps(rows, sets, before)
        scale = (self.place.height_mm - 2 * void) / height if height else 1.0
        return {row.index: self.place.top_mm - void - down * scale for row, down in steps}

    def fits(
        self, rows: Sequence[BlockRow], sets: Mapping[int, Sets], tops: Mapping[int, float]
    ) -> bool:
        """Whether every row fits the shape where it stands, and opens there as it was to."""
        if self.place.straight:
            return True
        return all(
            self._standing(row, sets[row.index]).fits(tops[row.index])
            and self._opens(row, sets[row.index], tops[row.index])
            for row in rows
        )

    def voids_mm(
        self, rows: Sequence[BlockRow], sets: Mapping[int, Sets], tops: Mapping[int, float]
    ) -> tuple[float, float]:
        """How far the shape keeps the text from its head and its foot."""
        if self.place.straight or not rows:
            return 0.0, 0.0
        first, last = rows[0], rows[-1]
        foot = tops[last.index] - last.height_mm(sets[last.index])
        return self.place.top_mm - tops[first.index], foot - self.place.foot_mm

    def _keep_clear(self, row: BlockRow) -> bool:
        """Whether the law keeps what is above and below a row away from it."""
        key = row.key
        if key not in self._clear:
            floors = [self.choices.ways.floors.of(block.element) for block in row.blocks]
            self._clear[key] = any(f.clear_letter_heights or f.clear_mm for f in floors)
        return self._clear[key]

    def _bound(self, row: BlockRow) -> bool:
        """Whether the law keeps a row to a part of the panel."""
        floors = self.choices.ways.floors
        return any(floors.of(block.element).panel_part for block in row.blocks)

    def _steps(
        self, zone: Sequence[BlockRow], sets: Mapping[int, Sets], before: Mapping[int, float]
    ) -> tuple[_Steps, float]:
        """How far below the zone's top each of its rows begins, and the height of all."""
        found: _Steps = []
        down = 0.0
        for number, row in enumerate(zone):
            down += before[row.index] if number else 0.0
            found.append((row, down))
            down += row.height_mm(sets[row.index])
        return found, down

    def _standing(self, row: BlockRow, sets: Sets) -> Standing:
        """Where a row may stand; known by its sets, which live as long as the choices."""
        key = (row.key, id(sets))
        if key not in self._known:
            self._known[key] = find_standing(self.place, row, sets)
        return self._known[key]

    def _opens(self, row: BlockRow, sets: Sets, top_mm: float) -> bool:
        """Whether a list that was to open with a whole name does so."""
        first = sets[0]
        if isinstance(first, SetArt) or not first.opens_whole:
            return True
        room = Room.below(self.place, top_mm - row.pads_mm(sets)[0])
        return fits_lead_on_line(first.way, first.size_pt, room)

    def _down_from_head(self, steps: _Steps, sets: Mapping[int, Sets], top: float) -> float:
        """How far rows move down until the shape is wide enough for each."""
        pushed = 0.0
        for row, down in steps:
            pushed = max(pushed, top - down - self._standing(row, sets[row.index]).highest_mm)
        return pushed

    def _up_from_foot(self, steps: _Steps, sets: Mapping[int, Sets], top: float) -> float:
        """How far rows move up until the shape is wide enough for each."""
        pushed = 0.0
        for row, down in steps:
            pushed = max(pushed, self._standing(row, sets[row.index]).lowest_mm - top + down)
        return pushed

    def _down_from_top(
        self, steps: _Steps, sets: Mapping[int, Sets], top: float, liked: float
    ) -> float:
        """How far below ``top`` rows begin: as near to what is liked as the shape lets them."""
        least = self._down_from_head(steps, sets, top)
        if liked < least:
            return least
        return max(least, liked - self._up_from_foot(steps, sets, top - liked))
