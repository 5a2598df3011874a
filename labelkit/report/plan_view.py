"""A plan in words: what is wrong with it, and its sections in their order.

Figures come from the plan as they are; here they are rounded for the eye and put in words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from labelkit.common.errors import InputError, shown_path
from labelkit.common.messages import Listed
from labelkit.plan.batching import Role, Weighing
from labelkit.plan.dates import LEAST_CURE_WEEKS, Step, WayOut
from labelkit.plan.lots import Verdict
from labelkit.plan.order_plan import FAILING, Plan, Worry
from labelkit.plan.poured import PouredBatch
from labelkit.report.phrasebook import Phrases, plain
from labelkit.report.plan_parts import Section, list_lots, material, phrases_for, speech_for
from labelkit.report.plan_trade import assumed, costs, duties, supplies, supply_name
from labelkit.report.plan_work import (
    batch,
    counts,
    days,
    second,
    second_line,
    to_weigh,
    weighed,
    weights,
)
from labelkit.typeset.apostrophes import typographic


@dataclass(frozen=True, slots=True)
class Warned:
    worry: Worry
    fails: bool
    text: str
    ways: tuple[str, ...] = ()


@dataclass(frozen=True)
class View:
    """A whole plan, worded in one language."""

    phrases: Phrases
    title: str
    date: str
    place: str
    maker: str
    lot: str
    order: str
    """Its code, as on proof and sheets."""
    as_of: str
    warned: tuple[Warned, ...]
    sections: tuple[Section, ...]

    def section(self, key: str) -> Section:
        return next(section for section in self.sections if section.key == key)

    def has(self, key: str) -> bool:
        return any(section.key == key for section in self.sections)


def view(plan: Plan, language: str | None = None) -> View:
    """Words a plan; LanguageError for a language without words."""
    say = phrases_for(plan, language)
    spec = plan.job.spec
    lot = "head.lot" if plan.lot_given else "head.lot_from_pattern"
    return View(
        phrases=say,
        title=say.of(spec.event.names),
        date=say.date(spec.event.date, "full"),
        place=say.of(spec.event.place),
        maker=typographic(spec.maker.name),
        lot=say(lot, lot=plan.lot),
        order=say("head.order", code=plan.order_code),
        as_of=say("head.as_of", date=say.date(plan.on), regions=" + ".join(plan.job.regions)),
        warned=tuple(_warned(plan, say, worry) for worry in plan.worries),
        sections=tuple(_sections(plan, say)),
    )


def _sections(plan: Plan, say: Phrases) -> Iterator[Section]:
    yield days(plan, say)
    yield counts(plan, say)
    yield weights(plan, say)
    yield batch(plan, say)
    if plan.poured is not None and plan.poured.second is not None:
        yield second(plan, plan.poured.second, say)
    if plan.weighed is not None:
        yield weighed(plan, plan.weighed, say)
    yield supplies(plan, say)
    yield costs(plan, say)
    yield duties(plan, say)
    if plan.spec.defaults:
        yield assumed(plan, say)


# -- what is wrong ---------------------------------------------------------------------------------


def _warned(plan: Plan, say: Phrases, worry: Worry) -> Warned:
    fails = worry in FAILING
    if worry is Worry.LATE:
        return Warned(worry, fails, _late(plan, say), tuple(_ways(plan, say)))
    if worry is Worry.POURED_SHORT:
        assert plan.poured is not None, "asked only of a batch that is poured"
        return Warned(worry, fails, *_poured_short(plan, plan.poured, say))
    if worry is Worry.PASSED:
        return Warned(worry, fails, *_passed(plan, say))
    ways = tuple(_unused(plan, say)) if worry is Worry.NO_PRICES else ()
    return Warned(worry, fails, _worry(plan, say, worry), ways)


def _worry(plan: Plan, say: Phrases, worry: Worry) -> str:
    currency, weight = plan.cost.currency, plan.weight
    if worry is Worry.UNFIT_RECIPE:
        return say("worry.unfit-recipe", reasons=speech_for(say)(Listed(plan.unfit, ";")))
    if worry is Worry.PAST and plan.on == plan.job.spec.event.date:
        return say("worry.past_today")
    if worry is Worry.NO_DELIVERY:
        return say("worry.no-delivery", date=say.date(plan.schedule.day(Step.DELIVER), "full"))
    if worry is Worry.OVERSTATED:
        most = weight.declarable_g
        key = "worry.overstated" if most > 0 else "worry.overstated_none"
        return say(key, declared=say.grams(weight.declared_g), most=say.grams(most))
    if worry is Worry.WEIGHED_ALLOWANCE:
        regions = _judged(plan, lambda verdict: verdict.leans_on_allowance)
        return say(
            "worry.weighed-allowance", declared=say.grams(weight.declared_g), regions=regions
        )
    if worry is Worry.WEIGHED_MEMORY:
        regions = _judged(plan, lambda verdict: verdict.leans_on_memory)
        return say("worry.weighed-memory", regions=regions)
    if worry is Worry.WEIGHED_FEW:
        return _weighed_few(plan, say)
    if worry is Worry.SHORT_CURE:
        weeks = say.many("weeks", plan.schedule.cure_weeks)
        return say("worry.short-cure", weeks=weeks, least=say.many("weeks", LEAST_CURE_WEEKS))
    if worry is Worry.CLOSED_DELIVERY:
        return say("worry.closed-delivery", date=say.date(plan.schedule.day(Step.DELIVER), "full"))
    if worry is Worry.COARSE_SCALE:
        return say("worry.coarse-scale", names=_names(plan, say, lambda line: line.coarse))
    if worry is Worry.OTHER_POURED:
        batches = [
            say("worry.other-poured_batch", lot=one.lot, date=say.date(one.poured))
            for one in plan.other_poured
        ]
        listed = speech_for(say)(Listed(batches, ";"))
        return say("worry.other-poured", lot=plan.lot, batches=listed)
    if worry is Worry.OTHER_LOT:
        planned = plan.planned_lot
        return say(
            "worry.other-lot",
            lot=plan.lot,
            planned=planned.code,
            another=planned.another,
            date=say.date(planned.poured),
        )
    if worry is Worry.NO_LOTS:
        return say("worry.no-lots", names=_names(plan, say, _lotless))
    if worry is Worry.ODD_SLICE:
        assert plan.moulding.slice_mm is not None, "asked only where loaves are sliced"
        return say("worry.odd-slice", slice=say.number(plain(plan.moulding.slice_mm)))
    if worry is Worry.OTHER_RECIPE:
        assert plan.amount_changed is not None, "asked only where there is one"
        line, own_g = plan.amount_changed
        return say(
            "worry.other-recipe",
            name=material(plan, say, line),
            poured=say.grams(line.mass_g, 0),
            recipe=say.grams(own_g, 0),
        )
    if worry is Worry.OTHER_LOTS:
        changed = [
            say(
                "worry.other-lots_material",
                name=material(plan, say, line),
                recorded=", ".join(lots),
                now=list_lots(line),
            )
            for line, lots in plan.lots_changed
        ]
        return say("worry.other-lots", changed=speech_for(say)(Listed(changed, ";")))
    if worry is Worry.ODD_PRICE:
        odd = [
            say(
                "worry.odd-price_oil",
                name=material(plan, say, line.weighing),
                price=say.money(line.per_kg or Decimal(0), currency),
            )
            for line in plan.odd_prices
        ]
        return say("worry.odd-price", oils=speech_for(say)(Listed(odd, ";")))
    if worry is Worry.NO_PRICES:
        key = "worry.no-prices" if plan.can_be_quoted else "worry.no-quote"
        return say(key, names=speech_for(say)(Listed(unpriced(plan, say), ";")))
    if worry is Worry.BELOW_COST:
        return say("worry.below-cost", amount=say.money(-plan.pricing.result, currency))
    return say(f"worry.{worry.value}")


def _poured_short(plan: Plan, poured: PouredBatch, say: Phrases) -> tuple[str, tuple[str, ...]]:
    """How far the poured batch reaches, and what can make up for the rest."""
    text = say(
        "worry.poured-short",
        pieces=say.many("pieces", poured.record.pieces),
        serves=say.many("guests", poured.serves or 0),
        spares=say.many("spares", plan.counts.spares),
        kept=say.number(plan.counts.kept),
        short=say.number(poured.short),
    )
    ways = []
    if poured.serves_alone is not None and poured.serves_alone != poured.serves:
        ways.append(say("way.served-alone", guests=say.many("guests", poured.serves_alone)))
    if poured.second is not None:
        ways.append(second_line(plan, poured.second, say))
    return text, tuple(ways)


def _judged(plan: Plan, wanted: Callable[[Verdict], bool]) -> str:
    """The regions whose verdict on weighed pieces is of a kind."""
    verdicts = plan.weighed.at_sale if plan.weighed is not None else ()
    return " + ".join(verdict.region for verdict in verdicts if wanted(verdict))


def _weighed_few(plan: Plan, say: Phrases) -> str:
    assert plan.weighed is not None, "asked only where pieces were weighed"
    done = plan.weighed.pieces
    asked = [f"{h.region} {to_weigh(h, say)}" for h in plan.weight.holds if h.sample > done]
    return say(
        "worry.weighed-few",
        pieces=say.many("pieces", done),
        lot=say.number(plan.counts.labelled),
        asked=speech_for(say)(Listed(asked, ";")),
    )


def _unused(plan: Plan, say: Phrases) -> Iterator[str]:
    """Lines of the price list that may be misspelt."""
    for line in plan.unused_prices:
        if line.meant is not None:
            yield say("way.misspelt-price", item=line.item, name=material(plan, say, line.meant))
    others = [line.item for line in plan.unused_prices if line.meant is None]
    if others:
        yield say("way.unused-prices", items=speech_for(say)(Listed(others, ";")))


def _lotless(line: Weighing) -> bool:
    return not line.lots and line.role is not Role.WATER


def _names(plan: Plan, say: Phrases, wanted: Callable[[Weighing], bool]) -> str:
    return ", ".join(material(plan, say, w) for w in plan.batch.weighings if wanted(w))


def unpriced(plan: Plan, say: Phrases) -> Iterator[str]:
    """What there is no price for, by name."""
    for line in plan.cost.materials:
        if line.amount is None:
            yield material(plan, say, line.weighing)
    for supply in plan.cost.supplies:
        if supply.amount is None:
            yield supply_name(plan, say, supply.need)


def check_quote(plan: Plan) -> None:
    """InputError naming the prices without which a quote would ask too little."""
    if not plan.can_be_quoted:
        say = phrases_for(plan, "en")
        names = "; ".join(unpriced(plan, say))
        hints = "".join(f" {hint}" for hint in _unused(plan, say))
        raise InputError(
            shown_path(plan.job.spec.path),
            "plan.price",
            None,
            f"no quote while there is no price for {names}; expected their prices in the price"
            f" list and [plan], or a price of your own for a piece.{hints}",
        )


def _late(plan: Plan, say: Phrases) -> str:
    late = plan.schedule.late
    assert late is not None, "asked only of a late plan"
    dated = plan.schedule.dated(late.missed)
    by = dated.last if late.missed is Step.CURE else dated.first
    return say(
        "worry.late",
        days=say.many("days", late.days),
        step=say(f"step.{late.missed.value}"),
        date=say.date(by, "full"),
    )


def _ways(plan: Plan, say: Phrases) -> Iterator[str]:
    late = plan.schedule.late
    assert late is not None, "asked only of a late plan"
    values = {
        WayOut.ALREADY: {},
        WayOut.FETCH: {"pour": say.date(plan.schedule.day(Step.POUR), "full")},
        WayOut.SHORTER_CURE: {
            "least": say.many("weeks", LEAST_CURE_WEEKS),
            "by_least": say.date(late.by_least_cure, "full"),
        },
        WayOut.CURED_STOCK: {},
        WayOut.LATER: {"by_full": say.date(late.by_full_cure, "full")},
    }
    for way in late.ways_out:
        yield say(f"way.{way.value}", **values[way])


def _passed(plan: Plan, say: Phrases) -> tuple[str, tuple[str, ...]]:
    """The days that are past, and what is left where their work is not done."""
    found, dated = plan.passed, plan.schedule
    assert found is not None, "asked only where days are past"
    days = (f"{say(f'step.{d.step.value}')} ({say.date(d.last)})" for d in found.steps)
    text = say("worry.passed", steps="; ".join(days))
    if plan.on == dated.day(Step.EVENT):
        return text, ()
    planned, begin = say.date(dated.day(Step.DELIVER)), say.date(found.begin)
    ways = [
        say(
            "way.left_kept" if left.kept else "way.left",
            steps="; ".join(say(f"step.{step.value}") for step in left.steps),
            begin=begin,
            by=say.date(left.deliver, "full"),
            deliver=planned,
        )
        for left in found.left
    ]
    if found.answer_by is not None:
        by = say.date(found.answer_by, "full")
        ways.append(say("way.answer", begin=begin, by=by, deliver=planned))
    return text, tuple(ways)
