"""Ways out for a label that does not fit: each is tried before it is told, with what it gains."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR
from itertools import combinations
from typing import TYPE_CHECKING

from labelkit import rules
from labelkit.common import resources
from labelkit.common.errors import FitError, LabelkitError, NoRoomError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Said, Term, Verbatim, round_to_tenths
from labelkit.compose.element_words import make_panel_wordings
from labelkit.compose.room import STRAIGHT
from labelkit.impose import count_labels_per_sheet
from labelkit.order.fields import SURFACES
from labelkit.order.label import MAX_TRIM_MM, LabelSpec, Surface, Trim
from labelkit.order.layout import read_layout
from labelkit.rules.findings import Finding, Level
from labelkit.rules.label import name_element

if TYPE_CHECKING:
    from labelkit.compose.job import Job

STEP_MM = 0.1
"""Lengths are told to a tenth of a millimetre, rounded up."""
FIRST_MORE_MM, MOST_MORE_MM = 0.4, 40.0
"""How much larger a trim is tried first, and at most."""
A7 = Trim(105.0, 74.0)
"""A card or tag that never decides how small the label can be (ISO 216's A7)."""
WORDS = ("scent", "date", "place", "thanks", "brand", "claim", "lot", "contact")
"""Elements a maker may leave out, where the law does not ask for them."""
MOST_TOGETHER = 5
"""Of the words that gain something so many are left out together in every way there is."""
PLACES = ("tag", "card")
"""Where else the ingredient list may stand, if the region allows it."""
ROOMY = 4.0
"""How much larger a trim is tried to see what fails at any size."""
EQUAL_SIDES = ("round", "square")


@dataclass(frozen=True, slots=True)
class LabelChange:
    """What a maker could change, and the label so changed."""

    what: Said
    job: Job
    place: str = ""
    """Where it puts the ingredient list, if that is what it does."""
    element: str = ""
    """What it leaves out, if that is what it does."""


# -- what could be changed -------------------------------------------------------------------------


def list_word_changes(job: Job, panel: str) -> Iterator[LabelChange]:
    """Each element of a panel that may be left out, left out."""
    present = set(make_panel_wordings(job.spec, job.declaration, panel))
    drawn = {block.element for block in job.layout.panel(panel).blocks}
    for element in WORDS:
        if element in present & drawn:
            what = Said(
                'leave out the {element} ([{panel}] leave_out = ["{key}"])',
                element=name_element(element),
                panel=panel,
                key=element,
            )
            yield LabelChange(what, without_element(job, panel, element), element=element)


def list_guest_changes(job: Job) -> Iterator[LabelChange]:
    """The first guest's name shorter, and no guests' names at all."""
    names = job.spec.event.guest_names
    if names:
        shorter = Said("shorten the name of the guest {name}", name=Verbatim(names[0]))
        yield LabelChange(shorter, without_guest(job, names[0]))
        none = Said("leave out the guests' names ([event] guest_list)")
        yield LabelChange(none, with_guests(job, ()))


def list_ingredient_moves(job: Job) -> Iterator[LabelChange]:
    """The ingredient list on a tag or card of its own size."""
    if job.spec.ingredients_on not in ("back", "front"):
        return
    for place in PLACES:
        moved = replace(job.spec, ingredients_on=place, second=Surface(A7, "", None))
        yield LabelChange(describe_list_places((place,)), with_spec(job, moved), place)


def describe_list_places(places: tuple[str, ...]) -> Said:
    """The words for a list that moves."""
    return Said(
        "put the ingredient list on a {places} ([back] ingredients_on = {values}), with a trim of"
        " its own under {tables}",
        places=FactList((Term("panel", place) for place in places), "or"),
        values=FactList((f'"{place}"' for place in places), "or"),
        tables=FactList((f"[{place}]" for place in places), "or"),
    )


def without_element(job: Job, panel: str, element: str) -> Job:
    """The same label with an element left off one panel."""
    side = job.spec.front if panel == "front" else job.spec.back
    left_out = ("ingredients", "ingredients-heading") if element == "ingredients" else (element,)
    side = replace(side, leave_out=(*side.leave_out, *left_out))
    if panel == "front":
        return with_spec(job, replace(job.spec, front=side))
    return with_spec(job, replace(job.spec, back=side))


def without_guest(job: Job, name: str) -> Job:
    return with_guests(job, tuple(n for n in job.spec.event.guest_names if n != name))


def with_guests(job: Job, names: tuple[str, ...]) -> Job:
    """The same label with only these guests."""
    spec = job.spec
    return with_spec(job, replace(spec, event=replace(spec.event, guest_names=names)))


def with_spec(job: Job, spec: LabelSpec) -> Job:
    facts = replace(job.facts, ingredients_on=spec.ingredients_on)
    return replace(job, facts=facts).with_order(spec=spec)


# -- what is tried ---------------------------------------------------------------------------------


def try_ways_out(job: Job, error: NoRoomError) -> tuple[Said, ...]:
    """The ways out that help a label whose panel does not fit, each with what it gains.

    None breaks a rule that the label's words do not break whatever its size. What is taller by more
    than any trim is tried for is a slip in the order or the layout: nothing is tried.
    """
    if MOST_MORE_MM < error.over_mm < math.inf:
        return ()
    always = frozenset(finding.rule for finding in list_lasting_failures(job))
    return (
        *_try_larger_trims(job, error.panel, always),
        *_try_changes(job, error, always),
        *_try_other_layouts(job, error.panel, always),
    )


def _try_larger_trims(job: Job, panel: str, always: frozenset[str]) -> Iterator[Said]:
    """The label a little wider, a little higher, or larger both ways."""
    trim = job.print_run(panel).trim
    most_mm = _largest_sides_mm(job, panel, trim)

    def larger(wide: bool, high: bool) -> Number | None:
        def legal(more_mm: float) -> bool:
            sides = trim.width_mm + more_mm * wide, trim.height_mm + more_mm * high
            if any(side > most for side, most in zip(sides, most_mm, strict=True)):
                return False
            grown = replace(trim, width_mm=sides[0], height_mm=sides[1])
            return _is_legal_label(_with_trim(job, panel, grown), panel, always)

        return _find_least_growth(legal)

    if trim.shape in EQUAL_SIDES:
        if more := larger(True, True):
            yield Said("a larger trim, {more} mm more each way", more=more)
        return
    if more := larger(True, False):
        yield Said("a larger trim, {more} mm wider", more=more)
    if more := larger(False, True):
        yield Said("a larger trim, {more} mm higher", more=more)


def _largest_sides_mm(job: Job, panel: str, trim: Trim) -> tuple[float, float]:
    """A label is no larger than the face of the piece that it is stuck on, unless it is already."""
    face = job.facts.face
    if panel in SURFACES or job.spec.product.label_is_tag:
        return MAX_TRIM_MM, MAX_TRIM_MM
    return max(trim.width_mm, float(face.width_mm)), max(trim.height_mm, float(face.height_mm))


def _find_least_growth(legal: Callable[[float], bool]) -> Number | None:
    """The least length, in steps, by which a trim has to grow; None where none helps."""
    low, high = 0, round(FIRST_MORE_MM / STEP_MM)
    while not legal(high * STEP_MM):
        low, high = high, 2 * high
        if high * STEP_MM > MOST_MORE_MM:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if legal(middle * STEP_MM) else (middle, high)
    return round_to_tenths(high * STEP_MM, ROUND_CEILING)


def _with_trim(job: Job, panel: str, trim: Trim) -> Job:
    """The same label with the trim that a panel is cut to changed."""
    spec = job.spec
    if panel in SURFACES and spec.second is not None:
        return job.with_order(spec=replace(spec, second=replace(spec.second, trim=trim)))
    return job.with_order(spec=replace(spec, trim=trim))


def _try_changes(job: Job, error: NoRoomError, always: frozenset[str]) -> Iterator[Said]:
    """Words left out, alone or together, straight sides, and the list elsewhere, where that helps
    and breaks no law."""
    helping: list[LabelChange] = []
    for change in _list_word_changes_of(job, error.panel):
        if told := _try_change(change, error, always):
            helping.append(change)
            yield told
    if not any(_has_panel_room(change.job, error.panel) for change in helping):
        yield from _try_together(job, error, always, [c.element for c in helping if c.element])
    for change in (*_list_straight_sides(job, error.panel), *list_ingredient_moves(job)):
        if told := _try_change(change, error, always):
            yield told


def _list_word_changes_of(job: Job, panel: str) -> Iterator[LabelChange]:
    if panel in SURFACES:
        return
    yield from list_word_changes(job, panel)
    if panel == "front":
        yield from list_guest_changes(job)


def _try_change(change: LabelChange, error: NoRoomError, always: frozenset[str]) -> Said | None:
    """A change with what it gains, where it is something and breaks no law."""
    gain = _describe_gain(change.job, error)
    if gain and {finding.rule for finding in list_lasting_failures(change.job)} <= always:
        return Said("{change}: {gain}", change=change.what, gain=gain)
    return None


def _try_together(
    job: Job, error: NoRoomError, always: frozenset[str], elements: list[str]
) -> Iterator[Said]:
    """The fewest of the elements that each gain something, in the order they are told, without
    which the panel fits."""
    panel = error.panel
    few = elements[:MOST_TOGETHER]
    for count in range(2, len(few) + 1):
        for together in combinations(few, count):
            changed = job
            for element in together:
                changed = without_element(changed, panel, element)
            what = Said(
                "leave out together: {elements} ([{panel}] leave_out = [{keys}])",
                elements=FactList(name_element(element) for element in together),
                panel=panel,
                keys=", ".join(f'"{element}"' for element in together),
            )
            change = LabelChange(what, changed)
            told = _try_change(change, error, always)
            if told and _has_panel_room(changed, panel):
                yield told
                return


def _list_straight_sides(job: Job, panel: str) -> Iterator[LabelChange]:
    """A label cut to size with corners where it has curves: they take a fifth of its face."""
    trim = job.spec.trim
    if panel in SURFACES or trim.shape in STRAIGHT or job.print_run(panel).stock.ready_cut:
        return
    shape = "square" if trim.shape == "round" else "rectangle"
    straight = replace(job.spec, trim=replace(trim, shape=shape))
    what = Said('the same size with straight sides ([label] shape = "{shape}")', shape=shape)
    yield LabelChange(what, with_spec(job, straight))


def _describe_gain(changed: Job, error: NoRoomError) -> Said | None:
    """What a change gains a panel that did not fit; None where it is nothing."""
    if _has_room(changed):
        return Said("then it fits")
    try:
        changed.panel_on(error.panel, changed.print_run(error.panel).trim)
    except NoRoomError as still:
        gained = error.over_mm - still.over_mm
        if not math.isfinite(gained) or gained < STEP_MM:
            return None
        return Said(
            "gains {gained} mm of the {over} mm that lack",
            gained=round_to_tenths(gained, ROUND_FLOOR),
            over=round_to_tenths(error.over_mm, ROUND_CEILING),
        )
    except LabelkitError:
        return None
    return Said("then the {panel} fits", panel=Term("panel", error.panel))


def _try_other_layouts(job: Job, panel: str, always: frozenset[str]) -> Iterator[Said]:
    """The other layouts that come with labelkit and hold the label as it is."""
    holding = [
        path.stem
        for path in sorted(resources.find_layouts_folder().glob("*.toml"))
        if path.stem != job.layout.name
        and _is_legal_label(job.with_order(layout=read_layout(path)), panel, always)
    ]
    if holding:
        yield Said("another layout: {layouts}", layouts=FactList(holding, "or"))


def _has_room(job: Job) -> bool:
    """Whether every panel and every guest's name fits, and the stock holds the labels.

    What a tag or card is printed on is not asked: it may have a stock of its own.
    """
    try:
        count_labels_per_sheet(job.stock, job.spec.trim, job.spec.bleed_mm)
        return bool(job.composed) and job.guest_runs is not None
    except LabelkitError:
        return False


def _has_panel_room(job: Job, panel: str) -> bool:
    """Whether one panel fits, whatever the others do."""
    try:
        job.panel_on(panel, job.print_run(panel).trim)
    except LabelkitError:
        return False
    return True


def _is_legal_label(job: Job, panel: str, always: frozenset[str]) -> bool:
    """Whether it fits and breaks no rule but those; the panel that did not fit is tried first, as
    where it still does not nothing else has to be composed."""
    if not (_has_panel_room(job, panel) and _has_room(job)):
        return False
    report = rules.judge_panels(job.panels, job.facts, job.regions, job.on)
    return {f.rule for f in report.findings if f.level is Level.FAIL} <= always


def list_lasting_failures(job: Job) -> tuple[Finding, ...]:
    """What fails on a trim with all the room in the world; nothing where even that does not fit."""
    trim, second = _enlarge_trim(job.spec.trim), job.spec.second
    try:
        panels = tuple(
            job.panel_on(name, second.trim if second and name in SURFACES else trim).panel
            for name in job.panel_names
        )
    except FitError:
        return ()
    report = rules.judge_panels(panels, job.facts, job.regions, job.on)
    return tuple(f for f in report.findings if f.level is Level.FAIL)


def _enlarge_trim(trim: Trim) -> Trim:
    share = min(ROOMY, MAX_TRIM_MM / max(trim.width_mm, trim.height_mm))
    return replace(trim, width_mm=trim.width_mm * share, height_mm=trim.height_mm * share)
