"""Compares what was composed with what the finished PDF says, label by label."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal

from labelkit.common.messages import Number, Said, Term, Verbatim
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
) -> Iterator[Said]:
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
            yield Said("page {number} is missing", number=number)
            return
        yield from _list_unembedded_fonts(got.fonts)
        if got.stray_text:
            yield Said(
                "page {number}: text outside any element: {text}",
                number=number,
                text=Verbatim(got.stray_text),
            )
        yield from _compare_places(number, page, sides[page.side].panel.name, got.panels)
        for place in got.panels:
            if next(due[page.side], None) != place.label:
                yield Said(
                    "page {number}: label {label} is out of turn",
                    number=number,
                    label=place.label + 1,
                )
                return
            yield from compared[page.side].label(place)
    if next(found, None) is not None:
        yield Said("there are more than {number} pages", number=number)
    for side, numbers in zip(sides, due, strict=True):
        missing = next(numbers, None)
        if missing is not None:
            yield Said(
                "{panel}: label {missing} is missing",
                panel=Term("panel", side.panel.name),
                missing=missing + 1,
            )


def _list_unembedded_fonts(fonts: Iterable[FontUse]) -> Iterator[Said]:
    for font in fonts:
        if not font.embedded:
            yield Said("font {name} is not embedded", name=font.name)


def _compare_places(
    number: int, page: Page, name: str, found: tuple[PlacedPanel, ...]
) -> Iterator[Said]:
    wanted = page.sheet.places
    if [place.index for place in wanted] != [place.label for place in found]:
        yield Said(
            "page {number} has {found} labels that are not the {wanted} it should have",
            number=number,
            found=len(found),
            wanted=len(wanted),
        )
        return
    for place, got in zip(wanted, found, strict=True):
        if got.panel.name != name:
            yield Said(
                "page {number}: label {index} is a {found}, not a {wanted}",
                number=number,
                index=place.index + 1,
                found=Term("panel", got.panel.name),
                wanted=Term("panel", name),
            )
        off = max(abs(place.x_mm - got.x_mm), abs(place.y_mm - got.y_mm))
        if off > PLACE_TOLERANCE_MM or place.turns != got.turns:
            yield Said(
                "page {number}: label {index} stands {off} mm from its place",
                number=number,
                index=place.index + 1,
                off=Number(Decimal(off), 3),
            )


class _PanelComparison:
    """Labels of one panel against its composition; what was found right once is not repeated."""

    def __init__(self, panel: Panel, own_runs: Callable[[int], Iterable[Run]]) -> None:
        self._panel = panel
        self._own_runs = own_runs
        self._right: tuple[Run, ...] | None = None
        """The common runs as read, once they were found to be as composed."""

    def label(self, place: PlacedPanel) -> Iterator[Said]:
        found, common = place.panel.runs, self._panel.runs
        own = tuple(self._own_runs(place.label))
        who = {"label": place.label + 1, "panel": Term("panel", self._panel.name)}
        if len(found) != len(common) + len(own):
            yield Said(
                "label {label}, {panel}: {composed} runs composed, {found} found",
                composed=len(common) + len(own),
                found=len(found),
                **who,
            )
            return
        shared = found[: len(common)]
        problems: list[Said] = []
        # Runs of one form are the same objects on every label, which makes this a quick question.
        if shared != self._right:
            problems = list(self._runs(common, shared))
            self._right = self._right if problems else shared
        problems += self._runs(own, found[len(common) :])
        for problem in problems:
            yield Said("label {label}, {panel}: {problem}", problem=problem, **who)

    def _runs(self, wanted: tuple[Run, ...], found: tuple[Run, ...]) -> Iterator[Said]:
        for run, got in zip(wanted, found, strict=True):
            for problem in _compare_runs(run, got):
                yield Said(
                    "{part} {words} {problem}",
                    part=Term("part", run.element),
                    words=Verbatim(join_runs([run])[:30]),
                    problem=problem,
                )
            if not self._panel.trim.covers(got.ink, TRIM_TOLERANCE_MM):
                yield Said(
                    "{part} {words} runs over the trim",
                    part=Term("part", run.element),
                    words=Verbatim(join_runs([run])[:30]),
                )


def _compare_runs(run: Run, found: Run) -> Iterator[Said]:
    if (run.text, run.element, run.language) != (found.text, found.element, found.language):
        yield Said(
            "reads {text} ({element}, {language})",
            text=Verbatim(found.text[:30]),
            element=found.element,
            language=found.language,
        )
    off = max(
        abs(run.x_mm - found.x_mm),
        abs(run.baseline_mm - found.baseline_mm),
        abs(run.advance_mm - found.advance_mm),
    )
    if off > PLACE_TOLERANCE_MM:
        yield Said("stands {off} mm from where it was composed", off=Number(Decimal(off), 3))
    for composed, read in (
        (run.letters.capital_mm, found.letters.capital_mm),
        (run.letters.small_o_mm, found.letters.small_o_mm),
        (run.letters.figure_mm, found.letters.figure_mm),
    ):
        if composed is not None and (read is None or abs(composed - read) > PLACE_TOLERANCE_MM):
            yield Said(
                "prints {read} mm high, composed at {composed} mm",
                read=read,
                composed=Number(Decimal(composed), 3),
            )
