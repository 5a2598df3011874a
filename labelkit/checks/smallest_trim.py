"""The smallest legal trim of a label in its layout, what decides it, and what would help.

Sizes are found by halving: every trim tried is composed and judged as it would be printed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from labelkit import rules
from labelkit.checks.remedies import (
    ROOMY,
    STEP_MM,
    Change,
    failing_anyway,
    guest_changes,
    list_changes,
    list_on,
    tried_ways,
    with_guests,
    without_element,
    without_guest,
    word_changes,
)
from labelkit.common.errors import FitError, NoRoomError
from labelkit.compose import Composed, fitted_guests, widest_guests
from labelkit.compose.element_words import wordings
from labelkit.compose.job import Job, found_on_list
from labelkit.impose import labels_per_sheet
from labelkit.order.fields import SURFACES
from labelkit.order.label import MAX_TRIM_MM, MIN_TRIM_MM, Trim
from labelkit.order.stock import Stock
from labelkit.rules.findings import Finding, Level

MOST_GUESTS = 8
"""So many of the widest guests' names are tried on every trim: narrower ones fit where these do."""
LEAST_GAIN_MM = 0.3
"""A way out is worth telling when it takes this much off the longer side."""
MOST_WAYS = 6


@dataclass(frozen=True, slots=True)
class WayOut:
    """A change that would allow a smaller trim."""

    what: str
    trim: Trim
    place: str = ""
    """Where it puts the ingredient list, if that is what it does."""


@dataclass(frozen=True, slots=True)
class Smallest:
    """What was found of a label in its layout and regions."""

    trim: Trim | None
    """In the proportions of the label's own trim; None where no trim up to 400 mm is legal."""
    lowest: Trim | None
    """At the width of the label's own trim; None where that width allows none."""
    panel: str = ""
    """The panel that decides."""
    element: str = ""
    """The element on it that takes most room, or "" where none stands out."""
    guest: str = ""
    """The guest whose name decides, where one does."""
    without: Trim | None = None
    """What the trim could be if that element, or that guest's name, were not there."""
    ways: tuple[WayOut, ...] = ()
    always: tuple[Finding, ...] = ()
    """What fails whatever the size."""


def smallest(job: Job) -> Smallest:
    """The smallest legal trims of a label, and what decides them.

    FitError where a tag or card does not fit the trim of its own, which stays as it is.
    """
    job = _with_widest_guests(job)
    if job.spec.second is not None:
        _panel_on(job, job.spec.ingredients_on, job.spec.trim)
    failing = failing_anyway(job)
    always = frozenset(f.rule for f in failing)
    own = job.spec.trim

    def legal(trim: Trim) -> bool:
        return is_legal(job, trim, always)

    trim = _least(legal, lambda share: _resized(own, share, share), own.width_mm)
    lowest = None
    if own.shape not in ("round", "square"):
        lowest = _least(legal, lambda share: _resized(own, 1.0, share), own.height_mm)
    if trim is None:
        return Smallest(None, lowest, always=failing)
    panel, guest = _tightest(job, trim)
    if guest:
        element, without = "guest", _least_fitting(without_guest(job, guest), panel, trim)
    else:
        element, without = _deciding(job, panel, trim)
    ways = tuple(_ways_out(job, trim, always))
    return Smallest(trim, lowest, panel, element, guest, without, ways, failing)


def on_stock(job: Job, stock: Stock) -> FitError | tuple[Finding, ...] | None:
    """Why a label cannot be legal on a stock, or None where it can.

    What cannot be fitted is a FitError; what the rules then find is a tuple of failing findings.
    Ready-cut labels give the trim; a sheet or roll that is cut to size takes the label's own.
    """
    trim = job.spec.trim
    if stock.ready_cut:
        trim = Trim(stock.die_width_mm, stock.die_height_mm, stock.shape, stock.corner_mm)
    try:
        labels_per_sheet(stock, trim, 0.0 if stock.ready_cut else job.spec.bleed_mm)
        failing = _failing(_with_widest_guests(job), trim)
    except NoRoomError as error:
        there = job.with_order(spec=replace(job.spec, trim=trim), stock=stock)
        return replace(error, ways_out=tried_ways(there, error) or error.ways_out)
    except FitError as error:
        return found_on_list(error, job.spec.event)
    return failing or None


def is_legal(job: Job, trim: Trim, always: frozenset[str] = frozenset()) -> bool:
    """Whether a label fits a trim and breaks no rule there but those that it breaks ``always``."""
    try:
        return all(finding.rule in always for finding in _failing(job, trim))
    except FitError:
        return False


def _failing(job: Job, trim: Trim) -> tuple[Finding, ...]:
    """The failing findings of a label on a trim; FitError where it does not fit."""
    panels = tuple(composed.panel for composed in _composed(job, trim))
    report = rules.judge(panels, job.facts, job.regions, job.on)
    return tuple(f for f in report.findings if f.level is Level.FAIL)


def _composed(job: Job, trim: Trim) -> Iterator[Composed]:
    """Every panel on a trim; a tag or card too where it has no trim of its own."""
    for name in job.panel_names:
        yield _with_guests_set(job, _panel_on(job, name, trim))


def _panel_on(job: Job, name: str, trim: Trim) -> Composed:
    second = job.spec.second
    return job.panel_on(name, second.trim if second and name in SURFACES else trim)


def _with_guests_set(job: Job, composed: Composed) -> Composed:
    """The panel as it is; FitError where a guest's name does not go on its line."""
    if composed.guest is not None:
        fitted_guests(composed.guest, job.spec.event.guest_names)
    return composed


def _with_widest_guests(job: Job) -> Job:
    """The same label with only those guests whose names need most room, the widest first."""
    names = job.spec.event.guest_names
    if not names:
        return job
    for share in (1.0, ROOMY):
        try:
            place = job.panel_on("front", _resized(job.spec.trim, share, share)).guest
        except FitError:
            continue
        return with_guests(job, widest_guests(place, names, MOST_GUESTS) if place else ())
    return job


# -- halving ---------------------------------------------------------------------------------------


def _resized(trim: Trim, across: float, up: float) -> Trim:
    """A trim stretched by two factors, its corners kept where they still fit."""
    width, height = round(trim.width_mm * across, 3), round(trim.height_mm * up, 3)
    return replace(
        trim,
        width_mm=width,
        height_mm=height,
        corner_mm=min(trim.corner_mm, min(width, height) / 2),
    )


def _least(
    legal: Callable[[Trim], bool], sized: Callable[[float], Trim], side_mm: float
) -> Trim | None:
    """The smallest legal of the trims that ``sized`` makes of a share of ``side_mm``."""
    high = _first_legal(legal, sized)
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


def _first_legal(legal: Callable[[Trim], bool], sized: Callable[[float], Trim]) -> float | None:
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


def _tightest(job: Job, trim: Trim) -> tuple[str, str]:
    """The panel that does not fit a trim one step smaller, and the guest whose name does not."""
    share = 1 - 2 * STEP_MM / max(trim.width_mm, trim.height_mm)
    smaller = _resized(trim, share, share)
    for name in job.panel_names:
        try:
            composed = _panel_on(job, name, smaller)
        except FitError:
            return name, ""
        if not _holds(job, composed):
            return name, job.spec.event.guest_names[0]
    return "", ""


def _holds(job: Job, composed: Composed) -> bool:
    try:
        _with_guests_set(job, composed)
    except FitError:
        return False
    return True


def _least_fitting(job: Job, panel: str, trim: Trim) -> Trim | None:
    """The smallest trim in these proportions that holds a panel, whatever the law says of it."""

    def fits(tried: Trim) -> bool:
        try:
            return _holds(job, job.panel_on(panel, tried))
        except FitError:
            return False

    return _least(fits, lambda share: _resized(trim, share, share), trim.width_mm)


def _deciding(job: Job, panel: str, trim: Trim) -> tuple[str, Trim | None]:
    """The element without which that panel could be smallest, and how small."""
    if panel not in ("front", "back"):
        return "", None
    best: tuple[str, Trim] | None = None
    present = set(wordings(job.spec, job.declaration, panel))
    drawn = {block.element for block in job.layout.panel(panel).blocks}
    for element in sorted(present & drawn):
        found = _least_fitting(without_element(job, panel, element), panel, trim)
        if found is not None and (best is None or found.width_mm < best[1].width_mm):
            best = (element, found)
    return best or ("", None)


def _ways_out(job: Job, trim: Trim, always: frozenset[str]) -> Iterator[WayOut]:
    """Changes that would allow a smaller legal trim, the most useful first."""
    found: list[WayOut] = []
    for change in _changes(job):

        def legal(tried: Trim, other: Job = change.job) -> bool:
            return is_legal(other, tried, always)

        # Only what is legal on this trim already can be legal on a smaller one.
        if not legal(trim):
            continue
        least = _least(legal, lambda share: _resized(trim, share, share), trim.width_mm)
        if least is not None and _longer(trim) - _longer(least) >= LEAST_GAIN_MM:
            found.append(WayOut(change.what, least, change.place))
    yield from sorted(_merged(found), key=lambda way: _longer(way.trim))[:MOST_WAYS]


def _merged(ways: list[WayOut]) -> list[WayOut]:
    """The ways, those places for the list that allow the same trim told as one."""
    places: dict[Trim, list[WayOut]] = {}
    for way in ways:
        if way.place:
            places.setdefault(way.trim, []).append(way)
    listed = [
        WayOut(list_on(tuple(way.place for way in same)), trim, same[0].place)
        for trim, same in places.items()
    ]
    return [*(way for way in ways if not way.place), *listed]


def _longer(trim: Trim) -> float:
    return max(trim.width_mm, trim.height_mm)


def _changes(job: Job) -> Iterator[Change]:
    """What would be changed, and the label so changed."""
    for panel in ("front", "back"):
        yield from word_changes(job, panel)
    yield from guest_changes(job)
    yield from list_changes(job)
