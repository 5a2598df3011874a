"""The smallest legal letters of each element, known before anything is laid out."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum


class Measure(StrEnum):
    """Which letter's printed height a region measures."""

    CAPITAL_OR_SMALL_O = "capital-or-o"
    """The capital when all words are capitals, otherwise the lower-case "o"."""
    FIGURE = "figure"
    """The smallest figure."""
    SMALL_O = "o"
    CAPITAL = "capital"


@dataclass(frozen=True, slots=True)
class HeightFloor:
    """The letters measured must print at least this tall. ``rule`` says who asks."""

    least_mm: Decimal
    measure: Measure
    rule: str
    legal: bool = True
    """False: labelkit's own advice for legibility, which a copyfitter may break at a cost."""


@dataclass(frozen=True, slots=True)
class ElementFloor:
    """All that binds one element before layout."""

    heights: tuple[HeightFloor, ...] = ()
    bold: bool = False
    clear_mm: tuple[tuple[str, Decimal], ...] = ()
    """Free space asked for: ("above", mm), ("beside", mm) ..."""
    panel_part: tuple[Decimal, Decimal] | None = None
    """Lowest and highest share of the panel's height where it must stand (0 foot, 1 head)."""


@dataclass(frozen=True)
class Floors:
    """Floors per element; an element that is not in it is bound by nothing."""

    by_element: dict[str, ElementFloor] = field(default_factory=dict)

    def of(self, element: str) -> ElementFloor:
        return self.by_element.get(element, ElementFloor())
