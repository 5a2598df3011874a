"""Whether a recipe and its scents were poured before, by the workshop's own record.

A fragrance may seize a batch, sweat or fade, and a recipe that is new to a mould may not come out
of it: an order whose day is fixed is no place to find out.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from labelkit.common.text_match import fold_as_read
from labelkit.order.recipe import Recipe
from labelkit.plan.trace import BatchRecord

TRIAL_WEEKS = 4
"""Seizing shows in the pot, sweating in days, fading in weeks: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Tried:
    """How often a recipe was poured with its scents, and how often with any."""

    times: int
    last: dt.date | None
    recipe_times: int
    trial_by: dt.date
    """The last day on which a trial still tells before the batch is poured."""


def count_pours(
    recipe: Recipe, records: Iterable[BatchRecord], pour: dt.date, on: dt.date
) -> Tried | None:
    """What the record tells of a recipe to be poured on a day; None where it holds no pour yet."""
    poured = {one.lot.casefold(): one for one in records if not one.planned and one.poured <= on}
    if not poured:
        return None
    scents = {fold_as_read(scent.name) for scent in recipe.scents}
    same = [one for one in poured.values() if one.recipe == recipe.name]
    pairs = [one for one in same if scents <= {fold_as_read(m.name) for m in one.materials}]
    return Tried(
        times=len(pairs),
        last=max((one.poured for one in pairs), default=None),
        recipe_times=len(same),
        trial_by=pour - dt.timedelta(weeks=TRIAL_WEEKS),
    )
