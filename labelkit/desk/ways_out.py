"""The ways out of a label that does not fit, each as a label to look at and an edit to choose."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from labelkit.checks.remedies import list_ingredient_moves, list_word_changes
from labelkit.common.errors import FitError, LabelkitError
from labelkit.common.resources import find_layouts_folder
from labelkit.compose.job import Job
from labelkit.desk.desk import Desk
from labelkit.desk.order_texts import Edit
from labelkit.desk.reading import read_half_typed
from labelkit.job.api import CheckedPanel
from labelkit.job.prepare import compose_with_room, job_from_order
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.report.speech import Speech

MOST_WAYS = 8
Progress = Callable[[int, int], None]


def list_ways_out(
    desk: Desk, edits: Sequence[Edit], progress: Progress
) -> Iterator[dict[str, Any]]:
    """What would make every panel fit: its words, the panels as they would be, and the edits."""
    with desk.lock:
        laid = desk.texts.lay_over(edits)
        reading = read_half_typed(desk.texts.paths(laid.texts.get("label")), laid.texts, {})
    if reading.order is None:
        return
    job = job_from_order(reading.order)
    if not job.unfit:
        return
    values = desk.show()["values"].get("label", {})
    candidates = [*_list_candidates(job, values, desk)]
    found = 0
    for done, (words, changed, changes) in enumerate(candidates, start=1):
        progress(done, len(candidates))
        try:
            fits = changed is not None and not changed.unfit
        except LabelkitError:
            continue
        if fits and changed is not None:
            found += 1
            yield {
                "words": words,
                "edits": changes,
                "panels": [
                    CheckedPanel(one.panel.name, one.panel, None, (), faces=one.faces).draw_svg(
                        f"way{done}-{one.panel.name}-"
                    )
                    for one in changed.fitting
                ],
            }
            if found == MOST_WAYS:
                return


Candidate = tuple[str, Job | None, list[dict[str, Any]]]


def _list_candidates(job: Job, values: dict[str, Any], desk: Desk) -> Iterator[Candidate]:
    say, speech = desk.say, Speech(desk.language, desk.language)
    if trim := _find_trim(job):
        size = f"{trim.width_mm:g} x {trim.height_mm:g} mm"
        words = say("a label of {size}").format(size=size)
        change = _set(["label", "trim"], size, values)
        yield words, job.with_order(spec=replace(job.spec, trim=trim)), [change]
    for path in sorted(find_layouts_folder().glob("*.toml")):
        if path.stem != job.spec.layout:
            layout = read_layout(path)
            words = say("the design {name}").format(name=layout.title)
            change = _set(["label", "layout"], path.stem, values)
            yield words, job.with_order(layout=layout), [change]
    for panel in ("front", "back"):
        left_out = list(values.get(panel, {}).get("leave_out", []))
        for way in list_word_changes(job, panel):
            element = str(way.what.facts["key"])
            words = say("without the {what} on the {panel}").format(
                what=speech.term("part", element), panel=speech.term("panel", panel)
            )
            yield words, way.job, [_set([panel, "leave_out"], [*left_out, element], values)]
    for way in list_ingredient_moves(job):
        words = say("the ingredient list on a {place}").format(
            place=speech.term("panel", way.place)
        )
        changes = [
            _set(["back", "ingredients_on"], way.place, values),
            _set([way.place, "trim"], "105 x 74 mm", values),
        ]
        yield words, way.job, changes


def _find_trim(job: Job) -> Trim | None:
    """The trim, in her proportions and on whole millimetres, that holds every panel."""
    trim = job.spec.trim
    widest = trim.width_mm
    for error in job.unfit:
        composed = compose_with_room(job, error.panel)
        if composed is None:
            return None
        widest = max(widest, composed.panel.width_mm)
    factor = math.ceil(widest) / trim.width_mm
    for more in range(4):
        tried = replace(
            trim,
            width_mm=math.ceil(widest) + more,
            height_mm=math.ceil(trim.height_mm * factor) + more,
        )
        try:
            if not job.with_order(spec=replace(job.spec, trim=tried)).unfit:
                return tried
        except FitError:
            continue
    return None


def _set(keys: list[str], value: Any, values: dict[str, Any]) -> dict[str, Any]:
    was: Any = values
    for key in keys:
        was = was.get(key) if isinstance(was, dict) else None
    return {"file": "label", "keys": keys, "value": value, "was": was}
