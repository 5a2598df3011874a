"""What is offered for a name that is not known. Names are those of the trade: common practice, no
source; what a slip of the keys is, is labelkit's own judgement.
"""

from __future__ import annotations

import pytest

from labelkit.common.errors import InputError
from labelkit.formula import compute_batch
from labelkit.formula.materials import load_materials
from labelkit.order.recipe import MaterialKind

CLAYS = ["kaolin", "bentonite", "illite", "montmorillonite", "fullers-earth",
         "rhassoul-clay"]  # fmt: skip


def offered(name: str, kind: MaterialKind | None = None) -> list[str]:
    return [row.id for row in load_materials().alike(name, kind)]


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("almond oil", "sweet-almond-oil"),
        ("huile d'amande", "sweet-almond-oil"),
        ("organic virgin coconut oil", "coconut-oil"),
        ("mango seed butter", "mango-butter"),
        ("beurre de karite brut", "shea-butter"),
        ("activated charcoal", "charcoal"),
        ("orange essential oil", "sweet-orange-oil"),
        ("soya", "soybean-oil"),
    ],
)
def test_a_name_that_holds_the_same_words_is_offered(name: str, found: str) -> None:
    assert offered(name)[0] == found


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("cocunut oil", "coconut-oil"),
        ("olive oill", "olive-oil"),
        ("shae butter", "shea-butter"),
        ("coca butter", "cocoa-butter"),
        ("goats milk", "goat-milk"),
        ("sheabutter", "shea-butter"),
    ],
)
def test_a_slip_of_the_keys_is_seen_through(name: str, found: str) -> None:
    assert offered(name)[0] == found


@pytest.mark.parametrize("name", ["yellow clay", "pink clay", "argile jaune", "blue clay"])
def test_a_clay_may_be_any_of_the_clays(name: str) -> None:
    """Clays are sold by colour; the mineral stands on the supplier's sheet."""
    assert offered(name) == CLAYS


@pytest.mark.parametrize(
    "name", ["ochre", "turmeric", "coconut sugar", "cider", "iris oil", "oil", "paprika"]
)
def test_what_only_looks_alike_is_not_offered(name: str) -> None:
    """Not sugar for ochre, ultramarine for turmeric, nor borage oil for orange oil."""
    assert offered(name) == []


def test_an_essential_oil_is_offered_as_a_scent(make) -> None:  # type: ignore[no-untyped-def]
    assert offered("orange oil") == ["sweet-orange-oil"]
    assert offered("olive", MaterialKind.ESSENTIAL_OIL) == []
    with pytest.raises(InputError, match=r"did you mean 'sweet-orange-oil' \(\[\[scent\]\]\)\?"):
        compute_batch(make('oil = [{ material = "orange oil", mass = "1 kg" }]\n'))
    with pytest.raises(InputError, match=r'is an essential oil; make it a .*"lavender-oil"'):
        compute_batch(make('oil = [{ material = "lavender oil", mass = "1 kg" }]\n'))


@pytest.mark.parametrize(
    ("name", "hint"),
    [("olive oill", "did you mean 'olive-oil'"), ("moon oil", "is not known; labelkit materials")],
)
def test_the_complaint_says_what_to_do(make, name: str, hint: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError) as caught:
        compute_batch(make(f'oil = [{{ material = "{name}", mass = "1 kg" }}]\n'))
    assert f"oil[1].material: '{name}': {hint}" in str(caught.value)
    assert "[[material]] with id, kind and inci" in str(caught.value)
