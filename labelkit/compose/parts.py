"""The parts a panel is made of on the way from words to runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from labelkit.runs import NEUTRAL
from labelkit.spec.layout import Block


@dataclass(frozen=True, slots=True)
class Segment:
    """Text of one element, language and face role inside a paragraph."""

    text: str
    element: str
    language: str
    face: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Segments set as one paragraph; ``lead`` opens its first line and never breaks."""

    body: tuple[Segment, ...]
    lead: tuple[Segment, ...] = ()

    @property
    def text(self) -> str:
        return "".join(segment.text for segment in self.body)


@dataclass(frozen=True, slots=True)
class SetLine:
    """One line: its segments, already in their setting, and its natural width."""

    segments: tuple[Segment, ...]
    width_mm: float


@dataclass(frozen=True, slots=True)
class SetBlock:
    """A block set one way: everything that placing it needs."""

    block: Block
    lines: tuple[SetLine, ...] = ()
    size_pt: float = 0.0
    width: int = 100
    setting: str = "as-written"
    ascent_mm: float = 0.0
    descent_mm: float = 0.0
    leading_mm: float = 0.0
    height_mm: float = 0.0
    drop_mm: float = 0.0
    """How far its baseline lies below the row's first one."""

    @property
    def small_caps(self) -> bool:
        return self.setting == "small-capitals"


@dataclass(frozen=True, slots=True)
class Row:
    """Blocks that share a baseline, or a single block."""

    index: int
    blocks: tuple[Block, ...]

    @property
    def lead(self) -> Block:
        return self.blocks[0]

    @property
    def name(self) -> str:
        return " and ".join(b.element or b.ornament or "rule" for b in self.blocks)


def height_of(sets: Sequence[SetBlock]) -> float:
    """Height of a row: its one block's, or that of its blocks on their shared baseline."""
    if len(sets) == 1:
        return sets[0].height_mm
    return ascent_of(sets) + max(s.drop_mm + s.height_mm - s.ascent_mm for s in sets)


def ascent_of(sets: Sequence[SetBlock]) -> float:
    """How far a row's first baseline lies below its top."""
    return max(s.ascent_mm - s.drop_mm for s in sets)


def joined(segments: Sequence[Segment], mark: str) -> tuple[Segment, ...]:
    """Segments of several languages on one line, with a mark between them."""
    result: list[Segment] = []
    for segment in segments:
        if result:
            result.append(Segment(mark, "separator", NEUTRAL, segment.face))
        result.append(segment)
    return tuple(result)


def part_of(segments: Iterable[Segment], start: int, stop: int) -> tuple[Segment, ...]:
    """The parts of a paragraph's segments between two letters of its text."""
    found: list[Segment] = []
    position = 0
    for segment in segments:
        low, high = max(start, position), min(stop, position + len(segment.text))
        if low < high:
            found.append(replace(segment, text=segment.text[low - position : high - position]))
        position += len(segment.text)
    return tuple(found)


def in_setting(text: str, setting: str) -> str:
    """The letters as the setting shows them (small capitals are the face's work)."""
    return text.upper() if setting == "capitals" else text


def all_capitals(text: str) -> bool:
    """Whether the text has capitals and no small letters."""
    return text == text.upper() and text != text.lower()
