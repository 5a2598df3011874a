"""Every legal way to set the rows of a panel, with its height and what a reader would dislike."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from functools import lru_cache
from itertools import product
from typing import Any, NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.common.recent import RecentResults
from labelkit.compose import costs
from labelkit.compose.arrangements import Arrangements, ReplacedFace
from labelkit.compose.art import find_aspect
from labelkit.compose.options import Option, Options, Sizes
from labelkit.compose.parts import HEADINGS, Arrangement, BlockRow, Hyphenation, SetArt, Sets
from labelkit.compose.room import Room
from labelkit.order.layout import DESIGNS, Block
from labelkit.order.logo import Logo
from labelkit.typeset.fit import Choice, keep_pareto_choices, keep_unbeaten

SIZE_RATIO = 1.05
"""Between neighbouring sizes of a class."""
SIZE_GRAIN_PT = 0.01
ART_STEPS = 5
MOST_SIZES_TOGETHER = 2000
"""Far more than any design needs; a layout that asks for more is tried in fewer sizes."""


class _PickedSets(NamedTuple):
    """Sets of several rows, gathered as a chain."""

    before: _PickedSets | None
    row: int
    sets: Sets


def gather_picks(choices: Iterable[Choice]) -> dict[int, Sets]:
    """What was picked for each row, by the row's index."""
    found: dict[int, Sets] = {}
    for choice in choices:
        link = choice.payload
        while link is not None:
            found[link.row] = link.sets
            link = link.before
    return found


@dataclass(frozen=True, eq=False)
class _KnownGroup:
    """The ways to set a group of rows, and what was noted while they were found."""

    choices: list[Choice]
    spent: float
    replaced: Mapping[str, ReplacedFace]
    ways: Sequence[Sequence[Arrangement]]
    """By whose identity the group is known."""


MOST_GROUPS = 512
"""Some forty panels, each with a dozen groups of rows."""
_GROUPS = RecentResults[_KnownGroup](MOST_GROUPS)


@dataclass(frozen=True)
class Choices:
    """The choices of one panel's rows, given the room of each."""

    options: Options
    logo: Logo | None = None
    _found: dict[tuple[Any, ...], list[Choice]] = field(default_factory=dict)
    """The choices of groups of rows in their rooms."""
    _held: list[Sequence[BlockRow]] = field(default_factory=list)
    """Rows that were asked for: while they live no other block has the identity of theirs."""
    _known: dict[tuple[Any, ...], list[Choice]] = field(default_factory=dict)
    """The choices of groups of rows by the ways that there are to set each."""
    _known_steps: dict[tuple[Any, ...], tuple[frozenset[float], float]] = field(
        default_factory=dict
    )

    _known_widths: dict[int, list[float]] = field(default_factory=dict)

    @property
    def ways(self) -> Arrangements:
        return self.options.ways

    def shown(self, block: Block) -> bool:
        """Whether there is anything to show in a block."""
        if block.element:
            return bool(self.ways.texts(block))
        return not block.picture or bool(block.ornament) or self.logo is not None

    # -- groups of rows that agree on their sizes --------------------------------------------------

    def held_by_layout(self, rows: Sequence[BlockRow]) -> list[BlockRow]:
        """The rows whose smallest size is the layout's own floor, and no law's."""
        return [
            row
            for members in group_rows(tuple(rows))
            for row in members
            if row.lead.element and any(self._is_own(b.size, members) for b in row.blocks)
        ]

    def _is_own(self, name: str, rows: Sequence[BlockRow]) -> bool:
        _, lowest = self._steps(name, rows)
        return lowest < self.ways.plan.sizes[name].least_pt - 1e-9

    def of_group(
        self,
        rows: Sequence[BlockRow],
        rooms: Mapping[int, Room],
        hyphens: Hyphenation = Hyphenation.NOWHERE,
    ) -> list[Choice]:
        """The ways to set rows together that no other beats; payloads are for ``gather_picks``."""
        key = (*(row.key for row in rows), *(rooms[row.index] for row in rows), hyphens)
        if key not in self._found:
            straight = all(rooms[row.index].straight for row in rows)
            find = self._recall_group if straight and rows[0].lead.element else self._of_group
            self._held.append(rows)
            self._found[key] = find(rows, rooms, hyphens)
        return self._found[key]

    def _recall_group(
        self, rows: Sequence[BlockRow], rooms: Mapping[int, Room], hyphens: Hyphenation
    ) -> list[Choice]:
        """What ``_of_group`` found on whatever panel had the same rows in the same room."""
        sizes = sorted({block.size for row in rows for block in row.blocks})
        ways_of = [self.options.block_ways(block) for row in rows for block in row.blocks]
        inputs = (
            *map(id, ways_of),  # equal blocks have the same, which lives as long as what is known
            *((row.index, len(row.blocks), row.first, row.last) for row in rows),
            *(rooms[row.index].widest_mm for row in rows),
            *(self.ways.plan.sizes[name] for name in sizes),
            hyphens,
        )
        ways, known = self.ways, _GROUPS.recall(inputs)
        if known is None:
            spent = self.options.spent
            choices = self._of_group(rows, rooms, hyphens)
            spent = self.options.spent - spent
            elements = {e for row in rows for b in row.blocks for e in (b.element, b.run_in)}
            replaced = {e: one for e, one in ways.replaced.items() if e in elements}
            known = _GROUPS.keep(inputs, _KnownGroup(choices, spent, replaced, ways_of))
        else:
            self.options.spend(known.spent)
            ways.replaced.update(known.replaced)
        return known.choices

    def _of_group(
        self, rows: Sequence[BlockRow], rooms: Mapping[int, Room], hyphens: Hyphenation
    ) -> list[Choice]:
        if not rows[0].lead.element:
            return self._art(rows[0], rooms[rows[0].index])
        names = sorted({block.size for row in rows for block in row.blocks})
        ladders = _thin_ladders([self._ladder(name, rows, rooms) for name in names])
        dislike = [self._dislike(name, rows) for name in names]
        places = [[names.index(block.size) for block in row.blocks] for row in rows]
        combinations = list(product(*ladders))
        # Six are looked at in about the time that a short text takes to be set once.
        self.options.spend(len(combinations) * len(rows) / 6)
        of_rows: list[dict[Sizes, list[Option]]] = []
        for row, own in zip(rows, places, strict=True):
            sizes = dict.fromkeys(tuple(at[place] for place in own) for at in combinations)
            of_rows.append(self.options.of_row(row, sizes, rooms[row.index], hyphens))
            if not any(of_rows[-1].values()):
                return []
        # In most rooms it is the same ways that fit.
        same = (id(o) for of_row in of_rows for found in of_row.values() for o in found)
        key = (tuple(row.key for row in rows), tuple(combinations), tuple(same))
        if key not in self._known:
            found: list[Choice] = []
            for at in combinations:
                cost = sum(of(size) for of, size in zip(dislike, at, strict=True))
                total: list[Choice] = [Choice(0.0, cost)]
                for row, own, of_row in zip(rows, places, of_rows, strict=True):
                    options = keep_unbeaten(of_row[tuple([at[place] for place in own])])
                    grown = _add_row(total, row.index, options)
                    total = keep_unbeaten(grown) if len(rows) > 1 else grown
                found += total
                self.options.spend(len(total) / 5)
            self._known[key] = keep_pareto_choices(found)
        return self._known[key]

    def _art(self, row: BlockRow, room: Room) -> list[Choice]:
        block = row.lead
        if block.rule:
            made: Sets = (SetArt(block, block.stroke_mm, 0.0),)
            return [Choice(block.stroke_mm, 0.0, _PickedSets(None, row.index, made))]
        aspect = find_aspect(block, self.ways.layout, self.logo)
        pictured = block.picture and self.logo is not None
        least, most = block.picture_height_mm if pictured else block.height_mm
        steps = [most - (most - least) * i / ART_STEPS for i in range(ART_STEPS + 1)]
        dislike = costs.ORNAMENT_SMALLER
        if not pictured and self._draws_names(block):  # the one thing that is to be read first
            dislike = costs.SMALLER * costs.FOCAL
            widest = room.widest_mm / aspect
            steps += [widest] if least < widest < most else []
        return [
            Choice(
                height,
                dislike * (most / height - 1),
                _PickedSets(None, row.index, (SetArt(block, height, height * aspect),)),
            )
            for height in sorted(set(steps))
            if height * aspect <= room.width(0.0, height) + 1e-6
        ]

    def _draws_names(self, block: Block) -> bool:
        """Whether a block's ornament is the names of the people, drawn as outlines."""
        lettering = self.ways.layout.ornaments[block.ornament].lettering
        return lettering is not None and lettering.element == "names"

    def _dislike(self, name: str, rows: Sequence[BlockRow]) -> Callable[[float], float]:
        """What is disliked about a size that is not what its class would like."""
        elements = {b.element for row in rows for b in row.blocks if b.size == name}
        smaller = costs.SMALLER * (costs.FOCAL if "names" in elements else 1.0)
        most = self.ways.plan.sizes[name].most_pt

        def cost(size: float) -> float:
            if size > most:
                return costs.LARGER * (size / most - 1)
            return smaller * (most / size - 1)

        return cost

    def _ladder(
        self, name: str, rows: Sequence[BlockRow], rooms: Mapping[int, Room]
    ) -> list[float]:
        """Sizes from large to small: even steps, legal floors, and where a heading just fits.

        Sizes at which some block of the class cannot be legal are left out; of a class whose size
        is kept the least legal one is all there is.
        """
        spec = self.ways.plan.sizes[name]
        steps, lowest = self._steps(name, rows)
        ladder = set(steps)
        for row in rows:
            for block in row.blocks:
                if block.size == name and block.element in HEADINGS and len(row.blocks) == 1:
                    fits = self._fits_one_line(block, rooms[row.index])
                    ladder |= {s for s in fits if spec.least_pt < s < spec.most_pt}
        legal = sorted((size for size in ladder if size >= lowest - 1e-9), reverse=True)
        return legal[-1:] if spec.kept else legal

    def _steps(self, name: str, rows: Sequence[BlockRow]) -> tuple[frozenset[float], float]:
        """The sizes of a class that do not depend on the room, and the smallest legal one.

        A floor above the class's largest size is tried too, be it law or only advised.
        """
        key = (name, *(row.key for row in rows))
        if key not in self._known_steps:
            spec = self.ways.plan.sizes[name]
            count = math.ceil(math.log(spec.most_pt / spec.least_pt, SIZE_RATIO) - 1e-9)
            ladder = {
                _round_size_pt(spec.most_pt / SIZE_RATIO**i, math.floor) for i in range(count)
            }
            ladder |= {spec.least_pt, spec.most_pt}
            lowest = 0.0
            for block in (b for row in rows for b in row.blocks if b.size == name):
                ways = self.options.block_ways(block)
                lowest = max(lowest, min(way.least_pt for way in ways))
                wished = {size for way in ways for size in (way.least_pt, way.advised_pt)}
                ladder |= {
                    _round_size_pt(s, math.ceil) for s in wished if spec.least_pt < s < math.inf
                }
            self._known_steps[key] = (frozenset(ladder), lowest)
        return self._known_steps[key]

    def _fits_one_line(self, block: Block, room: Room) -> Iterator[float]:
        """The largest size at which each line of a block, as it likes to be set, needs no break."""
        for widest_em in self._widths_em(block):
            size = room.widest_mm * PT_PER_MM / widest_em
            yield _round_size_pt(size - SIZE_GRAIN_PT, math.floor)

    def _widths_em(self, block: Block) -> list[float]:
        """How wide a block is unbroken, as it likes to be set, on one line and on several."""
        if id(block) not in self._known_widths:
            widths: dict[int, float] = {}
            liked = self.ways.settings(block)[0]
            for way in self.options.block_ways(block):
                lines = len(way.paragraphs)
                if way.setting == liked and lines not in widths:
                    widths[lines] = way.widest_em
            self._known_widths[id(block)] = [width for width in widths.values() if width > 0]
        return self._known_widths[id(block)]


@lru_cache(maxsize=DESIGNS)
def make_rows(
    blocks: tuple[tuple[int, Block], ...], split: frozenset[str] = frozenset()
) -> tuple[BlockRow, ...]:
    """The rows that blocks, with their places in the layout, make; ``split`` is broken up."""
    groups: dict[tuple[str, str], list[tuple[int, Block]]] = {}
    for place, block in blocks:
        together = block.row and block.row not in split
        name = block.row if together else f" {place}"
        groups.setdefault((block.zone, name), []).append((place, block))
    last = len(groups) - 1
    return tuple(
        BlockRow(members[0][0], tuple(block for _, block in members), number == 0, number == last)
        for number, members in enumerate(groups.values())
    )


@lru_cache(maxsize=DESIGNS)
def group_rows(rows: tuple[BlockRow, ...]) -> tuple[tuple[BlockRow, ...], ...]:
    """Rows bound together by a size class of theirs; each piece of art for itself."""
    groups: list[tuple[set[str], list[BlockRow]]] = []
    for row in rows:
        sizes = {b.size for b in row.blocks} if row.lead.element else {f" {row.index}"}
        joined = (sizes, [row])
        for other in [group for group in groups if group[0] & sizes]:
            groups.remove(other)
            joined = (joined[0] | other[0], [*other[1], *joined[1]])
        groups.append(joined)
    return tuple(tuple(sorted(members, key=lambda row: row.index)) for _, members in groups)


def _thin_ladders(ladders: list[list[float]]) -> list[list[float]]:
    """Ladders of which every other rung is left out until there are few enough combinations.

    The smallest size of each stays, so that what can be fitted still is.
    """
    while math.prod(map(len, ladders)) > MOST_SIZES_TOGETHER:
        longest = max(ladders, key=len)
        ladders[ladders.index(longest)] = longest[::-2][::-1]
    return ladders


def _round_size_pt(size_pt: float, rounding: Callable[[float], int]) -> float:
    """A size rounded to hundredths of a point, down or up."""
    return round(rounding(round(size_pt / SIZE_GRAIN_PT, 6)) * SIZE_GRAIN_PT, 2)


def _add_row(total: Sequence[Choice], index: int, options: Iterable[Option]) -> list[Choice]:
    """Every choice so far with every way to set one more row."""
    return [
        Choice(so_far + height, before_cost + cost, _PickedSets(before, index, sets))
        for height, cost, sets, _ in options
        for so_far, before_cost, before in total
    ]
