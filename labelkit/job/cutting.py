"""Which lines a label is cut along, and how deep; files of them for a cutting machine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from labelkit.common.messages import Said
from labelkit.impose import GuidePage, find_gutter_mm
from labelkit.model.outline import Outline
from labelkit.order.label import Trim
from labelkit.pdf.write.cut_files import draw_cut_dxf, draw_cut_svg, lay_cuts
from labelkit.pdf.write.draw import CutLine
from labelkit.pdf.write.press import DIE_LINE, KISS_LINE, Layer

SHARE_OF_GUTTER = 1 / 3
"""How far outside the label its backing is cut where both are: a third of the gutter is left
between two such cuts."""


@dataclass(frozen=True)
class CutFile:
    """A file for a cutting machine."""

    name: str
    data: bytes
    told: Said


def list_cuts(trim: Trim, bleed_mm: float) -> dict[Layer, str]:
    """The lines that a label is cut along (SVG path data, mm, y up), by their layers."""
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    if trim.cut == "through":
        return {DIE_LINE: outline.path()}
    if trim.cut == "kiss":
        return {KISS_LINE: outline.path()}
    backing = outline.path(SHARE_OF_GUTTER * find_gutter_mm(trim, bleed_mm))
    return {KISS_LINE: outline.path(), DIE_LINE: backing}


def make_cut_lines(
    trim: Trim, bleed_mm: float, colours: Mapping[Layer, str]
) -> tuple[CutLine, ...]:
    """The same as they are drawn in a PDF, each layer in its colour."""
    cuts = list_cuts(trim, bleed_mm)
    return tuple(CutLine(layer, path, colours[layer]) for layer, path in cuts.items())


def make_cut_files(
    name: str, pages: tuple[GuidePage, ...], trim: Trim, bleed_mm: float
) -> Iterator[CutFile]:
    """An SVG and a DXF for every arrangement of labels; ``name`` is that of the guide."""
    lines = {layer.name: path for layer, path in list_cuts(trim, bleed_mm).items()}
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
