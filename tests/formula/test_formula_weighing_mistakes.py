"""Common mistakes at the scale: what they make of a batch, by arithmetic of its own.

Molar masses of NaOH and KOH, 39.997 and 56.106 g/mol (IUPAC atomic weights); an avoirdupois ounce
is 28.349523125 g (NIST Handbook 44). A fat's saponification value is the mg of KOH that a gram of
it takes (ISO 3657); the recipes give theirs, so that nothing rests on the table.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.formula import compute_batch, declare_ingredients
from labelkit.formula.declaration import SuperfatRange
from labelkit.formula.weighing_mistakes import Mistake, WeighingCheck, check_weighing
from labelkit.order.recipe import Recipe, read_recipe
from labelkit.report.speech import Speech
from labelkit.rules.policies import make_policy

MakeRecipe = Callable[..., Recipe]
HEAD = 'labelkit = 1\nrecipe = { name = "Test", scale = "0.1 g" }\n'
NAOH, KOH, OUNCE = 39.997, 56.106, 28.349523125

OILS = """
[[oil]]
material = "olive oil"
mass = "700 g"
saponification_value = 190
[[oil]]
material = "coconut oil"
mass = "250 g"
saponification_value = 256
[[oil]]
material = "castor oil"
mass = "50 g"
saponification_value = 181
"""
DEMAND = {"olive": 0.7 * 190, "coconut": 0.25 * 256, "castor": 0.05 * 181}
"""Grams of KOH that each takes: 133, 64 and 9.05, together 206.05."""
ALL = sum(DEMAND.values())


def recipe_of(make: MakeRecipe, alkali: str, purity: str, extra: str = "") -> Recipe:
    lye = f'[[lye]]\nalkali = "{alkali}"\npurity = "{purity} %"\n'
    rest = '[superfat]\nlye_discount = "5 %"\n[water]\nmass = "300 g"\n'
    return make(OILS + extra, lye + rest)


def exactly(recipe: Recipe) -> SuperfatRange:
    """The superfat of a recipe with no range about it."""
    percent = compute_batch(recipe).superfat_percent
    return SuperfatRange(percent, percent, percent)


def tried(recipe: Recipe, superfat: SuperfatRange | None = None) -> dict[str, Mistake]:
    found = check_weighing(recipe, superfat or exactly(recipe))
    return {mistake.key: mistake for mistake in found.mistakes}


def left_over(koh_g: float, demand_g: float) -> float:
    """Percent of lye (as KOH) beyond a demand."""
    return 100 * (1 - demand_g / koh_g)


# -- each mistake by hand --------------------------------------------------------------------------


def test_the_other_alkali(make: MakeRecipe) -> None:
    """A gram of NaOH is worth 56.106 / 39.997 = 1.40276 g of KOH. Soda made with potash is short of
    lye; potash made with soda is caustic, all the more as its 90 % were counted with."""
    soda = tried(recipe_of(make, "NaOH", "98"))["other-alkali"]
    assert str(soda.what) == "KOH weighed instead of NaOH"
    pure = 0.95 * NAOH / KOH / 0.98  # of the KOH demand; the KOH in its place counts as pure
    assert float(soda.superfat_percent) == pytest.approx(100 * (1 - pure))
    assert not soda.is_caustic
    potash = tried(recipe_of(make, "KOH", "90"))["other-alkali"]
    worth = 0.95 / 0.90 * KOH / NAOH
    assert worth == pytest.approx(1.48069, abs=1e-5)
    assert float(potash.superfat_percent) == pytest.approx(100 * (1 - worth))
    assert potash.is_caustic
    assert float(potash.left_over_percent) == pytest.approx(left_over(worth, 1))


def test_two_lyes_exchanged(make: MakeRecipe) -> None:
    lye = """
[[lye]]
alkali = "NaOH"
purity = "98 %"
mass = "40 g"
[[lye]]
alkali = "KOH"
purity = "90 %"
mass = "140 g"
[water]
mass = "300 g"
"""
    found = tried(make(OILS, lye))["other-alkali"]
    koh = 140 * 0.98 * KOH / NAOH + 40 * 0.90
    assert str(found.what) == "NaOH and KOH exchanged"
    assert float(found.superfat_percent) == pytest.approx(100 * (1 - koh / ALL))
    assert float(found.left_over_percent) == pytest.approx(left_over(koh, ALL))


@pytest.mark.parametrize(
    ("typed", "real", "caustic"),
    [("89", "98", True), ("98", "89", False), ("98.5", "95.8", False), ("58.5", "85.5", True)],
)
def test_the_digits_of_the_purity_exchanged(
    make: MakeRecipe, typed: str, real: str, caustic: bool
) -> None:
    """Lye weighed for 89 % that is 98 % pure brings 98/89 of it: 0.95 x 1.1011 = 1.0461."""
    found = tried(recipe_of(make, "NaOH", typed))["purity"]
    assert str(found.what) == f"NaOH of {real} %, not of {typed} %"
    worth = 0.95 * float(real) / float(typed)
    assert float(found.superfat_percent) == pytest.approx(100 * (1 - worth))
    assert found.is_caustic is caustic


@pytest.mark.parametrize("purity", ["99", "100", "90"])
def test_digits_that_make_no_other_lye_are_passed_over(make: MakeRecipe, purity: str) -> None:
    assert "purity" not in tried(recipe_of(make, "NaOH", purity))


def test_a_solution_has_its_digits_exchanged_too(make: MakeRecipe) -> None:
    lye = '[[lye]]\nalkali = "NaOH"\nsolution = "25 %"\n[superfat]\nlye_discount = "5 %"\n'
    found = tried(make(OILS, lye + "[water]\nmass = '0 g'\n"))["purity"]
    assert str(found.what) == "NaOH of 52 %, not of 25 %"
    assert float(found.superfat_percent) == pytest.approx(100 * (1 - 0.95 * 52 / 25))


def test_ounces_read_as_grams(make: MakeRecipe) -> None:
    found = tried(recipe_of(make, "NaOH", "98"))
    oils, lye = found["oils-in-ounces"], found["lye-in-ounces"]
    assert float(oils.left_over_percent) == pytest.approx(left_over(0.95 * ALL, ALL / OUNCE))
    assert oils.is_caustic
    assert float(lye.superfat_percent) == pytest.approx(100 * (1 - 0.95 / OUNCE))
    assert not lye.is_caustic


def test_the_oil_that_is_missed_most_and_all_that_must_not_be_missed(make: MakeRecipe) -> None:
    """Without castor oil the lye is still short: 0.95 x 206.05 = 195.75 g against 197 g."""
    found = tried(recipe_of(make, "NaOH", "98"))["forgotten"]
    assert str(found.what) == "olive oil or coconut oil forgotten (the first would be the worst)"
    rest = ALL - DEMAND["olive"]
    assert float(found.superfat_percent) == pytest.approx(100 * (1 - 0.95 * ALL / rest))
    assert float(found.left_over_percent) == pytest.approx(left_over(0.95 * ALL, rest))


def test_what_the_range_does_not_rule_out_counts_as_caustic(make: MakeRecipe) -> None:
    """Superfat 5 % (4 to 6 %): without castor oil 0.96 x 206.05 = 197.81 g against 197 g."""
    recipe = recipe_of(make, "NaOH", "98")
    ranged = SuperfatRange(Decimal(5), Decimal(4), Decimal(6))
    assert "castor oil forgotten" in str(tried(recipe, ranged)["forgotten"].what)


def test_an_acid_forgotten_leaves_its_lye_over(make: MakeRecipe) -> None:
    """Citric acid, 192.124 g/mol, takes three of alkali: 30 g take 30 / 192.124 x 3 x 56.106 =
    26.28 g of KOH; the oils are left with 195.75 + 26.28 = 222.03 g against 206.05 g."""
    acid = '[[additive]]\nmaterial = "citric acid"\nmass = "30 g"\n'
    found = tried(recipe_of(make, "NaOH", "98", acid))["forgotten"]
    assert "olive oil, coconut oil or citric acid, anhydrous forgotten" in str(found.what)
    taken = 30 / 192.124 * 3 * KOH
    assert taken == pytest.approx(26.28, abs=0.01)
    rest = ALL - DEMAND["olive"]
    lye = 0.95 * ALL + taken
    assert float(found.left_over_percent) == pytest.approx(
        100 * (lye - taken - rest) / lye, rel=1e-4
    )


def test_the_only_oil_is_not_forgotten(make: MakeRecipe) -> None:
    oil = '[[oil]]\nmaterial = "olive oil"\nmass = "700 g"\nsaponification_value = 190\n'
    assert "forgotten" not in tried(make(oil))


def test_one_part_of_a_batch_doubled(make: MakeRecipe) -> None:
    """1.9 times the demand: 0.9 of 1.9 is left over, 47.4 %. Half the lye: superfat 52.5 %."""
    found = tried(recipe_of(make, "NaOH", "98"))
    assert float(found["lye-doubled"].left_over_percent) == pytest.approx(100 * 0.9 / 1.9)
    assert float(found["lye-not-doubled"].superfat_percent) == pytest.approx(52.5)
    assert [found[key].is_caustic for key in ("lye-doubled", "lye-not-doubled")] == [True, False]


def test_how_a_mistake_is_told() -> None:
    english, french = Speech("en", "en_CA"), Speech("fr", "fr_CA")
    recipe = read_recipe(Path(__file__).parents[2] / "samples/lighthouse-supper/recipe.toml")
    made = declare_ingredients(recipe, make_policy(("CA",), dt.date(2027, 6, 19)))
    assert made.superfat is not None
    found = check_weighing(recipe, made.superfat)
    told = [english(mistake.told) for mistake in found.caustic]
    assert "the lye doubled and the rest not: 46.8 % of the lye left over" in told
    spoken = [french(mistake.told) for mistake in found.mistakes]
    assert not any("in English" in line or "en anglais" in line for line in spoken)
    plain = [line.replace("\u00a0", " ").replace("\u202f", " ") for line in spoken]
    assert "l’alcali doublé et le reste non : 46,8 % de l’alcali reste en trop" in plain
    assert any("huile d’olive" in line for line in spoken)


# -- the figure to check at the scale --------------------------------------------------------------


def scale_of(recipe: Recipe, superfat: SuperfatRange | None = None) -> tuple[float, float, float]:
    scale = check_weighing(recipe, superfat or exactly(recipe)).scale
    assert scale is not None
    return float(scale.share_percent), float(scale.least_percent), float(scale.most_percent)


@pytest.mark.parametrize(
    ("alkali", "purity", "molar"), [("NaOH", 98, NAOH), ("KOH", 90, KOH), ("NaOH", 100, NAOH)]
)
def test_the_interval_is_that_of_the_recipes_own_oils(
    make: MakeRecipe, alkali: str, purity: int, molar: float
) -> None:
    """1000 g of oils take 206.05 g of KOH. In NaOH of 98 % that is 206.05 x 39.997 / 56.106 / 0.98
    = 149.89 g, 14.98 % of the oils at a superfat of zero and 10.49 % at 30 %; at 5 % the scale of
    0.1 g shows 142.3 g, 14.23 %."""
    none = ALL * molar / KOH / purity * 100
    share, least, most = scale_of(recipe_of(make, alkali, str(purity)))
    assert most == pytest.approx(100 * none / 1000, abs=0.01)
    assert least == pytest.approx(70 * none / 1000, abs=0.01)
    assert share == pytest.approx(95 * none / 1000, abs=0.02)
    if (alkali, purity) == ("NaOH", 98):
        assert (share, least, most) == (14.23, 10.49, 14.98)


def test_the_interval_keeps_off_what_the_range_does_not_rule_out(make: MakeRecipe) -> None:
    """At 4 % the lye is worth 96/95 of what is counted: 149.89 x 95 / 96 = 148.33 g."""
    ranged = SuperfatRange(Decimal(5), Decimal(4), Decimal(6))
    assert scale_of(recipe_of(make, "NaOH", "98"), ranged)[2] == 14.83


def test_a_solution_is_checked_as_it_stands_on_the_scale(make: MakeRecipe) -> None:
    """Pure NaOH at zero 146.89 g; of a solution of 50 % twice as much, 29.37 % of the oils."""
    lye = '[[lye]]\nalkali = "NaOH"\nsolution = "50 %"\n[superfat]\nlye_discount = "5 %"\n'
    most = scale_of(make(OILS, lye + "[water]\nlye_concentration = '33 %'\n"))[2]
    assert most == pytest.approx(2 * 100 * ALL * NAOH / KOH / 1000, abs=0.01)
    assert most == 29.37


def test_an_acid_widens_what_the_lye_may_weigh(make: MakeRecipe) -> None:
    """Citric acid is neutralised first, at whatever superfat: 30 g take 26.28 g as KOH, so 19.12 g
    more of NaOH of 98 % at both ends: 14.98 + 1.91 and 10.49 + 1.91 %."""
    acid = '[[additive]]\nmaterial = "citric acid"\nmass = "30 g"\n'
    _, least, most = scale_of(recipe_of(make, "NaOH", "98", acid))
    assert (least, most) == (pytest.approx(12.40, abs=0.011), pytest.approx(16.90, abs=0.011))


def test_without_lye_there_is_nothing_to_check(make: MakeRecipe) -> None:
    recipe = make(OILS, '[[lye]]\nalkali = "NaOH"\nmass = "0 g"\n[water]\nmass = "300 g"\n')
    assert check_weighing(recipe, exactly(recipe)).scale is None


# -- for any recipe --------------------------------------------------------------------------------

MASSES = st.integers(20, 2000)
VALUES = st.sampled_from([181, 190, 205, 230, 256])


def read(text: str) -> Recipe:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "recipe.toml"
        path.write_text(HEAD + text, encoding="utf-8")
        return read_recipe(path)


@given(
    oils=st.lists(st.tuples(MASSES, VALUES), min_size=1, max_size=4),
    alkali=st.sampled_from(["NaOH", "KOH"]),
    purity=st.integers(85, 100),
    discount=st.integers(0, 30),
)
def test_no_mistake_that_leaves_lye_over_is_called_harmless(
    oils: list[tuple[int, int]], alkali: str, purity: int, discount: int
) -> None:
    oil = '[[oil]]\nmaterial = "id-{0}"\nmass = "{1} g"\n'
    own = '[[material]]\nid = "id-{0}"\nkind = "triglyceride"\ninci = "Fat {0}"\n'
    own += "saponification_value = {2}\n"
    lines = [(number, *values) for number, values in enumerate(oils)]
    recipe = read(
        "".join(oil.format(*line) for line in lines)
        + f'[[lye]]\nalkali = "{alkali}"\npurity = "{purity} %"\n'
        + f'[superfat]\nlye_discount = "{discount} %"\n[water]\nmass = "5000 g"\n'
        + "".join(own.format(*line) for line in lines)
    )
    molar, other = (NAOH, KOH) if alkali == "NaOH" else (KOH, NAOH)
    demands = [mass * value / 1000 / KOH for mass, value in oils]
    demand = sum(demands)
    lye = demand * (1 - discount / 100)
    swapped = int(str(purity)[::-1]) if purity < 100 else purity
    after = {
        "other-alkali": (lye * molar / (purity / 100) / other, demand),
        "purity": (lye * swapped / purity, demand),
        "oils-in-ounces": (lye, demand / OUNCE),
        "lye-in-ounces": (lye / OUNCE, demand),
        "forgotten": (lye, demand - max(demands)),
        "lye-doubled": (2 * lye, demand),
        "lye-not-doubled": (lye, 2 * demand),
    }
    for key, mistake in tried(recipe).items():
        alkali_mol, taken = after[key]
        assert float(mistake.superfat_percent) == pytest.approx(
            100 * (1 - alkali_mol / taken), abs=1e-6, rel=1e-9
        )
        if alkali_mol > taken * (1 + 1e-9):
            assert mistake.is_caustic
            assert "left over" in mistake.told


def test_the_check_sorts_what_it_found(make: MakeRecipe) -> None:
    recipe = recipe_of(make, "NaOH", "98")
    found: WeighingCheck = check_weighing(recipe, exactly(recipe))
    assert {*found.caustic} | {*found.harmless} == {*found.mistakes}
    assert all(mistake.superfat_percent < 0 for mistake in found.caustic)
    assert all(mistake.superfat_percent > 0 for mistake in found.harmless)
