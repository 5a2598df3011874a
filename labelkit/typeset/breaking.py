"""Paragraphs broken into lines by total fit, after Knuth and Plass.

All breaks of a paragraph are chosen together: for each number of lines the set of breaks whose
costs add up to least (D. E. Knuth and M. F. Plass, "Breaking Paragraphs into Lines", Software:
Practice and Experience 11, 1981). Lines are never wider than their room. Unlike in the original,
the number of lines leads, because height is what a label lacks, and the costs are simpler.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property, partial
from itertools import accumulate

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import SOFT_HYPHEN
from labelkit.typeset.breakpoints import (
    Paragraph,
    Reach,
    TextKind,
    has_leading_of,
    is_lead_in,
    measure_paragraph,
    measure_reach,
)
from labelkit.typeset.faces import Face
from labelkit.typeset.line_breaks import list_breaks_without_space

# What a reader dislikes about lines; about breaks see labelkit.typeset.breakpoints. One unit is a
# line that is a tenth short.
RAGGED = 100.0
"""Times the square of the share of a line that stays empty."""
RAGGED_ADDRESS = 15.0
"""The same of an address, whose lines are as long as what stands together."""
STRETCHED = 10.0
"""Justified: times the cube of a gap's growth, in halves of a word space (as TeX has it)."""
SHORT_LAST = 300.0
"""Times the square of what a text's last line lacks to LAST_LEAST of its room."""
LAST_LEAST = 1 / 3
LONE_WORD = 25.0
"""A last line of a single word."""
LONE_IN_ADDRESS = 8.0
LONE_WORD_HEADING = 500.0
"""The same in a heading; and a line of it that is only articles, prepositions, ampersands."""

ROUNDING_EM = 1e-9

Widths = float | Callable[[int], float]
"""The room of every line in millimetres, or of line number n (from 0)."""


@dataclass(frozen=True, slots=True)
class BrokenLine:
    """One line of a broken paragraph."""

    text: str
    """The paragraph's characters ``start`` to ``end`` (a forced break as a space), with a soft
    hyphen after them where the line breaks a word, or a space where a comma fell away."""
    start: int
    end: int
    width_mm: float
    """Natural width without the space at the end, overhanging ink included."""
    gaps: int
    """Word spaces that may be stretched."""
    gap_mm: float = 0.0
    """What every gap must grow by to fill the room; zero on the last line."""


@dataclass(frozen=True, eq=False)
class BrokenParagraph:
    """A paragraph in a certain number of lines, broken as well as that number allows."""

    cost: float
    _made: Callable[[], tuple[BrokenLine, ...]]

    @cached_property
    def lines(self) -> tuple[BrokenLine, ...]:
        """Its lines, made when they are asked for: most ways to break are only compared."""
        return self._made()


def break_paragraph(
    text: str,
    face: Face,
    size_pt: float,
    widths_mm: Widths,
    *,
    tracking_em: float = 0.0,
    kind: TextKind = TextKind.WORDS,
    heading: bool = False,
    justified: bool = False,
    most: int | None = None,
    language: str = "",
) -> Iterator[BrokenParagraph]:
    """The best way to set ``text`` in each number of lines, from the fewest on.

    ``heading``: lines are to be even, the last one included, and not a single word; those of an
    address may be of any length. ``most`` lines are allowed.
    With a ``language`` words are hyphenated (where that has a dictionary) and addresses broken,
    but only where nothing else fits.
    """
    uneven = kind is TextKind.ADDRESS
    goal = _BreakGoal(size_pt / PT_PER_MM, widths_mm, heading, justified, uneven)
    found = False
    for hyphens in dict.fromkeys(("", language)):
        paragraph = measure_paragraph(face, text, kind, hyphens)
        reach = measure_reach(paragraph, tracking_em)
        for trail in _find_cheapest_trails(paragraph, reach, goal, most):
            found = True
            yield BrokenParagraph(trail[0], partial(_make_lines, paragraph, reach, goal, trail))
        if found:
            return


def count_lines(
    reach: Reach, size_pt: float, widths_mm: Widths, most: int | None = None
) -> int | None:
    """How many lines a paragraph takes at least; None where it cannot be set in ``most``.

    Much quicker than breaking it: every line takes all it can, and a line that begins later never
    ends earlier. Widths are to be those of a convex shape: once narrowing they never widen.
    """
    em_mm = size_pt / PT_PER_MM
    starts, lowered, forced = reach.starts, reach.lowered, reach.forced
    end, index = len(starts) - 1, 0
    lines = end if most is None else min(most, end)
    for line in range(lines):
        width_mm = widths_mm(line) if callable(widths_mm) else widths_mm
        # As _furthest has it: a call for every line of every try would double the time.
        reached = starts[index] + width_mm / em_mm + ROUNDING_EM
        furthest = min(bisect_right(lowered, reached, index) - 1, forced[index])
        if furthest == end:
            return line + 1
        if furthest <= index:
            # Too wide a word. Were the lines before less full, a shorter one would stand here, and
            # it on a later line: of use only where that is wider (lines widen before they narrow).
            if line and callable(widths_mm) and widths_mm(line + 1) > width_mm:
                return _find_fewest_lines(reach, em_mm, widths_mm, lines)
            return None
        index = furthest
    return None


def _find_fewest_lines(
    reach: Reach, em_mm: float, widths_mm: Callable[[int], float], lines: int
) -> int | None:
    """How many lines a paragraph takes at least, every break tried."""
    end = len(reach.starts) - 1
    reached = {0}
    for line in range(lines):
        room = widths_mm(line) / em_mm
        reached = {
            target
            for index in reached
            for target in range(index + 1, _find_furthest_break(reach, index, room) + 1)
            if reach.ends[target] - reach.starts[index] <= room + ROUNDING_EM
        }
        if end in reached:
            return line + 1
    return None


# -- choosing the breaks ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _BreakGoal:
    em_mm: float
    widths_mm: Widths
    heading: bool
    justified: bool
    uneven: bool

    def room_em(self, line: int) -> float:
        widths = self.widths_mm
        return (widths(line) if callable(widths) else widths) / self.em_mm

    def ragged(self, width: float, room: float) -> float:
        """What is disliked about a line that leaves some of its room empty."""
        if room <= width or room <= 0:
            return 0.0
        empty = (room - width) / room
        return (RAGGED_ADDRESS if self.uneven else RAGGED) * empty * empty


_Trail = tuple[float, "_Trail | None", int]
"""The cost of reaching a break, the trail to the line before, and the break's index."""


def _find_cheapest_trails(
    paragraph: Paragraph, reach: Reach, goal: _BreakGoal, most: int | None
) -> Iterator[_Trail]:
    """For each number of lines the trail of least cost."""
    end = len(paragraph.breaks) - 1
    lines = end if most is None else min(most, end)
    rooms = [goal.room_em(line) for line in range(lines)]
    earliest = _find_earliest_breaks(reach, rooms)
    starts, ends = reach.starts, reach.ends
    reached: dict[int, _Trail] = {0: (0.0, None, 0)}
    for line, room in enumerate(rooms):
        following: dict[int, _Trail] = {}
        for index, trail in reached.items():
            first, last = (
                max(index + 1, earliest[line + 1]),
                _find_furthest_break(reach, index, room),
            )
            for target in range(first, last + 1):
                width = ends[target] - starts[index]
                if width > room + ROUNDING_EM:
                    continue
                cost = trail[0] + _line_cost(paragraph, goal, line, index, target, width, room)
                if target not in following or cost < following[target][0]:
                    following[target] = (cost, trail, target)
        if end in following:
            yield following.pop(end)
        reached = dict(sorted(following.items()))
        if not reached:
            return


def _find_earliest_breaks(reach: Reach, rooms: Sequence[float]) -> list[int]:
    """For each line, and the end, a break before which it cannot begin: the rest would not fit."""
    raised = list(accumulate(reach.starts, max))
    end = len(raised) - 1
    earliest = [end]
    for room in reversed(rooms):
        next_line = earliest[-1]
        needed = reach.lowered[next_line] - room - 2 * ROUNDING_EM
        begins = max(bisect_left(raised, needed), bisect_left(reach.forced, next_line))
        earliest.append(min(begins, end))  # in no room at all nothing can begin
    return earliest[::-1]


def _find_furthest_break(reach: Reach, index: int, room: float) -> int:
    """The last break that a line from break ``index`` can end at; not after it where none is."""
    furthest = bisect_right(reach.lowered, reach.starts[index] + room + ROUNDING_EM) - 1
    return min(furthest, reach.forced[index])


def _line_cost(
    paragraph: Paragraph,
    goal: _BreakGoal,
    line: int,
    index: int,
    target: int,
    width: float,
    room: float,
) -> float:
    """What is disliked about a line from break ``index`` to break ``target``."""
    place = paragraph.breaks[target]
    if target == len(paragraph.breaks) - 1:
        words = paragraph.text[paragraph.breaks[index].start :]
        lone = not _count_word_spaces(paragraph, index, target)
        lone = lone and not has_leading_of(words) and not list_breaks_without_space(words)
        cost = _last_line_cost(goal, width, room, line, lone)
        return cost + (goal.ragged(width, room) if goal.heading else 0.0)
    if place.forced:
        return goal.ragged(width, room)
    if goal.justified and (gaps := _count_word_spaces(paragraph, index, target)):
        growth = max(0.0, room - width) / gaps / (paragraph.space_em / 2)
        return place.cost + STRETCHED * growth * growth * growth
    alone = 0.0
    if goal.heading and is_lead_in(paragraph.text[paragraph.breaks[index].start : place.end]):
        alone = LONE_WORD_HEADING
    return place.cost + alone + goal.ragged(width, room)


def _count_word_spaces(paragraph: Paragraph, index: int, target: int) -> int:
    """Word spaces between two breaks, the one at the line's end left out."""
    start, end = paragraph.breaks[index].start, paragraph.breaks[target].end
    return max(0, paragraph.spaces[end] - paragraph.spaces[start])


def _last_line_cost(goal: _BreakGoal, width: float, room: float, line: int, lone: bool) -> float:
    if line == 0:
        return 0.0
    if goal.uneven:
        return LONE_IN_ADDRESS if lone else 0.0
    cost = 0.0
    if lone:
        cost += LONE_WORD_HEADING if goal.heading else LONE_WORD
    if not goal.heading and room > 0:
        cost += SHORT_LAST * float(max(0.0, LAST_LEAST - width / room) ** 2)
    return cost


def _make_lines(
    paragraph: Paragraph, reach: Reach, goal: _BreakGoal, trail: _Trail
) -> tuple[BrokenLine, ...]:
    stops: list[int] = []
    step: _Trail | None = trail
    while step is not None:
        stops.append(step[2])
        step = step[1]
    stops.reverse()
    return tuple(
        _make_line(paragraph, reach, goal, number, stops[number], stops[number + 1])
        for number in range(len(stops) - 1)
    )


def _make_line(
    paragraph: Paragraph, reach: Reach, goal: _BreakGoal, number: int, index: int, target: int
) -> BrokenLine:
    start, place = paragraph.breaks[index].start, paragraph.breaks[target]
    width = max(0.0, reach.ends[target] - reach.starts[index]) if place.end > start else 0.0
    gaps = _count_word_spaces(paragraph, index, target)
    slack = max(0.0, goal.room_em(number) - width)
    end, tail = place.start, SOFT_HYPHEN if place.hyphen else ""
    if paragraph.text[place.end : end].strip(" "):
        end, tail = place.end, " "  # the comma between two parts of an address
    return BrokenLine(
        text=paragraph.text[start:end] + tail,
        start=start,
        end=end,
        width_mm=width * goal.em_mm,
        gaps=gaps,
        gap_mm=slack / gaps * goal.em_mm if gaps and not place.forced else 0.0,
    )
