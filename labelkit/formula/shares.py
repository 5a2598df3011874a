"""Fragrance allergens summed over every source, on the finished mass."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, Verbatim
from labelkit.formula.allergens import find_allergen, suggest_allergen
from labelkit.formula.batch import Batch
from labelkit.formula.declaration import AllergenShare
from labelkit.formula.draws import Draws, spread_of_values
from labelkit.formula.expand import Expanded, RecipeLine
from labelkit.formula.reaction import sum_columns
from labelkit.order.recipe import Recipe


@dataclass(frozen=True)
class SummedAllergen:
    share: AllergenShare
    mass_g: Decimal
    low_percent: float
    high_percent: float
    """Range on the finished mass."""
    known: bool
    """Whether it is in any list; a supplier may state more than the law asks for."""


def sum_allergens(
    recipe: Recipe, expanded: Expanded, batch: Batch, draws: Draws
) -> tuple[SummedAllergen, ...]:
    """Every allergen summed over all its sources, on the finished mass, most first.

    A supplier's range counts with its upper end, as thresholds ask for the worst case.
    """
    masses: dict[str, list[tuple[int, Decimal, Decimal]]] = {}
    for index, name, low, high in _list_sources(recipe, expanded):
        masses.setdefault(name, []).append((index, low, high))
    found = []
    for name, sources in masses.items():
        mass = sum((expanded.lines[i].mass_g * high / 100 for i, _, high in sources), Decimal(0))
        ends = [
            _finished_percents(draws, [(i, float(part[end])) for i, *part in sources])
            for end in (0, 1)
        ]
        found.append(
            SummedAllergen(
                AllergenShare(
                    name,
                    100 * mass / batch.cured_g,
                    tuple(dict.fromkeys(expanded.lines[i].name for i, *_ in sources)),
                ),
                mass,
                spread_of_values(ends[0]).low,
                spread_of_values(ends[1]).high,
                find_allergen(name) is not None,
            )
        )
    return tuple(sorted(found, key=lambda f: (-f.mass_g, f.share.inci)))


def _finished_percents(draws: Draws, parts: list[tuple[int, float]]) -> list[float]:
    """Percent of the finished mass in each draw of so many percent of some lines."""
    columns = ([grams * percent for grams in draws.lines_g[i]] for i, percent in parts)
    masses = sum_columns(columns, len(draws.cured_g))
    return [mass / cured for mass, cured in zip(masses, draws.cured_g, strict=True)]


def _list_sources(
    recipe: Recipe, expanded: Expanded
) -> Iterator[tuple[int, str, Decimal, Decimal]]:
    """Line, allergen, and percent of the line from low to high."""
    for index, line in enumerate(expanded.lines):
        _check_line_sum(recipe, line)
        for stated, share in line.allergens.items():
            known = find_allergen(stated)
            if known is None and (near := suggest_allergen(stated)):
                recipe.wrong(
                    f"{line.key}.allergens",
                    stated,
                    Said("did you mean {near}?", near=Verbatim(near)),
                )
            yield index, known.name if known else stated, share.low, share.high
    for substance in expanded.substances:
        material, part = substance.material, substance.share
        whole = material.allergen or (known.name if (known := find_allergen(material.inci)) else "")
        if whole:
            yield substance.line, whole, 100 * part.low, 100 * part.high


def _check_line_sum(recipe: Recipe, line: RecipeLine) -> None:
    """No line holds more than itself, of single substances nor of oils and extracts."""
    for mixtures in (False, True):
        least = sum(
            (
                share.low
                for name, share in line.allergens.items()
                if ((known := find_allergen(name)) is not None and known.mixture) is mixtures
            ),
            Decimal(0),
        )
        if least > 100:
            recipe.wrong(
                f"{line.key}.allergens",
                f"{least.normalize():f} %",
                Said("the shares together make more than the whole; expected at most 100 %"),
            )
