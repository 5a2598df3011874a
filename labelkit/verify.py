"""Compares what was composed with what the finished PDF says, label by label."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from labelkit.readback import PlacedPanel, Readback
from labelkit.runs import Panel, Run, joined

PLACE_TOLERANCE_MM = 0.02
"""Half of a 600 dpi dot: nothing a printer could show."""
TRIM_TOLERANCE_MM = 0.01


def differences(
    panel: Panel,
    own_runs: Callable[[int], Iterable[Run]],
    count: int,
    found: Readback,
) -> list[str]:
    """What is wrong with a finished file, in plain sentences; empty when it is as composed."""
    return [
        *_unembedded(found),
        *_count(count, found.panels),
        *(f"text outside any element: {text!r}" for text in found.stray_text),
        *_labels(panel, own_runs, found.panels),
    ]


def _unembedded(found: Readback) -> Iterator[str]:
    for font in found.fonts:
        if not font.embedded:
            yield f"font {font.name} is not embedded"


def _count(count: int, panels: tuple[PlacedPanel, ...]) -> Iterator[str]:
    numbers = sorted(panel.label for panel in panels)
    if numbers != list(range(count)):
        missing = sorted(set(range(count)) - set(numbers))
        yield f"expected labels 1 to {count} once each; found {len(numbers)}, missing {missing[:5]}"


def _labels(
    panel: Panel, own_runs: Callable[[int], Iterable[Run]], placed: tuple[PlacedPanel, ...]
) -> Iterator[str]:
    seen: set[tuple[Run, ...]] = set()
    for place in placed:
        runs = place.panel.runs
        own = tuple(own_runs(place.label))
        if not own and runs in seen:
            continue  # drawn from the same form, already compared
        if not own:
            seen.add(runs)
        for problem in _runs((*panel.runs, *own), place.panel):
            yield f"label {place.label + 1}, {panel.name}: {problem}"


def _runs(wanted: tuple[Run, ...], panel: Panel) -> Iterator[str]:
    if len(wanted) != len(panel.runs):
        yield f"{len(wanted)} runs composed, {len(panel.runs)} found"
        return
    for run, found in zip(wanted, panel.runs, strict=True):
        name = f"{run.element} {joined([run])[:30]!r}"
        if (run.text, run.element, run.language) != (found.text, found.element, found.language):
            yield f"{name} reads {found.text[:30]!r} ({found.element}, {found.language})"
        off = max(
            abs(run.x_mm - found.x_mm),
            abs(run.baseline_mm - found.baseline_mm),
            abs(run.advance_mm - found.advance_mm),
        )
        if off > PLACE_TOLERANCE_MM:
            yield f"{name} stands {off:.3f} mm from where it was composed"
        heights = zip(
            (run.letters.capital_mm, run.letters.small_o_mm, run.letters.figure_mm),
            (found.letters.capital_mm, found.letters.small_o_mm, found.letters.figure_mm),
            strict=True,
        )
        for composed, read in heights:
            if composed is not None and (read is None or abs(composed - read) > PLACE_TOLERANCE_MM):
                yield f"{name} prints {read} mm high, composed at {composed:.3f} mm"
        if not panel.trim.covers(found.ink, TRIM_TOLERANCE_MM):
            yield f"{name} runs over the trim"
