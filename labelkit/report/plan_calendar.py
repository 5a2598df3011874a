"""The plan's days as a calendar file, in the maker's language."""

from __future__ import annotations

from labelkit.plan.dates import Dated, Step
from labelkit.plan.ical import Entry, calendar_text
from labelkit.plan.order_plan import Plan
from labelkit.report.phrasebook import Phrases, in_language
from labelkit.report.plan_parts import phrases_for


def plan_ics(plan: Plan, language: str | None = None) -> str:
    """RFC 5545 text; a new plan of the same order updates the entries of an old one."""
    say = phrases_for(plan, language)
    spec = plan.job.spec
    name = say.of(spec.event.names)
    entries = [_entry(dated, name, plan, say) for dated in plan.schedule.steps]
    # Entries are known again by the names as they were typed.
    typed = in_language(spec.event.names, say.language)
    order = f"{typed}\n{spec.event.date.isoformat()}\n{spec.maker.name}"
    return calendar_text(name, order, plan.on, entries)


def _entry(dated: Dated, name: str, plan: Plan, say: Phrases) -> Entry:
    what = say(f"step.{dated.step.value}")
    summary = name if dated.step is Step.EVENT else f"{name}: {what}"
    return Entry(dated.step.value, dated.first, dated.last, summary, _about(dated, plan, say))


def _about(dated: Dated, plan: Plan, say: Phrases) -> str:
    """One line that saves looking at the sheet."""
    counts, lot = plan.counts, say("head.lot", lot=plan.lot)
    if dated.step is Step.POUR:
        return f"{say.grams(plan.batch.poured_g, 0)}, {lot}"
    if dated.step is Step.CUT:
        bars = say.many("bars", counts.bars)
        return f"{bars}, {say.many('pieces', counts.needed)}, {say.grams(plan.weight.cut_g)}"
    if dated.step in (Step.WRAP, Step.DELIVER):
        return f"{say.many('pieces', counts.labelled)}, {lot}"
    return ""
