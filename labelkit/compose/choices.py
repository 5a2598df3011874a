"""Every legal way to set the rows of a panel, with its height and what a reader would dislike."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product
from typing import Any, NamedTuple

from labelkit.compose import costs
from labelkit.compose.logo import Logo
from labelkit.compose.parts import Row, SetArt, SetBlock, Sets, Way
from labelkit.compose.room import Room
from labelkit.compose.ways import HEADINGS, LISTS, Ways
from labelkit.errors import FitError
from labelkit.quantity import PT_PER_MM
from labelkit.spec.layout import Block
from labelkit.typeset.breaking import break_ways, line_count
from labelkit.typeset.fit import Choice, pareto
from labelkit.typeset.shape import shape

SIZE_RATIO = 1.05
"""Between neighbouring sizes of a class."""
SIZE_GRAIN_PT = 0.01
ART_STEPS = 5
MOST_EFFORT = 15_000
"""Of one panel, in short texts set once: five times what the slowest of many labels took."""
MOST_SIZES_TOGETHER, MOST_WAYS_OF_ROW = 2000, 256
"""Far more than any design needs; a layout that asks for more is tried in fewer sizes and ways."""
ROW_GAP_MM = 2.5
"""Least space between the blocks of one row."""


class Option(NamedTuple):
    """One way to set one block in one size."""

    height_mm: float
    cost: float
    made: SetBlock


class _Picks(NamedTuple):
    """Sets of several rows, gathered as a chain."""

    before: _Picks | None
    row: int
    sets: Sets


def picked(choices: Iterable[Choice]) -> dict[int, Sets]:
    """What was picked for each row, by the row's index."""
    found: dict[int, Sets] = {}
    for choice in choices:
        link = choice.payload
        while link is not None:
            found[link.row] = link.sets
            link = link.before
    return found


@dataclass(frozen=True)
class Choices:
    """The choices of one panel's rows, given the room of each."""

    ways: Ways
    logo: Logo | None = None
    _ways_of: dict[int, tuple[Block, list[Way]]] = field(default_factory=dict)
    """By the block's identity: hashing a block takes longer than the look-up is worth."""
    _found: dict[tuple[Any, ...], list[Choice]] = field(default_factory=dict)
    """The choices of groups of rows in rooms of one width."""
    _awkward: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)
    """By way (which lives as long as this) and lines."""
    _spent: list[float] = field(default_factory=lambda: [0.0])
    """What was tried so far, counted so that the same label always ends at the same try."""

    def rows(
        self, blocks: Sequence[tuple[int, Block]], split: frozenset[str] = frozenset()
    ) -> list[Row]:
        """The rows that blocks, with their places in the layout, make; ``split`` is broken up."""
        groups: dict[tuple[str, str], list[tuple[int, Block]]] = {}
        for place, block in blocks:
            together = block.row and block.row not in split
            name = block.row if together else f" {place}"
            groups.setdefault((block.zone, name), []).append((place, block))
        last = len(groups) - 1
        return [
            Row(members[0][0], tuple(block for _, block in members), number == 0, number == last)
            for number, members in enumerate(groups.values())
        ]

    def shown(self, block: Block) -> bool:
        """Whether there is anything to show in a block."""
        if block.element:
            return bool(self.ways.texts(block))
        return not block.picture or bool(block.ornament) or self.logo is not None

    # -- groups of rows that agree on their sizes --------------------------------------------------

    def groups(self, rows: Sequence[Row]) -> list[list[Row]]:
        """Rows bound together by a size class of theirs; each piece of art for itself."""
        groups: list[tuple[set[str], list[Row]]] = []
        for row in rows:
            sizes = {b.size for b in row.blocks} if row.lead.element else {f" {row.index}"}
            joined = (sizes, [row])
            for other in [group for group in groups if group[0] & sizes]:
                groups.remove(other)
                joined = (joined[0] | other[0], [*other[1], *joined[1]])
            groups.append(joined)
        return [sorted(members, key=lambda row: row.index) for _, members in groups]

    def of_group(
        self, rows: Sequence[Row], rooms: Mapping[int, Room], hyphenate: bool = False
    ) -> list[Choice]:
        """The ways to set rows together that no other beats; payloads are for ``picked``."""
        key = (tuple(rows), tuple(rooms[row.index] for row in rows), hyphenate)
        if any(room.between for room in key[1]):
            return self._of_group(rows, rooms, hyphenate)
        if key not in self._found:
            self._found[key] = self._of_group(rows, rooms, hyphenate)
        return self._found[key]

    def _of_group(
        self, rows: Sequence[Row], rooms: Mapping[int, Room], hyphenate: bool
    ) -> list[Choice]:
        if not rows[0].lead.element:
            return self._art(rows[0], rooms[rows[0].index])
        sizes = sorted({block.size for row in rows for block in row.blocks})
        ladders = _thinned([self._ladder(name, rows, rooms) for name in sizes])
        cache: dict[tuple[int, int, float], list[Option]] = {}
        found: list[Choice] = []
        dislike = [self._dislike(name, rows) for name in sizes]
        for combination in product(*ladders):
            at = dict(zip(sizes, combination, strict=True))
            cost = sum(of(size) for of, size in zip(dislike, combination, strict=True))
            total: list[Choice] = [Choice(0.0, cost)]
            for row in rows:
                options = self._row(row, at, rooms[row.index], cache, hyphenate)
                total = _with_row(total, row.index, options)
                if not total:
                    break
            found += total
            self._spend(len(total) / 5)
        return pareto(found)

    def _spend(self, effort: float) -> None:
        """FitError when a layout and its words leave more to try than anyone would wait for."""
        self._spent[0] += effort
        if self._spent[0] > MOST_EFFORT:
            raise FitError(
                self.ways.name,
                "there are more ways to set it than can be tried",
                ("shorter words", "fewer sizes, widths or settings in the layout"),
            )

    def _art(self, row: Row, room: Room) -> list[Choice]:
        block = row.lead
        if block.rule:
            made: Sets = (SetArt(block, 0.0, 0.0),)
            return [Choice(0.0, 0.0, _Picks(None, row.index, made))]
        aspect = self._aspect(block)
        pictured = block.picture and self.logo is not None
        least, most = block.picture_height_mm if pictured else block.height_mm
        steps = [most - (most - least) * i / ART_STEPS for i in range(ART_STEPS + 1)]
        return [
            Choice(
                height,
                costs.ORNAMENT_SMALLER * (most / height - 1),
                _Picks(None, row.index, (SetArt(block, height, height * aspect),)),
            )
            for height in sorted(set(steps))
            if height * aspect <= room.width(0.0, height) + 1e-6
        ]

    def _aspect(self, block: Block) -> float:
        """Width over height of what is drawn in a block."""
        if block.picture and self.logo is not None:
            return self.logo.aspect
        view = self.ways.layout.ornaments[block.ornament].view
        return view[2] / view[3]

    def _dislike(self, name: str, rows: Sequence[Row]) -> Callable[[float], float]:
        """What is disliked about a size that is not what its class would like."""
        elements = {b.element for row in rows for b in row.blocks if b.size == name}
        smaller = costs.TEXT.smaller * (costs.FOCAL if "names" in elements else 1.0)
        most = self.ways.plan.sizes[name].most_pt

        def cost(size: float) -> float:
            if size > most:
                return costs.LARGER * (size / most - 1)
            return smaller * (most / size - 1)

        return cost

    def _ladder(self, name: str, rows: Sequence[Row], rooms: Mapping[int, Room]) -> list[float]:
        """Sizes from large to small: even steps, legal floors, and where a heading just fits.

        A floor above the class's largest size is tried too: the law comes before the design.
        Sizes at which some block of the class cannot be legal are left out.
        """
        spec = self.ways.plan.sizes[name]
        count = math.ceil(math.log(spec.most_pt / spec.least_pt, SIZE_RATIO) - 1e-9)
        ladder = {_grain(spec.most_pt / SIZE_RATIO**i, math.floor) for i in range(count)}
        ladder |= {spec.least_pt, spec.most_pt}
        lowest = 0.0
        for row in rows:
            for block in (b for b in row.blocks if b.size == name):
                floors = {way.least_pt for way in self.block_ways(block)}
                lowest = max(lowest, min(floors))
                ladder |= {_grain(f, math.ceil) for f in floors if spec.least_pt < f < math.inf}
                if block.element in HEADINGS and len(row.blocks) == 1:
                    fits = self._fits_one_line(block, rooms[row.index])
                    ladder |= {s for s in fits if spec.least_pt < s < spec.most_pt}
        return sorted((size for size in ladder if size >= lowest - 1e-9), reverse=True)

    def _fits_one_line(self, block: Block, room: Room) -> Iterator[float]:
        """The largest size at which each line of a block, as it likes to be set, needs no break."""
        seen: set[int] = set()
        for way in self.block_ways(block):
            if way.setting == block.settings[0] and len(way.paragraphs) not in seen:
                seen.add(len(way.paragraphs))
                widest = way.width_mm(PT_PER_MM)  # at a size of one millimetre: in ems
                if widest > 0:
                    size = room.widest_mm * PT_PER_MM / widest
                    yield _grain(size - SIZE_GRAIN_PT, math.floor)

    # -- one row, one block ------------------------------------------------------------------------

    def block_ways(self, block: Block) -> list[Way]:
        """The ways to set a block, found once for each block object."""
        found = self._ways_of.get(id(block))
        if found is None:
            found = self._ways_of[id(block)] = (block, self.ways.of(block))
        return found[1]

    def _row(
        self,
        row: Row,
        at: Mapping[str, float],
        room: Room,
        cache: dict[tuple[int, int, float], list[Option]],
        hyphenate: bool,
    ) -> list[tuple[float, float, Sets]]:
        """The ways to set a row at given sizes: height, cost and sets."""
        options: list[list[Option]] = []
        for number, block in enumerate(row.blocks):
            key = (row.index, number, at[block.size])
            if key not in cache:
                cache[key] = list(self._block(row, block, key[2], room, hyphenate))
            options.append(cache[key])
        if len(options) == 1:
            return [(height, cost, (made,)) for height, cost, made in options[0]]
        found: list[tuple[float, float, Sets]] = []
        for parts in product(*_cheapest(options)):
            sets = tuple(part.made for part in parts)
            if all(made.lines == 1 for made in sets):
                height = row.height_mm(sets)
                if self.row_width_mm(sets) <= room.width(0.0, height):
                    found.append((height, sum(part.cost for part in parts), sets))
        return found

    def row_width_mm(self, sets: Sequence[SetBlock]) -> float:
        """How much of a line the blocks of a row take, with the space between them."""
        widths = [made.way.width_mm(made.size_pt) for made in sets]
        return sum(widths) + sum(row_gap_mm(left, right) for left, right in pairwise(sets))

    def _block(
        self, row: Row, block: Block, size: float, room: Room, hyphenate: bool
    ) -> Iterator[Option]:
        """The ways to set a block in one size, of each height the least disliked."""
        fewest = math.inf
        for way in self.block_ways(block):
            if size < way.least_pt - 1e-9:
                continue
            if len(way.paragraphs) >= fewest:
                continue  # a less disliked way takes no more lines than this one can
            if way.apart and fewest < math.inf and room.between is None:
                continue  # in a straight-sided room a heading of its own only takes a line more
            letters = sum(len(paragraph.text) for paragraph in way.paragraphs)
            self._spend(1 + letters / 50)
            counts = line_counts(way, size, room, hyphenate)
            if counts is None or (way.one_line and sum(counts) > 1):
                continue
            made = SetBlock(way, size, counts, hyphenate)
            cost = way.cost + costs.TEXT.line * (made.lines - 1) + _advice(way, size)
            if block.element in HEADINGS and len(set(counts)) > 1:
                cost += costs.UNLIKE
            fewest = min(fewest, made.lines)
            if max(counts) > 1 and (block.element in HEADINGS or block.element == "dealer"):
                cost += self._awkwardness(made, room)
            yield Option(row.height_mm((made,)), cost, made)

    def _awkwardness(self, made: SetBlock, room: Room) -> float:
        """What is disliked about where a block breaks.

        Taken from the largest size of as many lines, where the room tells the most.
        """
        key = (id(made.way), made.counts)
        if key not in self._awkward:
            self._spend(sum(len(p.text) ** 2 for p in made.way.paragraphs) / 5000)
            self._awkward[key] = _awkward(made, room)
        return self._awkward[key]


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


def _thinned(ladders: list[list[float]]) -> list[list[float]]:
    """Ladders of which every other rung is left out until there are few enough combinations.

    The smallest size of each stays, so that what can be fitted still is.
    """
    while math.prod(map(len, ladders)) > MOST_SIZES_TOGETHER:
        longest = max(ladders, key=len)
        ladders[ladders.index(longest)] = longest[::-2][::-1]
    return ladders


def _cheapest(options: list[list[Option]]) -> list[list[Option]]:
    """The options of each block of a row, the most disliked left out where there are very many."""
    if math.prod(map(len, options)) <= MOST_WAYS_OF_ROW:
        return options
    each = max(1, int(MOST_WAYS_OF_ROW ** (1 / len(options))))
    return [sorted(ways, key=lambda option: option.cost)[:each] for ways in options]


def line_counts(
    way: Way, size_pt: float, room: Room, hyphenate: bool = False
) -> tuple[int, ...] | None:
    """How many lines each paragraph takes at least; None where the block cannot be set."""
    counts: list[int] = []
    for number in range(len(way.paragraphs)):
        widths = line_widths(way, size_pt, counts, room)
        count = _count(way, number, size_pt, widths, hyphenate)
        if count is None:
            return None
        counts.append(count)
    return tuple(counts)


def line_widths(way: Way, size_pt: float, counts: Sequence[int], room: Room) -> _Widths:
    """The width of every line of the paragraph that follows those of ``counts`` lines."""
    scale = size_pt / PT_PER_MM
    lead = way.lead_em * scale if not counts else 0.0
    return _Widths(
        room,
        lead,
        sum(counts) * way.block.leading * scale,
        way.block.leading * scale,
        (way.ascent_em + way.descent_em) * scale,
    )


@dataclass(frozen=True, slots=True)
class _Widths:
    """The room of line number n of a paragraph, in millimetres."""

    room: Room
    lead_mm: float
    start_mm: float
    leading_mm: float
    ink_mm: float

    def __call__(self, line: int) -> float:
        top = self.start_mm + line * self.leading_mm
        width = self.room.width(top, top + self.ink_mm)
        return width - self.lead_mm if line == 0 else width


def _count(way: Way, number: int, size_pt: float, widths: _Widths, hyphenate: bool) -> int | None:
    block, paragraph = way.block, way.paragraphs[number]
    plain = widths.room.between is None and not widths.lead_mm
    names = block.element in LISTS
    if not hyphenate:
        return line_count(
            paragraph.text,
            way.faces[number],
            size_pt,
            widths.room.widest_mm if plain else widths,
            tracking_em=way.tracking_em,
            names=names,
            most=block.lines,
        )
    ways = break_ways(
        paragraph.text,
        way.faces[number],
        size_pt,
        widths,
        tracking_em=way.tracking_em,
        names=names,
        most=block.lines,
        language=paragraph.body[0].language,
    )
    first = next(ways, None)
    return None if first is None else len(first.lines)


def _awkward(made: SetBlock, room: Room) -> float:
    """What is disliked about where a heading or an address breaks."""
    cost = 0.0
    for number, count in enumerate(made.counts):
        if count > 1:
            way = made.way
            broken = break_ways(
                way.paragraphs[number].text,
                way.faces[number],
                made.size_pt,
                line_widths(way, made.size_pt, made.counts[:number], room),
                tracking_em=way.tracking_em,
                names=way.block.element in LISTS,
                heading=way.block.element in HEADINGS,
                most=count,
            )
            cost += max((found.cost for found in broken), default=0.0)
    return min(costs.AWKWARD_MOST, costs.AWKWARD * cost)


def _advice(way: Way, size_pt: float) -> float:
    if not 0 < way.advised_pt < math.inf:
        return 0.0
    return costs.UNDER_ADVICE * max(0.0, way.advised_pt / size_pt - 1)


def _grain(size_pt: float, rounding: Callable[[float], int]) -> float:
    """A size rounded to hundredths of a point, down or up."""
    return round(rounding(round(size_pt / SIZE_GRAIN_PT, 6)) * SIZE_GRAIN_PT, 2)


def _with_row(
    total: Sequence[Choice], index: int, options: Iterable[tuple[float, float, Sets]]
) -> list[Choice]:
    """Every choice so far with every way to set one more row, the beaten dropped."""
    return pareto(
        Choice(before.height_mm + height, before.cost + cost, _Picks(before.payload, index, sets))
        for height, cost, sets in options
        for before in total
    )
