"""The chemistry: what fats, waxes and acids become with sodium and potassium hydroxide.

    triglyceride + 3 MOH  →  3 soap + glycerol
    free acid + MOH       →  soap + water
    wax ester + MOH       →  soap + fatty alcohol
    hydroxy acid + n MOH  →  salt + n water

Masses are grams in floats, amounts are moles. Molar masses in g/mol (IUPAC atomic weights).

When alkali runs short, hydroxy acids are neutralised first. The fat left over is a declared
convention, not a measurement: first the oils added after trace, then every other triglyceride in
proportion to its share, then waxes; free fatty acids last, as alkali takes them before any ester.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

NAOH = 39.997
KOH = 56.106
WATER = 18.015
GLYCEROL = 92.094


class Yields(IntEnum):
    """What an ester gives beside soap."""

    GLYCEROL = 0
    ALCOHOL = 1


@dataclass(frozen=True, slots=True)
class Fat:
    """Something with a saponification value, mg KOH per g, of which free acids take ``acid``."""

    mass_g: float
    saponification: float
    acid: float = 0.0
    yields: Yields = Yields.GLYCEROL
    late: bool = False
    """Added after trace."""


@dataclass(frozen=True, slots=True)
class HydroxyAcid:
    mass_g: float
    molar_mass: float
    alkali_per_mole: int

    @property
    def demand_mol(self) -> float:
        return self.mass_g / self.molar_mass * self.alkali_per_mole


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one fat or acid, in grams. A wax's alcohol is within its soap figures."""

    free_g: float
    sodium_g: float
    potassium_g: float
    glycerol_g: float
    water_g: float
    reacted_g: float
    alkali_mol: float


@dataclass(frozen=True, slots=True)
class Reaction:
    """Outcomes in the order given, and the alkali left over in grams."""

    fats: tuple[Outcome, ...]
    acids: tuple[Outcome, ...]
    spare_naoh_g: float
    spare_koh_g: float
    superfat: float
    """Share of the fats' alkali demand that was not met; negative: an excess of alkali."""


def react(
    fats: Sequence[Fat], acids: Sequence[HydroxyAcid], naoh_g: float, koh_g: float
) -> Reaction:
    """Reacts everything with pure alkali to the end."""
    alkali = naoh_g / NAOH + koh_g / KOH
    sodium = (naoh_g / NAOH) / alkali if alkali else 1.0
    for_acids = min(alkali, sum(acid.demand_mol for acid in acids))
    for_fats = alkali - for_acids
    demand = sum(_demand_mol(fat) for fat in fats)
    missing = _missing(fats, max(0.0, demand - for_fats))
    spare = max(0.0, for_fats - demand)
    return Reaction(
        fats=tuple(_fat_outcome(f, m, sodium) for f, m in zip(fats, missing, strict=True)),
        acids=_acid_outcomes(acids, for_acids, sodium),
        spare_naoh_g=spare * sodium * NAOH,
        spare_koh_g=spare * (1 - sodium) * KOH,
        superfat=(demand - for_fats) / demand if demand else 0.0,
    )


def _demand_mol(fat: Fat) -> float:
    return fat.mass_g * fat.saponification / 1000 / KOH


@dataclass(frozen=True, slots=True)
class _Missing:
    """Alkali that a fat's esters and its free acids go without, in mol."""

    ester: float
    acid: float


def _missing(fats: Sequence[Fat], short_mol: float) -> list[_Missing]:
    """Who goes without, tier by tier; within a tier all in the same proportion."""
    acid = [min(1.0, f.acid / f.saponification) if f.saponification else 0.0 for f in fats]
    ester_mol = [_demand_mol(f) * (1 - a) for f, a in zip(fats, acid, strict=True)]
    acid_mol = [_demand_mol(f) * a for f, a in zip(fats, acid, strict=True)]
    glycerides = [f.yields is Yields.GLYCEROL for f in fats]
    esters = [0.0] * len(fats)
    for tier in (
        [i for i, f in enumerate(fats) if glycerides[i] and f.late],
        [i for i, f in enumerate(fats) if glycerides[i] and not f.late],
        [i for i, _ in enumerate(fats) if not glycerides[i]],
    ):
        part, short_mol = _part_of(sum(ester_mol[i] for i in tier), short_mol)
        for i in tier:
            esters[i] = part * ester_mol[i]
    part, _ = _part_of(sum(acid_mol), short_mol)
    return [_Missing(e, part * a) for e, a in zip(esters, acid_mol, strict=True)]


def _part_of(capacity_mol: float, short_mol: float) -> tuple[float, float]:
    """Which part of a tier goes without, and what is still to be found."""
    if capacity_mol <= 0:
        return 0.0, short_mol
    taken = min(capacity_mol, short_mol)
    return taken / capacity_mol, short_mol - taken


def _fat_outcome(fat: Fat, missing: _Missing, sodium: float) -> Outcome:
    demand = _demand_mol(fat)
    if demand <= 0:
        return Outcome(fat.mass_g, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    acid_demand = demand * min(1.0, fat.acid / fat.saponification)
    alkali = max(0.0, demand - missing.ester - missing.acid)
    acid = min(alkali, max(0.0, acid_demand - missing.acid))
    # Ester and acid have nearly the same equivalent weight, so mass goes with alkali demand.
    free = fat.mass_g * (missing.ester + missing.acid) / demand
    glycerol = (alkali - acid) / 3 * GLYCEROL if fat.yields is Yields.GLYCEROL else 0.0
    water = acid * WATER
    return _salts(fat.mass_g - free, free, alkali, sodium, glycerol, water)


def _acid_outcomes(
    acids: Sequence[HydroxyAcid], alkali_mol: float, sodium: float
) -> tuple[Outcome, ...]:
    demand = sum(acid.demand_mol for acid in acids)
    met = alkali_mol / demand if demand else 0.0
    return tuple(
        _salts(
            acid.mass_g * met,
            acid.mass_g * (1 - met),
            acid.demand_mol * met,
            sodium,
            0.0,
            acid.demand_mol * met * WATER,
        )
        for acid in acids
    )


def _salts(
    reacted_g: float,
    free_g: float,
    alkali_mol: float,
    sodium: float,
    glycerol_g: float,
    water_g: float,
) -> Outcome:
    """The mass balance: salt = reacted + alkali - glycerol - water, for each metal's share."""
    rest = reacted_g - glycerol_g - water_g
    return Outcome(
        free_g=free_g,
        sodium_g=sodium * (rest + alkali_mol * NAOH),
        potassium_g=(1 - sodium) * (rest + alkali_mol * KOH),
        glycerol_g=glycerol_g,
        water_g=water_g,
        reacted_g=reacted_g,
        alkali_mol=alkali_mol,
    )
