"""Writes down every line of a job's sheets with its place, as the other programs are given it.

Usage: drawing.py LABEL.toml DRAWING.json
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from fontTools.ttLib import TTFont

from labelkit.impose import impose_labels
from labelkit.job.prepare import prepare_job


def main() -> None:
    drawing = drawing_of(Path(sys.argv[1]))
    Path(sys.argv[2]).write_text(json.dumps(drawing), encoding="utf-8")


def drawing_of(label: Path) -> dict[str, Any]:
    """Page, faces, marks, places and, for each panel, the lines of every label."""
    job = prepare_job(label)
    sheets = impose_labels(
        job.stock, job.spec.trim, job.spec.event.labels, bleed_mm=job.spec.bleed_mm
    )
    fonts = {name: str(face.path) for name, face in sorted(job.faces.items())}
    families: dict[str, tuple[str, int, float]] = {}
    for name, path in fonts.items():
        with TTFont(path) as font:
            family = font["name"].getBestFamilyName()
            stretch = 75.0 if "Condensed" in family else 100.0
            families[name] = (family.replace(" Condensed", ""), font["OS/2"].usWeightClass, stretch)
    return {
        "page_mm": (sheets[0].page_width_mm, sheets[0].page_height_mm),
        "fonts": fonts,
        "families": families,
        "marks": [(m.x0, m.y0, m.x1, m.y1) for m in sheets[0].marks],
        "pages": [
            [(p.index, p.x_mm, p.y_mm, p.turns % 2 == 1) for p in sheet.places] for sheet in sheets
        ],
        "panels": [
            {
                "name": composed.panel.name,
                "width_mm": composed.panel.width_mm,
                "height_mm": composed.panel.height_mm,
                "runs": [asdict(run) for run in composed.panel.runs],
                "guests": [
                    asdict(run)
                    for number in range(job.spec.event.labels)
                    for run in job.own_runs(composed, number)
                ],
            }
            for composed in job.composed
        ],
    }


if __name__ == "__main__":
    main()
