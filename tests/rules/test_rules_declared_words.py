"""Words that were declared, held against the same words as a compositor prints them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from rule_labels import Draft, american, antipodean, british, canadian, european
from sheet_events import SAMPLE

from labelkit import formula
from labelkit.compose.element_words import make_panel_wordings
from labelkit.formula.declaration import Declaration
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe
from labelkit.rules import Rule, list_region_titles, load_rules
from labelkit.rules.kinds import PresentElement
from labelkit.rules.policies import make_policy
from labelkit.rules.tables import load_region_rules

Event = Callable[..., Path]
NAME = "Savonnerie L'Anse & Fils"


def names_dealer(rule: Rule) -> bool:
    return isinstance(rule.check, PresentElement) and rule.check.fact == "dealer_name"


ASKED = [code for code in list_region_titles() if any(map(names_dealer, load_region_rules(code)))]


def label_for(region: str) -> Draft:
    """A label that passes where the region is."""
    own = {"US": american, "GB": british, "AU": antipodean, "NZ": antipodean}
    return own.get(region, canadian if region.startswith("CA") else european)()


def of_dealer(draft: Draft, region: str) -> list[str]:
    wanted = {rule.id for rule in load_region_rules(region) if names_dealer(rule)}
    found = draft.judged(region, strict=True).findings
    return [f.message for f in found if f.rule in wanted and not f.message.startswith("Passes")]


def test_the_firm_is_asked_for_in_every_region() -> None:
    assert set(ASKED) == set(list_region_titles())


@pytest.fixture(scope="module")
def declaration() -> Declaration:
    """The sample's."""
    spec = read_label(SAMPLE / "label.toml")
    return formula.declare_ingredients(
        read_recipe(spec.product.recipe), make_policy(["CA"], spec.event.date)
    )


@pytest.mark.parametrize("region", ASKED)
@pytest.mark.parametrize("typed", [NAME, "Savonnerie L’Anse & Fils", 'Ella "Bo" & Fils'])
@pytest.mark.quick(36)
def test_a_name_is_found_as_the_compositor_sets_it(
    event: Event, declaration: Declaration, region: str, typed: str
) -> None:
    spec = read_label(event(("Savonnerie Estran", typed.replace('"', r"\"")), file="maker.toml"))
    assert spec.maker.name == typed
    (printed,) = make_panel_wordings(spec, declaration, "back")["dealer"]
    draft = label_for(region).know(dealer_name=typed).instead("dealer", printed.text)
    assert of_dealer(draft, region) == []
    curled = printed.text.replace('"Bo"', "“Bo”").upper()
    assert of_dealer(draft.instead("dealer", curled), region) == []


@pytest.mark.parametrize("region", ASKED)
def test_another_name_is_not_found(region: str) -> None:
    draft = label_for(region).know(dealer_name=NAME)
    assert of_dealer(draft.instead("dealer", "Savonnerie Anse & Fils, Elmvale"), region)


def test_a_website_is_found_whatever_its_hyphens() -> None:
    rows = {rule.id for rule in load_rules(["CA"]) if rule.element == "list-elsewhere"}
    assert "CA-LIST-WEBSITE" in rows
    draft = canadian().without("ingredients")
    draft = draft.know(
        ingredients_on="website", ingredients_url="https://fern-hollow.example/l'oat"
    )
    printed = draft.put(
        "back", "list-elsewhere", "Ingredients: fern\u2011hollow.example/l’oat", "zxx"
    )
    assert printed.found("CA-LIST-WEBSITE", "CA") == []


def test_an_ingredient_is_found_whatever_its_apostrophe() -> None:
    lines = (("Sodium Olivate", 80), ("Extrait d'Avoine", 20))
    curled = canadian().declare(*lines, printed="Sodium Olivate, Extrait d’Avoine")
    assert curled.found("ALL-LIST-AGREES", "CA") == []
    other = canadian().declare(*lines, printed="Sodium Olivate, Extrait Avoine")
    assert other.found("ALL-LIST-AGREES", "CA") != []
