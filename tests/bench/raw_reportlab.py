"""The sheets of a job as a plain reportlab program would make them: no checks, no read-back.

Usage: raw_reportlab.py DRAWING.json FOLDER
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

MM = 72 / 25.4


def main() -> None:
    drawing = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    for name, path in drawing["fonts"].items():
        pdfmetrics.registerFont(TTFont(name, path))
    for panel in drawing["panels"]:
        write(drawing, panel, Path(sys.argv[2]) / f"{panel['name']}.pdf")


def write(drawing: dict[str, Any], panel: dict[str, Any], path: Path) -> None:
    page = (drawing["page_mm"][0] * MM, drawing["page_mm"][1] * MM)
    canvas = Canvas(str(path), pagesize=page, pageCompression=1)
    canvas.beginForm("label", 0, 0, panel["width_mm"] * MM, panel["height_mm"] * MM)
    for run in panel["runs"]:
        draw(canvas, run)
    canvas.endForm()
    for places in drawing["pages"]:
        for index, x, y, turned in places:
            canvas.saveState()
            canvas.translate(x * MM, y * MM)
            if turned:
                canvas.rotate(90)
            canvas.doForm("label")
            if panel["guests"]:
                draw(canvas, panel["guests"][index])
            canvas.restoreState()
        canvas.setLineWidth(0.25)
        for x0, y0, x1, y1 in drawing["marks"]:
            canvas.line(x0 * MM, y0 * MM, x1 * MM, y1 * MM)
        canvas.showPage()
    canvas.save()


def draw(canvas: Canvas, run: dict[str, Any]) -> None:
    canvas.setFont(run["face"], run["size_pt"])
    canvas.drawString(run["x_mm"] * MM, run["baseline_mm"] * MM, run["text"])


if __name__ == "__main__":
    main()
