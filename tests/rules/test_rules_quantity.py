"""Reading masses out of a net quantity statement."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.rules.printed_quantity import find_amounts

OUNCE_G = Fraction("28.349523125")
"""NIST Handbook 44, Appendix C: the avoirdupois ounce, exact."""


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("40 g", [Fraction(40)]),
        ("40\u00a0g", [Fraction(40)]),
        ("28,5 g", [Fraction("28.5")]),
        ("0.5 kg", [Fraction(500)]),
        ("Net Wt 1 oz (28 g)", [OUNCE_G, Fraction(28)]),
        ("Net Wt 1 1/2 lbs (680 g)", [OUNCE_G * 24, Fraction(680)]),
        ("1½ oz", [OUNCE_G * Fraction(3, 2)]),
        ("½ oz", [OUNCE_G / 2]),
        ("Net Wt. 1.5 lb./24 oz. (680 g)", [OUNCE_G * 24, OUNCE_G * 24, Fraction(680)]),
        ("3 soaps x 30 g / 3 savons x 30 g", [Fraction(30), Fraction(30)]),
        ("1/0 oz", []),
        ("12 guests", []),
        ("", []),
    ],
)
def test_masses_and_nothing_else_are_read(text: str, grams: list[Fraction]) -> None:
    assert [amount.grams for amount in find_amounts(text)] == grams


def test_how_it_is_written_is_kept() -> None:
    (amount,) = find_amounts("1 2/4 Oz.")
    assert (amount.symbol, amount.dot, amount.gap) == ("Oz", True, " ")
    assert (amount.numerator, amount.denominator) == (2, 4)
    (tight,) = find_amounts("40g")
    assert tight.gap == ""
    (small,) = find_amounts(".450 g")
    assert small.lacks_zero
    assert (small.figures, small.decimals) == (3, 3)


@given(st.text(max_size=40))
def test_any_text_can_be_read(text: str) -> None:
    for amount in find_amounts(text):
        assert amount.grams >= 0


@given(st.integers(1, 999), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_what_is_written_is_what_is_read(number: int, unit: str) -> None:
    (amount,) = find_amounts(f"Net {number} {unit}.")
    assert (amount.value, amount.unit, amount.figures) == (number, unit, len(str(number)))
