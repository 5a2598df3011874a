"""Named dangers among a maker's own materials, and essential oils outside [[scent]].

What the laws forbid is from memory (Canada's Cosmetic Ingredient Hotlist, EU Annex II, 21 CFR 700),
so it warns; that a hydroxide is alkali is chemistry.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from labelkit.formula import declare_ingredients
from labelkit.formula.dangers import load_dangers
from labelkit.formula.materials import load_materials
from labelkit.order.recipe import Recipe
from labelkit.report.speech import Speech
from labelkit.rules.policies import make_policy

CANADA = make_policy(["CA"], dt.date(2027, 6, 19))
BODY = """
[[oil]]
material = "olive oil"
mass = "1000 g"
[[additive]]
material = "mine"
mass = "%s"
[[material]]
id = "mine"
kind = "%s"
inci = "%s"
"""


def told(make: Callable[..., Recipe], body: str) -> list[tuple[str, str]]:
    found = declare_ingredients(make(body), CANADA).doubts
    return [(d.level, d.message) for d in found if d.kind in ("alkali", "limit")]


@pytest.mark.parametrize(
    ("inci", "level", "said"),
    [
        ("Sodium Hydroxide", "fail", "Sodium Hydroxide is alkali"),
        ("Potassium Hydroxide", "fail", "Potassium Hydroxide is alkali"),
        ("Sodium Carbonate", "warn", "Sodium Carbonate is alkali"),
        ("Formaldehyde", "warn", "Formaldehyde is forbidden or restricted"),
        ("Phenyl Mercuric Acetate", "warn", "Phenyl Mercuric Acetate is forbidden or restricted"),
        ("Sodium Borate", "warn", "Sodium Borate is forbidden or restricted"),
        ("Acide borique", "warn", "Acide borique is forbidden or restricted"),
    ],
)
def test_a_named_danger_is_told(
    make: Callable[..., Recipe], inci: str, level: str, said: str
) -> None:
    (found,) = told(make, BODY % ("10 g", "inert", inci))
    assert found[0] == level
    assert found[1].startswith(said)


@pytest.mark.parametrize("inci", ["Aluminum Hydroxide", "Chromium Hydroxide", "Phenoxyethanol"])
def test_names_that_only_look_alike_are_let_pass(make: Callable[..., Recipe], inci: str) -> None:
    assert told(make, BODY % ("10 g", "inert", inci)) == []


def test_nothing_of_the_materials_table_is_a_danger() -> None:
    names = [n for m in load_materials() for n in (m.id, m.inci, *m.names.values(), *m.aliases)]
    assert [n for n in names if any(danger.is_named_by(n) for danger in load_dangers())] == []


def test_every_source_has_french() -> None:
    french = Speech("fr", "fr_CA")
    assert [d.source for d in load_dangers() if d.source and not french.knows(d.source)] == []


def test_alkali_within_a_bought_compound_warns(make: Callable[..., Recipe]) -> None:
    """A soap base lists what it was made from, which may have reacted long ago."""
    part = 'part = [{ inci = "Sodium Stearate", share = "99 %" }, '
    part += '{ inci = "Sodium Hydroxide", share = "1 %" }]\n'
    (found,) = told(make, BODY % ("10 g", "compound", "Soap Base") + part)
    assert found[0] == "warn"


@pytest.mark.parametrize(("mass", "level"), [("20 g", "warn"), ("60 g", "fail")])
def test_an_essential_oil_under_additive_is_told(
    make: Callable[..., Recipe], mass: str, level: str
) -> None:
    """About 1230 g of cured bar: 20 g are under 3 %, the cautious share, and 60 g over it."""
    body = f"""
    oil = [{{ material = "olive oil", mass = "1000 g" }}]
    additive = [{{ material = "lavender-oil", mass = "{mass}" }}]
    """
    (found,) = told(make, body)
    assert found[0] == level
    assert "an essential oil outside [[scent]]" in found[1]


def test_an_essential_oil_described_as_inert_is_told(make: Callable[..., Recipe]) -> None:
    body = BODY % ("60 g", "inert", "Luna Oil") + 'name = { en = "luna essential oil" }\n'
    assert ("fail", "Luna essential oil: an essential oil outside [[scent]]") in [
        (level, text.partition(",")[0]) for level, text in told(make, body)
    ]
