"""The draws of the inputs' ranges: counted in columns, they are what each draw alone gives.

The references are the standard library's ``random.uniform`` and the reaction's own equation, both
counted here one draw after another.
"""

from __future__ import annotations

import datetime as dt
import math
import shutil
from dataclasses import fields
from pathlib import Path
from random import Random

import pytest

from labelkit.formula import declare_ingredients
from labelkit.formula.batch import Batch, compute_expanded_batch
from labelkit.formula.composition import DrawnInputs, compute_compositions
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.draws import DRAWS, draw_inputs, make_draws
from labelkit.formula.expand import Expanded, expand_recipe
from labelkit.formula.materials import merge_own_materials
from labelkit.formula.reaction import KOH, NAOH
from labelkit.order.recipe import Alkali, MaterialKind, read_recipe
from labelkit.rules.policies import make_policy

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/recipe.toml"))
SCALE_G = 1.0
LATE_AND_MIXED = """
oil = [
  { material = "olive oil", mass = "500 g" },
  { material = "coconut oil", mass = "300 g" },
  { material = "beeswax", mass = "20 g" },
  { material = "stearic acid", mass = "30 g" },
  { material = "shea butter", mass = "60 g", after_trace = true },
]
additive = [{ material = "citric acid", mass = "12 g" }, { material = "honey", mass = "10 g" }]
lye = [
  { alkali = "NaOH", mass = "100 g", purity = "97 %" },
  { alkali = "KOH", mass = "40 g", solution = "50 %" },
]
water = { mass = "250 g" }
"""
"""Late oils, a wax, free and hydroxy acids, two alkalis, one of them dissolved."""


@pytest.fixture(params=[*SAMPLES, None], ids=lambda path: path.parent.name if path else "mixed")
def parts(request: pytest.FixtureRequest, make) -> tuple[Expanded, Batch]:  # type: ignore[no-untyped-def]
    recipe = read_recipe(request.param) if request.param else make(LATE_AND_MIXED, lye="")
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    return expanded, compute_expanded_batch(recipe, expanded)


def one_draw(inputs: DrawnInputs, number: int) -> DrawnInputs:
    """A single draw of many."""

    def cut(value: object) -> object:
        nested = value and isinstance(value[0], list)  # type: ignore[index]
        return [cut(column) for column in value] if nested else [value[number]]  # type: ignore[attr-defined,index]

    return DrawnInputs(
        **{field.name: cut(getattr(inputs, field.name)) for field in fields(DrawnInputs)}
    )


@pytest.mark.parametrize("style", Style)
def test_all_draws_at_once_are_each_draw_alone(parts: tuple[Expanded, Batch], style: Style) -> None:
    expanded, batch = parts
    inputs = draw_inputs(expanded, batch, SCALE_G / 2)
    together = compute_compositions(expanded, batch, inputs, style, Basis.CURED)
    for number in range(0, DRAWS, 50):
        alone = compute_compositions(expanded, batch, one_draw(inputs, number), style, Basis.CURED)
        masses: dict[tuple[int, str, str], float] = {}
        for sign, found, column in ((1, together, number), (-1, alone, 0)):
            for portion in found.portions:
                key = (portion.source, portion.inci, portion.became)
                mass = sign * portion.masses_g[column]
                masses[key] = masses.get(key, 0.0) + mass
        assert max(map(abs, masses.values())) < 2e-6  # what is less is not counted as there
        assert together.superfat[number] == pytest.approx(alone.superfat[0], abs=1e-12)
        assert together.cured_g[number] == pytest.approx(alone.cured_g[0], rel=1e-12)


def test_mass_is_conserved_in_every_draw(parts: tuple[Expanded, Batch]) -> None:
    expanded, batch = parts
    inputs = draw_inputs(expanded, batch, SCALE_G / 2)
    found = compute_compositions(expanded, batch, inputs, Style.FORMED, Basis.CURED)
    sums = [math.fsum(row) for row in zip(*(p.masses_g for p in found.portions), strict=True)]
    assert sums == pytest.approx(found.cured_g, abs=1e-3)


def test_the_superfat_of_every_draw_is_exact(parts: tuple[Expanded, Batch]) -> None:
    """Alkali demand in mol less the alkali there, each draw by itself; so its low end, by which a
    batch is held unsafe, is the fifth least of a thousand."""
    expanded, batch = parts
    inputs = draw_inputs(expanded, batch, SCALE_G / 2)
    superfat = []
    for number in range(DRAWS):
        draw = one_draw(inputs, number)
        demand = alkali = 0.0
        for s, (share,), (value,) in zip(
            expanded.substances, draw.shares, draw.saponification, strict=True
        ):
            mass = draw.lines_g[s.line][0] * share
            if s.material.kind is MaterialKind.HYDROXY_ACID:
                alkali -= mass / float(s.material.molar_mass) * s.material.alkali_per_mole
            elif not s.dries:
                demand += mass * value / 1000 / KOH
        for lye, (mass,), (strength,) in zip(batch.lyes, draw.lyes_g, draw.strengths, strict=True):
            alkali += mass * strength / (NAOH if lye.alkali is Alkali.NAOH else KOH)
        superfat.append(1 - alkali / demand)
    draws = make_draws(expanded, batch, SCALE_G, Style.FORMED, Basis.CURED, str)
    assert draws.superfat == pytest.approx(superfat, abs=1e-9)
    assert draws.least_superfat() == pytest.approx(sorted(superfat)[5], abs=1e-9)
    assert draws.most_superfat() == pytest.approx(sorted(superfat)[994], abs=1e-9)


def test_inputs_are_drawn_evenly_from_their_ranges(parts: tuple[Expanded, Batch]) -> None:
    """In the order of a loop of ``random.uniform`` over draws, then inputs; the seed is fixed."""
    expanded, batch = parts
    inputs = draw_inputs(expanded, batch, SCALE_G / 2)
    random = Random(20260412)
    for number in range(3):
        for s, column in zip(expanded.substances, inputs.saponification, strict=True):
            low, high = float(s.saponification.low), float(s.saponification.high)
            value = random.uniform(low, high) if low < high else low
            assert column[number] == pytest.approx(value, rel=1e-12)
        for line, column in zip(expanded.lines, inputs.lines_g, strict=True):
            mass = float(line.mass_g)
            assert column[number] == pytest.approx(mass + random.uniform(-0.5, 0.5), rel=1e-12)
        rest = [s for s in expanded.substances if s.share.low < s.share.high]
        rest += [
            s
            for s in expanded.substances
            if s.acid != s.saponification and s.acid.low < s.acid.high
        ]
        varying = (
            len(rest)
            + len(batch.lyes)
            + sum(lye.strength.low < lye.strength.high for lye in batch.lyes)
            + (batch.water_g > 0)
            + (batch.loss.spread_percent > 0)
        )
        for _ in range(varying):
            random.random()
    for lye, column in zip(batch.lyes, inputs.strengths, strict=True):
        middle = (float(lye.strength.low) + float(lye.strength.high)) / 2
        assert float(lye.strength.low) <= min(column) <= middle <= max(column)
        assert max(column) <= float(lye.strength.high)


def test_what_was_declared_is_remembered_by_equal_inputs_alone(make, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """The same recipe and policy need no second count, wherever the file is; a gram more, or
    another region, do."""
    oils = 'oil = [{{ material = "olive oil", mass = "{} g" }}]'
    day = dt.date(2026, 5, 1)
    canada, belgium = make_policy(("CA",), day), make_policy(("BE",), day)
    first = declare_ingredients(make(oils.format(500)), canada)
    assert declare_ingredients(make(oils.format(500)), canada) is first
    copied = shutil.copytree(tmp_path, tmp_path / "copy") / "recipe.toml"
    assert declare_ingredients(read_recipe(copied), canada) is first
    assert declare_ingredients(make(oils.format(501)), canada).total_g > first.total_g
    assert declare_ingredients(make(oils.format(500)), belgium).names != first.names
