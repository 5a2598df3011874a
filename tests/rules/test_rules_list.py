"""Reading the printed ingredient list, and the order rules over any declaration."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_labels import canadian, european

from labelkit.formula.declaration import Role
from labelkit.rules.printed_list import match_names, split_names

GOOD = canadian()


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Aqua, Mel", ["Aqua", "Mel"]),
        ("Aqua,Mel.", ["Aqua", "Mel"]),
        ("1,2-Hexanediol, Aqua", ["1,2-Hexanediol", "Aqua"]),
        ("Cera Alba (Beeswax, Bleached), Mel", ["Cera Alba (Beeswax, Bleached)", "Mel"]),
        ("AQUA/WATER/EAU, MEL", ["AQUA/WATER/EAU", "MEL"]),
        ("Ingredients: Aqua, Mel", ["Aqua", "Mel"]),
        ("Ingredients / Ingrédients : Aqua, Mel", ["Aqua", "Mel"]),
        ("", []),
    ],
)
def test_names_are_parted_at_the_right_commas(text: str, names: list[str]) -> None:
    assert split_names(text) == tuple(names)


@pytest.mark.parametrize(
    ("printed", "inci"),
    [
        ("AQUA", "Aqua"),
        ("Water (Aqua)", "Aqua"),
        ("AQUA/WATER/EAU", "Aqua"),
        ("Olea Europaea (Olive) Fruit Oil", "Olea Europaea Fruit Oil"),
        ("oleaeuropaeafruitoil", "Olea Europaea Fruit Oil"),
    ],
)
def test_a_printed_name_finds_its_line(printed: str, inci: str) -> None:
    declaration = GOOD.declare((inci, 50), ("Glycerin", 5)).facts.declaration
    (name,) = match_names([printed], declaration.lines)
    assert name.line is not None
    assert name.line.inci == inci


@given(st.lists(st.decimals("0.01", "90", places=2), min_size=1, max_size=8))
def test_a_list_by_weight_satisfies_every_region(percents: list[Decimal]) -> None:
    lines = [(f"Ingredient {i}", p) for i, p in enumerate(sorted(percents, reverse=True))]
    for rule, region, draft in [
        ("CA-LIST-ORDER", "CA", GOOD),
        ("EU-LIST-ORDER", "BE", european()),
        ("US-LIST-ORDER", "US", GOOD),
        ("AU-LIST-ORDER", "AU", GOOD),
        ("NZ-LIST-ORDER", "NZ", GOOD),
    ]:
        assert not draft.declare(*lines).found_by({rule}, region)


@given(
    st.lists(st.decimals("1.01", "90", places=2), min_size=1, max_size=5, unique=True),
    st.lists(st.decimals("0.01", "0.99", places=2), max_size=5),
    st.lists(st.decimals("0.01", "5", places=2), max_size=3),
)
def test_small_shares_and_colours_are_free_at_the_end(
    large: list[Decimal], small: list[Decimal], colours: list[Decimal]
) -> None:
    # CR s. 21.4(2), Reg. Art. 19(1)(g), 21 CFR 701.3(f): all three allow this order.
    ordered = sorted(large, reverse=True)
    lines = [(f"Ingredient {i}", p) for i, p in enumerate([*ordered, *small])]
    lines += [(f"CI 7749{i}", p, Role.COLOUR) for i, p in enumerate(colours)]  # type: ignore[misc]
    draft = GOOD.declare(*lines)
    for rule, region in [("CA-LIST-ORDER", "CA"), ("EU-LIST-ORDER", "BE"), ("US-LIST-ORDER", "US")]:
        assert not draft.found_by({rule}, region)
    if len(large) > 1:
        swapped = [lines[1], lines[0], *lines[2:]]
        assert GOOD.declare(*swapped).found_by({"CA-LIST-ORDER"}, "CA")


@given(st.lists(st.decimals("0.80", "1.20", places=2), min_size=1, max_size=8))
def test_every_name_out_of_its_place_is_told_once(percents: list[Decimal]) -> None:
    # CR s. 21.4(1), (2): by weight, but from 1 % down in any order after those of more than 1 %.
    lines = [(f"Ingredient {i}", p) for i, p in enumerate(percents)]
    found = GOOD.declare(*lines).found_by({"CA-LIST-ORDER"}, "CA")
    late = [
        i
        for i, percent in enumerate(percents)
        if percent > 1 and any(before < percent for before in percents[:i])
    ]
    assert [f.required.split(" before ")[0] for f in found] == [f"Ingredient {i}" for i in late]
