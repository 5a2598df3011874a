"""From a layout, the words and the legal floors to the placed runs of one panel.

The composer enumerates, for every block, the ways it may be set (languages on one line or one
above the other, as written or in capitals, narrower face) at every size of its size class, drops
those under a legal floor, and lets the copyfitter pick the least disliked set that fits the trim.
A panel is therefore legal by construction; one that cannot be is refused with the ways out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

from labelkit.errors import FaceError, FitError
from labelkit.fields import Wording, Wordings
from labelkit.quantity import PT_PER_MM
from labelkit.rules.floors import ElementFloor, Floors, HeightFloor, Measure
from labelkit.runs import NEUTRAL, Box, Ornament, Panel, Run
from labelkit.spec.layout import Art, Block, Border, FaceSpec, Layout, OrnamentSpec, PanelLayout
from labelkit.typeset.breaking import break_lines
from labelkit.typeset.faces import Face, FaceRequest, load_face, load_face_file
from labelkit.typeset.fit import Choice, fit, pareto
from labelkit.typeset.outline import Outline
from labelkit.typeset.shape import shape
from labelkit.spec.label import Trim

FOOT_EXTRA_MM = 0.3
"""A margin looks even when the foot is a little wider than the head (craft of book pages)."""
OPTICAL_CENTRE = 0.46
"""Share of the free height that goes above a block meant to look centred."""
GAP_SCALES = (1.0, 0.85, 0.7, 0.55, 0.4)
SIZE_STEP_PT = 0.25
LETTER_SPARE_MM = 0.004
"""How much taller than its floor a letter is set, so that rounding never brings it below."""
ROW_GAP_MM = 2.0

# What a reader dislikes, in one currency. One unit is a change one has to look for.
COST_SMALLER = 12.0
"""Per halving of the size that the layout would like best."""
COST_DISPLAY = 2.0
"""Factor on the former for the names: they are what is read first."""
COST_LINE = 0.6
COST_STACKED = 0.5
COST_SETTING = 0.7
"""Per step down the block's own list of settings."""
COST_CAPITALS_LONG = 3.0
"""Capitals in a text of more than LONG_TEXT letters: slow to read."""
LONG_TEXT = 90
COST_NARROW = 2.5
"""Per quarter taken off the width of the face."""
COST_TIGHT = 6.0
"""For closing the gaps wholly; in proportion."""
COST_UNDER_ADVICE = 14.0
"""Per halving below the legibility advice, where no law sets a height."""

HEADINGS = frozenset({"names", "scent", "identity", "thanks", "date", "place"})
"""Elements whose last line is never a lone word."""
RULE_MM = 0.2
GUEST_SMALLEST = 0.7
"""A long guest's name may be set this much smaller than the layout's least size."""
DRAFT_COLOUR = "#c8102e"
WAYS_OUT = (
    "a larger trim",
    "fewer optional words (leave_out)",
    "a layout with a narrower face",
    "the ingredient list on a tag or card (ingredients_on), where the region allows it",
)


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


@dataclass(frozen=True, slots=True)
class SetLine:
    """One line: its segments (already in their setting) and its natural width."""

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

    @property
    def small_caps(self) -> bool:
        return self.setting == "small-capitals"


@dataclass(frozen=True, slots=True)
class _Row:
    """Blocks that share a baseline, or a single block."""

    index: int
    blocks: tuple[Block, ...]

    @property
    def lead(self) -> Block:
        return self.blocks[0]


@dataclass(frozen=True)
class Composed:
    """A panel, the faces its runs name, and where a guest's own name goes."""

    panel: Panel
    faces: Mapping[str, Face]
    guest: GuestPlace | None = None


@dataclass(frozen=True)
class GuestPlace:
    """The line that is kept for a guest's name."""

    face: Face
    baseline_mm: float
    left_mm: float
    right_mm: float
    align: str
    most_pt: float
    least_pt: float
    tracking_em: float
    colour: str


def compose(
    name: str,
    layout: Layout,
    words: Wordings,
    floors: Floors,
    trim: Trim,
    bleed_mm: float = 0.0,
    colour: str | None = None,
    background: str | None = None,
) -> Composed:
    """The runs of panel ``name``; FitError with the ways out when nothing legal fits."""
    return _Composer(name, layout, words, floors, trim, bleed_mm, colour, background).composed()


class _Composer:
    def __init__(
        self,
        name: str,
        layout: Layout,
        words: Wordings,
        floors: Floors,
        trim: Trim,
        bleed_mm: float,
        colour: str | None,
        background: str | None,
    ) -> None:
        self.name, self.layout, self.words, self.floors = name, layout, words, floors
        self.trim, self.bleed_mm, self.background = trim, bleed_mm, background
        self.colour = colour or layout.colour
        self.plan: PanelLayout = layout.panel(name)
        self.faces: dict[str, Face] = {}
        self.outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
        self.rows = self._rows()

    # -- what there is to set ----------------------------------------------------------------------

    def _rows(self) -> list[_Row]:
        rows: list[_Row] = []
        by_name: dict[tuple[str, str], int] = {}
        for block in self.plan.blocks:
            if block.element and not self._texts(block):
                continue
            key = (block.zone, block.row)
            if block.row and key in by_name:
                index = by_name[key]
                rows[index] = _Row(index, (*rows[index].blocks, block))
            else:
                by_name[key] = len(rows)
                rows.append(_Row(len(rows), (block,)))
        # An ornament or rule that ends up next to nothing still belongs to the design; one that
        # would stand alone does not make a label.
        return rows

    def _texts(self, block: Block) -> tuple[Wording, ...]:
        found = self.words.get(block.element, ())
        if not block.text:
            return found
        return tuple(replace(w, text=render_template(block.text, self.words, w.language))
                     for w in found)

    def _paragraphs(self, block: Block, setting: str) -> list[tuple[tuple[Paragraph, ...], float]]:
        """The ways to arrange the languages of a block, each with its cost."""
        texts = [replace(w, text=_in_setting(w.text, setting)) for w in self._texts(block)]
        lead = self._lead(block, setting)
        segments = [Segment(w.text, block.element, w.language, block.face) for w in texts]
        joined = (Paragraph(_joined(segments, block.join), lead),)
        if len(segments) == 1 or not block.stack:
            return [(joined, 0.0)]
        stacked = tuple(
            Paragraph((s,), lead if i == 0 else ()) for i, s in enumerate(segments)
        )
        return [(joined, 0.0), (stacked, COST_STACKED)]

    def _lead(self, block: Block, setting: str) -> tuple[Segment, ...]:
        if not block.run_in:
            return ()
        face = block.run_in_face or block.face
        found = self.words.get(block.run_in, ())
        segments = [
            Segment(_in_setting(w.text, setting), block.run_in, w.language, face) for w in found
        ]
        if not segments:
            return ()
        return (*_joined(segments, " / "), Segment(": ", block.run_in, NEUTRAL, face))

    # -- faces and floors --------------------------------------------------------------------------

    def _face(self, role: str, width: int) -> Face:
        spec = self.layout.faces[role]
        face = load_face_of(spec, width)
        self.faces[face.name] = face
        return face

    def _least_pt(self, block: Block, text: str, face: Face) -> float:
        """The smallest size at which every legal floor of the block's element holds."""
        return max(
            (
                _size_for(floor, text, face)
                for floor in self.floors.of(block.element).heights
                if floor.legal
            ),
            default=0.0,
        )

    def _advice_cost(self, block: Block, text: str, face: Face, size_pt: float) -> float:
        cost = 0.0
        for floor in self.floors.of(block.element).heights:
            if not floor.legal:
                wanted = _size_for(floor, text, face)
                cost += COST_UNDER_ADVICE * max(0.0, wanted / size_pt - 1)
        return cost

    # -- choices -----------------------------------------------------------------------------------

    def composed(self) -> Composed:
        widths = {row.index: self._inner_width(None) for row in self.rows}
        for _ in range(8):
            picked, gap = self._pick(widths)
            tops = self._tops(picked, gap)
            seen = self._widths_at(picked, tops)
            if all(widths[i] <= seen[i] + 0.01 for i in widths):
                break
            widths = {i: min(widths[i], seen[i]) for i in widths}
        return self._placed(picked, tops, gap)

    def _inner_width(self, span: tuple[float, float] | None) -> float:
        """Usable width between two heights of the panel, or the widest there is."""
        if span is None:
            return self.trim.width_mm - 2 * self.plan.margin_mm
        chord = self.outline.width_at(span[0], span[1], self.plan.margin_mm)
        return chord[1] - chord[0] if chord else 0.0

    def _available(self) -> float:
        return self.trim.height_mm - 2 * self.plan.margin_mm - FOOT_EXTRA_MM

    def _pick(self, widths: Mapping[int, float]) -> tuple[dict[int, tuple[SetBlock, ...]], float]:
        groups = [self._class_choices(rows, widths) for rows in self._classes()]
        names = [", ".join(sorted({_row_name(r) for r in rows})) for rows in self._classes()]
        for name, group in zip(names, groups, strict=True):
            if not group:
                raise self._too_wide(name)
        best: tuple[float, dict[int, tuple[SetBlock, ...]], float] | None = None
        short = float("inf")
        for scale in GAP_SCALES:
            gaps = self._gaps(scale)
            result = fit(groups, self._available() - gaps)
            short = min(short, result.shortage_mm)
            if result.picks is None:
                continue
            cost = result.cost + COST_TIGHT * (1 - scale)
            if best is None or cost < best[0]:
                merged: dict[int, tuple[SetBlock, ...]] = {}
                for choice in result.picks:
                    merged |= choice.payload
                best = (cost, merged, scale)
        if best is None:
            raise self._too_tall(short)
        return best[1], best[2]

    def _classes(self) -> list[list[_Row]]:
        """Rows that must agree on a size together; ornaments and rules each for themselves."""
        classes: dict[str, list[_Row]] = {}
        for row in self.rows:
            key = f"size {row.lead.size}" if row.lead.element else f"row {row.index}"
            classes.setdefault(key, []).append(row)
        return list(classes.values())

    def _class_choices(self, rows: list[_Row], widths: Mapping[int, float]) -> list[Choice]:
        lead = rows[0].lead
        if lead.rule:
            payload = {rows[0].index: (SetBlock(lead),)}
            return [Choice(0.0, 0.0, payload)]
        if lead.ornament:
            return self._ornament_choices(rows[0])
        spec = self.plan.sizes[lead.size]
        found: list[Choice] = []
        for size in self._sizes_of(rows, spec.least_pt, spec.most_pt):
            weight = COST_DISPLAY if lead.face != "text" and len(rows) == 1 else 1.0
            base = weight * COST_SMALLER * (spec.most_pt / size - 1)
            options = [self._row_choices(row, size, widths[row.index]) for row in rows]
            if all(options):
                found += [replace(c, cost=c.cost + base) for c in _sum(options)]
        return pareto(found)

    def _ornament_choices(self, row: _Row) -> list[Choice]:
        least, most = row.lead.height_mm
        steps = [most - (most - least) * i / 6 for i in range(7)] if most > least else [most]
        return [
            Choice(h, COST_SMALLER * (most / h - 1) * 0.5,
                   {row.index: (SetBlock(row.lead, height_mm=h, ascent_mm=h),)})
            for h in steps
        ]  # fmt: skip

    def _sizes_of(self, rows: list[_Row], least: float, most: float) -> list[float]:
        """The sizes tried: a regular ladder, and each size at which a legal floor just holds."""
        exact: set[float] = set()
        for row in rows:
            for block in row.blocks:
                for setting in block.settings:
                    for width in self.layout.faces[block.face].widths:
                        text = "".join(_in_setting(w.text, setting) for w in self._texts(block))
                        exact.add(self._least_pt(block, text, self._block_face(block, setting, width)))
        ladder = {most}
        size = most
        while size > least:
            size = max(least, size - SIZE_STEP_PT)
            ladder.add(size)
        floors = {s for s in exact if least <= s <= most * 1.6}
        return sorted(ladder | floors, reverse=True)

    def _block_face(self, block: Block, setting: str, width: int) -> Face:
        if setting != "small-capitals":
            return self._face(block.face, width)
        spec = self.layout.faces[block.face]
        face = load_face_of(spec, width, small_caps=True)
        self.faces[face.name] = face
        return face

    def _row_choices(self, row: _Row, size: float, width_mm: float) -> list[Choice]:
        if len(row.blocks) == 1:
            return self._block_choices(row.lead, size, width_mm, row.index)
        options = [
            [c for c in self._block_choices(b, size, width_mm, row.index) if _single_line(c)]
            for b in row.blocks
        ]
        if not all(options):
            return []
        combined: list[Choice] = []
        for parts in _product(options):
            sets = tuple(s for c in parts for s in c.payload[row.index])
            total = sum(s.lines[0].width_mm for s in sets) + ROW_GAP_MM * (len(sets) - 1)
            if total <= width_mm:
                height = max(s.ascent_mm for s in sets) + max(s.descent_mm for s in sets)
                combined.append(Choice(height, sum(c.cost for c in parts), {row.index: sets}))
        return pareto(combined)

    def _block_choices(
        self, block: Block, size: float, width_mm: float, index: int
    ) -> list[Choice]:
        found: list[Choice] = []
        for rank, setting in enumerate(block.settings):
            for narrow in self.layout.faces[block.face].widths:
                face = self._block_face(block, setting, narrow)
                for paragraphs, cost in self._paragraphs(block, setting):
                    text = "".join(s.text for p in paragraphs for s in p.body)
                    if size < self._least_pt(block, text, face) - 1e-9:
                        continue
                    made = self._set(block, paragraphs, face, narrow, setting, size, width_mm)
                    if made is None:
                        continue
                    cost += rank * COST_SETTING + COST_NARROW * (100 - narrow) / 25
                    cost += COST_LINE * (len(made.lines) - 1)
                    cost += self._advice_cost(block, text, face, size)
                    if setting == "capitals" and len(text) > LONG_TEXT:
                        cost += COST_CAPITALS_LONG
                    found.append(Choice(made.height_mm, cost, {index: (made,)}))
        return pareto(found)

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
            made = self._break(block, paragraph, face, narrow, size, width_mm)
            if made is None or len(made) > block.lines:
                return None
            lines += made
        leading = size * block.leading / PT_PER_MM
        made = SetBlock(block, tuple(lines), size, narrow, setting, leading_mm=leading)
        ascent = self._line_ink(made, lines[0])[1]
        descent = -self._line_ink(made, lines[-1])[0]
        height = ascent + descent + leading * (len(lines) - 1)
        return replace(made, ascent_mm=ascent, descent_mm=descent, height_mm=height)

    def _break(
        self, block: Block, paragraph: Paragraph, face: Face, narrow: int, size: float, width: float
    ) -> list[SetLine] | None:
        """The paragraph's lines, its lead in front of the first; None where it cannot be set."""
        text = "".join(s.text for s in paragraph.body)
        lead_mm = sum(self._segment_mm(s, narrow, size, block) for s in paragraph.lead)
        if lead_mm > width:
            return None
        lines = break_lines(
            text,
            face,
            size,
            lambda index: width - lead_mm if index == 0 else width,
            tracking_em=block.tracking_em,
            names=block.element == "ingredients",
            heading=block.element in HEADINGS,
            most=block.lines,
        )
        if lines is None:
            return None
        made: list[SetLine] = []
        position = 0
        for index, line in enumerate(lines):
            segments = _slice(paragraph.body, position, position + len(line.text))
            position += len(line.text)
            extra = paragraph.lead if index == 0 else ()
            made.append(SetLine((*extra, *segments), line.width_mm + (lead_mm if not index else 0)))
        return made

    def _segment_mm(self, segment: Segment, narrow: int, size: float, block: Block) -> float:
        face = self._segment_face(segment, narrow, False)
        return shape(face, segment.text).advance_mm(size, block.tracking_em)

    def _nearest_width(self, role: str, narrow: int) -> int:
        return min(self.layout.faces[role].widths, key=lambda w: abs(w - narrow))

    def _segment_face(self, segment: Segment, narrow: int, small_caps: bool) -> Face:
        narrow = self._nearest_width(segment.face, narrow)
        face = load_face_of(self.layout.faces[segment.face], narrow, small_caps)
        self.faces[face.name] = face
        return face

    def _line_ink(self, made: SetBlock, line: SetLine) -> tuple[float, float]:
        """Lowest and highest ink of a line against its baseline, in millimetres."""
        lows, highs = [0.0], [0.0]
        for segment in line.segments:
            face = self._segment_face(segment, made.width, made.small_caps)
            ink = face.ink_em(segment.text)
            if ink is not None:
                lows.append(ink[0])
                highs.append(ink[1])
        scale = made.size_pt / PT_PER_MM
        return min(lows) * scale, max(highs) * scale

    # -- placing -----------------------------------------------------------------------------------

    def _gaps(self, scale: float) -> float:
        """The space between all rows and zones together, at one tightness."""
        return sum(self._gap_before(i, scale) for i in range(1, len(self.rows)))

    def _gap_before(self, position: int, scale: float) -> float:
        return self.rows[position].lead.above * self.plan.unit_mm * scale

    def _tops(
        self, picked: Mapping[int, tuple[SetBlock, ...]], scale: float
    ) -> dict[int, float]:
        """Top edge of every row, in millimetres from the foot of the trim."""
        zones = {z: [p for p, r in enumerate(self.rows) if r.lead.zone == z] for z in ZONES}
        heights = {z: self._zone_height(zones[z], picked, scale) for z in ZONES}
        head_top = self.trim.height_mm - self.plan.margin_mm
        foot_top = self.plan.margin_mm + FOOT_EXTRA_MM + heights["foot"]
        upper, lower = head_top - heights["head"], foot_top
        free = upper - lower - heights["middle"]
        starts = {
            "head": head_top,
            "middle": upper - free * OPTICAL_CENTRE,
            "foot": foot_top,
        }
        tops: dict[int, float] = {}
        for zone in ZONES:
            y = starts[zone]
            for order, position in enumerate(zones[zone]):
                y -= self._gap_before(position, scale) if order else 0.0
                tops[self.rows[position].index] = y
                y -= _height(picked[self.rows[position].index])
        return tops

    def _zone_height(
        self, positions: list[int], picked: Mapping[int, tuple[SetBlock, ...]], scale: float
    ) -> float:
        heights = sum(_height(picked[self.rows[p].index]) for p in positions)
        return heights + sum(self._gap_before(p, scale) for p in positions[1:])

    def _widths_at(
        self, picked: Mapping[int, tuple[SetBlock, ...]], tops: Mapping[int, float]
    ) -> dict[int, float]:
        return {
            i: self._inner_width((tops[i] - _height(picked[i]), tops[i])) for i in picked
        }

    def _placed(
        self, picked: Mapping[int, tuple[SetBlock, ...]], tops: Mapping[int, float], gap: float
    ) -> Composed:
        runs: list[Run] = []
        ornaments = [*self._borders(), *self._fixed_art()]
        guest: GuestPlace | None = None
        for row in self.rows:
            sets, top = picked[row.index], tops[row.index]
            left, right = self._sides(top - _height(sets), top)
            if row.lead.rule:
                ornaments.append(self._rule(row.lead, top, left, right))
            elif row.lead.ornament:
                ornaments.append(self._ornament(row.lead, sets[0], top, left, right))
            else:
                ascent = max(s.ascent_mm for s in sets)
                for made in sets:
                    if made.block.element == "guest":
                        guest = self._guest_place(made, top - ascent, left, right)
                    else:
                        runs += self._runs(made, top - ascent, left, right)
        panel = Panel(
            name=self.name,
            width_mm=self.trim.width_mm,
            height_mm=self.trim.height_mm,
            shape=self.trim.shape,
            corner_mm=self.trim.corner_mm,
            runs=tuple(runs),
            ornaments=tuple(ornaments),
            safe_mm=self.plan.margin_mm,
            background=self.background,
            note=self._note(picked, gap),
        )
        used = {run.face for run in runs} | ({guest.face.name} if guest else set())
        return Composed(panel, {n: f for n, f in self.faces.items() if n in used}, guest)

    def _sides(self, bottom: float, top: float) -> tuple[float, float]:
        chord = self.outline.width_at(bottom, top, self.plan.margin_mm)
        return chord or (self.plan.margin_mm, self.trim.width_mm - self.plan.margin_mm)

    # -- runs --------------------------------------------------------------------------------------

    def _runs(self, made: SetBlock, baseline: float, left: float, right: float) -> list[Run]:
        runs: list[Run] = []
        for number, line in enumerate(made.lines):
            y = baseline - number * made.leading_mm
            runs += self._line_runs(made, line, y, left, right)
        return runs

    def _line_runs(
        self, made: SetBlock, line: SetLine, y: float, left: float, right: float
    ) -> list[Run]:
        """The runs of one line, its visible ink ranged left, right or centred between the sides."""
        runs: list[Run] = []
        x = 0.0
        for segment in line.segments:
            run = self._run(made, segment, x, y)
            runs.append(run)
            x += run.advance_mm
        ink = [run.ink for run in runs if run.text.strip()]
        first, last = min(b.x0_mm for b in ink), max(b.x1_mm for b in ink)
        shift = {
            "left": left - first,
            "justified": left - first,
            "right": right - last,
            "centre": (left + right - first - last) / 2,
        }[made.block.align]
        return [_shifted(run, shift) for run in runs]

    def _run(self, made: SetBlock, segment: Segment, x: float, y: float) -> Run:
        face = self._segment_face(segment, made.width, made.small_caps)
        return make_run(
            segment.text,
            segment.element,
            segment.language,
            face,
            made.size_pt,
            x,
            y,
            made.block.tracking_em,
            made.block.colour or self.colour,
        )

    def _guest_place(
        self, made: SetBlock, baseline: float, left: float, right: float
    ) -> GuestPlace:
        return GuestPlace(
            face=self._face(made.block.face, made.width),
            baseline_mm=baseline,
            left_mm=left,
            right_mm=right,
            align=made.block.align,
            most_pt=made.size_pt,
            least_pt=self.plan.sizes[made.block.size].least_pt * GUEST_SMALLEST,
            tracking_em=made.block.tracking_em,
            colour=made.block.colour or self.colour,
        )

    # -- art ---------------------------------------------------------------------------------------

    def _rule(self, block: Block, y: float, left: float, right: float) -> Ornament:
        half = (right - left) * block.width_share / 2
        middle = (left + right) / 2
        weight = RULE_MM
        path = f"M{middle - half:.4f} {y:.4f}L{middle + half:.4f} {y:.4f}"
        box = Box(middle - half, y - weight / 2, middle + half, y + weight / 2)
        return Ornament(path, box, block.colour or self.colour, weight)

    def _ornament(
        self, block: Block, made: SetBlock, top: float, left: float, right: float
    ) -> Ornament:
        spec = self.layout.ornaments[block.ornament]
        width = made.height_mm * spec.view[2] / spec.view[3]
        x = {"left": left, "right": right - width}.get(block.align, (left + right - width) / 2)
        box = Box(x, top - made.height_mm, x + width, top)
        return placed_ornament(spec, box, block.colour or self.colour)

    def _fixed_art(self) -> list[Ornament]:
        return [self._art(art) for art in self.plan.art]

    def _art(self, art: Art) -> Ornament:
        spec = self.layout.ornaments[art.ornament]
        width, height = art.width_mm, art.width_mm * spec.view[3] / spec.view[2]
        if "left" in art.anchor:
            x = art.inset_mm
        elif "right" in art.anchor:
            x = self.trim.width_mm - art.inset_mm - width
        else:
            x = (self.trim.width_mm - width) / 2
        if "top" in art.anchor:
            y = self.trim.height_mm - art.inset_mm - height
        elif "bottom" in art.anchor:
            y = art.inset_mm
        else:
            y = (self.trim.height_mm - height) / 2
        box = Box(x, y, x + width, y + height)
        return placed_ornament(spec, box, art.colour or self.colour, art.flip_x, art.flip_y)

    def _borders(self) -> list[Ornament]:
        return [self._border(border) for border in self.plan.borders]

    def _border(self, border: Border) -> Ornament:
        path = self.outline.path(-border.inset_mm)
        box = self.outline_box().inset(border.inset_mm)
        return Ornament(path, box, border.colour or self.colour, border.stroke_mm)

    def outline_box(self) -> Box:
        return Box(0.0, 0.0, self.trim.width_mm, self.trim.height_mm)

    # -- words about it ----------------------------------------------------------------------------

    def _note(self, picked: Mapping[int, tuple[SetBlock, ...]], gap: float) -> str:
        """One line on what the fitter chose, for the proof."""
        parts: dict[str, str] = {}
        for row in self.rows:
            for made in picked[row.index]:
                if not made.block.element:
                    continue
                capitals = ", capitals" if made.setting == "capitals" else ""
                narrow = f", {made.width} % wide" if made.width != 100 else ""
                parts[made.block.element] = f"{made.size_pt:.2f} pt{capitals}{narrow}"
        chosen = "; ".join(f"{element} {how}" for element, how in parts.items())
        return f"{chosen}; gaps at {gap:.0%}"

    def _too_wide(self, names: str) -> FitError:
        return FitError(
            self.name,
            f"{names} cannot be set {self._inner_width(None):.1f} mm wide at a legal size",
            WAYS_OUT,
        )

    def _too_tall(self, short: float) -> FitError:
        reason = f"the text is {short:.1f} mm too tall for {self._available():.1f} mm"
        return FitError(self.name, f"{reason} at the smallest legal sizes", WAYS_OUT)


# -- helpers ---------------------------------------------------------------------------------------


def make_run(
    text: str,
    element: str,
    language: str,
    face: Face,
    size_pt: float,
    x_mm: float,
    baseline_mm: float,
    tracking_em: float,
    colour: str,
) -> Run:
    """A run with its advance, ink and letter heights measured on the face's outlines."""
    shaped = shape(face, text)
    advance = shaped.advance_mm(size_pt, tracking_em)
    blank = Box(x_mm, baseline_mm, x_mm + advance, baseline_mm)
    ink = shaped.ink_mm(size_pt, x_mm, baseline_mm, tracking_em) or blank
    return Run(
        text=text,
        element=element,
        language=language,
        face=face.name,
        weight=face.weight,
        size_pt=size_pt,
        x_mm=x_mm,
        baseline_mm=baseline_mm,
        advance_mm=advance,
        ink=ink,
        letters=face.letters(size_pt, text),
        colour=colour,
        tracking_em=tracking_em,
    )


def guest_runs(place: GuestPlace, name: str) -> tuple[Run, ...]:
    """A guest's own name, fitted on its line without moving anything else.

    Raises FitError when it does not fit at the smallest size, FaceError when the face lacks a
    letter of it.
    """
    missing = place.face.missing(name)
    if missing:
        raise FaceError(f"guest {name!r}: {place.face.name} cannot write {missing!r}")
    run = make_run(
        name, "guest", NEUTRAL, place.face, place.most_pt, 0.0, place.baseline_mm,
        place.tracking_em, place.colour,
    )  # fmt: skip
    room = place.right_mm - place.left_mm
    if run.ink.width_mm > room:
        size = place.most_pt * room / run.ink.width_mm
        if size < place.least_pt:
            raise FitError(
                "front",
                f"guest {name!r} would need {run.ink.width_mm:.1f} mm and has {room:.1f} mm",
                ("shorten the name", "a wider trim", "a layout with a narrower face"),
            )
        run = make_run(
            name, "guest", NEUTRAL, place.face, size, 0.0, place.baseline_mm,
            place.tracking_em, place.colour,
        )  # fmt: skip
    shift = {
        "left": place.left_mm - run.ink.x0_mm,
        "right": place.right_mm - run.ink.x1_mm,
    }.get(place.align, (place.left_mm + place.right_mm - run.ink.x0_mm - run.ink.x1_mm) / 2)
    return (_shifted(run, shift),)


def with_draft_mark(composed: Composed, languages: Sequence[str]) -> Composed:
    """The same panel with a mark across it that nobody can take for a finished label."""
    panel = composed.panel
    face = load_face(FaceRequest("fira-sans", 700))
    text = "DRAFT · ÉBAUCHE" if "fr" in languages else "DRAFT"
    width = shape(face, text).width_em
    size = min(panel.width_mm * 0.86 / width, panel.height_mm * 0.5) * PT_PER_MM
    run = make_run(text, "draft-mark", NEUTRAL, face, size, 0.0, 0.0, 0.0, DRAFT_COLOUR)
    run = _shifted(run, (panel.width_mm - run.ink.x0_mm - run.ink.x1_mm) / 2)
    rise = (panel.height_mm - run.ink.y0_mm - run.ink.y1_mm) / 2
    run = replace(run, baseline_mm=rise, ink=run.ink.shifted(0.0, rise))
    faces = {**composed.faces, face.name: face}
    return replace(composed, panel=replace(panel, runs=(*panel.runs, run)), faces=faces)


@lru_cache(maxsize=128)
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


def placed_ornament(
    spec: OrnamentSpec, box: Box, colour: str, flip_x: bool = False, flip_y: bool = False
) -> Ornament:
    """The ornament's path moved from its view box (y down) into ``box`` (y up, millimetres)."""
    from fontTools.misc.transform import Transform
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    x, y, width, height = spec.view
    sx, sy = box.width_mm / width, box.height_mm / height
    move = Transform(
        -sx if flip_x else sx,
        0,
        0,
        sy if flip_y else -sy,
        (box.x1_mm + x * sx) if flip_x else (box.x0_mm - x * sx),
        (box.y0_mm - y * sy) if flip_y else (box.y1_mm + y * sy),
    )
    pen = SVGPathPen(None, ntos=lambda v: f"{v:.4f}".rstrip("0").rstrip("."))
    parse_path(spec.path, TransformPen(pen, move))
    return Ornament(pen.getCommands(), box, colour, spec.stroke_mm)


def _size_for(floor: HeightFloor, text: str, face: Face) -> float:
    """The size in points at which the letter the floor measures is just tall enough."""
    letter = {
        Measure.FIGURE: face.figure_em(text),
        Measure.SMALL_O: face.small_o_em,
        Measure.CAPITAL: face.capital_em,
        Measure.CAPITAL_OR_SMALL_O: face.capital_em if _all_capitals(text) else face.small_o_em,
    }[floor.measure]
    if not letter:
        return 0.0
    return (float(floor.least_mm) + LETTER_SPARE_MM) * PT_PER_MM / letter


def _all_capitals(text: str) -> bool:
    return text == text.upper() and text != text.lower()


def _in_setting(text: str, setting: str) -> str:
    return text.upper() if setting == "capitals" else text


def _joined(segments: Sequence[Segment], mark: str) -> tuple[Segment, ...]:
    """Segments of several languages on one line, with a mark between them."""
    result: list[Segment] = []
    for segment in segments:
        if result:
            result.append(Segment(mark, "separator", NEUTRAL, segment.face))
        result.append(segment)
    return tuple(result)


def _slice(segments: Iterable[Segment], start: int, stop: int) -> tuple[Segment, ...]:
    """The parts of a paragraph's segments between two letters of its text."""
    found: list[Segment] = []
    position = 0
    for segment in segments:
        low, high = max(start, position), min(stop, position + len(segment.text))
        if low < high:
            found.append(replace(segment, text=segment.text[low - position : high - position]))
        position += len(segment.text)
    return tuple(found)


def _shifted(run: Run, by_mm: float) -> Run:
    return replace(run, x_mm=run.x_mm + by_mm, ink=run.ink.shifted(by_mm, 0.0))


def _height(sets: Iterable[SetBlock]) -> float:
    made = list(sets)
    if len(made) == 1:
        return made[0].height_mm
    return max(s.ascent_mm for s in made) + max(s.descent_mm for s in made)


def _single_line(choice: Choice) -> bool:
    return all(len(s.lines) == 1 for sets in choice.payload.values() for s in sets)


def _row_name(row: _Row) -> str:
    return " and ".join(b.element or b.ornament or "rule" for b in row.blocks)


def _sum(options: Sequence[Sequence[Choice]]) -> list[Choice]:
    """Every way to take one choice of each, heights and costs added, the dominated dropped."""
    total = [Choice(0.0, 0.0, {})]
    for choices in options:
        total = pareto(
            [
                Choice(a.height_mm + b.height_mm, a.cost + b.cost, {**a.payload, **b.payload})
                for a in total
                for b in choices
            ]
        )
    return total
