"""prices.toml: what materials cost, as bought."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from labelkit.common.quantity import QuantityError, parse_volume_ml
from labelkit.order.reader import Table, read_toml


@dataclass(frozen=True, slots=True)
class Price:
    """A material's price: so much money for so many grams."""

    item: str
    price: Decimal
    mass_g: Decimal

    @property
    def per_kg(self) -> Decimal:
        return self.price * 1000 / self.mass_g


def _unknown(item: str) -> Decimal | None:  # noqa: ARG001
    return None


def read_prices(
    path: Path, density_of: Callable[[str], Decimal | None] = _unknown
) -> tuple[Price, ...]:
    """The prices of a list of ``[[price]]`` tables; InputError for what is wrong.

    Each has ``item`` (a material as recipes name it), ``price`` and ``for``, the mass bought; or
    the volume, where ``density`` (g per mL) stands beside it or ``density_of`` the item knows it.
    """
    top = read_toml(path, "a price list (prices.toml)")
    found: dict[str, Price] = {}
    for table in top.tables("price"):
        item: str = table.text("item", expected='a material such as "olive oil"')
        mass = _bought_g(table, item, density_of)
        if not Decimal("0.01") <= mass <= 100_000_000:
            table.wrong("for", table.raw("for"), 'expected the mass bought, such as "5 kg"')
        price = Price(item, table.number("price", most=1e7), mass)
        if item.casefold() in found:
            table.wrong("item", item, "stands twice in this list")
        found[item.casefold()] = price
        table.done()
    top.done()
    return tuple(found.values())


def _bought_g(table: Table, item: str, density_of: Callable[[str], Decimal | None]) -> Decimal:
    """The mass bought, in grams."""
    text = table.raw("for", None)
    own: Decimal | None = table.number("density", None, least=0.5, most=3)
    try:
        volume_ml = parse_volume_ml(text) if isinstance(text, str) else None
    except QuantityError:
        volume_ml = None
    if volume_ml is None:
        if own is not None:
            table.wrong("density", own, 'is for a volume in for, such as "1 L"')
        mass: Decimal = table.mass_g("for")
        return mass
    density = own if own is not None else density_of(item)
    if density is None:
        expected = "is a volume; expected the mass bought, or density = its g per mL beside it"
        table.wrong("for", text, expected)
    return volume_ml * density
