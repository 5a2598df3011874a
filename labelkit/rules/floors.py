"""The smallest legal letters of each element, known before anything is laid out."""

from __future__ import annotations

from dataclasses import field
from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass


class LetterMeasure(StrEnum):
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
    measure: LetterMeasure
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
    clear_letter_heights: Decimal = Decimal(0)
    """Free space above and below, in heights of the element's own capitals."""
    clear_n_widths: Decimal = Decimal(0)
    """Free space left and right, in widths of the element's own capital N."""

    def with_(self, other: ElementFloor) -> ElementFloor:
        """Both at once."""
        parts = [part for part in (self.panel_part, other.panel_part) if part]
        return ElementFloor(
            heights=(*self.heights, *other.heights),
            bold=self.bold or other.bold,
            clear_mm=_keep_largest_spaces((*self.clear_mm, *other.clear_mm)),
            panel_part=(max(p[0] for p in parts), min(p[1] for p in parts)) if parts else None,
            clear_letter_heights=max(self.clear_letter_heights, other.clear_letter_heights),
            clear_n_widths=max(self.clear_n_widths, other.clear_n_widths),
        )


def _keep_largest_spaces(
    spaces: tuple[tuple[str, Decimal], ...],
) -> tuple[tuple[str, Decimal], ...]:
    largest: dict[str, Decimal] = {}
    for side, space_mm in spaces:
        largest[side] = max(space_mm, largest.get(side, space_mm))
    return tuple(largest.items())


UNBOUND = ElementFloor()
"""Of an element that no law speaks of."""


@dataclass(frozen=True)
class Floors:
    """Floors per element; an element that is not in it is bound by nothing."""

    by_element: dict[str, ElementFloor] = field(default_factory=dict)

    def of(self, element: str) -> ElementFloor:
        return self.by_element.get(element, UNBOUND)
