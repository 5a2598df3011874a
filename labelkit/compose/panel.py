"""One panel: from the layout and the words to placed runs, ornaments and pictures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN
from functools import cache, cached_property, lru_cache, partial
from itertools import groupby
from pathlib import Path
from typing import Any

from labelkit.common.errors import FitError, NoRoomError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, Term, round_to_tenths
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import costs
from labelkit.compose.arrangements import BESIDE_GAP_MM, Arrangements
from labelkit.compose.choices import Choices
from labelkit.compose.drawing import (
    ArtDrawer,
    ArtPlace,
    BesidePlace,
    ComposedPanel,
    FittedPanel,
    PanelText,
)
from labelkit.compose.element_words import Wordings
from labelkit.compose.fitting import ElementFit, PanelFit
from labelkit.compose.ladder import tighten_layout
from labelkit.compose.lines import break_block_paragraph, tears_address
from labelkit.compose.openjar import has_jar_room
from labelkit.compose.options import (
    Options,
    choose_row_mark,
    measure_row_gap_mm,
    measure_row_width_mm,
)
from labelkit.compose.ornament.made import draw_ornaments, show_ornaments
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
from labelkit.compose.runs import GuestPlace, find_aligned_shift, make_run, shift_run
from labelkit.compose.scale import find_edge_clearance_mm, keep_room_for_art, scale_layout
from labelkit.compose.search import WAYS_OUT, FittedRows, PanelSearch
from labelkit.compose.stack import RowStack
from labelkit.model.outline import Outline
from labelkit.model.runs import NEUTRAL, Box, Run
from labelkit.order.label import Trim
from labelkit.order.layout import (
    DESIGNS,
    READABLE_MM,
    Block,
    Layout,
    OrnamentSpec,
    PanelLayout,
    TighterStep,
    put_panel,
)
from labelkit.order.logo import Logo
from labelkit.order.ornament import ROLES
from labelkit.rules.floors import Floors

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
WORTH_A_STEP = 1.0
"""What a tighter step has to mend of what is disliked, to be worth it."""
WIDEST_GAP_EM = 2 / 3
"""A justified block with a wider word space is ranged left instead."""


def compose_panel(
    name: str, layout: Layout, words: Wordings, floors: Floors, trim: Trim, **more: Any
) -> ComposedPanel:
    """The placed runs and the art of panel ``name``, as ``fit_panel`` has it."""
    return fit_panel(name, layout, words, floors, trim, **more).composed


def fit_panel(
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
    *,
    fit_text: FitText | None = None,
) -> FittedPanel:
    """How panel ``name`` is fitted; FitError with the ways out when nothing legal fits.

    ``guests`` are the names that will be set on it, for which faces are sought; ``fonts`` the
    maker's own font files, for what the layout's faces cannot write; ``capitals`` whether names of
    people may be set in capitals.

    ``background`` is what shows through clear stock; a ground that the layout prints is left off
    there. ``bleed_mm`` is how far art runs over the trim. ``accent`` is the ink of names, ornament
    and frame, ``seed`` what makes plants this order's own, ``paper`` the colour of a stock that is
    not white. ``fit_text`` fits the text where it may have been fitted before.
    """
    if background is not None:
        layout = put_panel(layout, name, _leave_off_ground(layout.panel(name)))
    drawn = draw_ornaments(layout, words, seed)
    inks = resolve_inks(layout, colour, accent)
    design = leave_room_for_plants(name, layout, drawn, words, floors, trim)
    step = (fit_text or fit_panel_text)(
        name, design, words, floors, trim, inks, logo, tuple(guests), fonts, capitals
    )
    inked = dict(zip(ROLES, inks, strict=True))
    drawer = ArtDrawer(drawn, words, logo, inked, bleed_mm, seed)
    return FittedPanel(step.fit, lambda: drawer.draw_panel(name, step.text, background or paper))


@lru_cache(maxsize=DESIGNS)
def _leave_off_ground(plan: PanelLayout) -> PanelLayout:
    return replace(plan, background=None)


def leave_room_for_plants(
    name: str, layout: Layout, drawn: Layout, words: Wordings, floors: Floors, trim: Trim
) -> Layout:
    """A layout in which a plant is narrow that has room at every height, or is in no row of text.

    How wide it grew then makes no difference to the text, which is the same for every seed.
    ``drawn`` has every ornament drawn.
    """
    outline = _outline_trim(trim)
    plan = keep_room_for_art(_scale_panel(name, drawn, words, floors, outline), outline)
    place = _find_text_area(plan, outline)
    beside = {block.beside for block in plan.blocks}

    def is_free(one: str, spec: OrnamentSpec) -> bool:
        if spec.growth is None or one in beside:
            return False
        heights_mm = [max(block.height_mm) for block in plan.blocks if block.ornament == one]
        width_mm = max(heights_mm, default=0.0) * spec.view[2] / spec.view[3]
        return not heights_mm or (place.straight and width_mm <= place.widest_mm)

    free = {
        one: replace(spec, path="", view=_NARROW)
        for one, spec in drawn.ornaments.items()
        if is_free(one, spec)
    }
    return show_ornaments(layout, tuple({**drawn.ornaments, **free}.items())) if free else drawn


_NARROW = (0.0, 0.0, 1.0, 1000.0)
"""The view of a drawing that has room at every height."""


def _outline_trim(trim: Trim) -> Outline:
    return Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)


def _scale_panel(
    name: str, layout: Layout, words: Wordings, floors: Floors, outline: Outline
) -> PanelLayout:
    edge_mm = find_edge_clearance_mm(words, floors)
    return scale_layout(layout.panel(name), layout.drawn_for_mm, outline, edge_mm)


def _find_text_area(plan: PanelLayout, outline: Outline) -> TextArea:
    return TextArea.within(outline, plan.margin_mm, FOOT_EXTRA_MM, plan.keep_clear_mm)


def fit_panel_text(
    name: str,
    layout: Layout,
    words: Wordings,
    floors: Floors,
    trim: Trim,
    inks: tuple[str, str],
    logo: Logo | None,
    guests: tuple[str, ...],
    fonts: tuple[Path, ...],
    capitals: bool,
) -> FittedStep:
    """The text of a panel in a layout whose ornaments are drawn; FitError where it has no room."""
    outline = _outline_trim(trim)
    plan = _scale_panel(name, layout, words, floors, outline)
    edge_mm = find_edge_clearance_mm(words, floors)

    @cache
    def plan_step(step: int) -> PanelLayout:
        tight = tighten_layout(plan, layout, layout.steps[step - 1], edge_mm) if step else plan
        return keep_room_for_art(tight, outline)

    def fit_on(step: int, hyphens: Hyphenation) -> FittedStep:
        plan = plan_step(step)
        ways = Arrangements(name, layout, plan, words, floors, fonts=fonts, capitals=capitals)
        choices = Choices(Options(ways), logo)
        place = _find_text_area(plan, outline)
        search = PanelSearch(name, place, choices, RowStack(place, choices, plan.unit_mm), hyphens)
        fitted = search.best(_list_blocks(plan, choices, trim))
        inked = dict(zip(ROLES, inks, strict=True))
        return FittedStep(_TextSetter(name, plan, ways, place, inked, guests), fitted, step)

    ladder = _Ladder(layout.steps, plan.first_step, _find_least_names_pt(plan))
    try:
        return ladder.find_step(partial(fit_on, hyphens=Hyphenation.LONG_TEXT))
    except NoRoomError:  # words of display text are broken only where no step holds them whole
        return ladder.find_step(partial(fit_on, hyphens=Hyphenation.ANYWHERE))


FitText = Callable[..., "FittedStep"]
"""What fits text as ``fit_panel_text`` does."""


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


@dataclass(frozen=True, eq=False)
class FittedStep:
    """The text of a panel, fitted on one step of the ladder and set when it is asked for."""

    setter: _TextSetter
    rows: FittedRows
    step: int

    @cached_property
    def text(self) -> PanelText:
        return self.setter.set_rows(self.rows, self.step)

    @cached_property
    def fit(self) -> PanelFit:
        """How it was fitted. Only the set text tells where an address breaks, whether there is room
        for ornaments beside it, and whether it stands where the law and the shape want it."""
        setter = self.setter
        blocks = setter.list_blocks(self.rows)
        bound = (setter.ways.floors.of(made.block.element).panel_part for made in blocks)
        if (
            not setter.place.straight
            or any(made.way.address or made.block.beside for made in blocks)
            or any(part is not None for part in bound)
        ):
            return self.text.fit
        return self.setter.describe_fit(self.rows, self.step, self.rows.left_out, torn=False)


@dataclass(frozen=True)
class _Ladder:
    """The steps from what a layout likes down to what only the law holds up."""

    steps: Sequence[TighterStep]
    first: int
    """The one that is tried first where what the layout likes has not room enough."""
    least_names_pt: float
    """Smaller names are worth looking for a step that holds larger ones."""

    def find_step(self, fit_on: Callable[[int], FittedStep]) -> FittedStep:
        """The first step that holds the panel, or one further down on which it looks better.

        What the last does not hold none does: it is tried before those between, and refused as it
        stands there.
        """
        last = len(self.steps)
        with suppress(NoRoomError):
            return self._find_better(fit_on(0), fit_on)
        tightest = fit_on(last)
        for step in range(self.first, last):
            with suppress(NoRoomError):
                return self._find_better(fit_on(step), fit_on)
        return tightest

    def _find_better(self, made: FittedStep, fit_on: Callable[[int], FittedStep]) -> FittedStep:
        """The panel as it is; where rows crowd, names shrink, an address is torn or something is
        left out, on a tighter step that mends it and leaves letters readable: a little smaller they
        look better than lines that all but touch.
        """
        for step in range(max(self.first, made.fit.step + 1), len(self.steps) + 1):
            readable = self.steps[step - 1].letters_mm >= READABLE_MM
            if not (readable and self._is_squeezed(made.fit)):
                break
            with suppress(NoRoomError):
                tighter = fit_on(step)
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
class _TextSetter:
    """Turns fitted rows into runs, and finds where art stands between them."""

    name: str
    plan: PanelLayout
    ways: Arrangements
    place: TextArea
    inks: Mapping[str, str]
    """What the law reads is in one, names in the other."""
    guests: tuple[str, ...] = ()

    @property
    def outline(self) -> Outline:
        return self.place.outline

    def ink_of(self, block: Block) -> str:
        """The colour of a block's text: what the layout gives it, one of the inks, or nothing."""
        usual = "accent" if block.element in ACCENTED else "text"
        return self.inks.get(block.colour or usual, block.colour or "")

    def set_rows(self, fitted: FittedRows, step: int) -> PanelText:
        """The runs, and how they were fitted."""
        runs: list[Run] = []
        art: list[ArtPlace | BesidePlace] = []
        guest: GuestPlace | None = None
        left_out, torn = list(fitted.left_out), False
        for row in fitted.rows:
            sets = fitted.picked[row.index]
            top = fitted.tops[row.index] - row.pads_mm(sets)[0]
            first = sets[0]
            if isinstance(first, SetArt):
                art.append(ArtPlace(first.block, top, first.height_mm))
                continue
            blocks = list_set_blocks(sets)
            baseline = top - max(made.ascent_mm for made in blocks)
            starts = self._row_sides(row, blocks, top)
            room = Room.below(self.place, top).without(self.ways.beside_mm(row.lead))
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
                    if made.block.beside:
                        flanking = self._find_boxes_beside(made.block, set_runs)
                        art += [BesidePlace(made.block, flanking)] if flanking else []
                        left_out += [] if flanking else [made.block.beside]
                    runs += set_runs
        report = self.describe_fit(fitted, step, left_out, torn)
        faces = {run.face: self.ways.faces[run.face] for run in runs}
        if guest is not None:
            faces |= {face.name: face for face in (guest.face, *guest.stand_ins)}
        return PanelText(self.plan, self.place, tuple(runs), faces, guest, report, tuple(art))

    def list_blocks(self, fitted: FittedRows) -> list[SetBlock]:
        """The blocks of text that were fitted, from head to foot."""
        return [made for row in fitted.rows for made in list_set_blocks(fitted.picked[row.index])]

    def describe_fit(
        self, fitted: FittedRows, step: int, left_out: Iterable[str], torn: bool
    ) -> PanelFit:
        ways = self.ways
        return PanelFit(
            tuple(map(ElementFit.of, self.list_blocks(fitted))),
            fitted.gaps,
            tuple(left_out),
            tuple(ways.replaced.values()),
            step,
            len(ways.layout.steps),
            torn,
        )

    def _find_boxes_beside(self, block: Block, runs: Sequence[Run]) -> tuple[Box, Box] | None:
        """Where ornaments stand at either side of a block, level with the middle of its ink and no
        taller; nowhere where a curved shape leaves one no room."""
        inks = [run.ink for run in runs if run.text.strip()]
        if not inks:
            return None
        low, high = min(ink.y0_mm for ink in inks), max(ink.y1_mm for ink in inks)
        height = min(block.beside_height_mm, high - low)
        width = self.ways.beside_width_mm(block) * height / block.beside_height_mm
        foot = (low + high - height) / 2
        left = min(ink.x0_mm for ink in inks) - BESIDE_GAP_MM - width
        right = max(ink.x1_mm for ink in inks) + BESIDE_GAP_MM
        first, second = (Box(x, foot, x + width, foot + height) for x in (left, right))
        fits = all(self.outline.contains(box, self.plan.margin_mm) for box in (first, second))
        return (first, second) if fits else None

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
            self.ways.faces[left.way.face.name] = left.way.face
            yield make_run(
                text, "separator", NEUTRAL, left.way.face, left.size_pt, x, y,
                left.way.tracking_em, self.ink_of(left.block),
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
            face = self.ways.segment_face(segment, made.way.width, made.way.small_caps)
            stretched = gap_mm if number >= line.lead else 0.0
            for text in _split_words(segment.text) if stretched else (segment.text,):
                runs.append(
                    make_run(
                        text, segment.element, segment.language, face, made.size_pt, x, y,
                        made.way.tracking_em, self.ink_of(made.block),
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
            colour=self.ink_of(made.block),
            stand_ins=self.ways.stand_ins(made.block, made.way.width, self.guests),
        )

    def _check_part(self, made: SetBlock, baseline: float) -> None:
        """FitError where an element stands outside the part of the panel the law keeps it to."""
        element = made.block.element
        part = self.ways.floors.of(element).panel_part
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
