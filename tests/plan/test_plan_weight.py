"""How heavy to cut, and what may be declared."""

from __future__ import annotations

from decimal import Decimal
from math import comb
from statistics import NormalDist

import pytest
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_making import making

from labelkit.formula.batch import CureLoss
from labelkit.formula.drying import fit_drying
from labelkit.order.recipe import Cure, MarkerBar
from labelkit.plan.lots import judge_lot
from labelkit.plan.weight import (
    RISK,
    chance_of_at_least,
    compute_kept_share,
    find_rare_share,
    judge_weights,
    plan_weight,
)

BARS = CureLoss(Decimal(12), Decimal(1), "bars")
GRAM = Decimal(1)


def test_the_weight_to_cut_to_worked_by_hand() -> None:
    # 40 g declared, 66 pieces in Canada: 17 are weighed (a quarter of 66, rounded up). Standard
    # deviation 3 % of 40 g = 1.2 g. The mean of 17 lies within 1.96 x 1.2 / sqrt(17) = 0.5704 g of
    # the lot's in 97.5 of 100 draws (normal law): aim at 40.57 g on the day of sale.
    # The driest cure loses 13 %, and 2 % more until then: 0.87 x 0.98 = 0.8526 is left.
    # 40.5704 / 0.8526 = 47.585 -> 48 g as cut. A piece under 36.4 g would be short by more than the
    # tolerance: 36.4 / 0.8526 = 42.69 -> set aside under 43 g.
    how = making(further_loss_percent=Decimal(2))
    plan = plan_weight(Decimal(40), 66, ["CA"], BARS, how, GRAM)
    assert plan.sample == 17
    assert plan.holds[0].aim_g == pytest.approx(Decimal("40.5704"), abs=Decimal("0.001"))
    assert plan.cut_g == 48
    assert plan.set_aside_g == 43
    # As expected 48 x 0.88 x 0.98 = 41.3952 g; in the driest cure 48 x 0.8526 = 40.9248 g.
    assert plan.sale_g() == Decimal("41.3952")
    assert plan.sale_g(-1) == Decimal("40.9248")
    assert plan.declarable_g == 40
    assert plan.holds_declared


def test_what_a_poured_weight_may_declare() -> None:
    # Pieces poured at 45 g are 45 x 0.8526 = 38.367 g in the driest case; 38 g would need
    # 38 + 1.96 x 1.14 / sqrt(17) = 38.54 g, 37 g needs 37.53 g: declare 37 g.
    how = making(further_loss_percent=Decimal(2), piece_poured_g=Decimal(45))
    plan = plan_weight(Decimal(40), 66, ["CA"], BARS, how, GRAM)
    assert plan.fixed
    assert plan.declarable_g == 37
    assert not plan.holds_declared


def test_the_strictest_of_several_regions_decides() -> None:
    # Australia's tolerance is 5 % (2 g at 40 g) where Canada's is 9 % (3.6 g).
    how = making()
    canada = plan_weight(Decimal(40), 66, ["CA"], BARS, how, GRAM)
    both = plan_weight(Decimal(40), 66, ["CA", "AU"], BARS, how, GRAM)
    assert both.cut_g >= canada.cut_g
    assert both.set_aside_g > canada.set_aside_g


def test_wildly_uneven_pieces_are_held_back_by_the_farthest() -> None:
    # 40 g declared in Europe, error 3.6 g, a lot of 1000 of which 50 are weighed; standard
    # deviation 15 % of 40 g = 6 g. No piece may be short by twice the error (32.8 g): of 50 there
    # is none in 97.5 of 100 draws when its share is 1 - 0.975^(1/50) = 0.0506 %, 3.287 standard
    # deviations out (normal law): 32.8 + 3.287 x 6 = 52.52 g.
    # Two short by the error (36.4 g) of 50: a share of 0.49 %, 2.58 deviations: 51.9 g, less.
    uneven = making(spread_percent=Decimal(15))
    plan = plan_weight(Decimal(40), 1000, ["EU"], BARS, uneven, GRAM)
    share = 1 - 0.975 ** (1 / 50)
    expected = 32.8 - 6 * NormalDist().inv_cdf(share)
    assert float(plan.holds[0].aim_g) == pytest.approx(expected, abs=0.002)
    assert expected == pytest.approx(52.52, abs=0.01)


def test_the_binomial_law() -> None:
    # Two or more sixes in five throws: 1 - (5/6)^5 - 5 (1/6) (5/6)^4 = 763/3888 (by counting).
    assert chance_of_at_least(2, 5, 1 / 6) == pytest.approx(763 / 3888)
    # No bad piece in twelve with a chance of 97.5 %: 1 - 0.975^(1/12).
    assert find_rare_share(12, 1) == pytest.approx(1 - 0.975 ** (1 / 12))
    share = find_rare_share(17, 2)
    direct = sum(comb(17, k) * share**k * (1 - share) ** (17 - k) for k in range(2, 18))
    assert direct == pytest.approx(RISK, abs=1e-6)


@settings(max_examples=examples(50))
@given(
    declared=st.decimals(15, 120, places=0),
    lot=st.integers(2, 3000),
    spread=st.decimals("0.5", 8, places=1),
    region=st.sampled_from(["CA", "EU", "US", "AU", "NZ", "GB"]),
)
def test_pieces_cut_as_told_pass_the_regions_scheme(
    declared: Decimal, lot: int, spread: Decimal, region: str
) -> None:
    """A sample laid out evenly over the normal law (no luck in it) holds in the driest cure."""
    how = making(spread_percent=spread, further_loss_percent=Decimal(2))
    plan = plan_weight(declared, lot, [region], BARS, how, GRAM)
    mean, n = plan.sale_g(-1), plan.sample
    law = NormalDist(float(mean), float(declared * spread / 100))
    weights = [Decimal(repr(round(law.inv_cdf((k + 0.5) / n), 6))) for k in range(n)]
    assert judge_lot(region, weights, declared, lot).holds


@given(
    loss=st.decimals(0, 30, places=1),
    spread=st.decimals(0, 5, places=1),
    further=st.decimals(0, 10, places=1),
)
def test_a_drier_cure_leaves_less(loss: Decimal, spread: Decimal, further: Decimal) -> None:
    cure = CureLoss(loss, spread, "expected")
    dry, usual, wet = (compute_kept_share(cure, further, sign) for sign in (-1, 0, 1))
    assert 0 < dry <= usual <= wet <= 1


def test_weighed_pieces_are_judged_now_and_on_the_day_of_sale() -> None:
    # An average of 40.4 g holds 40 g today; less 2 % it is 39.592 g. Without spread there is no
    # allowance for sampling, and the lot fails on the day of sale.
    found = judge_weights([Decimal("40.4")] * 17, Decimal(40), 66, ["CA"], Decimal(2))
    assert found.now[0].holds
    assert found.at_sale[0].mean_g == Decimal("39.592")
    assert not found.holds


def test_the_lightest_of_a_lot() -> None:
    # In the driest case a piece cut to 48 g weighs 40.92 g on the day of sale (above). That none of
    # 66 is lighter in 95 of 100 lots, each may be with a chance of 1 - 0.95^(1/66) = 0.0777 %:
    # 3.165 standard deviations of 3 % (normal law), 9.49 %: 37.04 g. After 6 months at 0.5 % it is
    # 2.96 % less.
    how = making(further_loss_percent=Decimal(2), piece_poured_g=Decimal(48))
    plan = plan_weight(Decimal(40), 66, ["CA"], BARS, how, GRAM)
    assert plan.lightest_g(66) == pytest.approx(Decimal("37.04"), abs=Decimal("0.01"))
    lost = 100 - 100 * Decimal("0.995") ** 6
    assert plan.lightest_g(66, lost) == pytest.approx(Decimal("35.94"), abs=Decimal("0.01"))


def test_what_more_marker_bars_would_save() -> None:
    # Three bars of 0.5 %: 12 +- 1.242 %; five of them 12 +- t(4) 0.5 / sqrt(5) = 0.621 % (table in
    # test_formula_drying.py). An average of 40.57 g on the day of sale (40 + 1.96 x 1.2 / sqrt(17))
    # is 40.57 / 0.86758 = 46.76 g as cut, and 40.57 / 0.87379 = 46.43 g: 0.33 g less.
    bars = tuple(MarkerBar(Decimal(200), Decimal(cured)) for cured in (176, 175, 177))
    fit = fit_drying(Cure(bars=bars))
    assert fit is not None
    loss = CureLoss(Decimal(12), Decimal("1.242"), "bars", fit)
    saved = plan_weight(Decimal(40), 66, ["CA"], loss, making(), GRAM).saved_by_more_bars()
    assert saved is not None
    assert saved[0] == 2
    assert saved[1] == pytest.approx(Decimal("0.33"), abs=Decimal("0.01"))
