"""One panel: from the layout and the words to placed runs, ornaments and pictures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import field, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN
from functools import partial
from itertools import groupby
from pathlib import Path

from labelkit.common.errors import FitError, NoRoomError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, Term, round_to_tenths
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import costs
from labelkit.compose.arrangements import BESIDE_GAP_MM, Arrangements
from labelkit.compose.art import (
    find_art_box,
    make_band,
    make_border,
    make_ground,
    make_rule_line,
    place_fixed_art,
    place_logo,
    place_ornament,
)
from labelkit.compose.choices import Choices
from labelkit.compose.element_words import Wordings
from labelkit.compose.fitting import ElementFit, PanelFit, describe_fit
from labelkit.compose.ladder import tighten_layout
from labelkit.compose.lines import break_block_paragraph, tears_address
from labelkit.compose.openjar import has_jar_room, make_open_jars
from labelkit.compose.options import (
    Options,
    choose_row_mark,
    measure_row_gap_mm,
    measure_row_width_mm,
)
from labelkit.compose.ornament.made import draw_ornaments
from labelkit.compose.ornament.pattern import fill_pattern
from labelkit.compose.ornament.surround import draw_words_along, grow_surround
from labelkit.compose.parts import (
    BlockRow,
    Hyphenation,
    SetArt,
    SetBlock,
    SetLine,
    cut_segments,
    list_set_blocks,
)
from labelkit.compose.room import PLACE_ROUNDING_MM, Room, TextArea
from labelkit.compose.runs import (
    GuestPlace,
    find_aligned_shift,
    make_draft_mark,
    make_run,
    shift_run,
)
from labelkit.compose.scale import find_edge_clearance_mm, keep_room_for_art, scale_layout
from labelkit.compose.search import WAYS_OUT, FittedRows, PanelSearch
from labelkit.compose.stack import RowStack
from labelkit.model.outline import Outline
from labelkit.model.runs import NEUTRAL, Box, Ornament, Panel, Picture, Run
from labelkit.order.label import Trim
from labelkit.order.layout import READABLE_MM, Block, Layout, PanelLayout, TighterStep
from labelkit.order.logo import Logo
from labelkit.order.ornament import ROLES
from labelkit.rules.floors import Floors
from labelkit.rules.kinds.setting import mix_colours
from labelkit.typeset.faces import Face

FOOT_EXTRA_MM = 0.3
"""Margins look even when the foot is a little wider than the head (book practice, no source)."""
GUEST_SMALLEST = 0.7
"""A long guest's name may be set this much smaller than the layout's least size."""
GUEST_SMALLER = 1.2
"""How much smaller it is than the names of the event, where its layout's least size allows."""
CROWDED = 0.65
"""Share of the spaces that a layout likes between rows, below which they look squeezed."""
ACCENTED = frozenset({"names", "initials", "numerals", "guest"})
"""Elements that no law reads, set in the accent."""
_GOES_ON = ("first", "joint")
"""Parts of joined names that another block follows."""
DESCENT_EM = 0.3
WORTH_A_STEP = 1.0
"""What a tighter step has to mend of what is disliked, to be worth it."""
WIDEST_GAP_EM = 2 / 3
"""A justified block with a wider word space is ranged left instead."""


@dataclass(frozen=True)
class ComposedPanel:
    """A panel, the faces its runs name, how it was fitted, and where a guest's own name goes."""

    panel: Panel
    faces: Mapping[str, Face]
    guest: GuestPlace | None = None
    fit: PanelFit = field(default_factory=lambda: PanelFit((), 1.0))
    lettered: tuple[str, ...] = ()
    """Elements whose words are drawn as outlines, and so are in no run."""

    def with_draft_mark(self, languages: Sequence[str]) -> ComposedPanel:
        """The same panel with a mark across it."""
        run, face = make_draft_mark(self.panel, languages)
        panel = replace(self.panel, runs=(*self.panel.runs, run))
        return replace(self, panel=panel, faces={**self.faces, face.name: face})


def compose_panel(
    name: str,
    layout: Layout,
    words: Wordings,
    floors: Floors,
    trim: Trim,
    colour: str | None = None,
    background: str | None = None,
    logo: Logo | None = None,
    bleed_mm: float = 0.0,
    guests: Sequence[str] = (),
    fonts: tuple[Path, ...] = (),
    capitals: bool = True,
    accent: str | None = None,
    seed: int = 0,
    paper: str | None = None,
) -> ComposedPanel:
    """The placed runs of panel ``name``; FitError with the ways out when nothing legal fits.

    ``guests`` are the names that will be set on it, for which faces are sought; ``fonts`` the
    maker's own font files, for what the layout's faces cannot write; ``capitals`` whether names of
    people may be set in capitals.

    ``background`` is what shows through clear stock; a ground that the layout prints is left off
    there. ``bleed_mm`` is how far art runs over the trim. ``accent`` is the ink of names, ornament
    and frame, ``seed`` what makes plants this order's own, ``paper`` the colour of a stock that is
    not white.
    """
    layout = draw_ornaments(layout, words, seed)
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    plan = scale_layout(layout.panel(name), layout.drawn_for_mm, outline, words, floors)
    if background is not None:
        plan = replace(plan, background=None)
    edge_mm = find_edge_clearance_mm(words, floors)
    plans = [plan, *(tighten_layout(plan, layout, step, edge_mm) for step in layout.steps)]
    plans = [keep_room_for_art(one, outline) for one in plans]

    def composed_on(step: int, hyphens: Hyphenation) -> ComposedPanel:
        plan = plans[step]
        ways = Arrangements(name, layout, plan, words, floors, fonts=fonts, capitals=capitals)
        choices = Choices(Options(ways), logo)
        place = TextArea.within(outline, plan.margin_mm, FOOT_EXTRA_MM, plan.keep_clear_mm)
        search = PanelSearch(name, place, choices, RowStack(place, choices, plan.unit_mm), hyphens)
        fitted = search.best(_list_blocks(plan, choices, trim))
        inks = dict(zip(ROLES, resolve_inks(layout, colour, accent), strict=True))
        drawer = _Drawer(name, plan, choices, place, inks, bleed_mm, tuple(guests), seed)
        made = drawer.drawn(fitted, step)
        bare = background or paper
        tint = plan.background
        seen = mix_colours(tint, bare) if tint and bare else tint or bare
        return replace(made, panel=replace(made.panel, background=seen, stock_colour=bare))

    ladder = _Ladder(layout.steps, _find_least_names_pt(plan))
    try:
        return ladder.compose(partial(composed_on, hyphens=Hyphenation.LONG_TEXT))
    except NoRoomError:  # words of display text are broken only where no step holds them whole
        return ladder.compose(partial(composed_on, hyphens=Hyphenation.ANYWHERE))


def _list_blocks(plan: PanelLayout, choices: Choices, trim: Trim) -> list[tuple[int, Block]]:
    """The blocks for a trim, each with its number, without rules and marks that part nothing."""
    shorter_mm = min(trim.width_mm, trim.height_mm)
    found = [(n, b) for n, b in enumerate(plan.blocks) if b.is_for(trim.shape, shorter_mm)]
    said = [(n, b) for n, b in found if b.element and choices.shown(b)]
    above_foot = any(block.zone != "foot" for _, block in said)

    def parts(number: int, block: Block) -> bool:
        if block.element or not (block.rule or block.optional):
            return True
        if block.zone == "middle" and not block.rule:
            return True
        return above_foot if block.zone == "head" else any(n < number for n, _ in said)

    return [(n, b) for n, b in found if parts(n, b)]


def resolve_inks(layout: Layout, colour: str | None, accent: str | None) -> tuple[str, str]:
    """The ink of what the law reads, and that of names, ornament and frame.

    Who asks for one ink and names no accent gets all in that one.
    """
    text = colour or layout.colour
    return text, accent or colour or layout.accent or text


def _find_least_names_pt(plan: PanelLayout) -> float:
    """The smallest size in which a layout likes the names; 0 where it has none."""
    return min(
        (plan.sizes[b.size].least_pt for b in plan.blocks if b.element == "names"), default=0
    )


@dataclass(frozen=True)
class _Ladder:
    """The steps from what a layout likes down to what only the law holds up."""

    steps: Sequence[TighterStep]
    least_names_pt: float
    """Smaller names are worth looking for a step that holds larger ones."""

    def compose(self, composed_on: Callable[[int], ComposedPanel]) -> ComposedPanel:
        """The panel on the first step that holds it, or on one further down that looks better.

        What the last does not hold none does: it is tried before those between, and refused as it
        stands there.
        """
        last = len(self.steps)
        with suppress(NoRoomError):
            return self._compose_better(composed_on(0), composed_on)
        tightest = composed_on(last)
        for step in range(1, last):
            with suppress(NoRoomError):
                return self._compose_better(composed_on(step), composed_on)
        return tightest

    def _compose_better(
        self, made: ComposedPanel, composed_on: Callable[[int], ComposedPanel]
    ) -> ComposedPanel:
        """The panel as it is; where rows crowd, names shrink, an address is torn or something is
        left out, on a tighter step that mends it and leaves letters readable: a little smaller they
        look better than lines that all but touch.
        """
        for step in range(made.fit.step + 1, len(self.steps) + 1):
            readable = self.steps[step - 1].letters_mm >= READABLE_MM
            if not (readable and self._is_squeezed(made.fit)):
                break
            with suppress(NoRoomError):
                tighter = composed_on(step)
                more = len(made.fit.left_out) - len(tighter.fit.left_out)
                gain = self._rate_squeeze(made.fit) - self._rate_squeeze(tighter.fit)
                if more > 0 or (more == 0 and gain >= WORTH_A_STEP):
                    made = tighter
        return made

    def _rate_squeeze(self, fit: PanelFit) -> float:
        """What a reader dislikes about closed gaps, a torn address, and about names below what the
        layout likes."""
        small = max(0.0, self.least_names_pt / fit.names_pt - 1)
        closed = max(0.0, 1 - fit.gaps)
        torn = costs.TORN if fit.torn else 0.0
        return torn + costs.TIGHT * closed * closed + costs.SMALLER * costs.FOCAL * small

    def _is_squeezed(self, fit: PanelFit) -> bool:
        small = fit.names_pt < self.least_names_pt
        return bool(fit.left_out) or fit.torn or fit.gaps < CROWDED or small


@dataclass(frozen=True)
class _Drawer:
    """Turns a fitted panel into runs, ornaments and pictures."""

    name: str
    plan: PanelLayout
    choices: Choices
    place: TextArea
    inks: Mapping[str, str]
    """What the law reads is in one, names, ornament and frame in the other."""
    bleed_mm: float
    guests: tuple[str, ...] = ()
    seed: int = 0

    @property
    def outline(self) -> Outline:
        return self.place.outline

    def ink_of(self, colour: str | None, element: str = "") -> str:
        """The colour of what a layout gives a colour, one of the inks, or nothing."""
        usual = "text" if element and element not in ACCENTED else "accent"
        return self.inks.get(colour or usual, colour or "")

    def drawn(self, fitted: FittedRows, step: int) -> ComposedPanel:
        """The panel, and how it was fitted."""
        runs: list[Run] = []
        art, pictures = list(self._behind()), list[Picture]()
        guest: GuestPlace | None = None
        left_out, torn = list(fitted.left_out), False
        for row in fitted.rows:
            sets = fitted.picked[row.index]
            top = fitted.tops[row.index] - row.pads_mm(sets)[0]
            first = sets[0]
            if isinstance(first, SetArt):
                ornaments, placed = self._art(first, top)
                art += ornaments
                pictures += placed
                continue
            blocks = list_set_blocks(sets)
            baseline = top - max(made.ascent_mm for made in blocks)
            starts = self._row_sides(row, blocks, top)
            room = Room.below(self.place, top).without(self.choices.ways.beside_mm(row.lead))
            for number, (made, (left, right)) in enumerate(zip(blocks, starts, strict=True)):
                self._check_part(made, baseline)
                if number:
                    runs += self._mark(blocks[number - 1], made, starts[number - 1][1], baseline)
                if made.block.element == "guest":
                    guest = self._guest(made, baseline, left, right, runs)
                else:
                    lines, tears = self._broken(made, room)
                    torn = torn or tears
                    set_runs = list(self._runs(made, lines, baseline, (left, right)))
                    flanking = self._beside(made.block, set_runs)
                    art += flanking
                    if made.block.beside and not flanking:
                        left_out.append(made.block.beside)
                    runs += set_runs
        elements = [
            ElementFit.of(made)
            for row in fitted.rows
            for made in fitted.picked[row.index]
            if isinstance(made, SetBlock)
        ]
        ways = self.choices.ways
        report = PanelFit(
            tuple(elements),
            fitted.gaps,
            tuple(left_out),
            tuple(ways.replaced.values()),
            step,
            len(self.choices.ways.layout.steps),
            torn,
        )
        panel = Panel(
            name=self.name,
            width_mm=self.outline.width_mm,
            height_mm=self.outline.height_mm,
            shape=self.outline.shape,
            corner_mm=self.outline.corner_mm,
            runs=tuple(runs),
            ornaments=(*self._around(runs, guest), *art, *make_open_jars(runs)),
            pictures=tuple(pictures),
            safe_mm=self.plan.margin_mm,
            note=describe_fit(report),
        )
        used = {run.face for run in runs}
        faces = {name: face for name, face in ways.faces.items() if name in used}
        if guest is not None:
            faces |= {face.name: face for face in (guest.face, *guest.stand_ins)}
        return ComposedPanel(panel, faces, guest, report, self._list_lettered())

    def _behind(self) -> Iterator[Ornament]:
        """What stands behind the text: ground, borders and fixed art."""
        shape, ornaments = self.outline.shape, self.choices.ways.layout.ornaments
        if self.plan.background:
            yield make_ground(self.outline, self.plan.background, self.bleed_mm)
        for line in self.plan.borders:
            if shape in line.shapes:
                ink = self.ink_of(line.colour)
                yield make_border(replace(line, colour=None), self.outline, ink)
        for art in self.plan.art:
            if shape in art.shapes:
                spec, colour = ornaments[art.ornament], self.ink_of(art.colour)
                yield from place_fixed_art(art, spec, self.outline, colour, self.bleed_mm)

    def _list_lettered(self) -> tuple[str, ...]:
        """The elements that this panel's design draws as outlines."""
        shape, plan = self.outline.shape, self.plan
        shown = {block.ornament for block in plan.blocks if shape in block.shapes}
        shown |= {art.ornament for art in plan.art if shape in art.shapes}
        shown |= {one.letters for one in plan.surrounds if shape in one.shapes}
        specs = (self.choices.ways.layout.ornaments[name] for name in shown - {""})
        return tuple(sorted({spec.lettering.element for spec in specs if spec.lettering}))

    def _around(self, runs: Sequence[Run], guest: GuestPlace | None) -> Iterator[Ornament]:
        """What grows along the trim and over the ground, where nothing is written."""
        shape, ways = self.outline.shape, self.choices.ways
        taken = [run.ink for run in runs if run.text.strip()]
        if guest is not None:
            high = guest.most_pt / PT_PER_MM
            low = guest.baseline_mm - high * DESCENT_EM
            taken.append(Box(guest.left_mm, low, guest.right_mm, guest.baseline_mm + high))
        for pattern in self.plan.patterns:
            if shape in pattern.shapes:
                spec, ink = ways.layout.ornaments[pattern.ornament], self.ink_of(pattern.colour)
                plain = replace(pattern, colour=None)
                yield from fill_pattern(plain, spec, self.outline, ink, self.bleed_mm, taken)
        for surround in self.plan.surrounds:
            if shape not in surround.shapes:
                continue
            ink, bare = self.ink_of(surround.colour), replace(surround, colour=None)
            if surround.letters:
                yield from draw_words_along(bare, self.outline, ink, ways.layout, ways.words)
            else:
                yield from grow_surround(bare, self.outline, ink, taken, self.seed)

    def _art(self, made: SetArt, top: float) -> tuple[list[Ornament], list[Picture]]:
        block = made.block
        colour = self.ink_of(block.colour)
        left, right = self.place.sides(top - made.height_mm, top)
        if block.rule:
            return [make_rule_line(block, top, left, right, colour)], []
        box = find_art_box(made.width_mm, made.height_mm, top, block.align, left, right)
        if block.picture and self.choices.logo is not None:
            return place_logo(self.choices.logo, box, self.ink_of(block.colour, block.picture))
        spec = self.choices.ways.layout.ornaments[block.ornament]
        if spec.lettering is None or not spec.lettering.band:
            return [place_ornament(spec, box, colour)], []
        band = box
        if block.zone == "head":  # it reaches up to the trim; what is cut out stands in its middle
            band = replace(box, y1_mm=self.outline.height_mm)
            up = (band.y1_mm - box.y1_mm) / 2
            box = replace(box, y0_mm=box.y0_mm + up, y1_mm=box.y1_mm + up)
        letters = place_ornament(spec, box, colour)
        return [make_band(letters, band, self.outline, self.bleed_mm)], []

    def _beside(self, block: Block, runs: Sequence[Run]) -> list[Ornament]:
        """The ornaments at either side of a block, level with the middle of its ink and no taller;
        none where a curved shape leaves one no room."""
        inks = [run.ink for run in runs if run.text.strip()]
        if not block.beside or not inks:
            return []
        low, high = min(ink.y0_mm for ink in inks), max(ink.y1_mm for ink in inks)
        height = min(block.beside_height_mm, high - low)
        width = self.choices.ways.beside_width_mm(block) * height / block.beside_height_mm
        foot = (low + high - height) / 2
        left = min(ink.x0_mm for ink in inks) - BESIDE_GAP_MM - width
        right = max(ink.x1_mm for ink in inks) + BESIDE_GAP_MM
        boxes = [Box(x, foot, x + width, foot + height) for x in (left, right)]
        if not all(self.outline.contains(box, self.plan.margin_mm) for box in boxes):
            return []
        spec = self.choices.ways.layout.ornaments[block.beside]
        colour = self.ink_of(block.colour)
        return [
            place_ornament(spec, box, colour, flip_x=number == 0)
            for number, box in enumerate(boxes)
        ]

    def _row_sides(
        self, row: BlockRow, blocks: Sequence[SetBlock], top: float
    ) -> list[tuple[float, float]]:
        """Between which sides each block of a row stands.

        Neighbours that are ranged alike stand as one group, each in its own width.
        """
        left, right = self.place.sides(top - row.ink_mm(blocks), top)
        sides: list[tuple[float, float]] = []
        for align, members in groupby(blocks, key=lambda made: made.block.align):
            group = list(members)
            if len(group) == 1:
                sides.append((left, right))
                continue
            spare = right - left - measure_row_width_mm(group)
            x = left + {"centre": spare / 2, "right": spare}.get(align, 0.0)
            for before, made in zip([None, *group], group, strict=False):
                x += measure_row_gap_mm(before, made) if before else 0.0
                sides.append((x, x + made.width_mm))
                x += made.width_mm
        return sides

    def _mark(self, left: SetBlock, right: SetBlock, x: float, y: float) -> Iterator[Run]:
        """The mark between two blocks of a row that stand as one group, if there is one."""
        text = choose_row_mark(left, right)
        if text:
            yield make_run(
                text, "separator", NEUTRAL, left.way.face, left.size_pt, x, y,
                left.way.tracking_em, self.ink_of(left.block.colour, left.block.element),
            )  # fmt: skip

    def _runs(
        self, made: SetBlock, lines: Sequence[SetLine], baseline: float, row: tuple[float, float]
    ) -> Iterator[Run]:
        justified = _is_justified(made, lines)
        for number, line in enumerate(lines):
            y = baseline - made.drop_mm(number)
            left, right = row
            if len(lines) > 1 and not self.place.straight:
                left, right = self.place.sides(y - made.descent_mm, y + made.ascent_mm)
            if number == len(lines) - 1 and made.block.part in _GOES_ON:
                line = _add_space(line)
            yield from self._line(made, line, y, (left, right), line.gap_mm if justified else 0.0)

    def _line(
        self, made: SetBlock, line: SetLine, y: float, sides: tuple[float, float], gap_mm: float
    ) -> list[Run]:
        runs: list[Run] = []
        x = 0.0
        for number, segment in enumerate(line.segments):
            face = self.choices.ways.segment_face(segment, made.way.width, made.way.small_caps)
            stretched = gap_mm if number >= line.lead else 0.0
            for text in _split_words(segment.text) if stretched else (segment.text,):
                runs.append(
                    make_run(
                        text, segment.element, segment.language, face, made.size_pt, x, y,
                        made.way.tracking_em, self.ink_of(made.block.colour, made.block.element),
                    )
                )  # fmt: skip
                x += runs[-1].advance_mm + (stretched if text.endswith(" ") else 0.0)
        ink = [run.ink for run in runs if run.text.strip()] or [run.ink for run in runs]
        first, last = min(box.x0_mm for box in ink), max(box.x1_mm for box in ink)
        if has_jar_room(runs[0]):
            first = runs[0].x_mm  # a jar stands there
        move = find_aligned_shift(made.block.align, first, last, *sides)
        return [shift_run(run, move) for run in runs]

    def _guest(
        self, made: SetBlock, baseline: float, left: float, right: float, above: Iterable[Run]
    ) -> GuestPlace:
        """The place of a guest's own name: smaller than the names of the event, if that can be."""
        least = self.plan.sizes[made.block.size].least_pt
        names = min((run.size_pt for run in above if run.element == "names"), default=math.inf)
        most = min(made.size_pt, max(names / GUEST_SMALLER, least))
        return GuestPlace(
            face=made.way.face,
            baseline_mm=baseline,
            left_mm=left,
            right_mm=right,
            align=made.block.align,
            most_pt=most,
            least_pt=min(least, most) * GUEST_SMALLEST,
            tracking_em=made.way.tracking_em,
            colour=self.ink_of(made.block.colour, made.block.element),
            stand_ins=self.choices.ways.stand_ins(made.block, made.way.width, self.guests),
        )

    def _check_part(self, made: SetBlock, baseline: float) -> None:
        """FitError where an element stands outside the part of the panel the law keeps it to."""
        element = made.block.element
        part = self.choices.ways.floors.of(element).panel_part
        if part is None:
            return
        low, high = (float(share) * self.outline.height_mm for share in part)
        top, foot = baseline + made.ascent_mm, baseline - made.drop_mm(made.lines - 1)
        if top > high + PLACE_ROUNDING_MM or foot - made.descent_mm < low - PLACE_ROUNDING_MM:
            foot -= made.descent_mm
            low_foot, high_top = foot < low, top > high
            heights = {
                "foot": round_to_tenths(foot, ROUND_FLOOR if low_foot else ROUND_HALF_EVEN),
                "top": round_to_tenths(top, ROUND_CEILING if high_top else ROUND_HALF_EVEN),
                "low": round_to_tenths(low, ROUND_CEILING if low_foot else ROUND_HALF_EVEN),
                "high": round_to_tenths(high, ROUND_FLOOR if high_top else ROUND_HALF_EVEN),
            }
            reason = Said(
                "{part} would reach from {foot} mm to {top} mm above the foot;"
                " it must stay between {low} mm and {high} mm",
                part=Term("part", element),
                **heights,
            )
            raise FitError(self.name, reason, WAYS_OUT)

    def _broken(self, made: SetBlock, room: Room) -> tuple[tuple[SetLine, ...], bool]:
        """A block's lines, broken as well as their number allows; and whether one of an address
        ends inside a part of it."""
        lines: list[SetLine] = []
        torn = False
        justified = made.block.align == "justified"
        last = len(made.way.paragraphs) - 1
        for number, paragraph in enumerate(made.way.paragraphs):
            *_, best = (None, *break_block_paragraph(made, number, room, justified))
            if best is None:
                part = Term("part", made.block.element)
                reason = Said("{part}: its lines do not fit the shape", part=part)
                raise FitError(self.name, reason, WAYS_OUT)
            ends = [line.end for line in best.lines[:-1]]
            torn = torn or (made.way.address and tears_address(paragraph.text, ends))
            for count, line in enumerate(best.lines):
                segments = cut_segments(paragraph.body, line.start, line.end)
                tail = line.text[line.end - line.start :]
                if made.way.address and count + 1 == len(best.lines) and number < last:
                    tail = " "  # or two lines of an address would be read as one word
                *others, final = segments
                segments = (*others, replace(final, text=final.text + tail))
                lead = () if count else paragraph.lead
                lines.append(SetLine((*lead, *segments), len(lead), line.gap_mm))
        return tuple(lines), torn


def _add_space(line: SetLine) -> SetLine:
    """The same line with a space at its end: what goes on in another block is read as words."""
    *before, last = line.segments
    return replace(line, segments=(*before, replace(last, text=f"{last.text.rstrip()} ")))


def _is_justified(made: SetBlock, lines: Sequence[SetLine]) -> bool:
    """Whether the block is set justified: only where no word space grows too wide."""
    if made.block.align != "justified":
        return False
    em_mm = made.size_pt / PT_PER_MM
    space = made.way.face.advance_em(" ") * em_mm
    return max((line.gap_mm for line in lines), default=0.0) + space <= WIDEST_GAP_EM * em_mm


def _split_words(text: str) -> list[str]:
    """A text cut after each word space."""
    parts = text.split(" ")
    return [f"{part} " for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])
