"""Draws a suite as it lies on a table: label, band, tag, cards and lid in one scale, as a PNG.

Run ``python tests/suite_picture.py samples/bayside-vows/label.toml FILE.png`` for the picture in
samples/; what it shows is what is printed, cut and folded, and one piece of soap in its band.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from contact_sheet import GROUND, picture

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.job.prepare import prepare_job
from labelkit.model.outline import Outline
from labelkit.model.runs import Box
from labelkit.order.pieces import Fold
from labelkit.pdf.write.draw import (
    DocumentInfo,
    PdfFonts,
    define_panel,
    fill_operator,
    format_pdf_number,
    make_canvas,
    path_operators,
    stroke_operator,
)
from labelkit.report.wrapped_drawing import draw_view
from labelkit.report.wrapped_piece import View, list_faces, make_views

WIDTH_PX = 1500
PALETTE = 64
EDGE_MM, GAP_MM, MOST_GAP_MM = 10.0, 9.0, 14.0
EDGE_INK, SHADE, FOLD_INK = "#d8cfc1", "#dcd3c5", "#c9bfb0"
SHADE_MM = 0.7


@dataclass(frozen=True)
class Shown:
    """A part of something printed: a face of a piece, or all of it."""

    composed: ComposedPanel
    box: Box
    """The part that is seen, on its panel."""
    holes: tuple[tuple[float, float], ...] = ()
    hole_mm: float = 0.0
    folds: tuple[Fold, ...] = ()


Item = Shown | View


def list_rows(job: Job, guest: str) -> Iterator[tuple[Item, ...]]:
    """What lies in each row, from the head."""
    pieces = {made.piece.kind: made for made in job.fitting_pieces}

    def write_guest(composed: ComposedPanel) -> ComposedPanel:
        runs = job.guest_runs.get(composed.panel.name, {}).get(guest, ())
        return replace(composed, panel=replace(composed.panel, runs=(*composed.panel.runs, *runs)))

    def show(kind: str, *strips: int) -> Iterator[Shown]:
        made = pieces[kind]
        piece = made.piece
        for number in strips:
            box = piece.strips[number].box
            holes = tuple(at for at in piece.holes if box.x0_mm <= at[0] <= box.x1_mm)
            yield Shown(write_guest(made.whole), box, holes, piece.hole_mm)

    def show_whole(kind: str) -> Shown:
        whole = write_guest(pieces[kind].whole)
        return Shown(whole, _whole_box(whole), folds=pieces[kind].piece.folds)

    front, back = (write_guest(one) for one in job.fitting[:2])
    banded = next(view for view in make_views(job, guest) if view.banded)
    yield (*show("thank-you-card", 0), *show("hang-tag", 1, 0))
    yield (*show("place-card", 1), banded, show_whole("box-lid"))
    yield (Shown(front, _whole_box(front)), Shown(back, _whole_box(back)))
    yield (show_whole("band"),)


def _whole_box(composed: ComposedPanel) -> Box:
    return Box(0.0, 0.0, composed.panel.width_mm, composed.panel.height_mm)


def measure(item: Item) -> tuple[float, float]:
    """Width and height in millimetres."""
    if isinstance(item, View):
        return item.width_mm, item.height_mm
    return item.box.x1_mm - item.box.x0_mm, item.box.y1_mm - item.box.y0_mm


def draw_suite(rows: Iterable[tuple[Item, ...]]) -> tuple[bytes, float]:
    """One PDF page with every row centred, each item on the middle of its row; and its width."""
    laid = [(row, max(measure(item)[1] for item in row)) for row in rows]
    wide = max(sum(measure(item)[0] + GAP_MM for item in row) for row, _ in laid) - GAP_MM
    page = wide + 2 * EDGE_MM, sum(high + GAP_MM for _, high in laid) - GAP_MM + 2 * EDGE_MM
    panels = _list_panels(item for row, _ in laid for item in row)
    stream = io.BytesIO()
    canvas = make_canvas(stream, page, DocumentInfo("Suite", "en"))
    faces = {name: face for one in panels for name, face in one.faces.items()}
    fonts, forms = PdfFonts(canvas, faces), {}
    for number, one in enumerate(panels):
        forms[id(one.panel)] = f"panel{number}"
        define_panel(canvas, forms[id(one.panel)], one.panel, fonts, 0.0)
    _fill(canvas, Box(0.0, 0.0, *page), GROUND)
    top = page[1] - EDGE_MM
    for row, high in laid:
        across = sum(measure(item)[0] for item in row)
        gap = min(MOST_GAP_MM, (wide - across) / (len(row) + 1))
        x = (page[0] - across - gap * (len(row) - 1)) / 2
        for item in row:
            width, height = measure(item)
            place = x, top - (high + height) / 2
            if isinstance(item, View):
                draw_view(canvas, item, place, 1.0, fonts, forms)
            else:
                _draw_shown(canvas, item, place, forms)
            x += width + gap
        top -= high + GAP_MM
    canvas.showPage()
    canvas.save()
    return stream.getvalue(), page[0]


def _list_panels(items: Iterable[Item]) -> list[ComposedPanel]:
    found: dict[int, ComposedPanel] = {}
    for item in items:
        seen = [face.composed for face in list_faces([item])] if isinstance(item, View) else [
            item.composed
        ]  # fmt: skip
        found |= {id(one.panel): one for one in seen}
    return list(found.values())


def _draw_shown(
    canvas: Any, shown: Shown, place: tuple[float, float], forms: dict[int, str]
) -> None:
    box, (x, y) = shown.box, place
    width, height = measure(shown)
    panel = shown.composed.panel
    outline = Outline("rectangle", width, height)
    if _whole_box(shown.composed) == box:
        outline = Outline(panel.shape, width, height, panel.corner_mm)
    path = path_operators(outline.path())
    canvas._code += [_move(x + SHADE_MM, y - SHADE_MM), fill_operator(SHADE), *path, "f Q"]
    canvas._code += [_move(x, y), "1 g", *path, "f q", *path, "W n", _move(-box.x0_mm, -box.y0_mm)]
    canvas.doForm(forms[id(panel)])
    canvas._code += ["Q Q"]
    for fold in shown.folds:
        at = _pt(fold.at_mm)
        ends = (f"{at} 0 m", f"{at} {_pt(height)} l S")
        if not fold.upright:
            ends = (f"0 {at} m", f"{_pt(width)} {at} l S")
        canvas._code += [stroke_operator(FOLD_INK), "0.5 w [3 2] 0 d", *ends, "[] 0 d"]
    for hole_x, hole_y in shown.holes:
        ring = Outline("round", shown.hole_mm, shown.hole_mm).path()
        half = shown.hole_mm / 2
        canvas._code += [_move(hole_x - box.x0_mm - half, hole_y - box.y0_mm - half)]
        canvas._code += [fill_operator(GROUND), *path_operators(ring), "f Q"]
    canvas._code += [stroke_operator(EDGE_INK), "0.3 w", *path, "S Q"]


def _fill(canvas: Any, box: Box, colour: str) -> None:
    canvas._code += [fill_operator(colour), f"0 0 {_pt(box.x1_mm)} {_pt(box.y1_mm)} re f"]


def _move(x: float, y: float) -> str:
    return f"q 1 0 0 1 {_pt(x)} {_pt(y)} cm"


def _pt(millimetres: float) -> str:
    return format_pdf_number(millimetres * PT_PER_MM)


def main(arguments: list[str]) -> None:
    job = prepare_job(Path(arguments[0]))
    data, width_mm = draw_suite(list_rows(job, next(iter(job.spec.event.guest_names), "")))
    picture(data, Path(arguments[1]), (WIDTH_PX - 0.5) / (width_mm / 25.4), colours=PALETTE)


if __name__ == "__main__":
    main(sys.argv[1:])
