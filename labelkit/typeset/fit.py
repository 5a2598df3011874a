"""The copyfitter: picks one way to set each group of a panel so that all fit and least is disliked.

It knows heights and costs, and nothing of text or law. The answer is exact: among all picks that
fit the height there is none of lower cost.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import itemgetter
from typing import Any, NamedTuple, TypeAlias, TypeVar

from labelkit.common.frozen import dataclass

ROUNDING_MM = 1e-9
"""Heights closer than this are equal: sums of floats depend on the order of adding."""


class Choice(NamedTuple):
    """One way to set a group: how high it is, how much it is disliked, and what it is."""

    height_mm: float
    cost: float
    payload: Any = None


ROUNDING_COST = 1e-9


@dataclass(frozen=True, slots=True)
class FitResult:
    """What the copyfitter found."""

    picks: tuple[Choice, ...] | None
    """One choice per group, in order; None where nothing fits."""
    cost: float
    """The picks' cost together; infinite where nothing fits."""
    height_mm: float
    """The picks' height together, or the least height there is where nothing fits."""
    shortage_mm: float
    """How much too tall the lowest picks are; zero where something fits."""
    per_mm: float = 0.0
    """What the last millimetre of the height costs."""


_Way = TypeVar("_Way", bound=tuple[Any, ...])
_Link: TypeAlias = "tuple[_Link, Choice] | None"
_Sum: TypeAlias = tuple[float, float, _Link]
_HEIGHT_AND_COST = itemgetter(0, 1)
"""Of a Choice or a sum of them."""


def keep_pareto_choices(choices: Iterable[Choice]) -> list[Choice]:
    """The choices that no other beats in both height and cost, from low to high.

    Of equals the first one given stays.
    """
    return keep_unbeaten(choices)


def keep_unbeaten(ways: Iterable[_Way]) -> list[_Way]:
    """The same for anything that begins with its height and its cost."""
    kept: list[_Way] = []
    least = math.inf
    for way in sorted(ways, key=_HEIGHT_AND_COST):
        if way[1] < least:
            least = way[1]
            kept.append(way)
    return kept


def fit_groups(fronts: Sequence[Sequence[Choice]], available_mm: float) -> FitResult:
    """The picks of least cost whose heights add up to at most ``available_mm``.

    ``fronts`` are the choices of each group as ``keep_pareto_choices`` leaves them. Of equally good
    picks the lower are taken. A group without choices cannot be fitted: the shortage is then
    infinite.
    """
    if not all(fronts):
        return FitResult(None, float("inf"), float("inf"), float("inf"))
    least = sum(front[0].height_mm for front in fronts)
    if least > available_mm + ROUNDING_MM:
        return FitResult(None, float("inf"), least, least - available_mm)
    liked = tuple(front[-1] for front in fronts)
    if (height := sum(choice.height_mm for choice in liked)) <= available_mm + ROUNDING_MM:
        return FitResult(liked, sum(choice.cost for choice in liked), height, 0.0)
    fronts, per_mm = _drop_hopeless_choices(fronts, available_mm)
    # The fronts of all sums grow with every group, so two halves are summed and met in the middle.
    middle = len(fronts) // 2
    room = available_mm + ROUNDING_MM
    head_least = sum(front[0].height_mm for front in fronts[:middle])
    head = _sum_choices(fronts[:middle], room - (least - head_least))
    tail = _sum_choices(fronts[middle:], room - head_least)
    return replace(_join_halves(head, tail, room), per_mm=per_mm)


def find_least_cost(
    groups: Sequence[Sequence[Choice]], available_mm: float, per_mm: float
) -> float:
    """What the picks that fit a height cost at least, whatever a millimetre is said to cost.

    The nearer that price is to the true one the nearer is the bound (see below).
    """
    least = sum([min([cost + per_mm * high for high, cost, _ in group]) for group in groups])
    return least - per_mm * (available_mm + ROUNDING_MM) - ROUNDING_COST


def _drop_hopeless_choices(
    fronts: Sequence[Sequence[Choice]], available_mm: float
) -> tuple[list[list[Choice]], float]:
    """The fronts without choices that can be no part of the cheapest picks, and the price.

    With a price on height every pick is judged for itself: the cheapest of each front, less the
    height there is, bound the cost from below (Lagrange relaxation of the multiple-choice
    knapsack; H. Kellerer, U. Pferschy, D. Pisinger, "Knapsack Problems", 2004, chapter 11). Picks
    made greedily bound it from above, and their last exchange names the price.
    """
    price, most = _fit_greedily(fronts, available_mm)
    least = [min(c.cost + price * c.height_mm for c in front) for front in fronts]
    spare = most - (sum(least) - price * available_mm) + ROUNDING_COST
    hopeful = [
        [c for c in front if c.cost + price * c.height_mm - cheapest <= spare]
        for front, cheapest in zip(fronts, least, strict=True)
    ]
    return hopeful, price


def _fit_greedily(fronts: Sequence[Sequence[Choice]], available_mm: float) -> tuple[float, float]:
    """The price of a millimetre where picks just fit that lose height where it costs least.

    And the cost of those picks. The lowest of all are the last, even a rounding too high.
    """
    places = [len(front) - 1 for front in fronts]
    height = sum(front[-1].height_mm for front in fronts)
    price = 0.0
    exchanges = [_find_best_exchange(front, at) for front, at in zip(fronts, places, strict=True)]
    while height > available_mm and min(exchanges)[0] < math.inf:
        price, place = min(exchanges)
        group = exchanges.index((price, place))
        height += fronts[group][place].height_mm - fronts[group][places[group]].height_mm
        places[group] = place
        exchanges[group] = _find_best_exchange(fronts[group], place)
    return price, sum(front[at].cost for front, at in zip(fronts, places, strict=True))


def _find_best_exchange(front: Sequence[Choice], at: int) -> tuple[float, int]:
    """The lower choice for which each millimetre costs least, and that cost; infinite for none."""
    best = (math.inf, 0)
    height, cost, _ = front[at]
    for place in range(at):
        lower, dearer, _ = front[place]
        price = (dearer - cost) / (height - lower)
        if price < best[0]:
            best = (price, place)
    return best


def _sum_choices(fronts: Sequence[Sequence[Choice]], room_mm: float) -> list[_Sum]:
    """Every sum of one choice per front that fits and is not beaten, from low to high."""
    sums: list[_Sum] = [(0.0, 0.0, None)]
    rest = sum(front[0].height_mm for front in fronts)
    for front in fronts:
        rest -= front[0].height_mm
        highest = room_mm - rest
        combined: list[_Sum] = [
            (height + choice.height_mm, cost + choice.cost, (link, choice))
            for height, cost, link in sums
            for choice in front
            if height + choice.height_mm <= highest + ROUNDING_MM
        ]
        sums = keep_unbeaten(combined)
    return sums


def _join_halves(head: list[_Sum], tail: list[_Sum], room_mm: float) -> FitResult:
    """The cheapest pair that fits. Costs fall with height, so each head takes the highest tail."""
    heights = [height for height, _, _ in tail]
    best: tuple[float, float, _Link, _Link] | None = None
    for height, cost, link in head:
        index = bisect_right(heights, room_mm - height) - 1
        if index >= 0:
            other = tail[index]
            pair = (cost + other[1], height + other[0])
            if best is None or pair < best[:2]:
                best = (*pair, link, other[2])
    assert best is not None, "the lowest picks fit"
    picks = (*_unlink_choices(best[2]), *_unlink_choices(best[3]))
    return FitResult(picks, best[0], best[1], 0.0)


def _unlink_choices(link: _Link) -> list[Choice]:
    picks: list[Choice] = []
    while link is not None:
        link, choice = link
        picks.append(choice)
    return picks[::-1]
