"""The ways to set one row of a panel at given sizes: its height, and what readers dislike."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import field
from itertools import pairwise, product
from typing import Any, NamedTuple

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.compose import costs
from labelkit.compose.arrangements import Arrangements
from labelkit.compose.lines import (
    count_block_lines,
    find_largest_pt,
    fits_lead_on_line,
    rate_paragraph_breaks,
)
from labelkit.compose.parts import Arrangement, BlockRow, Hyphenation, SetBlock
from labelkit.compose.room import Room
from labelkit.order.layout import Block
from labelkit.typeset.shape import shape_text

MOST_EFFORT = 20_000
"""Of one panel, in short texts set once: four times what the slowest of many labels took."""
MOST_WAYS_OF_ROW = 256
"""Far more than any design needs; of a layout that asks for more the cheapest are tried."""
BREAKS_WELL = 1.0
"""What may be disliked about the breaks of a block that are not tried again in a smaller size."""
ROW_GAP_MM = 2.5
"""Least space between the blocks of one row."""

Sizes = tuple[float, ...]
"""A size in points for each block of a row."""


class Option(NamedTuple):
    """One way to set one row. The same way in the same sizes is the same object in any room."""

    height_mm: float
    cost: float
    sets: tuple[SetBlock, ...]
    width_mm: float
    """Of several blocks beside each other; of a single one zero: its lines have been fitted."""


class _BlockOption(NamedTuple):
    """One way to set one block in one size."""

    cost: float
    made: SetBlock


@dataclass(frozen=True)
class Options:
    """The options of one panel's rows."""

    ways: Arrangements
    _ways_of: dict[int, tuple[Block, list[Arrangement]]] = field(default_factory=dict)
    """By the block's identity: hashing a block takes longer than the look-up is worth."""
    _of_blocks: dict[tuple[Any, ...], _BlockOption] = field(default_factory=dict)
    """By way (which lives as long as this), size, lines, and whether words may be broken."""
    _in_rooms: dict[tuple[Any, ...], dict[float, list[_BlockOption]]] = field(default_factory=dict)
    """By block, sizes, room, and whether words may be broken: rows that are broken up or left out
    leave the others as they are."""
    _of_rows: dict[tuple[Any, ...], Option] = field(default_factory=dict)
    """By the options of the row's blocks."""
    _awkward: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)
    """By way and lines."""
    _spent: list[float] = field(default_factory=lambda: [0.0])
    """What was tried so far, counted so that the same label always ends at the same try."""

    def of_row(
        self, row: BlockRow, sizes_pt: Collection[Sizes], room: Room, hyphens: Hyphenation
    ) -> dict[Sizes, list[Option]]:
        """The ways to set a row, for some choices of a size for each of its blocks."""
        of_blocks: list[dict[float, list[_BlockOption]]] = []
        if not sizes_pt:
            return {}  # no size of a class is legal: a font that shows nothing, say
        room = room.without(self.ways.beside_mm(row.lead))
        for block, sizes in zip(row.blocks, zip(*sizes_pt, strict=True), strict=True):
            ladder = sorted(set(sizes), reverse=True)
            key = (id(block), tuple(ladder), room, hyphens.within(block))
            if key not in self._in_rooms:
                self._in_rooms[key] = self._of_block(block, ladder, room, key[-1])
            of_blocks.append(self._in_rooms[key])
        if len(of_blocks) == 1:
            return {
                (size,): [self._alone(row, option) for option in found]
                for size, found in of_blocks[0].items()
            }
        return {
            sizes: self._beside(
                row, [of[size] for of, size in zip(of_blocks, sizes, strict=True)], room
            )
            for sizes in sizes_pt
        }

    def _beside(self, row: BlockRow, ways: list[list[_BlockOption]], room: Room) -> list[Option]:
        """The ways to set several blocks beside each other, each on one line."""
        lines = [[option for option in found if option.made.lines == 1] for found in ways]
        options = (self._together(row, parts) for parts in product(*_keep_cheapest(lines)))
        return [o for o in options if o.width_mm <= room.width(0.0, o.height_mm)]

    def _alone(self, row: BlockRow, part: _BlockOption) -> Option:
        """A row of one block, set one way."""
        key = (row.first, row.last, id(part))
        known = self._of_rows.get(key)
        if known is None:
            sets = (part.made,)
            known = self._of_rows[key] = Option(row.height_mm(sets), part.cost, sets, 0.0)
        return known

    def _together(self, row: BlockRow, parts: tuple[_BlockOption, ...]) -> Option:
        """A row of several blocks, each set one way."""
        key = (row.first, row.last, *map(id, parts))
        if key not in self._of_rows:
            sets = tuple(part.made for part in parts)
            cost = sum(part.cost for part in parts)
            self._of_rows[key] = Option(row.height_mm(sets), cost, sets, measure_row_width_mm(sets))
        return self._of_rows[key]

    def block_ways(self, block: Block) -> list[Arrangement]:
        """The ways to set a block, found once for each block object."""
        found = self._ways_of.get(id(block))
        if found is None:
            found = self._ways_of[id(block)] = (block, self.ways.recall(block))
        return found[1]

    @property
    def spent(self) -> float:
        """How much was tried so far."""
        return self._spent[0]

    def spend(self, effort: float) -> None:
        """FitError when a layout and its words leave more to try than anyone would wait for."""
        self._spent[0] += effort
        if self._spent[0] > MOST_EFFORT:
            raise FitError(
                self.ways.name,
                Said("there are more ways to set it than can be tried"),
                (Said("shorter words"), Said("fewer sizes, widths or settings in the layout")),
            )

    def _of_block(
        self, block: Block, ladder: Sequence[float], room: Room, hyphenate: bool
    ) -> dict[float, list[_BlockOption]]:
        """For each size, from large to small, the ways to set a block that are not beaten."""
        ways = self.block_ways(block)
        # What fits on one line in some size does so in every smaller one: shapes are convex, so
        # widths are concave over the height, and what a line needs shrinks in proportion.
        unbroken = [0.0] * len(ways)
        limits = [math.inf] * len(ways)
        found: dict[float, list[_BlockOption]] = {}
        for size in ladder:
            found[size] = options = []
            fewest, runs_in = math.inf, False
            on_one_line: set[tuple[str, int, float]] = set()
            for number, way in enumerate(ways):
                if len(way.paragraphs) >= fewest:
                    continue  # a less disliked way takes no more lines than this one can
                if size > limits[number] or size < way.least_pt - 1e-9:
                    continue
                if way.heads and runs_in and room.straight:
                    continue  # there a heading of its own only takes a line more
                face = (way.setting, way.width, way.tracking_em)
                if way.heads > 1 and face in on_one_line:
                    continue  # its languages need no line each
                counts = way.single_lines
                if size > unbroken[number]:
                    self.spend(1 + way.letters / 50)
                    counted = count_block_lines(way, size, room, hyphenate)
                    if counted is None:
                        limits[number] = find_largest_pt(way, ladder[0], room, hyphenate)
                        continue
                    counts = counted
                    if counts == way.single_lines:
                        unbroken[number] = size
                options.append(self._option(way, size, counts, hyphenate, room))
                if way.heads == 1:
                    on_one_line.add(face)
                if way.opening_em and not fits_lead_on_line(way, size, room):
                    continue  # one that is otherwise liked less may cost less and be as low
                fewest, runs_in = min(fewest, sum(counts)), runs_in or not way.heads
                if fewest == 1:
                    break
                if way.address:
                    options += self._in_a_line_more(options[-1], room)
        return found

    def _in_a_line_more(self, option: _BlockOption, room: Room) -> Iterator[_BlockOption]:
        """An address set in one line more than it takes, where it breaks badly and that helps."""
        made = option.made
        key = (id(made.way), made.counts)
        if len(made.counts) > 1 or self._awkward.get(key, 0.0) <= BREAKS_WELL:
            return
        way, more = made.way, made.lines + 1
        if more <= way.most_lines and more < len(way.reach(0, made.hyphenated).ends):
            yield self._option(way, made.size_pt, (more,), made.hyphenated, room)

    def _option(
        self, way: Arrangement, size_pt: float, counts: tuple[int, ...], hyphenate: bool, room: Room
    ) -> _BlockOption:
        """A block set one way, and what is disliked about it."""
        cut = way.opening_em > 0 and not fits_lead_on_line(way, size_pt, room)
        key = (id(way), size_pt, counts, hyphenate, cut)
        known = self._of_blocks.get(key)
        if known is None:
            made = SetBlock(way, size_pt, counts, hyphenate, way.opening_em > 0 and not cut)
            cost = way.cost + costs.LINE * (made.lines - 1) + _rate_small_size(way, size_pt)
            if cut:
                cost += costs.OPENING_CUT
            if way.heading and len(set(counts)) > 1:
                cost += costs.UNLIKE
            if max(counts) > 1 and (way.heading or way.address):
                cost += self._awkwardness(made, room)
            known = self._of_blocks[key] = _BlockOption(cost, made)
        return known

    def _awkwardness(self, made: SetBlock, room: Room) -> float:
        """What is disliked about where a block breaks.

        Where it breaks well it is taken to do so in smaller sizes too: breaking takes long.
        """
        key = (id(made.way), made.counts)
        if self._awkward.get(key, math.inf) > BREAKS_WELL:
            self.spend(sum(len(p.text) ** 2 for p in made.way.paragraphs) / 5000)
            # A word is broken only where nothing else fits: no choice, and so without a price.
            self._awkward[key] = _rate_breaks(made._replace(hyphenated=False), room)
        return self._awkward[key]


def measure_row_width_mm(sets: Sequence[SetBlock]) -> float:
    """How much of a line the blocks of a row take, with the space between them."""
    gaps = sum(measure_row_gap_mm(left, right) for left, right in pairwise(sets))
    return sum(made.width_mm for made in sets) + gaps


def measure_row_gap_mm(left: SetBlock, right: SetBlock) -> float:
    """The space between two blocks of one row, or the width of the mark that stands there."""
    mark = choose_row_mark(left, right)
    if mark:
        return shape_text(left.way.face, mark).advance_mm(left.size_pt, left.way.tracking_em)
    return max(ROW_GAP_MM, left.beside_mm, right.beside_mm)


def choose_row_mark(left: SetBlock, right: SetBlock) -> str:
    """The mark between two blocks of a row: only where they are ranged alike and none is apart."""
    alike = left.block.align == right.block.align
    return right.block.mark if alike and not (left.beside_mm or right.beside_mm) else ""


def _keep_cheapest(ways: list[list[_BlockOption]]) -> list[list[_BlockOption]]:
    """The ways to set each block of a row, the most disliked left out where there are very many."""
    if math.prod(map(len, ways)) <= MOST_WAYS_OF_ROW:
        return ways
    each = max(1, int(MOST_WAYS_OF_ROW ** (1 / len(ways))))
    return [sorted(found, key=lambda option: option.cost)[:each] for found in ways]


def _rate_breaks(made: SetBlock, room: Room) -> float:
    """What is disliked about where a heading or an address breaks."""
    cost = 0.0
    for number, count in enumerate(made.counts):
        if count > 1:
            cost += rate_paragraph_breaks(made, number, room)
    return min(costs.AWKWARD_MOST, costs.AWKWARD * cost)


def _rate_small_size(way: Arrangement, size_pt: float) -> float:
    if not 0 < way.advised_pt < math.inf:
        return 0.0
    return costs.UNDER_ADVICE * max(0.0, way.advised_pt / size_pt - 1)
