"""The ways to set one row of a panel at given sizes: its height, and what readers dislike."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product
from typing import NamedTuple

from labelkit.compose import costs
from labelkit.compose.lines import broken, line_counts
from labelkit.compose.parts import Row, SetBlock, Sets, Way
from labelkit.compose.room import Room
from labelkit.compose.ways import Ways
from labelkit.errors import FitError
from labelkit.said import Said
from labelkit.spec.layout import Block
from labelkit.typeset.shape import shape

MOST_EFFORT = 15_000
"""Of one panel, in short texts set once: five times what the slowest of many labels took."""
MOST_WAYS_OF_ROW = 256
"""Far more than any design needs; of a layout that asks for more the cheapest are tried."""
ROW_GAP_MM = 2.5
"""Least space between the blocks of one row."""


class Option(NamedTuple):
    """One way to set one row."""

    height_mm: float
    cost: float
    sets: Sets


class _BlockOption(NamedTuple):
    """One way to set one block in one size."""

    cost: float
    made: SetBlock


@dataclass(frozen=True)
class Options:
    """The options of one panel's rows."""

    ways: Ways
    _ways_of: dict[int, tuple[Block, list[Way]]] = field(default_factory=dict)
    """By the block's identity: hashing a block takes longer than the look-up is worth."""
    _awkward: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)
    """By way (which lives as long as this) and lines."""
    _spent: list[float] = field(default_factory=lambda: [0.0])
    """What was tried so far, counted so that the same label always ends at the same try."""

    def of_row(
        self, row: Row, sizes_pt: Sequence[float], room: Room, hyphenate: bool
    ) -> list[Option]:
        """The ways to set a row, each of its blocks in its size."""
        if len(sizes_pt) == 1:
            return [
                Option(row.height_mm((made,)), cost, (made,))
                for cost, made in self._of_block(row.lead, sizes_pt[0], room, hyphenate)
            ]
        ways = [
            [option for option in self._of_block(block, size, room, hyphenate)
             if option.made.lines == 1]
            for block, size in zip(row.blocks, sizes_pt, strict=True)
        ]  # fmt: skip
        found: list[Option] = []
        for parts in product(*_cheapest(ways)):
            sets = tuple(part.made for part in parts)
            height = row.height_mm(sets)
            if row_width_mm(sets) <= room.width(0.0, height):
                found.append(Option(height, sum(part.cost for part in parts), sets))
        return found

    def block_ways(self, block: Block) -> list[Way]:
        """The ways to set a block, found once for each block object."""
        found = self._ways_of.get(id(block))
        if found is None:
            found = self._ways_of[id(block)] = (block, self.ways.of(block))
        return found[1]

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
        self, block: Block, size_pt: float, room: Room, hyphenate: bool
    ) -> Iterator[_BlockOption]:
        """The ways to set a block in one size, of each height the least disliked."""
        fewest = math.inf
        for way in self.block_ways(block):
            if size_pt < way.least_pt - 1e-9:
                continue
            if len(way.paragraphs) >= fewest:
                continue  # a less disliked way takes no more lines than this one can
            if way.apart and fewest < math.inf and room.straight:
                continue  # in a straight-sided room a heading of its own only takes a line more
            self.spend(1 + way.letters / 50)
            counts = line_counts(way, size_pt, room, hyphenate)
            if counts is None or (way.one_line and sum(counts) > 1):
                continue
            lines = sum(counts)
            fewest = min(fewest, lines)
            made = SetBlock(way, size_pt, counts, hyphenate)
            cost = way.cost + costs.LINE * (lines - 1) + _advice(way, size_pt)
            if lines > 1 and way.heading and len(set(counts)) > 1:
                cost += costs.UNLIKE
            if lines > 1 and max(counts) > 1 and (way.heading or block.element == "dealer"):
                cost += self._awkwardness(made, room)
            yield _BlockOption(cost, made)

    def _awkwardness(self, made: SetBlock, room: Room) -> float:
        """What is disliked about where a block breaks.

        Taken from the largest size of as many lines, where the room tells the most.
        """
        key = (id(made.way), made.counts)
        if key not in self._awkward:
            self.spend(sum(len(p.text) ** 2 for p in made.way.paragraphs) / 5000)
            # A word is broken only where nothing else fits: no choice, and so without a price.
            self._awkward[key] = _awkward(made._replace(hyphenated=False), room)
        return self._awkward[key]


def row_width_mm(sets: Sequence[SetBlock]) -> float:
    """How much of a line the blocks of a row take, with the space between them."""
    gaps = sum(row_gap_mm(left, right) for left, right in pairwise(sets))
    return sum(made.width_mm for made in sets) + gaps


def row_gap_mm(left: SetBlock, right: SetBlock) -> float:
    """The space between two blocks of one row, or the width of the mark that stands there."""
    mark = row_mark(left, right)
    if mark:
        return shape(left.way.face, mark).advance_mm(left.size_pt, left.way.tracking_em)
    return max(ROW_GAP_MM, left.beside_mm, right.beside_mm)


def row_mark(left: SetBlock, right: SetBlock) -> str:
    """The mark between two blocks of a row: only where they are ranged alike and none is apart."""
    alike = left.block.align == right.block.align
    return right.block.mark if alike and not (left.beside_mm or right.beside_mm) else ""


def _cheapest(ways: list[list[_BlockOption]]) -> list[list[_BlockOption]]:
    """The ways to set each block of a row, the most disliked left out where there are very many."""
    if math.prod(map(len, ways)) <= MOST_WAYS_OF_ROW:
        return ways
    each = max(1, int(MOST_WAYS_OF_ROW ** (1 / len(ways))))
    return [sorted(found, key=lambda option: option.cost)[:each] for found in ways]


def _awkward(made: SetBlock, room: Room) -> float:
    """What is disliked about where a heading or an address breaks."""
    cost = 0.0
    for number, count in enumerate(made.counts):
        if count > 1:
            cost += max((found.cost for found in broken(made, number, room)), default=0.0)
    return min(costs.AWKWARD_MOST, costs.AWKWARD * cost)


def _advice(way: Way, size_pt: float) -> float:
    if not 0 < way.advised_pt < math.inf:
        return 0.0
    return costs.UNDER_ADVICE * max(0.0, way.advised_pt / size_pt - 1)
