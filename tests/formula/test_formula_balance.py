"""What must hold for every recipe: mass is conserved, nothing is negative, order changes nothing.

The law of conservation of mass needs no source; the recipes are random.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.common.scales import Scale
from labelkit.formula import compute_batch, declare_ingredients
from labelkit.formula.batch import compute_expanded_batch
from labelkit.formula.composition import compute_composition
from labelkit.formula.declaration import Basis, Role, Style
from labelkit.formula.expand import expand_recipe
from labelkit.formula.materials import merge_own_materials
from labelkit.formula.reaction import Column, Fat, HydroxyAcid, Yields, react_with_alkali
from labelkit.order.recipe import (
    Alkali,
    Cure,
    LineGroup,
    Lye,
    Recipe,
    Scent,
    Share,
    SuperfatForm,
    SuperfatSpec,
    Water,
    WaterForm,
    WeighedLine,
)
from labelkit.rules.policies import make_policy

CANADA = make_policy(["CA"], dt.date(2027, 6, 19))

OILS = (
    "olive-oil", "coconut-oil", "shea-butter", "castor-oil", "beeswax", "jojoba-oil",
    "stearic-acid", "rice-bran-oil", "medium-chain-triglycerides", "hemp-seed-oil",
)  # fmt: skip
ADDITIVES = (
    "honey", "milk", "goat-milk", "citric-acid", "citric-acid-monohydrate", "vinegar",
    "sodium-lactate-60", "tetrasodium-edta-39", "kaolin", "sea-water", "lactic-acid",
)  # fmt: skip
masses = st.decimals(min_value=1, max_value=2000, places=2)


@st.composite
def recipes(draw: st.DrawFn, most_superfat: int = 30) -> Recipe:
    """A random batch: always some olive oil, so that there is something to saponify."""
    oils = [("olive-oil", 100 + draw(masses), False)]
    oils += draw(st.lists(st.tuples(st.sampled_from(OILS), masses, st.booleans()), max_size=5))
    additives = draw(
        st.lists(
            st.tuples(st.sampled_from(ADDITIVES), st.decimals(min_value=1, max_value=80, places=2)),
            max_size=3,
        )
    )
    both = draw(st.booleans())
    share = draw(st.decimals(min_value=1, max_value=99, places=0))
    purity = draw(st.decimals(min_value=85, max_value=100, places=1))
    shares = (share, 100 - share) if both else (None,)
    return Recipe(
        path=Path("recipe.toml"),
        name="random",
        scale=Scale(Decimal("0.1")),
        oils=tuple(
            WeighedLine(f"oil[{i}]", LineGroup.OIL, name, mass, after_trace=late)
            for i, (name, mass, late) in enumerate(oils, start=1)
        ),
        lyes=tuple(
            Lye(f"lye[{i}]", alkali, purity, True, share_percent=part)
            for i, (alkali, part) in enumerate(zip(Alkali, shares, strict=False), start=1)
        ),
        # Enough for the lye that three lots of citric acid take beside little oil.
        water=Water(WaterForm.SHARE_OF_OILS, Decimal(200)),
        superfat=SuperfatSpec(
            SuperfatForm.LYE_DISCOUNT,
            draw(st.decimals(min_value=0, max_value=most_superfat, places=1)),
        ),
        scents=(Scent("scent[1]", "Invented", Decimal(40), allergens={"Linalool": _share("2")}),),
        additives=tuple(
            WeighedLine(f"additive[{i}]", LineGroup.ADDITIVE, name, mass)
            for i, (name, mass) in enumerate(additives, start=1)
        ),
        colours=(WeighedLine("colour[1]", LineGroup.COLOUR, "CI 77007", Decimal(3)),),
        cure=Cure(draw(st.decimals(min_value=0, max_value=5, places=1)), Decimal(1)),
    )


def _share(percent: str) -> Share:
    return Share(Decimal(percent), Decimal(percent))


@settings(max_examples=examples(60))
@given(recipes())
def test_mass_is_conserved_to_a_milligram(recipe: Recipe) -> None:
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    batch = compute_expanded_batch(recipe, expanded)
    for basis in Basis:
        found = compute_composition(expanded, batch, Style.FORMED, basis)
        total = batch.cured_g if basis is Basis.CURED else batch.poured_g
        assert sum(piece.mass_g for piece in found.pieces) == pytest.approx(float(total), abs=1e-3)
        assert all(piece.mass_g > 0 for piece in found.pieces)
    added = compute_composition(expanded, batch, Style.ADDED, Basis.POURED)
    assert sum(p.mass_g for p in added.pieces) == pytest.approx(float(batch.poured_g), abs=1e-3)


@settings(max_examples=examples(15))
@given(recipes(most_superfat=99))
def test_declared_lines_add_up(recipe: Recipe) -> None:
    """Every declared line but the allergens (they are within the parfum), and the rest."""
    made = declare_ingredients(recipe, CANADA)
    declared = sum(line.mass_g for line in made.lines if line.role is not Role.ALLERGEN)
    silent = sum(row.grams for row in made.table if not row.name)
    assert float(declared + silent) == pytest.approx(float(made.total_g), abs=1e-3)
    assert all(line.mass_g > 0 for line in made.lines)
    assert all(line.low_percent <= line.percent <= line.high_percent for line in made.lines)
    rows = sum(row.grams for row in made.table if row.became != "fragrance allergen")
    assert float(rows) == pytest.approx(float(made.total_g), abs=1e-3)


@settings(max_examples=examples(10))
@given(recipes(), st.randoms(use_true_random=False))
def test_the_order_of_the_recipe_changes_nothing(recipe: Recipe, random: object) -> None:
    def shuffled(lines: tuple[WeighedLine, ...]) -> tuple[WeighedLine, ...]:
        mixed = list(lines)
        random.shuffle(mixed)  # type: ignore[attr-defined]
        return tuple(mixed)

    other = replace(
        recipe,
        oils=shuffled(recipe.oils),
        additives=shuffled(recipe.additives),
        lyes=recipe.lyes[::-1],
    )
    first, second = declare_ingredients(recipe, CANADA), declare_ingredients(other, CANADA)
    assert first.names == second.names
    assert [line.percent for line in first.lines] == pytest.approx(
        [line.percent for line in second.lines]
    )


def one_draw(least: float, most: float) -> st.SearchStrategy[Column]:
    """A column of a single figure."""
    return st.floats(least, most).map(lambda figure: [figure])


@settings(max_examples=examples(200))
@given(
    st.lists(
        st.builds(
            Fat,
            mass_g=one_draw(0.01, 1000),
            saponification=one_draw(40, 360),
            acid=one_draw(0, 40),
            yields=st.sampled_from(Yields),
            late=st.booleans(),
        ),
        min_size=1,
        max_size=6,
    ),
    st.lists(
        st.builds(
            HydroxyAcid,
            mass_g=one_draw(0.01, 50),
            molar_mass=st.just(192.124),
            alkali_per_mole=st.just(3),
        ),
        max_size=2,
    ),
    one_draw(0, 500),
    one_draw(0, 500),
)
def test_reaction_conserves_mass_at_any_alkali(
    fats: list[Fat], acids: list[HydroxyAcid], naoh: Column, koh: Column
) -> None:
    """From no lye at all to far too much."""
    out = react_with_alkali(fats, acids, naoh, koh)
    parts = [
        mass
        for o in (*out.fats, *out.acids)
        for (mass,) in (o.free_g, o.sodium_g, o.potassium_g, o.glycerol_g, o.water_g)
    ]
    parts += [*out.spare_naoh_g, *out.spare_koh_g]
    assert min(parts) >= -1e-9
    put_in = sum(sum(column) for column in (*(m.mass_g for m in (*fats, *acids)), naoh, koh))
    assert sum(parts) == pytest.approx(put_in, rel=1e-9)


def test_ounces_and_grams_give_the_same_list(make) -> None:  # type: ignore[no-untyped-def]
    """1 oz is 28.349523125 g (NIST Handbook 44, Appendix C)."""
    grams = make(
        """
        oil = [
          { material = "olive oil", mass = "453.59237 g" },
          { material = "coconut oil", mass = "226.796185 g" },
          { material = "castor oil", mass = "28.349523125 g" },
        ]
        additive = [{ material = "honey", mass = "14.1747615625 g" }]
        """
    )
    made = declare_ingredients(grams, CANADA)
    ounces = make(
        """
        oil = [
          { material = "olive oil", mass = "1 lb" },
          { material = "coconut oil", mass = "8 oz" },
          { material = "castor oil", mass = "1 oz" },
        ]
        additive = [{ material = "honey", mass = "0.5 oz" }]
        """
    )
    other = declare_ingredients(ounces, CANADA)
    assert made.names == other.names
    assert [line.mass_g for line in made.lines] == [line.mass_g for line in other.lines]
    assert compute_batch(grams).poured_g == compute_batch(ounces).poured_g
