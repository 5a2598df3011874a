"""The sheets of a job set by Typst, from a source written for it.

Usage: with_typst.py DRAWING.json FOLDER
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import typst


def main() -> None:
    drawing = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    folder = Path(sys.argv[2])
    for panel in drawing["panels"]:
        source = folder / f"{panel['name']}.typ"
        source.write_text(source_of(drawing, panel), encoding="utf-8")
        typst.compile(
            str(source),
            output=str(folder / f"{panel['name']}.pdf"),
            font_paths=sorted({str(Path(p).parent) for p in drawing["fonts"].values()}),
            ignore_system_fonts=True,
        )


def source_of(drawing: dict[str, Any], panel: dict[str, Any]) -> str:
    """A label as a function of its guest's line, and a page that places it many times."""
    width, height = drawing["page_mm"]
    lines = [
        f"#set page(width: {width}mm, height: {height}mm, margin: 0mm)",
        "#set text(bottom-edge: 0pt, top-edge: 0pt)",
        "#let run(x, y, size, font, weight, stretch, body) = place(top + left, dx: x, dy: y,"
        " text(size: size, font: font, weight: weight, stretch: stretch, body))",
        f"#let label(guest) = box(width: {panel['width_mm']}mm, height: {panel['height_mm']}mm, {{",
        *(run_of(drawing, panel, run) for run in panel["runs"]),
        "guest",
        "})",
    ]
    for number, places in enumerate(drawing["pages"]):
        if number:
            lines.append("#pagebreak()")
        for index, x, y, turned in places:
            guest = panel["guests"][index] if panel["guests"] else None
            body = f"label({run_of(drawing, panel, guest)})" if guest else "label(none)"
            if turned:
                body = f"rotate(-90deg, origin: bottom + left, {body})"
                x += panel["height_mm"]
            top = height - y - panel["height_mm"]
            lines.append(f"#place(top + left, dx: {x:.4f}mm, dy: {top:.4f}mm, {body})")
        for x0, y0, x1, y1 in drawing["marks"]:
            ends = f"start: ({x0}mm, {height - y0}mm), end: ({x1}mm, {height - y1}mm)"
            lines.append(f"#place(top + left, line({ends}, stroke: 0.25pt))")
    return "\n".join(lines)


def run_of(drawing: dict[str, Any], panel: dict[str, Any], run: dict[str, Any]) -> str:
    family, weight, stretch = drawing["families"][run["face"]]
    top = panel["height_mm"] - run["baseline_mm"]
    text = json.dumps(run["text"], ensure_ascii=False)
    return (
        f"run({run['x_mm']:.4f}mm, {top:.4f}mm, {run['size_pt']:.4f}pt,"
        f" {json.dumps(family)}, {weight}, {stretch}%, {text})"
    )


if __name__ == "__main__":
    main()
