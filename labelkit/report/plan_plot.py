"""A small plot of weighed pieces: how many fell into each step of weight."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal

from labelkit.common.frozen import dataclass

MOST_BINS = 10
_STEPS = tuple(Decimal(digit).scaleb(power) for power in range(-2, 5) for digit in (1, 2, 5))


@dataclass(frozen=True, slots=True)
class WeightBin:
    """Pieces from ``low_g`` to just under ``low_g`` plus the plot's step."""

    low_g: Decimal
    count: int


@dataclass(frozen=True, slots=True)
class WeightPlot:
    """The bins side by side without a gap, and the two weights that matter."""

    bins: tuple[WeightBin, ...]
    step_g: Decimal
    declared_g: Decimal
    lightest_g: Decimal

    @property
    def places(self) -> int:
        """Decimals that the bins' ends need."""
        return max(0, -int(self.step_g.as_tuple().exponent))

    @property
    def low_g(self) -> Decimal:
        return self.bins[0].low_g

    @property
    def high_g(self) -> Decimal:
        return self.bins[-1].low_g + self.step_g

    @property
    def tallest(self) -> int:
        return max(one.count for one in self.bins)

    def across(self, weight_g: Decimal) -> float:
        """Where a weight lies between the plot's ends, from 0 to 1."""
        return float((weight_g - self.low_g) / (self.high_g - self.low_g))

    def shows(self, weight_g: Decimal) -> bool:
        return self.low_g <= weight_g <= self.high_g


def make_plot(weights_g: Sequence[Decimal], declared_g: Decimal, lightest_g: Decimal) -> WeightPlot:
    """Bins over the weights and the declared weight, at most MOST_BINS of a round step."""
    low, high = min(*weights_g, declared_g), max(*weights_g, declared_g)
    step = next((s for s in _STEPS if _count_bins(low, high, s) <= MOST_BINS), _STEPS[-1])
    first = _round_down(low, step)
    count = _count_bins(low, high, step)
    counts = [0] * count
    for weight in weights_g:
        counts[int((weight - first) // step)] += 1
    bins = tuple(WeightBin(first + step * index, number) for index, number in enumerate(counts))
    return WeightPlot(bins, step, declared_g, lightest_g)


def _round_down(weight_g: Decimal, step_g: Decimal) -> Decimal:
    return (weight_g / step_g).to_integral_value(ROUND_FLOOR) * step_g


def _count_bins(low_g: Decimal, high_g: Decimal, step_g: Decimal) -> int:
    return int((_round_down(high_g, step_g) - _round_down(low_g, step_g)) / step_g) + 1
