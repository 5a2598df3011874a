"""Which lines a label is cut along, and how deep; files of them for a cutting machine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.compose.job import Job
from labelkit.impose import GuidePage, find_gutter_mm
from labelkit.model.outline import Outline
from labelkit.order.label import Trim
from labelkit.pdf.write.cut_files import draw_cut_dxf, draw_cut_svg, lay_cuts, move_path
from labelkit.pdf.write.draw import CutLine
from labelkit.pdf.write.press import DIE_LINE, FOLD_LINE, KISS_LINE, Layer

SHARE_OF_GUTTER = 1 / 3
"""How far outside the label its backing is cut where both are: a third of the gutter is left
between two such cuts."""


@dataclass(frozen=True)
class CutFile:
    """A file for a cutting machine."""

    name: str
    data: bytes
    told: Said


def list_cuts(job: Job, panel: str) -> dict[Layer, str]:
    """The lines that a panel is folded and cut along (SVG path data, mm, y up), by their layers."""
    trim, bleed_mm = job.print_run(panel).trim, job.spec.bleed_mm
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    folds = "".join(
        f"M{at:g} 0L{at:g} {trim.height_mm:g}" if upright else f"M0 {at:g}L{trim.width_mm:g} {at:g}"
        for upright, at in trim.folds
    )
    folded = {FOLD_LINE: folds} if folds else {}
    if trim.cut == "through":
        return {**folded, DIE_LINE: outline.path() + "".join(_list_holes(job, panel))}
    if trim.cut == "kiss":
        return {**folded, KISS_LINE: outline.path()}
    backing = outline.path(SHARE_OF_GUTTER * find_gutter_mm(trim, bleed_mm))
    return {**folded, KISS_LINE: outline.path(), DIE_LINE: backing}


def _list_holes(job: Job, panel: str) -> Iterator[str]:
    """The holes of a tag, as paths."""
    for piece in (one for one in job.spec.pieces if one.kind == panel and one.hole_mm):
        ring = Outline("round", piece.hole_mm, piece.hole_mm).path()
        for x, y in piece.holes:
            yield move_path(ring, (1, 0, 0, 1, x - piece.hole_mm / 2, y - piece.hole_mm / 2))


def make_cut_lines(job: Job, panel: str, colours: Mapping[Layer, str]) -> tuple[CutLine, ...]:
    """The same as they are drawn in a PDF, each layer in its colour."""
    cuts = list_cuts(job, panel)
    return tuple(CutLine(layer, path, colours[layer]) for layer, path in cuts.items())


def make_cut_files(
    job: Job, panel: str, name: str, pages: tuple[GuidePage, ...]
) -> Iterator[CutFile]:
    """An SVG and a DXF for every arrangement of labels; ``name`` is that of the guide."""
    lines = {layer.name: path for layer, path in list_cuts(job, panel).items()}
    for number, page in enumerate(pages, start=1):
        layers = lay_cuts(page.sheet, lines)
        stem = name if number == 1 else f"{name}-{number}"
        told = Said("the cuts of every sheet, for a cutting machine")
        if len(pages) > 1:
            told = Said(
                "the cuts of sheet {first}, for a cutting machine"
                if page.first == page.last
                else "the cuts of sheets {first} to {last}, for a cutting machine",
                first=page.first,
                last=page.last,
            )
        yield CutFile(f"{stem}.svg", draw_cut_svg(page.sheet, layers), told)
        yield CutFile(f"{stem}.dxf", draw_cut_dxf(page.sheet, layers), told)


def describe_cutting(trim: Trim, bleed_mm: float) -> Iterator[Said]:
    """What a maker should know before a machine cuts."""
    if not find_gutter_mm(trim, bleed_mm):
        yield Said(
            "Labels touch, so a machine cuts most lines twice: gutter"
            ' = "2 mm" under [label] keeps them apart.'
        )
    yield Said(
        "The cuts are placed by the registration marks of the printed sheet, and corrected for no"
        " printer: let the machine find the marks, and try it on one sheet first."
    )
