"""Compares what was composed with what the finished PDF says, label by label."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from labelkit.model.runs import Panel, Run, join_runs
from labelkit.pdf.read import FontUse, PageRead, PlacedPanel
from labelkit.pdf.write.draw import Page, SheetSide

PLACE_TOLERANCE_MM = 0.02
"""Half of a 600 dpi dot: nothing a printer could show."""
TRIM_TOLERANCE_MM = 0.01


def compare_pages(
    sides: Sequence[SheetSide],
    labels: Sequence[int],
    pages: Iterable[Page],
    read: Iterable[PageRead],
) -> Iterator[str]:
    """What is wrong with a finished file, in plain sentences, page by page; none as composed.

    That is also whether every label is there once, on its page and in its place.

    ``labels`` are the numbers of the labels each side has, in order. Nothing is kept of a page
    that was compared.
    """
    compared = [_PanelComparison(side.panel, side.own_runs) for side in sides]
    due = [iter(labels) for _ in sides]
    found = iter(read)
    number = 0
    for number, page in enumerate(pages, start=1):
        got = next(found, None)
        if got is None:
            yield f"page {number} is missing"
            return
        yield from _list_unembedded_fonts(got.fonts)
        if got.stray_text:
            yield f"page {number}: text outside any element: {got.stray_text!r}"
        yield from _compare_places(number, page, sides[page.side].panel.name, got.panels)
        for place in got.panels:
            if next(due[page.side], None) != place.label:
                yield f"page {number}: label {place.label + 1} is out of turn"
                return
            yield from compared[page.side].label(place)
    if next(found, None) is not None:
        yield f"there are more than {number} pages"
    for side, numbers in zip(sides, due, strict=True):
        missing = next(numbers, None)
        if missing is not None:
            yield f"{side.panel.name}: label {missing + 1} is missing"


def _list_unembedded_fonts(fonts: Iterable[FontUse]) -> Iterator[str]:
    for font in fonts:
        if not font.embedded:
            yield f"font {font.name} is not embedded"


def _compare_places(
    number: int, page: Page, name: str, found: tuple[PlacedPanel, ...]
) -> Iterator[str]:
    wanted = page.sheet.places
    if [place.index for place in wanted] != [place.label for place in found]:
        yield f"page {number} has {len(found)} labels that are not the {len(wanted)} it should have"
        return
    for place, got in zip(wanted, found, strict=True):
        if got.panel.name != name:
            yield f"page {number}: label {place.index + 1} is a {got.panel.name}, not a {name}"
        off = max(abs(place.x_mm - got.x_mm), abs(place.y_mm - got.y_mm))
        if off > PLACE_TOLERANCE_MM or place.turns != got.turns:
            yield f"page {number}: label {place.index + 1} stands {off:.3f} mm from its place"


class _PanelComparison:
    """Labels of one panel against its composition; what was found right once is not repeated."""

    def __init__(self, panel: Panel, own_runs: Callable[[int], Iterable[Run]]) -> None:
        self._panel = panel
        self._own_runs = own_runs
        self._right: tuple[Run, ...] | None = None
        """The common runs as read, once they were found to be as composed."""

    def label(self, place: PlacedPanel) -> Iterator[str]:
        found, common = place.panel.runs, self._panel.runs
        own = tuple(self._own_runs(place.label))
        who = f"label {place.label + 1}, {self._panel.name}"
        if len(found) != len(common) + len(own):
            yield f"{who}: {len(common) + len(own)} runs composed, {len(found)} found"
            return
        shared = found[: len(common)]
        # Runs of one form are the same objects on every label, which makes this a quick question.
        if shared != self._right:
            problems = list(self._runs(common, shared))
            yield from (f"{who}: {problem}" for problem in problems)
            self._right = self._right if problems else shared
        yield from (f"{who}: {problem}" for problem in self._runs(own, found[len(common) :]))

    def _runs(self, wanted: tuple[Run, ...], found: tuple[Run, ...]) -> Iterator[str]:
        for run, got in zip(wanted, found, strict=True):
            for problem in _compare_runs(run, got):
                yield f"{run.element} {join_runs([run])[:30]!r} {problem}"
            if not self._panel.trim.covers(got.ink, TRIM_TOLERANCE_MM):
                yield f"{run.element} {join_runs([run])[:30]!r} runs over the trim"


def _compare_runs(run: Run, found: Run) -> Iterator[str]:
    if (run.text, run.element, run.language) != (found.text, found.element, found.language):
        yield f"reads {found.text[:30]!r} ({found.element}, {found.language})"
    off = max(
        abs(run.x_mm - found.x_mm),
        abs(run.baseline_mm - found.baseline_mm),
        abs(run.advance_mm - found.advance_mm),
    )
    if off > PLACE_TOLERANCE_MM:
        yield f"stands {off:.3f} mm from where it was composed"
    for composed, read in (
        (run.letters.capital_mm, found.letters.capital_mm),
        (run.letters.small_o_mm, found.letters.small_o_mm),
        (run.letters.figure_mm, found.letters.figure_mm),
    ):
        if composed is not None and (read is None or abs(composed - read) > PLACE_TOLERANCE_MM):
            yield f"prints {read} mm high, composed at {composed:.3f} mm"
