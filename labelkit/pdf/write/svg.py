"""Draws a panel as SVG: the outlines that its PDF prints, for a screen.

The same placed runs and the same shaped lines as ``draw.py``, so that what a maker sees is what
comes out of the printer. Each glyph is defined once and used where it stands. Only numbers and
colours go into the text, never words of a file: nothing in it can be a script.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.outline import Outline
from labelkit.model.runs import Ornament, Panel, Picture, Run
from labelkit.typeset.clusters import Cluster, OwnText
from labelkit.typeset.companions import Companion, own_face_of
from labelkit.typeset.faces import Face
from labelkit.typeset.shape import MixedShapedLine, shape_text

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def draw_panel_svg(
    panel: Panel,
    faces: Mapping[str, Face],
    prefix: str,
    extra: Iterable[Run] = (),
    ghosts: frozenset[int] = frozenset(),
) -> str:
    """A panel as one <svg>, whose unit is the millimetre and whose box is the trim, where art that
    runs over it is cut.

    ``extra`` are runs that one label alone carries: its guest's name. ``prefix`` begins every id,
    so that several drawings may stand in one page. A run is a group with its place among the
    panel's runs (``data-run``), which a page may point at; those in ``ghosts`` carry the class
    "ghost".
    """
    glyphs = _Glyphs(prefix)
    pictures = map(_draw_picture, panel.pictures)
    ornaments = map(_draw_ornament, panel.ornaments)
    runs = [
        _draw_run(run, faces[run.face], glyphs, number, number in ghosts)
        for number, run in enumerate((*panel.runs, *extra))
    ]
    width, height = format_svg_number(panel.width_mm), format_svg_number(panel.height_mm)
    trim = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm).path()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' data-width="{width}" data-height="{height}" data-panel="{panel.name}">'
        f'<defs><clipPath id="{prefix}trim"><path d="{trim}"/></clipPath>'
        f"{''.join(glyphs.definitions())}</defs>"
        f'<g transform="matrix(1 0 0 -1 0 {height})">'
        f'<path class="paper" d="{trim}" fill="none"/>'
        f'<g clip-path="url(#{prefix}trim)">{"".join(pictures)}{"".join(ornaments)}</g>'
        f"{''.join(runs)}</g></svg>"
    )


def format_svg_number(value: float) -> str:
    """A number with at most four decimals, no trailing zeros, never "-0"."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


class _Glyphs:
    """The glyphs of one drawing, each defined once."""

    def __init__(self, prefix: str) -> None:
        self._prefix = prefix
        self._known: dict[tuple[Any, int | str], tuple[str, str]] = {}

    def use(self, font: Face | Companion, glyph: int | str, at_x: float, at_y: float) -> str:
        """A glyph (a character of a face, or a number of a companion) placed in font units."""
        key = (font, glyph)
        if key not in self._known:
            path = trace_glyph(font, glyph)
            self._known[key] = (f"{self._prefix}{len(self._known)}" if path else "", path)
        name, _ = self._known[key]
        if not name:
            return ""
        y = f' y="{format_svg_number(at_y)}"' if at_y else ""
        return f'<use href="#{name}" x="{format_svg_number(at_x)}"{y}/>'

    def definitions(self) -> Iterator[str]:
        for name, path in self._known.values():
            if name:
                yield f'<path id="{name}" d="{path}"/>'


@lru_cache(maxsize=16384)
def trace_glyph(font: Face | Companion, glyph: int | str) -> str:
    """A glyph's outline as path data in font units, y up; "" for a blank one."""
    from fontTools.pens.svgPathPen import SVGPathPen

    pen = SVGPathPen(None, ntos=format_svg_number)
    if isinstance(font, Companion):
        font.font.draw_glyph_with_pen(glyph, pen)
    else:
        font.draw_outline(str(glyph), pen)
    return str(pen.getCommands())


@dataclass(frozen=True, slots=True)
class GlyphGroup:
    """Glyphs of one font that stand in a line, in font units from where the line begins."""

    mm_per_unit: float
    font: Face | Companion
    glyphs: tuple[tuple[int | str, float, float], ...]
    """Each a character of a face, or a number of a companion, and its place."""


def place_glyphs(run: Run, face: Face) -> Iterator[GlyphGroup]:
    """The glyphs of a run, as its PDF prints them."""
    shaped, em_mm = shape_text(face, run.text), run.size_pt / PT_PER_MM
    if not isinstance(shaped, MixedShapedLine):
        yield _place_text(run.text, face, em_mm, run.tracking_em, 0.0)
        return
    own = own_face_of(shaped.face)
    for piece, at_em in shaped.placed(run.tracking_em):
        if isinstance(piece, OwnText):
            text = shaped.text[piece.start : piece.end]
            yield _place_text(text, own, em_mm, run.tracking_em, at_em)
        else:
            yield _place_cluster(piece, em_mm, at_em)


def _place_text(
    text: str, face: Face, em_mm: float, tracking_em: float, at_em: float
) -> GlyphGroup:
    """One face's letters from ``at_em`` on."""
    shaped, units = shape_text(face, text), face.units_per_em
    x, placed = at_em, []
    for character, advance, rise in zip(text, shaped.advances_em, shaped.rises_em, strict=True):
        placed.append((character, x * units, rise * units))
        x += advance + tracking_em
    return GlyphGroup(em_mm / units, face, tuple(placed))


def _place_cluster(cluster: Cluster, em_mm: float, at_em: float) -> GlyphGroup:
    units = cluster.font.units_per_em
    start = at_em / cluster.scale
    placed = tuple((glyph, (start + x) * units, y * units) for glyph, x, y in cluster.glyphs)
    return GlyphGroup(em_mm * cluster.scale / units, cluster.font, placed)


def trace_run(run: Run, face: Face) -> str:
    """The outlines of a run's letters as path data in millimetres of the label."""
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    pen = SVGPathPen(None, ntos=format_svg_number)
    for group in place_glyphs(run, face):
        scale = group.mm_per_unit
        for glyph, x, y in group.glyphs:
            at = (run.x_mm + x * scale, run.baseline_mm + y * scale)
            outline = trace_glyph(group.font, glyph)
            parse_path(outline, TransformPen(pen, (scale, 0, 0, scale, *at)))
    return str(pen.getCommands())


def _draw_run(run: Run, face: Face, glyphs: _Glyphs, number: int, ghost: bool) -> str:
    x, y = format_svg_number(run.x_mm), format_svg_number(run.baseline_mm)
    drawn = "".join(_draw_group(group, glyphs) for group in place_glyphs(run, face))
    name, colour = ' class="ghost"' if ghost else "", _check_colour(run.colour)
    return (
        f'<g data-run="{number}" data-element="{run.element}"{name} fill="{colour}"'
        f' transform="translate({x} {y})">{drawn}</g>'
    )


def _draw_group(group: GlyphGroup, glyphs: _Glyphs) -> str:
    uses = (glyphs.use(group.font, glyph, x, y) for glyph, x, y in group.glyphs)
    return f'<g transform="scale({group.mm_per_unit:.8f})">{"".join(uses)}</g>'


@lru_cache(maxsize=512)
def _rewrite_path(path: str) -> str:
    """Path data as we write it: whatever a file said in it, only commands and numbers are left."""
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.svgLib.path import parse_path

    pen = SVGPathPen(None, ntos=format_svg_number)
    parse_path(path, pen)
    return str(pen.getCommands())


def _draw_ornament(ornament: Ornament) -> str:
    path, colour = _rewrite_path(ornament.path), _check_colour(ornament.colour)
    if ornament.stroke_mm is None:
        rule = ' fill-rule="evenodd"' if ornament.even_odd else ""
        return f'<path d="{path}" fill="{colour}"{rule}/>'
    fill = colour if ornament.filled else "none"
    width = format_svg_number(ornament.stroke_mm)
    return (
        f'<path d="{path}" fill="{fill}" stroke="{colour}" stroke-width="{width}"'
        ' stroke-linecap="round" stroke-linejoin="round"/>'
    )


def _draw_picture(picture: Picture) -> str:
    kind = "png" if picture.data.startswith(b"\x89PNG") else "jpeg"
    data, box = base64.b64encode(picture.data).decode("ascii"), picture.box
    x, y, width, height = map(
        format_svg_number, (box.x0_mm, -box.y1_mm, box.width_mm, box.height_mm)
    )
    return (
        f'<image href="data:image/{kind};base64,{data}" x="{x}" y="{y}" width="{width}"'
        f' height="{height}" preserveAspectRatio="none" transform="scale(1 -1)"/>'
    )


def _check_colour(colour: str) -> str:
    if not _COLOUR.fullmatch(colour):
        raise ValueError(f"{colour!r} is no colour")
    return colour
