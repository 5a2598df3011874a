"""The scaled batch: lye never up, superfat never down, what is weighed is what is poured."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.common.quantity import GRAMS_PER_OUNCE
from labelkit.common.scales import Scale
from labelkit.order.recipe import (
    Alkali,
    LineGroup,
    Lye,
    Recipe,
    Scent,
    SuperfatForm,
    SuperfatSpec,
    Water,
    WaterForm,
    WeighedLine,
)
from labelkit.plan.batching import Scales, WeighingRole, plan_batch

GRAM = Scales(Scale(Decimal(1)))


def recipe(**changes: object) -> Recipe:
    """1000 g of olive oil of saponification value 190, 5 % lye discount, lye of 98 % purity."""
    values: dict[str, object] = {
        "path": Path("recipe.toml"),
        "name": "Olive",
        "scale": Scale(Decimal(1)),
        "oils": (oil("olive oil", "1000", "190"),),
        "lyes": (Lye("lye[1]", Alkali.NAOH, Decimal(98), True),),
        "water": Water(WaterForm.WATER_TO_LYE, Decimal(2)),
        "superfat": SuperfatSpec(SuperfatForm.LYE_DISCOUNT, Decimal(5)),
    }
    return Recipe(**{**values, **changes})  # type: ignore[arg-type]


def oil(name: str, mass: str, value: str) -> WeighedLine:
    return WeighedLine(
        "oil[1]", LineGroup.OIL, name, Decimal(mass), saponification_value=Decimal(value)
    )


def test_a_batch_worked_by_hand() -> None:
    # By the definition of the saponification value: 1000 g x 190 mg/g = 190 g KOH for all of it,
    # as NaOH 190 x 39.997 / 56.106 = 135.448 g, less 5 % 128.675 g, at 98 % purity 131.301 g.
    # Twice that in water: 262.603 g. Poured 1000 + 131.301 + 262.603 = 1393.904 g.
    # A target of 2 x 1393.904 = 2787.808 g is a factor of 2 to a hair: oil 2000 g; lye
    # 262.603 g, rounded down 262 g; water 525.206 g, to the nearest gram 525 g: 2787 g in all,
    # 0.808 g short. So the factor rises by one gram's worth: oil 2000.7 -> 2001 g, lye
    # 2001 x 0.131301 = 262.73 -> 262 g, water 525.47 -> 525 g: 2788 g.
    made = plan_batch(recipe(), Decimal("2787.808"), GRAM)
    assert [w.mass_g for w in made.weighings] == [2001, 262, 525]
    assert made.poured_g == 2788


def test_lye_is_rounded_down_even_just_under_a_whole_gram() -> None:
    # A target of 1410 g is a factor of 1410 / 1393.904 = 1.011547: oil 1011.55 -> 1012 g. They take
    # 1012 x 0.131301 = 132.877 g of lye: 133 g is nearer, 132 g is weighed. Water 2 x 132.877 =
    # 265.75 -> 266 g. Poured 1012 + 132 + 266 = 1410 g.
    made = plan_batch(recipe(), Decimal(1410), GRAM)
    assert [w.mass_g for w in made.weighings] == [1012, 132, 266]
    assert made.poured_g == 1410


def test_weighed_lye_keeps_the_superfat_it_amounts_to() -> None:
    # 125 g of pure NaOH on 1000 g of olive: of the 135.448 g it could take, 7.714 % are missing.
    given_lye = recipe(
        superfat=None,
        lyes=(Lye("lye[1]", Alkali.NAOH, Decimal(100), True, mass_g=Decimal(125)),),
        water=Water(WaterForm.MASS, Decimal(250)),
    )
    made = plan_batch(given_lye, Decimal("3333"), GRAM)
    assert made.wanted_superfat_percent == pytest.approx(Decimal("7.714"), abs=Decimal("0.001"))
    assert made.batch.superfat_percent > made.wanted_superfat_percent - Decimal("1e-20")


def test_fragrance_is_rounded_down_so_that_no_limit_is_passed() -> None:
    scent = Scent("scent[1]", "Meadow", Decimal("30"))
    made = plan_batch(recipe(scents=(scent,)), Decimal("1500"), GRAM)
    line = next(w for w in made.weighings if w.role is WeighingRole.SCENT)
    assert line.mass_g <= line.exact_g


def test_a_small_mass_goes_to_the_fine_scale() -> None:
    # 0.4 g of a colour is no gram and not nothing: a fine scale weighs it to a tenth.
    colour = WeighedLine("colour[1]", LineGroup.COLOUR, "titanium dioxide", Decimal("0.4"))
    with_fine = plan_batch(
        recipe(colours=(colour,)), Decimal(1394), Scales(Scale(Decimal(1)), Scale(Decimal("0.1")))
    )
    line = next(w for w in with_fine.weighings if w.role is WeighingRole.COLOUR)
    assert line.mass_g == Decimal("0.4")
    assert line.coarse  # 4 divisions of the fine scale


def test_ounces_of_lye_are_rounded_down_too() -> None:
    # 132 g / 28.349523125 g = 4.65616 oz (NIST Handbook 44, Appendix C): 4.65, not 4.66.
    made = plan_batch(recipe(), Decimal(1410), GRAM)
    line = next(w for w in made.weighings if w.role is WeighingRole.LYE)
    assert line.ounces == Decimal("4.65")


masses = st.decimals(50, 5000, places=1)


@settings(max_examples=examples(60))
@given(
    olive=masses,
    coconut=masses,
    discount=st.decimals(0, 12, places=1),
    purity=st.decimals(85, 100, places=1),
    target=st.decimals(300, 60_000, places=0),
    scale=st.sampled_from(["0.1", "0.5", "1", "2", "5"]),
    scent=st.decimals(1, 200, places=1),
)
def test_lye_never_up_and_superfat_never_down(
    olive: Decimal, coconut: Decimal, discount: Decimal, purity: Decimal, target: Decimal,
    scale: str, scent: Decimal,
) -> None:  # fmt: skip
    made = plan_batch(
        recipe(
            oils=(oil("olive oil", str(olive), "190"), oil("coconut oil", str(coconut), "256.5")),
            lyes=(Lye("lye[1]", Alkali.NAOH, purity, True),),
            superfat=SuperfatSpec(SuperfatForm.LYE_DISCOUNT, discount),
            scents=(Scent("scent[1]", "Meadow", scent),),
        ),
        target,
        Scales(Scale(Decimal(scale))),
    )
    by_name = {w.name: w for w in made.weighings}
    oils = by_name["olive-oil"].mass_g * 190 + by_name["coconut-oil"].mass_g * Decimal("256.5")
    # The most lye the oils as weighed may take, by the definition of the saponification value.
    most = oils / 1000 * Decimal("39.997") / Decimal("56.106") * (100 - discount) / purity
    lye = by_name["NaOH"]
    assert lye.mass_g <= most
    assert lye.ounces * GRAMS_PER_OUNCE <= lye.mass_g
    assert made.batch.superfat_percent >= discount - Decimal("1e-20")
    # Mass in is mass out: the lines of the record are the batch, and it is enough.
    assert sum(w.mass_g for w in made.weighings) == made.poured_g >= target
    # Every line is a whole number of divisions (of tenths of one, where it is under one).
    for weighing in made.weighings:
        step = Decimal(scale) if weighing.mass_g >= Decimal(scale) else Decimal(scale) / 1000
        assert weighing.mass_g % step == 0
