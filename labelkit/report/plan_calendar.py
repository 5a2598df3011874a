"""The plan's days as a calendar file, in the maker's language."""

from __future__ import annotations

from labelkit.plan.dates import DatedStep, PlanStep
from labelkit.plan.ical import CalendarEntry, format_calendar
from labelkit.plan.order_plan import Plan
from labelkit.report.phrasebook import Phrases, pick_language
from labelkit.report.plan_parts import choose_phrases


def format_plan_ics(plan: Plan, language: str | None = None) -> str:
    """RFC 5545 text; a new plan of the same order updates the entries of an old one."""
    say = choose_phrases(plan, language)
    spec = plan.job.spec
    name = say.of(spec.event.names)
    entries = [_make_entry(dated, name, plan, say) for dated in plan.steps_left]
    # Entries are known again by the names as they were typed.
    typed = pick_language(spec.event.names, say.language)
    order = f"{typed}\n{spec.event.date.isoformat()}\n{spec.maker.name}"
    return format_calendar(name, order, plan.on, entries)


def _make_entry(dated: DatedStep, name: str, plan: Plan, say: Phrases) -> CalendarEntry:
    what = say(f"step.{dated.step.value}")
    summary = name if dated.step is PlanStep.EVENT else f"{name}: {what}"
    return CalendarEntry(
        dated.step.value, dated.first, dated.last, summary, _describe_entry(dated, plan, say)
    )


def _describe_entry(dated: DatedStep, plan: Plan, say: Phrases) -> str:
    """One line that saves looking at the sheet."""
    counts, lot = plan.counts, say("head.lot", lot=plan.lot)
    if dated.step is PlanStep.POUR:
        return f"{say.grams(plan.batch.poured_g, 0)}, {lot}"
    if dated.step is PlanStep.CUT:
        bars = say.many("bars", counts.bars)
        return f"{bars}, {say.many('pieces', counts.needed)}, {say.grams(plan.weight.cut_g)}"
    if dated.step in (PlanStep.WRAP, PlanStep.DELIVER):
        return f"{say.many('pieces', counts.labelled)}, {lot}"
    return ""
