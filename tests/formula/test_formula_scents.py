"""Scents that sound like essential oils. That lavender oil and the peel oil of sweet orange are
allergens by name: Regulation (EU) 2023/1545, amending Annex III to Regulation (EC) No 1223/2009,
from memory. That oils are so named by their sellers: common practice, no source. What each oil is
mostly made of: from memory.
"""

from __future__ import annotations

import datetime as dt

import pytest

from labelkit.formula import declare_ingredients
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.scents import find_likely_oils
from labelkit.order.recipe import Recipe
from labelkit.rules.policies import make_policy

OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g" }]\n'
TODAY = dt.date(2026, 11, 25)


def scent(name: str, more: str = "") -> str:
    stated = 'allergens = { Linalool = "30 %" }'
    return f'{OLIVE}scent = [{{ name = "{name}", mass = "20 g", {stated}{more} }}]\n'


def asked(recipe: Recipe, region: str = "EU", on: dt.date = TODAY) -> list[Uncertainty]:
    made = declare_ingredients(recipe, make_policy([region], on))
    return [d for d in made.doubts if "sounds like an essential oil" in d.message]


@pytest.mark.parametrize(
    ("name", "key", "allergen"),
    [
        ("Lavender essential oil", 'essential_oil = "lavender-oil"', "Lavandula Oil/Extract"),
        ("orange oil", 'essential_oil = "sweet-orange-oil"', "Citrus Aurantium Peel Oil"),
        ("Huile essentielle d'orange", "sweet-orange-oil", "Citrus Aurantium Peel Oil"),
        ("Huile essentielle de lavande vraie", "lavender-oil", "Lavandula Oil/Extract"),
        ("HE de citron", "lemon-oil", "Citrus Limon Peel Oil"),
    ],
)
def test_the_question_names_key_and_likely_value(make, name: str, key: str, allergen: str) -> None:  # type: ignore[no-untyped-def]
    (doubt,) = asked(make(scent(name)))
    assert doubt.level == "warn"
    assert key in doubt.remedy
    assert allergen in doubt.remedy


def test_an_oil_that_is_not_known_is_asked_about_all_the_same(make) -> None:  # type: ignore[no-untyped-def]
    (doubt,) = asked(make(scent("Helichrysum EO")))
    assert "ask the supplier" in doubt.remedy


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("Lavender", ""),
        ("Lavender fragrance oil", ""),
        ("Orange blossom", ""),
        ("Lavender oil", ', essential_oil = "lavender-oil"'),
        ("tea tree oil", ""),  # no allergen by its own name
    ],
)
def test_nothing_is_asked_of_a_fragrance_or_of_what_is_said(make, name: str, more: str) -> None:  # type: ignore[no-untyped-def]
    assert asked(make(scent(name, more))) == []


def test_a_statement_that_lists_the_oil_settles_it(make) -> None:  # type: ignore[no-untyped-def]
    body = (
        OLIVE
        + 'scent = [{ name = "lavender oil", mass = "20 g", allergens = { '
        + ('"Lavandula Oil/Extract" = "100 %", Linalool = "30 %" } }]\n')
    )
    assert asked(make(body)) == []


def test_only_regions_that_list_oils_ask(make) -> None:  # type: ignore[no-untyped-def]
    """Canada lists them for new cosmetics from 2026-08-01 (Cosmetic Regulations, s. 21.4; the date
    second-hand); the United States have no list in force."""
    recipe = make(scent("lavender oil"))
    assert asked(recipe, "CA")
    assert asked(recipe, "US") == []
    assert asked(make(scent("Helichrysum EO")), "GB") == []  # the original 24 name no such oil


@pytest.mark.parametrize(
    ("name", "ids"),
    [
        ("mint oil", ["peppermint-oil", "spearmint-oil"]),
        ("huile essentielle de menthe poivrée", ["peppermint-oil"]),
        ("Lavender & sweet orange essential oils", ["lavender-oil", "sweet-orange-oil"]),
    ],
)
def test_blends_and_vague_names_offer_several(name: str, ids: list[str]) -> None:
    assert [oil.id for oil in find_likely_oils(name) or ()] == ids


def doubts(recipe: Recipe, part: str, region: str = "EU") -> list[Uncertainty]:
    return [
        d
        for d in declare_ingredients(recipe, make_policy([region], TODAY)).doubts
        if part in d.message
    ]


def stated(name: str, allergens: str, more: str = "") -> str:
    told = f'name = "{name}", mass = "20 g", allergens = {{ {allergens} }}{more}'
    return f"{OLIVE}scent = [{{ {told} }}]\n"


@pytest.mark.parametrize(
    ("name", "allergens", "more", "missing"),
    [
        ("sweet orange oil", 'Linalool = "1 %"', "", "sweet orange oil normally names Limonene"),
        ("lemon oil", 'Limonene = "60 %"', "", "normally names Citral"),
        ("grapefruit oil", 'Citral = "1 %"', "", "normally names Limonene"),
        ("bergamot oil", 'Citral = "1 %"', "", "normally names Limonene and Linalool"),
        ("No. 4", 'Limonene = "1 %"', ', essential_oil = "lavender-oil"', "names Linalool"),
    ],
)
def test_a_statement_without_what_the_oil_is_made_of_is_asked_about(
    make,  # type: ignore[no-untyped-def]
    name: str,
    allergens: str,
    more: str,
    missing: str,
) -> None:
    (doubt,) = doubts(make(stated(name, allergens, more)), "statement for")
    assert doubt.level == "warn"
    assert missing in doubt.message
    assert f"“{name}” does not" in doubt.message


@pytest.mark.parametrize(
    ("name", "allergens"),
    [
        ("sweet orange oil", 'd-Limonene = "95 %"'),
        ("sweet orange oil", 'Limonene = "0 %"'),  # said to be without
        ("Orange blossom", 'Linalool = "1 %"'),  # no oil, by its name
        ("mint oil", 'Linalool = "1 %"'),  # which mint is not said
        ("rosemary oil", 'Linalool = "1 %"'),
    ],
)
def test_a_statement_that_may_be_whole_is_not_asked_about(make, name: str, allergens: str) -> None:  # type: ignore[no-untyped-def]
    assert doubts(make(stated(name, allergens)), "statement for") == []


def test_where_no_allergen_is_listed_no_statement_is_asked_about(make) -> None:  # type: ignore[no-untyped-def]
    """The United States have no list in force."""
    read = make(stated("sweet orange oil", 'Linalool = "1 %"'))
    assert doubts(read, "statement for", "US") == []


def test_an_empty_statement_is_none(make) -> None:  # type: ignore[no-untyped-def]
    (doubt,) = doubts(make(stated("Invented", "")), "no allergen statement given")
    assert doubt.level == "fail"
    assert 'Limonene = "0 %"' in doubt.remedy
    assert doubts(make(stated("Invented", 'Limonene = "0 %"')), "no allergen statement") == []


SCENTED = {
    "[scent.allergens]": 'scent = [{ name = "Invented", mass = "20 g" }]\n',
    "[additive.allergens]": 'additive = [{ material = "lavender oil", mass = "20 g" }]\n',
}


@pytest.mark.parametrize("place", SCENTED)
@pytest.mark.parametrize(
    ("regions", "on", "level", "named"),
    [
        # Regulation (EC) No 1223/2009 Annex III, in force in the Union, in Northern Ireland and, as
        # kept, in Great Britain; the day of Directive 2003/15/EC from memory.
        (["EU"], TODAY, "fail", "in EU its"),
        (["IE"], TODAY, "fail", "in IE its"),
        (["GB-NIR"], TODAY, "fail", "in GB-NIR its"),
        (["GB"], TODAY, "fail", "in GB its"),
        # Cosmetic Regulations (Canada), s. 21.4: in force from 2026-04-12.
        (["CA"], dt.date(2026, 4, 12), "fail", "in CA its"),
        (["CA-QC"], dt.date(2026, 4, 12), "fail", "in CA-QC its"),
        (["CA"], dt.date(2026, 4, 11), "warn", ""),
        # 21 USC 364e(b): no list in force; Australia has none; New Zealand's is not established.
        (["US"], TODAY, "warn", ""),
        (["AU"], TODAY, "warn", ""),
        (["NZ"], TODAY, "warn", ""),
        (["US", "CA", "NZ", "BE"], TODAY, "fail", "in CA and BE its"),
    ],
)
def test_a_scent_without_a_statement_fails_where_allergens_have_to_be_named(
    make,  # type: ignore[no-untyped-def]
    place: str,
    regions: list[str],
    on: dt.date,
    level: str,
    named: str,
) -> None:
    made = declare_ingredients(make(OLIVE + SCENTED[place]), make_policy(regions, on))
    (doubt,) = [d for d in made.doubts if "no allergen statement given" in d.message]
    assert doubt.level == level
    assert named in doubt.message
    assert place in doubt.remedy
    assert 'Limonene = "0 %"' in doubt.remedy


@pytest.mark.parametrize("place", SCENTED)
def test_a_statement_settles_it_wherever_the_scent_stands(make, place: str) -> None:  # type: ignore[no-untyped-def]
    stated = SCENTED[place].replace(" }]", ', allergens = { Linalool = "30 %" } }]')
    assert doubts(make(OLIVE + stated), "no allergen statement given") == []


def test_an_additive_that_is_no_essential_oil_needs_no_statement(make) -> None:  # type: ignore[no-untyped-def]
    body = OLIVE + 'additive = [{ material = "oat flour", mass = "20 g" }]\n'
    assert doubts(make(body), "no allergen statement given") == []


@pytest.mark.parametrize(("share", "level"), [("33 %", "warn"), ("1.1 %", "warn"), ("1 %", "note")])
def test_much_of_an_unlisted_name_is_asked_about(make, share: str, level: str) -> None:  # type: ignore[no-untyped-def]
    read = make(stated("Invented", f'"Geranyl propanoate" = "{share}"'))
    (doubt,) = doubts(read, "in none of the allergen lists")
    assert doubt.level == level
    assert ("Geranyl Acetate" in doubt.remedy) is (level == "warn")


@pytest.mark.parametrize("name", ["Acetato de linalilo", "Acétate de linalyle"])
def test_an_allergen_is_known_by_its_everyday_name(make, name: str) -> None:  # type: ignore[no-untyped-def]
    """In Spanish or Portuguese, and in French; from memory."""
    made = declare_ingredients(
        make(stated("Invented", f'"{name}" = "33 %"')), make_policy(["EU"], TODAY)
    )
    assert [share.inci for share in made.allergens] == ["Linalyl Acetate"]
