"""Where consumers are shown prices with tax in them: the table, by region."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib.resources import files

from labelkit.common.frozen import dataclass
from labelkit.rules.region_tables import list_ancestry


@dataclass(frozen=True, slots=True)
class FinalPriceLaw:
    """What wants the price shown to a consumer to be the final one."""

    region: str
    citation: str
    provenance: str


@lru_cache(maxsize=1)
def _load_laws() -> Mapping[str, FinalPriceLaw]:
    text = files("labelkit.plan").joinpath("tables/consumer_prices.toml").read_text("utf-8")
    return {row["region"]: FinalPriceLaw(**row) for row in tomllib.loads(text)["final_price"]}


def find_final_price_law(regions: Iterable[str]) -> FinalPriceLaw | None:
    """The law of the first of some regions, or of one it extends, that wants tax in the price;
    None where prices are shown without. InputError for an unknown region."""
    laws = _load_laws()
    ancestry = (code for region in regions for code in list_ancestry(region))
    return next((laws[code] for code in ancestry if code in laws), None)
