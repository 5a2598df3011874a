"""Where consumers are shown prices with tax in them: the table, by region."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.rules.region_tables import list_ancestry


@dataclass(frozen=True, slots=True)
class FinalPriceLaw:
    """What wants the price shown to a consumer to be the final one."""

    region: str
    citation: str
    provenance: str


@lru_cache(maxsize=1)
def _load_laws() -> Mapping[str, FinalPriceLaw]:
    rows = read_own_table("plan/tables/consumer_prices")["final_price"]
    return {row["region"]: FinalPriceLaw(**row) for row in rows}


def find_final_price_law(regions: Iterable[str]) -> FinalPriceLaw | None:
    """The law of the first of some regions, or of one it extends, that wants tax in the price;
    None where prices are shown without. InputError for an unknown region."""
    laws = _load_laws()
    ancestry = (code for region in regions for code in list_ancestry(region))
    return next((laws[code] for code in ancestry if code in laws), None)
