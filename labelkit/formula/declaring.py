"""The declaration of a recipe: its lines, their order, the table behind them, and every doubt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from labelkit.common.messages import FactList, Said
from labelkit.common.recent import RecentResults
from labelkit.formula.composition import SubstanceInBar
from labelkit.formula.declaration import Declaration, DeclaredLine, Role, SuperfatRange
from labelkit.formula.draws import Draws
from labelkit.formula.list_order import ONE_PERCENT, order_lines
from labelkit.formula.policy import Policy
from labelkit.formula.table import list_table_rows
from labelkit.formula.uncertainties import find_uncertainties
from labelkit.formula.work import WorkedRecipe, drop_repeats, round_to_nanogram, work_out_recipe
from labelkit.order.recipe import Recipe

_LATEST = RecentResults[Declaration](most=32)
"""What was declared last: while a label is edited its recipe mostly stays as it is. Recipe and
policy are known again as written out, as 5 and 5.0 are equal and printed otherwise; which file a
recipe is from makes no difference."""
_WRITTEN_OUT = RecentResults[tuple[Recipe, str]](most=32)
"""Recipes with their text, by identity: one that is kept here lends its own to no other."""


def declare_ingredients(recipe: Recipe, policy: Policy) -> Declaration:
    """The ordered ingredient list of a recipe, with the table behind it and what it depends on.

    Raises InputError for a material nobody knows and for a cure loss larger than all the water.
    """
    asked = _write_out(recipe), repr(policy)
    return _LATEST.recall(asked) or _LATEST.keep(asked, _make_declaration(recipe, policy))


def _write_out(recipe: Recipe) -> str:
    """All that a recipe says, whatever its file."""
    found = _WRITTEN_OUT.recall(id(recipe))
    if found is None:
        found = _WRITTEN_OUT.keep(id(recipe), (recipe, repr(replace(recipe, path=Path()))))
    return found[1]


def _make_declaration(recipe: Recipe, policy: Policy) -> Declaration:
    work = work_out_recipe(recipe, policy)
    lines = order_lines([*_make_substance_lines(work), *_make_allergen_lines(work)], policy)
    declaration = Declaration(
        lines=lines,
        style=policy.style,
        basis=policy.basis,
        total_g=work.total_g,
        allergens=tuple(found.share for found in work.allergens),
        table=list_table_rows(work, lines),
        superfat=SuperfatRange(
            work.batch.superfat_percent,
            Decimal(f"{100 * work.draws.least_superfat():.4f}"),
            Decimal(f"{100 * work.draws.most_superfat():.4f}"),
        ),
    )
    return replace(declaration, doubts=tuple(find_uncertainties(work, lines)))


def _make_substance_lines(work: WorkedRecipe) -> Iterator[DeclaredLine]:
    """One line per printed name, from every piece that bears it."""
    by_name: dict[str, list[SubstanceInBar]] = {}
    for piece in work.composition.pieces:
        if piece.inci:
            by_name.setdefault(work.names.printed(piece.inci), []).append(piece)
    for name, pieces in by_name.items():
        mass = round_to_nanogram(sum(piece.mass_g for piece in pieces))
        heaviest = max(pieces, key=lambda piece: piece.mass_g)
        percent = 100 * mass / work.total_g
        low, high = _percent_range(work.draws, name, percent)
        yield DeclaredLine(
            name=name,
            inci=heaviest.inci,
            role=work.names.role(heaviest.inci),
            mass_g=mass,
            percent=percent,
            low_percent=low,
            high_percent=high,
            sources=drop_repeats(work.source(piece) for piece in pieces),
            became=FactList(drop_repeats(piece.became for piece in pieces)),
        )
    yield from _make_extract_lines(work, set(by_name))


def _make_extract_lines(work: WorkedRecipe, taken: set[str]) -> Iterator[DeclaredLine]:
    """Extracts of infused oils: there, and nobody knows how much."""
    for substance in work.expanded.substances:
        name = work.names.printed(substance.inci)
        if substance.share_unknown and substance.share.high == 0 and name not in taken:
            taken.add(name)
            yield DeclaredLine(
                name=name,
                inci=substance.inci,
                role=Role.BOTANICAL,
                mass_g=Decimal(0),
                percent=Decimal(0),
                low_percent=Decimal(0),
                high_percent=ONE_PERCENT,
                sources=(work.expanded.lines[substance.line].name,),
                became=Said("extract, mass unknown"),
            )


def _percent_range(draws: Draws, name: str, percent: Decimal) -> tuple[Decimal, Decimal]:
    if name not in draws.percent:
        return percent, percent
    spread = draws.spread(name)
    return _widen_range(percent, spread.low, spread.high)


def _widen_range(percent: Decimal, low: float, high: float) -> tuple[Decimal, Decimal]:
    """A range that holds the figure itself, even where that stands at the end of its own range."""
    return min(Decimal(f"{low:.6f}"), percent), max(Decimal(f"{high:.6f}"), percent)


def _make_allergen_lines(work: WorkedRecipe) -> Iterator[DeclaredLine]:
    """Allergens over the threshold that do not stand in the list already."""
    policy = work.policy
    named = {
        work.names.printed(piece.inci).casefold() for piece in work.composition.pieces if piece.inci
    }
    for found in work.allergens:
        name = found.share.inci
        if name not in policy.allergens or name.casefold() in named:
            continue
        if found.share.percent <= policy.allergen_limit_percent:
            continue
        percent = 100 * found.mass_g / work.total_g
        scale = float(work.batch.cured_g / work.total_g)
        low, high = _widen_range(percent, found.low_percent * scale, found.high_percent * scale)
        yield DeclaredLine(
            name=name,
            inci=name,
            role=Role.ALLERGEN,
            mass_g=found.mass_g,
            percent=percent,
            low_percent=low,
            high_percent=high,
            sources=found.share.sources,
            became=Said("fragrance allergen"),
        )
