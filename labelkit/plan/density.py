"""What a millilitre of the poured batch weighs, from what is in it.

The volumes of the oils, of the lye solution and of what is stirred in are taken to add up. That is
true to a few percent: a batch of oils, lye and water keeps the plan's common 1.02, and one with
salt, clay or much honey has its own.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from itertools import pairwise
from typing import Any

from labelkit.common.own_tables import read_own_table
from labelkit.formula import Batch
from labelkit.formula.expand import Substance, expand_recipe
from labelkit.formula.materials import merge_own_materials
from labelkit.order.recipe import Alkali, Recipe

TRUE_TO = Decimal("0.03")
"""A difference from the common density that is within what adding volumes is true to."""
_HUNDREDTH = Decimal("0.01")


def compute_density(recipe: Recipe, batch: Batch) -> Decimal:
    """Grams to the millilitre of a batch as poured, to two decimals."""
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    mass = volume = Decimal(0)
    for substance in expanded.substances:
        grams = expanded.mass_g(substance)
        if not substance.dries:  # the water of liquids is counted with the lye solution
            mass += grams
            volume += grams / _find_density(substance)
    solution = batch.lye_g + batch.water_g + batch.liquids_water_g
    mass += solution
    volume += solution / _find_solution_density(batch)
    return (mass / volume).quantize(_HUNDREDTH)


def _find_density(substance: Substance) -> Decimal:
    rows, material = _load_rows(), substance.material
    own = rows["density"].get(material.id)
    return Decimal(own if own is not None else rows["kind"][material.kind.value])


def _find_solution_density(batch: Batch) -> Decimal:
    """Of the lye in all its water, between two concentrations of the table."""
    sodium = sum((lye.weighed_g for lye in batch.lyes if lye.alkali is Alkali.NAOH), Decimal(0))
    alkali = Alkali.NAOH if 2 * sodium >= batch.lye_g else Alkali.KOH
    points = [
        (Decimal(percent), Decimal(value)) for percent, value in _load_rows()["solution"][alkali]
    ]
    percent = min(max(batch.lye_concentration_percent, points[0][0]), points[-1][0])
    (low, below), (high, above) = next(p for p in pairwise(points) if percent <= p[1][0])
    return below + (above - below) * (percent - low) / (high - low)


@lru_cache(maxsize=1)
def _load_rows() -> dict[str, Any]:
    return read_own_table("plan/tables/batch_densities")
