"""What is weighed: lye, water, superfat in all their forms. Figures worked by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from labelkit.common.errors import InputError
from labelkit.formula import compute_batch

OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g" }]\n'
# 1000 g at 190 mg KOH/g: 190 g KOH or 190 x 39.997 / 56.106 = 135.448 g NaOH.
FULL_NAOH = 135.448
NAOH = 'lye = [{ alkali = "NaOH", purity = "100 %" }]\n'
WATER = 'water = { mass = "300 g" }\n'
DISCOUNT = 'superfat = { lye_discount = "5 %" }\n'


def test_lye_discount(make) -> None:  # type: ignore[no-untyped-def]
    batch = compute_batch(make(OLIVE, NAOH + WATER + DISCOUNT))
    assert float(batch.lyes[0].weighed_g) == pytest.approx(FULL_NAOH * 0.95, abs=0.001)
    assert batch.superfat_percent == pytest.approx(Decimal(5))


def test_extra_oil_is_less_than_the_same_discount(make) -> None:  # type: ignore[no-untyped-def]
    """5 % extra oil on top is 0.05/1.05 = 4.76 % less lye."""
    batch = compute_batch(make(OLIVE, NAOH + WATER + 'superfat = { extra_oil = "5 %" }'))
    assert float(batch.superfat_percent) == pytest.approx(4.762, abs=0.001)
    assert float(batch.lyes[0].weighed_g) == pytest.approx(FULL_NAOH / 1.05, abs=0.001)


def test_oil_after_trace_as_the_extra_oil(make) -> None:  # type: ignore[no-untyped-def]
    """The lye is counted for the olive oil alone; all of the 50 g of castor oil is unmet."""
    body = """
    oil = [
      { material = "olive oil", mass = "1000 g" },
      { material = "castor oil", mass = "50 g", after_trace = true },
    ]
    """
    batch = compute_batch(make(body, NAOH + WATER + 'superfat = { extra_oil = "after trace" }'))
    assert float(batch.lyes[0].weighed_g) == pytest.approx(FULL_NAOH, abs=0.001)
    unmet = 50 * 181.5 / (1000 * 190 + 50 * 181.5) * 100
    assert float(batch.superfat_percent) == pytest.approx(unmet)


def test_given_lye_sets_the_superfat(make) -> None:  # type: ignore[no-untyped-def]
    """130 g of 98 % NaOH is 127.4 g: 1 - 127.4/135.448 = 5.94 %."""
    lye = 'lye = [{ alkali = "NaOH", purity = "98 %", mass = "130 g" }]\n'
    batch = compute_batch(make(OLIVE, lye + WATER))
    assert float(batch.superfat_percent) == pytest.approx(5.94, abs=0.005)
    assert float(batch.lyes[0].impurity_g) == pytest.approx(2.6)


def test_two_alkalis_share_by_molecules(make) -> None:  # type: ignore[no-untyped-def]
    """60 % of 3.38645 mol as NaOH: 81.269 g; 40 % as KOH: 76.000 g, at 90 % 84.444 g."""
    lye = """
    lye = [
      { alkali = "NaOH", purity = "100 %", share = "60 %" },
      { alkali = "KOH", purity = "90 %", share = "40 %" },
    ]
    """
    naoh, koh = compute_batch(make(OLIVE, lye + WATER + 'superfat = { lye_discount = "0 %" }')).lyes
    assert float(naoh.weighed_g) == pytest.approx(81.269, abs=0.001)
    assert float(koh.weighed_g) == pytest.approx(84.444, abs=0.001)


def test_ready_made_solution_brings_water(make) -> None:  # type: ignore[no-untyped-def]
    """Half of a 50 % solution is water, and the water to weigh is what is still missing."""
    lye = 'lye = [{ alkali = "NaOH", solution = "50 %" }]\n'
    batch = compute_batch(make(OLIVE, lye + DISCOUNT + "water = { water_to_lye = 2 }"))
    pure = FULL_NAOH * 0.95
    assert float(batch.lyes[0].weighed_g) == pytest.approx(2 * pure, abs=0.001)
    assert float(batch.lyes[0].water_g) == pytest.approx(pure, abs=0.001)
    assert float(batch.water_g) == pytest.approx(pure, abs=0.001)
    with pytest.raises(InputError, match="the lye solution alone brings"):
        compute_batch(make(OLIVE, lye + DISCOUNT + 'water = { lye_concentration = "52 %" }'))


@pytest.mark.parametrize(
    "form", ['lye_concentration = "33.3333333333 %"', "water_to_lye = 2", 'mass = "257351 mg"',
             'share_of_oils = "25.7351 %"']
)  # fmt: skip
def test_every_form_of_water_converts(make, form: str) -> None:  # type: ignore[no-untyped-def]
    """Twice the lye is a concentration of one third: 2 x 128.6755 g in 1000 g of oil."""
    batch = compute_batch(make(OLIVE, NAOH + DISCOUNT + f"water = {{ {form} }}"))
    assert float(batch.water_g) == pytest.approx(257.351, abs=0.001)
    assert float(batch.lye_concentration_percent) == pytest.approx(100 / 3, abs=1e-3)
    assert float(batch.water_to_lye) == pytest.approx(2, abs=1e-4)
    assert float(batch.water_share_of_oils_percent) == pytest.approx(25.7351, abs=1e-4)


@pytest.mark.parametrize(
    ("acid", "mass", "naoh"),
    [
        # NaOH per g of acid by molar masses: citric 3 x 39.997/192.124, its monohydrate by
        # 210.139, lactic 39.997/90.078, acetic 39.997/60.052 and a twentieth for 5 % vinegar.
        ("citric acid", 10, 6.2455),
        ("citric acid monohydrate", 10, 5.7101),
        ("lactic acid", 10, 4.4403),
        ("vinegar", 100, 3.3302),
    ],
)
def test_acids_take_lye_on_top_and_undiscounted(  # type: ignore[no-untyped-def]
    make, acid: str, mass: int, naoh: float
) -> None:
    body = OLIVE + f'additive = [{{ material = "{acid}", mass = "{mass} g" }}]\n'
    batch = compute_batch(make(body, NAOH + WATER + DISCOUNT))
    assert float(batch.lyes[0].pure_g) == pytest.approx(FULL_NAOH * 0.95 + naoh, abs=0.002)
    assert batch.superfat_percent == pytest.approx(Decimal(5))


def test_milk_fat_takes_lye(make) -> None:  # type: ignore[no-untyped-def]
    """100 g of whole milk hold about 3.5 g of fat at 221 mg KOH/g: 0.55 g NaOH."""
    body = OLIVE + 'additive = [{ material = "milk", mass = "100 g" }]\n'
    batch = compute_batch(make(body, NAOH + WATER + 'superfat = { lye_discount = "0 %" }'))
    assert float(batch.lyes[0].pure_g) == pytest.approx(FULL_NAOH + 0.5514, abs=0.001)


def test_certificate_overrides_the_table(make) -> None:  # type: ignore[no-untyped-def]
    body = 'oil = [{ material = "olive oil", mass = "1 kg", saponification_value = 192 }]\n'
    batch = compute_batch(make(body, NAOH + WATER + DISCOUNT))
    assert float(batch.full_koh_g) == pytest.approx(192)


def test_weighed_bars_give_the_loss_and_its_range(make) -> None:  # type: ignore[no-untyped-def]
    """Bars of 100 g that lost 10, 12 and 14 g: 12 %, standard error 2/sqrt(3) = 1.1547 %, Student's
    t(2) = 4.3027 times that (table in test_formula_drying.py), and half a 0.1 g division over 100 g
    and sqrt(3)."""
    bars = ", ".join(f'{{ poured = "100 g", cured = "{100 - x} g" }}' for x in (10, 12, 14))
    batch = compute_batch(make(OLIVE, NAOH + WATER + DISCOUNT + f"cure = {{ bar = [{bars}] }}"))
    assert batch.loss.percent == 12
    assert float(batch.loss.spread_percent) == pytest.approx(4.9683 + 0.0289, abs=0.001)
    assert batch.cured_g == batch.poured_g * Decimal("0.88")


def test_no_fat_no_lye(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="nothing here takes alkali"):
        compute_batch(
            make('oil = [{ material = "squalane", mass = "10 g" }]\n', NAOH + WATER + DISCOUNT)
        )


def test_one_oil_in_two_rows_counts_as_its_sum(make) -> None:  # type: ignore[no-untyped-def]
    """A rest of one drum and some of the next are a row each; the lye is that of the whole."""
    two = "".join(
        f'[[oil]]\nmaterial = "olive oil"\nmass = "{mass} g"\nlot = "{lot}"\n'
        for mass, lot in ((300, "OL-1"), (700, "OL-2"))
    )
    one = '[[oil]]\nmaterial = "olive oil"\nmass = "1000 g"\n'
    assert compute_batch(make(two)).lye_g == compute_batch(make(one)).lye_g
