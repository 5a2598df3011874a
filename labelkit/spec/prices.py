"""prices.toml: what materials cost, as bought."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from labelkit.spec.reader import read_toml


@dataclass(frozen=True, slots=True)
class Price:
    """A material's price: so much money for so many grams."""

    item: str
    price: Decimal
    mass_g: Decimal

    @property
    def per_kg(self) -> Decimal:
        return self.price * 1000 / self.mass_g


def read_prices(path: Path) -> tuple[Price, ...]:
    """The prices of a list of ``[[price]]`` tables; InputError for what is wrong.

    Each has ``item`` (a material as recipes name it), ``price`` and ``for``, the mass bought.
    """
    top = read_toml(path, "a price list (prices.toml)")
    found: dict[str, Price] = {}
    for table in top.tables("price"):
        item: str = table.text("item", expected='a material such as "olive oil"')
        mass: Decimal = table.mass_g("for")
        if not Decimal("0.01") <= mass <= 100_000_000:
            table.wrong("for", table.raw("for"), 'expected the mass bought, such as "5 kg"')
        price = Price(item, table.number("price", most=1e7), mass)
        if item.casefold() in found:
            table.wrong("item", item, "stands twice in this list")
        found[item.casefold()] = price
        table.done()
    top.done()
    return tuple(found.values())
