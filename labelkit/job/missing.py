"""Words that a label lacks, shown where they would stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from labelkit.common.errors import FitError
from labelkit.job.api import Checked, CheckedPanel
from labelkit.model.runs import ELEMENTS
from labelkit.rules.findings import Level


def list_missing_elements(checked: Checked, panel: CheckedPanel) -> tuple[str, ...]:
    """The elements that a rule asks for on a panel which has no words of them.

    Of a label that is fit to print none: it is shown as it prints.
    """
    if checked.fit_to_print or panel.panel is None:
        return ()
    there = {run.element for run in panel.panel.runs}
    asked = (
        finding.element
        for finding in panel.findings
        if finding.panel == panel.name and finding.level is not Level.NOTE
    )
    return tuple(dict.fromkeys(e for e in asked if e in ELEMENTS and e not in there))


def place_missing_words(
    checked: Checked, panel: CheckedPanel, words: Mapping[str, str]
) -> CheckedPanel:
    """A panel set with words, by element, for what it lacks; as it is where they find no room.

    Nothing of it is ever printed.
    """
    job, side_name = checked.job, "front" if panel.name == "front" else "back"
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
