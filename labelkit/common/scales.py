"""A scale as its display shows a mass: in grams, in ounces, or in pounds and ounces."""

from __future__ import annotations

import re
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.quantity import (
    GRAMS_PER_OUNCE,
    QuantityError,
    format_report_number,
    list_mass_units,
    parse_mass_g,
)

OUNCES_PER_POUND = 16
DIVISION = Said('one division such as "1 g", "0.1 oz", "1/8 oz" or, for pounds too, "0 lb 0.1 oz"')


class ScaleUnit(StrEnum):
    """What the figures on the display are."""

    GRAMS = "g"
    OUNCES = "oz"
    POUNDS = "lb"
    """Pounds, and ounces beside them."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale's division in grams, and how its display writes a mass."""

    division_g: Decimal
    unit: ScaleUnit = ScaleUnit.GRAMS
    parts: int = 0
    """An ounce is shown in so many parts, as fractions; 0: in decimals."""

    @property
    def is_avoirdupois(self) -> bool:
        return self.unit is not ScaleUnit.GRAMS

    @property
    def division(self) -> Decimal:
        """One division in the display's own unit: grams or ounces."""
        per_unit = GRAMS_PER_OUNCE if self.is_avoirdupois else Decimal(1)
        return _strip_zeros(self.division_g / per_unit)

    @property
    def average(self) -> Scale:
        """As fine as an average of many weighings is known: to a tenth of a gram, or of an ounce
        scale's division."""
        if self.is_avoirdupois:
            return self.divide(10)
        return Scale(min(self.division_g, Decimal("0.1")))

    def divide(self, times: int) -> Scale:
        """The same display with its division divided; a fraction of an ounce becomes a decimal."""
        return Scale(self.division_g / times, self.unit)

    def show(self, mass_g: Decimal, rounding: str = ROUND_HALF_UP) -> Decimal:
        """A mass in the display's own unit, in whole divisions; grams or ounces.

        A mass under one division is given in tenths of it (or hundredths ...), never as nothing.
        """
        scale = self.fine_enough(mass_g)
        steps = (mass_g / scale.division_g).to_integral_value(rounding)
        return steps * scale.division

    def fine_enough(self, mass_g: Decimal) -> Scale:
        """This scale, or where a mass is under one division, one ten times (or ...) as fine."""
        scale = self
        while 0 < mass_g < scale.division_g:
            scale = scale.divide(10)
        return scale


def read_scale(text: str) -> Scale:
    """A scale by one of its divisions, as a maker writes it: ``"1 g"``, ``"0.1 oz"``,
    ``"1/8 oz"`` for fractions, ``"0 lb 0.1 oz"`` for pounds and ounces.

    Raises QuantityError.
    """
    division_g = parse_mass_g(text)
    if division_g <= 0:
        raise QuantityError(Said("expected {expected}", expected=DIVISION))
    units = list_mass_units(text)
    if not units & {"ounce", "pound"}:
        return Scale(division_g)
    unit = ScaleUnit.POUNDS if "pound" in units else ScaleUnit.OUNCES
    fraction = re.search(r"\b1\s*[/⁄]\s*(\d+)", text)
    parts = int(fraction[1]) if fraction else next((2**n for n in _SIGNS if _SIGNS[n] in text), 0)
    return Scale(division_g, unit, parts)


_SIGNS = {1: "½", 2: "¼", 3: "⅛"}
"""The signs of a half, a quarter and an eighth, by their power of two."""


def find_other_scale(scale: Scale, unit: ScaleUnit) -> Scale:
    """A scale about as fine that shows another unit, in decimals; in hundredths at the finest."""
    if scale.unit is unit and not scale.parts:
        return scale
    per_unit = Decimal(1) if unit is ScaleUnit.GRAMS else GRAMS_PER_OUNCE
    places = next((n for n in range(2) if per_unit.scaleb(-n) <= scale.division_g), 2)
    return Scale(per_unit.scaleb(-places), unit)


def split_pounds(ounces: Decimal) -> tuple[int, Decimal]:
    """Whole pounds in a number of ounces, and the ounces beside them."""
    pounds = int((ounces / OUNCES_PER_POUND).to_integral_value(ROUND_FLOOR))
    return pounds, ounces - pounds * OUNCES_PER_POUND


def split_fraction(ounces: Decimal, parts: int) -> tuple[int, int, int]:
    """Whole ounces, and what is left of them as a fraction in its lowest terms (0, 1: nothing)."""
    whole = int(ounces.to_integral_value(ROUND_FLOOR))
    over = int(((ounces - whole) * parts).to_integral_value(ROUND_HALF_UP))
    while over and over % 2 == 0:
        over, parts = over // 2, parts // 2
    return (whole, over, parts) if over else (whole, 0, 1)


def format_on_scale(
    mass_g: Decimal, scale: Scale, locale: str, rounding: str = ROUND_HALF_UP
) -> str:
    """A mass as a scale shows it, with its unit and no more places than the scale has."""
    shown, unit = format_figure(mass_g, scale, locale, rounding), scale.unit
    return shown if unit is ScaleUnit.POUNDS else f"{shown}\u00a0{unit.value}"


def format_figure(mass_g: Decimal, scale: Scale, locale: str, rounding: str = ROUND_HALF_UP) -> str:
    """The same without its unit, but for pounds and ounces."""
    scale = scale.fine_enough(mass_g)
    value = scale.show(mass_g, rounding)
    if scale.unit is not ScaleUnit.POUNDS:
        return _format_shown(value, scale, locale)
    pounds, ounces = split_pounds(value)
    beside = f"{_format_shown(ounces, scale, locale)}\u00a0oz"
    return f"{pounds}\u00a0lb {beside}" if pounds else beside


def _format_shown(value: Decimal, scale: Scale, locale: str) -> str:
    if scale.parts:
        whole, over, parts = split_fraction(value, scale.parts)
        fraction = f"{over}/{parts}"
        if not over:
            return str(whole)
        return f"{whole}\u00a0{fraction}" if whole else fraction
    places = max(0, -int(scale.division.as_tuple().exponent))
    return format_report_number(value.quantize(Decimal(1).scaleb(-places)), locale)


def _strip_zeros(value: Decimal) -> Decimal:
    value = value.normalize()
    return value.quantize(Decimal(1)) if value == value.to_integral_value() else value
