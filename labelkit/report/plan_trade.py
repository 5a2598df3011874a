"""The plan's trade in words: supplies, cost and price, duties, assumptions, and the quote."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from labelkit.common.messages import Listed
from labelkit.compose.element_words import printed_g
from labelkit.plan.batching import Role
from labelkit.plan.cost import SupplyCost
from labelkit.plan.dates import Step
from labelkit.plan.order_plan import Plan
from labelkit.plan.supplies import Need, Supply
from labelkit.report.phrasebook import Phrases, plain
from labelkit.report.plan_parts import (
    Check,
    Row,
    Section,
    Table,
    if_fit,
    list_lots,
    material,
    phrases_for,
    source,
    speech_for,
)
from labelkit.rules import Duty
from labelkit.rules.rule import Provenance
from labelkit.typeset.apostrophes import typographic

# -- supplies --------------------------------------------------------------------------------------


def supplies(plan: Plan, say: Phrases) -> Section:
    """What to have on the bench, and what to buy."""
    keys = ("item", "used", "packs", "to_buy", "left")
    rows = tuple(_need(plan, say, need) for need in plan.needs)
    table = Table(rows, "lrlrr", tuple(say(f"supply.{key}") for key in keys))
    lines = (say("supply.at_hand"), *_supply_lines(plan, say))
    return Section("supplies", say("supply.title"), (_raw(plan, say), table), lines=lines)


def _raw(plan: Plan, say: Phrases) -> Table:
    """The raw materials of the batch, with the lots that the recipe names."""
    rows = tuple(
        Row(
            (
                material(plan, say, line),
                if_fit(plan, say.grams(line.mass_g)),
                list_lots(line) or "–",
            )
        )
        for line in plan.batch.weighings
        if line.role is not Role.WATER
    )
    return Table(rows, "lrl", (say("batch.material"), say("supply.used"), say("batch.lot")))


def raw_in_a_line(plan: Plan, say: Phrases) -> str:
    """The same where there is no room for a table."""
    cells = (row.cells for row in _raw(plan, say).rows)
    listed = [f"{name} {mass} ({lot})" for name, mass, lot in cells]
    return say("supply.raw", materials=speech_for(say)(Listed(listed, ";")))


_PACK_WORDS = {
    Supply.BOTH_SHEETS: "sheets",
    Supply.FRONT_SHEETS: "sheets",
    Supply.BACK_SHEETS: "sheets",
    Supply.OTHER_SHEETS: "sheets",
    Supply.WRAP: "sheets",
    Supply.RIBBON: "rolls",
    Supply.BOX: "boxes",
    Supply.EXTRA: "bags",
}


def _need(plan: Plan, say: Phrases, need: Need) -> Row:
    packs = say.many(_PACK_WORDS[need.supply], need.packs) if need.per_pack > 1 else ""
    left = say.number(need.left) if need.left else "–"
    used, buy = say.number(need.pieces), say.number(need.to_buy)
    return Row((supply_name(plan, say, need), used, packs, buy, left))


def supply_name(plan: Plan, say: Phrases, need: Need) -> str:
    """What a supply is called, with its size."""
    spec = plan.spec
    values: dict[str, object] = {
        "stock": speech_for(say).term("stock", need.stock),
        "panel": _panel(say, need.name.get("", "")),
        "n": say.number(need.per_pack),
        "name": say.of(need.name),
    }
    if spec.wrap is not None:
        sides = " × ".join(say.number(plain(side)) for side in spec.wrap.size_mm)
        values["size"] = f"{sides}\u00a0mm"
    if spec.ribbon is not None:
        values["length"] = f"{say.number(plain(spec.ribbon.length_mm / 10))}\u00a0cm"
    return say(f"supply.{need.supply.value}", **values)


def _panel(say: Phrases, panel: str) -> str:
    key = f"panel.{panel}"
    return say(key) if say.has(key) else panel


def _supply_lines(plan: Plan, say: Phrases) -> Iterator[str]:
    used = [_panel(say, sheets.panel) for sheets in plan.sheets if sheets.part_used]
    if used:
        yield say("supply.part_used", panels=", ".join(used))
    left = [
        say(
            "supply.next_start",
            panel=_panel(say, sheets.panel),
            left=say.number(sheets.left),
            start=say.number(sheets.next_start),
        )
        for sheets in plan.sheets
        if sheets.next_start is not None
    ]
    if left:
        yield say("supply.left_on_sheet", panels=speech_for(say)(Listed(left, ";")))
    if not any((plan.spec.wrap, plan.spec.ribbon, plan.spec.box, plan.spec.extras)):
        yield say("supply.none")


# -- money -----------------------------------------------------------------------------------------


def costs(plan: Plan, say: Phrases) -> Section:
    """The true cost, line by line, and the prices that follow."""
    tables = (
        Table(tuple(_material_costs(plan, say)), "lrr"),
        Table(tuple(_price_rows(plan, say)), "lr"),
    )
    no_quote = () if plan.can_be_quoted else (say("cost.no_quote"),)
    lines = (say("cost.before_tax"), *no_quote)
    return Section("cost", say("cost.title"), tables, lines=lines)


def _material_costs(plan: Plan, say: Phrases) -> Iterator[Row]:
    made = plan.cost

    def money(amount: Decimal | None) -> str:
        return say("cost.unpriced") if amount is None else say.money(amount, made.currency)

    known = all(line.amount is not None for line in made.materials)
    yield Row((say("cost.materials"), "", _whole(say, money(made.material_total), known)), True)
    for line in made.materials:
        mass = if_fit(plan, say.grams(line.weighing.mass_g))
        yield Row((material(plan, say, line.weighing), mass, money(line.amount)))
    known = all(supply.amount is not None for supply in made.supplies)
    yield Row((say("cost.supplies"), "", _whole(say, money(made.supply_total), known)), True)
    for supply in made.supplies:
        yield _supply_cost(plan, say, supply, money(supply.amount))
    rate = say.money(plan.spec.money.rate, made.currency)
    spent = say("cost.rate", minutes=say.many("minutes", plain(made.minutes)), rate=rate)
    yield Row((say("cost.work"), spent, money(made.work_total)), True)
    for step in made.work:
        spent = say.many("minutes", plain(step.minutes))
        yield Row((say(f"work.{step.work.value}"), spent, money(step.amount)))
    percent = say.number(plain(made.overhead_percent))
    yield Row((say("cost.overhead", percent=percent), "", money(made.overhead)), True)
    yield Row((say("cost.total"), "", _at_least(plan, say, made.total)), True)


def _supply_cost(plan: Plan, say: Phrases, supply: SupplyCost, amount: str) -> Row:
    need = supply.need
    if need.per_pack > 1:
        packs = say.many(_PACK_WORDS[need.supply], need.packs)
    else:
        packs = say.number(need.pieces)
    return Row((supply_name(plan, say, need), packs, amount))


def _at_least(plan: Plan, say: Phrases, amount: Decimal) -> str:
    return _whole(say, say.money(amount, plan.cost.currency), plan.cost.complete)


def _whole(say: Phrases, money: str, known: bool) -> str:
    """An amount, or what it is at least while something in it has no price."""
    return money if known else say("cost.at_least", amount=money)


def _price_rows(plan: Plan, say: Phrases) -> Iterator[Row]:
    made, prices = plan.cost, plan.pricing
    per_piece = say("cost.per_piece", n=say.number(made.pieces))
    yield Row((per_piece, _at_least(plan, say, made.per_piece)), True)
    yield Row((say("cost.floor"), _at_least(plan, say, prices.floor)))
    margin = say.number(plain(prices.margin_percent))
    yield Row((say("cost.at_margin", percent=margin), _at_least(plan, say, prices.at_margin)))
    if not plan.can_be_quoted:
        return
    yield Row((say("cost.asked"), say.money(prices.asked, made.currency)), True)
    result = say.money(prices.result, made.currency)
    if not made.complete:
        result = say("cost.at_most", amount=result)
    elif prices.result_percent is not None:
        percent = say.number(prices.result_percent, 1)
        result = say("cost.result_percent", amount=result, percent=percent)
    yield Row((say("cost.result"), result))


# -- duties and defaults ---------------------------------------------------------------------------


def duties(plan: Plan, say: Phrases) -> Section:
    """What the regions want beyond the label, as a checklist, with its caution."""
    speech = speech_for(say)
    checks = tuple(
        Check(_lead(duty, say), speech.sentence(duty.what), _duty_source(say, duty))
        for duty in plan.duties
    )
    return Section(
        "duties",
        say("duty.title"),
        checks=checks,
        lines=() if checks else tuple(_no_duties(plan, say)),
        caution=say("duty.not_advice"),
    )


def _no_duties(plan: Plan, say: Phrases) -> Iterator[str]:
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


def _duty_source(say: Phrases, duty: Duty) -> str:
    own = duty.provenance is Provenance.ADVICE
    known = Provenance.MEMORY if own else duty.provenance
    return source(say, duty.citation, str(known), "duty.source")


def _lead(duty: Duty, say: Phrases) -> str:
    if duty.due is None:
        return duty.region
    return say("duty.due", region=duty.region, date=say.date(duty.due))


def assumed(plan: Plan, say: Phrases) -> Section:
    """The defaults that were used."""
    listed = "; ".join(f"{d.key} = {d.value}".replace(" ", "\u00a0") for d in plan.spec.defaults)
    return Section("assumed", say("default.title"), lines=(say("default.intro"), listed))


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
    table: Table
    dates: tuple[str, ...]
    words: tuple[tuple[str, str], ...]
    """Heading and text of the maker's own terms."""
    sign: tuple[str, ...]
    not_advice: str


def quote(plan: Plan, language: str | None = None) -> Quote:
    """The quote in one language; LanguageError for a language without words."""
    say = phrases_for(plan, language)
    spec, money = plan.job.spec, plan.spec.money
    name = say.of(spec.event.names)
    own = (("lead_time", money.lead_time), ("terms", money.terms))
    return Quote(
        phrases=say,
        maker=typographic(spec.maker.name),
        contact=(*map(typographic, spec.maker.address), *spec.maker.contact),
        marks=(
            say("quote.number", number=quote_number(plan)),
            say("quote.made_on", date=say.date(plan.on)),
            say("head.order", code=plan.order_code),
        ),
        heading=say("quote.for", names=name, date=say.date(spec.event.date, "full")),
        lines=tuple(_quote_lines(plan, say)),
        table=Table(tuple(_quote_rows(plan, say)), "lrrr", _quote_heading(say)),
        dates=tuple(_quote_dates(plan, say)),
        words=tuple((say(f"quote.{key}"), say.of(text)) for key, text in own if text),
        sign=tuple(say(f"quote.{key}") for key in ("accepted", "signature", "signed_on")),
        not_advice=say("quote.not_advice"),
    )


def quote_number(plan: Plan) -> str:
    """The lot and the day (yymmdd): quotes made of one order on different days tell apart."""
    return f"{plan.lot}/{plan.on:%y%m%d}"


def _quote_heading(say: Phrases) -> tuple[str, ...]:
    return ("", *(say(f"quote.{key}") for key in ("quantity", "each", "amount")))


def _quote_lines(plan: Plan, say: Phrases) -> Iterator[str]:
    spec = plan.job.spec
    scent = say.of(spec.product.scent)
    item = say("quote.item")
    yield say("quote.item_scent", item=item, scent=scent) if scent else item
    yield say("quote.labels", weight=say.grams(printed_g(spec.product)))
    guests, spares = say.many("guests", plan.counts.guests), say.many("spares", plan.counts.spares)
    yield say("quote.guests_spares", guests=guests, spares=spares)


def _quote_rows(plan: Plan, say: Phrases) -> Iterator[Row]:
    prices = plan.pricing

    def money(amount: Decimal) -> str:
        return say.money(amount, prices.currency)

    n, each = say.number(prices.pieces), money(prices.asked)
    yield Row((say("quote.item"), n, each, money(prices.subtotal)))
    for line in prices.taxes:
        percent = say.number(plain(line.tax.percent))
        name = say("quote.tax", name=say.of(line.tax.name), percent=percent)
        yield Row((name, "", "", money(line.amount)))
    yield Row((say("quote.total"), "", "", money(prices.total)), True)
    if prices.deposit:
        percent = say.number(plain(plan.spec.money.deposit_percent))
        yield Row((say("quote.deposit", percent=percent), "", "", money(prices.deposit)))
        yield Row((say("quote.balance"), "", "", money(prices.balance)))


def _quote_dates(plan: Plan, say: Phrases) -> Iterator[str]:
    yield say("quote.approve", date=say.date(plan.schedule.day(Step.APPROVE), "full"))
    yield say("quote.deliver", date=say.date(plan.schedule.day(Step.DELIVER), "full"))
    yield say("quote.valid", date=say.date(plan.quote_until, "full"))
