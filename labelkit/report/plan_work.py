"""The plan's work in words: days, pieces, weights, the batch, and pieces that were weighed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.messages import Listed
from labelkit.formula import LYE_CAUTIONS
from labelkit.order.plan import MouldKind
from labelkit.plan.batching import Role, Weighing
from labelkit.plan.dates import Calendar, Closure, Dated, Step
from labelkit.plan.lots import Verdict
from labelkit.plan.order_plan import Plan
from labelkit.plan.poured import PouredBatch, SecondBatch
from labelkit.plan.weight import Hold, Weighed
from labelkit.report.phrasebook import Phrases, plain
from labelkit.report.plan_parts import (
    Row,
    Section,
    Table,
    if_fit,
    list_lots,
    material,
    source,
    speech_for,
)
from labelkit.typeset.apostrophes import typographic

# -- days ------------------------------------------------------------------------------------------


def days(plan: Plan, say: Phrases) -> Section:
    """The steps by date, each with its weekday."""
    rows = tuple(_step(dated, say) for dated in plan.schedule.steps)
    lines = tuple(_day_lines(plan, say))
    return Section("days", say("step.title"), (Table(rows, "lll"),), lines=lines)


def _step(dated: Dated, say: Phrases) -> Row:
    weekday, date = say.weekday(dated.first), say.date(dated.first)
    if dated.last != dated.first:
        weekday = say("step.span", first=weekday, last=say.weekday(dated.last))
        date = say("step.span", first=say.date(dated.first), last=say.date(dated.last))
    strong = dated.step in (Step.POUR, Step.DELIVER, Step.EVENT)
    return Row((weekday, date, say(f"step.{dated.step.value}")), strong)


def _day_lines(plan: Plan, say: Phrases) -> Iterator[str]:
    dated, timing = plan.schedule, plan.spec.timing
    yield say(
        "step.cure_days",
        days=say.many("days", dated.cure_days),
        weeks=say.many("weeks", dated.cure_weeks),
    )
    calendar = Calendar(timing.closed, timing.holidays)
    closures = calendar.closures(dated.steps[0].first, dated.steps[-1].last)
    if closures:
        named = ", ".join(_closure(closure, say) for closure in closures)
        yield say("step.holidays", days=named)
    if not timing.holidays:
        yield say("step.no_holidays")


def _closure(closure: Closure, say: Phrases) -> str:
    spans = (
        say.date(first)
        if first == last
        else say("step.span", first=say.date(first), last=say.date(last))
        for first, last in closure.spans
    )
    return f"{closure.name} ({'; '.join(spans)})"


# -- pieces ----------------------------------------------------------------------------------------


def counts(plan: Plan, say: Phrases) -> Section:
    """From the guests to the moulds."""
    return Section("count", say("count.title"), (Table(tuple(_counts(plan, say)), "rl"),))


def _counts(plan: Plan, say: Phrases) -> Iterator[Row]:
    counted, mould = plan.counts, plan.moulding

    def row(key: str, number: int, **values: object) -> Row:
        return Row((say.number(number), say.form(f"count.{key}", number, **values)))

    spares = say.many("spare_pieces" if plan.spare_labels else "spares", counted.spares)
    guests = say.many("guests", counted.guests)
    yield row("labelled", counted.labelled, guests=guests, spares=spares)
    for sent in plan.spec.sent:
        yield Row((say.number(sent.pieces), say("count.sent", to=typographic(sent.to))))
    for key in ("wrapped_spoilt", "kept", "cut_spoilt"):
        if getattr(counted, key):
            yield row(key, getattr(counted, key))
    if plan.poured is None:
        yield from _pieces_to_make(plan, say)
    else:
        yield from _pieces_there_are(plan, plan.poured, say)
    if mould.slice_mm is not None and (plan.poured is None or plan.poured.record.pieces):
        thickness = f"{say.number(plain(mould.slice_mm))}\u00a0mm"
        yield Row((thickness, say("count.slice")), True)
    labels = say.number(plan.job.spec.event.labels)
    yield Row((labels, _label_words(plan, say)), True)


def _pieces_to_make(plan: Plan, say: Phrases) -> Iterator[Row]:
    """What is to be poured and cut; it still follows the guests."""
    counted, mould = plan.counts, plan.moulding

    def row(key: str, number: int, strong: bool = False) -> Row:
        return Row((say.number(number), say.form(f"count.{key}", number)), strong)

    yield row("needed", counted.needed, True)
    yield Row((say.number(counted.bars), bars_words(plan, say)), True)
    if counted.over:
        yield row("over", counted.over)
    if mould.moulds:
        yield Row((say.number(mould.moulds), _mould_words(plan, say)), True)
    if mould.bars_over:
        yield row("bars_over", mould.bars_over)
    if not mould.moulds:
        yield Row((f"{say.number(mould.volume_ml, 0)}\u00a0mL", say("count.volume")))
    if mould.ends_g:
        yield Row((say.grams(mould.ends_g, 0), say("count.ends")))


def _pieces_there_are(plan: Plan, poured: PouredBatch, say: Phrases) -> Iterator[Row]:
    """The batch as poured, against what the order asks now."""
    counted, pieces = plan.counts, poured.record.pieces

    def row(key: str, number: int, strong: bool = False, **values: object) -> Row:
        return Row((say.number(number), say.form(f"count.{key}", number, **values)), strong)

    yield row("asked", counted.needed)
    if not pieces:
        yield Row(("–", say("count.poured_unknown")), True)
        return
    yield row("poured", pieces, True)
    yield Row((say.number(counted.bars), bars_words(plan, say)))
    if counted.over:
        yield row("poured_over" if counted.over > 0 else "poured_short", abs(counted.over), True)
    spares = say.many("spares", counted.spares)
    yield row("serves", poured.serves or 0, True, spares=spares, kept=say.number(counted.kept))


def _label_words(plan: Plan, say: Phrases) -> str:
    """What becomes of the labels."""
    labels = plan.job.spec.event.labels
    if not plan.spare_labels:
        return say.form("count.labels", labels)
    pieces = say.many("for_pieces", plan.counts.labelled)
    spare = say.number(plan.spare_labels)
    return say.form("count.labels_spare", labels, pieces=pieces, spare=spare)


def bars_words(plan: Plan, say: Phrases) -> str:
    """What becomes of the bars."""
    bars, per_bar = plan.counts.bars, plan.counts.per_bar
    if per_bar > 1:
        return say.form("count.bars", bars, n=say.number(per_bar))
    return say.form("count.bars_of_one", bars)


def _mould_words(plan: Plan, say: Phrases) -> str:
    mould, number = plan.spec.making.mould, plan.moulding.moulds
    assert mould is not None, "asked only where moulds are counted"
    if mould.kind is MouldKind.VOLUME:
        volume = say.number(mould.volume_ml, 0)
        return say.form("count.loaves_volume", number, volume=volume)
    if mould.kind is MouldKind.CAVITIES:
        cavities = say.many("cavities", mould.cavities)
        return say.form("count.trays", number, cavities=cavities)
    sides = (mould.length_mm, mould.width_mm, mould.fill_mm)
    size = " × ".join(say.number(plain(side)) for side in sides)
    return say.form("count.loaves", number, size=f"{size}\u00a0mm")


def weights(plan: Plan, say: Phrases) -> Section:
    """What to cut to, and what each region asks on the day of sale."""
    rows = tuple(_weights(plan, say))
    lines = tuple(_weight_rules(plan, say))
    return Section("weight", say("weight.title"), (Table(rows, "rl"),), lines=lines)


def _weights(plan: Plan, say: Phrases) -> Iterator[Row]:
    weight = plan.weight

    def row(key: str, grams: str, strong: bool = False) -> Row:
        return Row((grams, say(f"weight.{key}")), strong)

    yield row("declared", say.grams(weight.declared_g))
    cut = say.grams(weight.cut_g) if not weight.fixed else say.grams(weight.cut_g, 1)
    recorded = plan.poured is not None and plan.poured.record.piece_g is not None
    fixed = "cut_poured" if recorded else "cut_fixed"
    yield row(fixed if weight.fixed else "cut", cut, True)
    yield row("bar", say.grams(plan.moulding.bar_g, 0))
    yield row("set_aside", say.grams(weight.set_aside_g), True)
    loss = weight.loss
    shown = {"loss": say.number(loss.percent, 1), "spread": say.number(loss.spread_percent, 1)}
    yield row("loss", say("weight.loss_range", **shown))
    yield row("cured", say.grams(weight.cured_g, 1))
    low, high = say.number(weight.sale_g(-1), 1), say.number(weight.sale_g(1), 1)
    yield Row((say.grams(weight.sale_g(), 1), say("weight.sale_range", low=low, high=high)))
    if weight.fixed:
        yield row("declarable", say.grams(weight.declarable_g))
    yield row("sample", say.number(weight.sample), True)


def _weight_rules(plan: Plan, say: Phrases) -> Iterator[str]:
    for hold in plan.weight.holds:
        rule = say(
            "weight.rule",
            region=hold.region,
            declared=say.grams(plan.weight.declared_g),
            lightest=say.grams(hold.lightest_g),
            tolerance=say.grams(hold.tolerance.grams),
            n=to_weigh(hold, say),
            lot=say.number(plan.counts.labelled),
        )
        yield f"{rule} {source(say, hold.scheme.citation, hold.tolerance.provenance)}"


def to_weigh(hold: Hold, say: Phrases) -> str:
    """How many pieces a region's scheme weighs, and whether that is from memory."""
    number = say.number(hold.sample)
    read = hold.scheme.sample_provenance == "read"
    return number if read else say("weight.from_memory", n=number)


# -- the batch -------------------------------------------------------------------------------------


def batch(plan: Plan, say: Phrases) -> Section:
    """What is weighed, with the caution that belongs to it."""
    heading = tuple(say(f"batch.{key}") for key in ("material", "grams", "ounces", "lot"))
    rows = tuple(_weighing(plan, say, line) for line in plan.batch.weighings)
    made = plan.batch
    poured, ounces = say.number(made.poured_g, 0), _ounces(plan, say)
    cells = (say("batch.total"), if_fit(plan, poured), if_fit(plan, ounces), "")
    table = Table((*rows, Row(cells, True)), "lrrl", heading)
    if plan.is_poured:
        kept = (poured_line(plan, say), *batch_lines(plan, say))
        return Section("batch", say("batch.title_poured"), (table,), lines=kept)
    lines = [*scale_lines(plan, say), *mistake_lines(plan, say)]
    if not plan.unfit:
        lines += batch_lines(plan, say)
    lines += cautions(say)
    stop = "\u2002".join(stop_lines(plan, say))
    return Section("batch", say("batch.title"), (table,), lines=tuple(lines), stop=stop)


def stop_lines(plan: Plan, say: Phrases) -> tuple[str, ...]:
    """That this recipe must not be poured, and why; nothing where it may be, or has been."""
    if not plan.withholds_masses:
        return ()
    reasons = (f"{speech_for(say)(reason)}." for reason in plan.unfit)
    return say("batch.stop"), *reasons


def scale_lines(plan: Plan, say: Phrases) -> tuple[str, ...]:
    """The figure to check at the scale, and what its ends mean."""
    scale, speech = plan.weighing_check.scale, speech_for(say)
    return () if scale is None else (f"{speech(scale.told)}. {speech(scale.why)}.",)


def mistake_lines(plan: Plan, say: Phrases) -> Iterator[str]:
    """What mistakes would make of the batch, the dangerous ones first; none of an unfit recipe."""
    found = plan.weighing_check
    if found.caustic and not plan.unfit:
        speech = speech_for(say)
        yield say("batch.caustic")
        yield from (f"– {speech(mistake.told)}" for mistake in found.caustic)
    if found.harmless and not plan.unfit:
        yield harmless_line(plan, say)


def harmless_line(plan: Plan, say: Phrases) -> str:
    """The mistakes that leave no lye over, whatever else comes of them."""
    listed = Listed((mistake.what for mistake in plan.weighing_check.harmless), ";")
    return f"{say('batch.harmless')} {speech_for(say)(listed)}."


def second(plan: Plan, made: SecondBatch, say: Phrases) -> Section:
    """What would make up for the pieces that are missing, with the caution that belongs to it."""
    if plan.unfit:
        return Section("second", say("second.title"), lines=(say("second.unfit"),))
    heading = tuple(say(f"batch.{key}") for key in ("material", "grams", "ounces"))
    rows = tuple(Row(_weighing(plan, say, line).cells[:3]) for line in made.batch.weighings)
    ounces = say.number(sum((line.ounces for line in made.batch.weighings), Decimal(0)))
    total = Row((say("figure.poured"), say.number(made.batch.poured_g, 0), ounces), True)
    table = Table((*rows, total), "lrr", heading)
    lines = (second_line(plan, made, say), say("second.lot", lot=plan.another_lot))
    return Section("second", say("second.title"), (table,), lines=(*lines, *cautions(say)))


def second_line(plan: Plan, made: SecondBatch, say: Phrases) -> str:
    """How many pieces it gives, and whether they still come in time."""
    key = "in_time" if made.in_time else "before_event" if made.before_event else "late"
    return say(
        f"second.{key}",
        missing=say.many("pieces", made.pieces),
        gives=say.number(made.gives),
        by=say.date(made.pour_by, "full"),
        planned=say.date(plan.schedule.day(Step.DELIVER), "full"),
        deliver=say.date(made.deliver, "full"),
        event=say.date(plan.job.spec.event.date, "full"),
    )


def poured_line(plan: Plan, say: Phrases) -> str:
    """Of a batch that is poured: when, and where its amounts come from."""
    day = say.date(plan.schedule.day(Step.POUR), "full")
    return say("batch.unrecorded" if plan.poured is None else "batch.recorded", poured=day)


def _weighing(plan: Plan, say: Phrases, line: Weighing) -> Row:
    name = material(plan, say, line)
    if line.role is Role.LATE_OIL:
        name = f"{name}, {say('batch.late_oil')}"
    grams, ounces = say.number(plain(line.mass_g)), say.number(line.ounces)
    return Row((name, if_fit(plan, grams), if_fit(plan, ounces), list_lots(line) or "–"))


def _ounces(plan: Plan, say: Phrases) -> str:
    return say.number(sum((line.ounces for line in plan.batch.weighings), Decimal(0)))


def batch_lines(plan: Plan, say: Phrases) -> Iterator[str]:
    """The batch's own figures."""
    made = plan.batch
    yield say("batch.factor", factor=say.number(made.factor, 3))
    wanted, reached = made.wanted_superfat_percent, made.batch.superfat_percent
    yield say("batch.superfat", superfat=say.number(reached, 2), wanted=say.number(wanted, 2))
    yield say(
        "batch.water",
        ratio=say.number(made.batch.water_to_lye, 2),
        concentration=say.number(made.batch.lye_concentration_percent, 1),
    )
    if plan.poured is None:
        yield balance_line(plan, say)


def balance_line(plan: Plan, say: Phrases) -> str:
    """Where the poured mass goes."""
    parts = plan.balance
    return say(
        "batch.balance",
        poured=say.grams(parts.poured_g, 0),
        pieces=say.grams(parts.pieces_g, 0),
        over=say.grams(parts.over_g, 0),
        ends=say.grams(parts.ends_g, 0),
        pot=say.grams(parts.pot_g, 0),
    )


def cautions(say: Phrases) -> tuple[str, ...]:
    """How to handle lye, in the language where there are words, else in English."""
    own = tuple(say.words[key] for key in sorted(say.words) if key.startswith("caution."))
    return own or LYE_CAUTIONS


# -- pieces that were weighed ----------------------------------------------------------------------


def weighed(plan: Plan, found: Weighed, say: Phrases) -> Section:
    """The verdict on measured pieces, as weighed and on the day of sale."""
    now = found.now[0]
    summary = say(
        "weighed.summary",
        pieces=say.many("pieces", now.weighed),
        lot=say.number(now.lot),
        mean=say.grams(now.mean_g, 2),
        deviation=say.grams(now.deviation_g, 2),
        least=say.grams(min(found.weights_g), 1),
        most=say.grams(max(found.weights_g), 1),
    )
    percent = say.number(plan.weight.further_percent)
    lines = [summary]
    for moment, verdicts in (("now", found.now), ("at_sale", found.at_sale)):
        when = say(f"weighed.{moment}", percent=percent)
        lines += [_verdict(say, verdict, when) for verdict in verdicts]
    rest = now.lot - now.weighed
    lines.append(
        say("weighed.rest", pieces=say.many("pieces", rest)) if rest else say("weighed.all")
    )
    return Section("weighed", say("weighed.title"), lines=tuple(lines))


def _verdict(say: Phrases, verdict: Verdict, when: str) -> str:
    head = say(
        "weighed.holds" if verdict.holds else "weighed.fails",
        region=verdict.region,
        when=when,
        pieces=say.many("pieces", verdict.weighed),
        lot=say.number(verdict.lot),
    )
    lightest = verdict.declared_g - verdict.tolerance.grams
    parts = [
        _average(say, verdict),
        say.form(
            "weighed.short",
            verdict.short_fails_at,
            short=say.number(verdict.short),
            lightest=say.grams(lightest),
            limit=say.number(verdict.short_fails_at),
        ),
    ]
    times = verdict.scheme.far_times
    if times is not None:
        far = say.grams(verdict.declared_g - times * verdict.tolerance.grams)
        parts.append(say("weighed.far_short", far=say.number(verdict.far_short), far_lightest=far))
    return f"{head} ({speech_for(say)(Listed(parts, ';'))})."


def _average(say: Phrases, verdict: Verdict) -> str:
    values = {
        "mean": say.grams(verdict.mean_g, 2),
        "declared": say.grams(verdict.declared_g),
        "adjusted": say.grams(verdict.adjusted_g, 2),
    }
    if verdict.only_by_allowance:
        return say("weighed.allowance", **values)
    if not verdict.average_holds:
        allowed = verdict.adjusted_g > verdict.mean_g
        return say("weighed.adjusted_fails" if allowed else "weighed.average_fails", **values)
    return say("weighed.average", **values)
