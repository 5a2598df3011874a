"""How wide a line may be where it stands: the trim, its margin, and what art takes."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours

STRAIGHT = frozenset({"rectangle", "rounded", "square"})
"""Shapes with straight sides, in which text may be ranged left or right."""
STEADY_MM = 1e-3
PLACE_ROUNDING_MM = 1e-6
"""Heights and widths closer than this are equal."""

_Profile = tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]
"""Heights, rising, the width of the shape at each, and how much it grows by from there upwards."""

_Side = tuple[tuple[float, ...], tuple[float, ...]]
"""Widths that grow, and the heights of each."""
BISECTIONS = 30
"""Halvings that find a place to far less than a rounding."""

LineWidths = Callable[[int], float]
"""The width of line number n, in millimetres."""


@dataclass(frozen=True, eq=False)
class TextArea:
    """The part of a trim that text may stand in; millimetres from the trim's lower left."""

    outline: Outline
    margin_mm: float
    """From the trim; of a straight-sided shape as much as clears its round corners."""
    foot_extra_mm: float
    keep_clear_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    """Head, right, foot, left; only of straight-sided shapes."""

    @classmethod
    def within(
        cls,
        outline: Outline,
        margin_mm: float,
        foot_extra_mm: float,
        keep_clear_mm: tuple[float, float, float, float],
    ) -> TextArea:
        """The place inside a margin.

        Text of a straight-sided shape stands in a rectangle. Its corners keep the margin from the
        trim's own, round ones too; and only such a shape keeps a side clear for art.
        """
        if outline.shape not in STRAIGHT:
            return cls(outline, margin_mm, foot_extra_mm)
        # The rectangle's corner lies on the arc that is the margin inside the round corner.
        cleared = outline.corner_mm - (outline.corner_mm - margin_mm) / math.sqrt(2)
        if outline.corner_mm > margin_mm:
            margin_mm = max(margin_mm, cleared)
        return cls(outline, margin_mm, foot_extra_mm, keep_clear_mm)

    @cached_property
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

    @cached_property
    def widest_mm(self) -> float:
        _, right, _, left = self.keep_clear_mm
        return self.outline.width_mm - 2 * self.margin_mm - right - left

    def sides(self, bottom_mm: float, top_mm: float) -> tuple[float, float]:
        """Left and right ends of the room between two heights; the middle twice if there is none.

        Where art keeps a side clear, the room is what is left.
        """
        if self.straight:
            _, right, _, left = self.keep_clear_mm
            left, right = self.margin_mm + left, self.outline.width_mm - self.margin_mm - right
            if right > left:
                return left, right
        middle, half = self.outline.width_mm / 2, self.width(bottom_mm, top_mm) / 2
        return middle - half, middle + half

    def width(self, bottom_mm: float, top_mm: float) -> float:
        """How wide the room between two heights is; zero if there is none."""
        if self.straight:
            return self.widest_mm
        profile = self.profile
        if profile is None:
            found = self.outline.width_at(bottom_mm, top_mm, self.margin_mm)
            return found[1] - found[0] if found else 0.0
        if bottom_mm >= self.widest_at_mm:
            return _find_width_at(profile, top_mm)
        if top_mm <= self.widest_at_mm:
            return _find_width_at(profile, bottom_mm)
        return min(_find_width_at(profile, bottom_mm), _find_width_at(profile, top_mm))

    def span_mm(self, width_mm: float) -> tuple[float, float]:
        """The lowest and the highest place of a curved shape that is as wide; the other way round
        where none is."""
        if self.width(self.widest_at_mm, self.widest_at_mm) < width_mm:
            return math.inf, -math.inf
        if self.profile is None:
            return self._edge_mm(width_mm, 0.0), self._edge_mm(width_mm, self.outline.height_mm)
        rising, falling = self._sides
        return _find_height_at(rising, width_mm), _find_height_at(falling, width_mm)

    def _edge_mm(self, width_mm: float, outer_mm: float) -> float:
        """The same without a profile: the place nearest to one end of the shape."""
        inner_mm = self.widest_at_mm
        for _ in range(BISECTIONS):
            tried = (inner_mm + outer_mm) / 2
            wide = self.width(tried, tried) >= width_mm
            inner_mm, outer_mm = (tried, outer_mm) if wide else (inner_mm, tried)
        return inner_mm

    @cached_property
    def _sides(self) -> tuple[_Side, _Side]:
        """The widths from the foot up and from the head down to the widest part."""
        assert self.profile is not None, "asked for only where there is a profile"
        heights, widths, _ = self.profile
        first, last = self._peaks
        rising = widths[: first + 1], heights[: first + 1]
        return rising, (widths[last:][::-1], heights[last:][::-1])

    def most_mm(self, bottom_mm: float, top_mm: float) -> float:
        """How wide the room is where it is widest between two heights."""
        profile = self.profile
        if self.straight or profile is None:
            return self.widest_mm
        return _find_width_at(profile, min(max(self.widest_at_mm, bottom_mm), top_mm))

    @cached_property
    def widest_at_mm(self) -> float:
        """The height at which the shape is widest; the middle of all where it is so at several."""
        if self.profile is None:
            return self.outline.height_mm / 2
        first, last = self._peaks
        return (self.profile[0][first] + self.profile[0][last]) / 2

    @cached_property
    def _peaks(self) -> tuple[int, int]:
        """The first and the last of the heights in the profile where the shape is widest."""
        assert self.profile is not None, "asked for only where there is a profile"
        widths = self.profile[1]
        widest = [i for i, width in enumerate(widths) if width >= max(widths) - STEADY_MM]
        return widest[0], widest[-1]

    @cached_property
    def profile(self) -> _Profile | None:
        """The widths of the shape inside the margin by their heights."""
        return _make_profile(self.outline, self.margin_mm)


@lru_cache(maxsize=64)
def _make_profile(outline: Outline, margin_mm: float) -> _Profile | None:
    """The widths of a shape moved in by the margin; None where it folds over itself."""
    middle = outline.width_mm / 2 - 1e-6
    contours = trace_contours(outline.path(-margin_mm))
    right = [p for contour in contours for p in contour if p[0] >= middle]
    right.sort(key=lambda p: (p[1], p[0]))
    sides = [x for x, _ in right]
    # A convex side grows and then shrinks; anything else is a parallel that crosses itself.
    widest = sides.index(max(sides))
    growing = (b - a for a, b in pairwise(sides[: widest + 1]))
    shrinking = (a - b for a, b in pairwise(sides[widest:]))
    if min((*growing, *shrinking), default=0.0) < -STEADY_MM:
        return None
    heights = tuple(y for _, y in right)
    widths = tuple(
        max(0.0, min(2 * x, 2 * (outline.width_mm - margin_mm)) - outline.width_mm) for x in sides
    )
    steps = zip(pairwise(heights), pairwise(widths), strict=True)
    slopes = (((w1 - w0) / (y1 - y0) if y1 > y0 else 0.0) for (y0, y1), (w0, w1) in steps)
    return heights, widths, (*slopes, 0.0)


def _find_height_at(side: _Side, width_mm: float) -> float:
    """The first height of a side that is as wide."""
    widths, heights = side
    index = bisect_left(widths, width_mm)
    if index == 0:
        return heights[0]
    if index == len(widths):
        return heights[-1]
    share = (width_mm - widths[index - 1]) / (widths[index] - widths[index - 1])
    return heights[index - 1] + share * (heights[index] - heights[index - 1])


def _find_width_at(profile: _Profile, y_mm: float) -> float:
    """The width at a height; 0, which is no room at all, outside the shape."""
    heights, widths, slopes = profile
    index = bisect_left(heights, y_mm)
    if index == 0:
        return widths[0] if y_mm >= heights[0] - 1e-9 else 0.0
    if index == len(heights):
        return 0.0
    index -= 1
    return widths[index] + slopes[index] * (y_mm - heights[index])


class Room(NamedTuple):
    """What a row may count on: one width, or a width for every height below the row's top."""

    widest_mm: float
    place: TextArea | None = None
    """Of a curved shape: the widths are those below ``top_mm``, or a share of them."""
    top_mm: float = 0.0
    share: float = 1.0

    @classmethod
    def below(cls, place: TextArea, top_mm: float) -> Room:
        """The room of a row whose top stands at a height of the panel."""
        return cls(place.widest_mm) if place.straight else cls(place.widest_mm, place, top_mm)

    @property
    def straight(self) -> bool:
        """Whether it is equally wide everywhere."""
        return self.place is None

    def narrowed(self, share: float) -> Room:
        """The same room with only a share of its width."""
        return Room(self.widest_mm * share, self.place, self.top_mm, self.share * share)

    def without(self, taken_mm: float) -> Room:
        """The same room with so much taken off its width; of a curved shape as a share of it."""
        if not taken_mm:
            return self
        return self.narrowed(max(0.0, 1 - taken_mm / self.widest_mm))

    def width(self, upper_mm: float, lower_mm: float) -> float:
        """The width between two distances below the row's top."""
        place, top_mm = self.place, self.top_mm
        if place is None:
            return self.widest_mm
        return place.width(top_mm - lower_mm, top_mm - upper_mm) * self.share

    def line_widths(self, start_mm: float, leading_mm: float, ink_mm: float) -> LineWidths:
        """The width of line number n of those that begin at a distance below the row's top."""
        place, first_mm = self.place, self.top_mm - start_mm
        profile = None if place is None else place.profile
        if place is None or profile is None:
            return lambda line: self.width(
                start_mm + line * leading_mm, start_mm + line * leading_mm + ink_mm
            )
        (heights, widths, slopes), widest_at, share = profile, place.widest_at_mm, self.share
        last = len(heights)

        # As _width_at has it: asked for every line of every try, calls would take most of the time.
        def width(line: int) -> float:
            top = first_mm - line * leading_mm
            foot = top - ink_mm
            if foot < widest_at < top:
                return place.width(foot, top) * share
            y = top if foot >= widest_at else foot
            index = bisect_left(heights, y)
            if not 0 < index < last:
                return place.width(foot, top) * share
            index -= 1
            return (widths[index] + slopes[index] * (y - heights[index])) * share

        return width

    def most_mm(self, depth_mm: float) -> float:
        """The width where it is widest, down to a distance below the row's top."""
        place, top_mm = self.place, self.top_mm
        if place is None:
            return self.widest_mm
        return place.most_mm(top_mm - depth_mm, top_mm) * self.share
