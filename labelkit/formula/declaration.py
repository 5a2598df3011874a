"""The ordered ingredient declaration: what the formula room hands to the composer and the rules."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass


class Role(StrEnum):
    """What a declared line is, as far as any region's order or naming rule asks."""

    INGREDIENT = "ingredient"
    BOTANICAL = "botanical"
    COLOUR = "colour"
    PARFUM = "parfum"
    AROMA = "aroma"
    ALLERGEN = "allergen"


class Style(StrEnum):
    """Whether reacted substances or the materials weighed in are named. Never mixed."""

    FORMED = "formed"
    ADDED = "added"


class Basis(StrEnum):
    """Which mass the percentages are of."""

    CURED = "cured"
    POURED = "poured"


@dataclass(frozen=True, slots=True)
class DeclaredLine:
    """One name of the list. ``percent`` is by weight of the declared basis."""

    name: str
    """As printed in the list."""
    inci: str
    """The INCI name behind it (equal to ``name`` unless a region prints another form)."""
    role: Role
    mass_g: Decimal
    percent: Decimal
    low_percent: Decimal
    high_percent: Decimal
    """The range the inputs' own uncertainty leaves; equal to ``percent`` where nothing is known."""
    sources: tuple[str, ...] = ()
    """The recipe's materials it comes from."""
    became: str = ""
    """What the material became, in a few words, for the table behind the list."""
    reason: str = ""
    """Why it stands where it stands."""


@dataclass(frozen=True, slots=True)
class AllergenShare:
    """A fragrance allergen summed over every source, on the finished (cured) mass."""

    inci: str
    percent: Decimal
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Something the declaration depends on that the recipe does not settle."""

    kind: str
    """"order", "threshold", "default", "name", "alkali", "unit", "twice",
    "limit" or "unknown-share"."""
    level: str
    """"fail", "warn" or "note": how the preflight should show it."""
    message: str
    remedy: str = ""
    measured: str = ""
    required: str = ""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One step from the scale to the list: some grams of a material and what they became."""

    material: str
    grams_in: Decimal
    """The whole line as weighed, on each of its rows."""
    became: str
    name: str
    """The declared name; empty for what is in the bar and not declared."""
    grams: Decimal
    """In the declared basis."""
    percent: Decimal
    reason: str = ""
    """Why it stands where it stands."""


@dataclass(frozen=True, slots=True)
class SuperfatRange:
    """Share of the fats' alkali demand that is not met; the range holds 99 % of the draws."""

    percent: Decimal
    low_percent: Decimal
    high_percent: Decimal

    @property
    def strongest(self) -> Decimal:
        """How much stronger the lye is at the low end, against the oils, than as counted."""
        lye = 100 - self.percent
        return (100 - self.low_percent) / lye if lye else Decimal(1)


OF_THE_LIST = "unknown-share"
"""Doubts of this kind make a list that may not be printed, and speak against no pour."""


@dataclass(frozen=True, slots=True)
class Declaration:
    """The ordered list and everything a rule or a proof needs to know of it."""

    lines: tuple[DeclaredLine, ...]
    style: Style
    basis: Basis
    total_g: Decimal
    """Mass of the basis the percentages are of."""
    allergens: tuple[AllergenShare, ...] = ()
    """Every allergen found in the materials, over the threshold or not."""
    doubts: tuple[Uncertainty, ...] = ()
    table: tuple[TableRow, ...] = ()
    """What is behind the list, in the list's order."""
    superfat: SuperfatRange | None = None

    @property
    def unfit(self) -> tuple[str, ...]:
        """Why the recipe must not be poured as it stands; empty when nothing speaks against it."""
        failing = (doubt for doubt in self.doubts if doubt.level == "fail")
        return tuple(doubt.message for doubt in failing if doubt.kind != OF_THE_LIST)

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(line.name for line in self.lines)
