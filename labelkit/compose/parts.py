"""The parts a panel is made of on the way from words to runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import StrEnum
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.letters import find_least_size_pt
from labelkit.model.runs import NEUTRAL
from labelkit.order.layout import Block, FaceSpec
from labelkit.rules.floors import ElementFloor, Floors
from labelkit.typeset.breakpoints import (
    AT_COMMA,
    Reach,
    TextKind,
    measure_paragraph,
    measure_reach,
)
from labelkit.typeset.companions import MixedFace
from labelkit.typeset.faces import Face
from labelkit.typeset.shape import shape_text

HEADINGS = frozenset({"names", "scent", "identity", "thanks", "date", "place"})
"""Elements whose last line is never a lone word."""
DISPLAY = HEADINGS | {"brand", "net-quantity", "lot"}
"""Elements whose words stay whole while there is any other way to set the panel."""
KINDS = {
    "ingredients": TextKind.LIST,
    "contact": TextKind.LIST,
    "dealer": TextKind.ADDRESS,
    "names": TextKind.PERSONS,
}
"""What elements' words are, for where their lines may end."""
LANGUAGE_GAP = 0.35
"""Space between two languages one above the other, in leadings, where one takes several lines."""
CLEAR_SPARE_MM = 0.01
"""How much wider than asked for a free space is kept, so that rounding never brings it below."""


class Hyphenation(StrEnum):
    """Which words may be broken."""

    NOWHERE = "nowhere"
    LONG_TEXT = "long text"
    """Lists, addresses and sentences; no display text, which is read at a glance."""
    ANYWHERE = "anywhere"

    def within(self, block: Block) -> bool:
        """Whether the words of a block may be broken."""
        if self is Hyphenation.LONG_TEXT:
            return block.element not in DISPLAY
        return self is Hyphenation.ANYWHERE


@dataclass(frozen=True, slots=True)
class Segment:
    """Text of one element, language and face inside a paragraph."""

    text: str
    element: str
    language: str
    face: FaceSpec


@dataclass(frozen=True)
class BlockParagraph:
    """Segments set as one paragraph; ``lead`` opens its first line and never breaks."""

    body: tuple[Segment, ...]
    lead: tuple[Segment, ...] = ()

    @cached_property
    def text(self) -> str:
        return "".join(segment.text for segment in self.body)


@dataclass(frozen=True, eq=False)
class Arrangement:
    """One way to set a block, apart from its size; measured only when it is asked for.

    Lengths named ``_em`` are in ems.
    """

    block: Block
    paragraphs: tuple[BlockParagraph, ...]
    faces: tuple[Face, ...]
    """Of each paragraph's body."""
    lead_faces: tuple[Face, ...]
    """Of each segment of the lead."""
    width: int
    setting: str
    tracking_em: float
    cost: float
    floors: Floors
    one_line: bool = False
    """Several languages on one line, or the lines of an address, which must not run over."""
    heads: int = 0
    """How many of the paragraphs are a lead that stands on lines of its own: each takes one."""

    @property
    def face(self) -> Face:
        """The face of the block's own words."""
        return self.faces[-1]

    @property
    def small_caps(self) -> bool:
        return self.setting == "small-capitals"

    @property
    def heading(self) -> bool:
        return self.block.element in HEADINGS

    @property
    def address(self) -> bool:
        return self.kind is TextKind.ADDRESS

    @cached_property
    def kind(self) -> TextKind:
        """What its words are, for where they may be broken."""
        return KINDS.get(self.block.element, TextKind.WORDS)

    @cached_property
    def least_pt(self) -> float:
        """The smallest size at which every legal floor holds."""
        return self._floors_pt[0]

    @cached_property
    def advised_pt(self) -> float:
        """The smallest size at which every advice on legibility holds."""
        return self._floors_pt[1]

    @cached_property
    def ascent_em(self) -> float:
        """From the first baseline up to the highest ink."""
        return self._ink_em[1]

    @cached_property
    def descent_em(self) -> float:
        """From the last baseline down to the lowest ink."""
        return -self._ink_em[0]

    @cached_property
    def ink_em(self) -> float:
        """Height of the ink of a line."""
        return self.ascent_em + self.descent_em

    @property
    def most_lines(self) -> int:
        """Most lines that each of its paragraphs may take."""
        return 1 if self.one_line else self.block.lines

    @cached_property
    def single_lines(self) -> tuple[int, ...]:
        """The lines of each paragraph where none is broken."""
        return (1,) * len(self.paragraphs)

    @cached_property
    def letters(self) -> int:
        """How many letters its paragraphs have."""
        return sum(len(paragraph.text) for paragraph in self.paragraphs)

    @cached_property
    def lead_em(self) -> float:
        """How far the lead takes the pen."""
        lead = zip(self.lead_faces, self.paragraphs[0].lead, strict=True)
        letters = sum(len(segment.text) for segment in self.paragraphs[0].lead)
        width = sum(shape_text(face, segment.text).width_em for face, segment in lead)
        return width + self.tracking_em * letters

    @cached_property
    def opening_em(self) -> float:
        """How wide a lead that runs into a list is, the first name with it; zero of others."""
        if not (self.kind is TextKind.LIST and self.lead_em):
            return 0.0
        paragraph = measure_paragraph(self.faces[0], self.paragraphs[0].text, self.kind, "")
        first = next(n for n, place in enumerate(paragraph.breaks) if n and place.cost <= AT_COMMA)
        reach = self.reach(0, hyphenate=False)
        return self.lead_em + reach.ends[first] - reach.starts[0]

    @cached_property
    def keeps_clear(self) -> bool:
        """Whether the law wants free space around it."""
        return bool(self._floor.clear_letter_heights or self._floor.clear_n_widths or self._clear)

    @cached_property
    def clear_em(self) -> float:
        """Free space the law wants above and below."""
        return float(self._floor.clear_letter_heights) * (self.face.capital_em or 1.0)

    @cached_property
    def clear_mm(self) -> float:
        return max(self._clear.get("above", 0.0), self._clear.get("below", 0.0))

    @cached_property
    def beside_em(self) -> float:
        """Free space the law wants left and right."""
        return float(self._floor.clear_n_widths) * (self.face.n_width_em or 1.0)

    @cached_property
    def beside_mm(self) -> float:
        return self._clear.get("beside", 0.0)

    @cached_property
    def wholes_em(self) -> tuple[float, ...]:
        """How much of a line each paragraph takes when it is not broken, a lead left out."""
        return tuple(
            measure_paragraph(face, paragraph.text, self.kind, "").whole_em(self.tracking_em)
            for face, paragraph in zip(self.faces, self.paragraphs, strict=True)
        )

    @cached_property
    def widest_em(self) -> float:
        """How wide the block is on one line, its lead and all overhanging ink included."""
        widths = (
            _measure_line_em(face, paragraph.text, self.tracking_em)
            + (0.0 if number else self.lead_em)
            for number, (face, paragraph) in enumerate(
                zip(self.faces, self.paragraphs, strict=True)
            )
        )
        return max(widths)

    def reach(self, number: int, hyphenate: bool) -> Reach:
        """How far the lines of a paragraph reach, its words left whole or broken."""
        key = (number, hyphenate)
        if key not in self._reaches:
            paragraph = self.paragraphs[number]
            language = paragraph.body[0].language if hyphenate else ""
            words = measure_paragraph(self.faces[number], paragraph.text, self.kind, language)
            self._reaches[key] = measure_reach(words, self.tracking_em)
        return self._reaches[key]

    @cached_property
    def _reaches(self) -> dict[tuple[int, bool], Reach]:
        return {}

    @cached_property
    def _floor(self) -> ElementFloor:
        return self.floors.of(self.block.element)

    @cached_property
    def _clear(self) -> dict[str, float]:
        """Free space the law wants in millimetres, by side."""
        return {side: float(space) for side, space in self._floor.clear_mm}

    @cached_property
    def _pieces(self) -> list[tuple[Face, Segment]]:
        """Every segment with its face."""
        bodies = [
            (face, segment)
            for face, paragraph in zip(self.faces, self.paragraphs, strict=True)
            for segment in paragraph.body
        ]
        return [*zip(self.lead_faces, self.paragraphs[0].lead, strict=True), *bodies]

    @cached_property
    def _ink_em(self) -> tuple[float, float]:
        """Lowest and highest ink of all there is in the block, wherever its lines break."""
        inks = [_measure_ink_em(face, segment.text) for face, segment in self._pieces]
        return min(low for low, _ in inks), max(high for _, high in inks)

    @cached_property
    def _floors_pt(self) -> tuple[float, float]:
        """The largest of the sizes that laws ask for, and of those that are only advised."""
        legal, advised = 0.0, 0.0
        for face, segment in self._pieces:
            for height in self.floors.of(segment.element).heights:
                size = find_least_size_pt(face, segment.text, height)
                if height.legal:
                    legal = max(legal, size)
                else:
                    advised = max(advised, size)
        return legal, advised


@lru_cache(maxsize=4096)
def _measure_ink_em(face: Face, text: str) -> tuple[float, float]:
    """Lowest and highest ink of a text; nothing for a blank one."""
    if isinstance(face, MixedFace):
        ink = shape_text(face, text).ink_em
        return (ink.y0_em, ink.y1_em) if ink else (0.0, 0.0)
    return face.ink_em(text) or (0.0, 0.0)


@lru_cache(maxsize=4096)
def _measure_line_em(face: Face, text: str, tracking_em: float) -> float:
    """How wide a text is on one line, overhanging ink included."""
    shaped = shape_text(face, text)
    ink = shaped.tracked_ink_em(tracking_em)
    advance = shaped.width_em + tracking_em * (len(text) - 1)
    return max(advance, ink.x1_em) - min(0.0, ink.x0_em) if ink else advance


class SetBlock(NamedTuple):
    """A block set one way in one size, its lines counted but not yet broken."""

    way: Arrangement
    size_pt: float
    counts: tuple[int, ...]
    """Lines of each paragraph."""
    hyphenated: bool = False
    """Whether words may be broken: only where nothing fits otherwise."""
    opens_whole: bool = False
    """Whether a lead is to stand on one line with the first name of its list."""

    @property
    def block(self) -> Block:
        return self.way.block

    @property
    def lines(self) -> int:
        return sum(self.counts)

    @property
    def leading_mm(self) -> float:
        return self.size_pt * self.block.leading / PT_PER_MM

    @property
    def ascent_mm(self) -> float:
        return self.way.ascent_em * self.size_pt / PT_PER_MM

    @property
    def descent_mm(self) -> float:
        return self.way.descent_em * self.size_pt / PT_PER_MM

    @property
    def height_mm(self) -> float:
        ink = self.way.ink_em * self.size_pt / PT_PER_MM
        lines = sum(self.counts)
        return ink if lines == 1 else ink + self.drop_mm(lines - 1)

    @property
    def width_mm(self) -> float:
        """How wide it is on one line."""
        return self.way.widest_em * self.size_pt / PT_PER_MM

    @property
    def clear_mm(self) -> float:
        """Free space wanted above and below."""
        if not self.way.keeps_clear:
            return 0.0
        wanted = max(self.way.clear_mm, self.way.clear_em * self.size_pt / PT_PER_MM)
        return wanted + CLEAR_SPARE_MM if wanted else 0.0

    @property
    def beside_mm(self) -> float:
        """Free space wanted left and right."""
        if not self.way.keeps_clear:
            return 0.0
        wanted = max(self.way.beside_mm, self.way.beside_em * self.size_pt / PT_PER_MM)
        return wanted + CLEAR_SPARE_MM if wanted else 0.0

    def drop_mm(self, line: int) -> float:
        """From the first baseline down to that of line number ``line`` (from 0)."""
        gaps = 0
        if max(self.counts) > 1:
            ends = list(accumulate(self.counts[:-1]))[max(0, self.way.heads - 1) :]
            gaps = sum(line >= end for end in ends)
        return (line + gaps * LANGUAGE_GAP) * self.leading_mm


@dataclass(frozen=True, slots=True)
class SetArt:
    """An ornament, picture or rule in a row of its own."""

    block: Block
    height_mm: float
    width_mm: float
    """Zero for a rule, which takes its share of the row."""


@dataclass(frozen=True, slots=True)
class SetLine:
    """One line of a block: its segments, already in their setting."""

    segments: tuple[Segment, ...]
    lead: int = 0
    """How many of the segments open it."""
    gap_mm: float = 0.0
    """What every word space grows by in justified setting."""


Sets = tuple[SetBlock, ...] | tuple[SetArt, ...]


@dataclass(frozen=True, eq=False)
class BlockRow:
    """Blocks that share a baseline, or a single block."""

    index: int
    """The place of its first block in the layout."""
    blocks: tuple[Block, ...]
    first: bool = False
    last: bool = False

    @cached_property
    def lead(self) -> Block:
        return self.blocks[0]

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Tells it from other rows while its blocks live: hashing a block itself takes long."""
        return (*map(id, self.blocks), self.first, self.last)

    @property
    def name(self) -> str:
        return " and ".join(b.element or b.ornament or b.picture or "rule" for b in self.blocks)

    def pads_mm(self, sets: Sequence[SetBlock | SetArt]) -> tuple[float, float]:
        """Free space the law wants above and below the row, where there are neighbours."""
        clear = 0.0
        for made in sets:
            if isinstance(made, SetBlock) and made.way.keeps_clear:
                clear = max(clear, made.clear_mm)
        return (0.0 if self.first else clear), (0.0 if self.last else clear)

    def ink_mm(self, sets: Sequence[SetBlock | SetArt]) -> float:
        """Height of its ink: its one block's, or that of its blocks on their shared baseline."""
        if len(sets) == 1:
            return sets[0].height_mm
        blocks = list_set_blocks(sets)
        return max(s.ascent_mm for s in blocks) + max(s.descent_mm for s in blocks)

    def height_mm(self, sets: Sequence[SetBlock | SetArt]) -> float:
        """Height of its ink and of the free space around it."""
        return self.ink_mm(sets) + sum(self.pads_mm(sets))


def list_set_blocks(sets: Sequence[SetBlock | SetArt]) -> list[SetBlock]:
    """The text of a row; empty where it is art."""
    return [made for made in sets if isinstance(made, SetBlock)]


def join_segments(segments: Sequence[Segment], mark: str) -> tuple[Segment, ...]:
    """Segments of several languages on one line, with a mark between them."""
    result: list[Segment] = []
    for segment in segments:
        if result:
            result.append(Segment(mark, "separator", NEUTRAL, segment.face))
        result.append(segment)
    return tuple(result)


def cut_segments(segments: Iterable[Segment], start: int, stop: int) -> tuple[Segment, ...]:
    """The parts of a paragraph's segments between two letters of its text."""
    found: list[Segment] = []
    position = 0
    for segment in segments:
        low, high = max(start, position), min(stop, position + len(segment.text))
        if low < high:
            found.append(replace(segment, text=segment.text[low - position : high - position]))
        position += len(segment.text)
    return tuple(found)
