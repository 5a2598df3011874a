"""Marker bars: Student's t against a printed table, and what the ranges cover, by simulation."""

from __future__ import annotations

import random
from decimal import Decimal
from math import exp

import pytest

from labelkit.formula.drying import find_t_quantile, fit_drying
from labelkit.order.recipe import Cure, MarkerBar

# Percentage points of Student's t, two-sided 5 % (Abramowitz and Stegun, Handbook of Mathematical
# Functions, table 26.10; from memory).
TABLE = [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (5, 2.571), (6, 2.447), (8, 2.306),
         (10, 2.228), (11, 2.201), (20, 2.086), (30, 2.042), (60, 2.000), (120, 1.980)]  # fmt: skip


@pytest.mark.parametrize(("freedom", "value"), TABLE)
def test_students_t_is_that_of_the_table(freedom: int, value: float) -> None:
    assert find_t_quantile(freedom) == pytest.approx(value, abs=0.0006)


def bar(poured: float, cured: float, days: int | None = None, batch: str = "") -> MarkerBar:
    return MarkerBar(Decimal(str(poured)), Decimal(str(cured)), days, batch, "cure.bar[1]")


def test_three_bars_worked_by_hand() -> None:
    # 12.0, 12.5 and 11.5 % lost: the mean is 12 %, the standard deviation 0.5 %, and 95 % of it
    # t(2) x 0.5 / sqrt(3) = 4.303 x 0.2887 = 1.242 %.
    fit = fit_drying(Cure(bars=(bar(200, 176), bar(200, 175), bar(200, 177))))
    assert fit is not None
    assert fit.percent == pytest.approx(12.0)
    assert fit.half_percent == pytest.approx(1.242, abs=0.001)
    # Three more alike: t(5) x 0.5 / sqrt(6) = 2.571 x 0.2041 = 0.525 %.
    assert fit.half_with_more(3) == pytest.approx(0.525, abs=0.001)


def test_two_batches_worked_by_hand() -> None:
    # Means of 12 and 13 %: squares 0.5. With 0.5 % counted for four batches: (4 x 0.25 + 0.5) / 5 =
    # 0.3; t(5) x sqrt(0.3 x 1.5) = 2.571 x 0.6708 = 1.725 % about 12.5 %.
    bars = (bar(200, 176, batch="A"), bar(200, 174, batch="B"))
    fit = fit_drying(Cure(bars=bars))
    assert fit is not None
    assert (fit.percent, fit.batches) == (pytest.approx(12.5), 2)
    assert fit.half_percent == pytest.approx(1.725, abs=0.001)


def test_bars_weighed_early_are_brought_to_the_end_of_cure() -> None:
    # Of a bar that follows 14 % x (1 - exp(-d / 20)) exactly, weighed after 7, 14, 28 and 42 days,
    # the loss at 42 days is 14 x (1 - exp(-2.1)) = 12.286 %.
    bars = tuple(bar(1000, 1000 - 140 * (1 - exp(-day / 20)), day) for day in (7, 14, 28, 42))
    fit = fit_drying(Cure(bars=bars, weeks=6))
    assert fit is not None
    assert fit.percent == pytest.approx(12.286, abs=0.05)
    assert fit.half_percent < 0.2


def test_a_mistyped_weight_is_named_and_left_out() -> None:
    bars = (bar(131, 117), bar(128, 114), bar(133, 119), bar(130, 106), bar(129, 11.5))
    fit = fit_drying(Cure(bars=bars))
    assert fit is not None
    assert [float(odd.bar.cured_g) for odd in fit.odd] == [106, 11.5]
    assert fit.bars == 3


def test_bars_weighed_twice_on_one_day_count_for_nothing() -> None:
    assert fit_drying(Cure(bars=(bar(131, 131, 0), bar(128, 127, 0)))) is None
    fit = fit_drying(Cure(bars=(bar(131, 131, 0), bar(200, 176))))
    assert fit is not None
    assert (fit.bars, fit.odd[0].usual_percent) == (1, None)


@pytest.mark.parametrize("count", [2, 3, 5, 12])
@pytest.mark.quick(2)
def test_ranges_of_one_batch_cover_what_they_say(count: int) -> None:
    """The mean loss of a batch lies in 95 of 100 ranges; by twice the error of the mean it lay in
    71 of 100 for two bars and in 82 for three."""
    chance = random.Random(count)
    draws, held = 3000, 0
    for _ in range(draws):
        bars = tuple(bar(1000, round(880 - chance.gauss(0, 5), 3)) for _ in range(count))
        fit = fit_drying(Cure(bars=bars))
        assert fit is not None
        held += abs(fit.percent - 12) <= fit.half_percent
    # Three standard errors of a share of 95 % in 3000 draws are 1.2 %.
    assert held / draws == pytest.approx(0.95, abs=0.012)


@pytest.mark.parametrize("batches", [2, 3, 5])
@pytest.mark.parametrize("between", [0.3, 0.5, 0.7])
@pytest.mark.quick(3)
def test_ranges_of_several_batches_cover_a_new_one(batches: int, between: float) -> None:
    """Bars of 0.3 % within a batch; batches differ by as much as is assumed, less and more."""
    chance = random.Random(100 * batches + round(10 * between))
    draws, held = 1500, 0
    for _ in range(draws):
        bars = []
        for batch in range(batches):
            mean = chance.gauss(12, between)
            bars += [
                bar(1000, round(1000 - 10 * chance.gauss(mean, 0.3), 3), batch=str(batch))
                for _ in range(3)
            ]
        fit = fit_drying(Cure(bars=tuple(bars)))
        assert fit is not None
        held += abs(fit.percent - chance.gauss(12, between)) <= fit.half_percent
    assert held / draws >= (0.92 if between > 0.5 else 0.94)
