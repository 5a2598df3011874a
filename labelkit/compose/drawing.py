"""The art of a panel, drawn around, behind and between its text where that has left it room."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.art import (
    find_art_box,
    find_aspect,
    make_band,
    make_border,
    make_ground,
    make_rule_line,
    place_fixed_art,
    place_logo,
    place_ornament,
)
from labelkit.compose.element_words import Wordings
from labelkit.compose.fitting import PanelFit, describe_fit
from labelkit.compose.openjar import make_open_jars
from labelkit.compose.ornament.pattern import fill_pattern
from labelkit.compose.ornament.surround import draw_words_along, grow_surround
from labelkit.compose.room import TextArea
from labelkit.compose.runs import GuestPlace, make_draft_mark
from labelkit.model.runs import Box, Ornament, Panel, Picture, Run
from labelkit.order.layout import Block, Layout, PanelLayout
from labelkit.order.logo import Logo
from labelkit.rules.kinds.setting import mix_colours
from labelkit.typeset.faces import Face

DESCENT_EM = 0.3


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


@dataclass(frozen=True, eq=False)
class FittedPanel:
    """How a panel was fitted; it is set and drawn when it is asked for."""

    fit: PanelFit
    _compose: Callable[[], ComposedPanel]

    @cached_property
    def composed(self) -> ComposedPanel:
        return self._compose()


class ArtPlace(NamedTuple):
    """Where a rule, an ornament or a logo stands between rows of text, and how tall it is."""

    block: Block
    top_mm: float
    height_mm: float


class BesidePlace(NamedTuple):
    """Where the ornaments at either side of a block stand."""

    block: Block
    boxes: tuple[Box, Box]


@dataclass(frozen=True, eq=False)
class PanelText:
    """The text of a panel, set, and where it has left room for art."""

    plan: PanelLayout
    """On the step of the ladder that holds it."""
    place: TextArea
    runs: tuple[Run, ...]
    faces: Mapping[str, Face]
    guest: GuestPlace | None
    fit: PanelFit
    art: tuple[ArtPlace | BesidePlace, ...]


@dataclass(frozen=True, eq=False)
class ArtDrawer:
    """Draws the art of one panel."""

    layout: Layout
    """With every ornament drawn."""
    words: Wordings
    logo: Logo | None
    inks: Mapping[str, str]
    """What the law reads is in one, names, ornament and frame in the other."""
    bleed_mm: float
    seed: int

    def draw_panel(self, name: str, text: PanelText, bare: str | None) -> ComposedPanel:
        """A panel of its text and its art; ``bare`` is the colour of what it is printed on."""
        art, pictures = list(self._draw_behind(text)), list[Picture]()
        for place in text.art:
            if isinstance(place, BesidePlace):
                art += self._draw_beside(place)
                continue
            ornaments, placed = self._draw_art(place, text.place)
            art += ornaments
            pictures += placed
        outline, tint = text.place.outline, text.plan.background
        panel = Panel(
            name=name,
            width_mm=outline.width_mm,
            height_mm=outline.height_mm,
            shape=outline.shape,
            corner_mm=outline.corner_mm,
            runs=text.runs,
            ornaments=(*self._draw_around(text), *art, *make_open_jars(text.runs)),
            pictures=tuple(pictures),
            safe_mm=text.plan.margin_mm,
            note=describe_fit(text.fit),
            background=mix_colours(tint, bare) if tint and bare else tint or bare,
            stock_colour=bare,
        )
        lettered = self._list_lettered(text.plan, outline.shape)
        return ComposedPanel(panel, text.faces, text.guest, text.fit, lettered)

    def _pick_ink(self, colour: str | None, usual: str = "accent") -> str:
        """The colour of what a layout gives a colour, one of the inks, or nothing."""
        return self.inks.get(colour or usual, colour or "")

    def _draw_behind(self, text: PanelText) -> Iterator[Ornament]:
        """What stands behind the text: ground, borders and fixed art."""
        plan, outline = text.plan, text.place.outline
        if plan.background:
            yield make_ground(outline, plan.background, self.bleed_mm)
        for line in plan.borders:
            if outline.shape in line.shapes:
                ink = self._pick_ink(line.colour)
                yield make_border(replace(line, colour=None), outline, ink)
        for art in plan.art:
            if outline.shape in art.shapes:
                spec, colour = self.layout.ornaments[art.ornament], self._pick_ink(art.colour)
                yield from place_fixed_art(art, spec, outline, colour, self.bleed_mm)

    def _draw_around(self, text: PanelText) -> Iterator[Ornament]:
        """What grows along the trim and over the ground, where nothing is written."""
        outline, guest = text.place.outline, text.guest
        taken = [run.ink for run in text.runs if run.text.strip()]
        if guest is not None:
            high = guest.most_pt / PT_PER_MM
            low = guest.baseline_mm - high * DESCENT_EM
            taken.append(Box(guest.left_mm, low, guest.right_mm, guest.baseline_mm + high))
        for pattern in text.plan.patterns:
            if outline.shape in pattern.shapes:
                spec, ink = self.layout.ornaments[pattern.ornament], self._pick_ink(pattern.colour)
                plain = replace(pattern, colour=None)
                yield from fill_pattern(plain, spec, outline, ink, self.bleed_mm, taken)
        for surround in text.plan.surrounds:
            if outline.shape not in surround.shapes:
                continue
            ink, bare = self._pick_ink(surround.colour), replace(surround, colour=None)
            if surround.letters:
                yield from draw_words_along(bare, outline, ink, self.layout, self.words)
            else:
                yield from grow_surround(bare, outline, ink, taken, self.seed)

    def _draw_art(self, art: ArtPlace, place: TextArea) -> tuple[list[Ornament], list[Picture]]:
        block, top, height = art
        colour, outline = self._pick_ink(block.colour), place.outline
        left, right = place.sides(top - height, top)
        if block.rule:
            return [make_rule_line(block, top, left, right, colour)], []
        aspect = find_aspect(block, self.layout, self.logo)
        box = find_art_box(height * aspect, height, top, block.align, left, right)
        if block.picture and self.logo is not None:
            return place_logo(self.logo, box, self._pick_ink(block.colour, "text"))
        spec = self.layout.ornaments[block.ornament]
        if spec.lettering is None or not spec.lettering.band:
            return [place_ornament(spec, box, colour)], []
        band = box
        if block.zone == "head":  # it reaches up to the trim; what is cut out stands in its middle
            band = replace(box, y1_mm=outline.height_mm)
            up = (band.y1_mm - box.y1_mm) / 2
            box = replace(box, y0_mm=box.y0_mm + up, y1_mm=box.y1_mm + up)
        letters = place_ornament(spec, box, colour)
        return [make_band(letters, band, outline, self.bleed_mm)], []

    def _draw_beside(self, place: BesidePlace) -> list[Ornament]:
        spec = self.layout.ornaments[place.block.beside]
        colour = self._pick_ink(place.block.colour)
        return [
            place_ornament(spec, box, colour, flip_x=number == 0)
            for number, box in enumerate(place.boxes)
        ]

    def _list_lettered(self, plan: PanelLayout, shape: str) -> tuple[str, ...]:
        """The elements that a panel's design draws as outlines."""
        shown = {block.ornament for block in plan.blocks if shape in block.shapes}
        shown |= {art.ornament for art in plan.art if shape in art.shapes}
        shown |= {one.letters for one in plan.surrounds if shape in one.shapes}
        specs = (self.layout.ornaments[name] for name in shown - {""})
        return tuple(sorted({spec.lettering.element for spec in specs if spec.lettering}))
