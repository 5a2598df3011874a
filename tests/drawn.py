"""Sheets of one panel, drawn and compared without a job: for tests of drawing and reading."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Mapping, Sequence

from labelkit.impose.sheet import Sheet
from labelkit.model.runs import Panel, Run
from labelkit.pdf.compare import compare_pages
from labelkit.pdf.read import read_pages
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import Face


def own_nothing(_: int) -> tuple[Run, ...]:
    """Labels that are all alike."""
    return ()


def drawn_sheets(
    panel: Panel,
    sheets: Sequence[Sheet],
    faces: Mapping[str, Face],
    own_runs: Callable[[int], Iterable[Run]] = own_nothing,
) -> bytes:
    """A PDF of imposed sheets of one panel; ``own_runs`` as a ``Side`` has them."""
    stream = io.BytesIO()
    pages = (Page(0, sheet) for sheet in sheets)
    draw_pages(stream, (SheetSide(panel, faces, own_runs),), pages, DocumentInfo("Test", "fr"))
    return stream.getvalue()


def compared(
    data: bytes,
    panel: Panel,
    sheets: Sequence[Sheet],
    count: int,
    own_runs: Callable[[int], Iterable[Run]] = own_nothing,
) -> list[str]:
    """What a PDF says otherwise than ``count`` labels of this panel on these sheets."""
    pages = (Page(0, sheet) for sheet in sheets)
    read = read_pages(io.BytesIO(data), "t.pdf")
    return list(compare_pages((SheetSide(panel, {}, own_runs),), range(count), pages, read))
