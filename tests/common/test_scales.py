"""Scales in grams, ounces, and pounds and ounces: what their displays can show."""

from __future__ import annotations

import re
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

import pytest
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.common.quantity import GRAMS_PER_OUNCE, QuantityError, parse_length_mm, parse_mass_g
from labelkit.common.scales import Scale, ScaleUnit, format_on_scale, read_scale

# NIST Handbook 44 (2024), Appendix C: 1 oz = 28.349 523 125 g exactly; 1 lb = 16 oz.
OUNCE = Decimal("28.349523125")


@pytest.mark.parametrize(
    ("text", "ounces"),
    [
        ("3 1/2 oz", "3.5"),
        ("1/8 oz", "0.125"),
        ("1 lb 3 3/4 oz", "19.75"),
        ("2½ oz", "2.5"),
        ("1 1/2 lb", "24"),
    ],
)
def test_fractions_of_ounces_and_pounds(text: str, ounces: str) -> None:
    assert parse_mass_g(text) == Decimal(ounces) * OUNCE


def test_fractions_of_an_inch() -> None:
    # 1 in = 25.4 mm exactly (NIST Handbook 44, Appendix C).
    assert parse_length_mm("1 1/2 in") == Decimal("38.1")


@pytest.mark.parametrize("text", ["1/3 oz", "3/2 oz", "1/2 g", "1 1/8 kg", "1/0 oz", "1/2/4 oz"])
def test_other_fractions_are_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_mass_g(text)


@pytest.mark.parametrize(
    ("division", "mass_g", "shown"),
    [
        # 1275.728540625 g / 28.349523125 g = 45 to a hair: 45.0 oz, and 2 lb 13 oz.
        ("0.1 oz", "1275.728540625", "45.0 oz"),
        ("0 lb 0.1 oz", "1275.728540625", "2 lb 13.0 oz"),
        ("1/8 oz", "1275.728540625", "45 oz"),
        ("1 g", "1275.728540625", "1276 g"),
        ("0.1 g", "1275.728540625", "1275.7 g"),
        ("5 g", "1275.728540625", "1275 g"),
        # 100 g = 3.52740 oz: 3.53 in hundredths, 3 1/2 in eighths, 3.50 on a scale of 0.05 oz.
        ("0.01 oz", "100", "3.53 oz"),
        ("1/8 oz", "100", "3 1/2 oz"),
        ("0.05 oz", "100", "3.55 oz"),
        ("1/4 oz", "14.1747615625", "1/2 oz"),
        # Under one division: tenths of it, never nothing.
        ("1 g", "0.3", "0.3 g"),
        ("0 lb 1 oz", "453.59237", "1 lb 0 oz"),
    ],
)
def test_what_a_display_shows(division: str, mass_g: str, shown: str) -> None:
    written = format_on_scale(Decimal(mass_g), read_scale(division), "en_US")
    assert written.replace("\u00a0", " ") == shown


def test_lye_is_rounded_down_in_ounces_as_well() -> None:
    # 132 g / 28.349523125 g = 4.65616 oz.
    written = format_on_scale(Decimal(132), read_scale("0.1 oz"), "en_US", ROUND_FLOOR)
    assert written == "4.6\u00a0oz"


def test_a_comma_in_french() -> None:
    assert format_on_scale(45 * OUNCE, read_scale("0.1 oz"), "fr_CA") == "45,0\u00a0oz"


@pytest.mark.parametrize("text", ["0 g", "0 oz", "abc", "1"])
def test_no_division(text: str) -> None:
    with pytest.raises(QuantityError, match=r"expected|has no unit"):
        read_scale(text)


DIVISIONS = ("1 g", "0.1 g", "0.5 g", "2 g", "5 g", "0.1 oz", "0.05 oz", "0.01 oz", "1/8 oz",
             "1/4 oz", "0 lb 0.1 oz", "0 lb 1/4 oz")  # fmt: skip


def read_display(text: str, unit: ScaleUnit) -> Fraction:
    """Grams or ounces, read back by hand."""
    total = Fraction(0)
    per = {"lb": 16, "oz": 1, "g": 1}
    words = text.replace("\u00a0", " ").replace("\u202f", "").split()
    held = Fraction(0)
    for word in words:
        if word in per:
            total += held * per[word]
            held = Fraction(0)
        else:
            held += Fraction(word)
    assert unit is ScaleUnit.GRAMS or "oz" in words
    return total


@settings(max_examples=examples(300))
@given(
    division=st.sampled_from(DIVISIONS),
    mass=st.decimals("0.001", 50_000, places=3),
    rounding=st.sampled_from([ROUND_FLOOR, "ROUND_HALF_UP"]),
)
def test_no_number_has_more_places_than_its_scale(
    division: str, mass: Decimal, rounding: str
) -> None:
    scale = read_scale(division)
    shown = format_on_scale(mass, scale, "en_US", rounding)
    value = read_display(shown, scale.unit)
    step = Fraction(scale.division)
    exact = Fraction(mass) / (Fraction(GRAMS_PER_OUNCE) if scale.is_avoirdupois else 1)
    if exact >= step:
        assert (value / step).denominator == 1
        assert abs(value - exact) <= (step if rounding == ROUND_FLOOR else step / 2)
        if not scale.parts:
            places = max(0, -int(scale.division.as_tuple().exponent))
            assert all(len(one) == places for one in re.findall(r"\.(\d+)", shown))
    else:
        assert value >= 0
    if rounding == ROUND_FLOOR:
        assert value <= exact


def test_a_division_is_known_by_its_own_unit() -> None:
    assert read_scale("0.1 oz") == Scale(OUNCE / 10, ScaleUnit.OUNCES)
    assert read_scale("1/8 oz") == Scale(OUNCE / 8, ScaleUnit.OUNCES, 8)
    assert read_scale("0 lb 0.1 oz") == Scale(OUNCE / 10, ScaleUnit.POUNDS)
