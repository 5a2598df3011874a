"""The lots a batch is drawn from, by oldest first, and what of it must be ordered.

A shelf's amounts are as they came in. What is left of a lot is that, less what every other recorded
batch took of it: recording a batch takes its amounts off, and withdrawing it puts them back.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.formula.materials import Materials
from labelkit.formula.stocking import index_shelf, name_on_shelf
from labelkit.order.shelf import Shelf, ShelfItem, ShelfLot
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.trace import BatchRecord


@dataclass(frozen=True, slots=True)
class ToOrder:
    """A material of which the shelf has too little."""

    weighing: Weighing
    supplier: str
    missing_g: Decimal


@dataclass(frozen=True, slots=True)
class OldPaper:
    """A supplier's paper older than is stated for it, or a lot past its day."""

    item: str
    what: str
    """"statement", "certificate" or "best-before"."""
    day: dt.date
    lot: str = ""


@dataclass(frozen=True, slots=True)
class ShelfDraw:
    """What a batch takes from the shelf."""

    weighings: tuple[Weighing, ...]
    """With their lots; those that the recipe names itself stay."""
    to_order: tuple[ToOrder, ...]
    old: tuple[OldPaper, ...]


def draw_from_shelf(
    weighings: Sequence[Weighing],
    shelf: Shelf,
    materials: Materials,
    others: Iterable[BatchRecord],
    pour: dt.date,
) -> ShelfDraw:
    """Draws a batch that is poured on a day; ``others`` are the other batches as recorded."""
    items, records = index_shelf(shelf, materials), tuple(others)
    drawn: list[Weighing] = []
    to_order: list[ToOrder] = []
    old: list[OldPaper] = []
    for line in weighings:
        item = _find_item(line, items, materials)
        if item is None or line.role is WeighingRole.WATER:
            drawn.append(line)
            continue
        old += _list_old_papers(item, shelf, pour)
        left = [
            (lot, lot.amount_g - _sum_used(lot, item, materials, records))
            for lot in sort_by_age(item.lots)
        ]
        good = [(lot, g) for lot, g in left if lot.best_before is None or lot.best_before >= pour]
        old += [
            OldPaper(item.item, "best-before", lot.best_before, lot.lot)
            for lot, grams in left
            if lot.best_before is not None and lot.best_before < pour and grams > 0
        ]
        lots, missing = _take(line, good)
        drawn.append(replace(line, lots=line.lots or lots))
        if missing > 0 and item.lots:  # a row without lots keeps papers, and no amounts
            to_order.append(ToOrder(line, item.supplier, missing))
    return ShelfDraw(tuple(drawn), tuple(to_order), tuple(dict.fromkeys(old)))


def sort_by_age(lots: Iterable[ShelfLot]) -> list[ShelfLot]:
    """The oldest first: by the day it came in; those without one stand before all others."""
    return sorted(lots, key=lambda lot: lot.received or dt.date.min)


def _find_item(
    line: Weighing, items: dict[str, ShelfItem], materials: Materials
) -> ShelfItem | None:
    names = (line.name, line.essential_oil)
    keys = (name_on_shelf(name, materials) for name in names if name)
    return next((items[key] for key in keys if key in items), None)


def _take(
    line: Weighing, left: Sequence[tuple[ShelfLot, Decimal]]
) -> tuple[tuple[str, ...], Decimal]:
    """The lots that hold a line's mass, and what is missing of it."""
    needed, lots = line.mass_g, []
    named = [pair for pair in left if not line.lots or pair[0].lot in line.lots]
    for lot, grams in named:
        if needed <= 0:
            break
        if grams > 0:
            lots.append(lot.lot)
            needed -= grams
    return tuple(lots), max(needed, Decimal(0))


def _sum_used(
    lot: ShelfLot, item: ShelfItem, materials: Materials, records: Sequence[BatchRecord]
) -> Decimal:
    """What recorded batches took of a lot; a line of several lots emptied the older ones first."""
    amounts = {one.lot: one.amount_g for one in item.lots}
    used: dict[str, Decimal] = dict.fromkeys(amounts, Decimal(0))
    key = name_on_shelf(item.item, materials)
    for record in sorted(records, key=lambda one: (one.poured, one.lot)):
        for material in record.materials:
            if name_on_shelf(material.name, materials) != key:
                continue
            rest = material.mass_g
            known = [name for name in material.lots if name in amounts]
            for name in known:
                taken = rest if name == known[-1] else min(rest, amounts[name] - used[name])
                used[name] += max(taken, Decimal(0))
                rest -= max(taken, Decimal(0))
    return used[lot.lot]


def _list_old_papers(item: ShelfItem, shelf: Shelf, day: dt.date) -> Iterator[OldPaper]:
    papers = (
        ("statement", item.statement_on, shelf.statement_months),
        ("certificate", item.certificate_on, shelf.certificate_months),
    )
    for what, dated, months in papers:
        if dated is not None and _is_older(dated, months, day):
            yield OldPaper(item.item, what, dated)


def _is_older(dated: dt.date, months: int, day: dt.date) -> bool:
    """Whether more than so many months lie between two days."""
    full = 12 * (day.year - dated.year) + day.month - dated.month
    return (full, day.day) > (months, dated.day)
