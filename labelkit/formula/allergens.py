"""The fragrance allergens that a label must name, as data: which lists hold which name."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.common.table_rows import fill_row
from labelkit.common.text_match import ONE_SLIP, find_closest, fold_as_read, list_closest

LISTS = ("24", "80", "81")
"""The original names, those with the ones of Regulation (EU) 2023/1545, and Canada's count."""
_MIXTURE = re.compile(r"\b(Oil|Extract|Absolute)$|^Pinus |^Turpentine$")


@dataclass(frozen=True, slots=True)
class Allergen:
    """One label name. ``provenance`` is "read" or "memory"."""

    name: str
    lists: tuple[str, ...]
    provenance: str
    cas: tuple[str, ...] = ()
    annex_iii: str = ""
    """Its entry in Annex III to Regulation (EC) No 1223/2009, where known."""

    @property
    def original(self) -> bool:
        return "24" in self.lists

    @property
    def mixture(self) -> bool:
        """An oil or an extract: a statement may list what it holds beside it."""
        return _MIXTURE.search(self.name) is not None


@lru_cache(maxsize=1)
def load_allergens() -> tuple[Allergen, ...]:
    """Every allergen of the table, the original 24 first."""
    return tuple(fill_row(Allergen, row) for row in _load_table()["allergen"])


@cache
def list_allergen_names(which: str) -> frozenset[str]:
    """The names of list "24", "80" or "81"; KeyError for any other."""
    if which not in LISTS:
        raise KeyError(which)
    return frozenset(a.name for a in load_allergens() if which in a.lists)


def find_allergen(name: str) -> Allergen | None:
    """The allergen a name stands for, letter case aside and by known aliases; None: not listed."""
    return _index_by_name().get(fold_as_read(name))


def suggest_allergen(name: str) -> str:
    """A listed name so like this one that it is probably meant; empty when there is none."""
    near = find_closest(fold_as_read(name), _index_by_name(), ONE_SLIP)
    return _index_by_name()[near].name if near else ""


def list_similar_allergens(name: str) -> tuple[str, ...]:
    """The listed names somewhat like this one, the likest first: to be looked at, no more."""
    near = list_closest(fold_as_read(name), _index_by_name(), 3)
    return tuple(dict.fromkeys(_index_by_name()[key].name for key in near))


@lru_cache(maxsize=1)
def _index_by_name() -> dict[str, Allergen]:
    found = {fold_as_read(a.name): a for a in load_allergens()}
    for alias, name in _load_table()["aliases"].items():
        found[fold_as_read(alias)] = found[fold_as_read(name)]
    return found


@lru_cache(maxsize=1)
def _load_table() -> dict[str, Any]:
    return read_own_table("formula/tables/allergens")
