"""What other surfaces of the same soap must say: a card beside loose soap, the outside of a box."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Language, Said
from labelkit.common.regions import check_regions
from labelkit.common.rule_tables import read_table
from labelkit.common.table_rows import fill_row
from labelkit.rules.label import Label, is_same_language, name_element
from labelkit.rules.region_tables import list_ancestry
from labelkit.rules.rule import Provenance


@dataclass(frozen=True, slots=True)
class SurfaceRow:
    """One thing a surface must say in a region, or what was not found of it."""

    surface: str
    region: str
    element: str
    asks: Said
    citation: Said
    provenance: Provenance
    open: bool = False
    """Whether it is no rule but says what the laws read here do not settle."""
    fewer_than: int | None = None
    """Pieces of one kind below which it is so; None: however many."""
    needs: tuple[str, ...] = ()
    """Elements that must stand on the surface; empty: the row is for the maker's own eyes."""
    panel: str = "any"
    languages: tuple[str, ...] = ()
    """In which the row's own element must stand."""
    counts: bool = False
    """Whether the row's own element must say how many pieces there are."""


@dataclass(frozen=True, slots=True)
class CheckedRow:
    """A row held against a label that was made for the surface."""

    row: SurfaceRow
    lacks: tuple[str, ...]
    """What is not there, one sentence each."""

    @property
    def is_checked(self) -> bool:
        """Whether there was anything that could be checked."""
        return bool(self.row.needs)


@lru_cache(maxsize=1)
def load_surface_titles() -> Mapping[str, str]:
    """What each surface is, by the name that a maker types."""
    known = read_table("surfaces")["surface"]
    return {name: Said(surface["title"]) for name, surface in known.items()}


@lru_cache(maxsize=1)
def load_surface_rows() -> tuple[SurfaceRow, ...]:
    """All rows, in the table's order."""
    return tuple(fill_row(SurfaceRow, row) for row in read_table("surfaces")["row"])


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


def check_surface(
    rows: Iterable[SurfaceRow], label: Label, pieces: int | None = None
) -> tuple[CheckedRow, ...]:
    """Each row with what a label made for the surface lacks of it, as far as that can be read.

    ``pieces`` is how many of one kind the box holds; None: their number is not looked for.
    """
    return tuple(CheckedRow(row, tuple(_find_lacking(row, label, pieces))) for row in rows)


def _find_lacking(row: SurfaceRow, label: Label, pieces: int | None) -> Iterator[str]:
    for element in row.needs:
        if not label.texts(element, row.panel):
            yield Said("{what:cap} is missing", what=name_element(element))
    own = [text for _, text in label.texts(row.element, row.panel)]
    missing = [
        language
        for language in row.languages
        if not any(is_same_language(text.language, language) for text in own)
    ]
    if own and missing:
        yield Said(
            "{what:cap} is missing in {languages}",
            what=name_element(row.element),
            languages=FactList(map(Language, missing), "and"),
        )
    if own and row.counts and pieces is not None:
        number = rf"(?<![\d.,]){pieces}(?![\d.,]*\d)(?!\s*(?:g|oz|mg|kg|lb)\b)"
        if not any(re.search(number, text.text) for text in own):
            yield Said(
                "{what:cap} does not say how many pieces there are: {pieces}",
                what=name_element(row.element),
                pieces=pieces,
            )
