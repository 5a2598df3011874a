"""An offer tried before it is sent: what each choice truly costs, whether every design is legal on
every size, and whether the lead time leaves room for the cure."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Number, Said
from labelkit.common.resources import find_layouts_folder
from labelkit.job.layout_sheet import try_layouts
from labelkit.job.offer_order import (
    Choice,
    choose_first,
    complete_choice,
    plan_choice,
    prepare_choice,
)
from labelkit.order.layout import find_layout, read_layout
from labelkit.order.offer import MOST_SCENTS, Offer, OfferedExtra, OfferedSize
from labelkit.order.reader import Words
from labelkit.plan.money import find_coin, round_up_amount
from labelkit.plan.order_plan import Plan
from labelkit.report.layout_sheet import LayoutTrial

_DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class ChoiceCost:
    """What a choice truly costs, at the fewest pieces of a price."""

    choice: Choice
    plan: Plan

    @property
    def below_cost(self) -> bool:
        """Whether a piece does not pay for itself at the price offered."""
        return self.plan.pricing.asked < self.plan.pricing.floor


@dataclass(frozen=True)
class OfferTrial:
    """Everything an offer holds, worked through as of a day."""

    offer: Offer
    on: dt.date
    costs: tuple[ChoiceCost, ...]
    """Of each soap, size and wrap at each price; the first is that of the first choice."""
    extra_costs: tuple[tuple[OfferedExtra, Decimal], ...]
    """What each extra truly costs for a piece."""
    designs: tuple[LayoutTrial, ...]
    """Every design on the first size, with the names to be shown."""
    unfit: tuple[tuple[OfferedSize, LayoutTrial], ...]
    """Designs that are not legal on a size, or do not fit it."""

    @property
    def first(self) -> Plan:
        return self.costs[0].plan

    @property
    def unpoured(self) -> tuple[ChoiceCost, ...]:
        """One choice of each soap whose recipe must not be poured as it stands."""
        return tuple(one for one in self._each_soap() if one.plan.unfit)

    @property
    def untried(self) -> tuple[ChoiceCost, ...]:
        """The same of soaps that were never poured with their scent, by the record."""
        return tuple(
            one for one in self._each_soap() if one.plan.tried and not one.plan.tried.times
        )

    @property
    def can_be_sent(self) -> bool:
        """Whether what it promises is lawful, safe and can be kept."""
        return not (self.unpoured or self.unfit or self.first.schedule.late)

    def _each_soap(self) -> Iterable[ChoiceCost]:
        return {one.choice.soap.id: one for one in reversed(self.costs)}.values()


def try_offer(offer: Offer, on: dt.date, names: Words | None = None) -> OfferTrial:
    """Works an offer through as of a day; ``names`` are shown in the designs instead of its own."""
    base = choose_first(offer)
    costs = tuple(
        ChoiceCost(choice, plan_choice(offer, choice, on)) for choice in _list_choices(offer, base)
    )
    trials = tuple(_try_designs(offer, replace(base, names=names), on))
    return OfferTrial(
        offer=offer,
        on=on,
        costs=costs,
        extra_costs=tuple(_cost_extras(offer, costs[0], on)),
        designs=tuple(trial for size, trial in trials if size is base.size),
        unfit=tuple((size, trial) for size, trial in trials if not trial.legal),
    )


def _list_choices(offer: Offer, base: Choice) -> Iterator[Choice]:
    """Each soap, size and wrap at the fewest pieces of each price, the dearest to make."""
    numbers = [max(step.least, offer.smallest_order) for step in offer.prices]
    for pieces in dict.fromkeys(numbers):
        for soap in offer.soaps:
            for size in offer.sizes:
                for wrap in offer.wraps or (None,):
                    yield replace(base, soap=soap, size=size, wrap=wrap, pieces=pieces)


def _try_designs(
    offer: Offer, base: Choice, on: dt.date
) -> Iterator[tuple[OfferedSize, LayoutTrial]]:
    folder = offer.path.parent
    layouts = [read_layout(find_layout(n, folder, find_layouts_folder())) for n in offer.layouts]
    for size in offer.sizes:
        job = prepare_choice(offer, replace(base, size=size), on)
        yield from ((size, trial) for trial in try_layouts(job, layouts, smallest=False))


def _cost_extras(
    offer: Offer, base: ChoiceCost, on: dt.date
) -> Iterator[tuple[OfferedExtra, Decimal]]:
    """How much more a piece costs with each: its own price and its share of the overhead."""
    pieces = base.plan.cost.pieces
    for extra in offer.extras:
        plan = plan_choice(offer, replace(base.choice, extras=(extra,)), on)
        yield extra, (plan.cost.total - base.plan.cost.total) / pieces


# -- what the maker is told ------------------------------------------------------------------------


def describe_costs(trial: OfferTrial) -> Iterator[Said]:
    """A line for each choice: what is asked, and what it truly costs."""
    for one in trial.costs:
        facts = _describe_choice(one)
        yield Said(
            "{pieces} × {what}: asks {asked}, truly costs {cost} {currency}"
            if one.plan.cost.complete
            else "{pieces} × {what}: asks {asked}, truly costs at least {cost} {currency}",
            **facts,
        )


def _describe_choice(one: ChoiceCost) -> dict[str, object]:
    choice, pricing = one.choice, one.plan.pricing
    parts = [choice.soap.id, choice.size.id, *([choice.wrap.id] if choice.wrap else [])]
    return {
        "pieces": pricing.pieces,
        "what": FactList(parts),
        "asked": _say_money(pricing.asked, pricing.currency),
        "floor": _say_money(pricing.floor, pricing.currency),
        "cost": _say_money(one.plan.cost.per_piece, pricing.currency),
        "currency": pricing.currency,
    }


def describe_trial(trial: OfferTrial) -> Iterator[Said]:
    """What is to be known before the page is sent, the gravest first."""
    for one in trial.unpoured:
        told = Said(
            "{soap}: its recipe must not be poured as it stands ({reasons}); not to be offered",
            soap=one.choice.soap.id,
            reasons=FactList(one.plan.unfit, ";"),
        )
        yield told
    for size, design in trial.unfit:
        rules = list(dict.fromkeys(finding.rule for finding in design.failing))
        yield Said(
            "{layout} on {size} does not fit that label; not to be offered"
            if design.unfit
            else "{layout} on {size} is not legal there ({rules}); not to be offered",
            layout=design.job.layout.name,
            size=size.id,
            rules=FactList(rules),
        )
    late = trial.first.schedule.late
    if late is not None:
        days = (late.by_full_cure - trial.on).days
        yield Said(
            "lead_weeks = {weeks} cannot be kept: ordered today, with its full cure, the soap is"
            " delivered on {day} at the earliest. Write {least}, or more",
            weeks=trial.offer.lead_weeks,
            day=Day(late.by_full_cure),
            least=-(-days // _DAYS_A_WEEK),
        )
    for one in trial.costs:
        if one.below_cost:
            yield Said(
                "{pieces} × {what}: {asked} is below what a piece truly costs; at least {floor}"
                " {currency}",
                **_describe_choice(one),
            )
    for extra, cost in trial.extra_costs:
        if extra.adds < cost:
            yield Said(
                "{extra} adds {adds}, and truly costs {cost} a piece",
                extra=extra.id,
                adds=_say_money(extra.adds, trial.first.cost.currency),
                cost=_say_money(cost, trial.first.cost.currency),
            )
    yield from _describe_habits(trial)


def _say_money(amount: Decimal, currency: str) -> Number:
    """An amount to the coin, the next one up: a cost is never told too low."""
    coin = find_coin(currency)
    exponent = coin.as_tuple().exponent
    assert isinstance(exponent, int), "a coin is a finite number"
    return Number(round_up_amount(amount, coin), -exponent)


def _describe_habits(trial: OfferTrial) -> Iterator[Said]:
    if trial.first.lacks_tax:
        yield Said(
            "consumers of {regions} are shown prices with tax in them: give its rate as"
            ' [[plan.tax]] of maker.toml, or rate = "0 %" where you charge none (this is not tax'
            " advice)",
            regions=FactList(trial.first.job.regions),
        )
    if not trial.first.cost.complete:
        yield Said("the true cost lacks prices, and is higher: give them in the price list")
    for one in trial.untried:
        told = Said(
            "{soap} is not recorded as poured with this scent: offer what is known to behave",
            soap=one.choice.soap.id,
        )
        yield told
    if len(trial.offer.soaps) > MOST_SCENTS:
        yield Said(
            "{count} soaps are many to keep; at most {most} is common practice",
            count=len(trial.offer.soaps),
            most=MOST_SCENTS,
        )
    if trial.offer.until is not None and trial.offer.until < trial.on:
        yield Said("the prices stood until {day}", day=Day(trial.offer.until))


def describe_order(offer: Offer, choice: Choice, on: dt.date) -> tuple[list[Said], bool]:
    """What is to be known of an order started from an offer before its quote is sent, and whether
    it can be kept; of what the customer has not said nothing is told."""
    plan = plan_choice(offer, choice, on)
    whole, pricing = complete_choice(offer, choice, on), plan.pricing
    told: list[Said] = []
    late = plan.schedule.late if choice.date else None
    if late is not None:
        told.append(
            Said(
                "the cure cannot meet {date}: ordered today the soap is delivered on {day} at the"
                " earliest, or on {least} with the least cure",
                date=Day(plan.job.spec.event.date),
                day=Day(late.by_full_cure),
                least=Day(late.by_least_cure),
            )
        )
    elif choice.date and (choice.date - on).days < offer.lead_weeks * _DAYS_A_WEEK:
        told.append(
            Said(
                "{date} is sooner than the lead time of {weeks} weeks; the plan can still meet it",
                date=Day(choice.date),
                weeks=offer.lead_weeks,
            )
        )
    fewer = choice.pieces is not None and choice.pieces < offer.smallest_order
    if fewer and not choice.display:
        told.append(
            Said(
                "an order of {pieces} is smaller than the smallest, {least}",
                pieces=choice.pieces,
                least=offer.smallest_order,
            )
        )
    if pricing.asked < pricing.floor and not choice.display:
        one = ChoiceCost(whole, plan)
        told.append(
            Said(
                "{pieces} × {what}: {asked} is below what a piece truly costs; at least {floor}"
                " {currency}",
                **_describe_choice(one),
            )
        )
    return told, late is None and not plan.unfit
