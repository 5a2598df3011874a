"""How far the inputs' own ranges carry through: seeded draws of the whole composition.

Every saponification value is drawn evenly from its published range (or the certificate's), every
weighing within half a division of the scale; the lye's purity, the cure loss and suppliers' ranges
within theirs.
The same recipe gives the same draws.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from labelkit.formula.batch import Batch
from labelkit.formula.composition import Composition, Draw, compose
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.expand import Expanded
from labelkit.formula.materials import Range

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

    percent: dict[str, list[float]]
    superfat: list[float]
    cured_g: list[float]
    lines_g: list[Sequence[float]]

    def spread(self, name: str) -> Spread:
        return spread_of(self.percent[name])

    def share_swapped(self, heavier: str, lighter: str, above_percent: float) -> float:
        """The share of draws where the lighter outweighs the heavier, and is above a percentage."""
        pairs = zip(self.percent[heavier], self.percent[lighter], strict=True)
        return sum(1 for a, b in pairs if b > a and b > above_percent) / DRAWS

    def least_superfat(self) -> float:
        """The superfat that all but one draw in 200 exceed."""
        return sorted(self.superfat)[int(_SAFETY_TAIL * DRAWS)]

    def most_superfat(self) -> float:
        return sorted(self.superfat)[int((1 - _SAFETY_TAIL) * DRAWS) - 1]


def spread_of(values: Sequence[float]) -> Spread:
    """The range that holds 95 % of the values."""
    ordered = sorted(values)
    return Spread(ordered[int(_TAIL * len(ordered))], ordered[int((1 - _TAIL) * len(ordered)) - 1])


def draws_of(
    expanded: Expanded,
    batch: Batch,
    scale_g: float,
    style: Style,
    basis: Basis,
    printed: Callable[[str], str],
) -> Draws:
    """Draws the composition again and again; ``printed`` maps an INCI name to the printed one."""
    random = Random(_SEED)
    sampler = _Sampler(expanded, batch, scale_g / 2, random)
    percent: dict[str, list[float]] = {}
    superfat, cured, lines = [], [], []
    for count, draw in enumerate(sampler.draws(), start=1):
        composition = compose(expanded, batch, draw, style, basis)
        for name, share in _percents(composition, basis, printed).items():
            values = percent.setdefault(name, [])
            values += [0.0] * (count - 1 - len(values))
            values.append(share)
        superfat.append(composition.superfat)
        cured.append(composition.cured_g)
        lines.append(draw.lines_g)
    for values in percent.values():
        values += [0.0] * (DRAWS - len(values))
    return Draws(percent, superfat, cured, lines)


def _percents(
    composition: Composition, basis: Basis, printed: Callable[[str], str]
) -> dict[str, float]:
    total = composition.cured_g if basis is Basis.CURED else composition.poured_g
    found: dict[str, float] = {}
    for piece in composition.pieces:
        if piece.inci:
            name = printed(piece.inci)
            found[name] = found.get(name, 0.0) + 100 * piece.mass_g / total
    return found


class _Sampler:
    def __init__(self, expanded: Expanded, batch: Batch, half_g: float, random: Random) -> None:
        self._random = random
        self._half_g = half_g
        self._lines = [float(line.mass_g) for line in expanded.lines]
        self._lyes = [float(lye.weighed_g) for lye in batch.lyes]
        self._strengths = [_ends(lye.strength) for lye in batch.lyes]
        self._water = float(batch.water_g)
        self._home = [s.line for s in expanded.substances]
        self._shares = [_ends(s.share) for s in expanded.substances]
        self._saponification = [_ends(s.saponification) for s in expanded.substances]
        self._acid = [_ends(s.acid) for s in expanded.substances]
        self._same = [s.saponification == s.acid for s in expanded.substances]
        loss, half = float(batch.loss.percent), float(batch.loss.spread_percent)
        self._loss = (max(0.0, loss - half) / 100, min(99.0, loss + half) / 100)

    def draws(self) -> Iterator[Draw]:
        for _ in range(DRAWS):
            saponification = [self._between(ends) for ends in self._saponification]
            yield Draw(
                lines_g=[self._weighing(mass) for mass in self._lines],
                shares=self._filled([self._between(ends) for ends in self._shares]),
                saponification=saponification,
                acid=self._acids(saponification),
                lyes_g=[self._weighing(mass) for mass in self._lyes],
                strengths=[self._between(ends) for ends in self._strengths],
                water_g=self._weighing(self._water),
                loss=self._between(self._loss),
            )

    def _between(self, ends: tuple[float, float]) -> float:
        low, high = ends
        return low if low == high else self._random.uniform(low, high)

    def _weighing(self, mass: float) -> float:
        return max(0.0, mass + self._random.uniform(-self._half_g, self._half_g)) if mass else 0.0

    def _acids(self, saponification: Sequence[float]) -> list[float]:
        """Free acids are all acid: their acid value is their saponification value."""
        return [
            value if same else min(value, self._between(ends))
            for value, same, ends in zip(saponification, self._same, self._acid, strict=True)
        ]

    def _filled(self, shares: list[float]) -> list[float]:
        """Shares that make up each line again."""
        totals = [0.0] * len(self._lines)
        for home, share in zip(self._home, shares, strict=True):
            totals[home] += share
        return [
            share / totals[home] if totals[home] else 0.0
            for home, share in zip(self._home, shares, strict=True)
        ]


def _ends(values: Range) -> tuple[float, float]:
    return float(values.low), float(values.high)
