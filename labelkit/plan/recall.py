"""A lot looked for in a maker's record and in the others near it, so that a recall misses none."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from labelkit.common.errors import InputError
from labelkit.plan import trace
from labelkit.plan.lotcode import LotMatch, match_lots
from labelkit.plan.trace import FILE_NAME, RecordedState


@dataclass(frozen=True, slots=True)
class Recall:
    """What was found, by the record it stands in: the maker's own first."""

    found: Mapping[Path, tuple[RecordedState, ...]]
    """Every record that was searched, with what it holds of the lot."""
    unread: Mapping[Path, str]
    """Records near the maker's that could not be searched, and why."""


def recall_lot(path: Path, lot: str = "") -> Recall:
    """Every state of a lot, or the last of every batch, in a record and in those near it.

    InputError where the record itself cannot be read, or there is none near it either.
    """
    others = list_near_records(path)
    found: dict[Path, tuple[RecordedState, ...]] = {}
    unread: dict[Path, str] = {}
    if path.exists() or not others:
        found[path] = _find_states(path, lot)
    for other in others:
        try:
            found[other] = _find_states(other, lot)
        except InputError as error:
            unread[other] = error.expected
    return Recall(found, unread)


def list_near_records(path: Path) -> tuple[Path, ...]:
    """Other records one folder up, in the folders beside this one's, and one folder down."""
    return tuple(_list_other_records(path))


def collect_near_lots(found: Recall, lot: str) -> tuple[str, ...]:
    """Recorded lots that look like one that was not found in any record."""
    alike = (one for path in found.found for one in trace.list_near_lots(path, lot))
    return tuple(dict.fromkeys(alike))


def list_lots_read_alike(found: Recall, lot: str) -> tuple[str, ...]:
    """The lots found that are near the one asked for, and not it."""
    lots = (one for states in found.found.values() for state in states for one in state.record.lots)
    return tuple(dict.fromkeys(one for one in lots if match_lots(one, lot) is LotMatch.NEAR))


def _find_states(path: Path, lot: str) -> tuple[RecordedState, ...]:
    return trace.find_states(path, lot) if lot else trace.list_last_states(path)


def _list_other_records(path: Path) -> Iterator[Path]:
    here = path.parent
    above = Path(os.path.normpath(here / ".."))
    places = (above.glob(FILE_NAME), above.glob(f"*/{FILE_NAME}"), here.glob(f"*/{FILE_NAME}"))
    seen = {os.path.realpath(path)}
    for other in (one for place in places for one in sorted(place)):
        if (real := os.path.realpath(other)) not in seen:
            seen.add(real)
            yield other
