"""Wreaths, vines and borders that follow the trim and grow around the text there is."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from random import Random

from labelkit.common.frozen import dataclass
from labelkit.compose.arrangements import load_spec_face
from labelkit.compose.element_words import Wordings
from labelkit.compose.ornament.leaves import OUTLINES, measure_leaf_width
from labelkit.compose.ornament.lettering import draw_along_way
from labelkit.compose.ornament.pencil import Pencil, Point, find_bounds
from labelkit.compose.ornament.plants import VEIN
from labelkit.compose.ornament.walk import Way, find_way
from labelkit.model.outline import Outline
from labelkit.model.runs import Box, Ornament
from labelkit.order.layout import Layout
from labelkit.order.ornament import Surround

STROKE_MM = 0.15
"""Round the edge of filled areas, so that no tip is thinner than what printers hold."""
LINE_MM = 0.2
STEM_MM = 0.22
AIR_MM = 0.7
"""Between what grows and the text it stops at."""
SPREAD = 0.72
"""Between leaf and stem, in radians."""
LEAST_ARM = 2
"""Pairs of leaves; a shorter branch is not worth its ink."""


@dataclass(frozen=True)
class _Drawing:
    """What a surround is drawn with."""

    spec: Surround
    outline: Outline
    way: Way
    taken: Sequence[Box]
    """Where text is."""
    vary: Random
    areas: Pencil
    lines: Pencil

    def is_free(self, at: Point, reach: float) -> bool:
        """Whether nothing is written within a distance of a point."""
        return not any(
            box.x0_mm - reach < at[0] < box.x1_mm + reach
            and box.y0_mm - reach < at[1] < box.y1_mm + reach
            for box in self.taken
        )


def grow_surround(
    spec: Surround, outline: Outline, colour: str, taken: Sequence[Box], seed: int
) -> list[Ornament]:
    """A surround on a panel; ``taken`` is where its text is, in panel millimetres."""
    middle = spec.inset_mm + spec.depth_mm / 2
    drawing = _Drawing(
        spec, outline, find_way(outline, middle), taken, Random(seed), Pencil(), Pencil()
    )
    KINDS[spec.kind](drawing)
    ink = spec.colour or colour
    made: list[Ornament] = []
    for pencil, stroke, filled in (
        (drawing.lines, STEM_MM if not spec.line else LINE_MM, False),
        (drawing.areas, STROKE_MM, True),
    ):
        if pencil.path:
            box = Box(*find_bounds([pencil.path])).inset(-stroke / 2)
            made.append(Ornament(pencil.path, box, ink, stroke, filled=filled))
    return made


# -- branches --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Arm:
    """A branch along the way: from where, in which sense, and how far at most."""

    start: float
    sense: int
    length: float


def _grow_wreath(drawing: _Drawing) -> None:
    for pair in _list_arms(drawing):
        # Branches that mirror each other grow alike, as far as both have room.
        counts = [_count_free_pairs(drawing, arm) for arm in pair]
        state = drawing.vary.getstate()
        for arm in pair:
            drawing.vary.setstate(state)
            _grow_arm(drawing, arm, min(counts))


def _list_arms(drawing: _Drawing) -> list[tuple[_Arm, ...]]:
    """The branches, those together that mirror each other."""
    way, spec, outline = drawing.way, drawing.spec, drawing.outline
    half = way.length / 2
    gap = spec.spacing_mm * 0.55
    if spec.origin in ("foot", "head"):
        start = 0.0 if spec.origin == "foot" else half
        reach = (half - gap) * spec.reach
        return [(_Arm(start, 1, reach), _Arm(start, -1, reach))]
    right = [way.nearest((outline.width_mm, 0.0)), way.nearest((outline.width_mm,
             outline.height_mm))]  # fmt: skip
    left = [way.length - at for at in right]
    down, across, up = right[0], right[1] - right[0], half - right[1]
    foot, head = (down, across / 2), (across / 2, up)
    arms: list[tuple[_Arm, ...]] = []
    for number, (before, after) in enumerate((foot, head)):
        if number == 0 and spec.origin == "head-corners":
            continue
        pair = [
            (_Arm(right[number], -1, before * spec.reach - gap),
             _Arm(left[number], 1, before * spec.reach - gap)),
            (_Arm(right[number], 1, after * spec.reach - gap),
             _Arm(left[number], -1, after * spec.reach - gap)),
        ]  # fmt: skip
        if spec.origin == "diagonal":
            side = 1 if number == 0 else 0
            arms += [(one[side],) for one in pair]
        else:
            arms += pair
    return arms


def _count_free_pairs(drawing: _Drawing, arm: _Arm) -> int:
    """How many pairs of leaves a branch has room for before it meets text."""
    step = drawing.spec.spacing_mm
    count = max(0, round(arm.length / step))
    reach = drawing.spec.depth_mm / 2 + AIR_MM
    for number in range(1, count + 1):
        point, _ = drawing.way.at(arm.start + arm.sense * step * (number + 0.4))
        if not drawing.spec.keeps_clear and not drawing.is_free(point, reach):
            return number - 1
    return count


def _grow_arm(drawing: _Drawing, arm: _Arm, count: int) -> None:
    if count < LEAST_ARM:
        return
    spec, way, vary = drawing.spec, drawing.way, drawing.vary
    step = min(spec.spacing_mm, arm.length / count) if spec.reach == 1 else spec.spacing_mm
    longest = spec.depth_mm / 2 / math.sin(SPREAD)
    widest = step * math.sin(SPREAD) * 1.05 / measure_leaf_width(spec.leaf)
    length = min(longest, widest)
    ends: list[Point] = []
    for number in range(count):
        share = number / count
        point, along = way.at(arm.start + arm.sense * step * (number + 0.55))
        heading = along if arm.sense > 0 else along + math.pi
        taper = 1.0 - 0.42 * share * share
        for sign in (1, -1):
            turn = SPREAD * (1 + 0.2 * (vary.random() - 0.5)) * sign * arm.sense
            size = length * taper * (1 + 0.12 * (vary.random() - 0.5))
            _draw_leaf(drawing, point, heading + turn, size)
        if spec.berries and number % 2:
            _draw_berry(drawing, point, heading, arm.sense * (1 if number % 4 == 1 else -1), length)
        ends.append(point)
    tip, along = way.at(arm.start + arm.sense * step * (count + 0.25))
    heading = along if arm.sense > 0 else along + math.pi
    _draw_leaf(drawing, tip, heading, length * 0.62)
    far = step * (count + 0.25)
    dots = max(8, round(far / 0.5))
    walked = [arm.start + arm.sense * far * n / dots for n in range(dots + 1)]
    drawing.lines.trail([way.at(distance)[0] for distance in walked])


def _draw_leaf(drawing: _Drawing, at: Point, angle: float, size: float) -> None:
    pencil = drawing.lines if drawing.spec.line else drawing.areas
    pencil.draw(OUTLINES[drawing.spec.leaf], at, angle, size)
    if drawing.spec.line:
        pencil.trail([at, _go(at, angle, size * VEIN)])


def _draw_berry(drawing: _Drawing, at: Point, heading: float, side: int, length: float) -> None:
    end = _go(at, heading + side * 1.25, length * 0.62)
    drawing.lines.trail([at, end])
    drawing.areas.disc(end, length * 0.15)


def _go(at: Point, angle: float, far: float) -> Point:
    return at[0] + math.cos(angle) * far, at[1] + math.sin(angle) * far


# -- borders ---------------------------------------------------------------------------------------


def _grow_vine(drawing: _Drawing) -> None:
    """A stem that swings to and fro, with a leaf in every bow; alike at the left and the right."""
    spec, way = drawing.spec, drawing.way
    half = way.length / 2
    waves = max(3, round(half / (spec.spacing_mm * 2)))
    swing = spec.depth_mm * 0.2
    stem: list[Point] = []
    steps = waves * 12
    width = drawing.outline.width_mm

    def place(distance: float) -> tuple[Point, float]:
        (x, y), along = way.at(distance)
        phase = math.tau * waves * distance / half
        aside = swing * math.sin(phase)
        return _go((x, y), along + math.pi / 2, aside), along

    for number in range(steps + 1):
        stem.append(place(half * number / steps)[0])
    drawing.lines.trail(stem)
    drawing.lines.trail([(width - x, y) for x, y in stem])
    size = min(spec.depth_mm * 0.62, spec.spacing_mm * 0.95)
    state = drawing.vary.getstate()
    for mirror in (False, True):
        drawing.vary.setstate(state)
        for number in range(2 * waves):
            inner = 1 if number % 2 else -1
            at, along = place(half * (number + 0.5) / (2 * waves))
            lean = along + inner * (0.95 + 0.25 * (drawing.vary.random() - 0.5))
            long = size * (1 + 0.12 * (drawing.vary.random() - 0.5))
            berry = _go(at, along - inner * 1.1, size * 0.5)
            if mirror:
                at, berry = (width - at[0], at[1]), (width - berry[0], berry[1])
                lean = math.pi - lean
            _draw_leaf(drawing, at, lean, long)
            if spec.berries:
                drawing.lines.trail([at, berry])
                drawing.areas.disc(berry, size * 0.13)


def _space_evenly(drawing: _Drawing) -> list[float]:
    """Distances at which an even number of things stand all along the way."""
    count = max(8, 2 * round(drawing.way.length / drawing.spec.spacing_mm / 2))
    return [drawing.way.length * number / count for number in range(count)]


def _grow_beads(drawing: _Drawing) -> None:
    for number, distance in enumerate(_space_evenly(drawing)):
        small = 0.55 if number % 2 else 1.0
        point, _ = drawing.way.at(distance)
        drawing.areas.disc(point, drawing.spec.depth_mm / 2 * small)


def _grow_scallops(drawing: _Drawing) -> None:
    """Bows that stand side by side, open to the inside."""
    places = _space_evenly(drawing)
    depth = drawing.spec.depth_mm
    step = places[1] - places[0]
    for distance in places:
        inner = [_stand_inside(drawing, distance + step * n, depth / 2) for n in (0.0, 1.0)]
        outer = [_stand_inside(drawing, distance + step * n, -depth * 0.82) for n in (0.1, 0.9)]
        drawing.lines.curve([inner[0], outer[0], outer[1], inner[1]])
        drawing.areas.disc(_stand_inside(drawing, distance + step / 2, depth * 0.15), depth * 0.11)


def _stand_inside(drawing: _Drawing, distance: float, by: float) -> Point:
    point, along = drawing.way.at(distance)
    return _go(point, along + math.pi / 2, by)


def _grow_stitches(drawing: _Drawing) -> None:
    places = _space_evenly(drawing)
    long = (places[1] - places[0]) * 0.56
    for distance in places:
        drawing.lines.trail([drawing.way.at(distance + long * (n / 4 - 0.5))[0] for n in range(5)])


def _grow_dentils(drawing: _Drawing) -> None:
    half = drawing.spec.depth_mm / 2
    for distance in _space_evenly(drawing):
        drawing.lines.trail([_stand_inside(drawing, distance, by) for by in (-half, half)])


KINDS: Mapping[str, Callable[[_Drawing], None]] = {
    "wreath": _grow_wreath,
    "vine": _grow_vine,
    "beads": _grow_beads,
    "scallops": _grow_scallops,
    "stitches": _grow_stitches,
    "dentils": _grow_dentils,
}


def draw_words_along(
    spec: Surround, outline: Outline, colour: str, layout: Layout, words: Wordings
) -> list[Ornament]:
    """Words along the trim: the first over the head, those of a second language under the foot."""
    lettering = layout.ornaments[spec.letters].lettering
    if lettering is None:
        return []
    face_spec = layout.faces[lettering.face]
    face = load_spec_face(face_spec, face_spec.widths[0])
    way = find_way(outline, spec.inset_mm + spec.depth_mm / 2)
    paths = [
        draw_along_way(lettering, w.text, w.language, face, way, spec.depth_mm, number == 1)
        for number, w in enumerate(words.get(lettering.element, ())[:2])
    ]
    return [Ornament(path, Box(*find_bounds([path])), colour) for path in paths]
