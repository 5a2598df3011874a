"""A layout's ornaments drawn for one order: plants from its seed, letters from its words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from labelkit.compose.arrangements import load_spec_face
from labelkit.compose.element_words import Wordings
from labelkit.compose.ornament.figures import FIGURES, draw_figure
from labelkit.compose.ornament.lettering import draw_letters, find_band_box
from labelkit.compose.ornament.pencil import find_bounds
from labelkit.compose.ornament.plants import grow_plant
from labelkit.model.path_segments import move_path
from labelkit.order.layout import DESIGNS, Layout, OrnamentSpec, PanelLayout
from labelkit.order.ornament import Growth, Lettering

DOWN = (1, 0, 0, -1, 0, 0)
"""From y up to y down, as drawings of layouts have it."""
LEAST_SHARE = 0.085
"""A line of letters flatter than this, against its width, is broken in two where it may be."""


def draw_ornaments(layout: Layout, words: Wordings, seed: int) -> Layout:
    """The layout with every ornament drawn; those that cannot be, for want of words or of a face
    that writes them, are gone from it with the blocks that show them."""
    drawn: dict[str, OrnamentSpec] = {}
    for name, spec in layout.ornaments.items():
        made = _draw_ornament(spec, layout, words, seed)
        if made is not None:
            drawn[name] = made
    return show_ornaments(layout, tuple(drawn.items()))


@lru_cache(maxsize=DESIGNS)
def show_ornaments(layout: Layout, ornaments: tuple[tuple[str, OrnamentSpec], ...]) -> Layout:
    """A layout with these ornaments, by name, for its own; others are gone from it likewise."""
    drawn = dict(ornaments)
    if drawn == layout.ornaments:
        return layout
    names = frozenset(drawn)
    panels = {name: _keep_drawn(plan, names) for name, plan in layout.panels.items()}
    return replace(layout, ornaments=drawn, panels=panels)


def _draw_ornament(
    spec: OrnamentSpec, layout: Layout, words: Wordings, seed: int
) -> OrnamentSpec | None:
    if spec.growth is not None:
        return _draw_grown(spec, spec.growth, 0 if spec.growth.kind in FIGURES else seed)
    if spec.lettering is None:
        return spec
    path = _draw_words(spec.lettering, layout, words)
    return _with_path(spec, path) if path else None


@lru_cache(maxsize=64)
def _draw_grown(spec: OrnamentSpec, growth: Growth, seed: int) -> OrnamentSpec:
    """A plant as it stands on every face of an order, or a figure as on those of all orders."""
    return _with_path(spec, draw_growth(growth, seed))


def draw_growth(growth: Growth, seed: int) -> str:
    """The path of a plant or a figure, y up."""
    return draw_figure(growth) if growth.kind in FIGURES else grow_plant(growth, seed)


def _with_path(spec: OrnamentSpec, path: str) -> OrnamentSpec:
    banded = spec.lettering is not None and spec.lettering.band
    x0, y0, x1, y1 = find_band_box(path) if banded else find_bounds([path])
    view = (x0, -y1, max(x1 - x0, 1.0), max(y1 - y0, 1.0))
    return replace(spec, path=move_path(path, DOWN), view=view)


def _draw_words(lettering: Lettering, layout: Layout, words: Wordings) -> str:
    """The path of the words, "" where there are none or the face cannot write them."""
    texts = [(w.text, w.language) for w in words.get(lettering.element, ())]
    face = load_spec_face(layout.faces[lettering.face], layout.faces[lettering.face].widths[0])
    if not texts or len(texts) > lettering.lines or any(face.missing(text) for text, _ in texts):
        return ""
    path = draw_letters(lettering, texts, face)
    x0, y0, x1, y1 = find_bounds([path])
    flat = lettering.form == "line" and (y1 - y0) < LEAST_SHARE * (x1 - x0)
    if flat and len(texts) == 1 and lettering.lines > 1:
        text, language = texts[0]
        halves = _break_in_two(text)
        if halves:
            path = draw_letters(lettering, [(half, language) for half in halves], face)
    return path


def _break_in_two(text: str) -> tuple[str, str] | None:
    """A text in two lines as even as can be, an "&" at the head of the second."""
    parts = text.split(" ")
    breaks = [(" ".join(parts[:n]), " ".join(parts[n:])) for n in range(1, len(parts))]
    breaks = [b for b in breaks if not b[0].endswith("&")]
    return min(breaks, key=lambda b: abs(len(b[0]) - len(b[1])), default=None)


@lru_cache(maxsize=DESIGNS)
def _keep_drawn(plan: PanelLayout, drawn: frozenset[str]) -> PanelLayout:
    """A panel's design without what shows an ornament that is not there."""
    there: Callable[[str], bool] = lambda name: not name or name in drawn  # noqa: E731
    return replace(
        plan,
        blocks=tuple(
            replace(b, ornament=b.ornament if there(b.ornament) else "", instead_of="")
            if b.instead_of or not there(b.ornament)
            else b
            for b in plan.blocks
            if (not b.instead_of or b.instead_of not in drawn) and (there(b.ornament) or b.picture)
        ),
        art=tuple(a for a in plan.art if there(a.ornament)),
        surrounds=tuple(s for s in plan.surrounds if there(s.letters)),
        patterns=tuple(p for p in plan.patterns if there(p.ornament)),
    )
