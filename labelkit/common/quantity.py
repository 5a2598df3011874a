"""Masses and lengths as a maker writes them, and as a locale prints them.

The few units of a maker's files stand here with their exact factors: a library of units takes
longer to load than most commands take to run. Writing is Babel's, imported on first use.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.errors import UnreadableTextError
from labelkit.common.messages import Number, Said, Verbatim

GRAMS_PER_OUNCE = Decimal("28.349523125")
"""International avoirdupois ounce, exact (NIST Handbook 44, Appendix C)."""

MM_PER_INCH = Decimal("25.4")
PT_PER_MM = 72 / 25.4

_FACTORS = {
    "gram": Decimal(1), "kilogram": Decimal("1E+3"), "milligram": Decimal("0.001"),
    "ounce": GRAMS_PER_OUNCE, "pound": Decimal("453.59237"),
    "millimeter": Decimal(1), "centimeter": Decimal("1E+1"), "meter": Decimal("1E+3"),
    "inch": MM_PER_INCH, "point": MM_PER_INCH / 72,
    "milliliter": Decimal(1), "centiliter": Decimal("1E+1"), "liter": Decimal("1E+3"),
}  # fmt: skip
"""Grams, millimetres or millilitres in one unit (NIST Handbook 44, Appendix C; the desktop
publishing point is a 72nd of an inch)."""

_PART = re.compile(r"\s*([+-]?[\d.,][\d\s.,'’]*)([^\W\d_]+\.?|″|\")\s*")
_NUMBER = re.compile(r"[+-]?(?:\d+|\d{1,3}(?:\s\d{3})+|(?=[.,]\d))(?:[.,]\d+)?")
"""Digits, blanks between the thousands, and one decimal point or comma."""
_COMMA_AND_THREE = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_POINT_AND_THREE = re.compile(r"\+?[1-9]\d{0,2}\.\d{3}")
_NEXT_SMALLER = {"kilogram": "g", "gram": "mg"}
"""Units in which a point may part thousands as well, and in what a thousandth of one is written."""
_MARKED = re.compile(r"(\d{1,3}(?:([.,'’])\d{3})(?:\2\d{3})*)((?!\2)[.,]\d+)?")
"""Thousands parted by commas, points or apostrophes, and perhaps decimals after another mark."""
_MASS_UNITS = {
    "g": "gram", "gram": "gram", "grams": "gram", "gramme": "gram", "grammes": "gram",
    "kg": "kilogram", "mg": "milligram",
    "oz": "ounce", "ounce": "ounce", "ounces": "ounce", "once": "ounce", "onces": "ounce",
    "lb": "pound", "lbs": "pound", "pound": "pound", "pounds": "pound",
}  # fmt: skip
_LENGTH_UNITS = {
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "pt": "point",
    "in": "inch", "inch": "inch", "inches": "inch", '"': "inch", "″": "inch",
}  # fmt: skip

_FRACTION_SIGNS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_FRACTION = re.compile(
    r"(?:(?<![\d.,/⁄])(\d+)(?:\s+|-))?(?<![\d.,/⁄])(\d+)\s*[/⁄]\s*(\d+)"
    r"(?=\s*(?:oz|ounces?|onces?|lbs?|pounds?|in|inch(?:es)?|\"|″)(?!\w))",
    re.IGNORECASE,
)
"""A whole number and a fraction of a unit that is divided so; grams and millimetres are not."""
_PARTS = (2, 4, 8, 16, 32, 64)
_BARE_FRACTION = re.compile(rf"(?:\d+(?:\s+|-)?)?(?:\d+\s*[/⁄]\s*\d+|[{''.join(_FRACTION_SIGNS)}])")
_BARE_NUMBER = re.compile(rf"[\d.,]+|{_BARE_FRACTION.pattern}")

_USUAL_UNITS = {
    "gram": ("g", Said("grams")),
    "millimeter": ("mm", Said("millimetres")),
    "milliliter": ("mL", Said("millilitres")),
}
"""What a number that lacks its unit was most likely measured in."""
_VOLUME_UNITS = {
    "ml": "milliliter", "cl": "centiliter", "l": "liter",
    "litre": "liter", "litres": "liter", "liter": "liter", "liters": "liter",
}  # fmt: skip
"""Fluid ounces and gallons are left out: they differ between countries."""


class QuantityError(UnreadableTextError):
    """Text that is not a quantity of the wanted kind."""


class NumberError(QuantityError):
    """A number that two readers would read as two: the message says how to write either."""


@lru_cache(maxsize=1024)
def parse_mass_g(text: str) -> Decimal:
    """Grams in ``"480 g"``, ``"1 lb 2 oz"``, ``"1,2 kg"``, ``"1 200 g"``; never negative.

    Raises QuantityError, also for ``"1,200 g"`` and ``"1.200 g"``, which are 1200 to one reader and
    1.2 to the next. Ounces are avoirdupois; of those a point is always a decimal point, because the
    countries that weigh in them write none between thousands.
    """
    return _sum_parts(text, _MASS_UNITS, "gram", Said('a mass such as "480 g" or "1 lb 2 oz"'))


def is_avoirdupois(text: str) -> bool:
    """Whether a mass is written in ounces or pounds."""
    return bool(list_mass_units(text) & {"ounce", "pound"})


def is_in_ounces(text: str) -> bool:
    """Whether a mass is written in ounces alone."""
    return list_mass_units(text) == {"ounce"}


def list_mass_units(text: str) -> set[str]:
    """The units a mass is written in, by their names in the singular."""
    text = _write_fractions_as_decimals(text)
    written = (part.group(2) for part in _PART.finditer(text))
    return {_MASS_UNITS.get(unit.lower().rstrip("."), "") for unit in written}


@lru_cache(maxsize=1024)
def parse_length_mm(text: str) -> Decimal:
    """Millimetres in ``"44 mm"``, ``"1.5 in"``, ``"6 pt"``; QuantityError, also when negative."""
    return _sum_parts(
        text, _LENGTH_UNITS, "millimeter", Said('a length such as "44 mm" or "1.5 in"')
    )


@lru_cache(maxsize=1024)
def parse_volume_ml(text: str) -> Decimal:
    """Millilitres in ``"1 L"``, ``"750 mL"``, ``"70 cl"``; QuantityError, also when negative."""
    return _sum_parts(text, _VOLUME_UNITS, "milliliter", Said('a volume such as "1 L" or "750 mL"'))


@lru_cache(maxsize=1024)
def parse_size_mm(text: str) -> tuple[Decimal, Decimal]:
    """Width and height in millimetres of ``"44 x 28 mm"`` or ``"1.5 in x 1 in"``.

    Raises QuantityError.
    """
    expected = Said('expected a width and a height such as "44 x 28 mm"')
    sides = re.split(r"\s*[x×]\s*", text.strip())
    if len(sides) != 2:
        raise QuantityError(expected)
    unit = re.search(r"([^\W\d_]+|″|\")\s*$", sides[1])
    if unit and re.fullmatch(_BARE_NUMBER, sides[0].strip()):
        sides[0] = f"{sides[0]} {unit.group(1)}"
    if all(_NUMBER.fullmatch(side) and not side.startswith("-") for side in sides):
        for side in sides:
            _parse_decimal(side, "mm", expected)
        raise QuantityError(
            Said(
                'has no unit; for millimetres write "{size} mm", for inches "{size} in"',
                size=text.strip(),
            )
        )
    try:
        return parse_length_mm(sides[0]), parse_length_mm(sides[1])
    except NumberError:
        raise
    except QuantityError as error:
        raise QuantityError(expected) from error


@lru_cache(maxsize=1024)
def parse_percent(text: str) -> Decimal:
    """The number before the sign in ``"10 %"``: Decimal(10). Raises QuantityError.

    A comma is a decimal comma: shares reach no thousands.
    """
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*%\s*", text)
    if not match:
        raise QuantityError(Said("expected {expected}", expected=suggest_share(text)))
    return Decimal(match.group(1).replace(",", "."))


def suggest_share(text: str, otherwise: Said = Said('a share such as "5 %"')) -> Said:
    """What to write for a share: the same number with its sign, where only that is missing.

    A number below one may be a share already, or a part of one.
    """
    number = text.strip().replace(",", ".")
    if not re.fullmatch(r"\d{1,3}(?:\.\d{1,6})?", number) or Decimal(number) > 100:
        return otherwise
    written = Said('a per cent sign: "{number} %"', number=number)
    value = Decimal(number)
    if not 0 < value < 1:
        return written
    percent = f"{(value * 100).normalize():f}"
    return Said('{written} or "{percent} %"', written=written, percent=percent)


def _sum_parts(text: str, units: dict[str, str], base: str, expected: Said) -> Decimal:
    text = _write_fractions_as_decimals(text)
    position, total, found = 0, Decimal(0), False
    while match := _PART.match(text, position):
        number, unit = match.group(1), match.group(2)
        name = units.get(unit if unit in units else unit.lower().rstrip("."))
        if name is None:
            raise QuantityError(
                Said(
                    "unknown unit {unit}; expected {expected}",
                    unit=Verbatim(unit),
                    expected=expected,
                )
            )
        if number.startswith("-"):
            raise QuantityError(
                Said("must not be negative; expected {expected}", expected=expected)
            )
        total += _parse_decimal(number.strip(), unit, expected) * _FACTORS[name]
        position, found = match.end(), True
    number = text.strip()
    if not found and is_bare_fraction(number):
        unit = "lb" if base == "gram" else "in"
        raise QuantityError(
            Said('a fraction needs its unit: "{number} {unit}"', number=number, unit=unit)
            if base != "milliliter"
            else Said("expected {expected}", expected=expected)
        )
    if not found and _NUMBER.fullmatch(number) and not number.startswith("-"):
        _parse_decimal(number, _USUAL_UNITS[base][0], expected)
        raise QuantityError(_explain_missing_unit(number, base))
    if not found or position != len(text):
        raise QuantityError(Said("expected {expected}", expected=expected))
    return total


def _write_fractions_as_decimals(text: str) -> str:
    """``"3 1/2 oz"`` and ``"3-1/2 oz"`` as ``"3.5 oz"``.

    Halves down to sixty-fourths of ounces, pounds and inches. Any other fraction is left as it
    stands, and is no quantity.
    """
    for sign, fraction in _FRACTION_SIGNS.items():
        text = text.replace(sign, f" {fraction}")
    return _FRACTION.sub(_write_fraction, text)


def _write_fraction(match: re.Match[str]) -> str:
    whole, over, parts = int(match[1] or 0), int(match[2]), int(match[3])
    if parts not in _PARTS or not 0 < over < parts:
        return match[0]
    return f" {whole + Decimal(over) / parts} "


def is_bare_fraction(text: str) -> bool:
    """Whether a text is a fraction without a unit, such as ``5 7/8``."""
    return _BARE_FRACTION.fullmatch(text.strip()) is not None


def _explain_missing_unit(number: str, base: str) -> Said:
    unit, spoken = _USUAL_UNITS[base]
    return Said(
        'has no unit; for {spoken} write "{number} {unit}"', spoken=spoken, number=number, unit=unit
    )


def unquote_number(text: str) -> str:
    """How a number that stands in quotes is written without them; "" for what is no number.

    ``"24,50"`` is ``24.50``; of a comma that may part thousands as well, both readings are given.
    """
    number = text.strip()
    if _COMMA_AND_THREE.fullmatch(number):
        return " or ".join((number.replace(",", ""), number.replace(",", ".")))
    plain = re.fullmatch(r"-?(?:0|[1-9]\d*)(?:[.,]\d+)?", number, re.ASCII)
    return number.replace(",", ".") if plain else ""


def _parse_decimal(number: str, unit: str, expected: Said) -> Decimal:
    smaller = _NEXT_SMALLER.get(_MASS_UNITS.get(unit.lower().rstrip("."), ""), "")
    if _COMMA_AND_THREE.fullmatch(number):
        raise NumberError(_explain_two_readings("comma", number, unit, smaller))
    if smaller and _POINT_AND_THREE.fullmatch(number):
        raise NumberError(_explain_two_readings("point", number, unit, smaller))
    if _NUMBER.fullmatch(number):
        return Decimal(re.sub(r"\s", "", number).replace(",", "."))
    if marked := _MARKED.fullmatch(number):
        plain = re.sub(r"\D", "", marked.group(1)) + (marked.group(3) or "").replace(",", ".")
        raise NumberError(
            Said(
                'write it without marks between the thousands: "{plain} {unit}"',
                plain=plain,
                unit=unit,
            )
        )
    raise QuantityError(Said("expected {expected}", expected=expected))


def _explain_two_readings(mark: str, number: str, unit: str, smaller: str) -> Said:
    """The complaint, with either reading as it is read: three decimals in the ``smaller`` unit."""
    whole, part = re.split("[.,]", number)
    decimal = f"{whole}.{part}".rstrip("0").rstrip(".")
    return Said(
        'the comma may part thousands or decimals; write "{large}" or "{small}"'
        if mark == "comma"
        else 'the point may part thousands or decimals; write "{large}" or "{small}"',
        large=f"{whole}{part} {unit}",
        small=f"{whole}{part} {smaller}" if smaller and part[-1] != "0" else f"{decimal} {unit}",
    )


def format_exact_number(value: Decimal, locale: str) -> str:
    """A number as the locale writes it, all its decimals kept: 28.5 is ``28,5`` in French."""
    from babel.numbers import format_decimal

    places = max(0, -int(value.as_tuple().exponent))
    pattern = "#,##0" + ("." + "0" * places if places else "")
    return str(format_decimal(value, format=pattern, locale=locale))


def format_report_number(value: Decimal, locale: str) -> str:
    """A number as a report writes it: the locale's decimal mark, and only blanks part thousands.

    ``1,574 g`` beside the weights a maker types is a mark that parse_mass_g refuses. BIPM SI
    Brochure, 9th ed., 5.4.4 (from memory): groups of three are parted by a narrow space, neither
    by points nor by commas, and four figures need none.
    """
    return _format_report_figures(str(value), locale)


@lru_cache(maxsize=4096)
def _format_report_figures(figures: str, locale: str) -> str:
    """The same of a number as it is written: 1.0 and 1.00 are equal, and read otherwise."""
    from babel.numbers import format_decimal

    value = Decimal(figures)
    places = max(0, -int(value.as_tuple().exponent))
    pattern = "0" + ("." + "0" * places if places else "")
    text = str(format_decimal(value, format=pattern, locale=locale))
    whole = re.match(r"\D*\d{5,}", text)
    if whole is None:
        return text
    return re.sub(r"(?<=\d)(?=(?:\d{3})+$)", "\u202f", whole[0]) + text[whole.end() :]


def round_grams(mass_g: Decimal) -> Number:
    """What a gram scale shows stays as it is; what an ounce scale showed is no round number of
    grams, and is told to the tenth, in small masses to the hundredth or thousandth."""
    exponent = mass_g.normalize().as_tuple().exponent
    if isinstance(exponent, int) and exponent >= -2:
        return Number(mass_g)
    places = next(n for least, n in ((10, 1), (1, 2), (0, 3)) if mass_g >= least)
    return Number(mass_g.quantize(Decimal(1).scaleb(-places)))


def format_grams(mass_g: Decimal, locale: str) -> str:
    """``"40 g"`` with a no-break space.

    BIPM SI Brochure, 9th ed., 5.4.3: a space stands between the number and the unit (from memory).
    """
    return f"{format_exact_number(mass_g, locale)}\u00a0g"


def format_mass(mass_g: Decimal, locale: str) -> str:
    """Grams below one kilogram, kilograms from there on, with a no-break space."""
    if mass_g < 1000:
        return format_grams(mass_g, locale)
    kilograms = (mass_g / 1000).normalize()
    whole = kilograms.quantize(Decimal(1)) if kilograms == kilograms.to_integral() else kilograms
    return f"{format_exact_number(whole, locale)}\u00a0kg"


def format_long_date(date: Any, locale: str, style: str = "long") -> str:
    """A date as the locale writes it in full: ``16 janvier 2027``, ``January 16, 2027``.

    French names the first of a month by its ordinal, "1er juin", which CLDR's patterns leave out
    (source: Office québécois de la langue française, Banque de dépannage linguistique, from
    memory).
    """
    from babel.dates import format_date

    written = str(format_date(date, format=style, locale=locale))
    return _FIRST_OF_MONTH.sub("1er ", written) if locale[:2] == "fr" else written


_FIRST_OF_MONTH = re.compile(r"(?<!\d)1 (?=[^\W\d])")
