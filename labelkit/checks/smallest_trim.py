"""The smallest legal trim of a label in its layout, what decides it, and what would help.

Sizes are found by halving: every trim tried is composed and judged as it would be printed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

from labelkit import rules
from labelkit.checks.craft import measure_elements_mm
from labelkit.checks.remedies import (
    ROOMY,
    STEP_MM,
    LabelChange,
    describe_list_places,
    list_guest_changes,
    list_ingredient_moves,
    list_lasting_failures,
    list_word_changes,
    try_ways_out,
    with_guests,
    without_element,
    without_guest,
)
from labelkit.common.errors import FitError, NoRoomError
from labelkit.common.frozen import dataclass
from labelkit.compose import ComposedPanel, find_widest_guests, fit_all_guests
from labelkit.compose.element_words import make_panel_wordings
from labelkit.compose.job import Job, locate_on_guest_list
from labelkit.impose import count_labels_per_sheet
from labelkit.order.fields import SURFACES
from labelkit.order.label import MAX_TRIM_MM, MIN_TRIM_MM, Trim
from labelkit.order.layout import READABLE_MM
from labelkit.order.stock import Stock
from labelkit.rules.findings import Finding, Level

MOST_GUESTS = 8
"""So many of the widest guests' names are tried on every trim: narrower ones fit where these do."""
LEAST_GAIN_MM = 0.3
"""A way out is worth telling when it takes this much off the longer side."""
MOST_WAYS = 6


@dataclass(frozen=True, slots=True)
class TrimWayOut:
    """A change that would allow a smaller trim."""

    what: str
    trim: Trim
    place: str = ""
    """Where it puts the ingredient list, if that is what it does."""


@dataclass(frozen=True, slots=True)
class SmallestTrims:
    """What was found of a label in its layout and regions."""

    trim: Trim | None
    """In the proportions of the label's own trim; None where no trim up to 400 mm is legal."""
    lowest: Trim | None
    """At the width of the label's own trim; None where that width allows none."""
    readable: Trim | None = None
    """In the same proportions, where every letter prints tall enough to be read at a glance."""
    panel: str = ""
    """The panel that decides."""
    element: str = ""
    """The element on it that takes most room, or "" where none stands out."""
    guest: str = ""
    """The guest whose name decides, where one does."""
    without: Trim | None = None
    """What the trim could be if that element, or that guest's name, were not there."""
    ways: tuple[TrimWayOut, ...] = ()
    always: tuple[Finding, ...] = ()
    """What fails whatever the size."""


def find_smallest_trims(job: Job) -> SmallestTrims:
    """The smallest legal trims of a label, and what decides them.

    FitError where a tag or card does not fit the trim of its own, which stays as it is.
    """
    job = _keep_widest_guests(job)
    if job.spec.second is not None:
        _compose_panel_on(job, job.spec.ingredients_on, job.spec.trim)
    failing = list_lasting_failures(job)
    always = frozenset(f.rule for f in failing)
    own = job.spec.trim

    def legal(trim: Trim) -> bool:
        return is_legal_trim(job, trim, always)

    trim = _find_least_trim(legal, lambda share: _resize_trim(own, share, share), own.width_mm)
    lowest = None
    if own.shape not in ("round", "square"):
        lowest = _find_least_trim(legal, lambda share: _resize_trim(own, 1.0, share), own.height_mm)
    if trim is None:
        return SmallestTrims(None, lowest, always=failing)

    def readable(tried: Trim) -> bool:
        return _has_readable_letters(job, tried) and is_legal_trim(job, tried, always)

    larger = trim
    read = _find_least_trim(
        readable, lambda share: _resize_trim(larger, share, share), trim.width_mm
    )
    panel, guest = _find_tightest_panel(job, trim)
    if guest:
        element, without = "guest", _find_fitting_trim(without_guest(job, guest), panel, trim)
    else:
        element, without = _find_deciding_element(job, panel, trim)
    ways = tuple(_list_ways_out(job, trim, always))
    return SmallestTrims(trim, lowest, read, panel, element, guest, without, ways, failing)


def find_smallest_trim(job: Job) -> Trim | None:
    """The smallest legal trim in the label's own proportions alone; None where there is none."""
    job = _keep_widest_guests(job)
    always = frozenset(f.rule for f in list_lasting_failures(job))
    own = job.spec.trim
    return _find_least_trim(
        lambda trim: is_legal_trim(job, trim, always),
        lambda share: _resize_trim(own, share, share),
        own.width_mm,
    )


def find_stock_problem(job: Job, stock: Stock) -> FitError | tuple[Finding, ...] | None:
    """Why a label cannot be legal on a stock, or None where it can.

    What cannot be fitted is a FitError; what the rules then find is a tuple of failing findings.
    Ready-cut labels give the trim; a sheet or roll that is cut to size takes the label's own.
    """
    trim = job.spec.trim
    if stock.ready_cut:
        trim = Trim(stock.die_width_mm, stock.die_height_mm, stock.shape, stock.corner_mm)
    try:
        count_labels_per_sheet(stock, trim, 0.0 if stock.ready_cut else job.spec.bleed_mm)
        failing = _list_failures(_keep_widest_guests(job), trim)
    except NoRoomError as error:
        there = job.with_order(spec=replace(job.spec, trim=trim), stock=stock)
        return replace(error, ways_out=try_ways_out(there, error) or error.ways_out)
    except FitError as error:
        return locate_on_guest_list(error, job.spec.event)
    return failing or None


def is_legal_trim(job: Job, trim: Trim, always: frozenset[str] = frozenset()) -> bool:
    """Whether a label fits a trim and breaks no rule there but those that it breaks ``always``."""
    try:
        return all(finding.rule in always for finding in _list_failures(job, trim))
    except FitError:
        return False


def _has_readable_letters(job: Job, trim: Trim) -> bool:
    """Whether no letter on a trim prints smaller than READABLE_MM."""
    least = Decimal(repr(READABLE_MM))
    try:
        panels = [composed.panel for composed in _compose_panels(job, trim)]
    except FitError:
        return False
    return all(
        height >= least for panel in panels for height in measure_elements_mm(panel).values()
    )


def _list_failures(job: Job, trim: Trim) -> tuple[Finding, ...]:
    """The failing findings of a label on a trim; FitError where it does not fit."""
    panels = tuple(composed.panel for composed in _compose_panels(job, trim))
    report = rules.judge_panels(panels, job.facts, job.regions, job.on)
    return tuple(f for f in report.findings if f.level is Level.FAIL)


def _compose_panels(job: Job, trim: Trim) -> Iterator[ComposedPanel]:
    """Every panel on a trim; a tag or card too where it has no trim of its own."""
    for name in job.panel_names:
        yield _require_guests_fit(job, _compose_panel_on(job, name, trim))


def _compose_panel_on(job: Job, name: str, trim: Trim) -> ComposedPanel:
    second = job.spec.second
    return job.panel_on(name, second.trim if second and name in SURFACES else trim)


def _require_guests_fit(job: Job, composed: ComposedPanel) -> ComposedPanel:
    """The panel as it is; FitError where a guest's name does not go on its line."""
    if composed.guest is not None:
        fit_all_guests(composed.guest, job.spec.event.guest_names)
    return composed


def _keep_widest_guests(job: Job) -> Job:
    """The same label with only those guests whose names need most room, the widest first."""
    names = job.spec.event.guest_names
    if not names:
        return job
    for share in (1.0, ROOMY):
        try:
            place = job.panel_on("front", _resize_trim(job.spec.trim, share, share)).guest
        except FitError:
            continue
        return with_guests(job, find_widest_guests(place, names, MOST_GUESTS) if place else ())
    return job


# -- halving ---------------------------------------------------------------------------------------


def _resize_trim(trim: Trim, across: float, up: float) -> Trim:
    """A trim stretched by two factors, its corners kept where they still fit."""
    width, height = round(trim.width_mm * across, 3), round(trim.height_mm * up, 3)
    return replace(
        trim,
        width_mm=width,
        height_mm=height,
        corner_mm=min(trim.corner_mm, min(width, height) / 2),
    )


def _find_least_trim(
    legal: Callable[[Trim], bool], sized: Callable[[float], Trim], side_mm: float
) -> Trim | None:
    """The smallest legal of the trims that ``sized`` makes of a share of ``side_mm``."""
    high = _find_legal_share(legal, sized)
    if high is None:
        return None
    low = 0.0
    while (high - low) * side_mm > STEP_MM / 2:
        middle = (low + high) / 2
        trim = sized(middle)
        small = min(trim.width_mm, trim.height_mm) < MIN_TRIM_MM
        low, high = (low, middle) if not small and legal(trim) else (middle, high)
    # Rounded up to a whole step; where that is not legal by a hair, the next that is.
    steps = math.ceil(high * side_mm / STEP_MM - 1e-9)
    while steps * STEP_MM <= high * side_mm + 1.0:
        trim = sized(steps * STEP_MM / side_mm)
        if legal(trim):
            return trim
        steps += 1
    return sized(high)


def _find_legal_share(
    legal: Callable[[Trim], bool], sized: Callable[[float], Trim]
) -> float | None:
    """A share that is legal: the trim as it is, or the first that is large enough."""
    share = 1.0
    while True:
        trim = sized(share)
        if max(trim.width_mm, trim.height_mm) > MAX_TRIM_MM:
            return None
        if legal(trim):
            return share
        share *= 1.25


# -- what decides ----------------------------------------------------------------------------------


def _find_tightest_panel(job: Job, trim: Trim) -> tuple[str, str]:
    """The panel that does not fit a trim a little smaller, and the guest whose name does not.

    What fits a size need not fit all larger ones, since it may be set otherwise there.
    """
    for steps in (2, 3, 4):
        share = 1 - steps * STEP_MM / max(trim.width_mm, trim.height_mm)
        smaller = _resize_trim(trim, share, share)
        for name in job.panel_names:
            try:
                composed = _compose_panel_on(job, name, smaller)
            except FitError:
                return name, ""
            if not _fits_guests(job, composed):
                return name, job.spec.event.guest_names[0]
    return "", ""


def _fits_guests(job: Job, composed: ComposedPanel) -> bool:
    try:
        _require_guests_fit(job, composed)
    except FitError:
        return False
    return True


def _find_fitting_trim(job: Job, panel: str, trim: Trim) -> Trim | None:
    """The smallest trim in these proportions that holds a panel, whatever the law says of it."""

    def fits(tried: Trim) -> bool:
        try:
            return _fits_guests(job, job.panel_on(panel, tried))
        except FitError:
            return False

    return _find_least_trim(fits, lambda share: _resize_trim(trim, share, share), trim.width_mm)


def _find_deciding_element(job: Job, panel: str, trim: Trim) -> tuple[str, Trim | None]:
    """The element without which that panel could be smallest, and how small."""
    if panel not in ("front", "back"):
        return "", None
    best: tuple[str, Trim] | None = None
    present = set(make_panel_wordings(job.spec, job.declaration, panel))
    drawn = {block.element for block in job.layout.panel(panel).blocks}
    for element in sorted(present & drawn):
        found = _find_fitting_trim(without_element(job, panel, element), panel, trim)
        if found is not None and (best is None or found.width_mm < best[1].width_mm):
            best = (element, found)
    return best or ("", None)


def _list_ways_out(job: Job, trim: Trim, always: frozenset[str]) -> Iterator[TrimWayOut]:
    """Changes that would allow a smaller legal trim, the most useful first."""
    found: list[TrimWayOut] = []
    for change in _list_changes(job):

        def legal(tried: Trim, other: Job = change.job) -> bool:
            return is_legal_trim(other, tried, always)

        # Only what is legal on this trim already can be legal on a smaller one.
        if not legal(trim):
            continue
        least = _find_least_trim(
            legal, lambda share: _resize_trim(trim, share, share), trim.width_mm
        )
        if least is not None and _longer_side(trim) - _longer_side(least) >= LEAST_GAIN_MM:
            found.append(TrimWayOut(change.what, least, change.place))
    yield from sorted(_merge_ways_out(found), key=lambda way: _longer_side(way.trim))[:MOST_WAYS]


def _merge_ways_out(ways: list[TrimWayOut]) -> list[TrimWayOut]:
    """The ways, those places for the list that allow the same trim told as one."""
    places: dict[Trim, list[TrimWayOut]] = {}
    for way in ways:
        if way.place:
            places.setdefault(way.trim, []).append(way)
    listed = [
        TrimWayOut(describe_list_places(tuple(way.place for way in same)), trim, same[0].place)
        for trim, same in places.items()
    ]
    return [*(way for way in ways if not way.place), *listed]


def _longer_side(trim: Trim) -> float:
    return max(trim.width_mm, trim.height_mm)


def _list_changes(job: Job) -> Iterator[LabelChange]:
    """What would be changed, and the label so changed."""
    for panel in ("front", "back"):
        yield from list_word_changes(job, panel)
    yield from list_guest_changes(job)
    yield from list_ingredient_moves(job)
