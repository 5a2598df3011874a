"""Words that a label lacks, shown where they would stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from labelkit.common.errors import FitError
from labelkit.compose.job import Job
from labelkit.job.api import Checked, CheckedPanel
from labelkit.model.runs import ELEMENTS
from labelkit.rules.findings import Level


def list_missing_elements(checked: Checked, panel: CheckedPanel) -> tuple[str, ...]:
    """The elements that a rule asks for on a panel which has no words of them.

    Of a label that is fit to print none: it is shown as it prints.
    """
    if checked.fit_to_print:
        return ()
    asked = (
        finding.element
        for finding in panel.findings
        if finding.panel == panel.name and finding.level is not Level.NOTE
    )
    return drop_present_elements((e for e in asked if e in ELEMENTS), panel)


def drop_present_elements(elements: Iterable[str], panel: CheckedPanel) -> tuple[str, ...]:
    """Those of which a panel has no words; none of one on which nothing fits."""
    if panel.panel is None:
        return ()
    there = {run.element for run in panel.panel.runs}
    return tuple(dict.fromkeys(element for element in elements if element not in there))


def place_missing_words(job: Job, panel: CheckedPanel, words: Mapping[str, str]) -> CheckedPanel:
    """A panel set with words, by element, for what it lacks; as it is where it lacks nothing and
    where they find no room.

    Nothing of it is ever printed.
    """
    if not words:
        return panel
    side_name = "front" if panel.name == "front" else "back"
    side = job.spec.front if side_name == "front" else job.spec.back
    asked = {element: {"": text} for element, text in words.items()}
    kept = tuple(element for element in side.leave_out if element not in asked)
    side = replace(side, words={**side.words, **asked}, leave_out=kept)
    spec = job.spec
    spec = replace(spec, front=side) if side_name == "front" else replace(spec, back=side)
    try:
        composed = job.with_order(spec=spec).panel_on(panel.name, job.print_run(panel.name).trim)
    except FitError:
        return panel
    return replace(panel, panel=composed.panel, faces=composed.faces, guest_runs=())
