"""Whether a label is that of the batch which is recorded as poured.

A soap that is poured keeps what is in it, however the recipe's file changes afterwards: a label
made from the changed file would name what is not there and leave out what is. And its pieces only
become lighter: none weighs more than it was cut to.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import Day, FactList, Number, Quoted, Said
from labelkit.compose.job import Job
from labelkit.formula import declare_ingredients
from labelkit.plan.batching import scales_at_hand
from labelkit.plan.poured import (
    batch_from_record,
    find_other_amount,
    find_other_materials,
    find_poured_batches,
    pick_batch_of_lot,
)
from labelkit.plan.trace import BatchRecord
from labelkit.rules.findings import Finding, Level
from labelkit.rules.policies import make_policy

RULE = "RECIPE-OTHER-POURED"


def check_poured(job: Job) -> Iterator[Finding]:
    """Fails a label whose list is not that of its own batch, or that declares more than its pieces
    were cut to; InputError for a damaged record."""
    states = find_poured_batches(job.spec, job.today or dt.date.max)
    own = pick_batch_of_lot(states, job.spec.product.lot)
    if own is None:
        return
    yield from _check_list(job, own.record)
    yield from _check_weight(job, own.record)


def _check_weight(job: Job, entry: BatchRecord) -> Iterator[Finding]:
    declared_g = job.spec.product.net_weight_g
    if entry.piece_g is None or declared_g <= entry.piece_g:
        return
    yield make_own_finding(
        "LABELKIT-LIGHTER-PIECES",
        Said(
            "The pieces of lot {lot}, poured on {day}, were cut to {cut} g and weigh less since:"
            " the declared {declared} g are not there",
            lot=Quoted(entry.lot),
            day=Day(entry.poured),
            cut=Number(entry.piece_g),
            declared=Number(declared_g),
        ),
        element="net-quantity",
        level=Level.FAIL,
        measured=Number(declared_g),
        required=Number(entry.piece_g),
        unit="g",
        remedy=Said(
            "Declare what the lightest piece weighs on the day of sale; labelkit plan says at most"
            " how much that is. Where they were cut heavier, withdraw the record: labelkit trace"
            " LOT --withdraw."
        ),
    )


def _check_list(job: Job, entry: BatchRecord) -> Iterator[Finding]:
    told = _describe_other_list(job, entry)
    if told is None:
        return
    yield make_own_finding(
        RULE,
        Said(
            "The recipe is not what was poured on {day} as lot {lot}: {what}",
            day=Day(entry.poured),
            lot=Quoted(entry.lot),
            what=told,
        ),
        element="ingredients",
        level=Level.FAIL,
        remedy=Said(
            "Put the recipe back as it was poured; for another batch give the label another lot."
            " Where the record is wrong, withdraw it: labelkit trace LOT --withdraw."
        ),
    )


def _describe_other_list(job: Job, entry: BatchRecord) -> str | None:
    """What the poured batch has that the label does not say, or the other way round."""
    scales = scales_at_hand(job.recipe, job.spec.plan.making)
    added, left_out = find_other_materials(job.recipe, scales, entry)
    if added or left_out:
        news = [Said("{material} is new", material=Quoted(name)) for name in added]
        gone = [Said("{material} is left out", material=Quoted(name)) for name in left_out]
        return FactList([*news, *gone])
    poured = batch_from_record(job.recipe, scales, entry, job.spec)
    other = find_other_amount(poured, job.recipe, scales)
    if other is None:
        return None
    policy = make_policy(job.regions, job.on, job.spec.product.first_sold_on)
    if declare_ingredients(poured.recipe, policy).names == job.declaration.names:
        return None
    return Said(
        "by its amounts the list reads otherwise ({material})", material=Quoted(other[0].name)
    )
