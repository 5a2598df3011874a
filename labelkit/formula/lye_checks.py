"""Slips in what a recipe says of its lye, each with the superfat it would really leave.

A purity that no tub has, a solution that is a tub of solid lye, potassium hydroxide for sodium
hydroxide, ounces for grams: each makes a batch that looks right on paper and burns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.common.messages import FactList, Number, Said
from labelkit.common.quantity import GRAMS_PER_OUNCE, is_avoirdupois, is_in_ounces
from labelkit.formula.batch import Batch, LyeWeighed
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.purity import find_sold_purity
from labelkit.order.recipe import MOST_SUPERFAT_PERCENT, Alkali, Lye, Recipe

LEAST_STOCK_PERCENT = Decimal(45)
"""Lye is kept as a solution of about half and half; what is thinner is lye as it is poured (common
practice, no source)."""
MOST_OUNCES = Decimal(100)
"""So many ounces of oil are written in pounds, and fewer grams make no batch (common
practice, no source)."""


def find_lye_uncertainties(recipe: Recipe, batch: Batch) -> Iterator[Uncertainty]:
    """Everything that is odd about purity, strength, alkali and units."""
    for lye, weighed in zip(recipe.lyes, batch.lyes, strict=True):
        if lye.concentration_percent is None:
            yield from _find_purity_uncertainties(batch, lye, weighed)
        elif lye.concentration_percent < LEAST_STOCK_PERCENT:
            yield _make_thin_lye_uncertainty(batch, lye, weighed)
    yield from _find_alkali_uncertainties(batch)
    yield from _find_unit_uncertainties(recipe, batch)


# -- purity and strength ---------------------------------------------------------------------------


def _find_purity_uncertainties(
    batch: Batch, lye: Lye, weighed: LyeWeighed
) -> Iterator[Uncertainty]:
    market, purity = find_sold_purity(lye.alkali), lye.purity_percent
    if market.low <= purity <= market.high:
        return
    usual = market.high if purity < market.low else market.low
    superfat = _superfat_at_purity(batch, weighed, usual)
    assayed = lye.purity_spread_percent is not None
    facts: dict[str, object] = {
        "alkali": lye.alkali,
        "purity": Number(purity),
        "low": Number(market.low),
        "high": Number(market.high),
        "usual": Number(usual),
        "superfat": Number(superfat, 1),
    }
    excess = superfat <= 0 and not assayed
    message = Said(
        "solid {alkali} of {purity} % purity: it is sold with {low} to {high} %, and with"
        " {usual} % the superfat would be {superfat} %",
        **facts,
    )
    remedy = Said("compare it with the label of the tub")
    if not lye.purity_given:
        message = Said(
            "no purity given for {alkali}: counted as pure, and it is sold with {low} to {high} %;"
            " with {usual} % the superfat would be {superfat} %",
            **facts,
        )
        remedy = Said("copy the purity from the supplier's label")
    elif purity < market.low:
        remedy = Said(
            "compare it with the label of the tub; if the lye comes dissolved, write {key} instead"
            " of purity",
            key=f'solution = "{purity.normalize():f} %"',
        )
    yield Uncertainty(
        "alkali",
        "fail" if purity < market.least or excess else "warn",
        message,
        remedy,
        Said("{share} %", share=Number(purity)),
        Said("{low} to {high} %", low=Number(market.low), high=Number(market.high)),
    )


def _superfat_at_purity(batch: Batch, changed: LyeWeighed, purity_percent: Decimal) -> Decimal:
    """The superfat in percent if one lye, solid and weighed as it is, were of that purity."""
    return batch.superfat_with(
        (
            lye.alkali,
            lye.weighed_g * purity_percent / 100 if lye is changed else lye.pure_g,
        )
        for lye in batch.lyes
    )


def _make_thin_lye_uncertainty(batch: Batch, lye: Lye, weighed: LyeWeighed) -> Uncertainty:
    """A strength at which lye is poured, and seldom kept: most likely the tub holds solid lye."""
    solid = find_sold_purity(lye.alkali).high
    return Uncertainty(
        "alkali",
        "warn",
        Said(
            "{alkali} is to be weighed as a ready-made solution of {share} %, {grams} g of liquid;"
            " the same weight of solid lye would leave a superfat of {superfat} %",
            alkali=lye.alkali,
            share=Number(weighed.strength.value * 100),
            grams=Number(weighed.weighed_g, 0),
            superfat=Number(_superfat_at_purity(batch, weighed, solid), 1),
        ),
        Said(
            "if solid lye is weighed and dissolved, write purity instead of solution, and how"
            " strong it is mixed as lye_concentration under [water]"
        ),
    )


# -- which alkali ----------------------------------------------------------------------------------


def exchange_alkalis(lyes: Sequence[LyeWeighed]) -> Iterator[tuple[Alkali, Decimal]]:
    """Grams of pure alkali if every jar held the other one, as pure as that is sold at most."""
    for lye in lyes:
        other = Alkali.KOH if lye.alkali is Alkali.NAOH else Alkali.NAOH
        solid = lye.weighed_g * find_sold_purity(other).high / 100
        yield other, lye.pure_g if lye.water_g else solid


def _find_alkali_uncertainties(batch: Batch) -> Iterator[Uncertainty]:
    """Lye that leaves much oil, and potassium hydroxide that would burn if it were sodium's."""
    if batch.superfat_percent < 0:
        return
    swapped = batch.superfat_with(exchange_alkalis(batch.lyes))
    names = [lye.alkali for lye in batch.lyes]
    facts: dict[str, object] = {
        "superfat": Number(batch.superfat_percent, 1),
        "alkali": FactList(names, "and"),
        "other": FactList([alkali for alkali, _ in exchange_alkalis(batch.lyes)], "and"),
        "swapped": Number(swapped, 1),
    }
    measured = Said("superfat {superfat} %", superfat=facts["superfat"])
    if batch.superfat_percent > MOST_SUPERFAT_PERCENT:
        yield Uncertainty(
            "alkali",
            "warn",
            Said(
                "so little lye leaves {superfat} % of the oils as they are: a soft bar that may"
                " never set; with {other} for {alkali} the superfat would be {swapped} %",
                **facts,
            ),
            Said(
                "compare the grams of lye, their unit, its purity and which alkali it is with the"
                " tub and the scale"
            ),
            measured,
            Said("at most {limit} %", limit=Number(MOST_SUPERFAT_PERCENT)),
        )
    elif swapped <= 0 and Alkali.KOH in names:
        message = Said(
            "{alkali} is counted with, which alone makes a soft soap; if the tub holds {other}, as"
            " for bars, the superfat would be {swapped} %",
            **facts,
        )
        if len(names) > 1:
            message = Said(
                "{alkali} are counted with; if the two tubs were taken for each other, the superfat"
                " would be {swapped} %",
                **facts,
            )
        remedy = Said("read the label of the tub: the two look alike, and are not weighed alike")
        yield Uncertainty("alkali", "warn", message, remedy, measured)


# -- units -----------------------------------------------------------------------------------------


def _find_unit_uncertainties(recipe: Recipe, batch: Batch) -> Iterator[Uncertainty]:
    """Ounces among grams, and more ounces than anyone writes."""
    named = [(oil.material, oil.typed) for oil in recipe.oils]
    named += [(lye.alkali.value, lye.typed) for lye in recipe.lyes]
    ounces = [name for name, typed in named if is_avoirdupois(typed)]
    grams = [name for name, typed in named if typed and not is_avoirdupois(typed)]
    if ounces and grams:
        yield Uncertainty(
            "alkali",
            "warn",
            Said(
                "{ounces} in ounces or pounds, and {grams} in grams or kilograms: a unit that is"
                " wrong makes 28 times too much lye, or too little",
                ounces=FactList(ounces, "and"),
                grams=FactList(grams, "and"),
            ),
            Said("write the oils and the lye in the unit of the scale that weighs them"),
        )
    if not ounces:
        yield from _find_ounces_beside_grams(recipe)
    total = batch.oils_g / GRAMS_PER_OUNCE
    if total >= MOST_OUNCES and all(is_in_ounces(oil.typed) for oil in recipe.oils):
        yield Uncertainty(
            "alkali",
            "warn",
            Said(
                "{ounces} oz of oils, which is {kilograms} kg: are they ounces, or grams?",
                ounces=Number(total, 0),
                kilograms=Number(batch.oils_g / 1000, 1),
            ),
            Said("write so much in pounds, or correct the unit"),
        )


def _find_ounces_beside_grams(recipe: Recipe) -> Iterator[Uncertainty]:
    """Ounces of what is stirred in, where oils and lye are in grams."""
    added = [*recipe.additives, *recipe.colours]
    ounces = [line.material for line in added if is_avoirdupois(line.typed)]
    if ounces:
        yield Uncertainty(
            "unit",
            "warn",
            Said(
                "{ounces} in ounces or pounds, and the oils in grams: an ounce is 28 grams",
                ounces=FactList(ounces, "and"),
            ),
            Said("write it in the unit of the scale that weighs it"),
        )
