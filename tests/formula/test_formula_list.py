"""The list: names, order, compounds, allergens and doubts."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from labelkit.common.errors import InputError
from labelkit.formula import declare_ingredients
from labelkit.formula.declaration import Basis, Declaration, DeclaredLine, Role, Style
from labelkit.formula.declaring import _make_declaration
from labelkit.formula.list_order import order_lines
from labelkit.formula.names import strip_common_name
from labelkit.rules.policies import make_policy

SOLD = dt.date(2027, 6, 19)
CANADA = make_policy(["CA"], SOLD)
EU = make_policy(["EU"], SOLD)
US = make_policy(["US"], SOLD)
OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g" }]\n'
ASSAYED = """
lye = [{ alkali = "NaOH", purity = "98 %", purity_plus_minus = "0 %" }]
superfat = { lye_discount = "5 %" }
water = { lye_concentration = "33 %" }
cure = { loss = "12 %", plus_minus = "1 %" }
"""


def line(made: Declaration, name: str) -> DeclaredLine:
    return next(found for found in made.lines if found.name == name)


def kinds(made: Declaration, kind: str) -> list[tuple[str, str]]:
    return [(d.level, d.message) for d in made.doubts if d.kind == kind]


# -- order -----------------------------------------------------------------------------------------


def placed(*lines: tuple[str, Role, str], policy=CANADA) -> list[str]:  # type: ignore[no-untyped-def]
    made = [
        DeclaredLine(n, n, role, Decimal(p), Decimal(p), Decimal(p), Decimal(p))
        for n, role, p in lines
    ]
    return [found.name for found in order_lines(made, policy)]


def test_colours_follow_and_parfum_ends_the_canadian_list() -> None:
    """Cosmetic Regulations s. 21.4(1)-(3)."""
    lines = (
        ("Parfum", Role.PARFUM, "3"),
        ("Kaolin", Role.INGREDIENT, "0.5"),
        ("CI 77491", Role.COLOUR, "1.5"),
        ("Sodium Olivate", Role.INGREDIENT, "80"),
        ("Linalool", Role.ALLERGEN, "0.6"),
    )
    assert placed(*lines) == ["Sodium Olivate", "Linalool", "Kaolin", "CI 77491", "Parfum"]
    assert placed(*lines, policy=EU) == [
        "Sodium Olivate", "Parfum", "Linalool", "Kaolin", "CI 77491"
    ]  # fmt: skip


def test_reason_at_exactly_one_percent() -> None:
    """Free in Canada (s. 21.4(2): at 1 % or less), still ordered in the EU (less than 1 %)."""
    one = DeclaredLine("Kaolin", "Kaolin", Role.INGREDIENT, Decimal(1), Decimal(1), Decimal(1),
                       Decimal(1))  # fmt: skip
    assert order_lines([one], CANADA)[0].reason == "at most 1 %: any order"
    assert order_lines([one], EU)[0].reason == "by weight"
    more = replace(one, percent=Decimal("1.01"))
    assert order_lines([more], CANADA)[0].reason == "by weight"


# -- names -----------------------------------------------------------------------------------------

BODY = """
oil = [{ material = "olive oil", mass = "1000 g" }]
additive = [{ material = "honey", mass = "40 g" }, { material = "oat flour", mass = "60 g" }]
colour = [{ material = "iron-oxide-red", mass = "2 g" }, { material = "CI 77499", mass = "1 g" }]
scent = [{ name = "Invented", mass = "25 g", allergens = {} }]
"""


@pytest.mark.parametrize(
    ("regions", "present"),
    [
        # Cosmetic Regulations s. 21.2(4): AQUA, MEL; CI numbers; s. 21.4(3): parfum.
        ("CA", {"Aqua", "Mel", "CI 77491", "CI 77499", "Parfum", "Avena Sativa Kernel Flour"}),
        # 21 CFR 701.3, FDA on names: Water, Fragrance, colours by their listed names.
        ("US", {"Water", "Honey", "Iron Oxides", "Fragrance", "Avena Sativa (Oat) Kernel Flour"}),
        ("CA US", {"Water/Eau", "Honey/Miel", "Iron Oxides (CI 77491)", "Iron Oxides (CI 77499)",
                   "Fragrance (Parfum)", "Avena Sativa (Oat) Kernel Flour"}),
        ("US FR", {"Water (Aqua)", "Honey (Mel)", "Iron Oxides (CI 77491)", "Fragrance (Parfum)"}),
        ("CA US FR", {"Aqua/Water/Eau", "Mel/Honey/Miel"}),
    ],
)  # fmt: skip
def test_names_by_region(make, regions: str, present: set[str]) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(BODY), make_policy(regions.split(), SOLD))
    assert present <= set(made.names)


def test_us_colours_of_one_name_are_one_line(make) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(BODY), US)
    assert made.names.count("Iron Oxides") == 1
    assert line(made, "Iron Oxides").mass_g == 3
    assert made.names[-1] == "Iron Oxides"


def test_no_list_holds_both_styles(make) -> None:  # type: ignore[no-untyped-def]
    read = make(BODY)
    formed = declare_ingredients(read, EU.made(style=Style.FORMED))
    assert "Sodium Hydroxide" not in formed.names
    assert {"Sodium Olivate", "Glycerin"} <= set(formed.names)
    added = declare_ingredients(read, EU)
    assert "Sodium Hydroxide" in added.names
    assert not {"Sodium Olivate", "Glycerin"} & set(added.names)
    assert not any("aponified" in name for name in (*formed.names, *added.names))


@pytest.mark.parametrize(
    ("inci", "latin"),
    [
        # Glossary of the EU: no common name in brackets.
        ("Olea Europaea (Olive) Fruit Oil", "Olea Europaea Fruit Oil"),
        ("Prunus Amygdalus Dulcis (Sweet Almond) Oil", "Prunus Amygdalus Dulcis Oil"),
        ("Caprylic/Capric Triglyceride", "Caprylic/Capric Triglyceride"),
        ("Tetrasodium EDTA", "Tetrasodium EDTA"),
    ],
)
def test_botanical_names_without_the_common_name(inci: str, latin: str) -> None:
    assert strip_common_name(inci) == latin


def test_roles(make) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(BODY), CANADA)
    roles = {found.name: found.role for found in made.lines}
    assert roles["Olea Europaea Fruit Oil"] is Role.BOTANICAL
    assert roles["CI 77491"] is Role.COLOUR
    assert roles["Parfum"] is Role.PARFUM
    assert roles["Sodium Olivate"] is Role.INGREDIENT


def test_an_oil_without_a_settled_soap_name_is_declared_as_added(make) -> None:  # type: ignore[no-untyped-def]
    body = """
    oil = [
      { material = "olive oil", mass = "900 g" },
      { material = "apricot kernel oil", mass = "100 g" },
    ]
    """
    made = declare_ingredients(make(body), CANADA)
    assert "Prunus Armeniaca Kernel Oil" in made.names
    assert not any("Apricot" in name for name in made.names)
    assert any("apricot kernel oil becomes with NaOH" in text for _, text in kinds(made, "name"))
    named = body + 'material = [{ id = "apricot-kernel-oil", sodium = "Sodium Apricot Kernelate" }]'
    settled = declare_ingredients(make(named), CANADA)
    assert "Sodium Apricot Kernelate" in settled.names
    assert not kinds(settled, "name")


# -- compounds -------------------------------------------------------------------------------------


def test_solutions_are_split_into_substance_and_water(make) -> None:  # type: ignore[no-untyped-def]
    """20 g of a 60 % solution are 12 g and 8 g of water."""
    body = OLIVE + 'additive = [{ material = "sodium-lactate-60", mass = "20 g" }]'
    made = declare_ingredients(make(body), EU)
    assert line(made, "Sodium Lactate").mass_g == pytest.approx(Decimal(12))
    assert "sodium lactate, 60 % solution" in line(made, "Aqua").sources


def test_citric_acid_becomes_citrate(make) -> None:  # type: ignore[no-untyped-def]
    """10 g give 13.432 g of sodium citrate, by molar masses (258.069 of 192.124)."""
    body = OLIVE + 'additive = [{ material = "citric acid", mass = "10 g" }]'
    made = declare_ingredients(make(body), CANADA)
    assert float(line(made, "Sodium Citrate").mass_g) == pytest.approx(13.432, abs=0.001)
    assert "Citric Acid" not in made.names
    assert "Citric Acid" in declare_ingredients(make(body), EU).names


def test_vinegar_has_one_name_as_added(make) -> None:  # type: ignore[no-untyped-def]
    body = OLIVE + 'additive = [{ material = "vinegar", mass = "100 g" }]'
    added = declare_ingredients(make(body), EU)
    assert line(added, "Acetum").mass_g == 100
    formed = declare_ingredients(make(body), CANADA)
    assert "Acetum" not in formed.names
    # 5 g of acetic acid: 5 x 82.034/60.052 (from molar masses).
    assert float(line(formed, "Sodium Acetate").mass_g) == pytest.approx(6.830, abs=0.001)


def test_milk_is_one_ingredient_and_dries(make) -> None:  # type: ignore[no-untyped-def]
    body = OLIVE + 'additive = [{ material = "milk", mass = "100 g" }]'
    poured = declare_ingredients(make(body), EU)
    assert line(poured, "Lac").mass_g == 100
    cured = declare_ingredients(make(body), CANADA)
    # 12.5 g of solids, and the soap that its 3.5 g of fat becomes.
    assert 12 < line(cured, "Lac").mass_g < 13.5
    assert not kinds(cured, "name")


def test_coloured_mica_is_expanded_by_the_suppliers_sheet(make) -> None:  # type: ignore[no-untyped-def]
    body = (
        OLIVE
        + """
    colour = [{ material = "bronze mica", mass = "10 g" }]
    [[material]]
    id = "bronze mica"
    kind = "compound"
    part = [
      { inci = "CI 77019", share = "50-70 %" },
      { inci = "CI 77491", share = "30-50 %" },
    ]
    """
    )
    made = declare_ingredients(make(body), CANADA)
    assert made.names[-2:] == ("CI 77019", "CI 77491")
    assert float(line(made, "CI 77019").mass_g) == pytest.approx(6)
    assert {line(made, n).role for n in made.names[-2:]} == {Role.COLOUR}


def test_a_silent_supplier_leaves_the_order_undetermined(make) -> None:  # type: ignore[no-untyped-def]
    body = (
        OLIVE
        + """
    additive = [{ material = "blend", mass = "%s g" }]
    [[material]]
    id = "blend"
    kind = "compound"
    part = [{ inci = "Kaolin" }, { inci = "Silica" }]
    """
    )
    assert [
        level for level, _ in kinds(declare_ingredients(make(body % 5), CANADA), "unknown-share")
    ] == ["note"]
    assert [
        level for level, _ in kinds(declare_ingredients(make(body % 50), CANADA), "unknown-share")
    ] == ["fail"]


def test_an_infusion_names_the_extract_last(make) -> None:  # type: ignore[no-untyped-def]
    body = """
    [[oil]]
    material = "olive oil"
    mass = "1000 g"
    infused_with = "Calendula Officinalis Flower Extract"
    """
    made = declare_ingredients(make(body), CANADA)
    assert made.names[-1] == "Calendula Officinalis Flower Extract"
    assert kinds(made, "unknown-share")[0][0] == "note"


def test_medium_chain_triglycerides_make_two_soaps(make) -> None:  # type: ignore[no-untyped-def]
    body = """
    oil = [
      { material = "olive oil", mass = "500 g" },
      { material = "fractionated coconut oil", mass = "200 g" },
    ]
    """
    made = declare_ingredients(make(body), CANADA)
    assert {"Sodium Caprylate", "Sodium Caprate", "Caprylic/Capric Triglyceride"} <= set(made.names)
    assert "Caprylic/Capric Triglyceride" in declare_ingredients(make(body), EU).names
    assert line(declare_ingredients(make(body), EU), "Caprylic/Capric Triglyceride").mass_g == 200


def test_potassium_and_sodium_soaps_are_both_named(make) -> None:  # type: ignore[no-untyped-def]
    lye = """
    lye = [
      { alkali = "NaOH", purity = "98 %", share = "80 %" },
      { alkali = "KOH", purity = "90 %", share = "20 %" },
    ]
    superfat = { lye_discount = "5 %" }
    water = { water_to_lye = 2 }
    cure = { loss = "10 %" }
    """
    made = declare_ingredients(make(OLIVE, lye), CANADA)
    assert made.names[0] == "Sodium Olivate"
    assert "Potassium Olivate" in made.names


# -- allergens -------------------------------------------------------------------------------------


def scented(grams: str, **allergens: str) -> str:
    shares = ", ".join(f'"{name}" = "{share} %"' for name, share in allergens.items())
    return f'scent = [{{ name = "Invented", mass = "{grams} g", allergens = {{ {shares} }} }}]\n'


EXACT = """
lye = [{ alkali = "NaOH", purity = "100 %", mass = "120 g" }]
water = { mass = "350 g" }
cure = { loss = "0 %", plus_minus = "0 %" }
"""


@pytest.mark.parametrize(("percent", "named"), [("0.5", False), ("0.5001", True)])
def test_threshold_is_strictly_greater(make, percent: str, named: bool) -> None:  # type: ignore[no-untyped-def]
    """30 g of fragrance in 1500 g: 0.5 % of it is exactly 0.01 % of the bar (Canada, s. 21.4(4)(a);
    EU Annex III: exceeds 0.01 %)."""
    made = declare_ingredients(make(OLIVE + scented("30", Linalool=percent), EXACT), CANADA)
    assert made.total_g == 1500
    assert made.allergens[0].percent == Decimal(percent) / 50
    assert ("Linalool" in made.names) is named


def test_sums_over_fragrances_and_essential_oils(make) -> None:  # type: ignore[no-untyped-def]
    """0.006 % from one oil and 0.005 % from another make 0.011 %, and are named."""
    body = (
        OLIVE
        + """
    scent = [
      { name = "A", mass = "9 g", allergens = { Linalool = "1 %" } },
      { name = "B", mass = "7.5 g", allergens = { Linalool = "1 %" } },
    ]
    """
    )
    lye = EXACT.replace('"350 g"', '"363.5 g"')
    made = declare_ingredients(make(body, lye), CANADA)
    assert made.total_g == 1500
    assert made.allergens[0].percent == Decimal("0.011")
    assert made.allergens[0].sources == ("A", "B")
    assert "Linalool" in made.names


def test_a_suppliers_range_counts_with_its_upper_end(make) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(OLIVE + scented("30", Eugenol="0.2-0.6"), EXACT), CANADA)
    assert made.allergens[0].percent == Decimal("0.012")
    assert "Eugenol" in made.names


def test_an_essential_oil_is_itself_listed(make) -> None:  # type: ignore[no-untyped-def]
    """Regulation (EU) 2023/1545 lists lavender oil beside its constituents (from memory)."""
    body = (
        OLIVE
        + """
    [[scent]]
    essential_oil = "lavender-oil"
    mass = "20 g"
    allergens = { Linalool = "35 %" }
    """
    )
    made = declare_ingredients(make(body), CANADA)
    assert {"Parfum", "Linalool", "Lavandula Oil/Extract"} <= set(made.names)
    named = declare_ingredients(make(body + 'declare_as = "name"'), CANADA)
    assert "Lavandula Angustifolia Oil" in named.names
    assert "Parfum" not in named.names


def test_allergens_of_more_than_the_whole_are_refused(make) -> None:  # type: ignore[no-untyped-def]
    """Shares by weight of one whole cannot exceed it (arithmetic); a range counts with its lower
    end, since the upper ends of several ranges need not meet."""
    body = OLIVE + scented("30", Limonene="94", Linalool="20")
    with pytest.raises(InputError) as caught:
        declare_ingredients(make(body), CANADA)
    assert "scent[1].allergens: '114 %': the shares together" in str(caught.value)
    assert "expected at most 100 %" in str(caught.value)
    made = declare_ingredients(
        make(OLIVE + scented("30", Limonene="80-95", Linalool="5-20")), CANADA
    )
    assert {"Limonene", "Linalool"} <= set(made.names)


def test_an_oil_in_a_statement_holds_the_substances_beside_it(make) -> None:  # type: ignore[no-untyped-def]
    """Annex III to Regulation (EC) No 1223/2009, as amended by (EU) 2023/1545, lists lavender oil
    beside the linalool in it (from memory): a statement may say 100 % and 35 %."""
    body = OLIVE + scented("30", **{"Lavandula Oil/Extract": "100", "Linalool": "35"})
    made = declare_ingredients(make(body), CANADA)
    assert {"Lavandula Oil/Extract", "Linalool"} <= set(made.names)
    both = {"Lavandula Oil/Extract": "70", "Citrus Limon Peel Oil": "40"}
    with pytest.raises(InputError, match="'110 %'"):
        declare_ingredients(make(OLIVE + scented("30", **both)), CANADA)


def test_misspelt_allergen_is_caught(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="did you mean 'Linalool'"):
        declare_ingredients(make(OLIVE + scented("30", Linalol="1")), CANADA)


def test_missing_statement_and_limit_are_said(make) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(OLIVE + 'scent = [{ name = "X", mass = "20 g" }]'), CANADA)
    assert kinds(made, "unknown-share")[0][0] == "fail"
    assert kinds(made, "limit")[0][0] == "warn"


def test_prohibited_fragrance_material_fails_in_the_eu(make) -> None:  # type: ignore[no-untyped-def]
    """Regulation (EU) 2021/1902: butylphenyl methylpropional since 2022-03-01 (second-hand)."""
    body = OLIVE + scented("20", **{"Butylphenyl Methylpropional": "1"})
    assert kinds(declare_ingredients(make(body), EU), "limit")[0][0] == "fail"
    assert "fail" not in {
        level for level, _ in kinds(declare_ingredients(make(body), CANADA), "limit")
    }


def test_existing_product_is_told_what_comes(make) -> None:  # type: ignore[no-untyped-def]
    policy = make_policy(["CA"], dt.date(2026, 11, 25), dt.date(2026, 6, 1))
    made = declare_ingredients(make(OLIVE + scented("20", Vanillin="5")), policy)
    assert "Vanillin" not in made.names
    assert any("2028-08-01" in text for _, text in kinds(made, "threshold"))


def test_united_states_and_australia_name_no_allergen(make) -> None:  # type: ignore[no-untyped-def]
    read = make(OLIVE + scented("20", Linalool="5"))
    for region in ("US", "AU"):
        assert "Linalool" not in declare_ingredients(read, make_policy([region], SOLD)).names


# -- safety and defaults ---------------------------------------------------------------------------


def test_excess_of_alkali_fails_and_is_in_the_list(make) -> None:  # type: ignore[no-untyped-def]
    """1000 g of olive oil take 135.448 g of NaOH at 190 mg KOH/g."""
    lye = EXACT.replace('"120 g"', '"140 g"')
    made = declare_ingredients(make(OLIVE, lye), CANADA)
    level, text = kinds(made, "alkali")[0]
    assert level == "fail"
    assert "superfat -3.36 %" in text
    assert float(line(made, "Sodium Hydroxide").mass_g) == pytest.approx(4.552, abs=0.001)


def test_superfat_within_its_uncertainty_fails(make) -> None:  # type: ignore[no-untyped-def]
    """Shea at 177.5 of 160 to 195 mg KOH/g: a 5 % discount may be an excess (to -5.4 %)."""
    body = 'oil = [{ material = "shea butter", mass = "1000 g" }]'
    assert kinds(declare_ingredients(make(body), CANADA), "alkali")[0][0] == "fail"
    known = body.replace(" }]", ", saponification_value = 180 }]")
    assert not kinds(declare_ingredients(make(known), CANADA), "alkali")


def test_olive_oil_at_five_percent_is_safe(make) -> None:  # type: ignore[no-untyped-def]
    """A lot at 184 and lye of 99.5 % for 98 % leave 1 - 180.5/184 x 99.5/98 = 0.4 %: never an
    excess."""
    assert not kinds(declare_ingredients(make(OLIVE), CANADA), "alkali")


def test_default_cure_loss_is_flagged(make) -> None:  # type: ignore[no-untyped-def]
    lye = """
    lye = [{ alkali = "NaOH" }]
    superfat = { lye_discount = "5 %" }
    water = { water_to_lye = 2 }
    """
    made = declare_ingredients(make(OLIVE, lye), CANADA)
    levels = [level for level, _ in kinds(made, "default")]
    assert levels == ["warn", "note", "note"]


def test_loss_beyond_all_water_is_refused(make) -> None:  # type: ignore[no-untyped-def]
    lye = EXACT.replace('loss = "0 %", plus_minus = "0 %"', 'loss = "30 %"')
    with pytest.raises(InputError, match="more than all the water"):
        declare_ingredients(make(OLIVE, lye), CANADA)


def test_the_same_recipe_gives_the_same_ranges(make) -> None:  # type: ignore[no-untyped-def]
    read = make(OLIVE + 'additive = [{ material = "honey", mass = "20 g" }]')
    assert declare_ingredients(read, CANADA) == declare_ingredients(read, CANADA)


def test_what_was_declared_before_is_told_of_no_other_recipe(make) -> None:  # type: ignore[no-untyped-def]
    """Equal masses may be printed otherwise, and a recipe may lie in memory where another did."""
    usual = make(OLIVE)
    for mass in ("500", "500.0", "500", *map(str, range(400, 440)), "500.0"):
        read = replace(usual, oils=(replace(usual.oils[0], mass_g=Decimal(mass)),))
        never_seen = repr(_make_declaration(read, CANADA))
        assert repr(declare_ingredients(read, CANADA)) == never_seen
        del read


def test_saponification_range_carries_through(make) -> None:  # type: ignore[no-untyped-def]
    """Olive oil at 184 to 196: the free oil is 1.9 to 7.9 % of the oil where 5 % is declared and
    the lye is as pure as it says; the 95 % range lies inside that, and spans most of it."""
    made = declare_ingredients(make(OLIVE, ASSAYED), CANADA)
    free = line(made, "Olea Europaea Fruit Oil")
    in_oil = [float(p * made.total_g) / 100 / 1000 for p in (free.low_percent, free.high_percent)]
    assert 0.0185 < in_oil[0] < 0.025
    assert 0.073 < in_oil[1] < 0.0795


def test_poured_and_cured_bases_have_their_own_total(make) -> None:  # type: ignore[no-untyped-def]
    read = make(OLIVE)
    cured, poured = (
        declare_ingredients(read, CANADA),
        declare_ingredients(read, CANADA.made(basis=Basis.POURED)),
    )
    assert cured.total_g == poured.total_g * Decimal("0.88")


@pytest.mark.parametrize("region", ["NZ", "CA", "EU", "US"])
def test_a_clay_stands_where_any_clay_stands(make, region: str) -> None:  # type: ignore[no-untyped-def]
    """Colours may follow the rest (NZ: Cosmetic Products Group Standard 2020, Schedule 1; Canada:
    s. 21.4(2); EU: Art. 19(1)(g)), and bear a CI number where they have one. A clay has none: by
    its INCI name it is an ingredient like any other, whatever the maker calls it."""
    policy = make_policy([region], dt.date(2026, 11, 25))
    oil_and_salt = OLIVE + 'additive = [{ material = "salt", mass = "20 g" }]\n'
    built_in = oil_and_salt + 'colour = [{ material = "illite", mass = "40 g" }]\n'
    own = (
        oil_and_salt
        + 'colour = [{ material = "yellow clay", mass = "40 g" }]\n'
        + '[[material]]\nid = "yellow clay"\nkind = "colour"\ninci = "Illite"\n'
    )
    names = declare_ingredients(make(built_in), policy).names
    assert declare_ingredients(make(own), policy).names == names
    assert names.index("Illite") < names.index("Sodium Chloride")


def test_an_own_colour_with_a_number_or_an_english_name_stands_last(make) -> None:  # type: ignore[no-untyped-def]
    """CI 77492 and the names of 21 CFR 73 and 74 are those of colours, whatever their weight."""
    for name in ('inci = "CI 77492"', 'inci = "Annatto"\nus = "Annatto"'):
        body = OLIVE + 'colour = [{ material = "my yellow", mass = "40 g" }]\n'
        own = f'[[material]]\nid = "my yellow"\nkind = "colour"\n{name}\n'
        made = declare_ingredients(make(body + own), make_policy(["NZ"], dt.date(2026, 11, 25)))
        assert made.lines[-1].role is Role.COLOUR


def test_superfat_has_its_range(make) -> None:  # type: ignore[no-untyped-def]
    """A 5 % discount on olive oil at 184 to 196 mg KOH/g: 1.9 to 7.9 % (1 - 180.5/184, /196)."""
    superfat = declare_ingredients(make(OLIVE, ASSAYED), CANADA).superfat
    assert superfat is not None
    assert superfat.percent == pytest.approx(Decimal(5))
    assert float(superfat.low_percent) == pytest.approx(1.9, abs=0.15)
    assert float(superfat.high_percent) == pytest.approx(7.9, abs=0.15)


def test_conflicting_regions_are_said(make) -> None:  # type: ignore[no-untyped-def]
    made = declare_ingredients(make(OLIVE), make_policy(["CA", "EU"], SOLD))
    assert any("cured mass" in text for _, text in kinds(made, "order"))


def test_swaps_are_looked_for_above_one_percent_only(make) -> None:  # type: ignore[no-untyped-def]
    """2 g of salt and 1.96 g of sugar on a 0.1 g scale: nobody orders them (s. 21.4(2))."""
    small = (
        'additive = [{ material = "salt", mass = "%s g" }, { material = "sugar", mass = "%s g" }]'
    )
    made = declare_ingredients(make(OLIVE + small % ("2", "1.96")), CANADA)
    assert not [text for _, text in kinds(made, "order") if "Sucrose" in text]
    more = declare_ingredients(make(OLIVE + small % ("40", "39.96")), CANADA)
    assert [text for _, text in kinds(more, "order") if "Sucrose" in text]
