"""The plan's trade in words: supplies, cost and price, duties, assumptions, and the quote."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList
from labelkit.compose.element_words import printed_weight_g
from labelkit.plan.batching import WeighingRole
from labelkit.plan.cost import SupplyCost, TaxLine
from labelkit.plan.dates import PlanStep
from labelkit.plan.order_plan import Plan
from labelkit.plan.supplies import Supply, SupplyNeed
from labelkit.report.phrasebook import Phrases, strip_zeros
from labelkit.report.plan_parts import (
    ChecklistItem,
    PlanRow,
    PlanSection,
    PlanTable,
    choose_phrases,
    describe_source,
    join_lots,
    make_speech,
    strike_if_unfit,
    translate_material,
)
from labelkit.rules import Duty
from labelkit.rules.rule import Provenance
from labelkit.typeset.apostrophes import set_apostrophes

# -- supplies --------------------------------------------------------------------------------------


def make_supplies_section(plan: Plan, say: Phrases) -> PlanSection:
    """What to have on the bench, and what to buy."""
    keys = ("item", "used", "packs", "to_buy", "left")
    rows = tuple(_make_need_row(plan, say, need) for need in plan.needs)
    table = PlanTable(rows, "lrlrr", tuple(say(f"supply.{key}") for key in keys))
    lines = (say("supply.at_hand"), *_describe_part_used(plan, say))
    return PlanSection(
        "supplies", say("supply.title"), (_make_raw_table(plan, say), table), lines=lines
    )


def _make_raw_table(plan: Plan, say: Phrases) -> PlanTable:
    """The raw materials of the batch, with the lots that the recipe names."""
    rows = tuple(
        PlanRow(
            (
                translate_material(plan, say, line),
                strike_if_unfit(plan, say.weighed(line.mass_g, line.scale, line.rounding)),
                join_lots(line) or "–",
            )
        )
        for line in plan.batch.weighings
        if line.role is not WeighingRole.WATER
    )
    return PlanTable(rows, "lrl", (say("batch.material"), say("supply.used"), say("batch.lot")))


def describe_raw_materials(plan: Plan, say: Phrases) -> str:
    """The same where there is no room for a table."""
    cells = (row.cells for row in _make_raw_table(plan, say).rows)
    listed = [f"{name} {mass} ({lot})" for name, mass, lot in cells]
    return say("supply.raw", materials=make_speech(say)(FactList(listed, ";")))


_PACK_WORDS = {
    Supply.BOTH_SHEETS: "sheets",
    Supply.FRONT_SHEETS: "sheets",
    Supply.BACK_SHEETS: "sheets",
    Supply.OTHER_SHEETS: "sheets",
    Supply.PIECE_SHEETS: "sheets",
    Supply.WRAP: "sheets",
    Supply.RIBBON: "rolls",
    Supply.BOX: "boxes",
    Supply.EXTRA: "bags",
}


def _make_need_row(plan: Plan, say: Phrases, need: SupplyNeed) -> PlanRow:
    packs = say.many(_PACK_WORDS[need.supply], need.packs) if need.per_pack > 1 else ""
    left = say.number(need.left) if need.left else "–"
    used, buy = say.number(need.pieces), say.number(need.to_buy)
    return PlanRow((describe_supply(plan, say, need), used, packs, buy, left))


def describe_supply(plan: Plan, say: Phrases, need: SupplyNeed) -> str:
    """What a supply is called, with its size."""
    spec = plan.spec
    values: dict[str, object] = {
        "stock": make_speech(say).term("stock", need.stock),
        "panel": _translate_panel(say, need.name.get("", "")),
        "n": say.number(need.per_pack),
        "name": say.of(need.name),
    }
    if spec.wrap is not None:
        sides = " × ".join(say.number(strip_zeros(side)) for side in spec.wrap.size_mm)
        values["size"] = f"{sides}\u00a0mm"
    if spec.ribbon is not None:
        values["length"] = f"{say.number(strip_zeros(spec.ribbon.length_mm / 10))}\u00a0cm"
    return say(f"supply.{need.supply.value}", **values)


def _translate_panel(say: Phrases, panel: str) -> str:
    key = f"panel.{panel}"
    return say(key) if say.has(key) else panel


def _describe_part_used(plan: Plan, say: Phrases) -> Iterator[str]:
    used = [_translate_panel(say, sheets.panel) for sheets in plan.sheets if sheets.part_used]
    if used:
        yield say("supply.part_used", panels=", ".join(used))
    fewer, saved = plan.needless_spares
    if saved:
        spares, sheets = say.many("spares", fewer), say.many("sheets", saved)
        yield say("supply.fewer", spares=spares, sheets=sheets)
    left = [
        say(
            "supply.next_start",
            panel=_translate_panel(say, sheets.panel),
            left=say.number(sheets.left),
            start=say.number(sheets.next_start),
        )
        for sheets in plan.sheets
        if sheets.next_start is not None
    ]
    if left:
        yield say("supply.left_on_sheet", panels=make_speech(say)(FactList(left, ";")))
    if not any((plan.spec.wrap, plan.spec.ribbon, plan.spec.box, plan.spec.extras)):
        yield say("supply.none")


# -- money -----------------------------------------------------------------------------------------


def make_costs_section(plan: Plan, say: Phrases) -> PlanSection:
    """The true cost, line by line, and the prices that follow."""
    tables = (
        PlanTable(tuple(_make_material_rows(plan, say)), "lrr"),
        PlanTable(tuple(_make_price_rows(plan, say)), "lr"),
    )
    no_quote = () if plan.can_be_quoted else (say("cost.no_quote"),)
    if plan.is_for_display:
        no_quote = (say("cost.display"),)
    lines = (*_describe_needed_price(plan, say), say("cost.before_tax"), *no_quote)
    caution = say("cost.whether_taxed") if plan.spec.money.taxes else ""
    return PlanSection("cost", say("cost.title"), tables, lines=lines, caution=caution)


def _describe_needed_price(plan: Plan, say: Phrases) -> Iterator[str]:
    """Where the price asked leaves less than the margin wanted: what would have been needed."""
    prices = plan.pricing
    if prices.settled and plan.cost.complete and prices.asked < prices.at_margin:
        yield say(
            "cost.needed",
            price=say.money(prices.at_margin, prices.currency),
            percent=say.number(strip_zeros(prices.margin_percent)),
            short=say.money(prices.at_margin - prices.asked, prices.currency),
        )


def _make_material_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    made = plan.cost

    def money(amount: Decimal | None) -> str:
        return say("cost.unpriced") if amount is None else say.money(amount, made.currency)

    known = all(line.amount is not None for line in made.materials)
    yield PlanRow(
        (say("cost.materials"), "", _format_known_amount(say, money(made.material_total), known)),
        True,
    )
    for line in made.materials:
        weighed = line.weighing
        mass = say.weighed(weighed.mass_g, weighed.scale, weighed.rounding)
        mass = strike_if_unfit(plan, mass)
        yield PlanRow((translate_material(plan, say, line.weighing), mass, money(line.amount)))
    known = all(supply.amount is not None for supply in made.supplies)
    yield PlanRow(
        (say("cost.supplies"), "", _format_known_amount(say, money(made.supply_total), known)), True
    )
    for supply in made.supplies:
        yield _make_supply_row(plan, say, supply, money(supply.amount))
    rate = say.money(plan.spec.money.rate, made.currency)
    spent = say("cost.rate", minutes=say.many("minutes", strip_zeros(made.minutes)), rate=rate)
    yield PlanRow((say("cost.work"), spent, money(made.work_total)), True)
    for step in made.work:
        spent = say.many("minutes", strip_zeros(step.minutes))
        yield PlanRow((say(f"work.{step.work.value}"), spent, money(step.amount)))
    percent = say.number(strip_zeros(made.overhead_percent))
    yield PlanRow((say("cost.overhead", percent=percent), "", money(made.overhead)), True)
    yield PlanRow((say("cost.total"), "", _format_least_amount(plan, say, made.total)), True)


def _make_supply_row(plan: Plan, say: Phrases, supply: SupplyCost, amount: str) -> PlanRow:
    need = supply.need
    if need.per_pack > 1:
        packs = say.many(_PACK_WORDS[need.supply], need.packs)
    else:
        packs = say.number(need.pieces)
    return PlanRow((describe_supply(plan, say, need), packs, amount))


def _format_least_amount(plan: Plan, say: Phrases, amount: Decimal) -> str:
    return _format_known_amount(say, say.money(amount, plan.cost.currency), plan.cost.complete)


def _format_known_amount(say: Phrases, money: str, known: bool) -> str:
    """An amount, or what it is at least while something in it has no price."""
    return money if known else say("cost.at_least", amount=money)


def _make_price_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    made, prices = plan.cost, plan.pricing
    per_piece = say("cost.per_piece", n=say.number(made.pieces))
    yield PlanRow((per_piece, _format_least_amount(plan, say, made.per_piece)), True)
    yield PlanRow((say("cost.floor"), _format_least_amount(plan, say, prices.floor)))
    margin = say.number(strip_zeros(prices.margin_percent))
    yield PlanRow(
        (say("cost.at_margin", percent=margin), _format_least_amount(plan, say, prices.at_margin))
    )
    if not plan.can_be_quoted:
        return
    yield PlanRow((say("cost.asked"), say.money(prices.asked, made.currency)), True)
    if prices.tax_is_shown:
        yield PlanRow((say("cost.shown"), say.money(prices.shown, made.currency)))
    if prices.fee:
        percent = say.number(strip_zeros(prices.fee_percent))
        yield PlanRow((say("cost.fee", percent=percent), say.money(prices.fee, made.currency)))
    result = say.money(prices.result, made.currency)
    if not made.complete:
        result = say("cost.at_most", amount=result)
    elif prices.result_percent is not None:
        percent = say.number(prices.result_percent, 1)
        result = say("cost.result_percent", amount=result, percent=percent)
    yield PlanRow((say("cost.result"), result))


# -- duties and defaults ---------------------------------------------------------------------------


def make_duties_section(plan: Plan, say: Phrases) -> PlanSection:
    """What the regions want beyond the label, as a checklist, with its caution."""
    speech = make_speech(say)
    checks = tuple(
        ChecklistItem(
            _describe_duty_lead(duty, say),
            speech.sentence(duty.what),
            _describe_duty_source(say, duty),
        )
        for duty in plan.duties
    )
    return PlanSection(
        "duties",
        say("duty.title"),
        checks=checks,
        lines=() if checks else tuple(_describe_unknown_duties(plan, say)),
        caution=say("duty.not_advice"),
    )


def _describe_unknown_duties(plan: Plan, say: Phrases) -> Iterator[str]:
    """What is not known is said as such, and what is known for other days as well."""
    regions = " + ".join(plan.job.regions)
    if not plan.other_duties:
        yield say("duty.none", regions=regions)
        return
    yield say("duty.none_on", regions=regions, date=say.date(plan.job.on))
    for duty in plan.other_duties:
        if duty.until is not None and duty.until < plan.job.on:
            yield say("duty.until", rule=duty.rule, date=say.date(duty.until))
        elif duty.since is not None:
            yield say("duty.since", rule=duty.rule, date=say.date(duty.since))


def _describe_duty_source(say: Phrases, duty: Duty) -> str:
    own = duty.provenance is Provenance.ADVICE
    known = Provenance.MEMORY if own else duty.provenance
    return describe_source(say, duty.citation, str(known), "duty.source")


def _describe_duty_lead(duty: Duty, say: Phrases) -> str:
    if duty.due is None:
        return duty.region
    return say("duty.due", region=duty.region, date=say.date(duty.due))


def make_defaults_section(plan: Plan, say: Phrases) -> PlanSection:
    """The defaults that were used."""
    listed = "; ".join(f"{d.key} = {d.value}".replace(" ", "\u00a0") for d in plan.spec.defaults)
    return PlanSection("assumed", say("default.title"), lines=(say("default.intro"), listed))


# -- the quote -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Quote:
    """What the customer gets to see."""

    phrases: Phrases
    maker: str
    contact: tuple[str, ...]
    marks: tuple[str, ...]
    """The quote's number, the day it is made, and the order's code as on the proof."""
    heading: str
    lines: tuple[str, ...]
    table: PlanTable
    dates: tuple[str, ...]
    words: tuple[tuple[str, str], ...]
    """Heading and text of the maker's own terms."""
    customer: tuple[str, ...]
    """Name and address, where the label's file says them."""
    sign: tuple[str, ...]


def make_quote(plan: Plan, language: str | None = None) -> Quote:
    """The quote in one language; LanguageError for a language without words."""
    say = choose_phrases(plan, language)
    spec, money = plan.job.spec, plan.spec.money
    name = say.of(spec.event.names)
    customer = plan.spec.customer
    own = (("lead_time", money.lead_time), ("terms", money.terms))
    return Quote(
        phrases=say,
        maker=set_apostrophes(spec.maker.name),
        contact=(*map(set_apostrophes, spec.maker.address), *spec.maker.contact),
        marks=(
            say("quote.number", number=format_quote_number(plan)),
            say("quote.made_on", date=say.date(plan.on)),
            say("head.order", code=plan.order_code),
        ),
        heading=say("quote.for", names=name, date=say.date(spec.event.date, "full")),
        lines=tuple(_describe_quote(plan, say)),
        table=PlanTable(
            tuple(_make_quote_rows(plan, say)), "lrrr", _describe_quote_heading(plan, say)
        ),
        dates=tuple(_describe_quote_dates(plan, say)),
        words=tuple((say(f"quote.{key}"), say.of(text)) for key, text in own if text),
        customer=() if customer is None else (customer.name, *customer.address),
        sign=tuple(say(f"quote.{key}") for key in ("accepted", "signature", "signed_on")),
    )


def format_quote_number(plan: Plan) -> str:
    """The lot and the day (yymmdd): quotes made of one order on different days tell apart."""
    return f"{plan.lot}/{plan.on:%y%m%d}"


def _describe_quote_heading(plan: Plan, say: Phrases) -> tuple[str, ...]:
    each = "each_with_tax" if plan.pricing.tax_is_shown else "each"
    return ("", *(say(f"quote.{key}") for key in ("quantity", each, "amount")))


def _describe_quote(plan: Plan, say: Phrases) -> Iterator[str]:
    spec = plan.job.spec
    scent = say.of(spec.product.scent)
    item = say("quote.item")
    yield say("quote.item_scent", item=item, scent=scent) if scent else item
    yield say("quote.labels", weight=say.grams(printed_weight_g(spec.product)))
    counts = plan.counts
    guests, spares = say.many("guests", counts.guests), say.many("spares", counts.spares)
    yield say(
        "quote.guests_spares" if counts.spares else "quote.guests", guests=guests, spares=spares
    )


def _make_quote_rows(plan: Plan, say: Phrases) -> Iterator[PlanRow]:
    prices = plan.pricing

    def money(amount: Decimal) -> str:
        return say.money(amount, prices.currency)

    n, each = say.number(prices.pieces), money(prices.shown)
    total = PlanRow((say("quote.total"), "", "", money(prices.total)), True)
    if prices.with_tax:  # the tax is a part of the total, and is told after it
        yield PlanRow((say("quote.item"), n, each, money(prices.total)))
        yield total
        for line in prices.taxes:
            if line.amount:
                of_which = say("quote.of_which", tax=_name_tax(line, say))
                yield PlanRow((of_which, "", "", money(line.amount)))
    else:
        yield PlanRow((say("quote.item"), n, each, money(prices.subtotal)))
        for line in prices.taxes:
            yield PlanRow((_name_tax(line, say), "", "", money(line.amount)))
        yield total
    if prices.deposit:
        percent = say.number(strip_zeros(plan.spec.money.deposit_percent))
        yield PlanRow((say("quote.deposit", percent=percent), "", "", money(prices.deposit)))
        yield PlanRow((say("quote.balance"), "", "", money(prices.balance)))


def _name_tax(line: TaxLine, say: Phrases) -> str:
    percent = say.number(strip_zeros(line.tax.percent))
    key = "quote.tax_number" if line.tax.number else "quote.tax"
    return say(key, name=say.of(line.tax.name), percent=percent, number=line.tax.number)


def _describe_quote_dates(plan: Plan, say: Phrases) -> Iterator[str]:
    yield say("quote.approve", date=say.date(plan.schedule.day(PlanStep.APPROVE), "full"))
    yield say("quote.deliver", date=say.date(plan.schedule.day(PlanStep.DELIVER), "full"))
    yield say("quote.valid", date=say.date(plan.quote_until, "full"))
