"""Masses and lengths as makers write them, against published conversion factors."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from labelkit.quantity import (
    QuantityError,
    parse_length_mm,
    parse_mass_g,
    parse_percent,
    parse_size_mm,
    written_date,
    written_grams,
    written_number,
)

# NIST Handbook 44 (2024), Appendix C, General Tables of Units of Measurement:
# 1 avoirdupois ounce = 28.349 523 125 g exactly; 1 pound = 453.592 37 g exactly;
# 1 inch = 25.4 mm exactly.
NIST_MASSES = [
    ("1 oz", "28.349523125"),
    ("1 lb", "453.59237"),
    ("1 lb 2 oz", "510.29141625"),
    ("1 kg", "1000"),
]


@pytest.mark.parametrize(("text", "grams"), NIST_MASSES)
def test_masses_agree_with_handbook_44(text: str, grams: str) -> None:
    assert parse_mass_g(text) == Decimal(grams)


def test_units_are_those_of_pints_whole_registry() -> None:
    """The reference library's own definitions, all of which take long to read."""
    import pint

    everything: Any = pint.UnitRegistry(non_int_type=Decimal)
    for text, base in (("1 oz", "gram"), ("1 lb", "gram"), ("1 mg", "gram"), ("1 kg", "gram")):
        reference = everything.Quantity(Decimal(1), text.split()[1]).to(base).magnitude
        assert parse_mass_g(text) == Decimal(reference)
    for text in ("1 in", "1 cm", "1 m", "1 mm"):
        reference = everything.Quantity(Decimal(1), text.split()[1]).to("millimeter").magnitude
        assert parse_length_mm(text) == Decimal(reference)
    point = everything.Quantity(Decimal(72), "point").to("millimeter").magnitude
    assert round(parse_length_mm("72 pt"), 9) == round(Decimal(point), 9)


@pytest.mark.parametrize(
    "text", ["480 g", "480g", "480 grams", "0.48 kg", "0,48 kg", "480 000 mg", "480 grammes"]
)
def test_one_mass_written_many_ways(text: str) -> None:
    assert parse_mass_g(text) == 480


@pytest.mark.parametrize(
    "text", ["", "g", "480", "480 stone", "-3 g", "40 g x", "4e2 g", "nan g", "1 lb -2 oz"]
)
def test_what_is_no_mass_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="expected a mass"):
        parse_mass_g(text)


def test_lengths_agree_with_handbook_44_and_the_printers_point() -> None:
    assert parse_length_mm("1.5 in") == Decimal("38.1")
    # The desktop publishing point is 1/72 inch (ISO 32000-1, 8.3.2.3, default user space).
    assert round(parse_length_mm("72 pt"), 12) == Decimal("25.4")


@pytest.mark.parametrize("text", ["44 x 28 mm", "44 mm x 28 mm", "4.4 x 2.8 cm", "44×28 mm"])
def test_sizes(text: str) -> None:
    assert parse_size_mm(text) == (44, 28)


@pytest.mark.parametrize("text", ["44 mm", "44 x 28", "44 x 28 x 3 mm", "a x b mm"])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="width and a height"):
        parse_size_mm(text)


def test_percent() -> None:
    assert parse_percent("12,5 %") == Decimal("12.5")
    with pytest.raises(QuantityError):
        parse_percent("12.5")


# Unicode CLDR: decimal comma and order of dates in Canadian French and English.
def test_numbers_and_dates_are_written_as_the_locale_writes_them() -> None:
    assert written_number(Decimal("28.50"), "fr_CA") == "28,50"
    assert written_number(Decimal("28.5"), "en_CA") == "28.5"
    assert written_grams(Decimal(40), "fr_CA") == "40\u00a0g"
    day = dt.date(2027, 6, 19)
    assert written_date(day, "fr_CA") == "19 juin 2027"
    assert written_date(day, "en_CA") == "June 19, 2027"
