"""The wrapped piece drawn: as operators of a PDF page, and as an SVG."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from labelkit.common.quantity import PT_PER_MM
from labelkit.model.outline import Outline
from labelkit.pdf.write.document import MULTIPLY
from labelkit.pdf.write.draw import (
    PdfFonts,
    fill_operator,
    format_pdf_number,
    path_operators,
    run_operators,
    stroke_operator,
)
from labelkit.pdf.write.svg import draw_panel_svg, format_svg_number
from labelkit.report.wrapped_piece import PlacedFace, Shade, View


def draw_view(
    canvas: Any, view: View, place_mm: tuple[float, float], scale: float, fonts: PdfFonts,
    forms: Mapping[int, str],
) -> None:  # fmt: skip
    """A view with its lower left corner at a place of the page. ``forms`` names the form that draws
    each face's panel, by the panel's identity."""
    x, y = (format_pdf_number(v * PT_PER_MM) for v in place_mm)
    by = format_pdf_number(scale)
    canvas._code.append(f"q {by} 0 0 {by} {x} {y} cm 1 J 1 j")
    for part in view.parts:
        if isinstance(part, Shade):
            canvas._code += _shade_operators(part)
        else:
            _draw_placed_face(canvas, part, fonts, forms)
    canvas._code.append("Q")


def _shade_operators(shade: Shade) -> Iterator[str]:
    path = path_operators(shade.path)
    if shade.stroke_mm is None:
        yield from ("q", fill_operator(shade.colour), *path, "f", "Q")
        return
    weight = format_pdf_number(shade.stroke_mm * PT_PER_MM)
    dash = ""
    if shade.dash_mm is not None:
        on, off = (format_pdf_number(v * PT_PER_MM) for v in shade.dash_mm)
        dash = f"[{on} {off}] 0 d"
    yield from ("q", stroke_operator(shade.colour), f"{weight} w {dash}", *path, "S", "Q")


def _draw_placed_face(
    canvas: Any, face: PlacedFace, fonts: PdfFonts, forms: Mapping[int, str]
) -> None:
    panel = face.composed.panel
    a, b, c, d, e, f = face.matrix
    numbers = [*map(format_pdf_number, (a, b, c, d)),
               *(format_pdf_number(v * PT_PER_MM) for v in (e, f))]  # fmt: skip
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    canvas._code += [f"q {' '.join(numbers)} cm", *path_operators(outline.path()), "W n"]
    if panel.background and panel.pictures:  # no printer here has white ink
        canvas._code.append(MULTIPLY)
    canvas.doForm(forms[id(panel)])
    for run in face.own_runs:
        canvas._code += run_operators(run, fonts)
    canvas._code.append("Q")


def draw_view_svg(view: View, prefix: str) -> str:
    """A view as one <svg> whose unit is the millimetre; ``prefix`` begins every id."""
    width, height = format_svg_number(view.width_mm), format_svg_number(view.height_mm)
    drawn = "".join(
        _draw_shade(part, view.height_mm)
        if isinstance(part, Shade)
        else _draw_face(part, view.height_mm, f"{prefix}{number}-")
        for number, part in enumerate(view.parts)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' data-view="{view.side}">{drawn}</svg>'
    )


def _draw_shade(shade: Shade, height_mm: float) -> str:
    turn = f'transform="matrix(1 0 0 -1 0 {format_svg_number(height_mm)})"'
    if shade.stroke_mm is None:
        return f'<path d="{shade.path}" fill="{shade.colour}" {turn}/>'
    dash = ""
    if shade.dash_mm is not None:
        on, off = map(format_svg_number, shade.dash_mm)
        dash = f' stroke-dasharray="{on} {off}"'
    width = format_svg_number(shade.stroke_mm)
    return (
        f'<path d="{shade.path}" fill="none" stroke="{shade.colour}" stroke-width="{width}"'
        f' stroke-linecap="round" stroke-linejoin="round"{dash} {turn}/>'
    )


def _draw_face(face: PlacedFace, height_mm: float, prefix: str) -> str:
    """A face's own drawing, y down, moved to where it is seen and cut to its trim."""
    panel = face.composed.panel
    a, b, c, d, e, f = face.matrix
    wide, high = panel.width_mm, panel.height_mm
    moved = (a, -b, -c, d, c * high + e, height_mm - d * high - f)
    numbers = " ".join(map(format_svg_number, moved))
    outline = Outline(panel.shape, wide, high, panel.corner_mm).path()
    size = f'width="{format_svg_number(wide)}" height="{format_svg_number(high)}"'
    drawn = draw_panel_svg(panel, face.composed.faces, prefix, face.own_runs)
    darkens = ' style="mix-blend-mode:multiply"' if panel.background and panel.pictures else ""
    return (
        f'<clipPath id="{prefix}cut"><path d="{outline}"'
        f' transform="matrix(1 0 0 -1 0 {format_svg_number(high)})"/></clipPath>'
        f'<g transform="matrix({numbers})"{darkens}><g clip-path="url(#{prefix}cut)">'
        f"{drawn.replace('<svg ', f'<svg {size} ', 1)}</g></g>"
    )
