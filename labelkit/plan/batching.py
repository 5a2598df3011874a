"""A recipe scaled to the batch, rounded to the scale it is weighed on.

Lye is never rounded up: it is counted anew from the oils as rounded, and then rounded down, so that
the superfat never falls below the recipe's. Fragrance is rounded down as well, so that a supplier's
limit is never passed by rounding. Everything else goes to the nearest division.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.common.scales import Scale, ScaleUnit, find_other_scale
from labelkit.formula import Batch, compute_batch
from labelkit.formula.batch import MOLAR_MASS
from labelkit.formula.materials import Materials, merge_own_materials
from labelkit.order.plan import Making
from labelkit.order.recipe import (
    DEFAULT_SCALE,
    Lye,
    Recipe,
    Scent,
    SuperfatForm,
    SuperfatSpec,
    Water,
    WaterForm,
    WeighedLine,
)

FEW_DIVISIONS = 20
"""Below so many divisions a scale is too coarse: half a division is over 2.5 % of the mass."""


class WeighingRole(StrEnum):
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

    role: WeighingRole
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

    scale: Scale = DEFAULT_SCALE
    """What it is weighed on."""

    @property
    def rounding(self) -> str:
        """How its mass is rounded for a scale: of lye and fragrance down."""
        down = self.role in (WeighingRole.LYE, WeighingRole.SCENT)
        return ROUND_FLOOR if down else ROUND_HALF_UP

    @property
    def ounces(self) -> Decimal:
        """The same in avoirdupois ounces, as an ounce scale as fine as its own shows it."""
        return find_other_scale(self.scale, ScaleUnit.OUNCES).show(self.mass_g, self.rounding)


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
    """The scales at hand."""

    main: Scale
    fine: Scale | None = None

    def choose(self, mass_g: Decimal) -> Scale:
        """The one a mass is weighed on: the fine one where the main is too coarse."""
        if self.fine is not None and mass_g < FEW_DIVISIONS * self.main.division_g:
            return min(self.main, self.fine, key=lambda scale: scale.division_g)
        return self.main

    def division_g(self, mass_g: Decimal) -> Decimal:
        """The division a mass is weighed to.

        A mass under one division is given in tenths of it (or hundredths ...), never as nothing.
        """
        step = self.choose(mass_g).division_g
        while 0 < mass_g < step:
            step /= 10
        return step

    def too_coarse(self, mass_g: Decimal) -> bool:
        return 0 < mass_g < FEW_DIVISIONS * self.choose(mass_g).division_g


def scales_at_hand(recipe: Recipe, making: Making) -> Scales:
    """The scales an order is made with: those of its plan, else that of its recipe."""
    return Scales(making.scale or recipe.scale, making.fine_scale)


def plan_batch(recipe: Recipe, target_g: Decimal, scales: Scales) -> BatchPlan:
    """The recipe scaled so that at least ``target_g`` is poured; InputError if it cannot be."""
    original = compute_batch(recipe)
    factor = target_g / original.poured_g
    while True:
        made = _scale_batch(recipe, original, factor, scales)
        if made.poured_g >= target_g:
            return made
        # Rounding down lye and fragrance may leave the batch a few grams short.
        missing = max(target_g - made.poured_g, scales.main.division_g)
        factor += missing / original.poured_g


def _scale_batch(recipe: Recipe, original: Batch, factor: Decimal, scales: Scales) -> BatchPlan:
    oils = tuple(_scale_line(line, factor, scales) for line in recipe.oils)
    additives = tuple(_scale_line(line, factor, scales) for line in recipe.additives)
    colours = tuple(_scale_line(line, factor, scales) for line in recipe.colours)
    scents = tuple(
        replace(scent, mass_g=_round_to_division(scent.mass_g * factor, scales, ROUND_FLOOR))
        for scent in recipe.scents
    )
    loaded = replace(
        recipe,
        oils=oils,
        additives=additives,
        colours=colours,
        scents=scents,
        water=_scale_water(recipe.water, factor),
    )
    counted = compute_batch(_replace_lye_by_superfat(loaded, original))
    lyes = tuple(
        replace(
            lye,
            mass_g=_round_to_division(weighed.weighed_g, scales, ROUND_FLOOR),
            share_percent=None,
        )
        for lye, weighed in zip(recipe.lyes, counted.lyes, strict=True)
    )
    water = Water(WaterForm.MASS, _round_to_division(counted.water_g, scales, ROUND_HALF_UP))
    weighed = replace(loaded, lyes=lyes, superfat=None, water=water)
    return BatchPlan(
        recipe=weighed,
        batch=compute_batch(weighed),
        factor=factor,
        weighings=tuple(_list_weighings(weighed, recipe, counted, factor, scales)),
        wanted_superfat_percent=original.superfat_percent,
    )


def _scale_line(line: WeighedLine, factor: Decimal, scales: Scales) -> WeighedLine:
    return replace(line, mass_g=_round_to_division(line.mass_g * factor, scales, ROUND_HALF_UP))


def _round_to_division(mass_g: Decimal, scales: Scales, rounding: str) -> Decimal:
    step = scales.division_g(mass_g)
    return (mass_g / step).to_integral_value(rounding) * step


def _scale_water(water: Water, factor: Decimal) -> Water:
    if water.form is WaterForm.MASS:
        return Water(WaterForm.MASS, water.value * factor)
    return water


def _replace_lye_by_superfat(recipe: Recipe, original: Batch) -> Recipe:
    """The recipe with its lye to be counted: weighed lye becomes the superfat it amounts to."""
    if recipe.superfat is not None:
        return recipe
    moles = [lye.pure_g / MOLAR_MASS[lye.alkali] for lye in original.lyes]
    total = sum(moles, Decimal(0))
    lyes = tuple(
        replace(lye, mass_g=None, share_percent=100 * mol / total if len(moles) > 1 else None)
        for lye, mol in zip(recipe.lyes, moles, strict=True)
    )
    discount = SuperfatSpec(SuperfatForm.LYE_DISCOUNT, original.superfat_percent)
    return replace(recipe, lyes=lyes, superfat=discount)


# -- the lines of the record -----------------------------------------------------------------------


def _list_weighings(
    weighed: Recipe, recipe: Recipe, counted: Batch, factor: Decimal, scales: Scales
) -> Iterator[Weighing]:
    materials = merge_own_materials(recipe)
    for line, source in zip(weighed.oils, recipe.oils, strict=True):
        role = WeighingRole.LATE_OIL if line.after_trace else WeighingRole.OIL
        yield _make_weighing(
            role, _material_id(materials, line), line, source.mass_g * factor, scales
        )
    for lye, exact in zip(weighed.lyes, counted.lyes, strict=True):
        yield _make_weighing(WeighingRole.LYE, lye.alkali.value, lye, exact.weighed_g, scales)
    water = weighed.water.value
    if water:
        coarse = scales.too_coarse(water)
        yield Weighing(
            WeighingRole.WATER, "water", water, counted.water_g, (), None, coarse,
            scale=scales.choose(water),
        )  # fmt: skip
    for line, source in zip(weighed.additives, recipe.additives, strict=True):
        yield _make_weighing(
            WeighingRole.ADDITIVE,
            _material_id(materials, line),
            line,
            source.mass_g * factor,
            scales,
        )
    for line, source in zip(weighed.colours, recipe.colours, strict=True):
        yield _make_weighing(
            WeighingRole.COLOUR, _material_id(materials, line), line, source.mass_g * factor, scales
        )
    for scent, origin in zip(weighed.scents, recipe.scents, strict=True):
        made = _make_weighing(WeighingRole.SCENT, scent.name, scent, origin.mass_g * factor, scales)
        oil = materials.find(scent.essential_oil)
        yield replace(made, essential_oil=oil.id if oil is not None else "")


def _make_weighing(
    role: WeighingRole, name: str, line: WeighedLine | Lye | Scent, exact_g: Decimal, scales: Scales
) -> Weighing:
    mass = line.mass_g
    assert mass is not None, "the scaled batch is weighed throughout"
    return Weighing(
        role, name, mass, exact_g, line.lots, line.price_per_kg, scales.too_coarse(exact_g),
        scale=scales.choose(mass),
    )  # fmt: skip


def _material_id(materials: Materials, line: WeighedLine) -> str:
    found = materials.find(line.material)
    return found.id if found is not None else line.material
