"""A plan in words: what is wrong with it, and its sections in their order.

Figures come from the plan as they are; here they are rounded for the eye and put in words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from decimal import ROUND_CEILING, Decimal

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.consumer_prices import find_final_price_law
from labelkit.plan.dates import LEAST_CURE_WEEKS, LateWayOut, PlanStep
from labelkit.plan.lots import LotVerdict
from labelkit.plan.order_plan import (
    FAILING,
    Plan,
    Worry,
    list_bar_sides_mm,
    list_piece_sides_mm,
)
from labelkit.plan.poured import PouredBatch
from labelkit.report.phrasebook import Phrases, list_languages, strip_zeros
from labelkit.report.plan_parts import (
    BOOK,
    PlanSection,
    choose_phrases,
    describe_source,
    join_lots,
    make_speech,
    translate_material,
)
from labelkit.report.plan_pours import describe_noted_pour
from labelkit.report.plan_trade import (
    describe_supply,
    make_costs_section,
    make_defaults_section,
    make_duties_section,
    make_supplies_section,
)
from labelkit.report.plan_work import (
    describe_sample_size,
    describe_second_batch,
    make_batch_section,
    make_counts_section,
    make_days_section,
    make_second_section,
    make_weighed_section,
    make_weights_section,
)
from labelkit.typeset.apostrophes import set_apostrophes


@dataclass(frozen=True, slots=True)
class WordedWarning:
    worry: Worry
    fails: bool
    text: str
    ways: tuple[str, ...] = ()


@dataclass(frozen=True)
class WordedPlan:
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
    warned: tuple[WordedWarning, ...]
    sections: tuple[PlanSection, ...]

    def section(self, key: str) -> PlanSection:
        return next(section for section in self.sections if section.key == key)

    def has(self, key: str) -> bool:
        return any(section.key == key for section in self.sections)


def word_warnings(plan: Plan, language: str | None = None) -> tuple[WordedWarning, ...]:
    """What is wrong with a plan, the gravest first."""
    say = choose_phrases(plan, language)
    return tuple(_word_warning(plan, say, worry) for worry in plan.worries)


def word_plan(plan: Plan, language: str | None = None) -> WordedPlan:
    """Words a plan; LanguageError for a language without words."""
    say = choose_phrases(plan, language)
    spec = plan.job.spec
    lot = "head.lot" if plan.lot_given else "head.lot_from_pattern"
    return WordedPlan(
        phrases=say,
        title=say.of(spec.event.names),
        date=say.date(spec.event.date, "full"),
        place=say.of(spec.event.place),
        maker=set_apostrophes(spec.maker.name),
        lot=say(lot, lot=plan.lot),
        order=say("head.order", code=plan.order_code),
        as_of=say("head.as_of", date=say.date(plan.on), regions=" + ".join(plan.job.regions)),
        warned=word_warnings(plan, language),
        sections=tuple(_make_sections(plan, say)),
    )


def _make_sections(plan: Plan, say: Phrases) -> Iterator[PlanSection]:
    yield make_days_section(plan, say)
    yield make_counts_section(plan, say)
    yield make_weights_section(plan, say)
    yield make_batch_section(plan, say)
    if plan.poured is not None and plan.poured.second is not None:
        yield make_second_section(plan, plan.poured.second, say)
    if plan.weighed is not None:
        yield make_weighed_section(plan, plan.weighed, say)
    yield make_supplies_section(plan, say)
    yield make_costs_section(plan, say)
    yield make_duties_section(plan, say)
    if plan.spec.defaults:
        yield make_defaults_section(plan, say)


# -- what is wrong ---------------------------------------------------------------------------------


def _word_warning(plan: Plan, say: Phrases, worry: Worry) -> WordedWarning:
    fails = worry in FAILING
    if worry is Worry.LATE:
        return WordedWarning(
            worry, fails, _describe_lateness(plan, say), tuple(_describe_ways_out(plan, say))
        )
    if worry is Worry.POURED_SHORT:
        assert plan.poured is not None, "asked only of a batch that is poured"
        return WordedWarning(worry, fails, *_describe_poured_short(plan, plan.poured, say))
    if worry is Worry.PASSED:
        return WordedWarning(worry, fails, *_describe_passed_days(plan, say))
    ways = tuple(_describe_unused_prices(plan, say)) if worry is Worry.NO_PRICES else ()
    return WordedWarning(worry, fails, _describe_worry(plan, say, worry), ways)


def _describe_worry(plan: Plan, say: Phrases, worry: Worry) -> str:
    currency, weight = plan.cost.currency, plan.weight
    if worry is Worry.UNFIT_RECIPE:
        return say("worry.unfit-recipe", reasons=make_speech(say)(FactList(plan.unfit, ";")))
    if worry is Worry.PAST and plan.on == plan.job.spec.event.date:
        return say("worry.past_today")
    if worry is Worry.NO_DELIVERY:
        return say("worry.no-delivery", date=say.date(plan.schedule.day(PlanStep.DELIVER), "full"))
    if worry is Worry.OVERSTATED:
        most = weight.declarable_g
        key = "worry.overstated" if most > 0 else "worry.overstated_none"
        return say(key, declared=say.grams(weight.declared_g), most=say.grams(most))
    if worry is Worry.WEIGHED_ALLOWANCE:
        regions = _join_judged_regions(plan, lambda verdict: verdict.leans_on_allowance)
        return say(
            "worry.weighed-allowance", declared=say.grams(weight.declared_g), regions=regions
        )
    if worry is Worry.WEIGHED_MEMORY:
        regions = _join_judged_regions(plan, lambda verdict: verdict.leans_on_memory)
        return say("worry.weighed-memory", regions=regions)
    if worry is Worry.WEIGHED_FEW:
        return _describe_weighed_few(plan, say)
    if worry is Worry.LONG_MOULD:
        dated = plan.schedule
        return say(
            "worry.long-mould",
            days=say.many("days", dated.mould_days),
            pour=say.date(dated.day(PlanStep.POUR)),
            cut=say.date(dated.day(PlanStep.CUT)),
            asked=say.many("days", plan.spec.timing.unmould_days),
        )
    if worry is Worry.SHORT_CURE:
        weeks = say.many("weeks", plan.schedule.cure_weeks)
        return say("worry.short-cure", weeks=weeks, least=say.many("weeks", LEAST_CURE_WEEKS))
    if worry is Worry.CLOSED_DELIVERY:
        return say(
            "worry.closed-delivery", date=say.date(plan.schedule.day(PlanStep.DELIVER), "full")
        )
    if worry is Worry.COARSE_SCALE:
        names = [_join_material_names(plan, say, lambda line: line.coarse)]
        names += [say("weight.pieces")] if plan.coarse_pieces else []
        return say("worry.coarse-scale", names=", ".join(name for name in names if name))
    if worry is Worry.OTHER_POURED:
        batches = [
            say("worry.other-poured_batch", lot=one.lot, date=say.date(one.poured))
            for one in plan.other_poured
        ]
        listed = make_speech(say)(FactList(batches, ";"))
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
        return say("worry.no-lots", names=_join_material_names(plan, say, _is_without_lot))
    if worry is Worry.ODD_SLICE:
        assert plan.moulding.slice_mm is not None, "asked only where loaves are sliced"
        return say("worry.odd-slice", slice=say.number(strip_zeros(plan.moulding.slice_mm)))
    if worry is Worry.ODD_FACE:
        piece, bar = list_piece_sides_mm(plan), list_bar_sides_mm(plan)
        return say(
            "worry.odd-face",
            face=_join_sides(piece[:2], say),
            depth=say.number(piece[2], 0),
            bar=_join_sides(bar, say),
        )
    if worry is Worry.OTHER_RECIPE:
        assert plan.amount_changed is not None, "asked only where there is one"
        line, own_g = plan.amount_changed
        return say(
            "worry.other-recipe",
            name=translate_material(plan, say, line),
            poured=say.weighed(line.mass_g, line.scale),
            recipe=say.weighed(own_g, line.scale),
        )
    if worry is Worry.OTHER_LOTS:
        changed = [
            say(
                "worry.other-lots_material",
                name=translate_material(plan, say, line),
                recorded=", ".join(lots),
                now=join_lots(line),
            )
            for line, lots in plan.lots_changed
        ]
        return say("worry.other-lots", changed=make_speech(say)(FactList(changed, ";")))
    if worry is Worry.UNTRIED:
        tried, scents = plan.tried, [scent.name for scent in plan.job.recipe.scents]
        assert tried is not None, "asked only where there is a record"
        late = tried.trial_by < plan.on
        return say(
            "worry.untried_late" if late else "worry.untried",
            recipe=" + ".join([plan.job.recipe.name, *scents]),
            times=say.number(tried.recipe_times),
            day=say.date(tried.trial_by, "full"),
        )
    if worry is Worry.MISBEHAVED:
        assert plan.tried is not None, "asked only where there is a record"
        noted = [describe_noted_pour(one, say) for one in plan.tried.misbehaved]
        return say("worry.misbehaved", batches=make_speech(say)(FactList(noted, ";")))
    if worry is Worry.SHELF_SHORT:
        return _describe_short_shelf(plan, say)
    if worry is Worry.SHELF_OLD:
        return _describe_old_shelf(plan, say)
    if worry is Worry.ODD_PRICE:
        odd = [
            say(
                "worry.odd-price_oil",
                name=translate_material(plan, say, line.weighing),
                price=say.money(line.per_kg or Decimal(0), currency),
            )
            for line in plan.odd_prices
        ]
        return say("worry.odd-price", oils=make_speech(say)(FactList(odd, ";")))
    if worry is Worry.NO_PRICES:
        asks = plan.can_be_quoted or plan.is_for_display
        key = "worry.no-prices" if asks else "worry.no-quote"
        return say(key, names=make_speech(say)(FactList(list_unpriced(plan, say), ";")))
    if worry is Worry.NO_TAX:
        law = find_final_price_law(plan.job.regions)
        assert law is not None, "asked only where there is one"
        source = describe_source(say, law.citation, law.provenance, "worry.no-tax_source")
        return say("worry.no-tax", regions=" + ".join(plan.job.regions), source=source)
    if worry is Worry.BELOW_COST:
        return say("worry.below-cost", amount=say.money(-plan.pricing.result, currency))
    return say(f"worry.{worry.value}")


def _describe_short_shelf(plan: Plan, say: Phrases) -> str:
    """What to order, of whom, and by when."""
    assert plan.shelf is not None, "asked only where there is one"
    missing = [
        say(
            "worry.shelf-short_from" if one.supplier else "worry.shelf-short_item",
            mass=say.weighed(one.missing_g, one.weighing.scale, ROUND_CEILING),
            name=translate_material(plan, say, one.weighing),
            supplier=one.supplier,
        )
        for one in plan.shelf.to_order
    ]
    steps = {dated.step for dated in plan.schedule.steps}
    by = PlanStep.ORDER if PlanStep.ORDER in steps else PlanStep.POUR
    day = say.date(plan.schedule.day(by), "full")
    return say("worry.shelf-short", missing=make_speech(say)(FactList(missing, ";")), day=day)


def _describe_old_shelf(plan: Plan, say: Phrases) -> str:
    assert plan.shelf is not None, "asked only where there is one"
    old = [
        say(f"worry.shelf-old_{one.what}", item=one.item, day=say.date(one.day), lot=one.lot)
        for one in plan.shelf.old
    ]
    return say("worry.shelf-old", papers=make_speech(say)(FactList(old, ";")))


def _describe_poured_short(
    plan: Plan, poured: PouredBatch, say: Phrases
) -> tuple[str, tuple[str, ...]]:
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
        ways.append(describe_second_batch(plan, poured.second, say))
    return text, tuple(ways)


def _join_sides(sides_mm: Iterable[Decimal], say: Phrases) -> str:
    return "\u00a0x\u00a0".join(say.number(strip_zeros(side)) for side in sides_mm)


def _join_judged_regions(plan: Plan, wanted: Callable[[LotVerdict], bool]) -> str:
    """The regions whose verdict on weighed pieces is of a kind."""
    verdicts = plan.weighed.at_sale if plan.weighed is not None else ()
    return " + ".join(verdict.region for verdict in verdicts if wanted(verdict))


def _describe_weighed_few(plan: Plan, say: Phrases) -> str:
    assert plan.weighed is not None, "asked only where pieces were weighed"
    done = plan.weighed.pieces
    asked = [
        f"{h.region} {describe_sample_size(h, say)}" for h in plan.weight.holds if h.sample > done
    ]
    return say(
        "worry.weighed-few",
        pieces=say.many("pieces", done),
        lot=say.number(plan.counts.labelled),
        asked=make_speech(say)(FactList(asked, ";")),
    )


def _describe_unused_prices(plan: Plan, say: Phrases) -> Iterator[str]:
    """Lines of the price list that may be misspelt."""
    for line in plan.unused_prices:
        if line.meant is not None:
            yield say(
                "way.misspelt-price", item=line.item, name=translate_material(plan, say, line.meant)
            )
    others = [line.item for line in plan.unused_prices if line.meant is None]
    if others:
        yield say("way.unused-prices", items=make_speech(say)(FactList(others, ";")))


def _is_without_lot(line: Weighing) -> bool:
    return not line.lots and line.role is not WeighingRole.WATER


def _join_material_names(plan: Plan, say: Phrases, wanted: Callable[[Weighing], bool]) -> str:
    return ", ".join(translate_material(plan, say, w) for w in plan.batch.weighings if wanted(w))


def list_unpriced(plan: Plan, say: Phrases) -> Iterator[str]:
    """What there is no price for, by name."""
    for line in plan.cost.materials:
        if line.amount is None:
            yield translate_material(plan, say, line.weighing)
    for supply in plan.cost.supplies:
        if supply.amount is None:
            yield describe_supply(plan, say, supply.need)


def check_quote(plan: Plan, language: str | None = None) -> None:
    """InputError naming the prices without which a quote would ask too little, or a language that
    quotes are not written in."""
    known = list_languages(BOOK)
    for tag in plan.spec.money.quote_languages:
        if tag not in known:
            told = Said("expected one of {listed}", listed=FactList(known))
            raise InputError(format_path(plan.job.spec.path), "plan.quote.languages", tag, told)
    if plan.is_for_display:
        told = Said("display pieces are for no customer; expected no quote of them")
        raise InputError(format_path(plan.job.spec.path), "event.kind", None, told)
    if not plan.can_be_quoted:
        say = choose_phrases(plan, language)
        names = FactList(list_unpriced(plan, say), ";")
        hints = "".join(f" {hint}" for hint in _describe_unused_prices(plan, say))
        raise InputError(
            format_path(plan.job.spec.path),
            "plan.quote.price",
            None,
            Said(
                "no quote while there is no price for {names}; expected their prices in the "
                "price list and [plan], or a price of your own for a piece.{hints}",
                names=names,
                hints=hints,
            ),
        )


def _describe_lateness(plan: Plan, say: Phrases) -> str:
    late = plan.schedule.late
    assert late is not None, "asked only of a late plan"
    dated = plan.schedule.dated(late.missed)
    by = dated.last if late.missed is PlanStep.CURE else dated.first
    return say(
        "worry.late",
        days=say.many("days", late.days),
        step=say(f"step.{late.missed.value}"),
        date=say.date(by, "full"),
    )


def _describe_ways_out(plan: Plan, say: Phrases) -> Iterator[str]:
    late = plan.schedule.late
    assert late is not None, "asked only of a late plan"
    values = {
        LateWayOut.ALREADY: {},
        LateWayOut.FETCH: {"pour": say.date(plan.schedule.day(PlanStep.POUR), "full")},
        LateWayOut.SHORTER_CURE: {
            "least": say.many("weeks", LEAST_CURE_WEEKS),
            "by_least": say.date(late.by_least_cure, "full"),
        },
        LateWayOut.CURED_STOCK: {},
        LateWayOut.LATER: {"by_full": say.date(late.by_full_cure, "full")},
    }
    for way in late.ways_out:
        yield say(f"way.{way.value}", **values[way])


def _describe_passed_days(plan: Plan, say: Phrases) -> tuple[str, tuple[str, ...]]:
    """The days that are past, and what is left where their work is not done."""
    found, dated = plan.passed, plan.schedule
    assert found is not None, "asked only where days are past"
    days = (f"{say(f'step.{d.step.value}')} ({say.date(d.last)})" for d in found.steps)
    text = say("worry.passed", steps="; ".join(days))
    if plan.on == dated.day(PlanStep.EVENT):
        return text, ()
    planned, begin = say.date(dated.day(PlanStep.DELIVER)), say.date(found.begin)
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
