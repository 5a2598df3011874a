"""Paragraphs broken into lines by total fit, after Knuth and Plass.

All breaks of a paragraph are chosen together: for each number of lines the set of breaks whose
costs add up to least (D. E. Knuth and M. F. Plass, "Breaking Paragraphs into Lines", Software:
Practice and Experience 11, 1981). Lines are never wider than their room. Unlike in the original,
the number of lines leads, because height is what a label lacks, and the costs are simpler.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from labelkit.quantity import PT_PER_MM
from labelkit.runs import SOFT_HYPHEN
from labelkit.typeset.faces import Face
from labelkit.typeset.shape import shape

# What a reader dislikes about breaks. One unit is a line that is a tenth short.
RAGGED = 100.0
"""Times the square of the share of a line that stays empty."""
STRETCHED = 10.0
"""Justified: times the cube of a gap's growth, in halves of a word space (as TeX has it)."""
SHORT_LAST = 100.0
"""Times the square of what a text's last line lacks to LAST_LEAST of its room."""
LAST_LEAST = 1 / 3
LONE_WORD = 25.0
"""A last line of a single word."""
LONE_WORD_HEADING = 500.0
AT_SPACE = 2.0
"""A break between two words that nothing sets apart."""
AT_COMMA = 0.0
"""After a comma, semicolon, colon, full stop, slash, dash or dot that parts two things."""
AT_SLASH = 5.0
"""After a slash inside a word ("AQUA/WATER")."""
AT_HYPHEN = 6.0
"""After a hyphen that the word has anyway."""
AFTER_SHORT_WORD = 2.0
"""On top: a line that ends in an article or preposition ("of", "de la", "au")."""
BEFORE_BRACKET = 8.0
IN_NAME = 14.0
"""Inside a name of several words ("Sodium / Cocoate")."""
IN_NUMBERED_NAME = 60.0
"""Between letters and number of a name ("CI / 77491")."""
BEFORE_SEPARATOR = 40.0
"""A line that would open with the mark that parts two things."""
HYPHENATED = 30.0
HYPHENATED_NAME = 90.0
IN_ADDRESS = 30.0
"""Inside a web or mail address; no hyphen is added."""

SHORT_WORD = 3
"""Letters of the longest word taken for an article or preposition."""
HYPHEN_LEFT, HYPHEN_RIGHT = 2, 3
"""Fewest letters left before and carried after a hyphen (common practice, no source)."""

ROUNDING_EM = 1e-9

_SEPARATORS = ",;:.·•/|–—"
_ADDRESS = re.compile(r"(?:https?://|www\.)\S+|\S+@\S+\.\S+", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+")

Widths = float | Callable[[int], float]
"""The room of every line in millimetres, or of line number n (from 0)."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a broken paragraph."""

    text: str
    """The paragraph's characters ``start`` to ``end`` (a forced break as a space), with a soft
    hyphen after them where the line breaks a word."""
    start: int
    end: int
    width_mm: float
    """Natural width without the space at the end, overhanging ink included."""
    gaps: int
    """Word spaces that may be stretched."""
    gap_mm: float = 0.0
    """What every gap must grow by to fill the room; zero on the last line."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A paragraph in a certain number of lines, broken as well as that number allows."""

    lines: tuple[Line, ...]
    cost: float


def break_lines(
    text: str,
    face: Face,
    size_pt: float,
    widths_mm: Widths,
    *,
    tracking_em: float = 0.0,
    names: bool = False,
    heading: bool = False,
    justified: bool = False,
    most: int | None = None,
    language: str = "",
) -> tuple[Line, ...] | None:
    """``text`` in the fewest lines that hold it, broken as well as that number allows.

    ``names``: the text is a list of names that should each stay on one line. ``heading``: lines
    are to be even, the last one included, and not a single word. ``most`` lines are allowed.
    With a ``language`` words are hyphenated (where that has a dictionary) and addresses broken,
    but only where nothing else fits. None where the text cannot be set.
    """
    ways = break_ways(
        text,
        face,
        size_pt,
        widths_mm,
        tracking_em=tracking_em,
        names=names,
        heading=heading,
        justified=justified,
        most=most,
        language=language,
    )
    first = next(ways, None)
    return None if first is None else first.lines


def break_ways(
    text: str,
    face: Face,
    size_pt: float,
    widths_mm: Widths,
    *,
    tracking_em: float = 0.0,
    names: bool = False,
    heading: bool = False,
    justified: bool = False,
    most: int | None = None,
    language: str = "",
) -> Iterator[Broken]:
    """The best way to set ``text`` in each number of lines, from the fewest on; see break_lines."""
    goal = _Goal(size_pt / PT_PER_MM, widths_mm, tracking_em, heading, justified)
    found = False
    for way in _ways(_prepared(face, text, names, ""), goal, most):
        found = True
        yield way
    if language and not found:
        yield from _ways(_prepared(face, text, names, language), goal, most)


def line_count(
    text: str,
    face: Face,
    size_pt: float,
    widths_mm: Widths,
    *,
    tracking_em: float = 0.0,
    names: bool = False,
    most: int | None = None,
) -> int | None:
    """How many lines ``text`` takes at least, words kept whole; None where it cannot be set.

    Much quicker than breaking it: every line takes all it can.
    """
    paragraph = _prepared(face, text, names, "")
    starts, ends = _reaches(paragraph, tracking_em)
    scale = PT_PER_MM / size_pt
    end = len(paragraph.breaks) - 1
    index = 0
    for line in range(end if most is None else min(most, end)):
        room = (widths_mm(line) if callable(widths_mm) else widths_mm) * scale
        furthest = bisect_right(ends, starts[index] + room + ROUNDING_EM) - 1
        furthest = min(furthest, paragraph.forced[index])
        if furthest == end:
            return line + 1
        if furthest <= index:
            return None
        index = furthest
    return None


@lru_cache(maxsize=4096)
def _reaches(paragraph: _Prepared, tracking_em: float) -> tuple[list[float], list[float]]:
    """Where a line begins that starts at each break, and where it ends that ends there, in ems.

    An overhang or a hyphen can make a line end further right than one that breaks later: the ends
    are lowered to what a later break needs, so that they rise and can be searched.
    """
    goal = _Goal(1.0, 0.0, tracking_em, heading=False, justified=False)
    breaks = range(len(paragraph.breaks))
    ends = [_width_em(paragraph, goal, 0, target) for target in breaks]
    starts = [ends[-1] - _width_em(paragraph, goal, index, breaks[-1]) for index in breaks[:-1]]
    lowered = list(accumulate(reversed(ends), min))
    return starts, lowered[::-1]


# -- where a paragraph may be broken ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Break:
    """A place where a line may end."""

    start: int
    """Index of the next line's first character."""
    end: int
    """Index after this line's last visible character."""
    cost: float
    hyphen: bool = False
    forced: bool = False
    extra_em: float = 0.0
    """What the line's end adds to its advances: a hyphen, or a kern that falls away."""


@dataclass(frozen=True, eq=False)
class _Prepared:
    """A paragraph ready to be broken at any size: everything in ems."""

    text: str
    advances: tuple[float, ...]
    """Running sums: ``advances[i]`` is the pen's place before character i."""
    spaces: tuple[int, ...]
    """Running count of word spaces before character i."""
    space_em: float
    breaks: tuple[_Break, ...]
    """The start of the text, every place to break at, and its end."""
    overhangs: tuple[tuple[float, float], ...]
    """Ink to the left of a character's start and to the right of its advance."""
    forced: tuple[int, ...]
    """For every break the next one at which a line must end."""


@lru_cache(maxsize=4096)
def _prepared(face: Face, text: str, names: bool, language: str) -> _Prepared:
    """``language`` "" leaves words whole; with any other, words and addresses may be broken."""
    forced = {index for index, character in enumerate(text) if character == "\n"}
    text = text.replace("\n", " ")
    shaped = shape(face, text)
    overhangs = tuple(
        (max(0.0, -ink.x0_em), max(0.0, ink.x1_em - advance)) if ink else (0.0, 0.0)
        for ink, advance in zip(shaped.inks, shaped.advances_em, strict=True)
    )
    places = [*_at_spaces(text, names, forced), *_inside_words(text, names)]
    if language:
        places += [*_in_addresses(text), *_hyphenations(text, names, language)]
    trimmed = len(text.rstrip(" "))
    breaks = sorted(
        {place.start: place for place in places if 0 < place.start < trimmed}.values(),
        key=lambda place: place.start,
    )
    all_breaks = (
        _Break(0, 0, 0.0),
        *(_measured(place, face, text, shaped.advances_em) for place in breaks),
        _Break(len(text), trimmed, 0.0, forced=True),
    )
    return _Prepared(
        text,
        tuple(accumulate(shaped.advances_em, initial=0.0)),
        tuple(accumulate((c == " " for c in text), initial=0)),
        face.advance_em(" "),
        all_breaks,
        overhangs,
        _next_forced(all_breaks),
    )


def _next_forced(breaks: Sequence[_Break]) -> tuple[int, ...]:
    found: list[int] = []
    following = len(breaks) - 1
    for index in range(len(breaks) - 1, -1, -1):
        found.append(following)
        if breaks[index].forced:
            following = index
    return tuple(reversed(found))


def _measured(place: _Break, face: Face, text: str, advances: tuple[float, ...]) -> _Break:
    """The break with what the end of its line adds; nothing where it ends at a space."""
    if place.end < place.start:
        return place
    last = text[place.end - 1]
    alone = shape(face, last + SOFT_HYPHEN if place.hyphen else last).width_em
    extra = alone - advances[place.end - 1]
    return _Break(place.start, place.end, place.cost, place.hyphen, place.forced, extra)


def _at_spaces(text: str, names: bool, forced: set[int]) -> Iterator[_Break]:
    for match in re.finditer(" +", text):
        end, start = match.span()
        if end == 0 or start == len(text):
            continue
        must = any(index in forced for index in range(end, start))
        yield _Break(start, end, _space_cost(text, end, start, names), forced=must)


def _space_cost(text: str, end: int, start: int, names: bool) -> float:
    before, after = text[end - 1], text[start]
    if after in _SEPARATORS:
        return BEFORE_SEPARATOR
    if before in _SEPARATORS:
        return AT_COMMA
    if after == "(":
        return BEFORE_BRACKET
    last = re.search(r"\S+$", text[:end])
    word = last.group() if last else ""
    if names:
        return IN_NUMBERED_NAME if after.isdigit() and word.isalpha() else IN_NAME
    return AT_SPACE + (AFTER_SHORT_WORD if len(word) <= SHORT_WORD and word.isalpha() else 0.0)


def _inside_words(text: str, names: bool) -> Iterator[_Break]:
    """After slashes and hyphens between letters, outside addresses."""
    addresses = [match.span() for match in _ADDRESS.finditer(text)]
    for match in re.finditer(r"(?<=[^\W\d_]{2})(?:(/)|[-\u2010])(?=[^\W\d_]{2})", text):
        if any(first <= match.start() < last for first, last in addresses):
            continue
        cost = AT_SLASH if match.group(1) else AT_HYPHEN + (IN_NAME if names else 0.0)
        yield _Break(match.end(), match.end(), cost)


def _in_addresses(text: str) -> Iterator[_Break]:
    """After "/" and "@" and before "." of a web or mail address."""
    for address in _ADDRESS.finditer(text):
        for match in re.finditer(r"(?<=[/@])(?=[^/@])|(?<=\w)(?=\.\w)", address.group()):
            place = address.start() + match.start()
            yield _Break(place, place, IN_ADDRESS)


def _hyphenations(text: str, names: bool, language: str) -> Iterator[_Break]:
    dictionary = _dictionary(language)
    if dictionary is None:
        return
    addresses = [match.span() for match in _ADDRESS.finditer(text)]
    for word in _WORD.finditer(text):
        if any(first <= word.start() < last for first, last in addresses):
            continue
        for position in dictionary(word.group()):
            place = word.start() + position
            yield _Break(place, place, HYPHENATED_NAME if names else HYPHENATED, hyphen=True)


@lru_cache(maxsize=32)
def _dictionary(language: str) -> Callable[[str], list[int]] | None:
    """Where the words of a language may be hyphenated, or None where there is no dictionary."""
    import pyphen

    name = pyphen.language_fallback(language)
    if name is None:
        return None
    patterns = pyphen.Pyphen(lang=name, left=HYPHEN_LEFT, right=HYPHEN_RIGHT)

    def places(word: str) -> list[int]:
        # A position with data changes the spelling at the break ("Zuk-ker"): left alone.
        return [int(p) for p in patterns.positions(word) if getattr(p, "data", None) is None]

    return places


# -- choosing the breaks ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Goal:
    em_mm: float
    widths_mm: Widths
    tracking_em: float
    heading: bool
    justified: bool

    def room_em(self, line: int) -> float:
        widths = self.widths_mm
        return (widths(line) if callable(widths) else widths) / self.em_mm


_Trail = tuple[float, "_Trail | None", int]
"""The cost of reaching a break, the trail to the line before, and the break's index."""


def _ways(paragraph: _Prepared, goal: _Goal, most: int | None) -> Iterator[Broken]:
    """For each number of lines the trail of least cost, as lines."""
    end = len(paragraph.breaks) - 1
    reached: dict[int, _Trail] = {0: (0.0, None, 0)}
    for line in range(end if most is None else min(most, end)):
        room = goal.room_em(line)
        following: dict[int, _Trail] = {}
        for index, trail in reached.items():
            for target, cost in _steps(paragraph, goal, index, line, room):
                total = trail[0] + cost
                if target not in following or total < following[target][0]:
                    following[target] = (total, trail, target)
        if end in following:
            yield _broken(paragraph, goal, following.pop(end))
        reached = dict(sorted(following.items()))
        if not reached:
            return


def _steps(
    paragraph: _Prepared, goal: _Goal, index: int, line: int, room: float
) -> Iterator[tuple[int, float]]:
    """The breaks a line that begins at break ``index`` can end at, each with its cost."""
    last = len(paragraph.breaks) - 1
    for target in range(index + 1, last + 1):
        place = paragraph.breaks[target]
        width = _width_em(paragraph, goal, index, target)
        if width - _spare_em(paragraph, place) > room + ROUNDING_EM:
            return
        if width <= room + ROUNDING_EM:
            gaps = _gaps(paragraph, index, target)
            cost = place.cost if target < last and not place.forced else 0.0
            if target == last:
                cost += _last_cost(goal, width, room, line, gaps)
            if target < last or goal.heading:
                cost += _line_cost(paragraph, goal, width, room, gaps, place.forced)
            yield target, cost
        if place.forced:
            return


def _width_em(paragraph: _Prepared, goal: _Goal, index: int, target: int) -> float:
    start, place = paragraph.breaks[index].start, paragraph.breaks[target]
    if place.end <= start:
        return 0.0
    letters = place.end - start - 1 + place.hyphen
    return (
        paragraph.advances[place.end]
        - paragraph.advances[start]
        + place.extra_em
        + goal.tracking_em * letters
        + paragraph.overhangs[start][0]
        + (0.0 if place.hyphen else paragraph.overhangs[place.end - 1][1])
    )


def _spare_em(paragraph: _Prepared, place: _Break) -> float:
    """What a line that ends at ``place`` adds to its advances and a later end may do without."""
    overhang = paragraph.overhangs[place.end - 1][1] if place.end else 0.0
    return max(0.0, place.extra_em) + overhang


def _gaps(paragraph: _Prepared, index: int, target: int) -> int:
    start, place = paragraph.breaks[index].start, paragraph.breaks[target]
    return max(0, paragraph.spaces[place.end] - paragraph.spaces[start])


def _line_cost(
    paragraph: _Prepared, goal: _Goal, width: float, room: float, gaps: int, forced: bool
) -> float:
    slack = max(0.0, room - width)
    if goal.justified and gaps and not forced:
        return STRETCHED * float((slack / gaps / (paragraph.space_em / 2)) ** 3)
    return RAGGED * float((slack / room) ** 2) if room > 0 else 0.0


def _last_cost(goal: _Goal, width: float, room: float, line: int, gaps: int) -> float:
    if line == 0:
        return 0.0
    cost = 0.0
    if gaps == 0:
        cost += LONE_WORD_HEADING if goal.heading else LONE_WORD
    if not goal.heading and room > 0:
        cost += SHORT_LAST * float(max(0.0, LAST_LEAST - width / room) ** 2)
    return cost


def _broken(paragraph: _Prepared, goal: _Goal, trail: _Trail) -> Broken:
    stops: list[int] = []
    step: _Trail | None = trail
    while step is not None:
        stops.append(step[2])
        step = step[1]
    stops.reverse()
    lines = tuple(
        _line(paragraph, goal, number, stops[number], stops[number + 1])
        for number in range(len(stops) - 1)
    )
    return Broken(lines, trail[0])


def _line(paragraph: _Prepared, goal: _Goal, number: int, index: int, target: int) -> Line:
    start, place = paragraph.breaks[index].start, paragraph.breaks[target]
    width, gaps = _width_em(paragraph, goal, index, target), _gaps(paragraph, index, target)
    slack = max(0.0, goal.room_em(number) - width)
    return Line(
        text=paragraph.text[start : place.start] + (SOFT_HYPHEN if place.hyphen else ""),
        start=start,
        end=place.start,
        width_mm=width * goal.em_mm,
        gaps=gaps,
        gap_mm=slack / gaps * goal.em_mm if gaps and not place.forced else 0.0,
    )
