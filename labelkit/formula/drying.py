"""What marker bars tell of the water that leaves in cure, and how sure that is.

A bar loses A (1 - exp(-d / T)) of its poured mass in d days: fast at first, then ever more slowly.
Bars of several days are brought to the day that is asked for by that curve; T is fitted where bars
were weighed on days far enough apart, and otherwise assumed.

The range is that of the mean loss of the batch to come, at 95 % (two-sided). From bars of one batch
it is Student's, t(n - 1) s / sqrt(n): how batches differ cannot be known from one. From several
batches it is that of a new batch's mean, t s sqrt(1 + 1/B), where the spread s between the batches'
means is joined with a common one that counts as much as CREDIT further batches: two batches that
agree by luck promise too little.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import lru_cache
from math import atan, cos, exp, pi, sin, sqrt
from statistics import fmean, median

from labelkit.common.frozen import dataclass
from labelkit.order.recipe import Cure, MarkerBar

USUAL_DAYS = 42
"""A cure of six weeks, where nobody says when bars were weighed: common practice, no source."""
USUAL_T_DAYS = 14.0
"""Most of the water leaves in the first weeks: common practice, no source."""
BETWEEN_BATCHES, CREDIT = 0.5, 4
"""Standard deviation of batches' mean losses, in percent of the poured mass, and how many batches
it counts for: labelkit's own judgement."""
LEAST_DAYS_APART = 7
ODD_PERCENT, ODD_TIMES = 3.0, 5.0
"""A bar is odd that is so many percent, and so many times the usual deviation, off the others."""
LEAST_LOSS, MOST_LOSS = 1.0, 40.0
"""Percent that no bar loses less or more of in cure (labelkit's own judgement)."""
_CHANCE = 0.975


@dataclass(frozen=True, slots=True)
class OddBar:
    """A bar that is left out, and why."""

    bar: MarkerBar
    loss_percent: float
    usual_percent: float | None
    """What the others lost; None: it was weighed twice on one day."""


@dataclass(frozen=True, slots=True)
class DryingFit:
    """The loss of the batch to come, in percent of the poured mass, with half its range."""

    percent: float
    half_percent: float
    bars: int
    batches: int
    deviation: float
    """Of the bars within a batch, percent."""
    odd: tuple[OddBar, ...] = ()

    def half_with_more(self, more: int) -> float:
        """Half the range if so many more bars of the same batch were weighed, and alike."""
        return _predict_same_batch(self.bars + more, self.deviation)


def fit_drying(cure: Cure) -> DryingFit | None:
    """The loss at the end of cure by its marker bars; None where none of them tells anything."""
    days = (cure.weeks or 0) * 7 or USUAL_DAYS
    told = [bar for bar in cure.bars if bar.days != 0]
    same_day = [OddBar(bar, _measure_loss(bar), None) for bar in cure.bars if bar.days == 0]
    curve = _fit_time(told, days)
    brought = {
        id(bar): _measure_loss(bar) * _share_at(days, bar.days or days, curve) for bar in told
    }
    odd = list(_find_odd_bars(told, brought))
    left_out = {id(one.bar) for one in odd}
    kept = [bar for bar in told if id(bar) not in left_out]
    if not kept:
        return None
    groups: dict[str, list[float]] = {}
    for bar in kept:
        groups.setdefault(bar.batch, []).append(brought[id(bar)])
    means = [fmean(group) for group in groups.values()]
    deviation = _pool_deviation(groups.values())
    if len(groups) == 1:
        half = _predict_same_batch(len(kept), deviation)
        percent = _weigh_common_loss(kept, brought)
    else:
        half, percent = _predict_new_batch(means), fmean(means)
    return DryingFit(percent, half, len(kept), len(groups), deviation, (*same_day, *odd))


def _measure_loss(bar: MarkerBar) -> float:
    return float(100 - 100 * bar.cured_g / bar.poured_g)


def _weigh_common_loss(bars: Sequence[MarkerBar], brought: dict[int, float]) -> float:
    """The common loss of bars of one batch, each by its poured mass."""
    poured = sum(float(bar.poured_g) for bar in bars)
    return sum(float(bar.poured_g) * brought[id(bar)] for bar in bars) / poured


def _predict_same_batch(count: int, deviation: float) -> float:
    """Half the range of the mean loss of bars of one batch; 0 where one bar tells of none."""
    return find_t_quantile(count - 1) * deviation / sqrt(count) if count > 1 else 0.0


def _predict_new_batch(means: Sequence[float]) -> float:
    """Half the range of a new batch's mean loss, from those of several."""
    count, centre = len(means), fmean(means)
    squares = sum((mean - centre) ** 2 for mean in means)
    variance = (CREDIT * BETWEEN_BATCHES**2 + squares) / (CREDIT + count - 1)
    return find_t_quantile(CREDIT + count - 1) * sqrt(variance * (1 + 1 / count))


def _pool_deviation(groups: Iterable[Sequence[float]]) -> float:
    """The standard deviation within batches."""
    squares = free = 0.0
    for group in groups:
        centre = fmean(group)
        squares += sum((loss - centre) ** 2 for loss in group)
        free += len(group) - 1
    return sqrt(squares / free) if free else 0.0


def _find_odd_bars(bars: Sequence[MarkerBar], brought: dict[int, float]) -> Iterable[OddBar]:
    """Bars that lost what none loses, and those far off the others of four or more."""
    losses = [brought[id(bar)] for bar in bars]
    usual = median(losses) if losses else 0.0
    off = median([abs(loss - usual) for loss in losses]) if losses else 0.0
    for bar, loss in zip(bars, losses, strict=True):
        impossible = not LEAST_LOSS <= loss <= MOST_LOSS
        far = len(bars) > 3 and abs(loss - usual) > max(ODD_PERCENT, ODD_TIMES * off)
        if impossible or far:
            yield OddBar(bar, _measure_loss(bar), usual)


# -- the curve -------------------------------------------------------------------------------------


def _share_at(wanted: float, weighed: float, time: float) -> float:
    """What a bar loses by one day, as a multiple of what it lost by another."""
    return (1 - exp(-wanted / time)) / (1 - exp(-weighed / time))


def _fit_time(bars: Sequence[MarkerBar], days: int) -> float:
    """T in days, by least squares over a ladder of times; assumed where days are too near."""
    points = [(float(bar.days or days), _measure_loss(bar)) for bar in bars]
    spread = max((day for day, _ in points), default=0) - min((d for d, _ in points), default=0)
    if len(points) < 3 or spread < LEAST_DAYS_APART:
        return USUAL_T_DAYS
    return min((4 * 1.1**n for n in range(31)), key=lambda time: _measure_misfit(points, time))


def _measure_misfit(points: Sequence[tuple[float, float]], time: float) -> float:
    """The squares left by the best A for a time."""
    shapes = [1 - exp(-day / time) for day, _ in points]
    best = sum(s * loss for s, (_, loss) in zip(shapes, points, strict=True))
    best /= sum(s * s for s in shapes)
    return sum((loss - best * s) ** 2 for s, (_, loss) in zip(shapes, points, strict=True))


# -- Student's t -----------------------------------------------------------------------------------


@lru_cache(maxsize=256)
def find_t_quantile(freedom: int, chance: float = _CHANCE) -> float:
    """The value that Student's t with so many degrees of freedom is under with a chance."""
    low, high = 0.0, 1e4
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _chance_under(middle, freedom) < chance else (low, middle)
    return (low + high) / 2


def _chance_under(t: float, freedom: int) -> float:
    """Student's t, at no negative value (Abramowitz and Stegun, 26.7.3 and 26.7.4)."""
    angle = atan(t / sqrt(freedom))
    sine, cosine = sin(angle), cos(angle)
    total, term = 0.0, 1.0
    if freedom % 2:
        term = cosine
        for n in range(1, freedom - 1, 2):
            total += term
            term *= cosine * cosine * (n + 1) / (n + 2)
        both = 2 / pi * (angle + (sine * total if freedom > 1 else 0.0))
    else:
        for n in range(0, freedom - 1, 2):
            total += term
            term *= cosine * cosine * (n + 1) / (n + 2)
        both = sine * total
    return (1 + both) / 2


def to_percent(value: float) -> Decimal:
    """A figure of the fit as an exact decimal, the same on every machine."""
    return Decimal(repr(round(value, 6)))
