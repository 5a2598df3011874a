"""The materials table is whole, and a recipe's own materials are laid over it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from labelkit.common.errors import InputError
from labelkit.formula.allergens import find_allergen
from labelkit.formula.expand import expand_recipe
from labelkit.formula.materials import load_materials, merge_own_materials
from labelkit.order.recipe import MaterialKind

OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g" }]\n'
TITRATED = (MaterialKind.TRIGLYCERIDE, MaterialKind.FREE_ACID, MaterialKind.WAX)


def test_the_table_has_the_fats_waxes_and_acids() -> None:
    fats = [m for m in load_materials() if m.kind in TITRATED]
    assert len(fats) >= 61


def test_every_row_is_whole() -> None:
    """A row has its names, and what its kind is counted with."""
    for material in load_materials():
        assert material.names["en"], material.id
        assert material.names["fr"], material.id
        assert material.provenance in {"read", "computed", "memory"}, material.id
        assert material.names_provenance in {"read", "memory"}, material.id
        if material.kind is MaterialKind.COMPOUND:
            assert sum(p.share.middle for p in material.parts) == pytest.approx(Decimal(100)), (
                material.id
            )
            assert all(load_materials().find(p.material) for p in material.parts), material.id
        else:
            assert material.inci, material.id
        if material.kind in TITRATED:
            value = material.saponification
            assert 0 < value.low <= value.value <= value.high, material.id
            assert material.source, material.id
        if material.kind is MaterialKind.COLOUR:
            assert material.inci.startswith("CI "), material.id
            assert material.us, material.id
        if material.kind is MaterialKind.ESSENTIAL_OIL and material.allergen:
            assert find_allergen(material.allergen), material.id


def test_no_soap_name_is_made_up() -> None:
    """A name is Sodium or Potassium and something, or absent; acids and oils without a settled
    name have none (apricot, hazelnut, jojoba, rosin ...)."""
    for material in load_materials():
        assert material.sodium.startswith("Sodium ") or not material.sodium
        assert material.potassium.startswith("Potassium ") or not material.potassium
    for name in ("apricot-kernel-oil", "hazelnut-oil", "jojoba-oil", "rosin", "neem-oil"):
        found = load_materials().find(name)
        assert found is not None
        assert found.sodium == ""


@pytest.mark.parametrize(
    "name", ["olive oil", "Olive Oil", "huile d'olive", "huile d’olive", "olive-oil"]
)
def test_materials_are_found_by_any_name(name: str) -> None:
    found = load_materials().find(name)
    assert found is not None
    assert found.id == "olive-oil"


def test_an_override_keeps_the_rest_of_the_row(make) -> None:  # type: ignore[no-untyped-def]
    body = (
        OLIVE
        + """
    [[material]]
    id = "olive-oil"
    saponification_value = 188.2
    saponification_plus_minus = 0.8
    source = "certificate 2027-031"
    """
    )
    found = merge_own_materials(make(body)).find("olive oil")
    assert found is not None
    assert found.sodium == "Sodium Olivate"
    assert found.saponification.low == Decimal("187.4")
    assert found.source == "certificate 2027-031"
    assert found.own


@pytest.mark.parametrize(
    ("material", "message"),
    [
        ('id = "moon oil"', "material[1].kind: missing"),
        ('id = "moon oil"\nkind = "triglyceride"', "material[1].inci: missing"),
        ('id = "moon oil"\nkind = "triglyceride"\ninci = "Luna Oil"',
         "material[1].saponification_value: missing"),
        ('id = "moon mix"\nkind = "compound"', "material[1].part: missing"),
        ('id = "moon acid"\nkind = "hydroxy acid"\ninci = "Luna Acid"', "only citric, lactic"),
        ('id = "olive-oil"\nacid_value = 250', "is above the saponification"),
    ],
)  # fmt: skip
def test_own_materials_need_what_their_kind_needs(make, material: str, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError) as caught:
        merge_own_materials(make(OLIVE + "[[material]]\n" + material))
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("inner", "parts", "message"),
    [("mix", 1, "contains itself"), ("mix b", 60, "has over 100 parts")],
)
def test_compounds_neither_contain_themselves_nor_explode(  # type: ignore[no-untyped-def]
    make, inner: str, parts: int, message: str
) -> None:
    def compound(name: str, part: str) -> str:
        listed = ", ".join([f"{{ {part} }}"] * parts)
        return f'[[material]]\nid = "{name}"\nkind = "compound"\npart = [{listed}]\n'

    body = OLIVE + 'additive = [{ material = "mix", mass = "5 g" }]\n'
    body += compound("mix", f'material = "{inner}"') + compound("mix b", 'inci = "Mica"')
    recipe = make(body)
    with pytest.raises(InputError, match=message):
        expand_recipe(recipe, merge_own_materials(recipe))


@pytest.mark.parametrize(
    ("name", "id"),
    [
        ("olijfolie", "olive-oil"),
        ("Olivenöl", "olive-oil"),
        ("aceite de oliva", "olive-oil"),
        ("olio d’oliva", "olive-oil"),
        ("Kokosöl", "coconut-oil"),
        ("wonderolie", "castor-oil"),
        ("manteca de cerdo", "lard"),
        ("burro di karité", "shea-butter"),
        ("Bienenwachs", "beeswax"),
        ("azeite", "olive-oil"),
        ("óleo de amêndoas doces", "sweet-almond-oil"),
        ("manteiga de karité", "shea-butter"),
        ("banha", "lard"),
        ("cera de abelha", "beeswax"),
        ("argila verde", "illite"),
        ("arcilla blanca", "kaolin"),
        ("aceite esencial de romero", "rosemary-oil"),
        ("óleo essencial de alecrim", "rosemary-oil"),
    ],
)
def test_the_usual_fats_are_known_in_the_makers_language(name: str, id: str) -> None:
    """Names as in the shops of the Netherlands, Germany, Spain, Italy and Portugal, from memory."""
    found = load_materials().find(name)
    assert found is not None
    assert found.id == id


def test_no_two_materials_share_a_name() -> None:
    named: dict[str, set[str]] = {}
    for row in load_materials():
        for name in (*row.names.values(), *row.aliases):
            named.setdefault(name.casefold(), set()).add(row.id)
    assert {name: ids for name, ids in named.items() if len(ids) > 1} == {}


def test_a_slip_in_such_a_name_is_told_with_the_material() -> None:
    assert load_materials().near("olijvolie").startswith("did you mean 'olive-oil'?")
    assert load_materials().near("azeitte").startswith("did you mean 'olive-oil'")


def test_azeite_virgem_is_olive_oil_and_no_other() -> None:
    assert [row.id for row in load_materials().alike("azeite virgem")] == ["olive-oil"]
