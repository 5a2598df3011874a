"""How pure the alkali in a tub or a bottle is: what the maker typed, and what it may be."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.formula.materials import ValueRange
from labelkit.order.recipe import Alkali, Lye

SOLUTION_SPREAD_PERCENT = Decimal(1)
"""Half-range of a ready-made solution's strength: "50 %" is 49 to 51 % (common practice, no
source)."""
PURE = Decimal(100)


@dataclass(frozen=True, slots=True)
class SoldPurity:
    """How pure one alkali is sold, solid; percent by weight."""

    alkali: Alkali
    least: Decimal
    low: Decimal
    high: Decimal
    plus_minus: Decimal


@lru_cache(maxsize=1)
def _load_purities() -> dict[Alkali, SoldPurity]:
    rows = read_own_table("formula/tables/purities")["alkali"]
    return {
        Alkali(row["name"]): SoldPurity(
            Alkali(row["name"]),
            least=Decimal(row["least"]),
            low=Decimal(row["usual"][0]),
            high=Decimal(row["usual"][1]),
            plus_minus=Decimal(row["plus_minus"]),
        )
        for row in rows
    }


def find_sold_purity(alkali: Alkali) -> SoldPurity:
    """How pure an alkali is sold."""
    return _load_purities()[alkali]


def strength_range(lye: Lye) -> ValueRange:
    """The pure alkali in what is weighed, as a share from 0 to 1."""
    if lye.concentration_percent is not None:
        stated, half = lye.concentration_percent, SOLUTION_SPREAD_PERCENT
    else:
        stated, assayed = lye.purity_percent, lye.purity_spread_percent
        half = find_sold_purity(lye.alkali).plus_minus if assayed is None else assayed
    return ValueRange(
        stated / 100, max(Decimal(0), stated - half) / 100, min(PURE, stated + half) / 100
    )
