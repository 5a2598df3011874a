"""Everything worked out for one declaration, before it is put into words and order."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said
from labelkit.formula.batch import Batch, compute_expanded_batch
from labelkit.formula.composition import (
    FROM_LYE,
    FROM_WATER,
    Composition,
    SubstanceInBar,
    compute_composition,
)
from labelkit.formula.declaration import Basis
from labelkit.formula.draws import Draws, make_draws
from labelkit.formula.expand import Expanded, expand_recipe
from labelkit.formula.materials import merge_own_materials
from labelkit.formula.names import PrintedNames
from labelkit.formula.policy import Policy
from labelkit.formula.shares import SummedAllergen, sum_allergens
from labelkit.order.recipe import MOST_SUPERFAT_PERCENT, Recipe

_NANOGRAM = Decimal("1e-9")


@dataclass(frozen=True)
class WorkedRecipe:
    """One recipe under one policy."""

    recipe: Recipe
    policy: Policy
    expanded: Expanded
    batch: Batch
    names: PrintedNames
    composition: Composition
    draws: Draws
    allergens: tuple[SummedAllergen, ...]

    @property
    def total_g(self) -> Decimal:
        cured = self.policy.basis is Basis.CURED
        return self.batch.cured_g if cured else self.batch.poured_g

    def source(self, piece: SubstanceInBar) -> str:
        if piece.source == FROM_WATER:
            return "water"
        if piece.source <= FROM_LYE:
            return f"lye ({self.batch.lyes[FROM_LYE - piece.source].alkali})"
        return self.expanded.lines[piece.source].name

    def grams_in(self, piece: SubstanceInBar) -> Decimal:
        if piece.source == FROM_WATER:
            return self.batch.water_g
        if piece.source <= FROM_LYE:
            return self.batch.lyes[FROM_LYE - piece.source].weighed_g
        return self.expanded.lines[piece.source].mass_g


def work_out_recipe(recipe: Recipe, policy: Policy) -> WorkedRecipe:
    """Works everything out; InputError for what cannot be made."""
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    batch = compute_expanded_batch(recipe, expanded)
    names = PrintedNames(expanded, policy)
    composition = compute_composition(expanded, batch, policy.style, policy.basis)
    _check_cure_loss(recipe, batch, composition)
    draws = make_draws(
        expanded, batch, float(recipe.scale_g), policy.style, policy.basis, names.printed
    )
    allergens = sum_allergens(recipe, expanded, batch, draws)
    return WorkedRecipe(recipe, policy, expanded, batch, names, composition, draws, allergens)


def _check_cure_loss(recipe: Recipe, batch: Batch, composition: Composition) -> None:
    if float(batch.poured_g - batch.cured_g) > composition.water_g + 1e-9:
        if batch.superfat_percent > MOST_SUPERFAT_PERCENT:
            lye = recipe.lyes[0]
            recipe.wrong(
                "lye.mass",
                f"{batch.lyes[0].weighed_g.normalize():f} g",
                Said(
                    "of {alkali} leaves {share} % of the oils as they are; compare the grams, their"
                    " unit and the purity with the scale and the tub",
                    alkali=lye.alkali.value,
                    share=Number(batch.superfat_percent, 0),
                ),
            )
        most = 100 * composition.water_g / composition.poured_g
        recipe.wrong(
            "cure.bar" if recipe.cure.bars else "cure.loss",
            f"{batch.loss.percent:.2f} %",
            Said(
                "is more than all the water in the batch, {most} % of the poured mass; correct "
                "it, or what [water] says",
                most=Number(Decimal(most), 2),
            ),
        )


def round_to_nanogram(mass_g: float) -> Decimal:
    """A computed mass as a decimal, to the nanogram."""
    return Decimal(repr(mass_g)).quantize(_NANOGRAM)


def drop_repeats(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts without repetition, in order of first appearance."""
    return tuple(dict.fromkeys(texts))
