"""recipe.toml: what is read, and the one line for each thing that is wrong."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.recipe import Alkali, LineGroup, Recipe, SuperfatForm, WaterForm, read_recipe

GOOD = """
labelkit = 1

[recipe]
name = "Plain"

[[oil]]
material = "olive oil"
mass = "1 lb 2 oz"
saponification_value = 189.5
lot = "A1"
price_per_kg = 7.4

[[oil]]
material = "shea butter"
mass = "50 g"
after_trace = true

[[lye]]
alkali = "NaOH"
purity = "98 %"

[superfat]
lye_discount = "5 %"

[water]
lye_concentration = "33 %"

[[scent]]
name = "Meadow"
mass = "12,5 g"
limit = "3.5 %"

[scent.allergens]
Linalool = "1-5 %"

[cure]
weeks = 6
bar = [{ poured = "120 g", cured = "106 g" }]
"""


def read(tmp_path: Path, text: str) -> Recipe:
    path = tmp_path / "recipe.toml"
    path.write_text(text, encoding="utf-8")
    return read_recipe(path)


def test_the_lye_by_its_mass_leaves_the_superfat_out_or_empty(tmp_path: Path) -> None:
    by_mass = GOOD.replace('purity = "98 %"', 'purity = "98 %"\nmass = "70 g"')
    assert read(tmp_path, by_mass.replace('lye_discount = "5 %"', "")).superfat is None
    for wrong in ("superfat = 0", 'superfat = ""'):
        told = by_mass.replace('[superfat]\nlye_discount = "5 %"\n', "")
        with pytest.raises(InputError, match="superfat: follows from the lye's mass"):
            read(tmp_path, f"{wrong}\n{told}")


def test_lots_are_one_or_a_list(tmp_path: Path) -> None:
    both = GOOD.replace('lot = "A1"', 'lot = ["A1", "A2"]')
    assert read(tmp_path, both).oils[0].lots == ("A1", "A2")
    for wrong in ("7", '["A1", 7]', '["A1", " "]'):
        with pytest.raises(InputError, match=r"oil\[1\]\.lot: .* a lot such as .*, or a list"):
            read(tmp_path, GOOD.replace('lot = "A1"', f"lot = {wrong}"))


def test_a_recipe_is_read(tmp_path: Path) -> None:
    recipe = read(tmp_path, GOOD)
    olive, shea = recipe.oils
    # 18 oz of 28.349523125 g (NIST Handbook 44, Appendix C).
    assert olive.mass_g == Decimal("510.29141625")
    assert olive.saponification_value == Decimal("189.5")
    assert (olive.key, olive.group, olive.lots) == ("oil[1]", LineGroup.OIL, ("A1",))
    assert olive.price_per_kg == Decimal("7.4")
    assert shea.after_trace
    assert recipe.lyes[0].alkali is Alkali.NAOH
    assert recipe.lyes[0].purity_percent == 98
    assert recipe.superfat is not None
    assert recipe.superfat.form is SuperfatForm.LYE_DISCOUNT
    assert (recipe.water.form, recipe.water.value) == (WaterForm.LYE_CONCENTRATION, 33)
    assert recipe.scents[0].mass_g == Decimal("12.5")
    assert recipe.scents[0].allergens is not None
    assert recipe.scents[0].allergens["Linalool"].middle == 3
    assert recipe.scents[0].limit_percent == Decimal("3.5")
    assert recipe.cure.bars[0].cured_g == 106
    assert recipe.cure.weeks == 6


def test_the_sample_recipe_is_read(sample: Path) -> None:
    recipe = read_recipe(sample.with_name("recipe.toml"))
    assert len(recipe.oils) == 5
    assert sum(oil.mass_g for oil in recipe.oils) == 3015


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('mass = "1 lb 2 oz"', 'mass = "1 stone"', "oil[1].mass: '1 stone': unknown unit 'stone'"),
        ('mass = "50 g"', 'mass = "-50 g"', "oil[2].mass: '-50 g': must not be negative"),
        # Unicode CLDR: "1,200" is twelve hundred in ``en`` and 1.2 in ``fr``.
        ('mass = "50 g"', 'mass = "1,200 g"', "oil[2].mass: '1,200 g': the comma may part"),
        ('mass = "50 g"', 'mass = "1.200,5 g"', 'thousands: "1200.5 g"'),
        ('mass = "50 g"', 'mass = "0 g"', "oil[2].mass: '0 g': expected from 0.001 g"),
        ('mass = "50 g"', "mass = 50", "oil[2].mass: 50: has no unit; for grams write"),
        ('mass = "50 g"', "", "oil[2].mass: missing"),
        ("after_trace", "after_trase", "did you mean 'after_trace'?"),
        # BIPM SI Brochure, 9th ed., 5.4.7: the symbol % follows the number (from memory).
        ('purity = "98 %"', 'purity = "98"', "lye[1].purity: '98': expected a per cent sign:"),
        ('purity = "98 %"', "purity = 98", 'lye[1].purity: 98: expected a per cent sign: "98 %"'),
        ('purity = "98 %"', "purity = 0.98", 'sign: "0.98 %" or "98 %"'),
        ('Linalool = "1-5 %"', 'Linalool = "3"', 'expected a per cent sign: "3 %"'),
        ('purity = "98 %"', 'purity = "0 %"', "lye[1].purity: '0 %': expected from 10 to 100 %"),
        ('purity = "98 %"', 'purity = "98 %"\nsolution = "50 %"', "lye[1].purity"),
        ('purity = "98 %"', 'mass = "70 g"', "superfat: follows from the lye's mass"),
        ('alkali = "NaOH"', 'alkali = "NaCl"', "lye[1].alkali: 'NaCl': expected one of NaOH, KOH"),
        ("[[lye]]", '[[lye]]\nalkali = "KOH"\n[[lye]]', "two alkalis to be computed need a share"),
        ("[[lye]]", '[[lye]]\nalkali = "NaOH"\n[[lye]]', "the same alkali stands twice"),
        ("[[lye]]", '[[lye]]\nalkali = "KOH"\nmass = "9 g"\n[[lye]]', "[[lye]] or of none"),
        ('lye_discount = "5 %"', 'lye_discount = "5 %"\nextra_oil = "5 %"', "which is meant?"),
        ('lye_discount = "5 %"', "", "which is meant?"),
        # 20 % in bars of coconut oil and salt is the most: common practice, no source.
        ('lye_discount = "5 %"', 'lye_discount = "60 %"',
         "superfat.lye_discount: '60 %': expected at most 30 %"),
        ('lye_discount = "5 %"', 'extra_oil = "31 %"', "superfat.extra_oil: '31 %': expected at"),
        ("after_trace = true\n", 'lot = "B"\n#', None),
        ('lye_concentration = "33 %"', "", "expected exactly one of mass"),
        ('lye_concentration = "33 %"', 'lye_concentration = "33 %"\nwater_to_lye = 2',
         "water.water_to_lye: expected exactly one of"),
        ('lye_concentration = "33 %"', 'lye_concentration = "3 %"', "expected from 10 to 55 %"),
        # Solubility in 100 g of water: NaOH 109 g at 20 °C, KOH 121 g at 25 °C, so 52 and 55 % (CRC
        # Handbook of Chemistry and Physics, from memory).
        ('lye_concentration = "33 %"', 'lye_concentration = "90 %"',
         "water.lye_concentration: '90 %': expected from 10 to 55 %"),
        ('lye_concentration = "33 %"', "water_to_lye = 0.5", "water_to_lye: 0.5: expected a"),
        ('purity = "98 %"', 'solution = "98 %"', "lye[1].solution: '98 %': expected from 10 to 55"),
        ('Linalool = "1-5 %"', 'Linalool = "5-1 %"', "scent[1].allergens.Linalool: '5-1 %'"),
        ('Linalool = "1-5 %"', 'Linalool = "lots"', 'expected a share such as "1.2 %"'),
        ('Linalool = "1-5 %"', 'Linalool = "101 %"', "allergens.Linalool: '101 %'"),
        ('Linalool = "1-5 %"', "Linalool = 3", "allergens.Linalool: 3: expected a per cent"),
        ("weeks = 6", "weeks = 0", "cure.weeks: 0: expected a whole number from 1"),
        ("weeks = 6", 'loss = "12 %"', "cure.loss: '12 %': follows from the weighed bars"),
        ('cured = "106 g"', 'cured = "126 g"', "cure.bar[1].cured: '126 g'"),
        ('name = "Meadow"', 'name = "Meadow"\ndeclare_as = "name"', "compound is parfum"),
        ('limit = "3.5 %"', 'limit = "350 %"', "scent[1].limit: '350 %'"),
        ('name = "Plain"', 'name = "Plain"\nscale = "0 g"', "recipe.scale: '0 g'"),
        ("labelkit = 1", "labelkit = 2", "this version reads format 1"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_one_clear_line(
    tmp_path: Path, old: str, new: str, message: str | None
) -> None:
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    if message is None:
        assert read(tmp_path, text).oils[1].lots == ("B",)
        return
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_after_trace_needs_oils_on_both_sides(tmp_path: Path) -> None:
    text = GOOD.replace('lye_discount = "5 %"', 'extra_oil = "after trace"')
    recipe = read(tmp_path, text)
    assert recipe.superfat is not None
    assert recipe.superfat.form is SuperfatForm.AFTER_TRACE
    with pytest.raises(InputError, match="with and without after_trace"):
        read(tmp_path, text.replace("after_trace = true", ""))


@pytest.mark.parametrize(
    ("material", "message"),
    [
        ('id = "x"\nkind = "stone"', "material[1].kind: 'stone': expected one of triglyceride"),
        ('id = "x"\npart = [{ inci = "Mica", share = "50 %" }]', 'parts need kind = "compound"'),
        ('id = "x"\nkind = "compound"\npart = [{ inci = "Mica", share = "50 %" }]',
         "the shares make only 50 %"),
        ('id = "x"\nkind = "compound"\npart = [{ inci = "A", share = "60 %" },'
         ' { inci = "B", share = "60 %" }]', "more than 100 %"),
        ('id = "x"\nkind = "compound"\npart = [{ share = "60 %" }]', "expected either inci or"),
        ('id = "x"\n[[material]]\nid = "x"', "'x': stands twice"),
    ],
)  # fmt: skip
def test_own_materials_are_checked(tmp_path: Path, material: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, f"{GOOD}\n[[material]]\n{material}\n")
    assert message in str(caught.value)


def test_a_recipe_of_absurd_length_is_refused(tmp_path: Path) -> None:
    more = '[[additive]]\nmaterial = "salt"\nmass = "1 g"\n' * 200
    with pytest.raises(InputError, match="203 materials in one batch"):
        read(tmp_path, GOOD + more)


def test_an_own_material_that_stands_twice_is_refused_in_any_letter_case(tmp_path: Path) -> None:
    """Names of materials are found whatever their letter case: two would be one."""
    own = '\n[[material]]\nid = "{}"\nkind = "inert"\ninci = "Sea Salt"\n'
    path = tmp_path / "recipe.toml"
    path.write_text(GOOD + own.format("grey-salt") + own.format("Grey-Salt"))
    with pytest.raises(InputError, match=r"Grey-Salt.*stands twice; make it one"):
        read_recipe(path)
