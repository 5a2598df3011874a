"""The chemistry: what fats, waxes and acids become with sodium and potassium hydroxide.

    triglyceride + 3 MOH  →  3 soap + glycerol
    free acid + MOH       →  soap + water
    wax ester + MOH       →  soap + fatty alcohol
    hydroxy acid + n MOH  →  salt + n water

Masses are grams in floats, amounts are moles. Molar masses in g/mol (IUPAC atomic weights).

Everything is counted for many draws of the inputs at once, a column for each figure: the figure
declared, a single draw, and the ranges around it come from the same lines.

When alkali runs short, hydroxy acids are neutralised first. The fat left over is a declared
convention, not a measurement: first the oils added after trace, then every other triglyceride in
proportion to its share, then waxes; free fatty acids last, as alkali takes them before any ester.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import IntEnum

from labelkit.common.frozen import dataclass

NAOH = 39.997
KOH = 56.106
WATER = 18.015
GLYCEROL = 92.094

Column = Sequence[float]
"""One figure in each draw."""


class Yields(IntEnum):
    """What an ester gives beside soap."""

    GLYCEROL = 0
    ALCOHOL = 1


@dataclass(frozen=True, slots=True)
class Fat:
    """Something with a saponification value, mg KOH per g, of which free acids take ``acid``."""

    mass_g: Column
    saponification: Column
    acid: Column
    yields: Yields = Yields.GLYCEROL
    late: bool = False
    """Added after trace."""


@dataclass(frozen=True, slots=True)
class HydroxyAcid:
    mass_g: Column
    molar_mass: float
    alkali_per_mole: int

    @property
    def demand_mol(self) -> list[float]:
        return [mass / self.molar_mass * self.alkali_per_mole for mass in self.mass_g]


@dataclass(frozen=True, slots=True)
class ReactionOutcome:
    """What became of one fat or acid, in grams. A wax's alcohol is within its soap figures."""

    free_g: Column
    sodium_g: Column
    potassium_g: Column
    glycerol_g: Column
    water_g: Column
    reacted_g: Column


@dataclass(frozen=True, slots=True)
class Reaction:
    """Outcomes in the order given, and the alkali left over in grams."""

    fats: tuple[ReactionOutcome, ...]
    acids: tuple[ReactionOutcome, ...]
    spare_naoh_g: Column
    spare_koh_g: Column
    superfat: Column
    """Share of the fats' alkali demand that was not met; negative: an excess of alkali."""


def react_with_alkali(
    fats: Sequence[Fat], acids: Sequence[HydroxyAcid], naoh_g: Column, koh_g: Column
) -> Reaction:
    """Reacts everything with pure alkali to the end."""
    draws = len(naoh_g)
    alkali = [naoh / NAOH + koh / KOH for naoh, koh in zip(naoh_g, koh_g, strict=True)]
    sodium = [naoh / NAOH / a if a else 1.0 for naoh, a in zip(naoh_g, alkali, strict=True)]
    acids_mol = sum_columns((acid.demand_mol for acid in acids), draws)
    for_acids = list(map(min, alkali, acids_mol))
    for_fats = [a - taken for a, taken in zip(alkali, for_acids, strict=True)]
    needs = [_compute_alkali_need(fat) for fat in fats]
    demand = sum_columns((need.whole for need in needs), draws)
    both = list(zip(demand, for_fats, strict=True))
    unmet = _share_shortage(fats, needs, [max(0.0, wanted - given) for wanted, given in both])
    spare = [max(0.0, given - wanted) for wanted, given in both]
    return Reaction(
        fats=tuple(
            _make_fat_outcome(fat, need, *parts, sodium)
            for fat, need, parts in zip(fats, needs, unmet, strict=True)
        ),
        acids=_make_acid_outcomes(acids, acids_mol, for_acids, sodium),
        spare_naoh_g=[mol * s * NAOH for mol, s in zip(spare, sodium, strict=True)],
        spare_koh_g=[mol * (1 - s) * KOH for mol, s in zip(spare, sodium, strict=True)],
        superfat=[(wanted - given) / wanted if wanted else 0.0 for wanted, given in both],
    )


def sum_columns(columns: Iterable[Column], draws: int) -> list[float]:
    """The sum in each draw; noughts where there is no column."""
    found = list(columns)
    return list(map(sum, zip(*found, strict=True))) if found else [0.0] * draws


@dataclass(frozen=True, slots=True)
class _AlkaliNeed:
    """Alkali that a fat's esters and its free acids could take, in mol."""

    whole: Column
    ester: Column
    acid: Column


def _compute_alkali_need(fat: Fat) -> _AlkaliNeed:
    whole, ester, acid = [], [], []
    per_mol = 1000 * KOH
    for mass, value, acid_value in zip(fat.mass_g, fat.saponification, fat.acid, strict=True):
        mol = mass * value / per_mol
        share = acid_value / value if acid_value < value else 1.0
        whole.append(mol)
        ester.append(mol * (1 - share))
        acid.append(mol * share)
    return _AlkaliNeed(whole, ester, acid)


def _share_shortage(
    fats: Sequence[Fat], needs: Sequence[_AlkaliNeed], short_mol: Column
) -> list[tuple[Column, Column]]:
    """Which part of each fat's esters and free acids goes without, tier by tier; within a tier all
    in the same proportion."""
    tiers = [2 if f.yields is not Yields.GLYCEROL else 0 if f.late else 1 for f in fats]
    parts: list[Column] = []
    for tier in range(3):
        esters = (need.ester for need, own in zip(needs, tiers, strict=True) if own == tier)
        part, short_mol = _split_off_shortage(sum_columns(esters, len(short_mol)), short_mol)
        parts.append(part)
    acid_part, _ = _split_off_shortage(
        sum_columns((n.acid for n in needs), len(short_mol)), short_mol
    )
    return [(parts[tier], acid_part) for tier in tiers]


def _split_off_shortage(capacity_mol: Column, short_mol: Column) -> tuple[Column, Column]:
    """Which part of a tier goes without, and what is still to be found."""
    both = list(zip(capacity_mol, short_mol, strict=True))
    return (
        [min(1.0, short / capacity) if capacity > 0 else 0.0 for capacity, short in both],
        [max(0.0, short - capacity) for capacity, short in both],
    )


def _make_fat_outcome(
    fat: Fat, need: _AlkaliNeed, ester_part: Column, acid_part: Column, sodium: Column
) -> ReactionOutcome:
    # Ester and acid have nearly the same equivalent weight, so mass goes with alkali demand.
    glycerol_of_ester = GLYCEROL / 3 if fat.yields is Yields.GLYCEROL else 0.0
    free, glycerol, water, alkali = [], [], [], []
    rows = zip(fat.mass_g, need.whole, need.ester, need.acid, ester_part, acid_part, strict=True)
    for mass, whole, ester, acid, no_ester, no_acid in rows:
        met_ester, met_acid = ester * (1 - no_ester), acid * (1 - no_acid)
        unmet = ester * no_ester + acid * no_acid
        free.append(mass * unmet / whole if whole > 0 else mass)
        glycerol.append(met_ester * glycerol_of_ester)
        water.append(met_acid * WATER)
        alkali.append(met_ester + met_acid)
    return _balance_salts(fat.mass_g, free, alkali, sodium, glycerol, water)


def _make_acid_outcomes(
    acids: Sequence[HydroxyAcid], demand_mol: Column, alkali_mol: Column, sodium: Column
) -> tuple[ReactionOutcome, ...]:
    met = [a / d if d else 0.0 for a, d in zip(alkali_mol, demand_mol, strict=True)]
    nothing = [0.0] * len(met)
    outcomes = []
    for acid in acids:
        alkali = [mol * part for mol, part in zip(acid.demand_mol, met, strict=True)]
        free = [mass * (1 - part) for mass, part in zip(acid.mass_g, met, strict=True)]
        water = [mol * WATER for mol in alkali]
        outcomes.append(_balance_salts(acid.mass_g, free, alkali, sodium, nothing, water))
    return tuple(outcomes)


def _balance_salts(
    mass_g: Column,
    free_g: Column,
    alkali_mol: Column,
    sodium: Column,
    glycerol_g: Column,
    water_g: Column,
) -> ReactionOutcome:
    """The mass balance: salt = reacted + alkali - glycerol - water, for each metal's share."""
    reacted, sodium_g, potassium_g = [], [], []
    rows = zip(mass_g, free_g, alkali_mol, sodium, glycerol_g, water_g, strict=True)
    for mass, free, mol, share, glycerol, water in rows:
        rest = mass - free - glycerol - water
        reacted.append(mass - free)
        sodium_g.append(share * (rest + mol * NAOH))
        potassium_g.append((1 - share) * (rest + mol * KOH))
    return ReactionOutcome(free_g, sodium_g, potassium_g, glycerol_g, water_g, reacted)
