"""Amounts in the smallest coin of a currency. Decimal throughout."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal


def find_coin(currency: str) -> Decimal:
    """The smallest amount a price is written in: 0.01 for most currencies (CLDR)."""
    from babel.numbers import get_currency_precision

    return Decimal(1).scaleb(-get_currency_precision(currency))


def round_to_coin(amount: Decimal, currency: str) -> Decimal:
    """An amount to the nearest coin, halves up."""
    return amount.quantize(find_coin(currency), ROUND_HALF_UP)


def round_up_amount(amount: Decimal, step: Decimal) -> Decimal:
    """An amount at the next step up."""
    return (amount / step).to_integral_value(ROUND_CEILING) * step
