"""A plan as a JSON object: masses are numbers in grams, money is text, days are ISO dates."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from labelkit.plan.batching import BatchPlan
from labelkit.plan.dates import Late
from labelkit.plan.lots import Verdict
from labelkit.plan.moulding import Balance
from labelkit.plan.order_plan import Plan
from labelkit.plan.passed import Passed
from labelkit.plan.supplies import Need
from labelkit.report.plan_parts import phrases_for, speech_for
from labelkit.report.plan_view import unpriced
from labelkit.report.weighing_json import weighing_document

_PLACES = Decimal("0.001")


def plan_json(plan: Plan, language: str | None = None) -> str:
    """The whole plan, ending with a line break; only its sentences go by the language."""
    return json.dumps(document(plan, language), ensure_ascii=False, indent=2) + "\n"


def document(plan: Plan, language: str | None = None) -> dict[str, Any]:
    """The plan as plain values; LanguageError for a language without words."""
    say = phrases_for(plan, language)
    speech = speech_for(say)
    return {
        "on": plan.on.isoformat(),
        "regions": list(plan.job.regions),
        "can_be_kept": plan.can_be_kept,
        "worries": [worry.value for worry in plan.worries],
        "lot": plan.lot,
        "order": plan.order_code,
        "poured": _poured(plan),
        "count": _count(plan),
        "weight": _weight(plan),
        "unfit": [speech.sentence(reason) for reason in plan.unfit],
        "batch": _weighed_out(plan.batch, plan.withholds_masses),
        "weighing_check": weighing_document(plan.weighing_check, speech),
        "balance": None if plan.poured else _balance(plan.balance),
        "days": {
            "steps": [
                {
                    "step": dated.step.value,
                    "first": dated.first.isoformat(),
                    "last": dated.last.isoformat(),
                }
                for dated in plan.schedule.steps
            ],
            "cure_days": plan.schedule.cure_days,
            "late": _late(plan.schedule.late),
            "past": _passed(plan.passed),
        },
        "supplies": [_need(need) for need in plan.needs],
        "cost": _cost(plan),
        "price": _price(plan),
        "duties": [
            {
                "rule": duty.rule,
                "region": duty.region,
                "what": speech.sentence(duty.what),
                "due": duty.due.isoformat() if duty.due else None,
                "citation": speech.cited(duty.citation),
                "provenance": str(duty.provenance),
            }
            for duty in plan.duties
        ],
        "weighed": _weighed(plan),
        "assumed": {default.key: default.value for default in plan.spec.defaults},
        "notice": say("duty.not_advice"),
    }


def _g(value: Decimal) -> float:
    return float(value.quantize(_PLACES))


def _count(plan: Plan) -> dict[str, Any]:
    counted, mould = plan.counts, plan.moulding
    return {
        "guests": counted.guests,
        "spares": counted.spares,
        "labelled": counted.labelled,
        "spare_labels": plan.spare_labels,
        "labels_to_print": plan.job.spec.event.labels,
        "lost_in_wrapping": counted.wrapped_spoilt,
        "kept_back": counted.kept,
        "lost_in_cutting": counted.cut_spoilt,
        "pieces_to_cut": counted.needed,
        "pieces_per_bar": counted.per_bar,
        "bars": counted.bars,
        "pieces_over": counted.over,
        "moulds": mould.moulds,
        "bars_over": mould.bars_over,
        "slice_mm": None if mould.slice_mm is None else float(mould.slice_mm),
        "volume_ml": _g(mould.volume_ml),
    }


def _weight(plan: Plan) -> dict[str, Any]:
    weight = plan.weight
    return {
        "declared_g": _g(weight.declared_g),
        "cut_g": _g(weight.cut_g),
        "bar_g": _g(plan.moulding.bar_g),
        "set_aside_under_g": _g(weight.set_aside_g),
        "cured_g": _g(weight.cured_g),
        "sale_g": _g(weight.sale_g()),
        "sale_driest_g": _g(weight.sale_g(-1)),
        "sale_wettest_g": _g(weight.sale_g(1)),
        "could_declare_g": _g(weight.declarable_g),
        "cure_loss_percent": _g(weight.loss.percent),
        "cure_loss_source": weight.loss.source,
        "regions": [
            {
                "region": hold.region,
                "tolerance_g": _g(hold.tolerance.grams),
                "tolerance_provenance": hold.tolerance.provenance,
                "lightest_g": _g(hold.lightest_g),
                "weigh": hold.sample,
                "citation": hold.scheme.citation,
            }
            for hold in weight.holds
        ],
    }


def _balance(parts: Balance) -> dict[str, Any]:
    return {
        "poured_g": _g(parts.poured_g),
        "pieces_g": _g(parts.pieces_g),
        "over_g": _g(parts.over_g),
        "ends_g": _g(parts.ends_g),
        "pot_g": _g(parts.pot_g),
    }


def _poured(plan: Plan) -> dict[str, Any] | None:
    """The batch as recorded, and whom it serves; null where none is recorded as poured."""
    found = plan.poured
    if found is None:
        return None
    second = found.second
    return {
        "on": found.record.poured.isoformat(),
        "pieces": found.record.pieces or None,
        "serves_guests": found.serves,
        "serves_guests_without_spares": found.serves_alone,
        "pieces_short": found.short,
        "second_batch": None
        if second is None
        else {
            "pieces": second.pieces,
            "pour_by": second.pour_by.isoformat(),
            "in_time": second.in_time,
            "gives": second.gives,
            "first_delivery": second.deliver.isoformat(),
            "before_event": second.before_event,
            **_weighed_out(second.batch, bool(plan.unfit)),
        },
    }


def _weighed_out(made: BatchPlan, withheld: bool) -> dict[str, Any]:
    return {
        "factor": float(made.factor.quantize(Decimal("0.00001"))),
        "poured_g": _g(made.poured_g),
        "superfat_percent": _g(made.batch.superfat_percent),
        "recipe_superfat_percent": _g(made.wanted_superfat_percent),
        "weighings": [
            {
                "role": line.role.value,
                "material": line.name,
                "grams": None if withheld else _g(line.mass_g),
                "ounces": None if withheld else float(line.ounces),
                "lots": list(line.lots),
            }
            for line in made.weighings
        ],
    }


def _late(late: Late | None) -> dict[str, Any] | None:
    if late is None:
        return None
    return {
        "days": late.days,
        "missed": late.missed.value,
        "ways_out": [way.value for way in late.ways_out],
        "earliest_with_full_cure": late.by_full_cure.isoformat(),
        "earliest_with_least_cure": late.by_least_cure.isoformat(),
    }


def _passed(found: Passed | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "steps": [dated.step.value for dated in found.steps],
        "if_still_to_do": [
            {
                "steps": [step.value for step in left.steps],
                "deliver": left.deliver.isoformat(),
                "kept": left.kept,
            }
            for left in found.left
        ],
        "approval_that_keeps_it": found.answer_by.isoformat() if found.answer_by else None,
    }


def _need(need: Need) -> dict[str, Any]:
    return {
        "supply": need.supply.value,
        "name": dict(need.name),
        "pieces": need.pieces,
        "per_pack": need.per_pack,
        "packs": need.packs,
        "in_hand": need.in_hand,
        "to_buy": need.to_buy,
        "left": need.left,
    }


def _cost(plan: Plan) -> dict[str, Any]:
    made = plan.cost
    return {
        "currency": made.currency,
        "complete": made.complete,
        "unpriced": list(unpriced(plan, phrases_for(plan, "en"))),
        "materials": str(made.material_total),
        "supplies": str(made.supply_total),
        "work": str(made.work_total),
        "minutes": float(made.minutes),
        "overhead": str(made.overhead),
        "total": str(made.total),
        "per_piece": str(made.per_piece),
    }


def _price(plan: Plan) -> dict[str, Any]:
    prices = plan.pricing
    return {
        "can_be_quoted": plan.can_be_quoted,
        "floor": str(prices.floor),
        "at_margin": str(prices.at_margin),
        "margin_percent": str(prices.margin_percent),
        "asked": str(prices.asked),
        "pieces": prices.pieces,
        "subtotal": str(prices.subtotal),
        "taxes": [
            {
                "name": dict(line.tax.name),
                "percent": str(line.tax.percent),
                "amount": str(line.amount),
            }
            for line in prices.taxes
        ],
        "total": str(prices.total),
        "deposit": str(prices.deposit),
        "result": str(prices.result),
        "valid_until": plan.quote_until.isoformat(),
    }


def _weighed(plan: Plan) -> dict[str, Any] | None:
    found = plan.weighed
    if found is None:
        return None
    return {
        "weights_g": [_g(weight) for weight in found.weights_g],
        "holds": found.holds,
        "now": [_verdict(verdict) for verdict in found.now],
        "at_sale": [_verdict(verdict) for verdict in found.at_sale],
    }


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "region": verdict.region,
        "weighed": verdict.weighed,
        "lot": verdict.lot,
        "to_weigh": verdict.scheme.sample(verdict.lot),
        "holds": verdict.holds,
        "mean_g": _g(verdict.mean_g),
        "deviation_g": _g(verdict.deviation_g),
        "adjusted_mean_g": _g(verdict.adjusted_g),
        "only_by_allowance": verdict.only_by_allowance,
        "short": verdict.short,
        "short_fails_at": verdict.short_fails_at,
        "far_short": verdict.far_short,
    }
