"""The pieces that go with a label: each face composed by the label's own design, then laid flat.

A face that carries a side of the label is that side, on another trim. Any other is the front's
design with the blocks of what it says. What the label chose of casing and width of its names binds
every piece; where one of them has no room so, all take the next setting together.
Small text is then set in the sizes of one scale (suite_sizes.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property, lru_cache

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.compose.drawing import ComposedPanel, FittedPanel
from labelkit.compose.element_words import Wording, Wordings, make_spoken_wordings
from labelkit.compose.runs import shift_run
from labelkit.compose.suite_sizes import SharedSizes
from labelkit.model.outline import Outline
from labelkit.model.runs import Box, Ornament, Panel, Picture, Run
from labelkit.order.label import MEMORIAL, Event, Trim
from labelkit.order.layout import (
    ANY_SIDE,
    DESIGNS,
    Block,
    Layout,
    PanelLayout,
    complete_panel_layout,
)
from labelkit.order.pieces import Piece, Strip, find_usual_text
from labelkit.typeset.apostrophes import set_apostrophes

HOLE_INK, HOLE_STROKE_MM = "#8c8c8c", 0.2
HOLE_WITHIN_MM = 0.6
"""How much smaller than the hole its ring is, so that the punch takes it away."""
CALM = 1.45
"""How much larger a card may be than a label before its type grows (labelkit's own judgement)."""
APART = 1.6
"""Space before what is said to the guests, in the panel's unit: it is no part of when and where."""
ALONE = 1.8
"""How much wider the margin of an ornament by itself is: it keeps clear of the folds beside it."""
HOLE_AIR_MM = 1.5
"""Between a hole and what is written below it."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What binds the label and all pieces with it."""

    cases: Mapping[str, str] = field(default_factory=dict)
    """How elements are cased, by element: one of the settings of their blocks."""
    names_width: int | None = None
    """The width of the face of the names, in percent; None: as each piece likes it."""
    sizes: SharedSizes = field(default_factory=dict)
    """Of small text."""


FitFace = Callable[[str, PanelLayout, Wordings, Trim, bool], FittedPanel]
"""Fits a face: the side whose design it has, the design, the words, the trim, and whether the
law binds it."""


@dataclass(frozen=True)
class ComposedPiece:
    """A piece as it is printed, and its faces by themselves."""

    piece: Piece
    fitted: Mapping[Strip, FittedPanel]
    """Each face that has anything on it."""

    @cached_property
    def faces(self) -> Mapping[Strip, ComposedPanel]:
        return {strip: face.composed for strip, face in self.fitted.items()}

    @cached_property
    def whole(self) -> ComposedPanel:
        """All of it flat, the panel that sheets carry."""
        return lay_flat(self.piece, self.faces)

    def cut_out_label(self, whole: Panel | None = None) -> tuple[Panel, ...]:
        """The sides of the label that it carries, as they stand on the piece or on ``whole``, read
        from a finished PDF; none of one that lets the label be seen."""
        return tuple(
            _cut_out_face(whole or self.whole.panel, strip, face.panel)
            for strip, face in self.faces.items()
            if strip.label
        )


def is_memorial(event: Event, layout: Layout) -> bool:
    """Whether an order is in memory of somebody: as it says, or as its layout is made for."""
    return MEMORIAL in (event.kind, *layout.occasions)


def keep_settings(plan: PanelLayout, settings: Settings) -> PanelLayout:
    """A design whose elements are cased as given."""
    return _keep_cases(plan, tuple(settings.cases.items())) if settings.cases else plan


@lru_cache(maxsize=DESIGNS)
def _keep_cases(plan: PanelLayout, cases: tuple[tuple[str, str], ...]) -> PanelLayout:
    case_of = dict(cases)
    blocks = (_keep_case(one, case_of.get(one.element)) for one in plan.blocks)
    return replace(plan, blocks=tuple(blocks))


@lru_cache(maxsize=DESIGNS)
def _keep_case(block: Block, case: str | None) -> Block:
    if case not in (*block.settings, "as-written", "capitals") or block.settings == (case,):
        return block
    return replace(block, settings=(case,))


def has_settings(layout: Layout, plan: PanelLayout, made: FittedPanel, settings: Settings) -> bool:
    """Whether a face as it was set by itself has what binds all of them."""
    cases, width = settings.cases, settings.names_width
    faces = {name for name in _list_names_faces(layout) if width in layout.faces[name].widths}
    bound = {block.element for block in plan.blocks if block.element and block.face in faces}
    return all(layout.faces[name].widths[0] == width for name in faces) and all(
        cases.get(fit.element, fit.setting) == fit.setting
        and (fit.element not in bound or fit.width == width)
        for fit in made.fit.elements
    )


@lru_cache(maxsize=DESIGNS)
def keep_variants(plan: PanelLayout, label: Trim) -> PanelLayout:
    """A design whose words are set as on a label of another trim, where it has them otherwise on
    large and on small ones."""
    shorter_mm = min(label.width_mm, label.height_mm)
    return replace(
        plan,
        blocks=tuple(
            _keep_on_any_trim(block) if block.element and block.sides_mm != ANY_SIDE else block
            for block in plan.blocks
            if not block.element or block.sides_mm[0] <= shorter_mm < block.sides_mm[1]
        ),
    )


@lru_cache(maxsize=DESIGNS)
def _keep_on_any_trim(block: Block) -> Block:
    return replace(block, sides_mm=ANY_SIDE)


@lru_cache(maxsize=DESIGNS)
def keep_width(layout: Layout, width: int | None) -> Layout:
    """A layout whose names are in a face of a width, in percent; None: as it likes them."""
    if width is None:
        return layout
    bound = {
        name: replace(layout.faces[name], widths=(width,))
        for name in _list_names_faces(layout)
        if width in layout.faces[name].widths
    }
    return replace(layout, faces={**layout.faces, **bound})


@lru_cache(maxsize=DESIGNS)
def calm_layout(layout: Layout) -> Layout:
    """A layout as it is for what carries few words: its type grows less with the size."""
    width, height = layout.drawn_for_mm
    return replace(layout, drawn_for_mm=(CALM * width, CALM * height))


def list_shared_settings(layout: Layout, sides: Sequence[FittedPanel]) -> Iterator[Settings]:
    """How the elements of a label may be set on all pieces alike: as its front likes it, else its
    back, then as takes least room."""
    fits = [fit for side in reversed(sides) for fit in side.fit.elements]
    widths = [fit.width for fit in fits if fit.element == "names"]
    yield Settings({fit.element: fit.setting for fit in fits}, widths[-1] if widths else None)
    blocks = [block for side in ("back", "front") for block in layout.panel(side).blocks]
    narrow = [min(layout.faces[name].widths) for name in _list_names_faces(layout)]
    cases = {block.element: block.settings[-1] for block in blocks if block.element}
    yield Settings(cases, min(narrow, default=None))


def _list_names_faces(layout: Layout) -> set[str]:
    return {block.face for block in layout.panel("front").blocks if block.element == "names"}


def compose_piece(
    piece: Piece,
    layout: Layout,
    sides: Mapping[str, tuple[PanelLayout, Wordings]],
    settings: Settings,
    label: Trim,
    fit: FitFace,
) -> ComposedPiece:
    """A piece with each of its faces; FitError, which names the piece, where one has no room.

    ``sides`` are the designs and words of the label's front and back; of the front with those that
    the piece says beside.
    """
    faces: dict[Strip, FittedPanel] = {}
    try:
        for strip in piece.strips:
            side = strip.label or "front"
            plan, words = sides[side]
            if not strip.label:
                plan = design_face(plan, layout, strip, _find_foot_of_holes_mm(piece))
            if strip.plain or not (strip.label or _shows_anything(plan)):
                continue
            plan, trim, bound = keep_settings(plan, settings), find_trim(strip), bool(strip.label)
            try:
                alike = keep_variants(plan, label)
                faces[strip] = fit(side, alike, words, trim, bound)
            except FitError:
                faces[strip] = fit(side, plan, words, trim, bound)
    except FitError as error:
        raise replace(error, panel=piece.kind) from error
    return ComposedPiece(piece, faces)


def add_piece_words(
    words: Wordings, piece: Piece, languages: Iterable[str], memorial: bool
) -> Wordings:
    """The words of a label's front with those a piece says beside; of the usual ones those of the
    label's languages that there are."""
    codes = tuple(languages)
    text = piece.text or find_usual_text(piece.kind, memorial)
    said = make_spoken_wordings(text, codes) if text else ()
    kept = {element: found for element, found in words.items() if element != "thanks"}
    if not said:
        return kept
    return {**kept, "thanks": tuple(Wording(w.language, set_apostrophes(w.text)) for w in said)}


def find_trim(strip: Strip) -> Trim:
    """A face by itself."""
    return Trim(strip.box.width_mm, strip.box.height_mm)


def _find_foot_of_holes_mm(piece: Piece) -> float:
    """How far down from the head its holes reach, with the space below them; 0 without any."""
    if not piece.holes:
        return 0.0
    lowest = min(y for _, y in piece.holes)
    return piece.height_mm - lowest + piece.hole_mm / 2 + HOLE_AIR_MM


@lru_cache(maxsize=DESIGNS)
def design_face(
    plan: PanelLayout, layout: Layout, strip: Strip, foot_of_holes_mm: float
) -> PanelLayout:
    """The front's design with what a face says alone, its ornament, and room for holes.

    A guest's name that stands for itself is set as the names of the label are.
    """
    plan = complete_panel_layout(plan, strip.says)
    names = next((block for block in plan.blocks if block.element == "names"), None)
    blocks = tuple(
        replace(block, size=names.size, face=names.face, zone="middle", row="", above=1.0)
        if block.element == "guest" and names is not None
        else replace(block, above=max(APART, block.above))
        if block.element == "thanks"
        else block
        for block in plan.blocks
        if (
            block.element in strip.says
            if block.element
            else _is_said(block.ornament, layout, strip)
        )
    )
    head, right, foot, left = plan.keep_clear_mm
    if foot_of_holes_mm:
        head = max(head, foot_of_holes_mm - plan.margin_mm)
    if not strip.says:  # an ornament by itself stands in the middle, whatever it is elsewhere
        blocks = tuple(
            replace(block, zone="middle", optional=False, above=0.0, picture="")
            for block in blocks
            if block.ornament
        )[:1]
    art = tuple(art for art in plan.art if _is_said(art.ornament, layout, strip))
    surrounds = tuple(one for one in plan.surrounds if _is_said(one.letters, layout, strip))
    design = replace(
        plan, blocks=blocks, art=art, surrounds=surrounds, keep_clear_mm=(head, right, foot, left)
    )
    if strip.says:
        return design
    margin_mm = ALONE * plan.margin_mm
    return replace(design, art=(), borders=(), surrounds=(), margin_mm=margin_mm)


def _is_said(ornament: str, layout: Layout, strip: Strip) -> bool:
    """Whether a drawing is of no words, or of words that stand on the face, or of a sign for the
    event."""
    lettering = layout.ornaments[ornament].lettering if ornament else None
    return lettering is None or lettering.element in {*strip.says, "initials", "numerals"}


def _shows_anything(plan: PanelLayout) -> bool:
    return bool(plan.blocks or plan.patterns or plan.background)


# -- laid flat -------------------------------------------------------------------------------------


def lay_flat(piece: Piece, faces: Mapping[Strip, ComposedPanel]) -> ComposedPanel:
    """The faces of a piece as one panel, where each lies on the flat sheet, and its holes."""
    runs: list[Run] = []
    art: list[Ornament] = []
    pictures: list[Picture] = []
    guest = None
    for strip, face in faces.items():
        dx, dy = strip.box.x0_mm, strip.box.y0_mm
        runs += [shift_run(run, dx, dy) for run in face.panel.runs]
        art += [one.shifted(dx, dy) for one in face.panel.ornaments]
        pictures += [replace(one, box=one.box.shifted(dx, dy)) for one in face.panel.pictures]
        if face.guest is not None:
            guest = replace(
                face.guest,
                baseline_mm=face.guest.baseline_mm + dy,
                left_mm=face.guest.left_mm + dx,
                right_mm=face.guest.right_mm + dx,
            )
    art += [_make_hole(x, y, piece.hole_mm - HOLE_WITHIN_MM) for x, y in piece.holes]
    panel = Panel(
        name=piece.kind,
        width_mm=piece.width_mm,
        height_mm=piece.height_mm,
        runs=tuple(runs),
        ornaments=tuple(art),
        pictures=tuple(pictures),
        safe_mm=min((face.panel.safe_mm for face in faces.values()), default=0.0),
        background=next((face.panel.background for face in faces.values()), None),
    )
    used = {name: one for face in faces.values() for name, one in face.faces.items()}
    return ComposedPanel(panel, used, guest)


def _make_hole(x_mm: float, y_mm: float, width_mm: float) -> Ornament:
    """The ring of a hole, which the punch takes away."""
    low, left = y_mm - width_mm / 2, x_mm - width_mm / 2
    ring = Ornament(
        Outline("round", width_mm, width_mm).path(),
        Box(0.0, 0.0, width_mm, width_mm),
        HOLE_INK,
        HOLE_STROKE_MM,
    )
    return ring.shifted(left, low)


def _cut_out_face(whole: Panel, strip: Strip, face: Panel) -> Panel:
    """A face as it stands on a whole piece: the runs whose ink has its middle there."""
    box = strip.box
    runs = tuple(
        shift_run(run, -box.x0_mm, -box.y0_mm)
        for run in whole.runs
        if box.covers(_find_middle(run.ink))
    )
    return replace(face, runs=runs)


def _find_middle(box: Box) -> Box:
    x, y = (box.x0_mm + box.x1_mm) / 2, (box.y0_mm + box.y1_mm) / 2
    return Box(x, y, x, y)
