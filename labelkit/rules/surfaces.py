"""What other surfaces of the same soap must say: a card beside loose soap, the outside of a box."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from labelkit.common.messages import Said
from labelkit.common.regions import check_regions
from labelkit.common.rule_tables import read_table
from labelkit.rules.rule import Provenance
from labelkit.rules.tables import list_ancestry


@dataclass(frozen=True, slots=True)
class SurfaceRow:
    """One thing a surface must say in a region, or what was not found of it."""

    surface: str
    region: str
    element: str
    asks: str
    citation: str
    provenance: Provenance
    open: bool = False
    """Whether it is no rule but says what the laws read here do not settle."""
    fewer_than: int | None = None
    """Pieces of one kind below which it is so; None: however many."""


@lru_cache(maxsize=1)
def load_surface_titles() -> Mapping[str, str]:
    """What each surface is, by the name that a maker types."""
    known = read_table("surfaces")["surface"]
    return {name: Said(surface["title"]) for name, surface in known.items()}


@lru_cache(maxsize=1)
def load_surface_rows() -> tuple[SurfaceRow, ...]:
    """All rows, in the table's order."""
    return tuple(
        SurfaceRow(
            row["surface"],
            row["region"],
            row["element"],
            Said(row["asks"]),
            Said(row["citation"]),
            Provenance(row["provenance"]),
            row.get("open", False),
            row.get("fewer_than"),
        )
        for row in read_table("surfaces")["row"]
    )


def list_surface_rows(
    surface: str, regions: Iterable[str], pieces: int | None = None
) -> tuple[SurfaceRow, ...]:
    """What a surface must say in some regions, those they extend included, each row once.

    ``pieces`` is how many of one kind a box holds; rows for fewer are then left out. InputError for
    a region that is not known.
    """
    asked = {code for region in check_regions(regions) for code in list_ancestry(region)}
    return tuple(
        row
        for row in load_surface_rows()
        if row.surface == surface
        and row.region in asked
        and (row.fewer_than is None or pieces is None or pieces < row.fewer_than)
    )
