"""What is weighed for one batch: lye, water, poured and cured mass. Exact decimals throughout."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_FLOOR, Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said
from labelkit.formula.drying import DryingFit, fit_drying, to_percent
from labelkit.formula.expand import Expanded, Substance, expand_recipe
from labelkit.formula.materials import ValueRange, merge_own_materials
from labelkit.formula.purity import strength_range
from labelkit.order.recipe import (
    MOST_LYE_PERCENT,
    Alkali,
    Cure,
    Lye,
    MaterialKind,
    Recipe,
    SuperfatForm,
    WaterForm,
)

MOLAR_MASS = {Alkali.NAOH: Decimal("39.997"), Alkali.KOH: Decimal("56.106")}
"""g/mol, IUPAC atomic weights."""

DEFAULT_LOSS_PERCENT = Decimal(12)
"""Of the poured mass: common practice (10 to 15 % in four to six weeks), no source."""
DEFAULT_SPREAD_PERCENT = Decimal(3)
"""Half-range of the default loss."""
GUESSED_SPREAD_PERCENT = Decimal(2)
"""Half-range of a loss that the maker expects but has not weighed."""


@dataclass(frozen=True, slots=True)
class LyeWeighed:
    """One alkali as it goes on the scale."""

    alkali: Alkali
    weighed_g: Decimal
    """Grams on the scale (of the solution, where it is one)."""
    pure_g: Decimal
    water_g: Decimal
    """Water that a ready-made solution brings."""
    strength: ValueRange
    """The pure alkali as a share of what is weighed, from 0 to 1."""

    @property
    def impurity_g(self) -> Decimal:
        """What is neither alkali nor water: it stays in the bar and is not declared."""
        return self.weighed_g - self.pure_g - self.water_g


@dataclass(frozen=True, slots=True)
class CureLoss:
    """What leaves in cure, in percent of the poured mass, with half the width of its range."""

    percent: Decimal
    spread_percent: Decimal
    source: str
    """"bars", "expected" or "default"."""
    fit: DryingFit | None = None
    """What the marker bars tell, where there are any."""


@dataclass(frozen=True, slots=True)
class ValueUsed:
    """The saponification value (for an acid, the acid value) counted with, mg KOH per g."""

    material: str
    value: Decimal
    low: Decimal
    high: Decimal
    source: str
    published: tuple[Decimal, Decimal] | None = None
    """The range of the materials table, where it has the material."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Masses of one batch in grams."""

    lyes: tuple[LyeWeighed, ...]
    water_g: Decimal
    """Plain water to weigh, beside that of a lye solution."""
    oils_g: Decimal
    poured_g: Decimal
    cured_g: Decimal
    loss: CureLoss
    superfat_percent: Decimal
    """Share of the oils' alkali demand that is not met."""
    full_koh_g: Decimal
    """Alkali demand of the fats, as KOH."""
    values: tuple[ValueUsed, ...] = ()
    liquids_water_g: Decimal = Decimal(0)
    """Water that milk, beer, vinegar and their like bring."""

    @property
    def lye_g(self) -> Decimal:
        return sum((lye.weighed_g for lye in self.lyes), Decimal(0))

    @property
    def all_water_g(self) -> Decimal:
        """Plain water, and that of lye solutions and of other liquids."""
        brought = sum((lye.water_g for lye in self.lyes), Decimal(0))
        return self.water_g + brought + self.liquids_water_g

    @property
    def lye_concentration_percent(self) -> Decimal:
        """Solid lye in lye and all water together."""
        solid = self.lye_g - sum((lye.water_g for lye in self.lyes), Decimal(0))
        whole = solid + self.all_water_g
        return 100 * solid / whole if whole else Decimal(0)

    @property
    def water_to_lye(self) -> Decimal:
        share = self.lye_concentration_percent
        return (100 - share) / share if share else Decimal(0)

    @property
    def water_share_of_oils_percent(self) -> Decimal:
        return 100 * self.all_water_g / self.oils_g

    def superfat_with(self, pure_g: Iterable[tuple[Alkali, Decimal]]) -> Decimal:
        """The superfat in percent of the same oils and acids with other grams of pure alkali."""
        mol = sum((grams / MOLAR_MASS[alkali] for alkali, grams in pure_g), Decimal(0))
        more = mol - sum((_moles_of_lye(lye) for lye in self.lyes), Decimal(0))
        return self.superfat_percent - 100 * more * MOLAR_MASS[Alkali.KOH] / self.full_koh_g


def compute_batch(recipe: Recipe) -> Batch:
    """Counts the batch of a recipe; InputError for what cannot be weighed."""
    return compute_expanded_batch(recipe, expand_recipe(recipe, merge_own_materials(recipe)))


def compute_expanded_batch(recipe: Recipe, expanded: Expanded) -> Batch:
    """The same, for a recipe already taken apart."""
    demand = _sum_demand_koh_g(expanded, expanded.substances)
    if demand <= 0:
        recipe.wrong(
            "oil", None, Said("nothing here takes alkali; expected a fat, wax or fatty acid")
        )
    acids = _sum_acid_demand_mol(expanded)
    lyes = tuple(_weigh_lyes(recipe, expanded, demand, acids))
    oils = sum((line.mass_g for line in recipe.oils), Decimal(0))
    water = _compute_water_g(recipe, lyes, oils)
    lines = sum((line.mass_g for line in expanded.lines), Decimal(0))
    poured = lines + water + sum((lye.weighed_g for lye in lyes), Decimal(0))
    loss = _estimate_loss(recipe.cure, recipe.scale_g)
    alkali_koh = sum((_moles_of_lye(lye) for lye in lyes), Decimal(0)) - acids
    alkali_koh *= MOLAR_MASS[Alkali.KOH]
    batch = Batch(
        lyes=lyes,
        water_g=water,
        oils_g=oils,
        poured_g=poured,
        cured_g=poured * (100 - loss.percent) / 100,
        loss=loss,
        superfat_percent=100 * (demand - alkali_koh) / demand,
        full_koh_g=demand,
        values=_list_values_used(expanded),
        liquids_water_g=sum(
            (expanded.mass_g(s) for s in expanded.substances if s.dries), Decimal(0)
        ),
    )
    _check_lye_dissolves(recipe, batch)
    return batch


def _check_lye_dissolves(recipe: Recipe, batch: Batch) -> None:
    """However the water is stated, and whatever brings it, it must dissolve the lye.

    A division of the scale is let pass: the rounding of a batch is no fault of its maker.
    """
    solid = batch.lye_g - sum((lye.water_g for lye in batch.lyes), Decimal(0))
    needed = solid * (100 - MOST_LYE_PERCENT) / MOST_LYE_PERCENT
    if batch.all_water_g + recipe.scale_g >= needed:
        return
    form = recipe.water.form
    least = batch.water_g + needed - batch.all_water_g
    expected = {
        WaterForm.SHARE_OF_OILS: Said("{n} %", n=Number(100 * needed / batch.oils_g, 1)),
        WaterForm.WATER_TO_LYE: Number(needed / solid, 2),
    }
    recipe.wrong(
        f"water.{form.value}",
        recipe.water.typed or str(recipe.water.value),
        Said(
            "makes {water} g of water in all for {solid} g of lye, a concentration of {share} %;"
            " over {most} % does not dissolve: expected at least {least}",
            water=Number(batch.all_water_g, 1),
            solid=Number(Decimal(solid), 1),
            share=Number(batch.lye_concentration_percent, 1),
            most=MOST_LYE_PERCENT,
            least=expected.get(form, Said("{n} g", n=Number(least, 0))),
        ),
    )


def round_to_scale(mass_g: Decimal, division_g: Decimal, rounding: str = ROUND_FLOOR) -> Decimal:
    """A mass in grams as a scale of that division shows it, rounded down: less lye is the safer.

    A mass under one division is given in tenths of it (or hundredths ...), never as nothing.
    """
    while 0 < mass_g < division_g:
        division_g /= 10
    return (mass_g / division_g).to_integral_value(rounding) * division_g


def _list_values_used(expanded: Expanded) -> tuple[ValueUsed, ...]:
    used = (
        ValueUsed(
            s.material.name(),
            s.saponification.value,
            s.saponification.low,
            s.saponification.high,
            s.material.source,
            s.material.published.ends if s.material.published.high else None,
        )
        for s in expanded.substances
        if s.saponification.value > 0 and not s.named
    )
    return tuple(dict.fromkeys(used))


# -- lye -------------------------------------------------------------------------------------------


def _moles_of_lye(lye: LyeWeighed) -> Decimal:
    return lye.pure_g / MOLAR_MASS[lye.alkali]


def _sum_demand_koh_g(expanded: Expanded, substances: tuple[Substance, ...]) -> Decimal:
    demand = (expanded.mass_g(s) * s.saponification.value / 1000 for s in substances)
    return sum(demand, Decimal(0))


def _sum_acid_demand_mol(expanded: Expanded) -> Decimal:
    """Alkali that hydroxy acids take for themselves, on top of the oils' and never discounted."""
    return sum(
        (
            expanded.mass_g(s) / s.material.molar_mass * s.material.alkali_per_mole
            for s in expanded.substances
            if s.material.kind is MaterialKind.HYDROXY_ACID
        ),
        Decimal(0),
    )


def _weigh_lyes(
    recipe: Recipe, expanded: Expanded, demand_koh_g: Decimal, acids_mol: Decimal
) -> list[LyeWeighed]:
    if recipe.superfat is None:
        return [_weigh_given_lye(lye) for lye in recipe.lyes]
    if recipe.superfat.form is SuperfatForm.AFTER_TRACE:
        counted = tuple(s for s in expanded.substances if not s.late)
        demand_koh_g = _sum_demand_koh_g(expanded, counted)
    mol = demand_koh_g / MOLAR_MASS[Alkali.KOH] * (1 - _superfat_discount(recipe)) + acids_mol
    return [_weigh_computed_lye(lye, mol) for lye in recipe.lyes]


def _superfat_discount(recipe: Recipe) -> Decimal:
    """Superfat as a share of the lye: 5 % extra oil on top is 0.05/1.05 less lye."""
    superfat = recipe.superfat
    if superfat is None or superfat.form is SuperfatForm.AFTER_TRACE:
        return Decimal(0)
    if superfat.form is SuperfatForm.LYE_DISCOUNT:
        return superfat.percent / 100
    return superfat.percent / (100 + superfat.percent)


def _weigh_given_lye(lye: Lye) -> LyeWeighed:
    assert lye.mass_g is not None
    if lye.concentration_percent is not None:
        pure = lye.mass_g * lye.concentration_percent / 100
        return LyeWeighed(lye.alkali, lye.mass_g, pure, lye.mass_g - pure, strength_range(lye))
    pure = lye.mass_g * lye.purity_percent / 100
    return LyeWeighed(lye.alkali, lye.mass_g, pure, Decimal(0), strength_range(lye))


def _weigh_computed_lye(lye: Lye, total_mol: Decimal) -> LyeWeighed:
    share = Decimal(100) if lye.share_percent is None else lye.share_percent
    pure = total_mol * share / 100 * MOLAR_MASS[lye.alkali]
    if lye.concentration_percent is not None:
        solution = pure * 100 / lye.concentration_percent
        return LyeWeighed(lye.alkali, solution, pure, solution - pure, strength_range(lye))
    weighed = pure * 100 / lye.purity_percent
    return LyeWeighed(lye.alkali, weighed, pure, Decimal(0), strength_range(lye))


# -- water and loss --------------------------------------------------------------------------------


def _compute_water_g(recipe: Recipe, lyes: tuple[LyeWeighed, ...], oils_g: Decimal) -> Decimal:
    """Plain water to weigh: what is wanted in all, less what a lye solution brings."""
    form, value = recipe.water.form, recipe.water.value
    if form is WaterForm.MASS:
        return value
    brought = sum((lye.water_g for lye in lyes), Decimal(0))
    solid = sum((lye.weighed_g for lye in lyes), Decimal(0)) - brought
    if form is WaterForm.LYE_CONCENTRATION:
        wanted = solid * (100 - value) / value
    elif form is WaterForm.WATER_TO_LYE:
        wanted = solid * value
    else:
        wanted = oils_g * value / 100
    if wanted < brought:
        recipe.wrong(
            f"water.{form.value}",
            recipe.water.typed or str(value),
            Said(
                "the lye solution alone brings {brought} g of water, more than the {wanted} g "
                "asked for",
                brought=Number(Decimal(brought), 1),
                wanted=Number(Decimal(wanted), 1),
            ),
        )
    return wanted - brought


def _estimate_loss(cure: Cure, scale_g: Decimal) -> CureLoss:
    fit = fit_drying(cure) if cure.bars else None
    if fit is not None:
        return _loss_from_weighings(cure, fit, scale_g)
    if cure.loss_percent is not None:
        spread = GUESSED_SPREAD_PERCENT if cure.spread_percent is None else cure.spread_percent
        return CureLoss(cure.loss_percent, spread, "expected")
    return CureLoss(DEFAULT_LOSS_PERCENT, DEFAULT_SPREAD_PERCENT, "default")


def _loss_from_weighings(cure: Cure, fit: DryingFit, scale_g: Decimal) -> CureLoss:
    """The loss that the bars tell; its range is theirs and the scale's own."""
    poured = sum((bar.poured_g for bar in cure.bars), Decimal(0)) / len(cure.bars)
    scale = 100 * scale_g / 2 / poured / Decimal(fit.bars).sqrt()
    half = GUESSED_SPREAD_PERCENT if fit.bars == 1 else to_percent(fit.half_percent)
    return CureLoss(to_percent(fit.percent), scale + half, "bars", fit)
