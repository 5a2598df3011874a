"""The plan's work in words: days, pieces, weights, the batch, and pieces that were weighed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from labelkit.common.messages import FactList
from labelkit.common.scales import format_on_scale
from labelkit.formula import LYE_CAUTIONS
from labelkit.order.plan import MouldKind
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.dates import Calendar, Closure, DatedStep, PlanStep
from labelkit.plan.lots import LotVerdict
from labelkit.plan.order_plan import Plan
from labelkit.plan.poured import PouredBatch, SecondBatch
from labelkit.plan.weight import RegionDemand, WeighedPieces
from labelkit.report.phrasebook import Phrases, strip_zeros
from labelkit.report.plan_masses import MassColumns
from labelkit.report.plan_parts import (
    PlanRow,
    PlanSection,
    PlanTable,
    describe_source,
    join_lots,
    make_speech,
    strike_if_unfit,
    translate_material,
)
from labelkit.report.plan_pours import describe_pours
from labelkit.typeset.apostrophes import set_apostrophes

# -- days ------------------------------------------------------------------------------------------


def make_days_section(plan: Plan, say: Phrases) -> PlanSection:
    """The steps by date, each with its weekday."""
    rows = tuple(_make_step_row(dated, say) for dated in plan.steps_left)
    lines = tuple(_describe_days(plan, say))
    return PlanSection("days", say("step.title"), (PlanTable(rows, "lll"),), lines=lines)


def _make_step_row(dated: DatedStep, say: Phrases) -> PlanRow:
    weekday, date = say.weekday(dated.first), say.date(dated.first)
    if dated.last != dated.first:
        weekday = say("step.span", first=weekday, last=say.weekday(dated.last))
        date = say("step.span", first=say.date(dated.first), last=say.date(dated.last))
    strong = dated.step in (PlanStep.POUR, PlanStep.DELIVER, PlanStep.EVENT)
    return PlanRow((weekday, date, say(f"step.{dated.step.value}")), strong)


def _describe_days(plan: Plan, say: Phrases) -> Iterator[str]:
    dated, timing = plan.schedule, plan.spec.timing
    yield say(
        "step.cure_days",
        days=say.many("days", dated.cure_days),
        weeks=say.many("weeks", dated.cure_weeks),
    )
    calendar = Calendar(timing.closed, timing.holidays)
    closures = calendar.closures(dated.steps[0].first, dated.steps[-1].last)
    if closures:
        named = ", ".join(_describe_closure(closure, say) for closure in closures)
        yield say("step.holidays", days=named)
    if not timing.holidays:
        yield say("step.no_holidays")


def _describe_closure(closure: Closure, say: Phrases) -> str:
    spans = (
        say.date(first)
        if first == last
        else say("step.span", first=say.date(first), last=say.date(last))
        for first, last in closure.spans
    )
    return f"{closure.name} ({'; '.join(spans)})"


# -- pieces ----------------------------------------------------------------------------------------


def make_counts_section(plan: Plan, say: Phrases) -> PlanSection:
    """From the guests to the moulds."""
    return PlanSection(
        "count", say("count.title"), (PlanTable(tuple(_make_count_rows(plan, say)), "rl"),)
    )


def _make_count_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    counted, mould = plan.counts, plan.moulding

    def row(key: str, number: int, **values: object) -> PlanRow:
        return PlanRow((say.number(number), say.form(f"count.{key}", number, **values)))

    spares = say.many("spare_pieces" if plan.spare_labels else "spares", counted.spares)
    guests = say.many("guests", counted.guests)
    yield row("labelled", counted.labelled, guests=guests, spares=spares)
    for sent in plan.spec.sent:
        yield PlanRow((say.number(sent.pieces), say("count.sent", to=set_apostrophes(sent.to))))
    for key in ("wrapped_spoilt", "kept", "cut_spoilt"):
        if getattr(counted, key):
            yield row(key, getattr(counted, key))
    if plan.poured is None:
        yield from _make_pouring_rows(plan, say)
    else:
        yield from _make_poured_rows(plan, plan.poured, say)
    if mould.slice_mm is not None and (plan.poured is None or plan.poured.record.pieces):
        thickness = f"{say.number(strip_zeros(mould.slice_mm))}\u00a0mm"
        yield PlanRow((thickness, say("count.slice")), True)
    labels = say.number(plan.job.spec.event.labels)
    yield PlanRow((labels, _describe_labels(plan, say)), True)


def _make_pouring_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    """What is to be poured and cut; it still follows the guests."""
    counted, mould = plan.counts, plan.moulding

    def row(key: str, number: int, strong: bool = False) -> PlanRow:
        return PlanRow((say.number(number), say.form(f"count.{key}", number)), strong)

    yield row("needed", counted.needed, True)
    yield PlanRow((say.number(counted.bars), describe_bars(plan, say)), True)
    if counted.over:
        yield row("over", counted.over)
    if mould.moulds:
        yield PlanRow((say.number(mould.moulds), _describe_moulds(plan, say)), True)
    if mould.bars_over:
        yield row("bars_over", mould.bars_over)
    if not mould.moulds:
        yield PlanRow((f"{say.number(mould.volume_ml, 0)}\u00a0mL", say("count.volume")))
    if mould.ends_g:
        yield PlanRow((say.weighed(mould.ends_g, plan.scales.main), say("count.ends")))


def _make_poured_rows(plan: Plan, poured: PouredBatch, say: Phrases) -> Iterator[PlanRow]:
    """The batch as poured, against what the order asks now."""
    counted, pieces = plan.counts, poured.record.pieces

    def row(key: str, number: int, strong: bool = False, **values: object) -> PlanRow:
        return PlanRow((say.number(number), say.form(f"count.{key}", number, **values)), strong)

    yield row("asked", counted.needed)
    if not pieces:
        yield PlanRow(("–", say("count.poured_unknown")), True)
        return
    yield row("poured", pieces, True)
    yield PlanRow((say.number(counted.bars), describe_bars(plan, say)))
    if counted.over:
        yield row("poured_over" if counted.over > 0 else "poured_short", abs(counted.over), True)
    spares = say.many("spares", counted.spares)
    yield row("serves", poured.serves or 0, True, spares=spares, kept=say.number(counted.kept))


def _describe_labels(plan: Plan, say: Phrases) -> str:
    """What becomes of the labels."""
    labels = plan.job.spec.event.labels
    if not plan.spare_labels:
        return say.form("count.labels", labels)
    pieces = say.many("for_pieces", plan.counts.labelled)
    spare = say.number(plan.spare_labels)
    return say.form("count.labels_spare", labels, pieces=pieces, spare=spare)


def describe_bars(plan: Plan, say: Phrases) -> str:
    """What becomes of the bars."""
    bars, per_bar = plan.counts.bars, plan.counts.per_bar
    if per_bar > 1:
        return say.form("count.bars", bars, n=say.number(per_bar))
    return say.form("count.bars_of_one", bars)


def _describe_moulds(plan: Plan, say: Phrases) -> str:
    mould, number = plan.spec.making.mould, plan.moulding.moulds
    assert mould is not None, "asked only where moulds are counted"
    if mould.kind is MouldKind.VOLUME:
        volume = say.number(mould.volume_ml, 0)
        return say.form("count.loaves_volume", number, volume=volume)
    if mould.kind is MouldKind.CAVITIES:
        cavities = say.many("cavities", mould.cavities)
        return say.form("count.trays", number, cavities=cavities)
    sides = (mould.length_mm, mould.width_mm, mould.fill_mm)
    size = " × ".join(say.number(strip_zeros(side)) for side in sides)
    return say.form("count.loaves", number, size=f"{size}\u00a0mm")


def make_weights_section(plan: Plan, say: Phrases) -> PlanSection:
    """What to cut to, and what each region asks on the day of sale."""
    rows = tuple(_make_weight_rows(plan, say))
    lines = tuple(_describe_weight_rules(plan, say))
    return PlanSection("weight", say("weight.title"), (PlanTable(rows, "rl"),), lines=lines)


def _make_weight_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    weight = plan.weight

    def row(key: str, grams: str, strong: bool = False) -> PlanRow:
        return PlanRow((grams, say(f"weight.{key}")), strong)

    scale, scales = plan.piece_scale, plan.scales
    yield row("declared", _describe_declared(plan, say))
    cut = say.average(weight.cut_g, scale) if weight.fixed else say.weighed(weight.cut_g, scale)
    recorded = plan.poured is not None and plan.poured.record.piece_g is not None
    fixed = "cut_poured" if recorded else "cut_fixed"
    yield row(fixed if weight.fixed else "cut", cut, True)
    bar_g = plan.moulding.bar_g
    yield row("bar", say.weighed(bar_g, scales.choose(bar_g)))
    yield row("set_aside", say.weighed(weight.set_aside_g, scale), True)
    loss = weight.loss
    shown = {"loss": say.number(loss.percent, 1), "spread": say.number(loss.spread_percent, 1)}
    yield row("loss", say("weight.loss_range", **shown))
    yield row("cured", say.average(weight.cured_g, scale))
    low, high = (say.average_figure(weight.sale_g(sign), scale) for sign in (-1, 1))
    sale = say.average(weight.sale_g(), scale)
    yield PlanRow((sale, say("weight.sale_range", low=low, high=high)))
    yield from _make_lightest_rows(plan, say)
    if weight.fixed:
        yield row("declarable", say.grams(weight.declarable_g))
    yield row("sample", say.number(weight.sample), True)


def _make_lightest_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    """The lightest piece to reckon with: on the day of sale and, where asked, in its wrap."""
    weight, making, pieces = plan.weight, plan.spec.making, plan.counts.labelled
    scale, n = plan.piece_scale, say.number(pieces)
    yield PlanRow((say.average(weight.lightest_g(pieces), scale), say("weight.lightest", n=n)))
    if making.shelf_loss_percent is not None:
        lost = 100 - 100 * (1 - making.shelf_loss_percent / 100) ** making.shelf_months
        shown = say.average(weight.lightest_g(pieces, lost), scale)
        months = say.many("months", making.shelf_months)
        yield PlanRow((shown, say("weight.lightest_later", n=n, months=months)))


def describe_cut(plan: Plan, say: Phrases) -> str:
    """What to cut each piece to, in the scale's own unit."""
    scale, cut_g = plan.piece_scale, plan.weight.cut_g
    return format_on_scale(cut_g, scale.average if plan.weight.fixed else scale, say.locale)


def _describe_bars(plan: Plan, say: Phrases) -> Iterator[str]:
    """What the marker bars cannot tell, and what more of them would save."""
    fit = plan.weight.loss.fit
    if fit is None or plan.is_poured:
        return
    if fit.batches == 1:
        yield say("weight.one_batch", bars=say.many("bars", fit.bars))
    if (saved := plan.weight.saved_by_more_bars()) is not None:
        more, grams = saved
        yield say("weight.more_bars", more=say.many("bars", more), grams=say.grams(grams, 1))


_HUNDREDTH = Decimal("0.01")


def _describe_declared(plan: Plan, say: Phrases) -> str:
    """The declared weight: in ounces too where the label gives it so."""
    grams, ounces = say.grams(plan.weight.declared_g), plan.job.spec.product.net_ounces
    if ounces is None or not plan.piece_scale.is_avoirdupois:
        return grams
    return f"{say.number(strip_zeros(ounces))}\u00a0{say('unit.ounces')} ({grams})"


def _describe_weight_rules(plan: Plan, say: Phrases) -> Iterator[str]:
    for hold in plan.weight.holds:
        rule = say(
            "weight.rule",
            region=hold.region,
            declared=_describe_declared(plan, say),
            lightest=_describe_least(plan, say, hold.lightest_g),
            tolerance=say.grams(hold.tolerance.grams.quantize(_HUNDREDTH, ROUND_FLOOR)),
            n=describe_sample_size(hold, say),
            lot=say.number(plan.counts.labelled),
        )
        yield f"{rule} {describe_source(say, hold.scheme.citation, hold.tolerance.provenance)}"


def _describe_least(plan: Plan, say: Phrases, mass_g: Decimal) -> str:
    """A weight that none may be under; before the law's grams what an ounce scale then shows."""
    grams = say.grams(mass_g.quantize(_HUNDREDTH, ROUND_CEILING))
    scale = plan.piece_scale
    if not scale.is_avoirdupois:
        return grams
    return f"{format_on_scale(mass_g, scale, say.locale, ROUND_CEILING)} ({grams})"


def describe_sample_size(hold: RegionDemand, say: Phrases) -> str:
    """How many pieces a region's scheme weighs, and whether that is from memory."""
    number = say.number(hold.sample)
    read = hold.scheme.sample_provenance == "read"
    return number if read else say("weight.from_memory", n=number)


# -- the batch -------------------------------------------------------------------------------------


def make_batch_section(plan: Plan, say: Phrases) -> PlanSection:
    """What is weighed, with the caution that belongs to it."""
    made, columns = plan.batch, MassColumns(plan.batch, plan.scales, say)
    heading = (say("batch.material"), *columns.heading, say("batch.lot"))
    rows = tuple(_make_weighing_row(plan, say, line, columns) for line in made.weighings)
    sums = (strike_if_unfit(plan, total) for total in columns.total)
    table = PlanTable((*rows, PlanRow((say("batch.total"), *sums, ""), True)), "lrrl", heading)
    if plan.is_poured:
        kept = (describe_poured_batch(plan, say), *describe_batch(plan, say))
        return PlanSection("batch", say("batch.title_poured"), (table,), lines=kept)
    lines = [*describe_scale_check(plan, say), *describe_mistakes(plan, say)]
    if not plan.unfit:
        lines += [*describe_batch(plan, say), *_describe_bars(plan, say)]
    lines += list_cautions(say)
    stop = "\u2002".join(describe_stop(plan, say))
    return PlanSection("batch", say("batch.title"), (table,), lines=tuple(lines), stop=stop)


def describe_stop(plan: Plan, say: Phrases) -> tuple[str, ...]:
    """That this recipe must not be poured, and why; nothing where it may be, or has been."""
    if not plan.withholds_masses:
        return ()
    reasons = (f"{make_speech(say)(reason)}." for reason in plan.unfit)
    return say("batch.stop"), *reasons


def describe_scale_check(plan: Plan, say: Phrases) -> tuple[str, ...]:
    """The figure to check at the scale, and what its ends mean."""
    scale, speech = plan.weighing_check.scale, make_speech(say)
    return () if scale is None else (f"{speech(scale.told)}. {speech(scale.why)}.",)


def describe_mistakes(plan: Plan, say: Phrases) -> Iterator[str]:
    """What mistakes would make of the batch, the dangerous ones first; none of an unfit recipe."""
    found = plan.weighing_check
    if found.caustic and not plan.unfit:
        speech = make_speech(say)
        yield say("batch.caustic")
        yield from (f"– {speech(mistake.told)}" for mistake in found.caustic)
    if found.harmless and not plan.unfit:
        yield describe_harmless_mistakes(plan, say)


def describe_harmless_mistakes(plan: Plan, say: Phrases) -> str:
    """The mistakes that leave no lye over, whatever else comes of them."""
    listed = FactList((mistake.what for mistake in plan.weighing_check.harmless), ";")
    return f"{say('batch.harmless')} {make_speech(say)(listed)}."


def make_second_section(plan: Plan, made: SecondBatch, say: Phrases) -> PlanSection:
    """What would make up for the pieces that are missing, with the caution that belongs to it."""
    if plan.unfit:
        return PlanSection("second", say("second.title"), lines=(say("second.unfit"),))
    columns = MassColumns(made.batch, plan.scales, say)
    heading = (say("batch.material"), *columns.heading)
    rows = tuple(
        PlanRow(_make_weighing_row(plan, say, line, columns).cells[:3])
        for line in made.batch.weighings
    )
    total = PlanRow((say("figure.poured"), *columns.total), True)
    table = PlanTable((*rows, total), "lrr", heading)
    lines = (describe_second_batch(plan, made, say), say("second.lot", lot=plan.another_lot))
    return PlanSection("second", say("second.title"), (table,), lines=(*lines, *list_cautions(say)))


def describe_second_batch(plan: Plan, made: SecondBatch, say: Phrases) -> str:
    """How many pieces it gives, and whether they still come in time."""
    key = "in_time" if made.in_time else "before_event" if made.before_event else "late"
    return say(
        f"second.{key}",
        missing=say.many("pieces", made.pieces),
        gives=say.number(made.gives),
        by=say.date(made.pour_by, "full"),
        planned=say.date(plan.schedule.day(PlanStep.DELIVER), "full"),
        deliver=say.date(made.deliver, "full"),
        event=say.date(plan.job.spec.event.date, "full"),
    )


def describe_poured_batch(plan: Plan, say: Phrases) -> str:
    """Of a batch that is poured: when, and where its amounts come from."""
    day = say.date(plan.schedule.day(PlanStep.POUR), "full")
    return say("batch.unrecorded" if plan.poured is None else "batch.recorded", poured=day)


def _make_weighing_row(plan: Plan, say: Phrases, line: Weighing, columns: MassColumns) -> PlanRow:
    name = translate_material(plan, say, line)
    if line.role is WeighingRole.LATE_OIL:
        name = f"{name}, {say('batch.late_oil')}"
    masses = (strike_if_unfit(plan, mass) for mass in columns.cells(line))
    return PlanRow((name, *masses, join_lots(line) or "–"))


def describe_batch(plan: Plan, say: Phrases) -> Iterator[str]:
    """The batch's own figures."""
    made = plan.batch
    yield from describe_pours(plan.tried, say)
    yield say("batch.factor", factor=say.number(made.factor, 3))
    wanted, reached = made.wanted_superfat_percent, made.batch.superfat_percent
    yield say("batch.superfat", superfat=say.number(reached, 2), wanted=say.number(wanted, 2))
    yield say(
        "batch.water",
        ratio=say.number(made.batch.water_to_lye, 2),
        concentration=say.number(made.batch.lye_concentration_percent, 1),
    )
    if plan.poured is None:
        yield describe_balance(plan, say)


def describe_balance(plan: Plan, say: Phrases) -> str:
    """Where the poured mass goes."""
    parts, scale = plan.balance, plan.scales.main
    return say(
        "batch.balance",
        poured=say.weighed(parts.poured_g, scale),
        pieces=say.weighed(parts.pieces_g, scale),
        over=say.weighed(parts.over_g, scale),
        ends=say.weighed(parts.ends_g, scale),
        pot=say.weighed(parts.pot_g, scale),
    )


def list_cautions(say: Phrases) -> tuple[str, ...]:
    """How to handle lye."""
    return tuple(map(make_speech(say), LYE_CAUTIONS))


# -- pieces that were weighed ----------------------------------------------------------------------


def make_weighed_section(plan: Plan, found: WeighedPieces, say: Phrases) -> PlanSection:
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
        lines += [_describe_verdict(say, verdict, when) for verdict in verdicts]
    rest = now.lot - now.weighed
    lines.append(
        say("weighed.rest", pieces=say.many("pieces", rest)) if rest else say("weighed.all")
    )
    return PlanSection("weighed", say("weighed.title"), lines=tuple(lines))


def _describe_verdict(say: Phrases, verdict: LotVerdict, when: str) -> str:
    head = say(
        "weighed.holds" if verdict.holds else "weighed.fails",
        region=verdict.region,
        when=when,
        pieces=say.many("pieces", verdict.weighed),
        lot=say.number(verdict.lot),
    )
    lightest = verdict.declared_g - verdict.tolerance.grams
    parts = [
        _describe_average(say, verdict),
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
    return f"{head} ({make_speech(say)(FactList(parts, ';'))})."


def _describe_average(say: Phrases, verdict: LotVerdict) -> str:
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
