"""The forms in which a printed name with a technical (trivial) name may be written."""

from __future__ import annotations

from functools import lru_cache

from labelkit.formula.schedule import ScheduleName, load_schedule_names
from labelkit.rules.printed_list import list_name_keys, make_name_key


@lru_cache(maxsize=1024)
def find_schedule_entries(name: str) -> tuple[ScheduleName, ...]:
    """The entries a printed name, or each part of "A/B" and "A (B)", can mean; none: no such."""
    whole = _index_by_name().get(make_name_key(name), ())
    parts = [_index_by_name().get(part, ()) for part in sorted(list_name_keys(name))]
    return whole or tuple(dict.fromkeys(entry for entries in parts for entry in entries))


def format_schedule_name(entry: ScheduleName, form: tuple[str, ...]) -> str:
    """The names a form asks for ("technical", "inci", "french"), joined by a slash."""
    names = {"technical": entry.technical, "inci": entry.english, "french": entry.french}
    return "/".join(names[part] for part in form)


@lru_cache(maxsize=1)
def _index_by_name() -> dict[str, tuple[ScheduleName, ...]]:
    found: dict[str, tuple[ScheduleName, ...]] = {}
    for entry in load_schedule_names():
        for name in (entry.technical, entry.english, entry.french):
            found[make_name_key(name)] = (*found.get(make_name_key(name), ()), entry)
    return found
