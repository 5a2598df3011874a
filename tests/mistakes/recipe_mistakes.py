"""Mistakes at the recipe: lye, masses, materials, scent and cure."""

from __future__ import annotations

from mistake import DECLARE, PLAN, PREFLIGHT, Change, Mistake, slip

_LYE = 'purity = "98.5 %"'
_SUPERFAT = 'lye_discount = "6 %"'
_WATER = 'lye_concentration = "32 %"'
_HONEY = 'material = "honey"\nmass = "36 g"'


def recipe(did: str, old: str, new: str, told: str, code: int = 2, run: str = "") -> Mistake:
    return slip(did, "recipe.toml", old, new, told, run=run, code=code)


RECIPE_MISTAKES = (
    # -- lye
    recipe(
        "lye among the oils",
        'material = "castor oil"',
        'material = "NaOH"',
        "'NaOH': is lye; give NaOH and KOH under [[lye]]",
    ),
    Mistake(
        "lye a tenth of what it should be",
        "lye.mass: '39 g': of NaOH leaves 91 % of the oils as they are; compare the grams",
        2,
        (
            Change("recipe.toml", f'{_LYE}\nmass = "39 g"', _LYE),
            Change("recipe.toml", "", f"[superfat]\n{_SUPERFAT}"),
            DECLARE,
        ),
    ),
    recipe(
        "purity typed 58.5 for 98.5",
        _LYE,
        'purity = "58.5 %"',
        'write solution = "58.5 %" instead of purity',
        1,
    ),
    recipe(
        "purity digits swapped: 89.5", _LYE, 'purity = "89.5 %"', "Solid NaOH of 89.5 % purity", 1
    ),
    recipe(
        "a 50 % solution entered as purity",
        _LYE,
        'purity = "50 %"',
        'if the lye comes dissolved, write solution = "50 %"',
        1,
    ),
    recipe(
        "the point of the purity left out",
        _LYE,
        'purity = "985 %"',
        "lye[1].purity: '985 %': expected from 10 to 100 %",
    ),
    recipe(
        "KOH where the tub says NaOH",
        'alkali = "NaOH"',
        'alkali = "KOH"',
        "KOH is counted with, which alone makes a soft soap",
        0,
    ),
    recipe(
        "letters of the alkali swapped",
        'alkali = "NaOH"',
        'alkali = "NaHO"',
        "expected one of NaOH, KOH",
    ),
    recipe(
        "a minus before the lye discount",
        _SUPERFAT,
        'lye_discount = "-6 %"',
        'expected a share such as "5 %"',
    ),
    recipe(
        "lye discount 0.6 for 6",
        _SUPERFAT,
        'lye_discount = "0.6 %"',
        "within its uncertainty of an excess of alkali",
        1,
    ),
    recipe(
        "lye discount 60 for 6",
        _SUPERFAT,
        'lye_discount = "60 %"',
        "expected at most 30 %; 5 % is usual",
        2,
    ),
    recipe("no percent sign", _SUPERFAT, "lye_discount = 6", 'expected a per cent sign: "6 %"'),
    recipe(
        "discount given both ways",
        _SUPERFAT,
        f'{_SUPERFAT}\nextra_oil = "6 %"',
        "either lye_discount (less lye) or extra_oil (more oil)",
    ),
    recipe(
        "concentration 62 for 32",
        _WATER,
        'lye_concentration = "62 %"',
        "expected from 10 to 55 %; more does not dissolve",
        2,
    ),
    recipe(
        "concentration 3.2 for 32",
        _WATER,
        'lye_concentration = "3.2 %"',
        "expected from 10 to 55 %",
    ),
    recipe(
        "water 90 g for 901 g",
        _WATER,
        'mass = "90 g"',
        "over 55 % does not dissolve: expected at least 347",
        2,
    ),
    recipe(
        "the lye of a larger batch",
        f'{_LYE} # from the label of the tub\nlot = "NA-5530"\n\n[superfat]\n{_SUPERFAT}',
        'purity = "98.5 %"\nmass = "472 g"',
        "There is more alkali than the oils can take",
        1,
    ),
    recipe(
        "weighed lye, digits swapped: 242",
        f'{_LYE} # from the label of the tub\nlot = "NA-5530"\n\n[superfat]\n{_SUPERFAT}',
        'purity = "98.5 %"\nmass = "242 g"',
        "So little lye leaves",
        0,
    ),
    recipe(
        "purity and solution both",
        _LYE,
        f'{_LYE}\nsolution = "50 %"',
        "a solution's share says it all; leave it out",
    ),
    recipe("the lye's heading lost", "[[lye]]", "[[lie]]", "expected one [[lye]]"),
    # -- masses and values
    recipe(
        "digits swapped in a saponification value",
        "= 189.5",
        "= 198.5",
        "198.5 mg KOH per g, is outside the published range of 184 to 196",
        0,
    ),
    recipe(
        "a saponification value for NaOH",
        "= 189.5",
        "= 0.1353",
        "looks like grams of NaOH for a gram; expected mg KOH per g",
    ),
    recipe("the value of another oil", "= 257", "= 189", "looks like an NaOH value in mg per g", 2),
    recipe(
        "kilograms for grams",
        '"1450 g"',
        '"1450 kg"',
        "oil[1].mass: '1450 kg': expected from 0.001 g to 1000 kg",
        2,
    ),
    recipe("no unit on a mass", '"850 g"', '"850"', 'has no unit; for grams write "850 g"'),
    recipe("millilitres", '"850 g"', '"850 ml"', "unknown unit 'ml'; expected a mass"),
    recipe(
        "a comma that groups or divides",
        '"1450 g"',
        '"1,450 g"',
        "the comma may part thousands or decimals",
    ),
    recipe("a mass without quotes", '"850 g"', "850", '850: has no unit; for grams write "850 g"'),
    recipe(
        "an ounce for a gram",
        _HONEY,
        _HONEY.replace("36 g", "36 oz"),
        "Honey in ounces or pounds, and the oils in grams",
        0,
    ),
    recipe(
        "one oil pasted twice",
        '"shea butter"',
        '"olive oil"',
        "Olive oil stands in 2 blocks [[oil]]",
        code=0,
    ),
    recipe("an oil misspelt", '"olive oil"', '"olive oyl"', "'olive oyl': is not known"),
    recipe("an oil of no such kind", '"castor oil"', '"motor oil"', "'motor oil': is not known"),
    recipe(
        "a fragrance among the oils",
        '"castor oil"',
        '"lavender oil"',
        "is an essential oil; make it a [[scent]]",
    ),
    recipe(
        "a key misspelt",
        "saponification_value = 257",
        "saponifcation_value = 257",
        "did you mean 'saponification_value'?",
    ),
    recipe(
        "a scale of 100 g",
        'scale = "1 g"',
        'scale = "100 g"',
        "within its uncertainty of an excess of alkali",
        code=1,
    ),
    # -- dangers
    recipe(
        "lavender oil as an additive",
        _HONEY,
        f'{_HONEY}\n\n[[additive]]\nmaterial = "lavender oil"\nmass = "60 g"',
        "Lavender oil: no allergen statement given",
        1,
    ),
    recipe(
        "formaldehyde as a material of her own",
        _HONEY,
        'material = "keeper"\nmass = "36 g"\n\n[[material]]\nid = "keeper"\nname = "keeper"\n'
        'kind = "inert"\ninci = "Formaldehyde"',
        "Formaldehyde is forbidden or restricted in cosmetics (Canada, Cosmetic Ingredient Hotlist",
        0,
    ),
    recipe(
        "lye among the additives",
        _HONEY,
        'material = "drain opener"\nmass = "36 g"\n\n[[material]]\nid = "drain-opener"\n'
        'name = "drain opener"\nkind = "inert"\ninci = "Sodium Hydroxide"',
        "Sodium Hydroxide is alkali",
        1,
    ),
    # -- scent
    recipe(
        "ten times the fragrance",
        '"66 g"',
        '"660 g"',
        "over its supplier's limit of 4.1 % for bar soap",
        1,
    ),
    recipe("no limit of the fragrance", 'limit = "4.1 %"', "#", "Hay & honey: no limit given", 0),
    recipe("an allergen misspelt", "Linalool", "Linaool", "did you mean 'Linalool'?"),
    Mistake(
        "the allergens of another fragrance",
        "A statement for lavender oil normally names Linalool",
        0,
        (
            Change("recipe.toml", 'name = "Lavender oil"', 'name = "Hay & honey"'),
            Change("recipe.toml", "Citral =", "Linalool ="),
            DECLARE,
        ),
    ),
    recipe(
        "allergens over the whole",
        '"3.2 %"',
        '"99 %"',
        "the shares together make more than the whole",
    ),
    recipe(
        "an allergen without a percent sign", '"3.2 %"', "3.2", 'expected a per cent sign: "3.2 %"'
    ),
    recipe(
        "no allergens stated", "[scent.allergens]", "[scent.alergens]", "did you mean 'allergens'?"
    ),
    recipe(
        "the scent renamed in the recipe",
        '"Hay & honey"',
        '"Lavender field"',
        "but the recipe's is “Lavender field”",
        0,
        PREFLIGHT,
    ),
    # -- cure
    recipe(
        "poured and cured exchanged",
        'poured = "131 g", cured = "117 g"',
        'poured = "117 g", cured = "131 g"',
        "expected more than 0 g and at most as poured",
    ),
    recipe(
        "a nought too many on a marker bar",
        '"131 g"',
        '"1310 g"',
        "cure.bar[1] (1310 g, then 117 g) lost 91.1 %",
        0,
    ),
    recipe(
        "digits swapped on a marker bar",
        '"133 g"',
        '"313 g"',
        "cure.bar[3] (313 g, then 119 g) lost 62.0 %",
        0,
    ),
    recipe("weeks in words", "weeks = 6", 'weeks = "six"', "expected a whole number from 1 to 520"),
    recipe("two weeks of cure", "weeks = 6", "weeks = 2", "A cure of 2 weeks is short", 0, PLAN),
    recipe(
        "sixty weeks of cure",
        "weeks = 6",
        "weeks = 60",
        "days: order supplies should have been done by Tuesday, March 31, 2026",
        1,
        PLAN,
    ),
)
