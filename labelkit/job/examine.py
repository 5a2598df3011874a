"""Preflight of a label as composed, or of the finished PDFs that are about to be printed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from labelkit import rules
from labelkit.checks.approval import check_approval
from labelkit.checks.craft import OWN_CHECK, check_contrast
from labelkit.checks.durability import check_given_words, check_printed_words
from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Quoted, Said, Term
from labelkit.common.text_match import fold_as_read
from labelkit.compose.job import Job
from labelkit.job.prepare import (
    leave_white_out,
    list_panels_to_judge,
    preflight_job,
    prepare_job,
    set_on_stock,
)
from labelkit.model.runs import Panel, Run, list_element_texts
from labelkit.order.reader import read_bytes
from labelkit.rules.findings import Finding, Level, Report

if TYPE_CHECKING:
    from labelkit.job.ink import FinishedPdf, InkVerdict
    from labelkit.pdf.read import PlacedPanel

UNCOMPARED = frozenset({"guest", "separator", "draft-mark"})
"""What a finished label may say otherwise than the one composed from the spec."""


@dataclass(frozen=True)
class Examination:
    """A preflight and what it was made of."""

    job: Job
    report: Report
    panels: tuple[Panel, ...]
    ink: InkVerdict | None = field(default=None, repr=False)
    """What the ink of finished PDFs was found to be; None where none was given."""

    @property
    def pictures(self) -> dict[str, bytes]:
        """PNG files by name that show where the ink of a finished PDF is not as composed."""
        return self.ink.pictures if self.ink else {}

    @property
    def title(self) -> str:
        return next(iter(self.job.spec.event.names.values()))

    def timeline(self, strict: bool = False) -> list[rules.VerdictDay]:
        """The verdict on the day it was made for, and on each day on which a rule changes."""
        facts, regions = self.job.known, self.job.regions
        return rules.judge_over_time(self.panels, facts, regions, self.job.on, strict)


def examine_label(
    label: Path,
    regions: Iterable[str] = (),
    on: dt.date | None = None,
    pdfs: Iterable[Path] = (),
    strict: bool = False,
    today: dt.date | None = None,
) -> Examination:
    """Preflights a label spec, or with ``pdfs`` the finished files made from it.

    The day of the event is held against ``today`` where it is given. A panel that no PDF holds is
    judged as composed, and a note says so. Raises LabelkitError for input that cannot be used.
    """
    asked = tuple(regions)
    job = prepare_job(label, asked, on, today)
    finished = [_read_labels(pdf) for pdf in pdfs]
    found = [place for pdf in finished for place in pdf.panels]
    # For other regions than its own a label says other words than were approved.
    approval = () if asked else (check_approval(job),)
    if not found:
        report = preflight_job(job, strict=strict)
        report = report.with_findings(approval)
        return Examination(job, report, list_panels_to_judge(job))
    job = leave_white_out(job)
    made = tuple(composed.panel for composed in job.fitting_sheets)
    ink = _judge_ink(job, finished)
    read, extra = _pick_right_panels(ink.seen, made)
    read = [set_on_stock(panel, made) for panel in read]
    composed = [panel for panel in made if panel.name not in {p.name for p in read}]
    report = preflight_job(job, [*read, *composed], strict)
    own = (
        *extra,
        *ink.findings,
        *_compare_with_spec(read, made),
        *(finding for panel in (*read, *composed) for finding in check_contrast(panel, job.facts)),
        *check_printed_words(read, job.spec.languages),
        *check_given_words(job.spec, (panel.name for panel in composed)),
        *map(_make_no_pdf_finding, composed),
        *approval,
    )
    report = report.with_findings(own)
    return Examination(job, report, (*read, *composed), ink)


def _judge_ink(job: Job, finished: Iterable[FinishedPdf]) -> InkVerdict:
    from labelkit.job.ink import judge_ink  # only a finished file asks for a renderer

    return judge_ink(job, finished)


def _compare_with_spec(read: list[Panel], made: tuple[Panel, ...]) -> Iterator[Finding]:
    """What a finished panel says otherwise than the spec, and what runs over its trim."""
    from labelkit.pdf.compare import TRIM_TOLERANCE_MM

    by_name = {panel.name: panel for panel in made}
    for panel in read:
        for run in panel.runs:
            if not panel.trim.covers(run.ink, TRIM_TOLERANCE_MM):
                yield _make_own_finding(
                    "LABELKIT-OVER-TRIM",
                    panel,
                    run.element,
                    Said("{words} runs over the trim", words=Quoted(run.text)),
                )
        wanted, found = _collect_words(by_name.get(panel.name)), _collect_words(panel)
        for key in [k for k in (wanted | found) if wanted and wanted.get(k) != found.get(k)]:
            yield _make_own_finding(
                "LABELKIT-AS-SPEC",
                panel,
                key[0],
                Said(
                    "the PDF says {found}, the label spec {wanted}",
                    found=_quote_words(found.get(key)),
                    wanted=_quote_words(wanted.get(key)),
                ),
            )


def _quote_words(words: str | None) -> str:
    return Said("nothing") if words is None else Quoted(words)


def _collect_words(panel: Panel | None) -> dict[tuple[str, str], str]:
    """What a panel says, by element and language; letter case is the design's affair."""
    if panel is None:
        return {}
    elements = dict.fromkeys(run.element for run in panel.runs if run.element not in UNCOMPARED)
    return {
        (element, text.language): fold_as_read(text.text)
        for element in elements
        for text in list_element_texts(panel, element)
    }


def _make_own_finding(rule: str, panel: Panel, element: str, message: str) -> Finding:
    return Finding(
        rule=rule,
        region="",
        panel=panel.name,
        element=element,
        level=Level.FAIL,
        message=message,
        provenance=OWN_CHECK,
        remedy=Said("make the sheets again with labelkit sheet"),
    )


def _read_labels(pdf: Path) -> FinishedPdf:
    from labelkit.job.ink import FinishedPdf
    from labelkit.pdf.read import MAX_PDF_BYTES, read_confined

    data, name = read_bytes(pdf, Said("a PDF"), MAX_PDF_BYTES), format_path(pdf)
    placed = read_confined(data, name).panels
    if not placed:
        raise InputError(
            name, "", None, Said("holds no labels; expected a PDF made by labelkit sheet")
        )
    return FinishedPdf(name, data, placed)


def _pick_right_panels(
    found: Sequence[PlacedPanel], made: tuple[Panel, ...]
) -> tuple[list[Panel], list[Finding]]:
    """Each panel as it should be, and a failing finding for every label that differs from it.

    Right is the label that says what was composed; where none does, the one that most places hold.
    """
    panels: list[Panel] = []
    findings: list[Finding] = []
    for name in dict.fromkeys(place.panel.name for place in found):
        alike: dict[tuple[Run, ...], list[PlacedPanel]] = {}
        for place in found:
            if place.panel.name == name:
                alike.setdefault(_list_common_runs(place.panel), []).append(place)
        wanted = _collect_words(next((panel for panel in made if panel.name == name), None))
        right = max(alike.values(), key=lambda p: (_collect_words(p[0].panel) == wanted, len(p)))
        panels.append(right[0].panel)
        wrong = (place for place in found if place.panel.name == name and place not in right)
        findings += [_make_unlike_finding(place, right[0]) for place in wrong]
    return panels, findings


def _list_common_runs(panel: Panel) -> tuple[Run, ...]:
    """What every label of a panel has alike: all but the guest's own name."""
    return tuple(run for run in panel.runs if run.element != "guest")


def _make_unlike_finding(place: PlacedPanel, reference: PlacedPanel) -> Finding:
    message = Said(
        "label {label} on page {page} is not like label {other}",
        label=Number(place.label + 1),
        page=Number(place.page + 1),
        other=Number(reference.label + 1),
    )
    return _make_own_finding("LABELKIT-ALIKE", place.panel, "", message)


def _make_no_pdf_finding(panel: Panel) -> Finding:
    return Finding(
        rule="LABELKIT-NO-PDF",
        region="",
        panel=panel.name,
        element="",
        level=Level.NOTE,
        message=Said(
            "no PDF of the {panel} was given; it was judged as composed",
            panel=Term("panel", panel.name),
        ),
        provenance=OWN_CHECK,
        remedy=Said("add --pdf {panel}.pdf", panel=panel.name),
    )
