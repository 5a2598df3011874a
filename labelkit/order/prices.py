"""prices.toml: what materials cost, as bought."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.quantity import QuantityError, parse_volume_ml
from labelkit.order.fields import PRICES
from labelkit.order.reader import Table, read_toml
from labelkit.order.remembered import remember_reading


@dataclass(frozen=True, slots=True)
class Price:
    """A material's price: so much money for so many grams."""

    item: str
    price: Decimal
    mass_g: Decimal

    @property
    def per_kg(self) -> Decimal:
        return self.price * 1000 / self.mass_g


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A line of a price list: how much money buys a mass, or a volume of what has some density."""

    path: Path
    key: str
    item: str
    price: Decimal
    bought: str
    """As typed."""
    mass_g: Decimal | None
    volume_ml: Decimal | None = None
    density_g_ml: Decimal | None = None
    """Its own, where the line says one."""

    def of_mass(self, density_of: Callable[[str], Decimal | None]) -> Price:
        """The price of a mass; a volume is weighed by the line's own density, or by the one that
        ``density_of`` the item knows. InputError where neither knows one."""
        mass = self.mass_g
        if mass is None:
            density = self.density_g_ml or density_of(self.item)
            if density is None or self.volume_ml is None:
                expected = Said(
                    "is a volume; expected the mass bought, or density = its g per mL beside it"
                )
                key = f"{self.key}.for"
                raise InputError(
                    format_path(self.path),
                    key,
                    self.bought,
                    expected,
                )
            mass = self.volume_ml * density
        return Price(self.item, self.price, mass)


@remember_reading
def read_prices(path: Path) -> tuple[PriceLine, ...]:
    """The lines of a list of ``[[price]]`` tables; InputError for what is wrong.

    Each has ``item`` (a material as recipes name it), ``price`` and ``for``, the mass bought; or
    the volume, beside which ``density`` (g per mL) may stand.
    """
    top = read_toml(path, PRICES)
    lines = top.rows("price", _read_price_line)
    told = Said("stands twice in this list")
    top.refuse_repeated(lines, lambda line: (f"{line.key}.item", line.item), told)
    top.done()
    return lines


def _read_price_line(table: Table) -> PriceLine:
    item: str = table.text("item", expected=Said('a material such as "olive oil"'))
    text = table.raw("for", None)
    density: Decimal | None = table.number("density", None)
    volume, mass = _parse_bought_volume_ml(text), None
    if volume is None:
        if density is not None:
            table.wrong("density", density, Said('is for a volume in for, such as "1 L"'))
        mass = table.mass_g("for")
    else:
        table.check_limits("for", volume)
    price: Decimal = table.number("price")
    return PriceLine(table.path, table.prefix, item, price, str(text), mass, volume, density)


def _parse_bought_volume_ml(text: object) -> Decimal | None:
    try:
        return parse_volume_ml(text) if isinstance(text, str) else None
    except QuantityError:
        return None
