"""The table behind the list: each material, what it became, and why that stands where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.messages import Number, Said
from labelkit.formula.composition import SubstanceInBar
from labelkit.formula.declaration import Basis, DeclaredLine, Role, Style, TableRow
from labelkit.formula.work import WorkedRecipe, round_to_nanogram

NO_INGREDIENT, NOT_IN_BAR = Said("not an ingredient"), Said("not in the bar")


def list_table_rows(work: WorkedRecipe, lines: tuple[DeclaredLine, ...]) -> tuple[TableRow, ...]:
    """Rows in the order of the list; what is not declared, and what has left, comes last."""
    place = {line.name: index for index, line in enumerate(lines)}
    reasons = {line.name: line.reason for line in lines}
    merged: dict[tuple[int, str, str], float] = {}
    pieces: dict[tuple[int, str, str], SubstanceInBar] = {}
    for piece in work.composition.pieces:
        name = work.names.printed(piece.inci) if piece.inci else ""
        key = (piece.source, name, piece.became)
        merged[key] = merged.get(key, 0.0) + piece.mass_g
        pieces.setdefault(key, piece)
    keys = sorted(merged, key=lambda k: (place.get(k[1], len(place)), -merged[k], k))
    rows = [
        _make_row(work, pieces[key], key[1], merged[key], reasons.get(key[1], NO_INGREDIENT))
        for key in keys
    ]
    allergens = [_make_allergen_row(work, line) for line in lines if line.role is Role.ALLERGEN]
    rows += [row for row in allergens if row is not None]
    rows.sort(key=lambda row: place.get(row.name, len(place)))
    return (*rows, *_list_gone_rows(work))


def _make_row(
    work: WorkedRecipe, piece: SubstanceInBar, name: str, mass_g: float, reason: str
) -> TableRow:
    grams = round_to_nanogram(mass_g)
    return TableRow(
        material=work.source(piece),
        grams_in=work.grams_in(piece),
        became=piece.became,
        name=name,
        grams=grams,
        percent=100 * grams / work.total_g,
        reason=reason,
    )


def _make_allergen_row(work: WorkedRecipe, line: DeclaredLine) -> TableRow:
    grams_in = sum(
        (item.mass_g for item in work.expanded.lines if item.name in line.sources), Decimal(0)
    )
    return TableRow(
        material=", ".join(line.sources),
        grams_in=grams_in,
        became=line.became,
        name=line.name,
        grams=line.mass_g,
        percent=line.percent,
        reason=line.reason,
    )


def _list_gone_rows(work: WorkedRecipe) -> Iterator[TableRow]:
    """What was weighed in and is not in the bar."""
    zero = Decimal(0)
    if work.policy.style is Style.FORMED:
        for lye in work.batch.lyes:
            source = Said("lye ({alkali})", alkali=lye.alkali)
            became = Said("used up by the reaction")
            yield TableRow(source, lye.weighed_g, became, "", zero, zero, NOT_IN_BAR)
    if work.policy.basis is Basis.CURED and work.composition.lost_g > 0:
        became = Said("{n} g left in cure", n=Number(Decimal(work.composition.lost_g), 3))
        yield TableRow("water", work.batch.water_g, became, "", zero, zero, NOT_IN_BAR)
