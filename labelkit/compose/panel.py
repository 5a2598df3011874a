"""One panel: the copyfitter's picks put in their places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from labelkit.compose import costs
from labelkit.compose.art import (
    art_box,
    border,
    fixed_art,
    ground,
    placed_logo,
    placed_ornament,
    rule,
)
from labelkit.compose.choices import Choices, line_counts, line_widths, picked
from labelkit.compose.fitting import Fit, Fitting, described
from labelkit.compose.logo import Logo
from labelkit.compose.parts import Row, SetArt, SetBlock, SetLine, Sets, part_of
from labelkit.compose.room import Place, Room
from labelkit.compose.runs import GuestPlace, aligned_shift, draft_mark, make_run, shifted
from labelkit.compose.scale import scaled
from labelkit.compose.ways import HEADINGS, LISTS, Ways
from labelkit.errors import FitError
from labelkit.fields import Wordings
from labelkit.quantity import PT_PER_MM
from labelkit.rules.floors import Floors
from labelkit.runs import SOFT_HYPHEN, Ornament, Panel, Picture, Run
from labelkit.spec.label import Trim
from labelkit.spec.layout import ZONES, Block, Layout, PanelLayout
from labelkit.typeset.breaking import break_ways
from labelkit.typeset.faces import Face
from labelkit.typeset.fit import Choice, fit
from labelkit.typeset.outline import Outline

FOOT_EXTRA_MM = 0.3
"""Margins look even when the foot is a little wider than the head (book practice, no source)."""
OPTICAL_CENTRE = 0.46
"""Share of the free height above a block that is meant to look centred (likewise)."""
GAP_SCALES = tuple(round(1.0 - 0.05 * n, 2) for n in range(13))
GUEST_SMALLEST = 0.7
"""A long guest's name may be set this much smaller than the layout's least size."""
WIDEST_GAP_EM = 2 / 3
"""A justified block with a wider word space is ranged left instead."""
CURVED_GUESS = 0.85
"""Share of its extent that a curved shape is first thought to offer."""
MOST_ROUNDS = 24
SHIFT_STEP_MM = 0.2
PLACE_ROUNDING_MM = 1e-6
WAYS_OUT = (
    "a larger trim",
    "fewer optional words (leave_out)",
    "a layout with a narrower face",
    "the ingredient list on a tag or card (ingredients_on), where the region allows it",
)


@dataclass(frozen=True)
class Composed:
    """A panel, the faces its runs name, how it was fitted, and where a guest's own name goes."""

    panel: Panel
    faces: Mapping[str, Face]
    guest: GuestPlace | None = None
    fit: Fit = field(default_factory=lambda: Fit((), 1.0))

    def with_draft_mark(self, languages: Sequence[str]) -> Composed:
        """The same panel with a mark across it."""
        run, face = draft_mark(self.panel, languages)
        panel = replace(self.panel, runs=(*self.panel.runs, run))
        return replace(self, panel=panel, faces={**self.faces, face.name: face})


def compose(
    name: str,
    layout: Layout,
    words: Wordings,
    floors: Floors,
    trim: Trim,
    colour: str | None = None,
    background: str | None = None,
    logo: Logo | None = None,
    bleed_mm: float = 0.0,
) -> Composed:
    """The placed runs of panel ``name``; FitError with the ways out when nothing legal fits.

    ``background`` is what shows through clear stock; a ground that the layout prints is left off
    there. ``bleed_mm`` is how far art runs over the trim.
    """
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    plan = scaled(layout.panel(name), layout.drawn_for_mm, outline, words, floors)
    if background is not None:
        plan = replace(plan, background=None)
    ways = Ways(name, layout, plan, words, floors)
    composer = _Composer(
        name, plan, Choices(ways, logo), outline, colour or layout.colour, bleed_mm
    )
    composed = composer.composed()
    seen = background or plan.background
    return replace(composed, panel=replace(composed.panel, background=seen))


@dataclass(frozen=True)
class _Fitted:
    """Rows picked, placed and broken into lines."""

    rows: list[Row]
    picked: Mapping[int, Sets]
    tops: Mapping[int, float]
    """Top of each row's ink and free space, from the foot of the trim."""
    lines: Mapping[tuple[int, int], tuple[SetLine, ...]]
    """Of each block, by row and place in the row."""
    gaps: float
    cost: float
    split: frozenset[str] = frozenset()
    """The rows that were broken up."""


@dataclass(frozen=True)
class _Composer:
    name: str
    plan: PanelLayout
    choices: Choices
    outline: Outline
    colour: str
    bleed_mm: float

    @property
    def place(self) -> Place:
        straight = Place(self.outline, self.plan.margin_mm, FOOT_EXTRA_MM).straight
        clear = self.plan.keep_clear_mm if straight else (0.0, 0.0, 0.0, 0.0)
        return Place(self.outline, self.plan.margin_mm, FOOT_EXTRA_MM, clear)

    # -- what is on the panel ----------------------------------------------------------------------

    def composed(self) -> Composed:
        """The panel with all its blocks, or without optional ones the rest gains much by."""
        blocks = [b for b in self.plan.blocks if self.outline.shape in b.shapes]
        best, error = self._tried(blocks)
        left_out: list[str] = []
        optional = [b for b in blocks if b.optional and self._present(b)]
        for block in sorted(optional, key=lambda b: bool(b.element)):
            price = costs.WORDS_LEFT_OUT if block.element else costs.ORNAMENT_LEFT_OUT
            if best is not None and best.cost <= price:
                continue
            fewer = [b for b in blocks if b is not block]
            other, _ = self._tried(fewer)
            if other is not None and (best is None or other.cost + price < best.cost):
                best, blocks = replace(other, cost=other.cost + price), fewer
                left_out.append(block.element or block.ornament or block.picture)
        if best is None:
            assert error is not None
            raise error
        return self._drawn(best, tuple(left_out))

    def _present(self, block: Block) -> bool:
        return not block.element or bool(self.choices.ways.texts(block))

    def _tried(self, blocks: Sequence[Block]) -> tuple[_Fitted | None, FitError | None]:
        """The blocks fitted; rows that are too wide for one line, or cramp the rest, broken up."""
        best, error = self._tried_in_rows(blocks, frozenset())
        for row in dict.fromkeys(block.row for block in blocks if block.row):
            if best is not None and best.cost <= costs.ROW_BROKEN_UP:
                break
            split = (best.split if best else frozenset()) | {row}
            other, second = self._tried_in_rows(blocks, split)
            if other is not None and (best is None or other.cost < best.cost):
                best = other
            error = error or second
        return best, error

    def _tried_in_rows(
        self, blocks: Sequence[Block], split: frozenset[str]
    ) -> tuple[_Fitted | None, FitError | None]:
        """The blocks fitted with these rows broken up, and others that are too wide for a line."""
        while True:
            rows = self.choices.rows(self._aligned(blocks, split), split)
            try:
                fitted = self._fitted(rows)
            except _TooWide as error:
                together = {r.lead.row for r in error.rows if len(r.blocks) > 1}
                if not together:
                    return None, error.refusal
                split |= together
            except FitError as error:
                return None, error
            else:
                cost = fitted.cost + costs.ROW_BROKEN_UP * len(split)
                return replace(fitted, cost=cost, split=split), None

    def _aligned(self, blocks: Sequence[Block], split: frozenset[str]) -> list[Block]:
        """Everything centred in curved shapes; blocks of broken rows ranged as the panel's text."""
        if not self.place.straight:
            return [replace(b, align="centre") for b in blocks]
        main = next((b.align for b in blocks if b.element and not b.row), "left")
        return [replace(b, align=main) if b.row and b.row in split else b for b in blocks]

    # -- fitting -----------------------------------------------------------------------------------

    def _fitted(self, rows: list[Row]) -> _Fitted:
        """Fits, places, and fits again where the shape leaves a row less room than was thought.

        In straight-sided shapes the first round settles it. In curved ones rows are pushed from
        head and foot to where they fit, the height that costs is taken off, and so on.
        """
        place = self.place
        share = 1.0 if place.straight else CURVED_GUESS
        rooms = {row.index: Room(place.widest_mm * share) for row in rows}
        available = place.height_mm * share
        narrower = 1.0
        for _ in range(MOST_ROUNDS):
            sets, gaps, cost = self._pick(rows, rooms, available)
            tops, excess = self._tops(rows, sets, gaps)
            if excess > PLACE_ROUNDING_MM:
                available -= max(excess, SHIFT_STEP_MM)
                rooms = self._rooms(rows, tops)
                continue
            lines = self._lines(rows, sets, tops)
            if lines is not None:
                return _Fitted(rows, sets, tops, lines, gaps, cost)
            rooms = self._rooms(rows, tops, narrower)
            narrower *= 0.985  # so that positions that chase each other come to rest
        raise self._refusal(f"the text does not settle in the {self.outline.shape} shape")

    def _rooms(
        self, rows: Sequence[Row], tops: Mapping[int, float], narrower: float = 1.0
    ) -> dict[int, Room]:
        rooms: dict[int, Room] = {}
        for row in rows:
            room = Room.below(self.place, tops[row.index])
            rooms[row.index] = room if narrower == 1.0 else _narrowed(room, narrower)
        return rooms

    def _pick(
        self, rows: Sequence[Row], rooms: Mapping[int, Room], available_mm: float
    ) -> tuple[dict[int, Sets], float, float]:
        """The least disliked picks, how far the gaps are closed for them, and the cost."""
        groups: list[list[Choice]] = []
        for members in self.choices.groups(rows):
            choices = self.choices.of_group(members, rooms)
            if not choices and members[0].lead.element:
                choices = self.choices.of_group(members, rooms, hyphenate=True)
            if not choices:
                raise _TooWide(members, self._refusal(self._too_wide(members)))
            groups.append(choices)
        whole = sum(self._gap(row, above) for above, row in pairwise(rows))
        spaces = [
            Choice(whole * scale, costs.TIGHT * (1 - scale) ** 2, None) for scale in GAP_SCALES
        ]
        fitted = fit([*groups, spaces], available_mm)
        if fitted.picks is None:
            raise self._refusal(
                f"at the smallest legal sizes the text is {fitted.shortage_mm:.1f} mm too tall"
                f" for the {available_mm:.1f} mm there are"
            )
        gaps = fitted.picks[-1].height_mm / whole if whole else 1.0
        return picked(fitted.picks[:-1]), gaps, fitted.cost

    def _gap(self, row: Row, above: Row) -> float:
        """The space before a row, as the layout likes it; none where the law keeps more clear."""
        clear = any(self._keeps_clear(b) for r in (row, above) for b in r.blocks)
        return 0.0 if clear else row.lead.above * self.plan.unit_mm

    def _keeps_clear(self, block: Block) -> bool:
        if not block.element:
            return False
        way = self.choices.block_ways(block)[0]
        return bool(way.clear_em or way.clear_mm)

    # -- placing -----------------------------------------------------------------------------------

    def _tops(
        self, rows: Sequence[Row], sets: Mapping[int, Sets], gaps: float
    ) -> tuple[dict[int, float], float]:
        """Top of every row from the foot of the trim, and by how much they are too high for it."""
        place = self.place
        zones = {zone: [row for row in rows if row.lead.zone == zone] for zone in ZONES}
        steps = {zone: self._steps(rows, zones[zone], sets, gaps) for zone in ZONES}
        heights = {
            zone: steps[zone][-1][1] + self._height(zones[zone][-1], sets) if zones[zone] else 0.0
            for zone in ZONES
        }
        leading = {zone: self._before(rows, zones[zone], gaps) for zone in ZONES}
        head = place.top_mm - self._pushed(steps["head"], sets, place.top_mm, -1)
        lowest = place.foot_mm + heights["foot"]
        foot = lowest + self._pushed(steps["foot"], sets, lowest, 1)
        middle_top = head - heights["head"] - leading["middle"]
        middle_foot = foot + leading["foot"]
        free = middle_top - middle_foot - heights["middle"]
        starts = {
            "head": head,
            "middle": middle_top - max(free, 0.0) * OPTICAL_CENTRE,
            "foot": foot,
        }
        tops = {row.index: starts[zone] - down for zone in ZONES for row, down in steps[zone]}
        return tops, -free

    def _steps(
        self, rows: Sequence[Row], zone: Sequence[Row], sets: Mapping[int, Sets], gaps: float
    ) -> list[tuple[Row, float]]:
        """How far below the zone's top each of its rows begins."""
        found: list[tuple[Row, float]] = []
        down = 0.0
        for number, row in enumerate(zone):
            down += self._before(rows, [row], gaps) if number else 0.0
            found.append((row, down))
            down += self._height(row, sets)
        return found

    def _before(self, rows: Sequence[Row], zone: Sequence[Row], gaps: float) -> float:
        """The gap before the first row of a zone, zero where it is the panel's first."""
        if not zone or zone[0].first:
            return 0.0
        return self._gap(zone[0], rows[zone[0].index - 1]) * gaps

    def _height(self, row: Row, sets: Mapping[int, Sets]) -> float:
        return row.height_mm(sets[row.index])

    def _pushed(
        self, steps: Sequence[tuple[Row, float]], sets: Mapping[int, Sets], top: float, way: int
    ) -> float:
        """How far a zone is moved inwards (up or down) until the shape is wide enough for it."""
        if self.place.straight or not steps:
            return 0.0
        moved = 0.0
        while moved < self.place.height_mm / 2:
            if all(self._fits(row, sets[row.index], top + way * moved - d) for row, d in steps):
                return moved
            moved += SHIFT_STEP_MM
        return moved

    def _fits(self, row: Row, sets: Sets, top: float) -> bool:
        room = Room.below(self.place, top - row.pads_mm(sets)[0])
        if isinstance(sets[0], SetArt):
            return sets[0].width_mm <= room.width(0.0, sets[0].height_mm) + PLACE_ROUNDING_MM
        blocks = _blocks(sets)
        if len(blocks) > 1:
            return self.choices.row_width_mm(blocks) <= room.width(0.0, row.ink_mm(sets))
        counts = line_counts(blocks[0].way, blocks[0].size_pt, room)
        return counts is not None and all(
            n <= most for n, most in zip(counts, blocks[0].counts, strict=True)
        )

    # -- lines -------------------------------------------------------------------------------------

    def _lines(
        self, rows: Sequence[Row], sets: Mapping[int, Sets], tops: Mapping[int, float]
    ) -> dict[tuple[int, int], tuple[SetLine, ...]] | None:
        """Every block broken into its lines where it stands; None where one does not fit there."""
        found: dict[tuple[int, int], tuple[SetLine, ...]] = {}
        for row in rows:
            made = sets[row.index]
            top = tops[row.index] - row.pads_mm(made)[0]
            room = Room.below(self.place, top)
            if isinstance(made[0], SetArt):
                if made[0].width_mm > room.width(0.0, made[0].height_mm) + PLACE_ROUNDING_MM:
                    return None
                continue
            blocks = _blocks(made)
            if len(blocks) > 1:
                width = room.width(0.0, row.ink_mm(blocks))
                if self.choices.row_width_mm(blocks) > width + PLACE_ROUNDING_MM:
                    return None
                room = Room(width)
            for number, block in enumerate(blocks):
                lines = _broken(block, room)
                if lines is None:
                    return None
                found[row.index, number] = lines
        return found

    # -- drawing -----------------------------------------------------------------------------------

    def _drawn(self, fitted: _Fitted, left_out: tuple[str, ...]) -> Composed:
        runs: list[Run] = []
        art, pictures = list(self._behind()), list[Picture]()
        guest: GuestPlace | None = None
        for row in fitted.rows:
            sets = fitted.picked[row.index]
            top = fitted.tops[row.index] - row.pads_mm(sets)[0]
            first = sets[0]
            if isinstance(first, SetArt):
                ornaments, placed = self._art(first, top)
                art += ornaments
                pictures += placed
                continue
            blocks = _blocks(sets)
            baseline = top - max(made.ascent_mm for made in blocks)
            starts = self._row_sides(row, blocks, top)
            for number, (made, (left, right)) in enumerate(zip(blocks, starts, strict=True)):
                self._check_part(made, baseline)
                if made.block.element == "guest":
                    guest = self._guest(made, baseline, left, right)
                else:
                    lines = fitted.lines[row.index, number]
                    runs += self._runs(made, lines, baseline, (left, right))
        elements = [
            Fitting.of(made)
            for row in fitted.rows
            for made in fitted.picked[row.index]
            if isinstance(made, SetBlock)
        ]
        ways = self.choices.ways
        report = Fit(tuple(elements), fitted.gaps, left_out, tuple(ways.replaced.values()))
        panel = Panel(
            name=self.name,
            width_mm=self.outline.width_mm,
            height_mm=self.outline.height_mm,
            shape=self.outline.shape,
            corner_mm=self.outline.corner_mm,
            runs=tuple(runs),
            ornaments=tuple(art),
            pictures=tuple(pictures),
            safe_mm=self.plan.margin_mm,
            note=described(report),
        )
        used = {run.face for run in runs}
        faces = {name: face for name, face in ways.faces.items() if name in used}
        if guest is not None:
            faces |= {face.name: face for face in (guest.face, *guest.stand_ins)}
        return Composed(panel, faces, guest, report)

    def _behind(self) -> Iterator[Ornament]:
        """What stands behind the text: ground, borders and fixed art."""
        shape, ornaments = self.outline.shape, self.choices.ways.layout.ornaments
        if self.plan.background:
            yield ground(self.outline, self.plan.background, self.bleed_mm)
        for line in self.plan.borders:
            if shape in line.shapes:
                yield border(line, self.outline, self.colour)
        for art in self.plan.art:
            if shape in art.shapes:
                spec, colour = ornaments[art.ornament], art.colour or self.colour
                yield from fixed_art(art, spec, self.outline, colour, self.bleed_mm)

    def _art(self, made: SetArt, top: float) -> tuple[list[Ornament], list[Picture]]:
        block = made.block
        colour = block.colour or self.colour
        left, right = self.place.sides(top - made.height_mm, top)
        if block.rule:
            return [rule(block, top, left, right, colour)], []
        box = art_box(made.width_mm, made.height_mm, top, block.align, left, right)
        if block.picture and self.choices.logo is not None:
            return placed_logo(self.choices.logo, box, colour)
        return [
            placed_ornament(self.choices.ways.layout.ornaments[block.ornament], box, colour)
        ], []

    def _row_sides(
        self, row: Row, blocks: Sequence[SetBlock], top: float
    ) -> list[tuple[float, float]]:
        """Between which sides each block of a row stands.

        Where all are centred they stand as one group, each in its own width.
        """
        left, right = self.place.sides(top - row.ink_mm(blocks), top)
        if len(blocks) == 1 or any(made.block.align != "centre" for made in blocks):
            return [(left, right)] * len(blocks)
        widths = [made.way.width_mm(made.size_pt) for made in blocks]
        x = (left + right - self.choices.row_width_mm(blocks)) / 2
        gap = (self.choices.row_width_mm(blocks) - sum(widths)) / (len(blocks) - 1)
        sides: list[tuple[float, float]] = []
        for width in widths:
            sides.append((x, x + width))
            x += width + gap
        return sides

    def _runs(
        self, made: SetBlock, lines: Sequence[SetLine], baseline: float, row: tuple[float, float]
    ) -> Iterator[Run]:
        justified = _is_justified(made, lines)
        for number, line in enumerate(lines):
            y = baseline - made.drop_mm(number)
            left, right = row
            if len(lines) > 1 and not self.place.straight:
                left, right = self.place.sides(y - made.descent_mm, y + made.ascent_mm)
            yield from self._line(made, line, y, (left, right), line.gap_mm if justified else 0.0)

    def _line(
        self, made: SetBlock, line: SetLine, y: float, sides: tuple[float, float], gap_mm: float
    ) -> list[Run]:
        runs: list[Run] = []
        x = 0.0
        for number, segment in enumerate(line.segments):
            face = self.choices.ways.segment_face(segment, made.way.width, made.way.small_caps)
            stretched = gap_mm if number >= line.lead else 0.0
            for text in _words(segment.text) if stretched else (segment.text,):
                runs.append(
                    make_run(
                        text, segment.element, segment.language, face, made.size_pt, x, y,
                        made.way.tracking_em, made.block.colour or self.colour,
                    )
                )  # fmt: skip
                x += runs[-1].advance_mm + (stretched if text.endswith(" ") else 0.0)
        ink = [run.ink for run in runs if run.text.strip()] or [run.ink for run in runs]
        first, last = min(box.x0_mm for box in ink), max(box.x1_mm for box in ink)
        move = aligned_shift(made.block.align, first, last, *sides)
        return [shifted(run, move) for run in runs]

    def _guest(self, made: SetBlock, baseline: float, left: float, right: float) -> GuestPlace:
        least = self.plan.sizes[made.block.size].least_pt
        return GuestPlace(
            face=made.way.face,
            baseline_mm=baseline,
            left_mm=left,
            right_mm=right,
            align=made.block.align,
            most_pt=made.size_pt,
            least_pt=min(least, made.size_pt) * GUEST_SMALLEST,
            tracking_em=made.way.tracking_em,
            colour=made.block.colour or self.colour,
            stand_ins=self.choices.ways.stand_ins(made.block, made.way.width),
        )

    # -- refusals ----------------------------------------------------------------------------------

    def _check_part(self, made: SetBlock, baseline: float) -> None:
        """FitError where an element stands outside the part of the panel the law keeps it to."""
        element = made.block.element
        part = self.choices.ways.floors.of(element).panel_part
        if part is None:
            return
        low, high = (float(share) * self.outline.height_mm for share in part)
        top, foot = baseline + made.ascent_mm, baseline - made.drop_mm(made.lines - 1)
        if top > high + PLACE_ROUNDING_MM or foot - made.descent_mm < low - PLACE_ROUNDING_MM:
            raise self._refusal(
                f"{element} would reach from {foot - made.descent_mm:.1f} mm to {top:.1f} mm above"
                f" the foot; it must stay between {low:.1f} mm and {high:.1f} mm"
            )

    def _too_wide(self, rows: Iterable[Row]) -> str:
        names = ", ".join(row.name for row in rows)
        return f"{names}: no legal size fits lines {self.place.widest_mm:.1f} mm wide"

    def _refusal(self, reason: str) -> FitError:
        return FitError(self.name, reason, WAYS_OUT)


class _TooWide(Exception):
    """Rows that fit no line, and the refusal to give if they cannot be broken up."""

    def __init__(self, rows: Sequence[Row], refusal: FitError) -> None:
        super().__init__(str(refusal))
        self.rows, self.refusal = rows, refusal


def _blocks(sets: Sequence[SetBlock | SetArt]) -> list[SetBlock]:
    return [made for made in sets if isinstance(made, SetBlock)]


def _narrowed(room: Room, share: float) -> Room:
    return Room(room.widest_mm * share, lambda upper, lower: room.width(upper, lower) * share)


def _broken(made: SetBlock, room: Room) -> tuple[SetLine, ...] | None:
    """A block's lines, broken as well as their number allows; None where they do not fit."""
    way, block = made.way, made.block
    lines: list[SetLine] = []
    for number, paragraph in enumerate(way.paragraphs):
        ways = break_ways(
            paragraph.text,
            way.faces[number],
            made.size_pt,
            line_widths(way, made.size_pt, made.counts[:number], room),
            tracking_em=way.tracking_em,
            names=block.element in LISTS,
            heading=block.element in HEADINGS,
            justified=block.align == "justified",
            most=made.counts[number],
            language=paragraph.body[0].language,
        )
        *_, best = (None, *ways)
        if best is None:
            return None
        for count, line in enumerate(best.lines):
            segments = part_of(paragraph.body, line.start, line.end)
            if line.text.endswith(SOFT_HYPHEN):
                last = segments[-1]
                segments = (*segments[:-1], replace(last, text=last.text + SOFT_HYPHEN))
            lead = () if count else paragraph.lead
            lines.append(SetLine((*lead, *segments), len(lead), line.gap_mm))
    return tuple(lines)


def _is_justified(made: SetBlock, lines: Sequence[SetLine]) -> bool:
    """Whether the block is set justified: only where no word space grows too wide."""
    if made.block.align != "justified":
        return False
    em_mm = made.size_pt / PT_PER_MM
    space = made.way.face.advance_em(" ") * em_mm
    return max((line.gap_mm for line in lines), default=0.0) + space <= WIDEST_GAP_EM * em_mm


def _words(text: str) -> list[str]:
    """A text cut after each word space."""
    parts = text.split(" ")
    return [f"{part} " for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])
