"""What a worded plan is made of: sections of lines and tables, whatever sets them."""

from __future__ import annotations

from collections.abc import Iterator

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.formula.materials import merge_own_materials
from labelkit.plan.batching import Weighing
from labelkit.plan.order_plan import Plan
from labelkit.report.phrasebook import Phrases, list_languages, load_phrases
from labelkit.report.reader import Reader, describe_partly_english
from labelkit.report.speech import Speech
from labelkit.typeset.apostrophes import set_apostrophes

BOOK = "plan"
STRUCK = "–––"
"""What stands for a mass that must not be weighed."""


@dataclass(frozen=True, slots=True)
class PlanRow:
    """Cells of one line; a strong one is a sum or what matters most."""

    cells: tuple[str, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True)
class PlanTable:
    """Rows under an optional heading. ``align`` has a letter per column: l or r."""

    rows: tuple[PlanRow, ...]
    align: str
    heading: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ChecklistItem:
    """Something to tick off, led by where and by when."""

    lead: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class PlanSection:
    key: str
    title: str
    tables: tuple[PlanTable, ...] = ()
    checks: tuple[ChecklistItem, ...] = ()
    lines: tuple[str, ...] = ()
    """Below the tables and checks."""
    caution: str = ""
    """The last line, set apart."""
    stop: str = ""
    """Why nothing of it may be done; above all else."""


def choose_phrases(plan: Plan, language: str | None = None) -> Phrases:
    """The words asked for, or those of the maker's language, or English."""
    used = _make_reader(plan, language).language(list_languages(BOOK))
    occasion = plan.job.spec.event.kind
    return load_phrases(BOOK, used, *plan.job.regions, occasion=occasion)


def describe_plan_fallback(plan: Plan, language: str | None = None) -> Iterator[Said]:
    """Lines that tell where a plan is not in the language it was to be in."""
    yield from _make_reader(plan, language).stand_in(Said("plans"), list_languages(BOOK))
    speech = make_speech(choose_phrases(plan, language))
    yield from describe_partly_english(speech, ((duty.region, duty.what) for duty in plan.duties))


def _make_reader(plan: Plan, language: str | None) -> Reader:
    return Reader(language, plan.spec.language, plan.job.spec.languages)


def make_speech(say: Phrases) -> Speech:
    """Says what the rooms found in the language of the plan."""
    return Speech(say.language, say.locale)


def translate_material(plan: Plan, say: Phrases, line: Weighing) -> str:
    """A material's name in the language; lye and water by what they are."""
    if say.has(f"material.{line.name}"):
        return say(f"material.{line.name}")
    found = merge_own_materials(plan.job.recipe).find(line.name)
    name = found.name(say.language) if found is not None else line.name
    return set_apostrophes(name)


def strike_if_unfit(plan: Plan, figure: str) -> str:
    """A figure to weigh by; a stroke in its place where the recipe must not be poured."""
    return STRUCK if plan.withholds_masses else figure


def join_lots(line: Weighing) -> str:
    """The supplier's lots of a material; nothing where none is known."""
    return ", ".join(line.lots)


def describe_source(
    say: Phrases, citation: str, provenance: str, key: str = "weight.source"
) -> str:
    cited = make_speech(say).cited(citation)
    return say(key, citation=cited, provenance=say(f"unit.provenance_{provenance}"))


def describe_checklist_item(say: Phrases, check: ChecklistItem) -> str:
    """A check as one line: where and by when, what, and after which law."""
    return say("duty.line", lead=check.lead, text=check.text, source=check.source)
