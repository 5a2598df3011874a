"""The formula against sources outside it: molar masses, published ranges, worked examples."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from molmass import Formula

from labelkit.formula import compute_batch, declare_ingredients, load_materials
from labelkit.formula.declaration import Basis, Declaration, Style
from labelkit.formula.reaction import (
    GLYCEROL,
    KOH,
    NAOH,
    WATER,
    Fat,
    HydroxyAcid,
    Yields,
    react_with_alkali,
)
from labelkit.order.recipe import MaterialKind, Recipe, read_recipe
from labelkit.rules.policies import make_policy

SOLD = dt.date(2027, 6, 19)
CANADA = make_policy(["CA"], SOLD)

# Relative difference between the atomic weights of the libraries in use is below 3e-5.
TOLERANCE = 1e-4


def molar(formula: str) -> float:
    """g/mol by molmass, whose atomic weights are IUPAC's."""
    return float(Formula(formula).mass)


def triglyceride(acid: str) -> float:
    """g/mol of the triglyceride of one acid: three acids and a glycerol less three waters."""
    return 3 * molar(acid) + molar("C3H8O3") - 3 * molar("H2O")


# -- molar masses and ratios (source: molmass) -----------------------------------------------------


@pytest.mark.parametrize(
    ("constant", "formula"), [(NAOH, "NaOH"), (KOH, "KOH"), (WATER, "H2O"), (GLYCEROL, "C3H8O3")]
)
def test_constants_are_the_molar_masses(constant: float, formula: str) -> None:
    assert constant == pytest.approx(molar(formula), rel=TOLERANCE)


def test_hydroxy_acids_have_their_molar_mass() -> None:
    counted_as_acids = {"baking-soda"}  # it meets lye as they do
    found = [m for m in load_materials() if m.kind is MaterialKind.HYDROXY_ACID]
    acids = [m for m in found if m.id not in counted_as_acids]
    assert {m.id for m in acids} == {"citric-acid", "lactic-acid", "acetic-acid"}
    for acid in acids:
        assert float(acid.molar_mass) == pytest.approx(molar(acid.formula), rel=TOLERANCE)


def fat(
    mass: float, saponification: float, acid: float = 0.0, yields: Yields = Yields.GLYCEROL
) -> Fat:
    """A fat in a single draw."""
    return Fat([mass], [saponification], [acid], yields)


@pytest.mark.parametrize(
    ("acid", "soap"),
    [
        ("C12H24O2", "C12H23O2Na"),  # lauric
        ("C16H32O2", "C16H31O2Na"),  # palmitic
        ("C18H36O2", "C18H35O2Na"),  # stearic
        ("C18H34O2", "C18H33O2Na"),  # oleic
        ("C18H34O3", "C18H33O3Na"),  # ricinoleic
    ],
)
def test_a_pure_triglyceride_gives_three_soaps_and_a_glycerol(acid: str, soap: str) -> None:
    """One mole of each, by molmass."""
    mass = triglyceride(acid)
    saponification = 3 * 1000 * molar("KOH") / mass
    out = react_with_alkali([fat(mass, saponification)], [], [3 * molar("NaOH")], [0.0])
    assert out.fats[0].sodium_g == pytest.approx([3 * molar(soap)], rel=TOLERANCE)
    assert out.fats[0].glycerol_g == pytest.approx([molar("C3H8O3")], rel=TOLERANCE)
    assert out.fats[0].water_g == [0]


def test_potassium_soap_of_a_pure_triglyceride() -> None:
    """Triolein and KOH, by molmass."""
    mass = triglyceride("C18H34O2")
    out = react_with_alkali([fat(mass, 3000 * molar("KOH") / mass)], [], [0.0], [3 * molar("KOH")])
    assert out.fats[0].potassium_g == pytest.approx([3 * molar("C18H33O2K")], rel=TOLERANCE)
    assert out.fats[0].sodium_g == [0]


def test_mixed_alkali_splits_by_moles() -> None:
    """Two moles of NaOH to one of KOH make two sodium oleates to one potassium oleate (molmass)."""
    mass = triglyceride("C18H34O2")
    oil = fat(mass, 3000 * molar("KOH") / mass)
    out = react_with_alkali([oil], [], [2 * molar("NaOH")], [molar("KOH")]).fats[0]
    assert out.sodium_g == pytest.approx([2 * molar("C18H33O2Na")], rel=TOLERANCE)
    assert out.potassium_g == pytest.approx([molar("C18H33O2K")], rel=TOLERANCE)


def test_a_free_acid_gives_water_and_no_glycerol() -> None:
    """Stearic acid, by molmass."""
    mass = molar("C18H36O2")
    value = 1000 * molar("KOH") / mass
    out = react_with_alkali([fat(mass, value, acid=value)], [], [molar("NaOH")], [0.0]).fats[0]
    assert out.sodium_g == pytest.approx([molar("C18H35O2Na")], rel=TOLERANCE)
    assert out.water_g == pytest.approx([molar("H2O")], rel=TOLERANCE)
    assert out.glycerol_g == [0]


def test_a_wax_ester_gives_soap_and_alcohol_only() -> None:
    """Cetyl palmitate to sodium palmitate and cetyl alcohol, by molmass."""
    mass = molar("C32H64O2")
    wax = fat(mass, 1000 * molar("KOH") / mass, yields=Yields.ALCOHOL)
    out = react_with_alkali([wax], [], [molar("NaOH")], [0.0]).fats[0]
    products = molar("C16H31O2Na") + molar("C16H34O")
    assert out.sodium_g == pytest.approx([products], rel=TOLERANCE)
    assert out.glycerol_g == out.water_g == [0]


@pytest.mark.parametrize(
    ("acid", "protons", "salt"),
    [
        ("C6H8O7", 3, "C6H5O7Na3"),  # citric
        ("C3H6O3", 1, "C3H5O3Na"),  # lactic
        ("C2H4O2", 1, "C2H3O2Na"),  # acetic
    ],
)
def test_hydroxy_acids_take_their_own_alkali(acid: str, protons: int, salt: str) -> None:
    """One mole of each, by molmass; the fat beside them goes without."""
    out = react_with_alkali(
        [fat(100.0, 190.0)],
        [HydroxyAcid([molar(acid)], molar(acid), protons)],
        [protons * molar("NaOH")],
        [0.0],
    )
    assert out.acids[0].sodium_g == pytest.approx([molar(salt)], rel=TOLERANCE)
    assert out.acids[0].water_g == pytest.approx([protons * molar("H2O")], rel=TOLERANCE)
    assert out.fats[0].free_g == pytest.approx([100], abs=0.01)


# -- the materials table against published ranges --------------------------------------------------

# Saponification values, mg KOH/g. Codex CXS 210 Table 2 for named vegetable oils, CXS 33 (olive),
# CXS 211 (animal fats), CXS 325R (shea), and pharmacopoeias. All from memory or second-hand, but
# for sunflower (amendment of 2022), castor (WHO monograph), hydrogenated castor (USP 29) and
# stearic acid (Ph. Eur. 1474, acid value), which were read.
PUBLISHED = {
    "olive-oil": (184, 196, "CXS 33"),
    "olive-pomace-oil": (182, 193, "CXS 33"),
    "coconut-oil": (248, 265, "CXS 210"),
    "babassu-oil": (245, 256, "CXS 210"),
    "palm-kernel-oil": (230, 254, "CXS 210"),
    "palm-oil": (190, 209, "CXS 210"),
    "palm-stearin": (193, 205, "CXS 210"),
    "palm-olein": (194, 202, "CXS 210"),
    "sunflower-oil": (187, 194, "CXS 210, amended 2022"),
    "sunflower-oil-high-oleic": (182, 194, "CXS 210"),
    "rapeseed-oil": (182, 193, "CXS 210"),
    "rapeseed-oil-high-erucic": (168, 181, "CXS 210"),
    "soybean-oil": (189, 195, "CXS 210"),
    "maize-oil": (187, 195, "CXS 210"),
    "cottonseed-oil": (189, 198, "CXS 210"),
    "groundnut-oil": (187, 196, "CXS 210"),
    "sesame-oil": (186, 195, "CXS 210"),
    "safflower-oil": (186, 198, "CXS 210"),
    "safflower-oil-high-oleic": (186, 194, "CXS 210"),
    "grapeseed-oil": (188, 194, "CXS 210"),
    "rice-bran-oil": (180, 199, "CXS 210"),
    "sweet-almond-oil": (190, 200, "USP-NF"),
    "hazelnut-oil": (188, 198, "CXS 210"),
    "walnut-oil": (189, 198, "CXS 210"),
    "linseed-oil": (185, 197, "CXS 210"),
    "pistachio-oil": (187, 196, "CXS 210"),
    "castor-oil": (176, 187, "WHO monograph, Oleum Ricini"),
    "hydrogenated-castor-oil": (176, 182, "USP 29"),
    "shea-butter": (160, 195, "CXS 325R"),
    "cocoa-butter": (188, 198, "USP-NF"),
    "lard": (192, 203, "CXS 211"),
    "tallow": (190, 202, "CXS 211"),
    "stearic-acid": (194, 212, "Ph. Eur. 1474"),
    "beeswax": (87, 104, "Ph. Eur."),
    "lanolin": (90, 105, "Ph. Eur."),
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_saponification_values_lie_in_the_published_range(name: str) -> None:
    low, high, _ = PUBLISHED[name]
    found = load_materials().find(name)
    assert found is not None
    values = found.saponification
    assert (values.low, values.high) == (low, high)
    assert low <= values.value <= high


@pytest.mark.parametrize(
    ("name", "formula"),
    [
        ("palmitic-acid", "C16H32O2"),
        ("lauric-acid", "C12H24O2"),
        ("myristic-acid", "C14H28O2"),
        ("oleic-acid", "C18H34O2"),
    ],
)
def test_pure_acids_agree_with_their_molar_mass(name: str, formula: str) -> None:
    """Acid value of a pure acid: 56 106 / M, by molmass; the table's range holds it."""
    found = load_materials().find(name)
    assert found is not None
    assert found.saponification.low <= 1000 * KOH / molar(formula) <= found.saponification.high


@pytest.mark.parametrize(
    ("name", "acid"),
    [("caprylic-triglyceride", "C8H16O2"), ("capric-triglyceride", "C10H20O2")],
)
def test_pure_triglycerides_agree_with_their_molar_mass(name: str, acid: str) -> None:
    found = load_materials().find(name)
    assert found is not None
    computed = 3 * 1000 * KOH / triglyceride(acid)
    assert float(found.saponification.value) == pytest.approx(computed, rel=2e-3)


ACIDS = {
    "6:0": "C6H12O2", "8:0": "C8H16O2", "10:0": "C10H20O2", "12:0": "C12H24O2",
    "14:0": "C14H28O2", "16:0": "C16H32O2", "16:1": "C16H30O2", "18:0": "C18H36O2",
    "18:1": "C18H34O2", "18:1-OH": "C18H34O3", "18:2": "C18H32O2", "18:3": "C18H30O2",
    "20:0": "C20H40O2", "20:1": "C20H38O2", "22:0": "C22H44O2", "22:1": "C22H42O2",
    "24:0": "C24H48O2",
}  # fmt: skip

# Fatty acids in percent, the middle of each range. CXS 210 Table 1 unless said otherwise; from
# memory. The last figures are the unsaponifiable matter in percent, which takes no alkali.
COMPOSITIONS: dict[str, tuple[dict[str, float], tuple[float, float]]] = {
    "coconut-oil": ({"6:0": 0.35, "8:0": 7.3, "10:0": 6.5, "12:0": 49.15, "14:0": 18.9,
                     "16:0": 8.85, "18:0": 3, "18:1": 7.5, "18:2": 1.75}, (0, 1.5)),
    "palm-oil": ({"12:0": 0.25, "14:0": 1.25, "16:0": 43.4, "16:1": 0.3, "18:0": 4.75,
                  "18:1": 40, "18:2": 10.5, "18:3": 0.25, "20:0": 0.5}, (0, 1.2)),
    "palm-kernel-oil": ({"6:0": 0.4, "8:0": 4.3, "10:0": 3.8, "12:0": 50, "14:0": 16, "16:0": 8.25,
                         "18:0": 2, "18:1": 15.5, "18:2": 2.25}, (0, 1)),
    "babassu-oil": ({"8:0": 4.95, "10:0": 4.4, "12:0": 47.5, "14:0": 19, "16:0": 8.1, "18:0": 4.6,
                     "18:1": 14.5, "18:2": 4}, (0, 1.2)),
    "maize-oil": ({"16:0": 12.55, "18:0": 1.65, "18:1": 31.1, "18:2": 49.8, "18:3": 1,
                   "20:0": 0.65}, (0, 2.8)),
    "rapeseed-oil": ({"16:0": 4.75, "18:0": 1.9, "18:1": 60.5, "18:2": 22.5, "18:3": 9.5,
                      "20:0": 0.7, "20:1": 2.2, "22:0": 0.3, "22:1": 1}, (0, 2)),
    "soybean-oil": ({"16:0": 10.75, "18:0": 3.7, "18:1": 23.5, "18:2": 53.5, "18:3": 7.75},
                    (0, 1.5)),
    "sunflower-oil": ({"16:0": 6.3, "18:0": 4.6, "18:1": 26.7, "18:2": 61.15, "22:0": 0.9},
                      (0, 1.5)),
    "sunflower-oil-high-oleic": ({"16:0": 3.8, "18:0": 4.55, "18:1": 82.85, "18:2": 9.55,
                                  "22:0": 1.05}, (0, 1.5)),
    "safflower-oil": ({"16:0": 6.65, "18:0": 2.4, "18:1": 14.85, "18:2": 75.5}, (0, 1.5)),
    "safflower-oil-high-oleic": ({"16:0": 4.8, "18:0": 1.95, "18:1": 76.85, "18:2": 14.45},
                                 (0, 1)),
    "cottonseed-oil": ({"14:0": 0.8, "16:0": 23.9, "18:0": 2.7, "18:1": 18.2, "18:2": 52.45},
                       (0, 1.5)),
    "groundnut-oil": ({"16:0": 11, "18:0": 2.75, "18:1": 57.5, "18:2": 23.5, "20:0": 1.35,
                       "20:1": 1.95, "22:0": 3, "24:0": 1.5}, (0, 1)),
    "sesame-oil": ({"16:0": 9.95, "18:0": 5.6, "18:1": 39.95, "18:2": 42.4}, (0, 2)),
    "grapeseed-oil": ({"16:0": 8.25, "18:0": 4.75, "18:1": 20, "18:2": 68}, (0, 2)),
    "rice-bran-oil": ({"14:0": 0.5, "16:0": 18.5, "18:0": 2.45, "18:1": 43, "18:2": 31.5,
                       "18:3": 1.5}, (0, 6.5)),
    # CXS 33.
    "olive-oil": ({"16:0": 13.75, "16:1": 1.9, "18:0": 2.75, "18:1": 69, "18:2": 12, "18:3": 0.5},
                  (0, 1.5)),
    # CXS 211.
    "lard": ({"14:0": 1.75, "16:0": 25, "16:1": 3, "18:0": 15, "18:1": 45, "18:2": 8}, (0, 1)),
    "tallow": ({"14:0": 4, "16:0": 25, "16:1": 3, "18:0": 22.5, "18:1": 37.5, "18:2": 3.5},
               (0, 1.2)),
    # Ph. Eur., castor oil.
    "castor-oil": ({"16:0": 1, "18:0": 1.25, "18:1-OH": 88.5, "18:1": 4.25, "18:2": 4.75},
                   (0, 0.8)),
    # CXS 325R; unsaponifiable 1 to 19 %.
    "shea-butter": ({"16:0": 6, "18:0": 37.5, "18:1": 47, "18:2": 6}, (1, 19)),
}  # fmt: skip


@pytest.mark.parametrize("name", COMPOSITIONS)
def test_saponification_values_agree_with_the_fatty_acids(name: str) -> None:
    """Within 3 % of the value computed from the composition with molmass."""
    shares, (least, most) = COMPOSITIONS[name]
    mean = sum(shares.values()) / sum(p / molar(ACIDS[a]) for a, p in shares.items())
    whole = 3 * mean + molar("C3H8O3") - 3 * molar("H2O")
    computed = 3 * 1000 * molar("KOH") / whole
    found = load_materials().find(name)
    assert found is not None
    value = float(found.saponification.value)
    assert 0.97 * computed * (1 - most / 100) <= value <= 1.03 * computed * (1 - least / 100)


# -- worked examples: by hand from the reaction equations, to 0.001 g ------------------------------


def recipe(folder: Path, text: str) -> Recipe:
    path = folder / "recipe.toml"
    head = 'labelkit = 1\nrecipe = { name = "Worked", scale = "0.1 g" }\n'
    path.write_text(head + text, encoding="utf-8")
    return read_recipe(path)


EXAMPLE_1 = """
oil = [{ material = "olive oil", mass = "1000 g" }]
lye = [{ alkali = "NaOH", purity = "98 %" }]
superfat = { lye_discount = "5 %" }
water = { water_to_lye = 2 }
cure = { loss = "12 %" }
"""
# Olive oil 1000 g at 190 mg KOH/g: 190 g KOH, 135.448 g NaOH, less 5 %: 128.675 g pure and
# 131.301 g at 98 %; water twice that; poured 1393.904 g, less 12 %: 1226.636 g.
EXAMPLE_1_GRAMS = {
    "Sodium Olivate": 979.916,
    "Glycerin": 98.759,
    "Aqua": 95.334,
    "Olea Europaea Fruit Oil": 50.000,
}

EXAMPLE_2 = """
oil = [
  { material = "olive oil", mass = "400 g" },
  { material = "coconut oil", mass = "250 g" },
  { material = "palm oil", mass = "200 g" },
  { material = "shea butter", mass = "100 g"SHEA },
  { material = "castor oil", mass = "50 g" },
]
lye = [{ alkali = "NaOH", purity = "98.5 %" }]
superfat = { lye_discount = "5 %" }
water = { lye_concentration = "33 %" }
cure = { loss = "LOSS %" }
colour = [{ material = "ultramarine", mass = "3 g" }]
[[scent]]
name = "Invented"
mass = "30 g"
limit = "LIMIT %"
allergens = { Linalool = "22 %", Limonene = "9.5 %", Citronellol = "1.8 %", Eugenol = "0.45 %",\
 Coumarin = "0.4 %" }
"""
EXAMPLE_2A_GRAMS = {
    "Sodium Olivate": 391.966,
    "Sodium Cocoate": 247.597,
    "Sodium Palmate": 196.282,
    "Aqua": 113.074,
    "Glycerin": 107.518,
    "Sodium Shea Butterate": 97.795,
    "Sodium Castorate": 48.929,
    "Parfum": 30.000,
    "Olea Europaea Fruit Oil": 20.000,
    "Cocos Nucifera Oil": 12.500,
    "Elaeis Guineensis Oil": 10.000,
    "Butyrospermum Parkii Butter": 5.000,
    "CI 77007": 3.000,
    "Ricinus Communis Seed Oil": 2.500,
}
# Shea added after trace: 10 342.5 mg KOH not met, over 177.5, leaves 58.268 g of it free.
EXAMPLE_2B_GRAMS = {
    "Sodium Olivate": 412.596,
    "Sodium Cocoate": 260.628,
    "Sodium Palmate": 206.613,
    "Aqua": 113.074,
    "Glycerin": 107.518,
    "Butyrospermum Parkii Butter": 58.268,
    "Sodium Castorate": 51.504,
    "Sodium Shea Butterate": 42.960,
    "Parfum": 30.000,
    "CI 77007": 3.000,
}


def example_2(folder: Path, shea: str = "", loss: str = "12", limit: str = "50") -> Recipe:
    text = EXAMPLE_2.replace("SHEA", shea).replace("LOSS", loss).replace("LIMIT", limit)
    return recipe(folder, text)


def grams(made: Declaration) -> dict[str, float]:
    return {line.name: float(line.mass_g) for line in made.lines if line.role.value != "allergen"}


def assert_grams(made: Declaration, expected: dict[str, float]) -> None:
    found = grams(made)
    assert set(found) == set(expected)
    for name, mass in expected.items():
        assert found[name] == pytest.approx(mass, abs=0.00051), name


def test_example_1_masses(tmp_path: Path) -> None:
    read = recipe(tmp_path, EXAMPLE_1)
    batch = compute_batch(read)
    assert float(batch.lyes[0].pure_g) == pytest.approx(128.675, abs=0.0005)
    assert float(batch.lyes[0].weighed_g) == pytest.approx(131.301, abs=0.0005)
    assert float(batch.lyes[0].impurity_g) == pytest.approx(2.626, abs=0.0005)
    assert float(batch.water_g) == pytest.approx(262.603, abs=0.0005)
    assert float(batch.poured_g) == pytest.approx(1393.904, abs=0.0005)
    assert float(batch.cured_g) == pytest.approx(1226.636, abs=0.0006)
    assert_grams(declare_ingredients(read, CANADA), EXAMPLE_1_GRAMS)


def test_example_1_as_added(tmp_path: Path) -> None:
    """Poured: olive oil 71.74 %, water 18.84 %, lye as weighed 9.42 %."""
    made = declare_ingredients(recipe(tmp_path, EXAMPLE_1), make_policy(["EU"], SOLD))
    assert [(line.name, round(float(line.percent), 2)) for line in made.lines] == [
        ("Olea Europaea Fruit Oil", 71.74),
        ("Aqua", 18.84),
        ("Sodium Hydroxide", 9.42),
    ]


def test_example_1_order_differs_between_cured_and_poured(tmp_path: Path) -> None:
    read = recipe(tmp_path, EXAMPLE_1)
    cured = declare_ingredients(read, CANADA)
    poured = declare_ingredients(read, CANADA.made(basis=Basis.POURED))
    assert cured.names == ("Sodium Olivate", "Glycerin", "Aqua", "Olea Europaea Fruit Oil")
    assert poured.names == ("Sodium Olivate", "Aqua", "Glycerin", "Olea Europaea Fruit Oil")


def test_example_2_lye_and_water(tmp_path: Path) -> None:
    batch = compute_batch(example_2(tmp_path))
    assert float(batch.full_koh_g) == pytest.approx(206.850)
    assert float(batch.lyes[0].pure_g) == pytest.approx(140.087, abs=0.0005)
    assert float(batch.lyes[0].weighed_g) == pytest.approx(142.220, abs=0.0005)
    assert float(batch.water_g) == pytest.approx(288.750, abs=0.0005)
    assert float(batch.poured_g) == pytest.approx(1463.970, abs=0.0005)
    assert float(batch.cured_g) == pytest.approx(1288.294, abs=0.0005)
    assert float(batch.superfat_percent) == pytest.approx(5)


def test_example_2_all_oils_before_trace(tmp_path: Path) -> None:
    made = declare_ingredients(example_2(tmp_path), CANADA)
    assert_grams(made, EXAMPLE_2A_GRAMS)
    undeclared = sum(float(row.grams) for row in made.table if not row.name)
    assert undeclared == pytest.approx(2.133, abs=0.0005)  # impurities of the lye


def test_example_2_lists(tmp_path: Path) -> None:
    """Formed and cured, parfum by weight; added and poured."""
    read = example_2(tmp_path)
    formed = declare_ingredients(read, replace(CANADA, parfum_at_end=False))
    assert formed.names == (
        "Sodium Olivate", "Sodium Cocoate", "Sodium Palmate", "Aqua", "Glycerin",
        "Sodium Shea Butterate", "Sodium Castorate", "Parfum", "Olea Europaea Fruit Oil",
        "Cocos Nucifera Oil", "Elaeis Guineensis Oil", "Linalool", "Butyrospermum Parkii Butter",
        "Limonene", "Ricinus Communis Seed Oil", "Citronellol", "Eugenol", "CI 77007",
    )  # fmt: skip
    added = declare_ingredients(read, make_policy(["EU"], SOLD))
    assert added.names == (
        "Olea Europaea Fruit Oil", "Aqua", "Cocos Nucifera Oil", "Elaeis Guineensis Oil",
        "Sodium Hydroxide", "Butyrospermum Parkii Butter", "Ricinus Communis Seed Oil", "Parfum",
        "Linalool", "Limonene", "Citronellol", "Eugenol", "CI 77007",
    )  # fmt: skip


def test_example_2_shea_after_trace(tmp_path: Path) -> None:
    made = declare_ingredients(example_2(tmp_path, shea=", after_trace = true"), CANADA)
    assert_grams(made, EXAMPLE_2B_GRAMS)


def test_example_3_no_glycerol_from_acids_and_waxes(tmp_path: Path) -> None:
    """Olive 500 g, stearic acid 30 g, beeswax 20 g: glycerol from the olive oil alone."""
    read = recipe(
        tmp_path,
        """
        oil = [
          { material = "olive oil", mass = "500 g" },
          { material = "stearic acid", mass = "30 g" },
          { material = "beeswax", mass = "20 g" },
        ]
        lye = [{ alkali = "NaOH", purity = "100 %" }]
        superfat = { lye_discount = "5 %" }
        water = { mass = "150 g" }
        cure = { loss = "0 %" }
        """,
    )
    made = declare_ingredients(read, CANADA)
    assert float(compute_batch(read).lyes[0].pure_g) == pytest.approx(69.756, abs=0.0005)
    assert_grams(
        made,
        {
            "Sodium Olivate": 487.786,
            "Sodium Stearate": 32.386,
            "Cera Alba": 21.230,
            "Glycerin": 49.161,
            "Olea Europaea Fruit Oil": 27.105,
            "Aqua": 150 + 1.955 + 0.132,
        },
    )


# -- allergens and limits of example 2 (shares of an invented fragrance) ---------------------------


def test_allergen_shares_on_the_cured_mass(tmp_path: Path) -> None:
    """30 g in 1288.294 g: 2.3287 % of the bar, times the share in the fragrance."""
    made = declare_ingredients(example_2(tmp_path), CANADA)
    found = {share.inci: round(share.percent, 5) for share in made.allergens}
    assert found == {
        "Linalool": Decimal("0.51231"),
        "Limonene": Decimal("0.22122"),
        "Citronellol": Decimal("0.04192"),
        "Eugenol": Decimal("0.01048"),
        "Coumarin": Decimal("0.00931"),
    }
    assert "Eugenol" in made.names
    assert "Coumarin" not in made.names


def test_eugenol_falls_below_the_threshold_without_cure_loss(tmp_path: Path) -> None:
    """In 1463.970 g it is 0.00922 %: Canada, s. 21.4(4)(a), names what is above 0.01 %."""
    made = declare_ingredients(example_2(tmp_path, loss="0"), CANADA)
    share = next(s for s in made.allergens if s.inci == "Eugenol")
    assert round(share.percent, 5) == Decimal("0.00922")
    assert "Eugenol" not in made.names


def test_eugenol_is_said_to_be_near_the_threshold(tmp_path: Path) -> None:
    made = declare_ingredients(example_2(tmp_path), CANADA)
    near = [d for d in made.doubts if d.kind == "threshold"]
    assert [d.message.split()[0] for d in near] == ["Eugenol", "Coumarin"]
    assert "0.00048 % above the threshold of 0.01 %" in near[0].message


def test_the_poured_basis_judges_allergens_on_the_cured_bar(tmp_path: Path) -> None:
    made = declare_ingredients(example_2(tmp_path), make_policy(["EU"], SOLD))
    assert made.basis is Basis.POURED
    assert made.style is Style.ADDED
    assert "Eugenol" in made.names


def test_fragrance_limit_goes_by_the_cured_bar(tmp_path: Path) -> None:
    """2.33 % of the bar against 2.2 %: 0.022/0.978 of 1258.294 g is the most, 28.305 g."""
    made = declare_ingredients(example_2(tmp_path, limit="2.2"), CANADA)
    failing = [d for d in made.doubts if d.level == "fail"]
    assert [d.kind for d in failing] == ["limit"]
    assert "28.3 g" in failing[0].remedy
    assert not [d for d in declare_ingredients(example_2(tmp_path, limit="2.4"), CANADA).doubts
                if d.level == "fail"]  # fmt: skip


# -- glycerin and water (cross-over worked by hand: 11.75 % and 12.38 % loss) ----------------------


@pytest.mark.parametrize(
    ("loss", "first"), [("11.7", "Aqua"), ("11.8", "Glycerin")]
)  # of example 1
def test_example_1_cross_over(tmp_path: Path, loss: str, first: str) -> None:
    text = EXAMPLE_1.replace('loss = "12 %"', f'loss = "{loss} %"')
    names = declare_ingredients(recipe(tmp_path, text), CANADA).names
    assert names[1] == first


@pytest.mark.parametrize(("loss", "first"), [("12.3", "Aqua"), ("12.5", "Glycerin")])
def test_example_2_cross_over(tmp_path: Path, loss: str, first: str) -> None:
    names = declare_ingredients(example_2(tmp_path, loss=loss), CANADA).names
    assert names[3] == first


def test_the_swap_is_shown_as_uncertain(tmp_path: Path) -> None:
    made = declare_ingredients(example_2(tmp_path), CANADA)
    order = [d for d in made.doubts if d.kind == "order"]
    assert any("Aqua" in d.message and "Glycerin" in d.message for d in order)
    assert any(d.remedy == "Weigh three cured bars" for d in order)


def test_weighed_bars_settle_the_swap(tmp_path: Path) -> None:
    """Three bars of 120 g that lost 14 %: far from the cross-over of 12.38 %."""
    text = EXAMPLE_2.replace("SHEA", "").replace("LIMIT", "50")
    bars = ", ".join('{ poured = "120.0 g", cured = "103.2 g" }' for _ in range(3))
    text = text.replace('loss = "LOSS %"', f"bar = [{bars}]")
    made = declare_ingredients(recipe(tmp_path, text), CANADA)
    assert not [d for d in made.doubts if d.kind == "order" and "Aqua" in d.message]
    assert made.names[3:5] == ("Glycerin", "Sodium Shea Butterate")
    assert made.names.index("Aqua") == 5
