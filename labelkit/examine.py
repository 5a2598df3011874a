"""Preflight of a label as composed, or of the finished PDFs that are about to be printed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from labelkit import rules
from labelkit.errors import FitError, InputError, shown_path
from labelkit.job import Job, preflight, prepare
from labelkit.readback import PlacedPanel, read_panels
from labelkit.rules.findings import Finding, Level, Report
from labelkit.runs import Panel, Run


@dataclass(frozen=True)
class Examined:
    """A preflight and what it was made of."""

    job: Job
    report: Report
    panels: tuple[Panel, ...]

    @property
    def title(self) -> str:
        return next(iter(self.job.spec.event.names.values()))

    def timeline(self) -> Iterator[str]:
        """One line for each day on which the verdict may change."""
        for entry in rules.timeline(self.panels, self.job.facts, self.job.regions):
            failing = ", ".join(sorted({f.rule for f in entry.findings if f.level is Level.FAIL}))
            yield f"{entry.on}  {entry.verdict}" + (f"  {failing}" if failing else "")


def examine(
    label: Path,
    regions: Iterable[str] = (),
    on: dt.date | None = None,
    pdfs: Iterable[Path] = (),
    strict: bool = False,
) -> Examined:
    """Preflights a label spec, or with ``pdfs`` the finished files made from it.

    A panel that no PDF holds is judged as composed, and a note says so. Raises LabelkitError for
    input that cannot be used.
    """
    job = prepare(label, regions, on)
    found = [place for pdf in pdfs for place in _labels_of(pdf)]
    if not found:
        report = preflight(job, strict=strict)
        try:
            return Examined(job, report, job.panels)
        except FitError:
            return Examined(job, report, ())
    read, extra = _distinct(found)
    composed = [panel for panel in _composed(job) if panel.name not in {p.name for p in read}]
    report = preflight(job, [*read, *composed], strict)
    notes = (*extra, *(_as_composed(panel) for panel in composed))
    report = Report(report.on, report.regions, (*report.findings, *notes))
    return Examined(job, report, (*read, *composed))


def _labels_of(pdf: Path) -> tuple[PlacedPanel, ...]:
    placed = read_panels(pdf).panels
    if not placed:
        raise InputError(
            shown_path(pdf), "", None, "holds no labels; expected a PDF made by labelkit sheet"
        )
    return placed


def _composed(job: Job) -> tuple[Panel, ...]:
    try:
        return job.panels
    except FitError:
        return ()


def _distinct(found: list[PlacedPanel]) -> tuple[list[Panel], list[Finding]]:
    """The first label of each panel, and a failing finding for any that differs from it."""
    first: dict[str, PlacedPanel] = {}
    findings: list[Finding] = []
    for place in found:
        reference = first.setdefault(place.panel.name, place)
        if _common(place.panel) != _common(reference.panel):
            findings.append(_unlike(place, reference))
    return [place.panel for place in first.values()], findings


def _common(panel: Panel) -> tuple[Run, ...]:
    """What every label of a panel has alike: all but the guest's own name."""
    return tuple(run for run in panel.runs if run.element != "guest")


def _unlike(place: PlacedPanel, reference: PlacedPanel) -> Finding:
    return Finding(
        rule="LABELKIT-ALIKE",
        region="",
        panel=place.panel.name,
        element="",
        level=Level.FAIL,
        message=f"label {place.label + 1} on page {place.page + 1} is not like"
        f" label {reference.label + 1}",
        provenance="labelkit's own check",
        remedy="make the sheets again with labelkit sheet",
    )


def _as_composed(panel: Panel) -> Finding:
    return Finding(
        rule="LABELKIT-NO-PDF",
        region="",
        panel=panel.name,
        element="",
        level=Level.NOTE,
        message=f"no PDF of the {panel.name} was given; it was judged as composed",
        provenance="labelkit's own check",
        remedy=f"add --pdf {panel.name}.pdf",
    )
