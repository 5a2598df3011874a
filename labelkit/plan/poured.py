"""A batch that is recorded as poured: what is in it stays, however the order changes afterwards.

What can still change is how many guests it has to serve. Where it no longer serves them all, a
second batch is worked out, with the day by which it must be poured.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Said
from labelkit.formula import compute_batch
from labelkit.order.label import LabelSpec
from labelkit.order.maker import name_label_for_maker, trace_path_of
from labelkit.order.plan import Making, PlanSpec
from labelkit.order.recipe import Recipe, Water, WaterForm
from labelkit.plan import trace
from labelkit.plan.batching import BatchPlan, Scales, Weighing, plan_batch
from labelkit.plan.count import Counts, count_pieces
from labelkit.plan.dates import (
    Calendar,
    PlanStep,
    count_wrap_days,
    find_earliest_delivery,
    make_schedule,
)
from labelkit.plan.moulding import plan_moulding
from labelkit.plan.trace import BatchRecord, RecordedMaterial, RecordedState, index_materials

_NO_LOSS = Decimal(0)
ROUNDED = Decimal("0.02")
"""A share of a mass by which rounding to a scale may change it (labelkit's own judgement)."""


@dataclass(frozen=True)
class SecondBatch:
    """What would make up for the pieces that are missing."""

    pieces: int
    """That are missing."""
    gives: int
    """Pieces from whole bars and moulds."""
    batch: BatchPlan
    pour_by: dt.date
    """The last day on which it still is in time for the delivery, with its whole cure."""
    deliver: dt.date
    """The first day of its delivery if it is poured on the first open day."""
    in_time: bool
    """It can still be poured by that day."""
    before_event: bool
    """It can be delivered by the day of the event, on a later day than the rest if need be."""


@dataclass(frozen=True)
class PouredBatch:
    """A batch as it was recorded, set against what the order asks now."""

    record: BatchRecord
    serves: int | None = None
    """Guests, with the spares and the pieces kept back of now; None: it kept no pieces."""
    serves_alone: int | None = None
    """The same without a spare and with nothing kept back."""
    short: int = 0
    """Pieces that the order asks beyond those of the batch."""
    second: SecondBatch | None = None
    """None where nothing is short, or the event is past."""


def find_poured_batches(label: LabelSpec, on: dt.date) -> tuple[RecordedState, ...]:
    """Every batch recorded as poured for a label and its event, the last one first.

    InputError where there is a record that cannot be read.
    """
    event = label.event
    path = trace_path_of(label.maker.path)
    states = trace.list_standing_states(path, name_label_for_maker(label.path, label.maker.path))
    found = [
        state
        for state in states
        if not state.record.planned
        and state.record.poured <= on
        and (state.record.date == event.date or state.record.names in event.names.values())
    ]
    return tuple(sorted(found, key=lambda state: state.number, reverse=True))


def pick_batch_of_lot(states: Sequence[RecordedState], lot: str) -> RecordedState | None:
    """The first of these batches that is a label's own; any is where the label names no lot."""
    own = (state for state in states if not lot or state.record.lot.casefold() == lot.casefold())
    return next(own, None)


def spec_from_record(spec: PlanSpec, entry: BatchRecord, on: dt.date) -> PlanSpec:
    """The same order with the day and the weight of a piece that were recorded with the pour."""
    poured = spec.timing.poured_on
    if poured is None or poured > on:
        spec = replace(spec, timing=replace(spec.timing, poured_on=entry.poured))
    if entry.piece_g is not None:
        spec = replace(spec, making=replace(spec.making, piece_poured_g=entry.piece_g))
    return spec


def counts_from_record(counts: Counts, entry: BatchRecord) -> Counts:
    """What the order asks, with the bars that there are."""
    if not entry.bars:
        return counts
    return replace(counts, bars=entry.bars, per_bar=entry.pieces // entry.bars)


def batch_from_record(
    recipe: Recipe, scales: Scales, entry: BatchRecord, label: LabelSpec
) -> BatchPlan:
    """The batch with its masses as recorded, and lots that became known since.

    InputError where the recipe's materials are no longer those that were poured.
    """
    added, left_out = find_other_materials(recipe, scales, entry)
    if added or left_out:
        raise _make_recipe_error(recipe, entry, added, left_out, label)
    scaled = _plan_batch_as_large(recipe, scales, entry)
    recorded = index_materials(entry.materials)
    materials = [recorded[key] for key in _index_weighings(scaled)]
    weighed = _replace_masses(scaled.recipe, [material.mass_g for material in materials])
    made = compute_batch(weighed)
    return BatchPlan(
        recipe=weighed,
        batch=made,
        factor=made.poured_g / compute_batch(recipe).poured_g,
        weighings=tuple(map(_weighing_from_record, scaled.weighings, materials)),
        wanted_superfat_percent=scaled.wanted_superfat_percent,
    )


def find_other_materials(
    recipe: Recipe, scales: Scales, entry: BatchRecord
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The materials that a recipe has beyond those of a poured batch, and those it lacks."""
    lines = set(_index_weighings(_plan_batch_as_large(recipe, scales, entry)))
    recorded = set(index_materials(entry.materials))
    added, left_out = sorted(lines - recorded), sorted(recorded - lines)
    return tuple(name for name, _ in added), tuple(name for name, _ in left_out)


def _plan_batch_as_large(recipe: Recipe, scales: Scales, entry: BatchRecord) -> BatchPlan:
    return plan_batch(recipe, sum((m.mass_g for m in entry.materials), Decimal(0)), scales)


def _index_weighings(batch: BatchPlan) -> dict[tuple[str, int], RecordedMaterial]:
    return index_materials(RecordedMaterial(w.name, w.lots, w.mass_g) for w in batch.weighings)


def list_other_lots(
    batch: BatchPlan, entry: BatchRecord
) -> Iterator[tuple[Weighing, tuple[str, ...]]]:
    """What the recipe now names other lots of than were recorded, with those recorded."""
    recorded = index_materials(entry.materials)
    for weighing, key in zip(batch.weighings, _index_weighings(batch), strict=True):
        lots = recorded[key].lots if key in recorded else ()
        if lots and weighing.lots != lots:
            yield weighing, lots


def find_other_amount(
    poured: BatchPlan, recipe: Recipe, scales: Scales
) -> tuple[Weighing, Decimal] | None:
    """The line of a poured batch that is furthest from the recipe, with the recipe's grams.

    None where every line is what the recipe would make of as large a batch, but for rounding.
    """
    total = sum((line.mass_g for line in poured.weighings), Decimal(0))
    lines = zip(poured.weighings, plan_batch(recipe, total, scales).weighings, strict=True)
    other = [
        (abs(line.mass_g - own.mass_g), line, own.mass_g)
        for line, own in lines
        if abs(line.mass_g - own.mass_g) > max(own.mass_g * ROUNDED, 2 * scales.main.division_g)
    ]
    if not other:
        return None
    _, line, own_g = max(other, key=lambda found: found[0])
    return line, own_g


def _weighing_from_record(line: Weighing, material: RecordedMaterial) -> Weighing:
    mass, lots = material.mass_g, line.lots or material.lots
    return replace(line, mass_g=mass, exact_g=mass, lots=lots, coarse=False)


def _make_recipe_error(
    recipe: Recipe,
    entry: BatchRecord,
    added: Sequence[str],
    left_out: Sequence[str],
    label: LabelSpec,
) -> InputError:
    new = [Said("{name} is new", name=name) for name in added]
    gone = [Said("{name} is left out", name=name) for name in left_out]
    return InputError(
        format_path(recipe.path),
        "",
        None,
        Said(
            "is not what was poured on {day} and recorded as lot {lot} ({listed}); put "
            "the recipe back, or give {path} another lot for another batch, or, if the "
            "record is wrong, labelkit trace {lot} --withdraw",
            day=Day(entry.poured),
            lot=entry.lot,
            listed=FactList([*new, *gone]),
            path=format_path(label.path),
        ),
    )


def _replace_masses(recipe: Recipe, masses_g: Sequence[Decimal]) -> Recipe:
    """A weighed recipe with other masses, in the order of a batch's weighings."""
    left = iter(masses_g)
    oils = tuple(replace(line, mass_g=next(left)) for line in recipe.oils)
    lyes = tuple(replace(lye, mass_g=next(left)) for lye in recipe.lyes)
    water = Water(WaterForm.MASS, next(left)) if recipe.water.value else recipe.water
    return replace(
        recipe,
        oils=oils,
        lyes=lyes,
        water=water,
        additives=tuple(replace(line, mass_g=next(left)) for line in recipe.additives),
        colours=tuple(replace(line, mass_g=next(left)) for line in recipe.colours),
        scents=tuple(replace(scent, mass_g=next(left)) for scent in recipe.scents),
    )


# -- what it serves, and what is missing -----------------------------------------------------------


def judge_poured_batch(
    entry: BatchRecord,
    label: LabelSpec,
    spec: PlanSpec,
    counts: Counts,
    recipe: Recipe,
    scales: Scales,
    piece_g: Decimal,
    on: dt.date,
) -> PouredBatch:
    """A recorded batch against what the order asks now."""
    if not entry.pieces:
        return PouredBatch(entry)
    short = max(0, counts.needed - entry.pieces)
    second = None
    if short and on <= label.event.date:
        second = _plan_second_batch(short, label, spec, recipe, scales, piece_g, on)
    return PouredBatch(
        record=entry,
        serves=count_guests_served(entry.pieces, spec.spare_pieces, spec.making),
        serves_alone=count_guests_served(entry.pieces, 0, replace(spec.making, keep=0)),
        short=short,
        second=second,
    )


def count_guests_served(pieces: int, spares: int, making: Making) -> int:
    """The most guests for whom so many pieces are enough, losses reckoned with; 0 if for none."""
    guests = range(pieces + 1)
    enough = bisect_right(guests, pieces, key=lambda n: count_pieces(n, spares, making).needed)
    return max(0, enough - 1)


def _plan_second_batch(
    pieces: int,
    label: LabelSpec,
    spec: PlanSpec,
    recipe: Recipe,
    scales: Scales,
    piece_g: Decimal,
    on: dt.date,
) -> SecondBatch:
    """A batch of so many pieces; their losses are counted with the whole order's already."""
    making, minutes, source = spec.making, spec.money.minutes, format_path(label.path)
    counts = count_pieces(
        pieces,
        0,
        replace(making, keep=0, cutting_loss_percent=_NO_LOSS, wrapping_loss_percent=_NO_LOSS),
    )
    moulding = plan_moulding(counts, piece_g, making, source)
    timing = replace(spec.timing, poured_on=None, supplies_in_hand=True)
    to_wrap = (minutes.wrap + minutes.label) * pieces
    pour_by = make_schedule(label.event.date, on, timing, to_wrap, source).day(PlanStep.POUR)
    deliver = find_earliest_delivery(
        on,
        timing,
        timing.cure_weeks,
        count_wrap_days(to_wrap, timing.hours_per_day),
        Calendar(timing.closed, timing.holidays),
    )
    return SecondBatch(
        pieces=pieces,
        gives=moulding.bars_made * counts.per_bar,
        batch=plan_batch(recipe, moulding.target_g(making.pot_loss_percent), scales),
        pour_by=pour_by,
        deliver=deliver,
        in_time=on <= pour_by,
        before_event=deliver <= label.event.date,
    )
