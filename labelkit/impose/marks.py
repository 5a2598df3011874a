"""Crop marks, cut numbers, the check ruler and the registration marks of a sheet.

Nothing here ever touches a label or its bleed: what has no room is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, make_number
from labelkit.impose.layout import Grid, PageLayout
from labelkit.impose.sheet import MarginNote, MarkStyle, RegistrationMark, Ruler, StraightLine
from labelkit.model.runs import Box

SHEET_NUMBER = "\ufffc"
"""Stands in a slug for the number of its sheet."""
RULER_MM = 50
_RULER_DEPTH_MM = 5.0
_CLEARANCE_MM = 0.5
"""Kept between anything printed in the margin and its neighbours."""
_NUMBER_SIZE_MM = 1.8
_NOTE_LEADING_MM = 2.5
_MARGIN_DEPTH_MM = 25.0
"""Ruler, registration marks and words all stand nearer than this to the edge of the page."""
_SAME_LINE_MM = 0.01
_CUT_ALREADY_MM = 0.1
"""A cut this near the edge of a die is the edge."""
_ROUNDING_MM = 1e-6

Used = dict[int, set[tuple[int, int]]]
"""For each grid number, the (column, row) of the labels printed on this sheet."""


# -- crop marks ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight cut through a grid: across at a height, or down at a distance from the left."""

    across: bool
    at_mm: float


def list_cuts(grid: Grid, used: Iterable[tuple[int, int]]) -> list[Cut]:
    """The cuts that free the used labels: across from the head down, then from the left."""
    boxes = [grid.cell(column, row) for column, row in used]
    heights = _merge_near_values(edge for box in boxes for edge in (box.y0_mm, box.y1_mm))
    sides = _merge_near_values(edge for box in boxes for edge in (box.x0_mm, box.x1_mm))
    return [
        *(Cut(True, at) for at in reversed(heights)),
        *(Cut(False, at) for at in sides),
    ]


def _merge_near_values(values: Iterable[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > _SAME_LINE_MM:
            kept.append(value)
    return kept


def make_cut_marks(
    grid: Grid, cut: Cut, bleed_mm: float, style: MarkStyle
) -> Iterator[StraightLine]:
    """The marks at both ends of a cut, outside the grid, as far as its region reaches."""
    box, offset = grid.box, style.offset_from(bleed_mm)
    if cut.across:
        ends = ((box.x0_mm - offset, cut.at_mm, -1, 0), (box.x1_mm + offset, cut.at_mm, 1, 0))
    else:
        ends = ((cut.at_mm, box.y1_mm + offset, 0, 1), (cut.at_mm, box.y0_mm - offset, 0, -1))
    for x, y, dx, dy in ends:
        length = min(style.length_mm, grid.region.room_mm(x, y, dx, dy))
        if length >= style.least_mm:
            yield StraightLine(x, y, x + dx * length, y + dy * length, style.weight_pt)


def make_crop_marks(layout: PageLayout, used: Used, style: MarkStyle) -> tuple[StraightLine, ...]:
    """All crop marks of a page; none around a label that fills its die."""
    return tuple(
        mark
        for number, cells in used.items()
        for cut in list_cuts(layout.grids[number], cells)
        for mark in make_cut_marks(layout.grids[number], cut, layout.bleed_mm, style)
    )


# -- the order of the cuts -------------------------------------------------------------------------


def make_cut_numbers(layout: PageLayout, used: Used, style: MarkStyle) -> tuple[MarginNote, ...]:
    """A number beside the first mark of every cut that goes straight through the page."""
    if not layout.straight_cuts or not used:
        return ()
    grid = layout.grids[0]
    notes: list[MarginNote] = []
    for number, cut in enumerate(list_cuts(grid, used[0]), start=1):
        mark = next(make_cut_marks(grid, cut, layout.bleed_mm, style), None)
        if mark is not None:
            # Just above the outer end of a mark across, just left of one that runs down.
            text, box = str(number), mark.box
            if cut.across:
                notes.append(MarginNote(box.x0_mm, box.y0_mm + 0.4, text, _NUMBER_SIZE_MM))
            else:
                width = MarginNote(0, 0, text, _NUMBER_SIZE_MM).box.width_mm
                height = box.y1_mm - 0.8 * _NUMBER_SIZE_MM
                notes.append(MarginNote(box.x0_mm - 0.4 - width, height, text, _NUMBER_SIZE_MM))
    inked = grid.box.inset(-layout.bleed_mm)
    return tuple(n for n in notes if _is_free(n.box, [inked]) and layout.printable.covers(n.box))


def describe_cut_order(layout: PageLayout, used: Used, shape: str) -> tuple[Said, ...]:
    """How to cut a page of straight cuts, in plain sentences."""
    if not layout.straight_cuts or not used:
        return ()
    ordered = list_cuts(layout.grids[0], used[0])
    across = sum(cut.across for cut in ordered)
    steps = [
        Said("Cut across at 1 to {last}, from the head down.", last=across),
        Said(
            "Stack the strips and cut at {first} to {last}, from the left.",
            first=across + 1,
            last=len(ordered),
        ),
    ]
    if shape == "rounded":
        steps.append(Said("Round the corners last."))
    elif shape not in ("rectangle", "square"):
        steps.append(Said("Cut each label to its outline last."))
    return tuple(steps)


def describe_unmarked_cuts(layout: PageLayout, style: MarkStyle) -> tuple[Said, ...]:
    """How to make the cuts for which a die leaves no room for a crop mark: in plain words."""
    grid, die = layout.grids[0], layout.grids[0].region.box
    sides: list[float] = []
    heights: list[float] = []
    for cut in list_cuts(grid, grid.cells()):
        if not any(make_cut_marks(grid, cut, layout.bleed_mm, style)):
            (heights if cut.across else sides).append(
                die.y1_mm - cut.at_mm if cut.across else cut.at_mm - die.x0_mm
            )
    sides, heights = _drop_die_edges(sides, die.width_mm), _drop_die_edges(heights, die.height_mm)
    where = []
    if sides:
        where.append(Said("{distances} mm from its left edge", distances=_list_distances(sides)))
    if heights:
        where.append(Said("{distances} mm from its upper edge", distances=_list_distances(heights)))
    told = Said(
        "The stock's labels leave no room for some crop marks: with a ruler, cut each of them"
        " {where}.",
        where=FactList(where, "and"),
    )
    return (told,) if where else ()


def _drop_die_edges(distances: list[float], size_mm: float) -> list[float]:
    """Those that are not the edges of the die itself."""
    return [at for at in distances if _CUT_ALREADY_MM < at < size_mm - _CUT_ALREADY_MM]


def _list_distances(distances: list[float]) -> FactList:
    return FactList((make_number(round(at, 1)) for at in distances), "and")


# -- ruler and registration ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Margin:
    """What stands in the margin of a page apart from crop marks and cut numbers."""

    registration: tuple[RegistrationMark, ...]
    ruler: Ruler | None
    notes: tuple[MarginNote, ...]
    slug: MarginNote | None


def fill_margin(
    layout: PageLayout,
    marks: Iterable[StraightLine],
    numbers: Iterable[MarginNote],
    words: Iterable[str],
    slugs: Iterable[str] = (),
) -> Margin:
    """Registration marks in the corners, the ruler and the words wherever they have room.

    The slug comes last, so that nothing gives way to it: the first of several that has room.
    """
    core = layout.printable.inset(_MARGIN_DEPTH_MM)
    labels = [box.inset(-layout.bleed_mm) for box in layout.boxes() if not core.covers(box)]
    taken = [*labels, *(mark.box for mark in marks), *(note.box for note in numbers)]
    targets = tuple(
        t
        for t in _make_corner_targets(layout.printable)
        if _is_free(t.box, taken) and layout.printable.covers(t.box, _ROUNDING_MM)
    )
    taken += [target.box for target in targets]
    ruler = next(
        (
            r
            for r in _list_ruler_places(layout)
            if _is_free(r.box, taken) and layout.printable.covers(r.box, _ROUNDING_MM)
        ),
        None,
    )
    if ruler:
        taken.append(ruler.box)
    notes = _place_words(layout, words, taken)
    # Ready-cut labels are kept clean also where they are cut down.
    taken += [*(note.box for note in notes), *layout.dies]
    blocks = (_place_words(layout, (slug,), taken) for slug in slugs)
    return Margin(targets, ruler, notes, next((block[0] for block in blocks if block), None))


def _place_words(
    layout: PageLayout, words: Iterable[str], taken: list[Box]
) -> tuple[MarginNote, ...]:
    """All the words, as a block of lines or on one line; none of them where neither has room.

    Half of an instruction would mislead.
    """
    sentences = tuple(words)
    if not sentences:
        return ()
    for lines in (sentences, (" ".join(sentences),)):
        for block in _list_word_blocks(layout.printable, lines):
            if _is_free(block[0].box.union(block[-1].box), taken) and all(
                layout.printable.covers(note.box, _ROUNDING_MM) and _is_free(note.box, taken)
                for note in block
            ):
                return block
    return ()


def _make_corner_targets(printable: Box) -> Iterator[RegistrationMark]:
    arm = RegistrationMark(0, 0).arm_mm
    for y in (printable.y1_mm - arm, printable.y0_mm + arm):
        for x in (printable.x0_mm + arm, printable.x1_mm - arm):
            yield RegistrationMark(x, y)


def _list_ruler_places(layout: PageLayout) -> Iterator[Ruler]:
    """Places worth trying, along the four edges of the printable page, the foot first."""
    room, depth, length = layout.printable, _RULER_DEPTH_MM, RULER_MM + 1.0
    for y in (room.y0_mm, room.y1_mm - depth):
        for x in _list_steps_from_middle(room.x0_mm, room.x1_mm - length):
            yield _make_ruler(x + 0.5, y, upright=False)
    for x in (room.x0_mm, room.x1_mm - depth):
        for y in _list_steps_from_middle(room.y0_mm, room.y1_mm - length):
            yield _make_ruler(x, y + 0.5, upright=True)


def _list_steps_from_middle(low_mm: float, high_mm: float, step_mm: float = 5.0) -> list[float]:
    """The middle of a span, then places ever further from it."""
    if high_mm < low_mm:
        return []
    middle, reach = (low_mm + high_mm) / 2, (high_mm - low_mm) / 2
    steps = [middle]
    for count in range(1, int(reach / step_mm) + 1):
        steps += [middle - count * step_mm, middle + count * step_mm]
    return steps


def _make_ruler(x_mm: float, y_mm: float, upright: bool) -> Ruler:
    """A scale of RULER_MM with a stroke each millimetre, its label above (or left of) it."""
    heights = {0: 2.4, 5: 1.8}
    lines = [_make_scale_line(x_mm, y_mm, 0.0, 0.0, RULER_MM, 0.0, upright)]
    for tick in range(RULER_MM + 1):
        height = heights.get(tick % 10, 1.2)
        lines.append(_make_scale_line(x_mm, y_mm, tick, 0.0, tick, height, upright))
    text = f"{RULER_MM} mm"
    if upright:
        label = MarginNote(x_mm + 4.4, y_mm + 2.0, text, turned=True)
        box = Box(x_mm, y_mm - 0.5, x_mm + _RULER_DEPTH_MM, y_mm + RULER_MM + 0.5)
    else:
        label = MarginNote(x_mm + 2.0, y_mm + 2.8, text)
        box = Box(x_mm - 0.5, y_mm, x_mm + RULER_MM + 0.5, y_mm + _RULER_DEPTH_MM)
    return Ruler(x_mm, y_mm, RULER_MM, upright, tuple(lines), label, box)


def _make_scale_line(
    x_mm: float, y_mm: float, along0: float, off0: float, along1: float, off1: float, upright: bool
) -> StraightLine:
    if upright:
        return StraightLine(x_mm + off0, y_mm + along0, x_mm + off1, y_mm + along1)
    return StraightLine(x_mm + along0, y_mm + off0, x_mm + along1, y_mm + off1)


def _list_word_blocks(room: Box, lines: tuple[str, ...]) -> Iterator[tuple[MarginNote, ...]]:
    """Places worth trying for a block of lines: along foot and head, then up the sides."""
    sample = max((MarginNote(0.0, 0.0, text) for text in lines), key=lambda note: note.box.width_mm)
    length, drop, rise = sample.box.width_mm, -sample.box.y0_mm, sample.box.y1_mm
    depth = (len(lines) - 1) * _NOTE_LEADING_MM
    for foot in (room.y0_mm + drop, room.y1_mm - rise - depth):
        for x in _list_steps_from_middle(room.x0_mm, room.x1_mm - length, 2.0):
            yield tuple(
                MarginNote(x, foot + depth - number * _NOTE_LEADING_MM, text)
                for number, text in enumerate(lines)
            )
    for left in (room.x0_mm + rise, room.x1_mm - drop - depth):
        for y in _list_steps_from_middle(room.y0_mm, room.y1_mm - length, 2.0):
            yield tuple(
                MarginNote(left + number * _NOTE_LEADING_MM, y, text, turned=True)
                for number, text in enumerate(lines)
            )


def _is_free(box: Box, taken: Iterable[Box]) -> bool:
    grown = box.inset(-_CLEARANCE_MM)
    return not any(grown.meets(other) for other in taken)
