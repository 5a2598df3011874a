"""Plan, record and recall as the page shows them: the same sections as on paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.compose.job import Job
from labelkit.desk.rooms import name_fields
from labelkit.desk.words import Words
from labelkit.order.maker import trace_path_of
from labelkit.plan import trace
from labelkit.plan.batching import WeighingRole
from labelkit.plan.order_plan import Plan, Worry, make_plan
from labelkit.plan.recall import recall_lot
from labelkit.report.phrasebook import Phrases
from labelkit.report.plan_parts import PlanSection, choose_phrases, translate_material
from labelkit.report.plan_view import word_plan, word_warnings
from labelkit.report.plan_work import list_cautions


def describe_plan(plan: Plan, language: str) -> dict[str, Any]:
    """A plan's warnings and sections, worded."""
    worded, say = word_plan(plan, language), Words(language)
    return {
        "title": worded.title,
        "asOf": worded.as_of,
        "lot": worded.lot,
        "poured": plan.poured is not None,
        "kept": plan.can_be_kept,
        "factor": worded.phrases(
            "batch.factor", factor=worded.phrases.number(plan.batch.factor, 3)
        ),
        "weighed": list(_list_lye_and_water(plan, worded.phrases)),
        "cautions": list_cautions(worded.phrases),
        "warned": [
            {
                "fails": one.fails,
                "text": name_fields(one.text, say),
                "ways": [name_fields(way, say) for way in one.ways],
            }
            for one in worded.warned
        ],
        "sections": [_describe_section(section, say) for section in worded.sections],
    }


TOLD_WHEN_READY = {
    Worry.LATE: ["label", ["event", "date"]],
    Worry.NO_DELIVERY: ["label", ["event", "date"]],
    Worry.SHORT_CURE: ["label", ["event", "date"]],
    Worry.OVERSTATED: ["label", ["product", "net_weight"]],
    Worry.POURED_SHORT: [],
    Worry.OTHER_POURED: ["label", ["product", "lot"]],
}
"""What of a plan makes the label itself doubtful, and the field that mends it: no law is broken,
but what the label says will not hold, or not be there on its day."""


def list_plan_findings(job: Job, today: dt.date, language: str) -> list[dict[str, Any]]:
    """What the plan of an order has against its label, as findings to look at; none of an order
    that cannot be planned yet."""
    try:
        warnings = word_warnings(make_plan(job, today), language)
    except LabelkitError:
        return []
    say = Words(language)
    return [
        {
            "level": "warn",
            "levelName": "",
            "rule": "",
            "region": "",
            "panel": "",
            "panelName": "",
            "element": "",
            "elementName": say("Days and money"),
            "message": name_fields(one.text, say),
            "measured": "",
            "remedy": " ".join(name_fields(way, say) for way in one.ways),
            "source": say("Worked out from your plan, your records and today’s date."),
            "field": TOLD_WHEN_READY[one.worry],
            "runs": {},
        }
        for one in warnings
        if one.worry in TOLD_WHEN_READY
    ]


def _list_lye_and_water(plan: Plan, say: Phrases) -> Iterator[dict[str, str]]:
    """What of the batch burns, and its water, as the scale shows them; nothing of a recipe that
    must not be poured."""
    for line in () if plan.withholds_masses else plan.batch.weighings:
        if line.role in (WeighingRole.LYE, WeighingRole.WATER):
            mass = say.weighed(line.mass_g, line.scale, line.rounding)
            yield {"name": translate_material(plan, say, line), "mass": mass}


def describe_pour(plan: Plan, notes: Sequence[str], language: str) -> dict[str, Any]:
    """What is noted of how a poured batch went, and the words there are for it."""
    say, lot = choose_phrases(plan, language), plan.lot
    same = [one for one in plan.job.order.pours if one.lot.casefold() == lot.casefold()]
    return {
        "lot": lot if plan.is_poured else "",
        "lost": same[0].lost if same else None,
        "notes": [
            {"value": one, "name": say(f"pour.{one}"), "noted": any(one in p.notes for p in same)}
            for one in notes
        ],
    }


def _describe_section(section: PlanSection, say: Words) -> dict[str, Any]:
    return {
        "key": section.key,
        "title": section.title,
        "tables": [
            {
                "align": table.align,
                "heading": list(table.heading),
                "rows": [{"cells": list(row.cells), "strong": row.strong} for row in table.rows],
            }
            for table in section.tables
        ],
        "checks": [
            {"lead": one.lead, "text": one.text, "source": one.source} for one in section.checks
        ],
        "lines": [name_fields(line, say) for line in section.lines],
        "caution": section.caution,
        "stop": section.stop,
    }


def describe_recording(plan: Plan) -> dict[str, Any]:
    """Records a batch; what was kept, and what is to be known of it."""
    path = trace_path_of(plan.job.spec.maker.path)
    with trace.stage_record(path, plan.record(), plan.on) as outcome:
        entry = outcome.entry
        return {
            "lot": entry.lot,
            "poured": "" if entry.planned else entry.poured.isoformat(),
            "new": outcome.new,
            "changes": list(outcome.changes),
            "otherwise": outcome.otherwise,
        }


def describe_recall(maker: Path, lot: str) -> dict[str, Any]:
    """Every batch that used a lot, or every batch; InputError where there is no record."""
    done = recall_lot(trace_path_of(maker), lot)
    return {
        "found": [
            {
                "lot": state.record.lot,
                "names": state.record.names,
                "date": state.record.date.isoformat(),
                "place": state.record.place,
                "poured": "" if state.record.planned else state.record.poured.isoformat(),
                "labels": state.record.labels,
                "stands": state.stands,
                "materials": [
                    {"name": one.name, "lots": list(one.lots)} for one in state.record.materials
                ],
                "sent": [f"{one.pieces} × {one.to}" for one in state.record.sent],
            }
            for states in done.found.values()
            for state in states
        ],
        "unread": [f"{path.name}: {why}" for path, why in done.unread.items()],
    }
