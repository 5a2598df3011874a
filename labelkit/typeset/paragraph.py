"""The ways to set one paragraph: sizes, leadings, widths, tracking and settings, each with a cost.

A way that would bring a letter under its floor is no way at all. What is left is handed to the
copyfitter as choices of a height and a cost, those that no other beats.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from typing import NamedTuple

from labelkit.quantity import PT_PER_MM
from labelkit.typeset.breaking import Broken, Widths, break_ways, line_count
from labelkit.typeset.faces import Face
from labelkit.typeset.fit import Choice, pareto

SETTINGS = ("as-written", "capitals", "small-capitals")
TRACKING_EM = (-0.01, 0.06)
"""The band in which added letterspace still looks like the face (common practice, no source)."""

CAPITALS_TRACKING_EM = 0.03
"""What capitals and small capitals like to be spaced by (common practice, no source)."""

LETTER_SPARE_MM = 0.002
"""A letter is set this much taller than its floor, so that rounding never brings it below."""


@dataclass(frozen=True, slots=True)
class Floor:
    """A letter that must print at least so tall.

    ``letter`` is "capital", "o", "figure", or "capital-or-o": the capital where all cased letters
    are capitals, otherwise the lower-case "o".
    """

    letter: str
    least_mm: float

    def size_pt(self, face: Face, text: str) -> float:
        """The smallest size at which the letter is tall enough; zero where there is no such letter.

        A face without the letter asked for cannot be measured: then no size is enough.
        """
        height = self._height_em(face, text)
        if height is None:
            return 0.0 if self.letter == "figure" else float("inf")
        return (self.least_mm + LETTER_SPARE_MM) * PT_PER_MM / height

    def _height_em(self, face: Face, text: str) -> float | None:
        if self.letter == "figure":
            return face.figure_em(text)
        if self.letter == "capital" or (self.letter == "capital-or-o" and text.isupper()):
            return face.capital_em
        return face.small_o_em


@dataclass(frozen=True, slots=True)
class Costs:
    """What readers dislike. One unit is a change that one has to look for (taste, no source)."""

    smaller: float = 12.0
    """Per halving of the largest size offered."""
    narrow: float = 2.5
    """Per quarter taken off the width of the face."""
    capitals: float = 0.7
    capitals_long: float = 3.0
    """On top, where the text has more than LONG_TEXT letters: slow to read."""
    small_capitals: float = 0.4
    tighter: float = 1.0
    """Per tenth of the size taken off the largest leading offered."""
    tracking: float = 0.3
    """Per hundredth of an em off what the setting likes: none as written, CAPITALS_TRACKING_EM
    for capitals and small capitals."""
    line: float = 0.6
    """Per line after the first."""


LONG_TEXT = 90


@dataclass(frozen=True, slots=True)
class Style:
    """How a paragraph may be set; every tuple lists what may be tried."""

    faces: Mapping[float, Face]
    """By width in per cent of normal."""
    sizes_pt: Sequence[float]
    leadings: Sequence[float] = (1.2,)
    """Distance of baselines, in sizes."""
    settings: Sequence[str] = ("as-written",)
    trackings_em: Sequence[float] = (0.0,)
    small_capitals: Mapping[float, Face] = field(default_factory=dict)
    """The faces for that setting, by width."""
    names: bool = False
    heading: bool = False
    justified: bool = False
    most: int | None = None
    """Most lines it may take. Words are kept whole: one that is too wide means a smaller size."""


class _Way(NamedTuple):
    """The leading fields of a SetParagraph, before it is known whether another way beats it."""

    setting: str
    width: float
    face: Face
    text: str
    size_pt: float
    leading: float
    tracking_em: float
    lines: int


@dataclass(frozen=True, slots=True)
class SetParagraph:
    """One way to set a paragraph; it is broken into lines when it is asked for them."""

    setting: str
    width: float
    """Of the face, in per cent of normal."""
    face: Face
    text: str
    """As set: in capitals where the setting says so."""
    size_pt: float
    leading: float
    """Distance of its baselines, in sizes."""
    tracking_em: float
    lines: int
    """How many lines it takes."""
    style: Style
    widths_mm: Widths

    @property
    def baseline_mm(self) -> float:
        """Distance of its baselines."""
        return self.size_pt * self.leading / PT_PER_MM

    @property
    def ascent_mm(self) -> float:
        """From the first baseline up to the highest ink its letters have."""
        return self._ink_em[1] * self.size_pt / PT_PER_MM

    @property
    def descent_mm(self) -> float:
        """From the last baseline down to the lowest ink its letters have."""
        return -self._ink_em[0] * self.size_pt / PT_PER_MM

    @property
    def height_mm(self) -> float:
        """From its highest ink to its lowest, wherever the lines are broken."""
        return self.ascent_mm + self.descent_mm + (self.lines - 1) * self.baseline_mm

    @property
    def _ink_em(self) -> tuple[float, float]:
        return self.face.ink_em(self.text) or (0.0, 0.0)

    def broken(self) -> Broken:
        """Its lines, broken as well as their number allows."""
        ways = break_ways(
            self.text,
            self.face,
            self.size_pt,
            self.widths_mm,
            tracking_em=self.tracking_em,
            names=self.style.names,
            heading=self.style.heading,
            justified=self.style.justified,
            most=self.lines,
        )
        *_, widest = ways
        return widest

    def described(self) -> str:
        """The choice in a few words: ``"6.25 pt, capitals, 75 % wide"``."""
        words = [f"{self.size_pt:.2f}".rstrip("0").rstrip(".") + " pt"]
        if self.setting != "as-written":
            words.append(self.setting.replace("-", " "))
        if self.width != 100:
            words.append(f"{self.width:g} % wide")
        if self.tracking_em:
            words.append(f"letterspaced by {self.tracking_em:+.2f} em")
        return ", ".join(words)


def paragraph_choices(
    text: str,
    style: Style,
    widths_mm: Widths,
    floors: Sequence[Floor] = (),
    costs: Costs | None = None,
) -> list[Choice]:
    """The ways to set ``text`` that no other beats in both height and cost, from low to high.

    Each choice's payload is its SetParagraph. Empty where the text cannot be set: too wide at
    every size at which the floors hold, or in too many lines.
    """
    table = costs or Costs()
    found: list[Choice] = []
    for setting, width, face in _faces(style):
        written = in_setting(text, setting)
        low, high = face.ink_em(written) or (0.0, 0.0)
        least_pt = max((floor.size_pt(face, written) for floor in floors), default=0.0)
        for size, tracking in product(_sizes(style, least_pt), style.trackings_em):
            count = line_count(
                written,
                face,
                size,
                widths_mm,
                tracking_em=tracking,
                names=style.names,
                most=style.most,
            )
            for leading in _leadings(style, count):
                way = _Way(setting, width, face, written, size, leading, tracking, count or 0)
                height_em = high - low + (way.lines - 1) * leading
                cost = _cost(way, style, table)
                found.append(Choice(height_em * size / PT_PER_MM, cost, way))
    return [
        replace(
            choice,
            payload=SetParagraph(**choice.payload._asdict(), style=style, widths_mm=widths_mm),
        )
        for choice in pareto(found)
    ]


def _faces(style: Style) -> Iterator[tuple[str, float, Face]]:
    for setting in style.settings:
        faces = style.small_capitals if setting == "small-capitals" else style.faces
        for width, face in faces.items():
            yield setting, width, face


def _sizes(style: Style, least_pt: float) -> list[float]:
    """The sizes offered at which the floors hold, and the one at which they just do."""
    offered = {size for size in style.sizes_pt if size >= least_pt}
    if min(style.sizes_pt) <= least_pt < float("inf"):
        offered.add(least_pt)
    return sorted(offered, reverse=True)


def _leadings(style: Style, count: int | None) -> Sequence[float]:
    """The leadings to try: none where the text does not fit, and one for a single line."""
    if count is None:
        return ()
    return style.leadings if count > 1 else (max(style.leadings),)


def _cost(way: _Way, style: Style, costs: Costs) -> float:
    cost = costs.smaller * max(0.0, max(style.sizes_pt) / way.size_pt - 1)
    cost += costs.narrow * (100 - way.width) / 25
    cost += costs.tighter * (max(style.leadings) - way.leading) * 10
    cost += costs.line * (way.lines - 1)
    spaced = CAPITALS_TRACKING_EM if way.setting != "as-written" else 0.0
    cost += costs.tracking * abs(way.tracking_em - spaced) * 100
    if way.setting == "capitals":
        cost += costs.capitals + (costs.capitals_long if len(way.text) > LONG_TEXT else 0.0)
    if way.setting == "small-capitals":
        cost += costs.small_capitals
    return cost


def in_setting(text: str, setting: str) -> str:
    """``text`` as the setting has it; small capitals are the face's business."""
    return text.upper() if setting == "capitals" else text
