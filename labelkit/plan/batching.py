"""A recipe scaled to the batch, rounded to the scale it is weighed on.

Lye is never rounded up: it is counted anew from the oils as rounded, and then rounded down, so that
the superfat never falls below the recipe's. Fragrance is rounded down as well, so that a supplier's
limit is never passed by rounding. Everything else goes to the nearest division.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from enum import StrEnum

from labelkit.common.quantity import GRAMS_PER_OUNCE
from labelkit.formula import Batch, batch_of
from labelkit.formula.batch import MOLAR_MASS
from labelkit.formula.materials import Materials, materials_of
from labelkit.order.recipe import (
    Lye,
    Recipe,
    Scent,
    Superfat,
    SuperfatForm,
    Water,
    WaterForm,
    Weighed,
)

FEW_DIVISIONS = 20
"""Below so many divisions a scale is too coarse: half a division is over 2.5 % of the mass."""
OUNCE_PLACES = Decimal("0.01")


class Role(StrEnum):
    """What a weighing is, in the order things are weighed out."""

    OIL = "oil"
    LATE_OIL = "oil after trace"
    LYE = "lye"
    WATER = "water"
    ADDITIVE = "additive"
    COLOUR = "colour"
    SCENT = "scent"


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line of the batch record."""

    role: Role
    name: str
    """An id or name for the maker's language to be found by; a scent's own name."""
    mass_g: Decimal
    exact_g: Decimal
    """Before rounding."""
    lots: tuple[str, ...]
    price_per_kg: Decimal | None
    coarse: bool
    """The scale is too coarse for it."""
    essential_oil: str = ""
    """The id of the essential oil that a scent is said to be."""

    @property
    def ounces(self) -> Decimal:
        """The same in avoirdupois ounces; lye and fragrance are rounded down."""
        down = self.role in (Role.LYE, Role.SCENT)
        rounding = ROUND_FLOOR if down else ROUND_HALF_UP
        return (self.mass_g / GRAMS_PER_OUNCE).quantize(OUNCE_PLACES, rounding)


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """The scaled batch. Masses in grams, of what is actually weighed."""

    recipe: Recipe
    """As weighed: scaled and rounded."""
    batch: Batch
    factor: Decimal
    """How many of the recipe's own batches it is."""
    weighings: tuple[Weighing, ...]
    wanted_superfat_percent: Decimal

    @property
    def poured_g(self) -> Decimal:
        return self.batch.poured_g


@dataclass(frozen=True, slots=True)
class Scales:
    """The divisions of the scales at hand, in grams."""

    main_g: Decimal
    fine_g: Decimal | None = None

    def division_g(self, mass_g: Decimal) -> Decimal:
        """The division a mass is weighed to: that of the fine scale where the main is too coarse.

        A mass under one division is given in tenths of it (or hundredths ...), never as nothing.
        """
        step = self.main_g
        if self.fine_g is not None and mass_g < FEW_DIVISIONS * self.main_g:
            step = min(step, self.fine_g)
        while 0 < mass_g < step:
            step /= 10
        return step

    def too_coarse(self, mass_g: Decimal) -> bool:
        finest = self.main_g if self.fine_g is None else min(self.main_g, self.fine_g)
        return 0 < mass_g < FEW_DIVISIONS * finest


def plan_batch(recipe: Recipe, target_g: Decimal, scales: Scales) -> BatchPlan:
    """The recipe scaled so that at least ``target_g`` is poured; InputError if it cannot be."""
    original = batch_of(recipe)
    factor = target_g / original.poured_g
    while True:
        made = _scaled(recipe, original, factor, scales)
        if made.poured_g >= target_g:
            return made
        # Rounding down lye and fragrance may leave the batch a few grams short.
        missing = max(target_g - made.poured_g, scales.main_g)
        factor += missing / original.poured_g


def _scaled(recipe: Recipe, original: Batch, factor: Decimal, scales: Scales) -> BatchPlan:
    oils = tuple(_line(line, factor, scales) for line in recipe.oils)
    additives = tuple(_line(line, factor, scales) for line in recipe.additives)
    colours = tuple(_line(line, factor, scales) for line in recipe.colours)
    scents = tuple(
        replace(scent, mass_g=_rounded(scent.mass_g * factor, scales, ROUND_FLOOR))
        for scent in recipe.scents
    )
    loaded = replace(
        recipe,
        oils=oils,
        additives=additives,
        colours=colours,
        scents=scents,
        water=_water(recipe.water, factor),
    )
    counted = batch_of(_with_superfat(loaded, original))
    lyes = tuple(
        replace(
            lye,
            mass_g=_rounded(weighed.weighed_g, scales, ROUND_FLOOR),
            share_percent=None,
        )
        for lye, weighed in zip(recipe.lyes, counted.lyes, strict=True)
    )
    water = Water(WaterForm.MASS, _rounded(counted.water_g, scales, ROUND_HALF_UP))
    weighed = replace(loaded, lyes=lyes, superfat=None, water=water)
    return BatchPlan(
        recipe=weighed,
        batch=batch_of(weighed),
        factor=factor,
        weighings=tuple(_weighings(weighed, recipe, counted, factor, scales)),
        wanted_superfat_percent=original.superfat_percent,
    )


def _line(line: Weighed, factor: Decimal, scales: Scales) -> Weighed:
    return replace(line, mass_g=_rounded(line.mass_g * factor, scales, ROUND_HALF_UP))


def _rounded(mass_g: Decimal, scales: Scales, rounding: str) -> Decimal:
    step = scales.division_g(mass_g)
    return (mass_g / step).to_integral_value(rounding) * step


def _water(water: Water, factor: Decimal) -> Water:
    if water.form is WaterForm.MASS:
        return Water(WaterForm.MASS, water.value * factor)
    return water


def _with_superfat(recipe: Recipe, original: Batch) -> Recipe:
    """The recipe with its lye to be counted: weighed lye becomes the superfat it amounts to."""
    if recipe.superfat is not None:
        return recipe
    moles = [lye.pure_g / MOLAR_MASS[lye.alkali] for lye in original.lyes]
    total = sum(moles, Decimal(0))
    lyes = tuple(
        replace(lye, mass_g=None, share_percent=100 * mol / total if len(moles) > 1 else None)
        for lye, mol in zip(recipe.lyes, moles, strict=True)
    )
    discount = Superfat(SuperfatForm.LYE_DISCOUNT, original.superfat_percent)
    return replace(recipe, lyes=lyes, superfat=discount)


# -- the lines of the record -----------------------------------------------------------------------


def _weighings(
    weighed: Recipe, recipe: Recipe, counted: Batch, factor: Decimal, scales: Scales
) -> Iterator[Weighing]:
    materials = materials_of(recipe)
    for line, source in zip(weighed.oils, recipe.oils, strict=True):
        role = Role.LATE_OIL if line.after_trace else Role.OIL
        yield _of(role, _known(materials, line), line, source.mass_g * factor, scales)
    for lye, exact in zip(weighed.lyes, counted.lyes, strict=True):
        yield _of(Role.LYE, lye.alkali.value, lye, exact.weighed_g, scales)
    water = weighed.water.value
    if water:
        coarse = scales.too_coarse(water)
        yield Weighing(Role.WATER, "water", water, counted.water_g, (), None, coarse)
    for line, source in zip(weighed.additives, recipe.additives, strict=True):
        yield _of(Role.ADDITIVE, _known(materials, line), line, source.mass_g * factor, scales)
    for line, source in zip(weighed.colours, recipe.colours, strict=True):
        yield _of(Role.COLOUR, _known(materials, line), line, source.mass_g * factor, scales)
    for scent, origin in zip(weighed.scents, recipe.scents, strict=True):
        made = _of(Role.SCENT, scent.name, scent, origin.mass_g * factor, scales)
        oil = materials.find(scent.essential_oil)
        yield replace(made, essential_oil=oil.id if oil is not None else "")


def _of(
    role: Role, name: str, line: Weighed | Lye | Scent, exact_g: Decimal, scales: Scales
) -> Weighing:
    mass = line.mass_g
    assert mass is not None, "the scaled batch is weighed throughout"
    return Weighing(
        role, name, mass, exact_g, line.lots, line.price_per_kg, scales.too_coarse(exact_g)
    )


def _known(materials: Materials, line: Weighed) -> str:
    found = materials.find(line.material)
    return found.id if found is not None else line.material
