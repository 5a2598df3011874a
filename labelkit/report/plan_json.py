"""A plan as a JSON object: masses are numbers in grams, money is text, days are ISO dates."""

from __future__ import annotations

from typing import Any

from labelkit.common.json_text import format_json, pick_fields
from labelkit.plan.batching import BatchPlan
from labelkit.plan.dates import Lateness
from labelkit.plan.lots import LotVerdict
from labelkit.plan.order_plan import Plan
from labelkit.plan.passed import PassedDays
from labelkit.report.plan_parts import choose_phrases, make_speech
from labelkit.report.plan_view import list_unpriced
from labelkit.report.weighing_json import weighing_to_values

_PLACES = 3
_OF_A_NEED = "supply name pieces per_pack packs in_hand to_buy left"


def format_plan_json(plan: Plan, language: str | None = None) -> str:
    """The whole plan, ending with a line break; only its sentences go by the language."""
    return format_json(_plan_to_values(plan, language), _PLACES) + "\n"


def _plan_to_values(plan: Plan, language: str | None = None) -> dict[str, Any]:
    """The plan as plain values; LanguageError for a language without words."""
    say = choose_phrases(plan, language)
    speech = make_speech(say)
    return {
        "on": plan.on,
        "regions": plan.job.regions,
        **pick_fields(plan, "can_be_kept worries lot"),
        "order": plan.order_code,
        "poured": _poured_to_values(plan),
        "count": _count_to_values(plan),
        "weight": _weight_to_values(plan),
        "unfit": [speech.sentence(reason) for reason in plan.unfit],
        "batch": _weighings_to_values(plan.batch, plan.withholds_masses),
        "weighing_check": weighing_to_values(plan.weighing_check, speech),
        "balance": None if plan.poured else plan.balance,
        "days": {
            "steps": plan.steps_left,
            "cure_days": plan.schedule.cure_days,
            "late": _lateness_to_values(plan.schedule.late),
            "past": _passed_to_values(plan.passed),
        },
        "supplies": [pick_fields(need, _OF_A_NEED) for need in plan.needs],
        "cost": _cost_to_values(plan),
        "price": _price_to_values(plan),
        "duties": [
            {
                **pick_fields(duty, "rule region"),
                "what": speech.sentence(duty.what),
                "due": duty.due,
                "citation": speech.cited(duty.citation),
                "provenance": duty.provenance,
            }
            for duty in plan.duties
        ],
        "weighed": _weighed_to_values(plan),
        "assumed": {default.key: default.value for default in plan.spec.defaults},
        "notice": say("duty.not_advice"),
    }


def _count_to_values(plan: Plan) -> dict[str, Any]:
    counted, mould = plan.counts, plan.moulding
    return {
        **pick_fields(counted, "guests spares labelled"),
        "spare_labels": plan.spare_labels,
        "labels_to_print": plan.job.spec.event.labels,
        "lost_in_wrapping": counted.wrapped_spoilt,
        "kept_back": counted.kept,
        "lost_in_cutting": counted.cut_spoilt,
        "pieces_to_cut": counted.needed,
        "pieces_per_bar": counted.per_bar,
        "bars": counted.bars,
        "pieces_over": counted.over,
        **pick_fields(mould, "moulds bars_over"),
        "slice_mm": None if mould.slice_mm is None else float(mould.slice_mm),
        "volume_ml": mould.volume_ml,
    }


def _weight_to_values(plan: Plan) -> dict[str, Any]:
    weight = plan.weight
    return {
        **pick_fields(weight, "declared_g cut_g"),
        "bar_g": plan.moulding.bar_g,
        "set_aside_under_g": weight.set_aside_g,
        "cured_g": weight.cured_g,
        "sale_g": weight.sale_g(),
        "sale_driest_g": weight.sale_g(-1),
        "sale_wettest_g": weight.sale_g(1),
        "could_declare_g": weight.declarable_g,
        "cure_loss_percent": weight.loss.percent,
        "cure_loss_source": weight.loss.source,
        "regions": [
            {
                "region": hold.region,
                "tolerance_g": hold.tolerance.grams,
                "tolerance_provenance": hold.tolerance.provenance,
                "lightest_g": hold.lightest_g,
                "weigh": hold.sample,
                "citation": hold.scheme.citation,
            }
            for hold in weight.holds
        ],
    }


def _poured_to_values(plan: Plan) -> dict[str, Any] | None:
    """The batch as recorded, and whom it serves; null where none is recorded as poured."""
    found = plan.poured
    if found is None:
        return None
    second = found.second
    return {
        "on": found.record.poured,
        "pieces": found.record.pieces or None,
        "serves_guests": found.serves,
        "serves_guests_without_spares": found.serves_alone,
        "pieces_short": found.short,
        "second_batch": None
        if second is None
        else {
            **pick_fields(second, "pieces pour_by in_time gives"),
            "first_delivery": second.deliver,
            "before_event": second.before_event,
            **_weighings_to_values(second.batch, bool(plan.unfit)),
        },
    }


def _weighings_to_values(made: BatchPlan, withheld: bool) -> dict[str, Any]:
    return {
        "factor": float(round(made.factor, 5)),
        "poured_g": made.poured_g,
        "superfat_percent": made.batch.superfat_percent,
        "recipe_superfat_percent": made.wanted_superfat_percent,
        "weighings": [
            {
                "role": line.role,
                "material": line.name,
                "grams": None if withheld else line.mass_g,
                "ounces": None if withheld else float(line.ounces),
                "lots": line.lots,
            }
            for line in made.weighings
        ],
    }


def _lateness_to_values(late: Lateness | None) -> dict[str, Any] | None:
    if late is None:
        return None
    return {
        **pick_fields(late, "days missed ways_out"),
        "earliest_with_full_cure": late.by_full_cure,
        "earliest_with_least_cure": late.by_least_cure,
    }


def _passed_to_values(found: PassedDays | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "steps": [dated.step for dated in found.steps],
        "if_still_to_do": [pick_fields(left, "steps deliver kept") for left in found.left],
        "approval_that_keeps_it": found.answer_by,
    }


def _cost_to_values(plan: Plan) -> dict[str, Any]:
    made = plan.cost
    return {
        **pick_fields(made, "currency complete"),
        "unpriced": list(list_unpriced(plan, choose_phrases(plan, "en"))),
        "materials": str(made.material_total),
        "supplies": str(made.supply_total),
        "work": str(made.work_total),
        "minutes": float(made.minutes),
        **_pick_money(made, "overhead total per_piece"),
    }


def _price_to_values(plan: Plan) -> dict[str, Any]:
    prices = plan.pricing
    return {
        "can_be_quoted": plan.can_be_quoted,
        **_pick_money(prices, "floor at_margin margin_percent asked shown"),
        "shown_with_tax": prices.with_tax,
        "pieces": prices.pieces,
        "subtotal": str(prices.subtotal),
        "taxes": [
            {
                "name": line.tax.name,
                "percent": str(line.tax.percent),
                "amount": str(line.amount),
            }
            for line in prices.taxes
        ],
        **_pick_money(prices, "total deposit result"),
        "valid_until": plan.quote_until,
    }


def _pick_money(of: object, names: str) -> dict[str, str]:
    return {name: str(value) for name, value in pick_fields(of, names).items()}


def _weighed_to_values(plan: Plan) -> dict[str, Any] | None:
    found = plan.weighed
    if found is None:
        return None
    return {
        **pick_fields(found, "weights_g holds"),
        "now": [_verdict_to_values(verdict) for verdict in found.now],
        "at_sale": [_verdict_to_values(verdict) for verdict in found.at_sale],
    }


def _verdict_to_values(verdict: LotVerdict) -> dict[str, Any]:
    return {
        **pick_fields(verdict, "region weighed lot"),
        "to_weigh": verdict.scheme.sample(verdict.lot),
        **pick_fields(verdict, "holds mean_g deviation_g"),
        "adjusted_mean_g": verdict.adjusted_g,
        **pick_fields(verdict, "only_by_allowance short short_fails_at far_short"),
    }
