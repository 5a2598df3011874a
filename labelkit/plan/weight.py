"""How heavy to cut, and what may be declared: from the label's weight back to the cutting board.

Soap dries in cure and goes on drying. The plan reckons with the driest cure its range allows and
with what leaves before the day of sale, and asks for an average that every region's scheme passes
with little left to luck.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import lru_cache
from math import comb
from statistics import NormalDist

from labelkit.common.frozen import dataclass
from labelkit.formula.batch import CureLoss
from labelkit.formula.drying import to_percent
from labelkit.order.plan import Making
from labelkit.plan.lots import (
    LotVerdict,
    Scheme,
    WeightTolerance,
    find_scheme,
    find_weight_tolerance,
    judge_lot,
)

_SURE = 0.95
ENOUGH_BARS = 5
"""After which more marker bars tell little: Student's t falls from 12.7 for two to 2.8 for five."""
_WORTH_TELLING_G = Decimal("0.25")
_HAIR_G = Decimal("1E-9")
"""What a quotient of decimals may lose."""
RISK = 0.025
"""The chance, for each condition of a scheme, that a good lot fails by the luck of the sample
alone: labelkit's own choice."""
_QUANTILE = NormalDist().inv_cdf


@dataclass(frozen=True, slots=True)
class RegionDemand:
    """What one region asks of the lot on the day of sale. Masses in grams."""

    region: str
    scheme: Scheme
    tolerance: WeightTolerance
    sample: int
    """How many pieces to weigh."""
    aim_g: Decimal
    """The average that passes every condition with the risk above."""
    lightest_g: Decimal
    """Declared less the tolerance: hardly any piece may be lighter."""


@dataclass(frozen=True, slots=True)
class WeightPlan:
    """Masses of one piece in grams."""

    declared_g: Decimal
    holds: tuple[RegionDemand, ...]
    loss: CureLoss
    further_percent: Decimal
    spread_percent: Decimal
    cut_g: Decimal
    """The average to cut to, as poured."""
    fixed: bool
    """The maker's own figure, not worked out."""
    set_aside_g: Decimal
    """Pieces cut lighter than this would be short by more than the tolerance in the driest cure."""
    declarable_g: Decimal
    """The most that pieces cut so may declare; zero when nothing holds."""

    @property
    def holds_declared(self) -> bool:
        """Whether pieces cut so pass every region's scheme with the declared weight."""
        return max(hold.aim_g for hold in self.holds) <= self.sale_g(-1) + _HAIR_G

    @property
    def sample(self) -> int:
        return max(hold.sample for hold in self.holds)

    def sale_g(self, sign: int = 0) -> Decimal:
        """The average on the day of sale: as expected, or in the driest (-1) or wettest (1) cure.

        ``sign`` moves the cure loss to the end of its range.
        """
        return self.cut_g * compute_kept_share(self.loss, self.further_percent, sign)

    def lightest_g(self, pieces: int, more_percent: Decimal = Decimal(0)) -> Decimal:
        """What the lightest of so many pieces weighs at least on the day of sale, in 95 of 100
        lots and the driest cure; ``more_percent`` of it leaves besides, in the wrap."""
        times = Decimal(repr(round(_QUANTILE(_SURE ** (1 / pieces)), 4)))
        rest = (100 - times * self.spread_percent) / 100 * (100 - more_percent) / 100
        return self.sale_g(-1) * max(rest, Decimal(0))

    def saved_by_more_bars(self) -> tuple[int, Decimal] | None:
        """How many more marker bars of the same batch, weighed alike, and how many grams a piece
        could then be cut lighter; None where they would save next to nothing."""
        fit = self.loss.fit
        if fit is None or fit.batches > 1 or fit.bars < 2 or self.fixed:
            return None
        more = max(ENOUGH_BARS - fit.bars, 2)
        less = to_percent(fit.half_percent - fit.half_with_more(more))
        sharper = replace(self.loss, spread_percent=self.loss.spread_percent - less)
        aim = max(hold.aim_g for hold in self.holds)
        now, then = (
            aim / compute_kept_share(loss, self.further_percent, -1)
            for loss in (self.loss, sharper)
        )
        return (more, now - then) if now - then >= _WORTH_TELLING_G else None

    @property
    def cured_g(self) -> Decimal:
        """The average at the end of cure, as expected."""
        return self.cut_g * (100 - self.loss.percent) / 100


def compute_kept_share(loss: CureLoss, further_percent: Decimal, sign: int = 0) -> Decimal:
    """What is left of a poured gram on the day of sale; ``sign`` as in WeightPlan.sale_g."""
    percent = loss.percent - sign * loss.spread_percent
    percent = min(max(percent, Decimal(0)), Decimal(99))
    return (100 - percent) / 100 * (100 - further_percent) / 100


def plan_weight(
    declared_g: Decimal,
    lot: int,
    regions: Iterable[str],
    loss: CureLoss,
    making: Making,
    scale_g: Decimal,
) -> WeightPlan:
    """The weight to cut to for a declared weight; InputError for an unknown region.

    ``lot`` is the number of pieces, ``scale_g`` the division that cut weights are rounded up to.
    """
    spread = making.spread_percent
    holds = tuple(_compute_demand(region, declared_g, lot, spread) for region in regions)
    dry = compute_kept_share(loss, making.further_loss_percent, -1)
    needed = max(hold.aim_g for hold in holds) / dry
    cut = making.piece_poured_g or round_up_mass(needed, scale_g)
    lightest = max(hold.lightest_g for hold in holds)
    codes = [hold.region for hold in holds]
    return WeightPlan(
        declared_g=declared_g,
        holds=holds,
        loss=loss,
        further_percent=making.further_loss_percent,
        spread_percent=spread,
        cut_g=cut,
        fixed=making.piece_poured_g is not None,
        set_aside_g=round_up_mass(lightest / dry, scale_g),
        declarable_g=find_declarable_g(cut * dry, lot, codes, spread),
    )


def find_declarable_g(
    mean_g: Decimal, lot: int, regions: Sequence[str], spread: Decimal
) -> Decimal:
    """The highest round weight that pieces of this average on the day of sale may declare.

    Rounded down, to a gram from 10 g and to a tenth below; zero when there is none.
    """
    step = Decimal(1) if mean_g >= 10 else Decimal("0.1")
    low, high = 0, int((mean_g / step).to_integral_value(ROUND_FLOOR)) + 1
    while high - low > 1:  # what holds at a weight holds at every lower one
        middle = (low + high) // 2
        aims = (_compute_demand(region, middle * step, lot, spread).aim_g for region in regions)
        low, high = (middle, high) if all(aim <= mean_g for aim in aims) else (low, middle)
    return low * step


def round_up_mass(mass_g: Decimal, step_g: Decimal) -> Decimal:
    return (mass_g / step_g).to_integral_value(ROUND_CEILING) * step_g


def _compute_demand(
    region: str, declared_g: Decimal, lot: int, spread_percent: Decimal
) -> RegionDemand:
    scheme = find_scheme(region)
    tolerance = find_weight_tolerance(region, declared_g)
    sample = scheme.sample(lot)
    deviation = declared_g * spread_percent / 100
    aim = max(
        # The schemes compare an average; an allowance for sampling is not leant on here.
        declared_g + deviation * _deviations_below(1 - RISK) / Decimal(sample).sqrt(),
        declared_g
        - tolerance.grams
        + deviation * _deviations_below(1 - _compute_short_share(scheme, sample)),
        _compute_far_aim(scheme, declared_g, tolerance, deviation, sample),
    )
    return RegionDemand(region, scheme, tolerance, sample, aim, declared_g - tolerance.grams)


def _compute_far_aim(
    scheme: Scheme, declared_g: Decimal, tolerance: WeightTolerance, deviation: Decimal, sample: int
) -> Decimal:
    if scheme.far_times is None:
        return Decimal(0)
    share = find_rare_share(sample, scheme.far_fails_at)
    return (
        declared_g - scheme.far_times * tolerance.grams + deviation * _deviations_below(1 - share)
    )


def _compute_short_share(scheme: Scheme, sample: int) -> float:
    """The share of short pieces that a lot may hold and its sample will rarely tell."""
    share = find_rare_share(sample, scheme.fails_at(sample))
    if scheme.short_percent is not None:
        return min(share, float(scheme.short_percent) / 100)
    return share


@lru_cache(maxsize=512)
def find_rare_share(sample: int, fails_at: int) -> float:
    """The largest share of bad pieces at which a sample rarely (RISK) holds ``fails_at`` of them.

    One, that is no demand at all, when the sample is smaller than that.
    """
    if fails_at > sample:
        return 1 - 1e-9
    return _bisect_condition(lambda share: chance_of_at_least(fails_at, sample, share) <= RISK)


def chance_of_at_least(count: int, sample: int, share: float) -> float:
    """The chance of ``count`` or more bad pieces in a sample (binomial law)."""
    return 1 - sum(comb(sample, k) * share**k * (1 - share) ** (sample - k) for k in range(count))


def _bisect_condition(holds: Callable[[float], bool]) -> float:
    """The largest number between 0 and 1 at which a condition that gets harder still holds."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _deviations_below(chance: float) -> Decimal:
    """Standard deviations below which a normal value lies with a chance, to four decimals up."""
    chance = min(max(chance, 1e-9), 1 - 1e-9)
    return Decimal(repr(_QUANTILE(chance))).quantize(Decimal("0.0001"), ROUND_CEILING)


# -- pieces that were weighed ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WeighedPieces:
    """Measured pieces, judged as they are and as they will be on the day of sale."""

    weights_g: tuple[Decimal, ...]
    now: tuple[LotVerdict, ...]
    at_sale: tuple[LotVerdict, ...]

    @property
    def pieces(self) -> int:
        """How many were weighed."""
        return len(self.weights_g)

    @property
    def holds(self) -> bool:
        return all(verdict.holds for verdict in self.at_sale)


def judge_weights(
    weights_g: Sequence[Decimal],
    declared_g: Decimal,
    lot: int,
    regions: Sequence[str],
    further_percent: Decimal,
) -> WeighedPieces:
    """Judges weighed pieces under every region's scheme; no statutory test is claimed."""
    later = [weight * (100 - further_percent) / 100 for weight in weights_g]
    return WeighedPieces(
        weights_g=tuple(weights_g),
        now=tuple(judge_lot(region, weights_g, declared_g, lot) for region in regions),
        at_sale=tuple(judge_lot(region, later, declared_g, lot) for region in regions),
    )
