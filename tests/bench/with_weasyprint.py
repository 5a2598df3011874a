"""The sheets of a job set by WeasyPrint, from HTML written for it.

Usage: with_weasyprint.py DRAWING.json FOLDER
"""

from __future__ import annotations

import html
import json
import sys
from pathlib import Path
from typing import Any

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration


def main() -> None:
    drawing = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    for panel in drawing["panels"]:
        fonts = FontConfiguration()
        style = CSS(string=style_of(drawing), font_config=fonts)
        path = Path(sys.argv[2]) / f"{panel['name']}.pdf"
        page = HTML(string=html_of(drawing, panel))
        page.write_pdf(str(path), stylesheets=[style], font_config=fonts)


def style_of(drawing: dict[str, Any]) -> str:
    width, height = drawing["page_mm"]
    faces = "".join(
        f'@font-face {{ font-family: "{name}"; src: url("{Path(path).as_uri()}") }}'
        for name, path in drawing["fonts"].items()
    )
    return f"""{faces}
        @page {{ size: {width}mm {height}mm; margin: 0 }}
        body {{ margin: 0 }}
        section {{ position: relative; width: {width}mm; height: {height}mm; break-after: page }}
        div, span, i {{ position: absolute; white-space: pre; line-height: 0 }}
        i {{ background: black }}"""


def html_of(drawing: dict[str, Any], panel: dict[str, Any]) -> str:
    height = drawing["page_mm"][1]
    fixed = "".join(map(span_of, panel["runs"]))
    pages: list[str] = []
    for places in drawing["pages"]:
        labels: list[str] = []
        for index, x, y, turned in places:
            guest = span_of(panel["guests"][index]) if panel["guests"] else ""
            turn = "; transform: rotate(-90deg)" if turned else ""
            labels.append(
                f'<div style="left: {x}mm; top: {height - y}mm{turn}">{fixed}{guest}</div>'
            )
        pages.append("<section>" + "".join([*labels, *marks_of(drawing)]) + "</section>")
    return "<body>" + "".join(pages)


def marks_of(drawing: dict[str, Any]) -> list[str]:
    height = drawing["page_mm"][1]
    return [
        f'<i style="left: {min(x0, x1)}mm; top: {height - max(y0, y1)}mm;'
        f' width: max({abs(x1 - x0)}mm, 0.25pt); height: max({abs(y1 - y0)}mm, 0.25pt)"></i>'
        for x0, y0, x1, y1 in drawing["marks"]
    ]


def span_of(run: dict[str, Any]) -> str:
    style = f"left: {run['x_mm']}mm; top: {-run['baseline_mm']}mm; font: {run['size_pt']}pt"
    return f"<span style='{style} \"{run['face']}\"'>{html.escape(run['text'])}</span>"


if __name__ == "__main__":
    main()
