"""From a job to finished sheets: preflight, impose, draw, read back, preflight again, write."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from labelkit.compose import Composed
from labelkit.draw import DocumentInfo, draw_sheets
from labelkit.errors import LabelkitError
from labelkit.files import make_folder, write_all
from labelkit.impose import Sheet, impose
from labelkit.job import Job, preflight, prepare
from labelkit.readback import Readback, read_panels_of
from labelkit.rules.findings import Report
from labelkit.runs import Panel, Run
from labelkit.verify import differences


class PressError(LabelkitError):
    """The finished file does not say what was composed: a fault of labelkit, never the maker's."""


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a request for sheets: no files when the label is not fit to print."""

    report: Report
    files: tuple[Path, ...] = ()
    summary: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PanelFile:
    """The finished PDF of one panel, read back."""

    composed: Composed
    data: bytes
    sheets: tuple[Sheet, ...]
    found: Readback


def make_sheets(
    label: Path, folder: Path, start: int = 1, skip: Iterable[int] = (), draft: bool = False
) -> Made:
    """Writes ``front.pdf`` and ``back.pdf`` (and a second surface's) into ``folder``.

    All or nothing: files are renamed into place only when every one of them is finished and its
    read-back passes the same rules as the composition. Raises LabelkitError for unusable input.
    """
    job = prepare(label)
    report = preflight(job)
    if report.verdict == "fail" and not draft:
        return Made(report)
    made = [panel_file(job, composed, start, tuple(skip), draft) for composed in job.composed]
    printed = preflight(job, [_first_panel(file) for file in made])
    if printed.verdict == "fail" and report.verdict == "pass":
        return Made(printed)
    make_folder(folder)
    files = {folder / f"{file.composed.panel.name}.pdf": file.data for file in made}
    write_all(files)
    return Made(report, tuple(files), _summary(job, made, tuple(files), draft))


def panel_file(
    job: Job, composed: Composed, start: int, skip: tuple[int, ...], draft: bool
) -> PanelFile:
    """One panel's sheets, drawn and read back; PressError when the two do not agree."""
    marked = composed.with_draft_mark(job.spec.languages) if draft else composed
    panel, count = marked.panel, job.spec.event.labels
    sheets = impose(job.stock, job.spec.trim, count, start, skip, bleed_mm=job.spec.bleed_mm)

    def own_runs(number: int) -> tuple[Run, ...]:
        return job.own_runs(marked, number)

    stream = io.BytesIO()
    draw_sheets(stream, panel, sheets, own_runs, marked.faces, _info(job, panel), job.spec.bleed_mm)
    data = stream.getvalue()
    found = read_panels_of(data, f"{panel.name}.pdf")
    wrong = differences(panel, own_runs, count, found)
    if wrong:
        raise PressError(f"{panel.name}: the finished PDF is not as composed: {wrong[0]}")
    return PanelFile(marked, data, sheets, found)


def _first_panel(file: PanelFile) -> Panel:
    return file.found.panels[0].panel


def _info(job: Job, panel: Panel) -> DocumentInfo:
    names = next(iter(job.spec.event.names.values()))
    return DocumentInfo(f"{names}: {panel.name} labels", job.spec.languages[0])


def _summary(
    job: Job, made: list[PanelFile], files: tuple[Path, ...], draft: bool
) -> tuple[str, ...]:
    event = job.spec.event
    labels = f"{event.labels} labels ({event.guests} guests + {event.spares} spares)"
    lines = [f"{labels}, {job.stock.title}"]
    for file, path in zip(made, files, strict=True):
        pages = len(file.sheets)
        word = "page" if pages == 1 else "pages"
        state = ", DRAFT" if draft else ""
        lines.append(
            f"{path}: {event.labels} {file.composed.panel.name} labels on {pages} {word}{state}"
        )
    lines.append("Print at 100 % (actual size), never fit to page.")
    return tuple(lines)
