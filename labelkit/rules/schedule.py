"""The substances with a trivial name, and the forms a region prints them in."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from labelkit.rules.printed_list import name_key, name_parts


@dataclass(frozen=True, slots=True)
class ScheduleEntry:
    """One technical name with an INCI name it covers and the French of that."""

    technical: str
    english: str
    french: str

    def written(self, form: tuple[str, ...]) -> str:
        """The names a form asks for, joined by a slash."""
        names = {"technical": self.technical, "inci": self.english, "french": self.french}
        return "/".join(names[part] for part in form)


@lru_cache(maxsize=1)
def schedule_entries() -> tuple[ScheduleEntry, ...]:
    """Every pair of names of the schedule; an item with several INCI names gives several."""
    text = files("labelkit.formula").joinpath("tables/schedule_names.toml").read_text("utf-8")
    return tuple(
        ScheduleEntry(row["technical"], english, french)
        for row in tomllib.loads(text)["name"]
        for english, french in zip(row["english"], row["french"], strict=True)
    )


@lru_cache(maxsize=1)
def _by_name() -> dict[str, tuple[ScheduleEntry, ...]]:
    found: dict[str, tuple[ScheduleEntry, ...]] = {}
    for entry in schedule_entries():
        for name in (entry.technical, entry.english, entry.french):
            found[name_key(name)] = (*found.get(name_key(name), ()), entry)
    return found


def schedule_entries_of(name: str) -> tuple[ScheduleEntry, ...]:
    """The entries a printed name, or each part of "A/B" and "A (B)", can mean; none: no such."""
    whole = _by_name().get(name_key(name), ())
    if whole:
        return whole
    parts = [_by_name().get(part, ()) for part in sorted(name_parts(name))]
    meant = [entries for entries in parts if entries]
    return tuple(dict.fromkeys(entry for entries in meant for entry in entries))
