"""pours.toml, beside maker.toml: what a maker remembers of batches that were poured.

How often a recipe was poured is counted from the record; only what no record knows stands here.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.fields import POURS
from labelkit.order.reader import Table, read_toml
from labelkit.order.write_back import add_entry, read_values, set_value


@dataclass(frozen=True, slots=True)
class PourNotes:
    """What is remembered of one batch."""

    lot: str
    mould: str = ""
    lost: int | None = None
    """Pieces; None: nobody counted them."""
    notes: tuple[str, ...] = ()
    """How it misbehaved, in the words of fields.toml."""
    text: str = ""


def path_of_pours(maker: Path) -> Path:
    """The file's place, beside the maker's."""
    return maker.parent / POURS


def read_pours(path: Path) -> tuple[PourNotes, ...]:
    """The notes of a workshop; none where it keeps no such file. InputError for what is wrong."""
    if not path.is_file():
        return ()
    top = read_toml(path, POURS)
    found = top.rows("pour", _read_pour)
    told = Said("stands twice in this list")
    top.refuse_repeated(found, lambda pour: ("pour.lot", pour.lot), told)
    top.done()
    return found


def keep_pour_notes(data: bytes, noted: PourNotes) -> bytes:
    """The bytes of a pours.toml with what is noted of a batch, beside what was noted of it before:
    a count replaces the former one, and a word that is there already is not said twice.

    WriteBackError where the file cannot say so.
    """
    rows = read_values(data).get("pour", [])
    lot = noted.lot.casefold()
    found = next((n for n, row in enumerate(rows) if str(row.get("lot")).casefold() == lot), None)
    if found is None:
        head = b"" if data else b"labelkit = 1\n"
        return add_entry(head + data, "pour", {"lot": noted.lot, **_list_noted(noted, {})})
    for key, value in _list_noted(noted, rows[found]).items():
        data = set_value(data, ("pour", found, key), value)
    return data


def _list_noted(noted: PourNotes, before: Mapping[str, object]) -> dict[str, object]:
    """What is to be written of a batch, by key, beside what stands there."""
    known = before.get("notes", ())
    words = [*known] if isinstance(known, list) else []
    new = [word for word in dict.fromkeys(noted.notes) if word not in words]
    return {
        **({"mould": noted.mould} if noted.mould and "mould" not in before else {}),
        **({"lost": noted.lost} if noted.lost is not None else {}),
        **({"notes": [*words, *new]} if new else {}),
    }


def _read_pour(table: Table) -> PourNotes:
    return PourNotes(
        lot=table.text("lot", expected=Said('the batch\'s own lot, such as "LS-2704"')),
        mould=table.text("mould", ""),
        lost=table.integer("lost", None),
        notes=table.texts("notes", ()),
        text=table.text("text", ""),
    )
