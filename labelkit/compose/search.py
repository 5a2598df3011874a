"""The search for the least disliked panel: what is on it, in which rows, in which sizes."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR
from functools import lru_cache
from typing import NamedTuple

from labelkit.common.errors import FitError, NoRoomError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Term, round_to_tenths
from labelkit.compose import costs
from labelkit.compose.choices import Choices, gather_picks, group_rows, make_rows
from labelkit.compose.parts import BlockRow, Hyphenation, Sets
from labelkit.compose.room import PLACE_ROUNDING_MM, Room, TextArea
from labelkit.compose.stack import SHIFT_STEP_MM, GapBounds, RowStack, sum_gaps_mm
from labelkit.order.layout import DESIGNS, Block
from labelkit.typeset.fit import Choice, find_least_cost, fit_groups, keep_pareto_choices

GAP_SCALES = tuple(round(1.0 - 0.05 * n, 2) for n in range(13))
CURVED_GUESS = 0.92
"""Share of its widest that a line of a curved shape is first thought to have."""
EASE_MOST, EASE_SHARE = 0.6, 0.45
"""Gaps are widened by at most this much, and by this share of the height that is left over."""
MOST_TAKEN_MM = 2.5
"""Height that is taken off at once; of more that is lacking, half: the whole may overshoot."""
NEAR_COST = 3.0
"""A curved shape that costs no more than this is not tried from another beginning."""
PUSHED_ON_MM = 0.5
"""Height that is taken off where a row must come nearer to the middle of the shape; each time as
much more, as every try takes long."""
UNEVEN_MM = 0.8
"""Difference of the voids at head and foot that nobody sees."""
CROWDED_MM = 1.5
"""Space to the margin at the head that is not worth setting text closer for."""
LOWERED = (0.5, 0.35, 0.2)
"""Shares of that difference by which text that stands high is tried lower."""
RAISED = (1.0, 0.6, 0.3)
"""Shares of it by which text that hangs low is tried higher."""
MOST_ROUNDS = 24
CALMING = 0.985
"""Rooms shrink by this much a round, so that positions that chase each other come to rest."""
WAYS_OUT = (Said("a larger trim"),)
GROWS_WITH_IT = 1.25
"""Margins and spaces grow with the trim, so that it takes more than the height that lacks."""

Blocks = Sequence[tuple[int, Block]]
"""Blocks with their places in the layout."""
Rows = tuple[BlockRow, ...]


@dataclass(frozen=True)
class FittedRows:
    """Rows picked and placed."""

    rows: Rows
    picked: Mapping[int, Sets]
    tops: Mapping[int, float]
    """Top of each row's ink and free space, from the foot of the trim."""
    gaps: float
    cost: float
    split: frozenset[str] = frozenset()
    """The rows that were broken up."""
    left_out: tuple[str, ...] = ()
    priced: float = 0.0
    """Of the cost, what rows broken up and blocks left out have added."""
    per_mm: float = 0.0
    """What the last millimetre of the height costs: a guess at what it does for other rows."""

    def with_price(self, price: float) -> FittedRows:
        """The same with more to dislike about what is on it."""
        return replace(self, cost=self.cost + price, priced=self.priced + price)


@dataclass(frozen=True)
class PanelSearch:
    """Fits the blocks of panel ``name`` into its place."""

    name: str
    place: TextArea
    choices: Choices
    stack: RowStack
    hyphens: Hyphenation = Hyphenation.LONG_TEXT
    """Words that are broken where nothing else fits."""

    def best(self, blocks: Blocks) -> FittedRows:
        """All blocks fitted, without optional ones only where nothing fits with them.

        FitError where nothing legal fits.
        """
        blocks = self._ranged([found for found in blocks if self.choices.shown(found[1])])
        best, error = self._broken_up(blocks)
        left_out: list[str] = []
        # Ornaments and pictures first: words that were asked for go last.
        optional = [found for found in blocks if found[1].optional]
        for found in sorted(optional, key=lambda found: found[1].element != ""):
            if best is not None:
                break
            blocks = [other for other in blocks if other is not found]
            left_out.append(self._called(found[1]))
            best, refusal = self._broken_up(blocks)
            error = refusal or error  # what still lacks room is told of what cannot be left out
        if best is None:
            raise error or self._refusal(Said("nothing fits"))
        return replace(self._raised(self._lowered(best)), left_out=tuple(left_out))

    def _called(self, block: Block) -> str:
        """What a block shows: its element, the logo, or an ornament."""
        if block.picture and self.choices.logo is not None:
            return block.picture
        return block.element or block.ornament

    def _broken_up(self, blocks: Blocks) -> tuple[FittedRows | None, FitError | None]:
        """The blocks fitted; rows that are too wide for one line, or cramp the rest, broken up.

        Whatever is gained by breaking up a row or joining it, the others are then tried again.
        """
        tried = {frozenset[str]()}
        best, error = self._in_rows(blocks, frozenset(), None, tried)
        rows = dict.fromkeys(block.row for _, block in blocks if block.row)
        turns = list(rows)
        while turns:
            row = turns.pop(0)
            split = (best.split if best else frozenset()) ^ {row}
            if split in tried or (best and best.cost <= self._price(blocks, split)):
                continue
            tried.add(split)
            other, second = self._in_rows(blocks, split, best, tried)
            if other is not None and (best is None or other.cost < best.cost):
                best = other
                turns += [again for again in rows if again not in (row, *turns)]
            error = error or second
        return best, error

    def _in_rows(
        self,
        blocks: Blocks,
        split: frozenset[str],
        best: FittedRows | None,
        tried: set[frozenset[str]],
    ) -> tuple[FittedRows | None, FitError | None]:
        """The blocks fitted with these rows broken up, and others that are too wide for a line.

        Neither that nor an error where it would cost as much as the ``best`` so far or more, or
        where it comes to rows that were ``tried`` before.
        """
        most, per_mm = (best.cost, best.per_mm) if best else (math.inf, 0.0)
        while True:
            rows = make_rows(tuple(self._split(blocks, split)), split)
            price = self._price(blocks, split)
            try:
                fitted = self._fitted(rows, most - price, per_mm)
            except _TooWide as error:
                together = {row.lead.row for row in error.rows if len(row.blocks) > 1}
                if not together:
                    return None, error.refusal
                split |= together
                if split in tried:
                    return None, None
                tried.add(split)
            except FitError as error:
                return None, error
            else:
                found = fitted and replace(fitted.with_price(price), split=split)
                return found, None

    def _price(self, blocks: Blocks, split: Collection[str]) -> float:
        """What breaking up rows costs: little where their blocks are ranged alike."""
        price = 0.0
        for row in split:
            aligns = {block.align for _, block in blocks if block.row == row}
            price += costs.GROUP_BROKEN_UP if len(aligns) == 1 else costs.ROW_BROKEN_UP
        return price

    def _ranged(self, blocks: Blocks) -> Blocks:
        """Everything centred in curved shapes."""
        if self.place.straight:
            return blocks
        return [(place, _align(block, "centre")) for place, block in blocks]

    def _split(self, blocks: Blocks, split: frozenset[str]) -> Blocks:
        """The blocks of rows that are broken up ranged as the panel's text."""
        if not split or not self.place.straight:
            return blocks
        main = next((b.align for _, b in blocks if b.element and not b.row), "left")
        return [
            (place, _align(block, main) if block.row in split else block) for place, block in blocks
        ]

    # -- one arrangement in its shape --------------------------------------------------------------

    def _fitted(self, rows: Rows, most: float, per_mm: float) -> FittedRows | None:
        """Fits and places rows; None where that would cost ``most`` or more.

        In curved shapes from two beginnings: lines as wide everywhere as most of the shape is,
        pushed from head and foot to where they fit; and, where that costs much, lines as wide as
        the shape is where they stand when stacked evenly.
        """
        place = self.place
        rooms = self._guessed(rows, 1.0 if place.straight else CURVED_GUESS)
        gathered = self._gather(rows, rooms)
        if most < math.inf and most <= find_least_cost(gathered.groups, place.height_mm, per_mm):
            return None
        pick = self._pick_from(gathered, rows, place.height_mm)
        if pick.cost >= most:
            return None
        if place.straight:
            return self._settled(rows, rooms, pick, most)
        wide, refusal = self._tried(rows, rooms, pick, most)
        if wide is not None and wide.cost <= pick.cost + NEAR_COST:
            return wide
        rooms = self._rooms(rows, self.stack.even_tops(rows, pick.sets, pick.gaps), 1.0)
        shaped, second = self._tried(rows, rooms, None, wide.cost if wide else most)
        if (shaped or wide) is None and (refusal and second):
            raise refusal
        found = [fitted for fitted in (wide, shaped) if fitted is not None]
        return min(found, key=lambda fitted: fitted.cost, default=None)

    def _tried(
        self,
        rows: Rows,
        rooms: Mapping[int, Room],
        pick: _PickedRows | None,
        most: float,
    ) -> tuple[FittedRows | None, FitError | None]:
        """What ``_settled`` finds, or its refusal."""
        try:
            return self._settled(rows, rooms, pick, most), None
        except FitError as error:
            return None, error

    def _settled(
        self,
        rows: Rows,
        rooms: Mapping[int, Room],
        pick: _PickedRows | None,
        most: float,
    ) -> FittedRows | None:
        """Fits, places, and fits again where the shape leaves a row less room than was thought.

        In straight-sided shapes the first round settles it. In curved ones rows are pushed from
        head and foot to where they fit, the height that costs is taken off, and so on. That
        seldom makes anything cheaper, so it ends with None as soon as ``most`` is reached.
        """
        place = self.place
        available = place.height_mm
        narrower, push = 1.0, 0.0
        stand: tuple[dict[int, float], float] | None = None
        for _ in range(MOST_ROUNDS):
            if pick is None or pick.height_mm > available:  # what still fits is still the best
                pick, stand = self._pick(rows, rooms, available), None
            if pick.cost >= most:
                return None
            tops, free = stand = stand or self.stack.tops(rows, pick.sets, pick.gaps)
            if free < -PLACE_ROUNDING_MM:
                available -= max(SHIFT_STEP_MM, min(-free, MOST_TAKEN_MM), -free / 2)
                continue  # where rows of too much height would stand tells nothing of their room
            if self.stack.fits(rows, pick.sets, tops):
                cost = pick.cost + costs.PUSHED * sum(self.stack.voids_mm(rows, pick.sets, tops))
                fitted = FittedRows(rows, pick.sets, tops, pick.gaps, cost, per_mm=pick.per_mm)
                return self._eased(fitted, free)
            if pick.pushed_on:
                push += PUSHED_ON_MM
                available -= push
            rooms, pick = self._rooms(rows, tops, narrower), None
            narrower *= CALMING
        raise self._refusal(
            Said(
                "the text does not settle in the {shape} shape",
                shape=Term("shape", place.outline.shape),
            )
        )

    def _eased(self, fitted: FittedRows, free_mm: float) -> FittedRows:
        """The same with its gaps widened by a part of the height that is left over."""
        whole = self.stack.gaps_mm(fitted.rows, fitted.gaps)
        if free_mm <= 0 or whole <= 0:
            return fitted
        gaps = fitted.gaps * (1 + min(EASE_MOST, EASE_SHARE * free_mm / whole))
        tops, free = self.stack.tops(fitted.rows, fitted.picked, gaps)
        if free < 0 or not self.stack.fits(fitted.rows, fitted.picked, tops):
            return fitted
        return replace(fitted, tops=tops, gaps=gaps)

    def _lowered(self, fitted: FittedRows) -> FittedRows:
        """The same brought down towards the middle of its shape, set closer where that is needed.

        A wide row at the foot of a curved shape stands high, while an ornament at its head takes
        the last of the height.
        """
        rows = fitted.rows
        above, below = self.stack.voids_mm(rows, fitted.picked, fitted.tops)
        if self.place.straight or below - above < UNEVEN_MM:
            return fitted
        for share in LOWERED:
            lower = (below - above) * share
            for pick in self._picks_lower(fitted, lower, above < CROWDED_MM):
                tops, free = self.stack.tops(rows, pick.sets, pick.gaps, above + lower)
                if free >= -PLACE_ROUNDING_MM and self.stack.fits(rows, pick.sets, tops):
                    return replace(fitted, picked=pick.sets, tops=tops, gaps=pick.gaps)
        return fitted

    def _raised(self, fitted: FittedRows) -> FittedRows:
        """The same set otherwise, with narrower lines at the head, where text hangs low.

        Wide rows leave the head of a curved shape empty, while narrow ones reach its foot.
        """
        rows = fitted.rows
        above, below = self.stack.voids_mm(rows, fitted.picked, fitted.tops)
        text_first = bool(rows) and rows[0].lead.element != ""
        if self.place.straight or not text_first or above - below < UNEVEN_MM:
            return fitted
        for share in RAISED:
            higher = self._higher(fitted, (above - below) * share)
            if higher is not None and self._hanging(higher) < self._hanging(fitted):
                return higher
        return fitted

    def _hanging(self, fitted: FittedRows) -> float:
        """The cost with that of hanging low."""
        above, below = self.stack.voids_mm(fitted.rows, fitted.picked, fitted.tops)
        return fitted.cost + costs.HANGING * max(0.0, above - below)

    def _higher(self, fitted: FittedRows, by_mm: float) -> FittedRows | None:
        """The rows set so as to begin higher, and end where they do; None where they do not fit.

        No words are broken for it.
        """
        rows, last = fitted.rows, max(1, len(fitted.rows) - 1)
        rise = {row.index: by_mm * (1 - number / last) for number, row in enumerate(rows)}
        tops = {index: top + rise[index] for index, top in fitted.tops.items()}
        try:
            unbroken = replace(self, hyphens=Hyphenation.NOWHERE)
            pick = unbroken._pick(
                rows, self._rooms(rows, tops, 1.0), self._height_mm(fitted) + by_mm
            )
        except (FitError, _TooWide):
            return None
        tops, free = self.stack.tops(rows, pick.sets, pick.gaps)
        if free < -PLACE_ROUNDING_MM or not self.stack.fits(rows, pick.sets, tops):
            return None
        cost = pick.cost + costs.PUSHED * sum(self.stack.voids_mm(rows, pick.sets, tops))
        found = replace(fitted, picked=pick.sets, tops=tops, gaps=pick.gaps)
        return self._eased(replace(found, cost=cost + fitted.priced), free)

    def _height_mm(self, fitted: FittedRows) -> float:
        """Of the rows, and of the spaces between them."""
        rows = sum(row.height_mm(fitted.picked[row.index]) for row in fitted.rows)
        return rows + self.stack.gaps_mm(fitted.rows, fitted.gaps)

    def _picks_lower(self, fitted: FittedRows, by_mm: float, closer: bool) -> Iterator[_PickedRows]:
        """What is picked already; and, to set it closer, what is picked for less height."""
        rows, gaps = fitted.rows, fitted.gaps
        height = self._height_mm(fitted)
        yield _PickedRows(dict(fitted.picked), gaps, 0.0, height, False)
        if not closer:
            return
        rooms = self._rooms(rows, fitted.tops, 1.0)
        try:
            before, after = (self._pick(rows, rooms, height - less) for less in (0.0, by_mm))
        except (FitError, _TooWide):
            return
        if after.cost - before.cost <= costs.UNEVEN * by_mm:
            yield after

    def _rooms(
        self, rows: Sequence[BlockRow], tops: Mapping[int, float], narrower: float
    ) -> dict[int, Room]:
        return {
            row.index: Room.below(self.place, tops[row.index]).narrowed(narrower) for row in rows
        }

    def _pick(self, rows: Rows, rooms: Mapping[int, Room], available_mm: float) -> _PickedRows:
        """The least disliked ways to set the rows that fit a height."""
        return self._pick_from(self._gather(rows, rooms), rows, available_mm)

    def _gather(self, rows: Rows, rooms: Mapping[int, Room]) -> _Gathered:
        """What there is to pick from; _TooWide where some rows fit no line."""
        groups: list[Sequence[Choice]] = []
        pushed_on = False
        for members in group_rows(rows):
            choices = self._choices(members, rooms)
            if not choices and not self.place.straight:
                # Too wide for where they stood: they are to be pushed on to where it is wider.
                pushed_on = True
                choices = self._choices(members, self._guessed(members, CURVED_GUESS))
                choices = choices or self._choices(members, self._guessed(members, 1.0))
            if not choices:
                raise _TooWide(members, self._too_wide(members))
            groups.append(choices)
        groups.append(_list_gap_choices(self.stack.bound_gaps(rows)))
        return _Gathered(groups, pushed_on)

    def _pick_from(
        self, gathered: _Gathered, rows: Sequence[BlockRow], available_mm: float
    ) -> _PickedRows:
        fitted = fit_groups(gathered.groups, available_mm)
        if fitted.picks is None:
            raise self._too_tall(rows, fitted.shortage_mm, available_mm)
        return _PickedRows(
            gather_picks(fitted.picks[:-1]),
            fitted.picks[-1].payload,
            fitted.cost,
            fitted.height_mm,
            gathered.pushed_on,
            fitted.per_mm,
        )

    def _choices(self, rows: Sequence[BlockRow], rooms: Mapping[int, Room]) -> list[Choice]:
        """The ways to set rows together, words broken only where there are none without."""
        choices = self.choices.of_group(rows, rooms)
        if choices or not rows[0].lead.element:
            return choices
        if any(self.hyphens.within(block) for row in rows for block in row.blocks):
            choices = self.choices.of_group(rows, rooms, self.hyphens)
        return choices

    def _guessed(self, rows: Iterable[BlockRow], share: float) -> dict[int, Room]:
        """Rooms as wide as a share of the place, whatever its shape."""
        return dict.fromkeys([row.index for row in rows], Room(self.place.widest_mm * share))

    def _too_wide(self, rows: Sequence[BlockRow]) -> FitError:
        facts = {
            "names": FactList(Term("part", row.name) for row in rows),
            "width": round_to_tenths(self.place.widest_mm, ROUND_FLOOR),
        }
        if not self.choices.held_by_layout(rows):
            return self._refusal(Said("{names}: no legal size fits lines {width} mm wide", **facts))
        reason = Said(
            "{names}: even in the smallest letters that print well, which is no law's floor, too"
            " wide for lines of {width} mm",
            **facts,
        )
        return self._refusal(reason)

    def _too_tall(self, rows: Sequence[BlockRow], over_mm: float, room_mm: float) -> FitError:
        over = Said("{over} mm", over=round_to_tenths(over_mm, ROUND_CEILING))
        if over_mm < 0.1:
            over = Said("less than {over} mm", over=round_to_tenths(0.1, ROUND_CEILING))
        facts = {"over": over, "room": round_to_tenths(room_mm, ROUND_FLOOR)}
        ways: tuple[Said, ...] = WAYS_OUT
        if self.place.straight:
            more = round_to_tenths(max(0.1, over_mm * GROWS_WITH_IT), ROUND_CEILING)
            ways = (Said("a larger trim, about {more} mm higher", more=more),)
        held = self.choices.held_by_layout(rows)
        if not held:
            reason = Said(
                "at the smallest legal sizes the text is {over} too tall for the {room} mm there"
                " are",
                **facts,
            )
            return self._refusal(reason, ways, over_mm)
        reason = Said(
            "at the smallest sizes the text is {over} too tall for the {room} mm there are; for"
            " {names} these are the smallest letters that print well, no law's floor",
            names=FactList(Term("part", row.name) for row in held),
            **facts,
        )
        return self._refusal(reason, ways, over_mm)

    def _refusal(
        self, reason: Said, ways: tuple[Said, ...] = WAYS_OUT, over_mm: float = math.inf
    ) -> NoRoomError:
        return NoRoomError(self.name, reason, ways, over_mm=over_mm)


@lru_cache(maxsize=DESIGNS)
def _align(block: Block, align: str) -> Block:
    """A block ranged otherwise: the same object each time, as its ways are kept with it."""
    return block if block.align == align else replace(block, align=align)


@lru_cache(maxsize=DESIGNS)
def _list_gap_choices(bounds: tuple[GapBounds, ...]) -> tuple[Choice, ...]:
    """The spaces between rows with these bounds, closed more and more."""
    shares = ((share, sum_gaps_mm(bounds, share)) for share in GAP_SCALES)
    choices = (Choice(mm, costs.TIGHT * (1 - share) ** 2, share) for share, mm in shares)
    return tuple(keep_pareto_choices(choices))


class _PickedRows(NamedTuple):
    """What the copyfitter picked."""

    sets: dict[int, Sets]
    gaps: float
    """The share of the liked spaces between rows that is kept."""
    cost: float
    height_mm: float
    pushed_on: bool
    """Whether some rows are to stand elsewhere: where they stood, no way to set them fitted."""
    per_mm: float = 0.0
    """What the last millimetre of the height costs."""


class _Gathered(NamedTuple):
    """The ways to set rows, and the last group the spaces between them."""

    groups: list[Sequence[Choice]]
    pushed_on: bool


class _TooWide(Exception):
    """Rows that fit no line, and the refusal to give if they cannot be broken up."""

    def __init__(self, rows: Sequence[BlockRow], refusal: FitError) -> None:
        super().__init__(str(refusal))
        self.rows, self.refusal = rows, refusal
