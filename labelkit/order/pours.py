"""pours.toml, beside maker.toml: what a maker remembers of batches that were poured.

How often a recipe was poured is counted from the record; only what no record knows stands here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from labelkit.common.messages import Said
from labelkit.order.fields import POURS
from labelkit.order.mistakes import collect_mistakes
from labelkit.order.reader import Table, read_toml


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
    collect_mistakes(_check_lots, top, found)
    top.done()
    return found


def _check_lots(top: Table, found: tuple[PourNotes, ...]) -> None:
    known: set[str] = set()
    for one in found:
        if one is not None and one.lot.casefold() in known:
            top.wrong("pour.lot", one.lot, Said("stands twice in this list"))
        known.add(one.lot.casefold())


def _read_pour(table: Table) -> PourNotes:
    pour = PourNotes(
        lot=table.text("lot", expected=Said('the batch\'s own lot, such as "LS-2704"')),
        mould=table.text("mould", ""),
        lost=table.integer("lost", None),
        notes=table.texts("notes", ()),
        text=table.text("text", ""),
    )
    table.done()
    return pour
