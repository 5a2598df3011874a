"""How far the inputs' own ranges carry through: seeded draws of the whole composition.

Every saponification value is drawn evenly from its published range (or the certificate's), every
weighing within half a division of the scale; the lye's purity, the cure loss and suppliers' ranges
within theirs. The same recipe gives the same draws.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from random import Random

from labelkit.common.frozen import dataclass
from labelkit.formula.batch import Batch
from labelkit.formula.composition import DrawnInputs, compute_compositions
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.expand import Expanded
from labelkit.formula.materials import ValueRange
from labelkit.formula.reaction import Column, sum_columns

DRAWS = 1000
_SEED = 20260412
_TAIL = 0.025
"""Left out at either end of a range that is printed: it holds 95 % of the draws."""
_SAFETY_TAIL = 0.005
"""Left out below the superfat that safety goes by."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Where a figure lies in 95 % of the draws."""

    low: float
    high: float


@dataclass(frozen=True)
class Draws:
    """All draws: percent of the basis per printed name, and what allergens and safety need."""

    percent: Mapping[str, Column]
    superfat: Column
    cured_g: Column
    lines_g: Sequence[Column]
    """A column for each line of the recipe."""

    def spread(self, name: str) -> Spread:
        return spread_of_values(self.percent[name])

    def share_swapped(self, heavier: str, lighter: str, above_percent: float) -> float:
        """The share of draws where the lighter outweighs the heavier, and is above a percentage."""
        pairs = zip(self.percent[heavier], self.percent[lighter], strict=True)
        return sum(1 for a, b in pairs if b > a and b > above_percent) / DRAWS

    def least_superfat(self) -> float:
        """The superfat that all but one draw in 200 exceed."""
        return sorted(self.superfat)[int(_SAFETY_TAIL * DRAWS)]

    def most_superfat(self) -> float:
        return sorted(self.superfat)[int((1 - _SAFETY_TAIL) * DRAWS) - 1]


def spread_of_values(values: Sequence[float]) -> Spread:
    """The range that holds 95 % of the values."""
    ordered = sorted(values)
    return Spread(ordered[int(_TAIL * len(ordered))], ordered[int((1 - _TAIL) * len(ordered)) - 1])


def make_draws(
    expanded: Expanded,
    batch: Batch,
    scale_g: float,
    style: Style,
    basis: Basis,
    printed: Callable[[str], str],
) -> Draws:
    """Draws the composition again and again; ``printed`` maps an INCI name to the printed one."""
    inputs = draw_inputs(expanded, batch, scale_g / 2)
    found = compute_compositions(expanded, batch, inputs, style, basis)
    total = found.cured_g if basis is Basis.CURED else found.poured_g
    by_name: dict[str, list[Column]] = {}
    for portion in found.portions:
        if portion.inci:
            by_name.setdefault(printed(portion.inci), []).append(portion.masses_g)
    percent = {
        name: [
            100 * mass / whole
            for mass, whole in zip(sum_columns(columns, DRAWS), total, strict=True)
        ]
        for name, columns in by_name.items()
    }
    return Draws(percent, found.superfat, found.cured_g, inputs.lines_g)


def draw_inputs(expanded: Expanded, batch: Batch, half_g: float) -> DrawnInputs:
    """Everything put in, as often as there are draws; a weighing is ``half_g`` off at most."""
    substances, lyes = expanded.substances, batch.lyes
    loss, half = float(batch.loss.percent), float(batch.loss.spread_percent)
    groups = [
        [_range_to_floats(s.saponification) for s in substances],
        [_weighing_range(float(line.mass_g), half_g) for line in expanded.lines],
        [_range_to_floats(s.share) for s in substances],
        [
            _range_to_floats(s.acid) if s.acid != s.saponification else (0.0, 0.0)
            for s in substances
        ],
        [_weighing_range(float(lye.weighed_g), half_g) for lye in lyes],
        [_range_to_floats(lye.strength) for lye in lyes],
        [_weighing_range(float(batch.water_g), half_g)],
        [(max(0.0, loss - half) / 100, min(99.0, loss + half) / 100)],
    ]
    drawn = iter(_draw_columns([ends for group in groups for ends in group]))
    columns = [[next(drawn) for _ in group] for group in groups]
    saponification, lines, shares, acids, lyes_g, strengths, (water,), (lost,) = columns
    return DrawnInputs(
        lines_g=lines,
        shares=_normalise_shares(shares, [s.line for s in substances]),
        saponification=saponification,
        acid=[
            # Free acids are all acid: their acid value is their saponification value.
            value if s.acid == s.saponification else list(map(min, value, acid))
            for s, value, acid in zip(substances, saponification, acids, strict=True)
        ],
        lyes_g=lyes_g,
        strengths=strengths,
        water_g=water,
        loss=lost,
    )


def _draw_columns(ranges: Sequence[tuple[float, float]]) -> Iterator[Column]:
    """Evenly drawn figures for each range, draw after draw; a range without width is no draw."""
    varying = sum(low != high for low, high in ranges)
    random = Random(_SEED).random
    numbers = [random() for _ in range(varying * DRAWS)]
    place = 0
    for low, high in ranges:
        if low == high:
            yield [low] * DRAWS
            continue
        width = high - low
        yield [max(0.0, low + width * number) for number in numbers[place::varying]]
        place += 1


def _weighing_range(mass_g: float, half_g: float) -> tuple[float, float]:
    return (mass_g - half_g, mass_g + half_g) if mass_g else (0.0, 0.0)


def _normalise_shares(shares: Sequence[Column], homes: Sequence[int]) -> list[Column]:
    """Shares that make up each line again."""
    of_line: dict[int, list[Column]] = {}
    for home, share in zip(homes, shares, strict=True):
        of_line.setdefault(home, []).append(share)
    totals = {home: sum_columns(columns, DRAWS) for home, columns in of_line.items()}
    return [
        [part / whole if whole else 0.0 for part, whole in zip(share, totals[home], strict=True)]
        for home, share in zip(homes, shares, strict=True)
    ]


def _range_to_floats(values: ValueRange) -> tuple[float, float]:
    return float(values.low), float(values.high)
