"""Draws the front and back of a label side by side on a pale ground, as a small PNG.

Run ``python tests/label_picture.py samples/lighthouse-supper/label.toml FILE.png`` for the picture
the README shows, and ``python tests/label_picture.py --layouts`` for those in layouts/.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from contact_sheet import LAYOUTS, ROOT, event_job, page_of, picture

from labelkit.compose import ComposedPanel
from labelkit.job.prepare import prepare_job
from labelkit.order.inks import load_inks

WIDTH_PX = 1200
GAP_MM, EDGE_MM = 5.0, 6.0
MM_PER_INCH = 25.4
PALETTE = 48
SHOWN = {
    "bayleaf": ("nl+fr", "rounded"),
    "bunting": ("en", "rounded"),
    "hedgerow": ("en", "rounded"),
    "lantern": ("en+fr", "rounded"),
    "ledger": ("nl+fr", "rectangle"),
    "pantry": ("en+fr", "rounded"),
    "scallop": ("fi+sv", "round"),
    "solstice": ("en", "rectangle"),
    "stillwater": ("en", "arch"),
    "vesper": ("en", "oval"),
    "almanac": ("en", "rounded"),
    "cradle": ("en", "rounded"),
    "frost": ("en", "rounded"),
    "stall": ("en", "rounded"),
    "banner": ("en", "rounded"),
    "broadside": ("nl+fr", "rectangle"),
    "calico": ("en", "round"),
    "cipher": ("en", "rounded"),
    "garth": ("en", "oval"),
    "meadow": ("en", "rounded"),
    "roundel": ("en", "round"),
    "spine": ("en", "rectangle"),
    "twain": ("en", "arch"),
}
"""The event and shape in which each layout is shown; any other in English on a rectangle."""


def label_picture(panels: Sequence[ComposedPanel], target: Path) -> None:
    """Front and back beside each other, WIDTH_PX wide."""
    shown = panels[:2]
    height = max(c.panel.height_mm for c in shown) + 2 * EDGE_MM
    x, cells = EDGE_MM, []
    for composed in shown:
        cells.append((x, (height - composed.panel.height_mm) / 2, composed))
        x += composed.panel.width_mm + GAP_MM
    width = x - GAP_MM + EDGE_MM
    data = page_of(cells, (width, height))
    picture(data, target, (WIDTH_PX - 0.5) / (width / MM_PER_INCH), colours=PALETTE)


def main(arguments: list[str]) -> None:
    if arguments[0] != "--layouts":
        label_picture(prepare_job(Path(arguments[0])).composed, Path(arguments[1]))
        return
    for layout in LAYOUTS:
        language, shape = SHOWN.get(layout, ("en", "rectangle"))
        with tempfile.TemporaryDirectory() as folder:
            job = event_job(layout, language, shape, Path(folder))
            inks = [load_inks()[name].value for name in job.layout.inks[:1]]
            job = job.with_order(spec=replace(job.spec, accent=next(iter(inks), None)))
            label_picture(job.composed, ROOT / "layouts" / "pictures" / f"{layout}.png")


if __name__ == "__main__":
    main(sys.argv[1:])
