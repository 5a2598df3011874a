"""A price list against a batch: what a litre weighs, and lines that nothing is named after."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from difflib import get_close_matches
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.formula.close_names import pick_telling_words
from labelkit.formula.materials import Materials
from labelkit.order.prices import Price
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.cost import LYE_NAMES, Cost, MaterialCost, list_price_keys, material_key_of

_NEAR = 0.75
"""How alike two names are of which one may be a slip of the other (difflib's ratio)."""

USUAL_A_KG = (Decimal("1.5"), Decimal(1000))
"""What a kilogram of an oil costs at least and at most in the currencies below (common practice, no
source): less is the price of 100 g, more that of a kilogram asked for a gram."""
_LIKE_A_DOLLAR = frozenset({"AUD", "CAD", "CHF", "EUR", "GBP", "NZD", "USD"})


@dataclass(frozen=True, slots=True)
class UnusedPrice:
    """A line of the price list that names nothing in the batch and no material that is known."""

    item: str
    meant: Weighing | None
    """What it may stand for: something like it that has no price."""


def make_density_lookup(materials: Materials) -> Callable[[str], Decimal | None]:
    """A function from a material's name to its density in g per mL; None where none is known."""

    def of(name: str) -> Decimal | None:
        found = materials.find(name)
        return None if found is None else _load_densities().get(found.id)

    return of


@lru_cache(maxsize=1)
def _load_densities() -> dict[str, Decimal]:
    """The middle of each range."""
    rows = read_own_table("plan/tables/densities")["density"]
    return {material: (low + high) / 2 for material, (low, high) in rows.items()}


def list_odd_oil_prices(cost: Cost) -> Iterator[MaterialCost]:
    """The oils that cost less or more than any does; none in a currency that is not judged."""
    least, most = USUAL_A_KG
    for line in cost.materials if cost.currency in _LIKE_A_DOLLAR else ():
        price = line.per_kg if line.weighing.role is WeighingRole.OIL else None
        if price is not None and not least <= price <= most:
            yield line


def list_unused_prices(
    prices: Iterable[Price], costs: Iterable[MaterialCost], materials: Materials
) -> tuple[UnusedPrice, ...]:
    """The lines that may be misspelt, where something in the batch has no price; none otherwise."""
    lines = tuple(costs)
    unpriced = [line.weighing for line in lines if line.amount is None]
    if not unpriced:
        return ()
    known = {name for line in lines for name in list_price_keys(line.weighing)}
    items = (p.item for p in prices if material_key_of(p.item, materials) not in known)
    found = (UnusedPrice(item, _find_meant_weighing(item, unpriced, materials)) for item in items)
    return tuple(one for one in found if _is_worth_telling(one, materials))


def _is_worth_telling(line: UnusedPrice, materials: Materials) -> bool:
    """A known material is bought for another batch, unless a scent of this one may be meant."""
    if materials.find(line.item) is not None:
        return line.meant is not None and line.meant.role is WeighingRole.SCENT
    return not _is_lye(line.item)


def _find_meant_weighing(
    item: str, unpriced: Iterable[Weighing], materials: Materials
) -> Weighing | None:
    names = {name: line for line in unpriced for name in _list_spoken_names(line, materials)}
    near = get_close_matches(item.casefold(), sorted(names), n=1, cutoff=_NEAR)
    return names[near[0]] if near else _find_meant_scent(item, unpriced)


def _find_meant_scent(item: str, unpriced: Iterable[Weighing]) -> Weighing | None:
    """A scent that says the same in fewer or more words: Lavender, of lavender essential oil."""
    said = pick_telling_words(item)
    if not said:
        return None
    scents = (
        (line, pick_telling_words(line.name))
        for line in unpriced
        if line.role is WeighingRole.SCENT
    )
    return next((line for line, own in scents if own and (own <= said or said <= own)), None)


def _list_spoken_names(line: Weighing, materials: Materials) -> Iterator[str]:
    """The names by which a maker may call a material."""
    yield from list_price_keys(line)
    found = materials.find(line.name)
    if found is not None:
        yield from (name.casefold() for name in (*found.names.values(), *found.aliases))


def _is_lye(item: str) -> bool:
    return " ".join(item.split()).casefold() in {
        name for names in LYE_NAMES.values() for name in names
    }
