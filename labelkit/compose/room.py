"""How wide a line may be where it stands: the trim, its margin, and what art takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from labelkit.typeset.outline import Outline

STRAIGHT = frozenset({"rectangle", "rounded", "square"})
"""Shapes with straight sides, in which text may be ranged left or right."""


@dataclass(frozen=True)
class Place:
    """The part of a trim that text may stand in; millimetres from the trim's lower left."""

    outline: Outline
    margin_mm: float
    foot_extra_mm: float
    keep_clear_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    """Head, right, foot, left; only of straight-sided shapes."""

    @property
    def straight(self) -> bool:
        return self.outline.shape in STRAIGHT

    @property
    def top_mm(self) -> float:
        return self.outline.height_mm - self.margin_mm - self.keep_clear_mm[0]

    @property
    def foot_mm(self) -> float:
        return self.margin_mm + self.foot_extra_mm + self.keep_clear_mm[2]

    @property
    def height_mm(self) -> float:
        return self.top_mm - self.foot_mm

    @property
    def widest_mm(self) -> float:
        _, right, _, left = self.keep_clear_mm
        return self.outline.width_mm - 2 * self.margin_mm - right - left

    def sides(self, bottom_mm: float, top_mm: float) -> tuple[float, float]:
        """Left and right ends of the room between two heights; both the middle where there is none.

        Where art keeps a side clear, text is centred in what is left.
        """
        _, right_clear, _, left_clear = self.keep_clear_mm
        found = self.outline.width_at(bottom_mm, top_mm, self.margin_mm)
        if found is None:
            middle = self.outline.width_mm / 2
            return middle, middle
        left = max(found[0], self.margin_mm + left_clear)
        right = min(found[1], self.outline.width_mm - self.margin_mm - right_clear)
        return (left, right) if right > left else ((left + right) / 2,) * 2

    def width(self, bottom_mm: float, top_mm: float) -> float:
        left, right = self.sides(bottom_mm, top_mm)
        return right - left


@dataclass(frozen=True)
class Room:
    """What a row may count on: one width, or a width for every height below the row's top."""

    widest_mm: float
    between: Callable[[float, float], float] | None = None
    """The width between two distances below the row's top."""

    @classmethod
    def below(cls, place: Place, top_mm: float) -> Room:
        """The room of a row whose top stands at a height of the panel."""
        return cls(
            place.widest_mm, lambda upper, lower: place.width(top_mm - lower, top_mm - upper)
        )

    def width(self, upper_mm: float, lower_mm: float) -> float:
        if self.between is None:
            return self.widest_mm
        return self.between(upper_mm, lower_mm)
