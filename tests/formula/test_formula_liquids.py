"""Liquids and materials of a maker's kitchen: what dries out of them, and what of them takes lye.

Water, fat and alcohol in grams per 100 g are those of USDA FoodData Central, SR Legacy (from
memory), unless a row says otherwise. Saponification values: Codex CXS 210 (coconut 248 to 265), and
dairy literature (butter fat 210 to 232, from memory).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from labelkit.common.errors import InputError
from labelkit.formula import compute_batch
from labelkit.formula.allergens import find_allergen
from labelkit.formula.expand import expand_recipe
from labelkit.formula.materials import load_materials, merge_own_materials
from labelkit.order.recipe import MaterialKind

OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g", saponification_value = 190 }]\n'

LYE = """
[[lye]]
alkali = "NaOH"
[superfat]
lye_discount = "5 %"
[water]
lye_concentration = "33 %"
"""
NO_SUPERFAT = LYE.replace('lye_discount = "5 %"', 'lye_discount = "0 %"')

FOODS = [
    # name, what dries (water and alcohol), fat
    ("beer", "95.9", "0"),  # water 92.0, alcohol 3.9
    ("red wine", "97.1", "0"),  # water 86.5, alcohol 10.6
    ("white wine", "97.2", "0"),  # water 86.9, alcohol 10.3
    ("coconut milk", "72.9", "21.3"),  # tinned
    ("coconut cream", "53.9", "34.7"),
    ("coconut water", "95.0", "0"),
    ("rice milk", "89.3", "1.0"),
    ("yogurt", "87.9", "3.25"),
    ("cream", "57.7", "36.1"),  # 35 to 37 % of fat
    ("buttermilk", "90.1", "0.9"),
    ("sheep milk", "80.7", "7.0"),
    ("powdered milk", "2.5", "26.7"),
    ("nonfat milk powder", "3.2", "0.8"),
    ("egg", "76.2", "9.5"),
    ("egg yolk", "52.3", "26.5"),
    ("pumpkin puree", "90.0", "0"),  # tinned
    ("carrot puree", "90.2", "0"),  # boiled
    ("cucumber", "95.2", "0"),
    ("banana", "74.9", "0"),
    ("avocado puree", "73.2", "14.7"),
    ("applesauce", "88.2", "0"),
    ("strawberry puree", "91.0", "0"),
    ("aloe vera", "99.0", "0"),  # literature on the fresh gel: 98.5 to 99.5 (from memory)
    ("rose water", "99.9", "0"),  # distilled water
]


@pytest.mark.parametrize(("name", "dries", "fat"), FOODS)
def test_water_and_fat_of_a_food(make, name: str, dries: str, fat: str) -> None:  # type: ignore[no-untyped-def]
    found = load_materials().find(name)
    assert found is not None
    assert found.water.low <= Decimal(dries) <= found.water.high
    assert found.fat.low <= Decimal(fat) <= found.fat.high
    assert "memory" in found.source
    # 200 g of it in a batch bring their water and their fat, and nothing is lost.
    body = f'{OLIVE}additive = [{{ material = "{name}", mass = "200 g" }}]\n'
    batch = compute_batch(make(body))
    assert batch.liquids_water_g == 2 * found.water.value
    recipe = make(body)
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    assert sum(expanded.mass_g(s) for s in expanded.substances) == 1200


def lye_taken_g(make, body: str) -> Decimal:  # type: ignore[no-untyped-def]
    """Pure NaOH that an addition takes beside the olive oil, without any superfat."""
    both = (compute_batch(make(b, lye=NO_SUPERFAT)) for b in (OLIVE + body, OLIVE))
    with_it, without = (batch.lyes[0].pure_g for batch in both)
    return with_it - without


@pytest.mark.parametrize(
    ("name", "grams"),
    [
        # 200 g of coconut milk hold 41 g of oil (20.5 %, the middle of 17 to 24), which takes
        # 41 x 0.2565 x 39.997 / 56.106 = 7.497 g of NaOH.
        ("coconut milk", "7.497"),
        # 200 g of cream of 35.5 % (34 to 37): 71 g of butter fat x 0.221 x 0.712883 = 11.186 g.
        ("cream", "11.186"),
        # 200 g of whole milk powder: 54 g of fat x 0.221 x 0.712883 = 8.508 g.
        ("whole milk powder", "8.508"),
        # 200 g of avocado puree: 27 g (13.5 %) of avocado oil, 177 to 198: 187.5 (CXS 33, from
        # memory): 27 x 0.1875 x 0.712883 = 3.609 g.
        ("avocado puree", "3.609"),
        ("beer", "0"),
        ("brewed coffee", "0"),
        ("pumpkin puree", "0"),
        # 84.007 g of NaHCO3 take 39.997 g of NaOH (IUPAC atomic weights): 200 g take 95.223 g.
        ("baking soda", "95.223"),
        ("sodium citrate", "0"),
    ],
)
def test_lye_that_an_addition_takes(make, name: str, grams: str) -> None:  # type: ignore[no-untyped-def]
    body = f'additive = [{{ material = "{name}", mass = "200 g" }}]\n'
    assert lye_taken_g(make, body) == pytest.approx(Decimal(grams), abs=Decimal("0.05"))


def test_beer_may_take_the_place_of_all_water(make) -> None:  # type: ignore[no-untyped-def]
    # 300 g of beer, 96 % of which dries: 288 g of water, and none is weighed beside it.
    body = OLIVE + 'additive = [{ material = "beer", mass = "300 g" }]\n'
    batch = compute_batch(make(body, lye=LYE.replace('lye_concentration = "33 %"', 'mass = "0 g"')))
    assert batch.all_water_g == 288


OWN = """
additive = [{ material = "hemp drink", mass = "200 g" }]
[[material]]
id = "hemp drink"
kind = "botanical"
inci = "Cannabis Sativa Seed Extract"
water_share = "90 %"
fat_share = "2-3 %"
fat = "hemp seed oil"
"""


def test_a_liquid_of_ones_own_has_its_water_and_its_fat(make) -> None:  # type: ignore[no-untyped-def]
    # 90 % of 200 g is 180 g of water; 2.5 % is 5 g of hemp seed oil, at 192.5
    # mg KOH/g (190 to 195, CXS 210, from memory): 5 x 0.1925 x 0.712883 = 0.686 g of NaOH.
    batch = compute_batch(make(OLIVE + OWN))
    assert batch.liquids_water_g == 180
    assert lye_taken_g(make, OWN) == pytest.approx(Decimal("0.686"), abs=Decimal("0.01"))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('fat = "hemp seed oil"', "", "material[1].fat: missing beside fat_share"),
        ('fat = "hemp seed oil"', 'fat = "moon oil"', "material[1].fat: 'moon oil': is not known"),
        ('fat = "hemp seed oil"', 'fat = "salt"', "is no fat"),
        ('kind = "botanical"', 'kind = "colour"', 'needs kind = "inert" or "botanical"'),
        ('"90 %"', '"99 %"', "together are over 100 %"),
    ],
)
def test_what_is_wrong_with_such_a_liquid(make, old: str, new: str, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError) as caught:
        compute_batch(make(OLIVE + OWN.replace(old, new)))
    assert message in str(caught.value)


# Words of the trade (common practice, no source).
@pytest.mark.parametrize(
    ("word", "id"),
    [
        ("rose clay", "kaolin"), ("French green clay", "illite"), ("soy wax", "soy-wax"),
        ("babassu", "babassu-oil"), ("rosehip oil", "rosehip-seed-oil"), ("tussah silk", "silk"),
        ("pumpkin seed oil", "pumpkin-seed-oil"), ("duck fat", "duck-fat"),
        ("tea", "tea-brewed"), ("egg yolks", "egg-yolk"),
        ("sodium citrate", "sodium-citrate"), ("bicarb", "baking-soda"),
        ("coffee", "coffee-brewed"),
        ("activated charcoal", "charcoal"), ("yaourt", "yogurt"), ("bière", "beer"),
        ("lait d'avoine", "oat-milk"), ("rhassoul clay", "rhassoul-clay"),
    ],
)  # fmt: skip
def test_a_makers_word_finds_it(word: str, id: str) -> None:
    found = load_materials().find(word) or next(iter(load_materials().alike(word)), None)
    assert found is not None
    assert found.id == id


def test_shortening_is_asked_about_and_not_guessed() -> None:
    offered = load_materials().near("shortening")
    assert "shortening-palm" in offered
    assert "shortening-soy-palm" in offered


def test_shortening_takes_what_its_oils_take(make) -> None:  # type: ignore[no-untyped-def]
    # 70 % of soybean oil (192) and 30 % of palm oil (199.5), Codex CXS 210: 194.25 mg KOH/g, that
    # is 194.25 x 0.712883 = 138.48 g of NaOH a kilogram.
    body = OLIVE + 'oil = [{ material = "vegetable shortening", mass = "1000 g" }]\n'
    body = body.replace(OLIVE, "")
    batch = compute_batch(make(body, lye=NO_SUPERFAT))
    assert batch.lyes[0].pure_g == pytest.approx(Decimal("138.48"), abs=Decimal("0.01"))


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("melt and pour base", "is soap that is made already: labelkit works a list out of oils"),
        ("rebatch", "name the oils, lye and water it was poured from"),
        ("hand-milled soap", "name the oils, lye and water it was poured from"),
        ("blended soap", "name the oils, lye and water it was poured from"),
        ("glycerin soap", "is soap that is made already: labelkit works a list out of oils"),
        ("coconut milk powder", "describe it from its own list"),
        ("rebatched soap", "name the oils, lye and water it was poured from"),
        ("soap shavings", "name the oils, lye and water it was poured from"),
        ("retailles de savon", "name the oils, lye and water it was poured from"),
        ("breast milk", "is of human origin"),
        ("margarine", "describe it from its own list"),
    ],
)
def test_what_is_not_counted_with_says_so_in_a_sentence(make, name: str, reason: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError) as caught:
        compute_batch(make(f'{OLIVE}additive = [{{ material = "{name}", mass = "200 g" }}]\n'))
    assert reason in str(caught.value)
    assert "\n" not in str(caught.value)


def test_usual_allergens_are_a_question_and_never_a_value(make) -> None:  # type: ignore[no-untyped-def]
    for oil in load_materials():
        assert all(find_allergen(name) for name in oil.usual_allergens), oil.id
    body = OLIVE + '[[scent]]\nessential_oil = "tea tree oil"\nmass = "20 g"\nlimit = "3 %"\n'
    recipe = make(body)
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    assert not any(line.allergens for line in expanded.lines)


def test_a_part_without_a_share_is_never_taken_for_a_fat() -> None:
    """What dries and what is fat leave room for what is neither."""
    for row in load_materials():
        assert row.water.low + row.fat.low <= 100, row.id
        if row.fat.value:
            fat = load_materials().find(row.fat_material)
            assert fat is not None
            assert fat.kind is MaterialKind.TRIGLYCERIDE
