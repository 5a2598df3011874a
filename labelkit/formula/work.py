"""Everything worked out for one declaration, before it is put into words and order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from labelkit.formula.batch import Batch, batch_from
from labelkit.formula.composition import FROM_LYE, FROM_WATER, Composition, Piece, composition_of
from labelkit.formula.declaration import Basis
from labelkit.formula.draws import Draws, draws_of
from labelkit.formula.expand import Expanded, expand
from labelkit.formula.materials import materials_of
from labelkit.formula.names import Names
from labelkit.formula.policy import Policy
from labelkit.formula.shares import AllergenFound, allergens_found
from labelkit.order.recipe import Recipe

_NANOGRAM = Decimal("1e-9")


@dataclass(frozen=True)
class Work:
    """One recipe under one policy."""

    recipe: Recipe
    policy: Policy
    expanded: Expanded
    batch: Batch
    names: Names
    composition: Composition
    draws: Draws
    allergens: tuple[AllergenFound, ...]

    @property
    def total_g(self) -> Decimal:
        cured = self.policy.basis is Basis.CURED
        return self.batch.cured_g if cured else self.batch.poured_g

    def source(self, piece: Piece) -> str:
        if piece.source == FROM_WATER:
            return "water"
        if piece.source <= FROM_LYE:
            return f"lye ({self.batch.lyes[FROM_LYE - piece.source].alkali})"
        return self.expanded.lines[piece.source].name

    def grams_in(self, piece: Piece) -> Decimal:
        if piece.source == FROM_WATER:
            return self.batch.water_g
        if piece.source <= FROM_LYE:
            return self.batch.lyes[FROM_LYE - piece.source].weighed_g
        return self.expanded.lines[piece.source].mass_g


def worked(recipe: Recipe, policy: Policy) -> Work:
    """Works everything out; InputError for what cannot be made."""
    expanded = expand(recipe, materials_of(recipe))
    batch = batch_from(recipe, expanded)
    names = Names(expanded, policy)
    composition = composition_of(expanded, batch, policy.style, policy.basis)
    _check_loss(recipe, batch, composition)
    draws = draws_of(
        expanded, batch, float(recipe.scale_g), policy.style, policy.basis, names.printed
    )
    allergens = allergens_found(recipe, expanded, batch, draws)
    return Work(recipe, policy, expanded, batch, names, composition, draws, allergens)


def _check_loss(recipe: Recipe, batch: Batch, composition: Composition) -> None:
    if float(batch.poured_g - batch.cured_g) > composition.water_g + 1e-9:
        most = 100 * composition.water_g / composition.poured_g
        recipe.wrong(
            "cure.bar" if recipe.cure.bars else "cure.loss",
            f"{batch.loss.percent:.2f} %",
            f"is more than all the water in the batch, {most:.2f} % of the poured mass;"
            " correct it, or what [water] says",
        )


def as_grams(mass_g: float) -> Decimal:
    """A computed mass as a decimal, to the nanogram."""
    return Decimal(repr(mass_g)).quantize(_NANOGRAM)


def distinct(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts without repetition, in order of first appearance."""
    return tuple(dict.fromkeys(texts))
