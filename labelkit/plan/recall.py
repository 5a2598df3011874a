"""A lot looked for in a maker's record and in the others near it, so that a recall misses none."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from labelkit.common.errors import InputError, describe_os_error
from labelkit.common.frozen import dataclass
from labelkit.common.journal import Journal
from labelkit.common.messages import Said
from labelkit.order.maker import TRACE_NAME
from labelkit.plan import trace
from labelkit.plan.lotcode import LotMatch, match_lots
from labelkit.plan.trace import RecordedState


@dataclass(frozen=True, slots=True)
class Recall:
    """What was found, by the record it stands in: the maker's own first."""

    found: Mapping[Path, tuple[RecordedState, ...]]
    """Every record that was searched, with what it holds of the lot."""
    unread: Mapping[Path, str]
    """Records and folders near the maker's that could not be searched, and why."""
    lacking: tuple[Said, ...] = ()
    """Batches that a journal says were recorded, and that its record does not hold."""

    @property
    def complete(self) -> bool:
        """Whether everything was searched that should be there."""
        return not self.unread and not self.lacking


def recall_lot(path: Path, lot: str = "") -> Recall:
    """Every state of a lot, or the last of every batch, in a record and in those near it.

    InputError where the record itself cannot be read, or there is none near it either.
    """
    unread: dict[Path, Said] = {}
    others = tuple(_list_other_records(path, unread))
    found: dict[Path, tuple[RecordedState, ...]] = {}
    if trace.has_record(path) or not (others or unread or _list_journalled(path, {})):
        found[path] = _find_states(path, lot)
    for other in others:
        try:
            if trace.has_record(other):
                found[other] = _find_states(other, lot)
        except InputError as error:
            unread[other] = error.expected
    lacking = tuple(line for record in (path, *others) for line in _list_lacking(record, unread))
    return Recall(found, unread, lacking)


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


def _list_other_records(path: Path, unread: dict[Path, Said]) -> Iterator[Path]:
    """Other records one folder up, in the folders beside this one's, and one folder down.

    What cannot be looked into goes into ``unread``, with why.
    """
    here = path.parent
    above = Path(os.path.normpath(here / ".."))
    places = [above, *_list_folders(above, unread), *_list_folders(here, unread)]
    seen = {os.path.realpath(path)}
    for other in (folder / TRACE_NAME for folder in places):
        real = os.path.realpath(other)
        if real in seen:
            continue
        seen.add(real)
        try:
            other.stat()
        except FileNotFoundError:
            continue
        except OSError as error:
            unread[other] = Said("cannot be read: {reason}", reason=describe_os_error(error))
            continue
        yield other


def _list_folders(folder: Path, unread: dict[Path, Said]) -> list[Path]:
    try:
        return sorted(one for one in folder.iterdir() if one.is_dir())
    except OSError as error:
        unread[folder] = Said("cannot be read: {reason}", reason=describe_os_error(error))
        return []


@dataclass(frozen=True, slots=True)
class JournalledBatch:
    """A batch that the journal says was recorded."""

    lot: str
    label: str
    names: str
    at: str


def _list_lacking(record: Path, unread: dict[Path, Said]) -> Iterator[Said]:
    """Batches of the journal beside a record that it does not hold, a line for each."""
    batches = _list_journalled(record, unread)
    if not batches or record in unread:
        return
    states = trace.list_all_states(record) if trace.has_record(record) else ()
    held = {(state.record.lot, state.record.label) for state in states}
    for batch in batches:
        if (batch.lot, batch.label) not in held:
            yield Said(
                "{record} lacks lot {lot} for {names} ({label}), which was recorded {at}",
                record=record,
                lot=batch.lot,
                names=batch.names,
                label=batch.label,
                at=batch.at,
            )


def _list_journalled(record: Path, unread: dict[Path, Said]) -> tuple[JournalledBatch, ...]:
    """The batches of the journal beside a record, each once; a journal that cannot be read goes
    into ``unread``."""
    journal = Journal(record.parent)
    try:
        entries = journal.read_entries()
    except InputError as error:
        unread[journal.path] = error.expected
        return ()
    found: dict[tuple[str, str], JournalledBatch] = {}
    for entry in entries:
        about = entry.details.get("recorded")
        if isinstance(about, dict):
            lot, label, names = (str(about.get(key, "")) for key in ("lot", "label", "names"))
            found[lot, label] = JournalledBatch(lot, label, names, entry.at)
    return tuple(found.values())
