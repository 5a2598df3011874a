"""When an order is poured and the lot code that gives: what a label needs of its plan."""

from __future__ import annotations

import datetime as dt

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.order.label import LabelSpec
from labelkit.order.plan import PlanSpec
from labelkit.order.recipe import Recipe
from labelkit.plan.count import Counts, count_pieces
from labelkit.plan.dates import PlanStep, Schedule, make_schedule
from labelkit.plan.lotcode import is_addition_to, make_lot_code


@dataclass(frozen=True, slots=True)
class PlannedLot:
    """The code that a lot pattern gives for a day of pouring."""

    code: str
    poured: dt.date
    own_pattern: bool
    """The maker's own pattern, not the one that is assumed."""
    pattern: str

    @property
    def another(self) -> str:
        """What another batch of the same day may be called."""
        return f"{self.code}-B"

    def allows(self, lot: str) -> bool:
        """Whether a lot is this code or that of another batch of the same day, or none is asked."""
        return not self.own_pattern or lot == self.code or is_addition_to(lot, self.code)


def schedule_order(label: LabelSpec, spec: PlanSpec, counts: Counts, on: dt.date) -> Schedule:
    """The days of an order as seen on a day; InputError as for ``schedule``."""
    each = spec.money.minutes
    minutes = each.wrap * counts.to_wrap + each.label * counts.labelled
    return make_schedule(label.event.date, on, spec.timing, minutes, format_path(label.path))


def make_planned_lot(spec: PlanSpec, days: Schedule, recipe: Recipe) -> PlannedLot:
    """The lot of an order with these days."""
    poured = days.day(PlanStep.POUR)
    code = make_lot_code(spec.lot_pattern, poured, recipe.name)
    return PlannedLot(code, poured, spec.has_own("lot_pattern"), spec.lot_pattern)


def plan_lot(label: LabelSpec, recipe: Recipe) -> PlannedLot | None:
    """The lot that the plan of a label gives; None where no plan can be made."""
    event, spec = label.event, label.plan.with_cure(recipe.cure.weeks)
    counts = count_pieces(event.guests, spec.spare_pieces, spec.making)
    try:
        return make_planned_lot(spec, schedule_order(label, spec, counts, event.date), recipe)
    except InputError:
        return None


def find_first_keeping_day(label: LabelSpec) -> dt.date:
    """The day of pouring or, where none is given, the first day that cannot lie before it."""
    return label.plan.timing.poured_on or min(label.event.date, label.product.sold_on)
