"""Saponification values in a wrong unit, or of another fat."""

from __future__ import annotations

from decimal import Decimal

import molmass
import pytest

from labelkit.errors import InputError
from labelkit.formula import batch_of
from labelkit.formula.materials import materials
from labelkit.formula.plausible import POSSIBLE, slip
from labelkit.spec.recipe import Kind

KOH, NAOH = molmass.Formula("KOH").mass, molmass.Formula("NaOH").mass

# Codex CXS 33 (olive, virgin and refined), from memory, and CXS 210 Table 2 (coconut), second-hand:
# 184 to 196 and 248 to 265 mg KOH per g.
OLIVE, COCONUT = (Decimal(184), Decimal(196)), (Decimal(248), Decimal(265))


def oil(material: str, value: str) -> str:
    return f'oil = [{{ material = "{material}", mass = "1 kg", saponification_value = {value} }}]\n'


@pytest.mark.parametrize(
    ("material", "value", "looks", "meant"),
    [
        # NaOH for a gram of olive oil is quoted as 0.134 g or 134 mg, of coconut oil as 0.183 g:
        # common practice, no source.
        ("olive oil", "134", "an NaOH value in mg per g", 134 * KOH / NAOH),
        ("olive oil", "0.134", "grams of NaOH for a gram", 134 * KOH / NAOH),
        ("olive oil", "13.4", "percent of NaOH", 134 * KOH / NAOH),
        ("olive oil", "0.19", "grams of KOH for a gram", 190),
        ("coconut oil", "183", "an NaOH value in mg per g", 183 * KOH / NAOH),
        ("beeswax", "68", "an NaOH value in mg per g", 68 * KOH / NAOH),
    ],
)
def test_a_value_in_another_unit_is_refused_with_what_it_would_be(  # type: ignore[no-untyped-def]
    make, material: str, value: str, looks: str, meant: float
) -> None:
    """Molar masses from molmass (IUPAC atomic weights) turn NaOH into KOH."""
    with pytest.raises(InputError) as caught:
        batch_of(make(oil(material, value)))
    assert f"oil[1].saponification_value: {value}: looks like {looks}" in str(caught.value)
    assert f"expected mg KOH per g, which would be {meant:.1f}" in str(caught.value)


@pytest.mark.parametrize(("value", "ends"), [("134", OLIVE), ("183", COCONUT), ("126.5", None)])
def test_an_own_material_is_checked_at_its_own_key(make, value: str, ends: object) -> None:  # type: ignore[no-untyped-def]
    """The INCI name tells which published range is meant; without one, any triglyceride's."""
    inci = {OLIVE: "Olea Europaea (Olive) Fruit Oil", COCONUT: "Cocos Nucifera (Coconut) Oil"}
    name = inci.get(ends, "Luna Oil")  # type: ignore[call-overload]
    own = f'id = "mine"\nkind = "triglyceride"\ninci = "{name}"\nsaponification_value = {value}\n'
    body = f'oil = [{{ material = "mine", mass = "1 kg" }}]\n[[material]]\n{own}'
    with pytest.raises(InputError, match=r"material\[1\]\.saponification_value: .* NaOH value"):
        batch_of(make(body))


@pytest.mark.parametrize(
    ("material", "value"),
    [("olive oil", "700"), ("olive oil", "5"), ("olive oil", "0"), ("beeswax", "190")],
)
def test_a_value_nothing_of_its_kind_has_is_refused(make, material: str, value: str) -> None:  # type: ignore[no-untyped-def]
    """Trierucin has 159.7 and tricaprylin 357.6 mg KOH per g (computed below); beeswax about 95."""
    with pytest.raises(InputError, match="has that; expected mg KOH per g"):
        batch_of(make(oil(material, value)))


@pytest.mark.parametrize(
    ("kind", "formula", "alkali"),
    [
        (Kind.TRIGLYCERIDE, "C69H128O6", 3),  # trierucin
        (Kind.TRIGLYCERIDE, "C27H50O6", 3),  # tricaprylin
        (Kind.FREE_ACID, "C24H48O2", 1),  # lignoceric acid
        (Kind.FREE_ACID, "C6H12O2", 1),  # caproic acid
    ],
)
def test_what_is_possible_holds_the_ends_of_nature(kind: Kind, formula: str, alkali: int) -> None:
    """Computed by molmass from IUPAC atomic weights."""
    value = Decimal(alkali * 1000 * KOH / molmass.Formula(formula).mass)
    low, high = POSSIBLE[kind]
    assert low < value < high
    assert slip(value, kind, None) == ""


@pytest.mark.parametrize("material", [m for m in materials() if m.kind in POSSIBLE],
                         ids=lambda m: m.id)  # fmt: skip
def test_every_published_value_is_believed(material) -> None:  # type: ignore[no-untyped-def]
    """The published range of each row, as its source says."""
    low, high = material.published.ends
    for value in (low, high):
        assert slip(value, material.kind, (low, high)) == ""
        assert slip(value, material.kind, None) == ""


@pytest.mark.parametrize("value", ["180", "189.5", "200"])
def test_a_certificate_near_the_published_range_is_believed(make, value: str) -> None:  # type: ignore[no-untyped-def]
    """Lots differ: within the width of Codex's 184 to 196 (from memory) on either side."""
    batch = batch_of(make(oil("olive oil", value)))
    assert batch.full_koh_g == Decimal(value)
