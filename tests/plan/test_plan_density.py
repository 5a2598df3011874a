"""The density of a batch from its composition, worked by hand.

Densities from memory: oils 0.917 (Codex CXS 210); NaOH of 30 % 1.328 and of 40 % 1.430 g/mL, sodium
chloride 2.165 g/mL (CRC Handbook of Chemistry and Physics).
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from labelkit.formula import compute_batch
from labelkit.order.recipe import read_recipe
from labelkit.plan.density import compute_density
from labelkit.plan.order_plan import Plan

BODY = """labelkit = 1
[recipe]
name = "Test"
[[oil]]
material = "coconut oil"
mass = "1000 g"
[[lye]]
alkali = "NaOH"
mass = "150 g"
[water]
mass = "300 g"
"""
SALT = '[[additive]]\nmaterial = "salt"\nmass = "1000 g"\n'


def density(tmp_path: Path, more: str = "") -> Decimal:
    path = tmp_path / "recipe.toml"
    path.write_text(BODY + more, encoding="utf-8")
    recipe = read_recipe(path)
    return compute_density(recipe, compute_batch(recipe))


def test_oils_and_lye(tmp_path: Path) -> None:
    # 450 g of lye of 33.33 %: 1.328 + 0.333 x 0.102 = 1.362 g/mL, 330.4 mL. 1000 g of oil: 1090.5
    # mL. 1450 g / 1420.9 mL = 1.0205.
    assert density(tmp_path) == Decimal("1.02")


def test_a_salt_bar(tmp_path: Path) -> None:
    # With 1000 g of salt, 461.9 mL: 2450 g / 1882.8 mL = 1.3013.
    assert density(tmp_path, SALT) == Decimal("1.30")


def test_goat_milk_in_place_of_water(tmp_path: Path) -> None:
    # 300 g of milk hold 262.5 g of water, 12 g of fat (13.1 mL) and 25.5 g of solids (19.6 mL at
    # 1.3). 150 g of lye in 562.5 g of water are 21.05 %: 1.219 + 0.105 x 0.109 = 1.230, and 712.5 g
    # are 579.1 mL. 1750 g / (1090.5 + 13.1 + 19.6 + 579.1) mL = 1.028.
    milk = '[[additive]]\nmaterial = "goat milk"\nmass = "300 g"\n'
    assert density(tmp_path, milk) == Decimal("1.03")


def test_a_plan_pours_a_salt_bar_by_its_own_density(
    planned: Callable[..., Plan], event: Callable[..., Path]
) -> None:
    assert planned().moulding.density_g_ml == Decimal("1.02")
    flour = '[[additive]]\nmaterial = "oat flour"\nmass = "95 g"\n'
    event((flour, flour + SALT.replace("1000", "2500")), file="recipe.toml")
    plan = planned()
    # 3015 g of oils (3288 mL), 1325 g of lye of 32 % (984 mL), 36 g of honey (25), 95 g of flour
    # (68), 66 g of fragrance (66) and 2500 g of salt (1155): 7037 g / 5586 mL = 1.26.
    assert plan.moulding.density_g_ml == Decimal("1.26")
    assert "1.26" in {one.value for one in plan.spec.defaults if one.key == "plan.density"}
