"""Saponification values in a wrong unit, or of another fat."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import molmass
import pytest

from labelkit.cli import main
from labelkit.common.errors import InputError
from labelkit.formula import compute_batch, declare_ingredients
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.materials import load_materials
from labelkit.formula.plausible import POSSIBLE, explain_implausible_value
from labelkit.order.recipe import MaterialKind, Recipe
from labelkit.rules.policies import make_policy

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
        compute_batch(make(oil(material, value)))
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
        compute_batch(make(body))


@pytest.mark.parametrize(
    ("material", "value"),
    [("olive oil", "700"), ("olive oil", "5"), ("olive oil", "0"), ("beeswax", "190")],
)
def test_a_value_nothing_of_its_kind_has_is_refused(make, material: str, value: str) -> None:  # type: ignore[no-untyped-def]
    """Trierucin has 159.7 and tricaprylin 357.6 mg KOH per g (computed below); beeswax about 95."""
    with pytest.raises(InputError, match="has that; expected mg KOH per g"):
        compute_batch(make(oil(material, value)))


@pytest.mark.parametrize(
    ("kind", "formula", "alkali"),
    [
        (MaterialKind.TRIGLYCERIDE, "C69H128O6", 3),  # trierucin
        (MaterialKind.TRIGLYCERIDE, "C27H50O6", 3),  # tricaprylin
        (MaterialKind.FREE_ACID, "C24H48O2", 1),  # lignoceric acid
        (MaterialKind.FREE_ACID, "C6H12O2", 1),  # caproic acid
    ],
)
def test_what_is_possible_holds_the_ends_of_nature(
    kind: MaterialKind, formula: str, alkali: int
) -> None:
    """Computed by molmass from IUPAC atomic weights."""
    value = Decimal(alkali * 1000 * KOH / molmass.Formula(formula).mass)
    low, high = POSSIBLE[kind]
    assert low < value < high
    assert explain_implausible_value(value, kind, None) == ""


@pytest.mark.parametrize("material", [m for m in load_materials() if m.kind in POSSIBLE],
                         ids=lambda m: m.id)  # fmt: skip
def test_every_published_value_is_believed(material) -> None:  # type: ignore[no-untyped-def]
    """The published range of each row, as its source says."""
    low, high = material.published.ends
    for value in (low, high):
        assert explain_implausible_value(value, material.kind, (low, high)) == ""
        assert explain_implausible_value(value, material.kind, None) == ""


@pytest.mark.parametrize("value", ["180", "189.5", "200"])
def test_a_certificate_near_the_published_range_is_believed(make, value: str) -> None:  # type: ignore[no-untyped-def]
    """Lots differ: within the width of Codex's 184 to 196 (from memory) on either side."""
    batch = compute_batch(make(oil("olive oil", value)))
    assert batch.full_koh_g == Decimal(value)


# -- values in the right unit, and far from what is published --------------------------------------

LYE = """
[[lye]]
alkali = "NaOH"
purity = "100 %"
[superfat]
lye_discount = "6 %"
[water]
mass = "300 g"
[cure]
loss = "10 %"
plus_minus = "1 %"
"""


def value_doubts(recipe: Recipe) -> list[Uncertainty]:
    made = declare_ingredients(recipe, make_policy(["CA"], dt.date(2026, 11, 25)))
    return [d for d in made.doubts if "published range of" in d.message]


def test_a_value_far_above_the_published_range_fails_the_batch(make) -> None:  # type: ignore[no-untyped-def]
    """Olive oil of 260: 0.94 x 260 = 244.4 mg KOH per g of lye, for an oil of which Codex CXS 33
    (from memory) says 184 to 196, so 190 in the middle: 1 - 244.4/190 = -28.6 %."""
    (doubt,) = value_doubts(make(oil("olive oil", "260"), LYE))
    assert doubt.level == "fail"
    assert "260 mg KOH per g" in doubt.message
    assert "184 to 196" in doubt.message
    for published in (190, 184, 196):
        assert f"{100 - 100 * 0.94 * 260 / published:.1f}" in doubt.message


def test_an_excess_by_the_published_middle_fails_even_near_the_range(make) -> None:  # type: ignore[no-untyped-def]
    """205 is within the range's width of it, and 1 - 0.94 x 205/190 = -1.4 %."""
    (doubt,) = value_doubts(make(oil("olive oil", "205"), LYE))
    assert doubt.level == "fail"
    assert f"{100 - 100 * 0.94 * 205 / 190:.1f} %" in doubt.message
    (near,) = value_doubts(make(oil("olive oil", "199"), LYE))  # 1 - 0.94 x 199/190 = 1.5 %
    assert near.level == "warn"


def test_a_value_far_below_the_range_warns(make) -> None:  # type: ignore[no-untyped-def]
    """Too little lye harms nobody's skin: 1 - 0.94 x 165/190 = 18.4 %."""
    (doubt,) = value_doubts(make(oil("olive oil", "165"), LYE))
    assert doubt.level == "warn"
    assert f"{100 - 100 * 0.94 * 165 / 190:.1f} %" in doubt.message


def test_a_material_of_ones_own_with_a_known_inci_name_fails(make) -> None:  # type: ignore[no-untyped-def]
    """Whoever means the value says so with an INCI name that is the fat's own."""
    own = """
    [[material]]
    id = "my olive fraction"
    kind = "triglyceride"
    inci = "Olea Europaea (Olive) Fruit Oil"
    saponification_value = 260
    """
    body = 'oil = [{ material = "my olive fraction", mass = "1 kg" }]\n' + own
    (doubt,) = value_doubts(make(body, LYE))
    assert doubt.level == "fail"
    assert (
        value_doubts(make(body.replace("Olea Europaea (Olive) Fruit Oil", "Luna Oil"), LYE)) == []
    )


def test_every_command_says_so(event, capsys) -> None:  # type: ignore[no-untyped-def]
    """The sample's olive oil at 260, whose published range is 184 to 196 (Codex CXS 33, from
    memory): no command may pass over lye that range has no use for."""
    change = ("saponification_value = 189.5", "saponification_value = 260")
    label = event(change, file="recipe.toml")
    sheets = label.parent / "sheets"
    for command in (["preflight", label], ["plan", label], ["sheet", label, "--out", sheets]):
        assert ended(command) == 1, command
        assert "260 mg KOH per g" in "".join(capsys.readouterr()), command
    assert not list(sheets.glob("*.pdf"))
    assert ended(["declare", label.with_name("recipe.toml")]) == 1
    shown = capsys.readouterr().out
    assert shown.index("260 mg KOH per g") < shown.index("Sodium Olivate")


def ended(command: Sequence[str | Path]) -> object:
    """The exit code of a whole run."""
    with pytest.raises(SystemExit) as end:
        main([str(argument) for argument in command])
    return end.value.code
