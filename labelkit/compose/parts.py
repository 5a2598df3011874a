"""The parts a panel is made of on the way from words to runs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from labelkit.quantity import PT_PER_MM
from labelkit.rules.floors import ElementFloor, Floors
from labelkit.runs import NEUTRAL
from labelkit.spec.layout import Block, FaceSpec
from labelkit.typeset.faces import Face
from labelkit.typeset.paragraph import Floor
from labelkit.typeset.shape import shape

LANGUAGE_GAP = 0.35
"""Space between two languages one above the other, in leadings, where one takes several lines."""
CLEAR_SPARE_MM = 0.01
"""How much wider than asked for a free space is kept, so that rounding never brings it below."""


@dataclass(frozen=True, slots=True)
class Segment:
    """Text of one element, language and face inside a paragraph."""

    text: str
    element: str
    language: str
    face: FaceSpec


@dataclass(frozen=True)
class Paragraph:
    """Segments set as one paragraph; ``lead`` opens its first line and never breaks."""

    body: tuple[Segment, ...]
    lead: tuple[Segment, ...] = ()

    @cached_property
    def text(self) -> str:
        return "".join(segment.text for segment in self.body)


@dataclass(frozen=True, eq=False)
class Way:
    """One way to set a block, apart from its size; measured only when it is asked for.

    Lengths named ``_em`` are in ems.
    """

    block: Block
    paragraphs: tuple[Paragraph, ...]
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
    """Several languages on one line, which must not run over."""
    apart: bool = False
    """The lead stands on a line of its own, as the first paragraph."""

    @property
    def face(self) -> Face:
        """The face of the block's own words."""
        return self.faces[-1]

    @property
    def small_caps(self) -> bool:
        return self.setting == "small-capitals"

    @cached_property
    def least_pt(self) -> float:
        """The smallest size at which every legal floor holds."""
        return max(self._floor_sizes(legal=True), default=0.0)

    @cached_property
    def advised_pt(self) -> float:
        """The smallest size at which every advice on legibility holds."""
        return max(self._floor_sizes(legal=False), default=0.0)

    @property
    def ascent_em(self) -> float:
        """From the first baseline up to the highest ink."""
        return self._ink_em[1]

    @property
    def descent_em(self) -> float:
        """From the last baseline down to the lowest ink."""
        return -self._ink_em[0]

    @cached_property
    def lead_em(self) -> float:
        """How far the lead takes the pen."""
        lead = zip(self.lead_faces, self.paragraphs[0].lead, strict=True)
        letters = sum(len(segment.text) for segment in self.paragraphs[0].lead)
        width = sum(shape(face, segment.text).width_em for face, segment in lead)
        return width + self.tracking_em * letters

    @cached_property
    def clear_em(self) -> float:
        """Free space the law wants above and below."""
        return float(self._floor.clear_letter_heights) * (self.face.capital_em or 1.0)

    @cached_property
    def clear_mm(self) -> float:
        clear = dict(self._floor.clear_mm)
        return float(max(clear.get("above", 0), clear.get("below", 0)))

    @cached_property
    def beside_em(self) -> float:
        """Free space the law wants left and right."""
        return float(self._floor.clear_n_widths) * (self.face.n_width_em or 1.0)

    @cached_property
    def beside_mm(self) -> float:
        return float(dict(self._floor.clear_mm).get("beside", 0))

    def paragraph_em(self, number: int) -> float:
        """How wide a paragraph is set on one line, its lead and overhanging ink included."""
        width = _line_em(self.faces[number], self.paragraphs[number].text, self.tracking_em)
        return width + (0.0 if number else self.lead_em)

    def width_mm(self, size_pt: float) -> float:
        """How wide the block is on one line."""
        return max(map(self.paragraph_em, range(len(self.paragraphs)))) * size_pt / PT_PER_MM

    @property
    def _floor(self) -> ElementFloor:
        return self.floors.of(self.block.element)

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
        inks = [_ink_em(face, segment.text) for face, segment in self._pieces]
        return min(low for low, _ in inks), max(high for _, high in inks)

    def _floor_sizes(self, legal: bool) -> Iterator[float]:
        """The size that each floor of each segment asks for."""
        for face, segment in self._pieces:
            for height in self.floors.of(segment.element).heights:
                if height.legal == legal:
                    letter = Floor(height.measure.value, float(height.least_mm))
                    yield letter.size_pt(face, segment.text)


@lru_cache(maxsize=4096)
def _ink_em(face: Face, text: str) -> tuple[float, float]:
    """Lowest and highest ink of a text; nothing for a blank one."""
    return face.ink_em(text) or (0.0, 0.0)


@lru_cache(maxsize=4096)
def _line_em(face: Face, text: str, tracking_em: float) -> float:
    """How wide a text is on one line, overhanging ink included."""
    shaped = shape(face, text)
    ink = shaped.tracked_ink_em(tracking_em)
    advance = shaped.width_em + tracking_em * (len(text) - 1)
    return max(advance, ink.x1_em) - min(0.0, ink.x0_em) if ink else advance


@dataclass(frozen=True, slots=True)
class SetBlock:
    """A block set one way in one size, its lines counted but not yet broken."""

    way: Way
    size_pt: float
    counts: tuple[int, ...]
    """Lines of each paragraph."""
    hyphenated: bool = False
    """Whether words may be broken: only where nothing fits otherwise."""

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
        return self.ascent_mm + self.descent_mm + self.drop_mm(self.lines - 1)

    @property
    def clear_mm(self) -> float:
        """Free space wanted above and below."""
        wanted = max(self.way.clear_mm, self.way.clear_em * self.size_pt / PT_PER_MM)
        return wanted + CLEAR_SPARE_MM if wanted else 0.0

    @property
    def beside_mm(self) -> float:
        """Free space wanted left and right."""
        wanted = max(self.way.beside_mm, self.way.beside_em * self.size_pt / PT_PER_MM)
        return wanted + CLEAR_SPARE_MM if wanted else 0.0

    def drop_mm(self, line: int) -> float:
        """From the first baseline down to that of line number ``line`` (from 0)."""
        gaps = 0
        if max(self.counts) > 1:
            ends = [sum(self.counts[: n + 1]) for n in range(len(self.counts) - 1)]
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


@dataclass(frozen=True, slots=True)
class Row:
    """Blocks that share a baseline, or a single block."""

    index: int
    """The place of its first block in the layout."""
    blocks: tuple[Block, ...]
    first: bool = False
    last: bool = False

    @property
    def lead(self) -> Block:
        return self.blocks[0]

    @property
    def name(self) -> str:
        return " and ".join(b.element or b.ornament or b.picture or "rule" for b in self.blocks)

    def pads_mm(self, sets: Sequence[SetBlock | SetArt]) -> tuple[float, float]:
        """Free space the law wants above and below the row, where there are neighbours."""
        clear = max((s.clear_mm for s in sets if isinstance(s, SetBlock)), default=0.0)
        return (0.0 if self.first else clear), (0.0 if self.last else clear)

    def ink_mm(self, sets: Sequence[SetBlock | SetArt]) -> float:
        """Height of its ink: its one block's, or that of its blocks on their shared baseline."""
        if len(sets) == 1:
            return sets[0].height_mm
        blocks = [s for s in sets if isinstance(s, SetBlock)]
        return max(s.ascent_mm for s in blocks) + max(s.descent_mm for s in blocks)

    def height_mm(self, sets: Sequence[SetBlock | SetArt]) -> float:
        """Height of its ink and of the free space around it."""
        return self.ink_mm(sets) + sum(self.pads_mm(sets))


def set_blocks(sets: Sequence[SetBlock | SetArt]) -> list[SetBlock]:
    """The text of a row; empty where it is art."""
    return [made for made in sets if isinstance(made, SetBlock)]


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
