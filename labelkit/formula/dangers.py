"""Materials of the maker's own that are named dangers, and essential oils nobody limits.

The table is short; it does not stand in for the lists of the laws.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said
from labelkit.common.own_tables import read_own_table
from labelkit.formula.batch import Batch
from labelkit.formula.close_names import split_into_words
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.expand import Expanded
from labelkit.formula.scents import is_essential_oil_name
from labelkit.order.recipe import MaterialKind, OwnMaterial, Recipe

CAUTIOUS_PERCENT = Decimal(3)
"""Of an essential oil in the finished bar; many are limited to less (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Danger:
    """One named danger."""

    kind: str
    level: str
    names: tuple[frozenset[str], ...]
    """The words of each name."""
    source: str

    def is_named_by(self, text: str) -> bool:
        """Whether a text holds every word of one of the names."""
        return any(name <= split_into_words(text) for name in self.names)


@lru_cache(maxsize=1)
def load_dangers() -> tuple[Danger, ...]:
    """The table of named dangers."""
    return tuple(
        Danger(
            row["kind"],
            row["level"],
            tuple(split_into_words(name) for name in row["words"]),
            row.get("source", ""),
        )
        for row in read_own_table("formula/tables/dangers")["danger"]
    )


def find_danger_uncertainties(recipe: Recipe) -> Iterator[Uncertainty]:
    """Every danger that a recipe names where labelkit's own table does not."""
    whole = {_pick_dangerous_name(own) for own in recipe.own_materials}
    for name in dict.fromkeys((*sorted(whole), *_list_minor_names(recipe))):
        for danger in load_dangers():
            if danger.is_named_by(name):
                yield _make_danger_uncertainty(
                    name, danger, danger.level if name in whole else "warn"
                )
                break


def _list_minor_names(recipe: Recipe) -> Iterator[str]:
    """What else a maker names that labelkit's table does not know: parts of her materials, of
    which alkali may long have reacted, extracts, and what a statement of allergens lists."""
    for own in recipe.own_materials:
        yield from (part.inci for part in own.parts if part.inci)
    for oil in recipe.oils:
        yield oil.infused_with
    for line in (*recipe.oils, *recipe.additives, *recipe.colours):
        yield from line.allergens
    for scent in recipe.scents:
        yield from scent.allergens or ()


def _pick_dangerous_name(own: OwnMaterial) -> str:
    """The first of a material's names that is a danger's, or its id."""
    names = (own.inci or "", own.us or "", own.eu or "", own.id, *own.names.values())
    return next((n for n in names for d in load_dangers() if d.is_named_by(n)), own.id)


def _make_danger_uncertainty(name: str, danger: Danger, level: str) -> Uncertainty:
    if danger.kind == "alkali":
        return Uncertainty(
            "alkali",
            level,
            Said(
                "{name} is alkali: as a [[material]] it is counted neither against the oils nor in"
                " the superfat",
                name=name,
            ),
            Said("put NaOH and KOH under [[lye]]; leave any other alkali out"),
        )
    return Uncertainty(
        danger.kind,
        level,
        Said(
            "{name} is forbidden or restricted in cosmetics ({source})",
            name=name,
            source=Said(danger.source),
        ),
        Said(
            "leave it out, or ask someone licensed; labelkit knows a few named dangers, and not"
            " the full lists"
        ),
    )


def find_unlimited_oils(batch: Batch, expanded: Expanded) -> Iterator[Uncertainty]:
    """Essential oils that are no [[scent]], so that no limit is held against them."""
    for index, line in enumerate(expanded.lines):
        found = [s for s in expanded.substances if s.line == index]
        oily = any(s.material.kind is MaterialKind.ESSENTIAL_OIL for s in found)
        if line.scent is not None or not (oily or is_essential_oil_name(line.name)):
            continue
        share = 100 * line.mass_g / batch.cured_g
        yield Uncertainty(
            "limit",
            "fail" if share > CAUTIOUS_PERCENT else "warn",
            Said(
                "{name}: an essential oil outside [[scent]], where no limit is held against it; it"
                " makes up {share} % of the finished bar",
                name=line.name,
                share=Number(share, 2),
            ),
            Said(
                "make it a [[scent]] with essential_oil, and with the limit for bar soap from the"
                " supplier's certificate"
            ),
            Said("{share} %", share=Number(share, 2)),
            Said("a limit, or at most {limit} %", limit=Number(CAUTIOUS_PERCENT)),
        )
