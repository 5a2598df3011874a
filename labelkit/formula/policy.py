"""How an ingredient list is to be made: style, basis, order, names, allergens.

Which policy a region's law comes to, rules/policies.py knows.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Term
from labelkit.formula.declaration import Basis, Style

NOT_ALL_STYLES = "the list is made as {made}, which the rules of {regions} do not all provide for"
NOT_ALL_BASES = (
    "the list is made by the {made} mass, which the rules of {regions} do not all provide for"
)


class ScheduleForm(StrEnum):
    """How a substance with a technical (trivial) name is printed."""

    TECHNICAL = "technical"
    ENGLISH = "english"
    ENGLISH_FRENCH = "english-french"
    TECHNICAL_ENGLISH_FRENCH = "technical-english-french"
    ENGLISH_TECHNICAL = "english (technical)"
    """The dual form ``Water (Aqua)``: FDA letters of 1995 and 1999, from memory."""


class BotanicalForm(StrEnum):
    LATIN = "latin"
    ENGLISH = "english"
    """With the common name in brackets: Olea Europaea (Olive) Fruit Oil."""


class ColourForm(StrEnum):
    INDEX = "index"
    ENGLISH = "english"
    ENGLISH_INDEX = "english (index)"
    """The dual form ``Iron Oxides (CI 77491)``."""


class ParfumForm(StrEnum):
    """The word for a perfume composition, as printed."""

    PARFUM = "Parfum"
    FRAGRANCE = "Fragrance"
    FRAGRANCE_PARFUM = "Fragrance (Parfum)"


class Prohibition(NamedTuple):
    """A substance that must not be in what is sold in a region, and since when."""

    name: str
    region: str
    since: dt.date


@dataclass(frozen=True, slots=True)
class Policy:
    """Everything the declaration asks of the regions it is made for."""

    regions: tuple[str, ...]
    style: Style
    basis: Basis
    free_at_exactly_one_percent: bool
    """Exactly 1 % may stand in any order (Canada, US) or is still ordered (EU, AU, NZ)."""
    parfum_at_end: bool
    schedule: ScheduleForm
    botanical: BotanicalForm
    colour: ColourForm
    parfum: ParfumForm
    allergens: frozenset[str]
    """INCI names to be named above the threshold, on the date asked for."""
    allergens_bind: tuple[str, ...] = ()
    """The regions of which it is settled that they ask for such names on that date."""
    coming_allergens: tuple[tuple[str, dt.date], ...] = ()
    """Names that become due later, each with the day."""
    allergen_limit_percent: Decimal = Decimal(0)
    """They are named when they make up more than this; without any to name it means nothing."""
    prohibited: tuple[Prohibition, ...] = ()
    """Fragrance materials that must not be in the product."""
    accepted: frozenset[Style | Basis] = frozenset()
    """Styles and bases that every region accepts."""
    why: str = ""
    """What speaks for the style; empty when the maker chose it."""

    @property
    def conflicts(self) -> tuple[str, ...]:
        """What of this policy not every region accepts, one sentence each."""
        regions = FactList(self.regions)
        return tuple(
            Said(template, made=Term("basis", made.value), regions=regions)
            for made, template in ((self.style, NOT_ALL_STYLES), (self.basis, NOT_ALL_BASES))
            if made not in self.accepted
        )

    def made(self, style: Style | None = None, basis: Basis | None = None) -> Policy:
        """The same policy with another style or basis, as the maker chose."""
        why = self.why if style in (None, self.style) else ""
        return replace(self, style=style or self.style, basis=basis or self.basis, why=why)
