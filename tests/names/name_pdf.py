"""Names of people on one page, to be read back and looked at: ``python name_pdf.py OUT.png``."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path

from labelkit.compose.runs import make_run
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.model.runs import Panel, Run
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.companions import find_writing_face
from labelkit.typeset.faces import Face, FaceRequest, load_face

ROW_MM, COLUMN_MM, SIZE_PT = 8.5, 62.0, 13.0


def name_table() -> list[tuple[str, str]]:
    """Every name of the table with its language."""
    text = Path(__file__).with_name("names.tsv").read_text("utf-8")
    rows = [line.split("\t") for line in text.splitlines() if not line.startswith("#")]
    return [(name, language) for name, language in rows]


def own_faces(family: str = "cormorant-garamond", weight: int = 500) -> tuple[Face, ...]:
    """A layout's own face and the two that stand in for it."""
    return tuple(load_face(FaceRequest(f, weight)) for f in (family, "fira-sans", "noto-sans"))


def names_page(
    names: Sequence[str], faces: Sequence[Face], columns: int = 1
) -> tuple[Panel, bytes]:
    """A page of names, each set by the first face that writes it, if there is one."""
    used: dict[str, Face] = {}
    runs: list[Run] = []
    rows = -(-len(names) // columns)
    height, width = (rows + 1) * ROW_MM, columns * COLUMN_MM + 8
    for number, name in enumerate(names):
        face = find_writing_face(faces, name)
        if face is None:
            continue
        used[face.name] = face
        x, y = 6 + number // rows * COLUMN_MM, height - (number % rows + 1) * ROW_MM
        runs.append(make_run(name, "guest", "zxx", face, SIZE_PT, x, y))
    panel = Panel("front", width, height, runs=tuple(runs))
    stream = io.BytesIO()
    sheet = Sheet(width, height, (LabelPlace(0, 0, 0, width, height),))
    side = SheetSide(panel, used, lambda _: ())
    draw_pages(stream, [side], [Page(0, sheet)], DocumentInfo("Names", "en"))
    return panel, stream.getvalue()


if __name__ == "__main__":
    import pypdfium2

    _, data = names_page([name for name, _ in name_table()], own_faces(), columns=5)
    pypdfium2.PdfDocument(data)[0].render(scale=150 / 72).to_pil().save(sys.argv[1])
