"""Substances with a technical (trivial) name, and the forms in which regions print it.

The table is the schedule to Canada's Cosmetic Regulations, s. 21.2(4): EU technical name, INCI name
and French equivalent. Its technical names are those the EU glossary prints.
"""

from __future__ import annotations

from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.common.text_match import fold_as_read


@dataclass(frozen=True, slots=True)
class ScheduleName:
    """One technical name with one of the INCI names it covers and its French equivalent."""

    item: int
    """Its number in the schedule."""
    technical: str
    english: str
    """The INCI name."""
    french: str


@lru_cache(maxsize=1)
def load_schedule_names() -> tuple[ScheduleName, ...]:
    """Every pair of technical and INCI name, in the schedule's order."""
    return tuple(
        ScheduleName(row["item"], row["technical"], english, french)
        for row in read_own_table("formula/tables/schedule_names")["name"]
        for english, french in zip(row["english"], row["french"], strict=True)
    )


def find_schedule_name(name: str) -> ScheduleName | None:
    """The entry whose INCI or technical name this is, letter case aside; None: not scheduled."""
    return _index_by_name().get(fold_as_read(name))


@lru_cache(maxsize=1)
def _index_by_name() -> dict[str, ScheduleName]:
    found: dict[str, ScheduleName] = {}
    for entry in load_schedule_names():
        found.setdefault(fold_as_read(entry.technical), entry)
    for entry in load_schedule_names():
        found[fold_as_read(entry.english)] = entry
    return found
