"""Every legal way to set a block, with its height and what a reader would dislike about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product

from labelkit.compose import costs
from labelkit.compose.parts import (
    Paragraph,
    Row,
    Segment,
    SetBlock,
    SetLine,
    all_capitals,
    height_of,
    in_setting,
    joined,
    part_of,
)
from labelkit.compose.template import rendered
from labelkit.fields import Wording, Wordings
from labelkit.quantity import PT_PER_MM
from labelkit.rules.floors import Floors, HeightFloor, Measure
from labelkit.runs import NEUTRAL, SOFT_HYPHEN
from labelkit.spec.layout import Block, FaceSpec, Layout, PanelLayout
from labelkit.typeset.breaking import break_lines
from labelkit.typeset.faces import Face, FaceRequest, load_face, load_face_file
from labelkit.typeset.fit import Choice, pareto
from labelkit.typeset.shape import shape

SIZE_STEP_PT = 0.25
LETTER_SPARE_MM = 0.004
"""How much taller than its floor a letter is set, so that rounding never brings it below."""
ROW_GAP_MM = 2.0
SPLIT_GAP = 0.7
"""Space between the lines of a row that had to be split, in the panel's unit."""
BOLD_ROLE = "bold"
"""The face role of a layout that takes over where a region wants an element bold."""
LEAST_BOLD = 600
"""OS/2 weight class from which a face counts as bold: SemiBold."""
HEADINGS = frozenset({"names", "scent", "identity", "thanks", "date", "place"})
"""Elements whose last line is never a lone word."""
_GUEST_SAMPLE = "Hp"
"""Stands for a guest's name while the panel is fitted: a capital and a descender, no width."""


@lru_cache(maxsize=256)
def load_face_of(spec: FaceSpec, width: int, small_caps: bool = False) -> Face:
    """The face a layout names, at one of its widths."""
    if spec.file is not None:
        return load_face_file(spec.file)
    return load_face(
        FaceRequest(
            spec.family,
            weight=spec.weight,
            width=width,
            italic=spec.italic,
            figures=spec.figures,
            small_caps=small_caps,
        )
    )


@dataclass(frozen=True)
class Choices:
    """The ways to set the blocks of one panel."""

    layout: Layout
    plan: PanelLayout
    words: Wordings
    floors: Floors
    faces: dict[str, Face] = field(default_factory=dict)
    """Every face tried, by its PostScript name."""

    # -- rows and size classes ---------------------------------------------------------------------

    def rows(self) -> list[Row]:
        """The rows of the panel, blocks without words left out."""
        rows: list[Row] = []
        by_name: dict[tuple[str, str], int] = {}
        for block in map(self._bold_enough, self.plan.blocks):
            if block.element and not self.texts(block):
                continue
            key = (block.zone, block.row)
            if block.row and key in by_name:
                index = by_name[key]
                rows[index] = replace(rows[index], blocks=(*rows[index].blocks, block))
            else:
                by_name[key] = len(rows)
                rows.append(Row(len(rows), (block,)))
        return rows

    def classes(self, rows: Sequence[Row]) -> list[list[Row]]:
        """Rows that must agree on a size together; ornaments and rules each for themselves."""
        classes: dict[str, list[Row]] = {}
        for row in rows:
            key = f"size {row.lead.size}" if row.lead.element else f"row {row.index}"
            classes.setdefault(key, []).append(row)
        return list(classes.values())

    def of_class(self, rows: Sequence[Row], widths_mm: Mapping[int, float]) -> list[Choice]:
        """The choices of one class; the payload maps each row's index to its set blocks."""
        lead = rows[0].lead
        if lead.rule:
            return [Choice(0.0, 0.0, {rows[0].index: (SetBlock(lead),)})]
        if lead.ornament:
            return self._ornament(rows[0])
        spec = self.plan.sizes[lead.size]
        weight = costs.FOCAL if lead.element == "names" else 1.0
        found: list[Choice] = []
        for size in self._sizes(rows, spec.least_pt, spec.most_pt):
            smaller = weight * costs.SMALLER * max(0.0, spec.most_pt / size - 1)
            options = [self._row(row, size, widths_mm[row.index]) for row in rows]
            if all(options):
                found += [replace(c, cost=c.cost + smaller) for c in _summed(options)]
        return pareto(found)

    def _ornament(self, row: Row) -> list[Choice]:
        least, most = row.lead.height_mm
        steps = [most - (most - least) * i / 6 for i in range(7)] if most > least else [most]
        return [
            Choice(
                h,
                costs.ORNAMENT_SMALLER * (most / h - 1),
                {row.index: (SetBlock(row.lead, height_mm=h, ascent_mm=h),)},
            )
            for h in steps
        ]

    def _sizes(self, rows: Sequence[Row], least: float, most: float) -> list[float]:
        """A ladder of sizes, and each size at which a floor or an advice just holds.

        A floor above the layout's largest size is tried too: the law comes before the design.
        """
        ladder = {most}
        size = most
        while size > least:
            size = max(least, size - SIZE_STEP_PT)
            ladder.add(size)
        exact = {
            _size_for(floor, text, face)
            for block, text, face in self._settings(rows)
            for floor in self.floors.of(block.element).heights
        }
        return sorted(ladder | {s for s in exact if s >= least}, reverse=True)

    def _settings(self, rows: Sequence[Row]) -> Iterator[tuple[Block, str, Face]]:
        for block in (b for row in rows for b in row.blocks):
            for setting, width in product(block.settings, self._widths(block.face)):
                text = "".join(in_setting(w.text, setting) for w in self.texts(block))
                yield block, text, self.face(block.face, width, setting == "small-capitals")

    def _row(self, row: Row, size: float, width_mm: float) -> list[Choice]:
        if len(row.blocks) == 1:
            return self._block(row.lead, size, width_mm, row.index)
        options = [self._block(b, size, width_mm, row.index) for b in row.blocks]
        found: list[Choice] = []
        for parts in product(*options):
            sets = tuple(made for part in parts for made in part.payload[row.index])
            cost = sum(part.cost for part in parts)
            if not self._side_by_side(sets, width_mm):
                sets, cost = self._one_below_another(sets), cost + costs.SPLIT_ROW
            found.append(Choice(height_of(sets), cost, {row.index: sets}))
        return pareto(found)

    def _side_by_side(self, sets: tuple[SetBlock, ...], width_mm: float) -> bool:
        """Whether the blocks of a row can share one line, each a single line itself."""
        if any(len(made.lines) > 1 for made in sets):
            return False
        gaps = max(ROW_GAP_MM, *map(self._beside_mm, sets)) * (len(sets) - 1)
        return sum(made.lines[0].width_mm for made in sets) + gaps <= width_mm

    def _one_below_another(self, sets: tuple[SetBlock, ...]) -> tuple[SetBlock, ...]:
        """Blocks of a row too wide for one line, each on a baseline of its own."""
        dropped = [sets[0]]
        for made in sets[1:]:
            above = dropped[-1]
            depth = above.descent_mm + above.leading_mm * (len(above.lines) - 1)
            step = depth + SPLIT_GAP * self.plan.unit_mm + made.ascent_mm
            dropped.append(replace(made, drop_mm=above.drop_mm + step))
        return tuple(dropped)

    # -- one block ---------------------------------------------------------------------------------

    def texts(self, block: Block) -> tuple[Wording, ...]:
        """The block's words in each language."""
        if block.element == "guest" and "guest" in self.words:
            return (Wording(NEUTRAL, _GUEST_SAMPLE),)
        found = self.words.get(block.element, ())
        if not block.text:
            return found
        made = (Wording(w.language, rendered(block.text, self.words, w.language)) for w in found)
        return tuple(w for w in made if w.text)

    def _bold_enough(self, block: Block) -> Block:
        """The block in the layout's bold face where a region wants its element bold."""
        if not self.floors.of(block.element).bold or BOLD_ROLE not in self.layout.faces:
            return block
        if self.face(block.face, self._widths(block.face)[0]).weight >= LEAST_BOLD:
            return block
        return replace(block, face=BOLD_ROLE)

    def _block(self, block: Block, size: float, width_mm: float, index: int) -> list[Choice]:
        found: list[Choice] = []
        for (rank, setting), narrow in product(enumerate(block.settings), self._widths(block.face)):
            face = self.face(block.face, narrow, setting == "small-capitals")
            for paragraphs, arranging in self._paragraphs(block, setting):
                text = "".join(p.text for p in paragraphs)
                if size < self._least_pt(block, text, face) - 1e-9:
                    continue
                made = self._set(block, paragraphs, face, narrow, setting, size, width_mm)
                if made is None or _hangs(block, paragraphs, made):
                    continue
                cost = arranging + rank * costs.SETTING + costs.NARROW * (100 - narrow) / 25
                cost += costs.LINE * (len(made.lines) - 1)
                cost += self._advice(block, text, face, size)
                if setting == "capitals" and len(text) > costs.LONG_TEXT:
                    cost += costs.CAPITALS_LONG
                found.append(Choice(made.height_mm, cost, {index: (made,)}))
        return pareto(found)

    def _paragraphs(self, block: Block, setting: str) -> list[tuple[tuple[Paragraph, ...], float]]:
        """The ways to arrange the languages of a block, each with its cost."""
        lead = self._lead(block, setting)
        segments = [
            Segment(in_setting(w.text, setting), block.element, w.language, block.face)
            for w in self.texts(block)
        ]
        side_by_side = (Paragraph(joined(segments, block.join), lead),)
        if len(segments) == 1 or not block.stack:
            return [(side_by_side, 0.0)]
        stacked = tuple(
            Paragraph((segment,), () if number else lead) for number, segment in enumerate(segments)
        )
        return [(side_by_side, 0.0), (stacked, costs.STACKED)]

    def _lead(self, block: Block, setting: str) -> tuple[Segment, ...]:
        """The words that open a paragraph in a firmer face, a colon after them."""
        found = self.words.get(block.run_in, ()) if block.run_in else ()
        if not found:
            return ()
        face = block.run_in_face or block.face
        segments = [
            Segment(in_setting(w.text, setting), block.run_in, w.language, face) for w in found
        ]
        return (*joined(segments, " / "), Segment(": ", "separator", NEUTRAL, face))

    def _set(
        self,
        block: Block,
        paragraphs: tuple[Paragraph, ...],
        face: Face,
        narrow: int,
        setting: str,
        size: float,
        width_mm: float,
    ) -> SetBlock | None:
        """The block at one size, or None where it takes too many lines or does not fit."""
        lines: list[SetLine] = []
        for paragraph in paragraphs:
            made = self._broken(block, paragraph, face, narrow, size, width_mm)
            if made is None:
                return None
            lines += made
        leading = size * block.leading / PT_PER_MM
        block_set = SetBlock(block, tuple(lines), size, narrow, setting, leading_mm=leading)
        free = self._clear_mm(block, face, size)
        ascent = self._ink(block_set, lines[0])[1] + free
        descent = -self._ink(block_set, lines[-1])[0] + free
        height = ascent + descent + leading * (len(lines) - 1)
        return replace(block_set, ascent_mm=ascent, descent_mm=descent, height_mm=height)

    def _broken(
        self,
        block: Block,
        paragraph: Paragraph,
        face: Face,
        narrow: int,
        size: float,
        width_mm: float,
    ) -> list[SetLine] | None:
        """The paragraph's lines, its lead in front of the first; None where it cannot be set."""
        lead_mm = sum(
            shape(self.segment_face(s, narrow), s.text).advance_mm(size, block.tracking_em)
            for s in paragraph.lead
        )
        if lead_mm > width_mm:
            return None
        lines = break_lines(
            paragraph.text,
            face,
            size,
            lambda number: width_mm - lead_mm if number == 0 else width_mm,
            tracking_em=block.tracking_em,
            names=block.element == "ingredients",
            heading=block.element in HEADINGS,
            most=block.lines,
            language=paragraph.body[0].language,
        )
        if lines is None:
            return None
        made: list[SetLine] = []
        for number, line in enumerate(lines):
            segments = part_of(paragraph.body, line.start, line.end)
            if line.text.endswith(SOFT_HYPHEN):
                last = segments[-1]
                segments = (*segments[:-1], replace(last, text=last.text + SOFT_HYPHEN))
            lead = () if number else paragraph.lead
            made.append(SetLine((*lead, *segments), line.width_mm + (0.0 if number else lead_mm)))
        return made

    def _ink(self, made: SetBlock, line: SetLine) -> tuple[float, float]:
        """Lowest and highest ink of a line against its baseline, in millimetres."""
        low, high = 0.0, 0.0
        for segment in line.segments:
            ink = self.segment_face(segment, made.width, made.small_caps).ink_em(segment.text)
            if ink is not None:
                low, high = min(low, ink[0]), max(high, ink[1])
        scale = made.size_pt / PT_PER_MM
        return low * scale, high * scale

    # -- faces and floors --------------------------------------------------------------------------

    def _widths(self, role: str) -> tuple[int, ...]:
        return self.layout.faces[role].widths

    def face(self, role: str, width: int, small_caps: bool = False) -> Face:
        """The face of a role at a width, remembered for the drawing."""
        face = load_face_of(self.layout.faces[role], width, small_caps)
        self.faces[face.name] = face
        return face

    def segment_face(self, segment: Segment, width: int, small_caps: bool = False) -> Face:
        """The face of a segment at the width its role has nearest to the block's."""
        nearest = min(self._widths(segment.face), key=lambda w: abs(w - width))
        return self.face(segment.face, nearest, small_caps)

    def _least_pt(self, block: Block, text: str, face: Face) -> float:
        """The smallest size at which every legal floor of the block's element holds."""
        floors = (f for f in self.floors.of(block.element).heights if f.legal)
        return max((_size_for(floor, text, face) for floor in floors), default=0.0)

    def _clear_mm(self, block: Block, face: Face, size_pt: float) -> float:
        """The free space that a region wants above and below the block's element."""
        floor = self.floors.of(block.element)
        letter = (face.capital_em or 0.0) * size_pt / PT_PER_MM
        stated = [float(mm) for side, mm in floor.clear_mm if side in {"above", "below"}]
        return max([float(floor.clear_letter_heights) * letter, *stated], default=0.0)

    def _beside_mm(self, made: SetBlock) -> float:
        """The free space that a region wants at the sides of a set block's element."""
        floor = self.floors.of(made.block.element)
        face = self.face(made.block.face, made.width, made.small_caps)
        n_width = (face.n_width_em or 0.0) * made.size_pt / PT_PER_MM
        stated = [float(mm) for side, mm in floor.clear_mm if side == "beside"]
        return max([float(floor.clear_n_widths) * n_width, *stated], default=0.0)

    def _advice(self, block: Block, text: str, face: Face, size_pt: float) -> float:
        floors = (f for f in self.floors.of(block.element).heights if not f.legal)
        wanted = max((_size_for(floor, text, face) for floor in floors), default=0.0)
        return costs.UNDER_ADVICE * max(0.0, wanted / size_pt - 1)


def _size_for(floor: HeightFloor, text: str, face: Face) -> float:
    """The size in points at which the letter the floor measures is just tall enough."""
    capitals = face.capital_em if all_capitals(text) else face.small_o_em
    letter = {
        Measure.FIGURE: face.figure_em(text),
        Measure.SMALL_O: face.small_o_em,
        Measure.CAPITAL: face.capital_em,
        Measure.CAPITAL_OR_SMALL_O: capitals,
    }[floor.measure]
    return (float(floor.least_mm) + LETTER_SPARE_MM) * PT_PER_MM / letter if letter else 0.0


def _hangs(block: Block, paragraphs: Sequence[Paragraph], made: SetBlock) -> bool:
    """Languages side by side that run over a line, where they may stand one above the other."""
    several = any(segment.element == "separator" for p in paragraphs for segment in p.body)
    return several and block.stack and len(made.lines) > 1


def _summed(options: Sequence[Sequence[Choice]]) -> list[Choice]:
    """Every way to take one choice of each, heights and costs added, the beaten dropped."""
    total = [Choice(0.0, 0.0, {})]
    for choices in options:
        total = pareto(
            Choice(a.height_mm + b.height_mm, a.cost + b.cost, {**a.payload, **b.payload})
            for a in total
            for b in choices
        )
    return total
