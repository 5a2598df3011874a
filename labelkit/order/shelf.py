"""shelf.toml, beside maker.toml: every material once, with its supplier, papers and lots.

Recipes name a material; what they do not say of it themselves is taken from here. Amounts are as
they came in: what is left of a lot follows from the batches that are recorded.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import field
from decimal import Decimal
from pathlib import Path

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.fields import SHELF
from labelkit.order.mistakes import collect_mistakes
from labelkit.order.reader import Table, read_toml
from labelkit.order.recipe import Share, read_allergens

USUAL_MONTHS = 24
"""After which a supplier's paper is asked for anew: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ShelfLot:
    """A supplier's lot as it came in."""

    lot: str
    amount_g: Decimal
    received: dt.date | None = None
    best_before: dt.date | None = None


@dataclass(frozen=True, slots=True)
class ShelfItem:
    """A material, with what its supplier's papers say of it."""

    key: str
    item: str
    """As recipes name it."""
    supplier: str = ""
    saponification_value: Decimal | None = None
    saponification_spread: Decimal | None = None
    acid_value: Decimal | None = None
    allergens: Mapping[str, Share] | None = None
    statement_on: dt.date | None = None
    """The day of the allergen statement."""
    limit_percent: Decimal | None = None
    certificate: str = ""
    certificate_on: dt.date | None = None
    price_per_kg: Decimal | None = None
    lots: tuple[ShelfLot, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Shelf:
    """What is kept in the workshop."""

    path: Path
    items: tuple[ShelfItem, ...]
    statement_months: int = USUAL_MONTHS
    certificate_months: int = USUAL_MONTHS


def path_of_shelf(maker: Path) -> Path:
    """The shelf's place, beside the maker's file."""
    return maker.parent / SHELF


def read_shelf(path: Path) -> Shelf | None:
    """The shelf of a workshop; None where it keeps no such file. InputError for what is wrong."""
    if not path.is_file():
        return None
    top = read_toml(path, SHELF)
    ages = top.table("ages", None)
    shelf = Shelf(
        path=path,
        items=top.rows("shelf", _read_item),
        statement_months=ages.integer("statement_months", USUAL_MONTHS),
        certificate_months=ages.integer("certificate_months", USUAL_MONTHS),
    )
    told = Said("stands twice; give its lots in one [[shelf]]")
    top.refuse_repeated(shelf.items, lambda item: ("shelf", item.item), told)
    ages.done()
    top.done()
    return shelf


def _read_item(table: Table) -> ShelfItem:
    item = ShelfItem(
        key=table.prefix,
        item=table.text(
            "item", expected=Said('a material as recipes name it, such as "olive oil"')
        ),
        supplier=table.text("supplier", ""),
        saponification_value=table.number("saponification_value", None),
        saponification_spread=table.number("saponification_plus_minus", None),
        acid_value=table.number("acid_value", None),
        allergens=read_allergens(table) if table.has("allergens") else None,
        statement_on=table.date("statement_on", None),
        limit_percent=table.percent("limit", None),
        certificate=table.text("certificate", ""),
        certificate_on=table.date("certificate_on", None),
        price_per_kg=table.number("price_per_kg", None),
        lots=table.rows("lot", _read_lot),
    )
    collect_mistakes(_check_value, table, item)
    return item


def _check_value(table: Table, item: ShelfItem) -> None:
    if item.saponification_spread is not None and item.saponification_value is None:
        told = Said("needs saponification_value beside it")
        table.wrong("saponification_plus_minus", None, told)


def _read_lot(table: Table) -> ShelfLot:
    return ShelfLot(
        lot=table.text("lot", expected=Said('the supplier\'s lot, such as "OL-0311"')),
        amount_g=table.mass_g("amount"),
        received=table.date("received", None),
        best_before=table.date("best_before", None),
    )
