"""Drawings are moved as fontTools' pens move and write them, the reference for path data here."""

from __future__ import annotations

import pytest
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib.path import parse_path

from labelkit.common.resources import find_layouts_folder
from labelkit.compose.ornament.made import draw_growth
from labelkit.model.path_segments import move_path
from labelkit.order.layout import read_layout

DRAWINGS = tuple(
    spec.path or draw_growth(spec.growth, seed=3)
    for path in sorted(find_layouts_folder().glob("*.toml"))
    for spec in read_layout(path).ornaments.values()
    if spec.path or spec.growth
)
EVERY_COMMAND = (
    "M0 0L10 0L10 0L10 9Q1 2 3 4T5 6A3 2 10 0 1 8 8ZL3 3M1 1L1 1h5v-3",
    "M0 0L1 2 3 4Z L5 5",
    "m1 1c2 0 3 1 4 2s3 3 4 2zm2 2l1-1H9V2",
)
MOVES = ((1, 0, 0, -1, 0, 0), (0.37, 0, 0, -0.41, 3.3, 2.25), (0.5, 0.2, -0.1, 0.7, 1, 2))


@pytest.mark.parametrize("move", MOVES)
def test_a_drawing_is_moved_as_fonttools_pens_move_it(move: tuple[float, ...]) -> None:
    assert len(DRAWINGS) > 20
    for drawing in (*DRAWINGS, *EVERY_COMMAND):
        pen = SVGPathPen(None, ntos=lambda v: f"{v:.4f}".rstrip("0").rstrip("."))
        parse_path(drawing, TransformPen(pen, move))
        assert move_path(drawing, move) == pen.getCommands()
