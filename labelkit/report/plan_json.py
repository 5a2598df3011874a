"""A plan as a JSON object: masses are numbers in grams, money is text, days are ISO dates."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from labelkit.plan.batching import BatchPlan
from labelkit.plan.dates import Lateness
from labelkit.plan.lots import LotVerdict
from labelkit.plan.moulding import MassBalance
from labelkit.plan.order_plan import Plan
from labelkit.plan.passed import PassedDays
from labelkit.plan.supplies import SupplyNeed
from labelkit.report.plan_parts import choose_phrases, make_speech
from labelkit.report.plan_view import list_unpriced
from labelkit.report.weighing_json import weighing_to_values

_PLACES = Decimal("0.001")


def format_plan_json(plan: Plan, language: str | None = None) -> str:
    """The whole plan, ending with a line break; only its sentences go by the language."""
    return json.dumps(plan_to_values(plan, language), ensure_ascii=False, indent=2) + "\n"


def plan_to_values(plan: Plan, language: str | None = None) -> dict[str, Any]:
    """The plan as plain values; LanguageError for a language without words."""
    say = choose_phrases(plan, language)
    speech = make_speech(say)
    return {
        "on": plan.on.isoformat(),
        "regions": list(plan.job.regions),
        "can_be_kept": plan.can_be_kept,
        "worries": [worry.value for worry in plan.worries],
        "lot": plan.lot,
        "order": plan.order_code,
        "poured": _poured_to_values(plan),
        "count": _count_to_values(plan),
        "weight": _weight_to_values(plan),
        "unfit": [speech.sentence(reason) for reason in plan.unfit],
        "batch": _weighings_to_values(plan.batch, plan.withholds_masses),
        "weighing_check": weighing_to_values(plan.weighing_check, speech),
        "balance": None if plan.poured else _balance_to_values(plan.balance),
        "days": {
            "steps": [
                {
                    "step": dated.step.value,
                    "first": dated.first.isoformat(),
                    "last": dated.last.isoformat(),
                }
                for dated in plan.steps_left
            ],
            "cure_days": plan.schedule.cure_days,
            "late": _lateness_to_values(plan.schedule.late),
            "past": _passed_to_values(plan.passed),
        },
        "supplies": [_need_to_values(need) for need in plan.needs],
        "cost": _cost_to_values(plan),
        "price": _price_to_values(plan),
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
        "weighed": _weighed_to_values(plan),
        "assumed": {default.key: default.value for default in plan.spec.defaults},
        "notice": say("duty.not_advice"),
    }


def _grams_to_float(value: Decimal) -> float:
    return float(value.quantize(_PLACES))


def _count_to_values(plan: Plan) -> dict[str, Any]:
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
        "volume_ml": _grams_to_float(mould.volume_ml),
    }


def _weight_to_values(plan: Plan) -> dict[str, Any]:
    weight = plan.weight
    return {
        "declared_g": _grams_to_float(weight.declared_g),
        "cut_g": _grams_to_float(weight.cut_g),
        "bar_g": _grams_to_float(plan.moulding.bar_g),
        "set_aside_under_g": _grams_to_float(weight.set_aside_g),
        "cured_g": _grams_to_float(weight.cured_g),
        "sale_g": _grams_to_float(weight.sale_g()),
        "sale_driest_g": _grams_to_float(weight.sale_g(-1)),
        "sale_wettest_g": _grams_to_float(weight.sale_g(1)),
        "could_declare_g": _grams_to_float(weight.declarable_g),
        "cure_loss_percent": _grams_to_float(weight.loss.percent),
        "cure_loss_source": weight.loss.source,
        "regions": [
            {
                "region": hold.region,
                "tolerance_g": _grams_to_float(hold.tolerance.grams),
                "tolerance_provenance": hold.tolerance.provenance,
                "lightest_g": _grams_to_float(hold.lightest_g),
                "weigh": hold.sample,
                "citation": hold.scheme.citation,
            }
            for hold in weight.holds
        ],
    }


def _balance_to_values(parts: MassBalance) -> dict[str, Any]:
    return {
        "poured_g": _grams_to_float(parts.poured_g),
        "pieces_g": _grams_to_float(parts.pieces_g),
        "over_g": _grams_to_float(parts.over_g),
        "ends_g": _grams_to_float(parts.ends_g),
        "pot_g": _grams_to_float(parts.pot_g),
    }


def _poured_to_values(plan: Plan) -> dict[str, Any] | None:
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
            **_weighings_to_values(second.batch, bool(plan.unfit)),
        },
    }


def _weighings_to_values(made: BatchPlan, withheld: bool) -> dict[str, Any]:
    return {
        "factor": float(made.factor.quantize(Decimal("0.00001"))),
        "poured_g": _grams_to_float(made.poured_g),
        "superfat_percent": _grams_to_float(made.batch.superfat_percent),
        "recipe_superfat_percent": _grams_to_float(made.wanted_superfat_percent),
        "weighings": [
            {
                "role": line.role.value,
                "material": line.name,
                "grams": None if withheld else _grams_to_float(line.mass_g),
                "ounces": None if withheld else float(line.ounces),
                "lots": list(line.lots),
            }
            for line in made.weighings
        ],
    }


def _lateness_to_values(late: Lateness | None) -> dict[str, Any] | None:
    if late is None:
        return None
    return {
        "days": late.days,
        "missed": late.missed.value,
        "ways_out": [way.value for way in late.ways_out],
        "earliest_with_full_cure": late.by_full_cure.isoformat(),
        "earliest_with_least_cure": late.by_least_cure.isoformat(),
    }


def _passed_to_values(found: PassedDays | None) -> dict[str, Any] | None:
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


def _need_to_values(need: SupplyNeed) -> dict[str, Any]:
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


def _cost_to_values(plan: Plan) -> dict[str, Any]:
    made = plan.cost
    return {
        "currency": made.currency,
        "complete": made.complete,
        "unpriced": list(list_unpriced(plan, choose_phrases(plan, "en"))),
        "materials": str(made.material_total),
        "supplies": str(made.supply_total),
        "work": str(made.work_total),
        "minutes": float(made.minutes),
        "overhead": str(made.overhead),
        "total": str(made.total),
        "per_piece": str(made.per_piece),
    }


def _price_to_values(plan: Plan) -> dict[str, Any]:
    prices = plan.pricing
    return {
        "can_be_quoted": plan.can_be_quoted,
        "floor": str(prices.floor),
        "at_margin": str(prices.at_margin),
        "margin_percent": str(prices.margin_percent),
        "asked": str(prices.asked),
        "shown": str(prices.shown),
        "shown_with_tax": prices.with_tax,
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


def _weighed_to_values(plan: Plan) -> dict[str, Any] | None:
    found = plan.weighed
    if found is None:
        return None
    return {
        "weights_g": [_grams_to_float(weight) for weight in found.weights_g],
        "holds": found.holds,
        "now": [_verdict_to_values(verdict) for verdict in found.now],
        "at_sale": [_verdict_to_values(verdict) for verdict in found.at_sale],
    }


def _verdict_to_values(verdict: LotVerdict) -> dict[str, Any]:
    return {
        "region": verdict.region,
        "weighed": verdict.weighed,
        "lot": verdict.lot,
        "to_weigh": verdict.scheme.sample(verdict.lot),
        "holds": verdict.holds,
        "mean_g": _grams_to_float(verdict.mean_g),
        "deviation_g": _grams_to_float(verdict.deviation_g),
        "adjusted_mean_g": _grams_to_float(verdict.adjusted_g),
        "only_by_allowance": verdict.only_by_allowance,
        "short": verdict.short,
        "short_fails_at": verdict.short_fails_at,
        "far_short": verdict.far_short,
    }
