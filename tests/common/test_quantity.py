"""Masses and lengths as makers write them, against published conversion factors."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.common.quantity import (
    NumberError,
    QuantityError,
    format_exact_number,
    format_grams,
    format_long_date,
    format_mass,
    format_report_number,
    parse_length_mm,
    parse_mass_g,
    parse_percent,
    parse_size_mm,
    parse_volume_ml,
    round_grams,
    unquote_number,
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


# BIPM SI Brochure, 9th ed., table 8 (from memory): 1 L = 1 dm3 = 1000 cm3, so 1 mL = 1 cm3.
@pytest.mark.parametrize(
    ("text", "millilitres"),
    [("1 L", "1000"), ("750 mL", "750"), ("70 cl", "700"), ("1,5 litres", "1500"), ("2 l", "2000")],
)
def test_volumes_agree_with_the_si_brochure(text: str, millilitres: str) -> None:
    assert parse_volume_ml(text) == Decimal(millilitres)


@pytest.mark.parametrize("text", ["1 gal", "12 fl oz", "5 kg", "-1 L", "1", "", "L"])
def test_what_is_no_volume_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_volume_ml(text)


def test_units_are_those_of_pints_whole_registry() -> None:
    """pint's own definitions, with which a scale and a ruler agree."""
    import pint

    everything: Any = pint.UnitRegistry(non_int_type=Decimal)
    for text, base in (("1 oz", "gram"), ("1 lb", "gram"), ("1 mg", "gram"), ("1 kg", "gram")):
        reference = everything.Quantity(Decimal(1), text.split()[1]).to(base).magnitude
        assert parse_mass_g(text) == Decimal(reference)
    for text in ("1 in", "1 cm", "1 m", "1 mm"):
        reference = everything.Quantity(Decimal(1), text.split()[1]).to("millimeter").magnitude
        assert parse_length_mm(text) == Decimal(reference)
    for text in ("1 mL", "1 cl", "1 L"):
        reference = everything.Quantity(Decimal(1), text.split()[1]).to("milliliter").magnitude
        assert parse_volume_ml(text) == Decimal(reference)
    point = everything.Quantity(Decimal(72), "point").to("millimeter").magnitude
    assert round(parse_length_mm("72 pt"), 9) == round(Decimal(point), 9)


@pytest.mark.parametrize(
    "text", ["480 g", "480g", "480 grams", "0.48 kg", "0,48 kg", "480 000 mg", "480 grammes"]
)
def test_one_mass_written_many_ways(text: str) -> None:
    assert parse_mass_g(text) == 480


@pytest.mark.parametrize(
    "text", ["", "g", "-480", "480 stone", "-3 g", "40 g x", "4e2 g", "nan g", "1 lb -2 oz"]
)
def test_what_is_no_mass_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="expected a mass"):
        parse_mass_g(text)


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("1,200 g", ['"1200 g"', '"1.2 g"']),
        ("12,345 kg", ['"12345 kg"', '"12345 g"']),
        ("1.100 g", ['"1100 g"', '"1.1 g"']),
        ("12.345 g", ['"12345 g"', '"12345 mg"']),
        ("1.234 kg", ['"1234 kg"', '"1234 g"']),
        ("1.200,5 g", ['"1200.5 g"']),
        ("1,200.5 g", ['"1200.5 g"']),
        ("1,234,567 mg", ['"1234567 mg"']),
        ("1.234.567 mg", ['"1234567 mg"']),
        ("1'200 g", ['"1200 g"']),
    ],
)
def test_a_number_with_two_readings_is_refused_with_either_way_to_write_it(
    text: str, ways: list[str]
) -> None:
    """Unicode CLDR: "1,200" is twelve hundred in English (comma between thousands, ``en``) and 1.2
    in French (decimal comma, ``fr``); "1.200,5" is how ``de`` writes what ``en`` writes 1,200.5,
    and "1.100" how ``pt_BR`` and ``de`` write eleven hundred."""
    with pytest.raises(NumberError) as caught:
        parse_mass_g(text)
    assert all(way in str(caught.value) for way in ways)
    assert all(parse_mass_g(way.strip('"')) for way in ways)


@pytest.mark.parametrize(
    ("parse", "text", "read"),
    [
        (parse_mass_g, "1.250 oz", "35.43690390625"),  # 1.25 x 28.349523125, NIST Handbook 44
        (parse_mass_g, "0.500 kg", "500"),
        (parse_mass_g, "1000.500 g", "1000.5"),
        (parse_length_mm, "2.625 in", "66.675"),  # 2.625 x 25.4
        (parse_percent, "1.125 %", "1.125"),
    ],
)
def test_a_point_before_three_figures_is_decimal_where_nothing_else_is_likely(
    parse: Callable[[str], Any], text: str, read: str
) -> None:
    assert parse(text) == Decimal(read)


def test_two_readings_are_refused_in_lengths_and_sizes_too() -> None:
    with pytest.raises(NumberError, match=r'"1200 mm" or "1\.2 mm"'):
        parse_length_mm("1,200 mm")
    with pytest.raises(NumberError, match=r'"1200 mm" or "1\.2 mm"'):
        parse_size_mm("1,200 x 28 mm")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("32,5 g", "32.5"),
        ("0,125 kg", "125"),  # no thousands begin with a zero
        ("1234,567 g", "1234.567"),  # nor do four digits stand before a mark between thousands
        ("1 200,567 g", "1200.567"),
        ("1\u202f200,5 g", "1200.5"),  # as CLDR's ``fr`` writes it
    ],
)
def test_a_number_with_one_reading_is_read(text: str, grams: str) -> None:
    assert parse_mass_g(text) == Decimal(grams)


@pytest.mark.parametrize("text", ["12 00 g", "1 2 g", "4 80 g", "1,200,5 g", "1..2 g"])
def test_blanks_and_marks_only_part_thousands(text: str) -> None:
    with pytest.raises(QuantityError, match="expected a mass"):
        parse_mass_g(text)


@given(
    st.decimals(min_value=0, max_value=9_999_999, places=3),
    st.sampled_from(["en_CA", "en_GB", "en_US", "fr_CA", "fr_FR", "fr_BE"]),
    st.integers(0, 3),
)
def test_what_labelkit_writes_reads_as_what_it_says_or_not_at_all(
    value: Decimal, locale: str, places: int
) -> None:
    """Babel writes the numbers, from CLDR, in the languages of the reports."""
    said = round(value, places)
    for text in (f"{format_exact_number(said, locale)} g", format_mass(said, locale)):
        try:
            read = parse_mass_g(text)
        except NumberError:
            continue
        assert read == said, text


@pytest.mark.parametrize(
    ("value", "locale", "text"),
    [
        ("1574", "en_CA", "1574"),
        ("1574.25", "pt_PT", "1574,25"),
        ("12345", "en_US", "12\u202f345"),
        ("1234567.50", "de_DE", "1\u202f234\u202f567,50"),
        ("-12345.125", "en_GB", "-12\u202f345.125"),
        ("0.25", "fr_FR", "0,25"),
    ],
)
def test_reports_part_thousands_as_the_si_does(value: str, locale: str, text: str) -> None:
    """BIPM SI Brochure, 9th ed., 5.4.4 (from memory); the decimal marks are those of CLDR."""
    assert format_report_number(Decimal(value), locale) == text


@given(
    st.decimals(min_value=0, max_value=9_999_999, places=3),
    st.sampled_from(["en_CA", "en_US", "fr_CA", "fr_FR"]),
    st.integers(0, 2),
)
def test_what_a_report_says_weighs_can_be_typed(value: Decimal, locale: str, places: int) -> None:
    said = round(value, places)
    assert parse_mass_g(f"{format_report_number(said, locale)} g") == said


def test_lengths_agree_with_handbook_44_and_the_printers_point() -> None:
    assert parse_length_mm("1.5 in") == Decimal("38.1")
    # The desktop publishing point is 1/72 inch (ISO 32000-1, 8.3.2.3, default user space).
    assert round(parse_length_mm("72 pt"), 12) == Decimal("25.4")


@pytest.mark.parametrize("text", ["44 x 28 mm", "44 mm x 28 mm", "4.4 x 2.8 cm", "44×28 mm"])
def test_sizes(text: str) -> None:
    assert parse_size_mm(text) == (44, 28)


@pytest.mark.parametrize("text", ["44 mm", "44", "44 x", "-44 x 28", "44 x 28 x 3 mm", "a x b mm"])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="width and a height"):
        parse_size_mm(text)


@pytest.mark.parametrize(
    ("parse", "text", "unit"),
    [
        (parse_mass_g, "24", "g"),
        (parse_mass_g, "24,50", "g"),
        (parse_mass_g, "1 200,5", "g"),
        (parse_length_mm, "2.5", "mm"),
        (parse_volume_ml, "750", "mL"),
        (parse_size_mm, "44 x 58", "mm"),
        (parse_size_mm, "44,5×58", "mm"),
    ],
)
def test_a_number_without_its_unit_is_told_with_one_and_is_then_read(
    parse: Callable[[str], Any], text: str, unit: str
) -> None:
    with pytest.raises(QuantityError) as told:
        parse(text)
    assert str(told.value).startswith("has no unit; for ")
    assert f'write "{text} {unit}"' in str(told.value)
    assert parse(f"{text} {unit}")


@pytest.mark.parametrize(("parse", "text"), [(parse_mass_g, "1,200"), (parse_size_mm, "1,200 x 3")])
def test_a_number_of_two_readings_is_told_as_such_without_its_unit_too(
    parse: Callable[[str], Any], text: str
) -> None:
    with pytest.raises(NumberError, match="the comma may part thousands or decimals"):
        parse(text)


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("24,50", "24.50"),
        (" 60 ", "60"),
        ("-0,5", "-0.5"),
        ("1,200", "1200 or 1.200"),
        ("007", ""),  # TOML 1.0.0, Integer: "Leading zeros are not allowed"
        ("1,2,3", ""),
        ("12 %", ""),
        ("free", ""),
        ("", ""),
    ],
)
def test_how_a_number_in_quotes_stands_without_them(text: str, plain: str) -> None:
    assert unquote_number(text) == plain
    for written in plain.split(" or ") if plain else ():
        tomllib.loads(f"a = {written}")


def test_percent() -> None:
    assert parse_percent("12,5 %") == Decimal("12.5")
    assert parse_percent("2,345 %") == Decimal("2.345")
    with pytest.raises(QuantityError, match=r'sign: "12\.5 %"$'):
        parse_percent("12.5")
    with pytest.raises(QuantityError, match=r'"0\.98 %" or "98 %"'):
        parse_percent("0.98")
    with pytest.raises(QuantityError, match='a share such as "5 %"'):
        parse_percent("lots")


# Unicode CLDR: decimal comma and order of dates in Canadian French and English.
def test_numbers_and_dates_are_written_as_the_locale_writes_them() -> None:
    assert format_exact_number(Decimal("28.50"), "fr_CA") == "28,50"
    assert format_exact_number(Decimal("28.5"), "en_CA") == "28.5"
    assert format_grams(Decimal(40), "fr_CA") == "40\u00a0g"
    day = dt.date(2027, 6, 19)
    assert format_long_date(day, "fr_CA") == "19 juin 2027"
    assert format_long_date(day, "en_CA") == "June 19, 2027"


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("7/16 in", "11.1125"),
        ("5 7/8 in", "149.225"),
        ("5-7/8 in", "149.225"),
        ('5⅞"', "149.225"),
    ],
)
def test_lengths_in_fractions_of_an_inch(text: str, mm: str) -> None:
    """An inch is 25.4 mm exactly (NIST Handbook 44, Appendix C); by hand: 7 x 25.4 / 16 ..."""
    assert parse_length_mm(text) == Decimal(mm)


@pytest.mark.parametrize("text", ["1 1/2 lb", "1-1/2 lb", "1½ lb", "1 lb 8 oz", "24 oz"])
def test_masses_in_fractions_of_a_pound(text: str) -> None:
    """A pound is 453.59237 g exactly (the same)."""
    assert parse_mass_g(text) == Decimal("680.388555")


def test_the_unit_of_a_size_in_fractions_stands_once() -> None:
    assert parse_size_mm("5 7/8 x 3 1/2 in") == (Decimal("149.225"), Decimal("88.9"))
    assert parse_size_mm("2-1/4 x 1¼ in") == (Decimal("57.15"), Decimal("31.75"))


@pytest.mark.parametrize(
    ("parse", "text", "says"),
    [
        (parse_length_mm, "7/16", '"7/16 in"'),
        (parse_length_mm, "5 7/8", '"5 7/8 in"'),
        (parse_mass_g, "1 1/2", '"1 1/2 lb"'),
    ],
)
def test_a_fraction_without_its_unit_is_told(parse: Any, text: str, says: str) -> None:
    with pytest.raises(QuantityError, match="a fraction needs its unit") as error:
        parse(text)
    assert says in str(error.value)


@pytest.mark.parametrize(
    ("mass", "told"),
    [
        ("1272 g", "1272"), ("57.25 g", "57.25"), ("0.4 g", "0.4"),
        # 28.349523125 g in an ounce: NIST Handbook 44, appendix C.
        ("45 oz", "1275.7"), ("1.5 oz", "42.5"), ("0.1 oz", "2.83"), ("0.01 oz", "0.283"),
    ],
)  # fmt: skip
def test_grams_are_told_no_finer_than_a_scale_shows_them(mass: str, told: str) -> None:
    assert round_grams(parse_mass_g(mass)) == told
