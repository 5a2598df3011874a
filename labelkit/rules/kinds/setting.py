"""How an element is set: weight, place on the panel, space around it, contrast."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said
from labelkit.model.path_segments import cut_into_segments
from labelkit.model.runs import NEUTRAL, Box, ElementText, Ornament, Panel, Run
from labelkit.order.inks import WHITE
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.floors import ElementFloor
from labelkit.rules.kinds.base import CheckKind, TextKind, to_square_inches
from labelkit.rules.kinds.presence import name_languages
from labelkit.rules.label import (
    Label,
    decimal_mm,
    format_number,
    has_figure,
    has_letter,
    is_all_capitals,
    name_element,
    name_panel,
    quote_words,
)
from labelkit.rules.rule import Problem, Rule

PIECE_MM = 0.5
"""How finely an ornament's strokes are looked at."""


@dataclass(frozen=True)
class BoldFace(TextKind):
    """The element, or only its figures, is set in a bold face."""

    weight: int
    """Smallest OS/2 weight class that counts as bold."""
    only_figures: bool = False

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        for run in text.runs:
            if run.weight < self.weight and self._concerns(run):
                yield Problem(
                    self._message(text.element, run),
                    Number(run.weight),
                    Number(self.weight),
                    Said("weight class"),
                )

    def _message(self, element: str, run: Run) -> Said:
        facts: dict[str, object] = {
            "words": quote_words(run.text),
            "what": name_element(element),
            "weight": Number(run.weight),
        }
        if self.only_figures:
            return Said(
                "The figures of {words} in the {what} are not bold (weight {weight})", **facts
            )
        return Said("{words} in the {what} is not bold (weight {weight})", **facts)

    def _concerns(self, run: Run) -> bool:
        return has_figure(run.text) or (not self.only_figures and has_letter(run.text))

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor:
        del facts, on_front
        return ElementFloor(bold=rule.level is Level.FAIL)


@dataclass(frozen=True)
class LowestPart(CheckKind):
    """The element stands wholly within the lowest part of its panel."""

    lowest_share: Decimal
    free_upto_sq_in: Decimal | None = None
    """A package face up to this area is free of it."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        if self._is_free(label.facts):
            return
        for panel in label.at(rule.panel):
            runs = [run for run in panel.runs if run.element == rule.element]
            top_mm = max((decimal_mm(run.ink.y1_mm) for run in runs), default=Decimal(0))
            height_mm = decimal_mm(panel.height_mm)
            if top_mm > height_mm * self.lowest_share + label.tolerance_mm:
                yield Problem(
                    Said(
                        "{what:cap} reaches {height} mm above the foot of the {panel};"
                        " it must stay in the lowest {share} %, {least} mm",
                        what=name_element(rule.element),
                        height=format_number(round(top_mm, 2)),
                        panel=name_panel(panel.name),
                        share=format_number(self.lowest_share * 100),
                        least=format_number(round(height_mm * self.lowest_share, 2)),
                    ),
                    format_number(round(top_mm / height_mm * 100, 1)),
                    format_number(self.lowest_share * 100),
                    "%",
                    panel=panel.name,
                )

    def _is_free(self, facts: Facts) -> bool:
        limit = self.free_upto_sq_in
        return limit is not None and to_square_inches(facts.face.area_cm2) <= limit

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor | None:
        del on_front
        if self._is_free(facts) or rule.level is not Level.FAIL:
            return None
        return ElementFloor(panel_part=(Decimal(0), self.lowest_share))


@dataclass(frozen=True)
class RelativeSize(TextKind):
    """The element is not too small beside the largest words on its panel."""

    least_share: Decimal

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        largest_mm = max(_measure_letters_mm(run) for run in panel.runs)
        own_mm = max(_measure_letters_mm(run) for run in text.runs)
        if not largest_mm:
            return  # nothing there has any height
        share = format_number(round(own_mm / largest_mm * 100, 0))
        if own_mm < largest_mm * self.least_share:
            yield Problem(
                Said(
                    "{words} is {share} % as tall as the largest words on the {panel}",
                    words=quote_words(text.text),
                    share=share,
                    panel=name_panel(panel.name),
                ),
                share,
                format_number(self.least_share * 100),
                "%",
            )


@dataclass(frozen=True)
class LetterShape(TextKind):
    """Letters are at most so many times as high as they are wide, by the capital N."""

    most: Decimal

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        for run in text.runs:
            high_mm = decimal_mm(run.letters.capital_mm or 0.0)
            wide_mm = decimal_mm(run.letters.n_width_mm or 0.0)
            if wide_mm and high_mm / wide_mm > self.most:
                times = format_number(round(high_mm / wide_mm, 2))
                yield Problem(
                    Said(
                        "The letters of {words} in the {what} are {times} times as high as wide",
                        words=quote_words(run.text),
                        what=name_element(text.element),
                        times=times,
                    ),
                    times,
                    format_number(self.most),
                )


@dataclass(frozen=True)
class ClearSpace(TextKind):
    """Nothing else is printed this close to the element.

    The distances are in millimetres, in heights of its own letters, or in widths of its own
    capital N. A face whose N is not known is taken to be ``n_width_of_capital`` heights wide.
    """

    sides_mm: Decimal = Decimal(0)
    edge_mm: Decimal = Decimal(0)
    """From the edge of the package face."""
    letter_heights: Decimal = Decimal(0)
    """Above and below."""
    n_widths: Decimal = Decimal(0)
    """Left and right."""
    n_width_of_capital: Decimal = Decimal(1)

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        box = _join_ink(text.runs)
        across_mm, along_mm = self._distances(text)
        for what, gap_mm, needed_mm in self._gaps(panel, text.element, box, across_mm, along_mm):
            if gap_mm < needed_mm - label.tolerance_mm:
                yield Problem(
                    Said(
                        "{other:cap} is {gap} mm from the {what}; {free} mm must be free",
                        other=what,
                        gap=format_number(round(gap_mm, 2)),
                        what=name_element(text.element),
                        free=format_number(round(needed_mm, 2)),
                    ),
                    format_number(round(gap_mm, 2)),
                    format_number(round(needed_mm, 2)),
                    "mm",
                )

    def _distances(self, text: ElementText) -> tuple[Decimal, Decimal]:
        """Free space wanted above and below, and left and right, in millimetres."""
        heights = [_measure_letters_mm(run) for run in text.runs]
        widths = [self._n_width_mm(run) for run in text.runs]
        return (
            max(self.sides_mm, self.letter_heights * max(heights)),
            max(self.sides_mm, self.n_widths * max(widths)),
        )

    def _n_width_mm(self, run: Run) -> Decimal:
        known = getattr(run.letters, "n_width_mm", None)
        if known is not None:
            return decimal_mm(known)
        return self.n_width_of_capital * decimal_mm(run.letters.capital_mm or run.ink.height_mm)

    def _gaps(
        self, panel: Panel, element: str, box: Box, across_mm: Decimal, along_mm: Decimal
    ) -> Iterator[tuple[str, Decimal, Decimal]]:
        for run in panel.runs:
            if run.element not in (element, "draft-mark") and run.text.strip():
                yield from _measure_gap(quote_words(run.text), box, run.ink, across_mm, along_mm)
        for ornament in panel.ornaments:
            if not _is_frame_around(ornament.box, box):
                pieces = _list_ornament_boxes(ornament, box.inset(-float(max(across_mm, along_mm))))
                gaps = [
                    gap
                    for p in pieces
                    for gap in _measure_gap_all_round(box, p, across_mm, along_mm)
                ]
                for gap_mm, needed_mm in sorted(gaps)[:1]:
                    yield Said("an ornament"), gap_mm, needed_mm
        for picture in panel.pictures:
            yield from _measure_gap(Said("a picture"), box, picture.box, across_mm, along_mm)
        if self.edge_mm:
            edges = (box.x0_mm, box.y0_mm, panel.width_mm - box.x1_mm, panel.height_mm - box.y1_mm)
            yield Said("the edge of the label"), decimal_mm(min(edges)), self.edge_mm

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor:
        del facts, on_front
        if rule.level is not Level.FAIL:
            return ElementFloor()
        sides = [(side, self.sides_mm) for side in ("above", "below", "beside") if self.sides_mm]
        edge = [("edge", self.edge_mm)] if self.edge_mm else []
        return ElementFloor(
            clear_mm=(*sides, *edge),
            clear_letter_heights=self.letter_heights,
            clear_n_widths=self.n_widths,
        )


@dataclass(frozen=True)
class TextContrast(TextKind):
    """Text stands out from its ground by this ratio of luminances (WCAG's definition)."""

    ratio: Decimal

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        for run in text.runs:
            found, ground = measure_contrast(run.colour, panel, label.facts)
            if found < self.ratio:
                yield Problem(
                    Said(
                        "{words} ({ink}) is hard to tell from its ground ({ground})",
                        words=quote_words(run.text),
                        ink=run.colour,
                        ground=ground,
                    ),
                    format_number(round(found, 2)),
                    format_number(self.ratio),
                    ": 1",
                )


@dataclass(frozen=True)
class Prominence(CheckKind):
    """Text in other languages is no larger, no bolder and no more in capitals than the same in the
    first language."""

    language: str
    elements: tuple[str, ...]

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for element in self.elements:
            for panel in label.at(rule.panel):
                texts = [text for found, text in label.texts(element) if found is panel]
                own = [t for t in texts if t.language.split("-")[0] == self.language]
                others = [t for t in texts if t not in own and t.language != NEUTRAL]
                for other in others if own else ():
                    for found in compare_prominence(other, own[0], label.tolerance_mm):
                        what, theirs, ours, unit = found
                        yield Problem(
                            Said(
                                what,
                                other=quote_words(other.text),
                                language=name_languages([self.language]),
                                words=quote_words(own[0].text),
                            ),
                            theirs,
                            ours,
                            unit,
                            panel=panel.name,
                            element=element,
                        )


LARGER = "{other} is set larger than the {language} {words}"
BOLDER = "{other} is set bolder than the {language} {words}"
IN_CAPITALS = "{other} is set in capitals, and the {language} {words} is not"


def compare_prominence(
    other: ElementText, own: ElementText, tolerance_mm: Decimal
) -> Iterator[tuple[str, str, str, str]]:
    """In what a text outdoes another: the sentence, both measures, and their unit."""
    theirs_mm, ours_mm = (
        max(decimal_mm(r.letters.capital_mm or 0) for r in t.runs) for t in (other, own)
    )
    if theirs_mm > ours_mm + tolerance_mm:
        yield LARGER, format_number(round(theirs_mm, 2)), format_number(round(ours_mm, 2)), "mm"
    heavy, ours = (max(run.weight for run in t.runs) for t in (other, own))
    if heavy > ours:
        yield BOLDER, Number(heavy), Number(ours), Said("weight class")
    if is_all_capitals(other.text) and not is_all_capitals(own.text):
        yield IN_CAPITALS, Said("capitals"), Said("the same case in both"), ""


def measure_contrast(ink: str, panel: Panel, facts: Facts) -> tuple[Decimal, str]:
    """How an ink stands out from what it is printed on, as a ratio, and that ground.

    On stock that is not white, and on what shows through clear stock, an ink only takes light away.
    It does so beside a tint, not on it: letters are left out of a tint. White ink of a printing
    works covers what it is on, and so does an ink with white under it; where a ground is printed,
    white is what is left bare of it.
    """
    ground, stock = _find_grounds(panel, facts)
    white = ink == WHITE and ground == stock
    covers = white or ink in facts.covering_inks
    return contrast_ratio(ink if covers else mix_colours(ink, stock), ground), ground


def _find_grounds(panel: Panel, facts: Facts) -> tuple[str, str]:
    """What is behind the text, and the same without any ink."""
    if facts.clear_on(panel.name) and facts.soap_colour and not facts.white_under:
        return facts.soap_colour, facts.soap_colour
    return panel.background or WHITE, panel.stock_colour or WHITE


@lru_cache(maxsize=256)
def mix_colours(ink: str, ground: str) -> str:
    """The colour of a transparent ink on a coloured ground: the light both let through."""
    channels = (int(ink[i : i + 2], 16) * int(ground[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return "#" + "".join(f"{round(channel):02x}" for channel in channels)


@lru_cache(maxsize=256)
def contrast_ratio(one: str, other: str) -> Decimal:
    """The contrast ratio of two #rrggbb colours, 1 to 21 (WCAG 2.2, from memory)."""
    light, dark = sorted((_relative_luminance(one), _relative_luminance(other)), reverse=True)
    return Decimal(repr(round((light + 0.05) / (dark + 0.05), 6)))


def _relative_luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (IEC 61966-2-1's curve)."""
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _join_ink(runs: tuple[Run, ...]) -> Box:
    box = runs[0].ink
    for run in runs[1:]:
        box = box.union(run.ink)
    return box


def _measure_letters_mm(run: Run) -> Decimal:
    """The height of a run's lettering: its capital, or what its ink shows."""
    return decimal_mm(run.letters.capital_mm or run.ink.height_mm)


def _measure_gap(
    what: str, box: Box, other: Box, across_mm: Decimal, along_mm: Decimal
) -> Iterator[tuple[str, Decimal, Decimal]]:
    """The free space between two boxes along the one axis on which they face each other."""
    dx = max(other.x0_mm - box.x1_mm, box.x0_mm - other.x1_mm)
    dy = max(other.y0_mm - box.y1_mm, box.y0_mm - other.y1_mm)
    if dx <= 0 and across_mm:  # above or below it
        yield what, decimal_mm(max(dy, 0.0)), across_mm
    elif dy <= 0 and along_mm:
        yield what, decimal_mm(max(dx, 0.0)), along_mm


def _measure_gap_all_round(
    box: Box, piece: Box, across_mm: Decimal, along_mm: Decimal
) -> Iterator[tuple[Decimal, Decimal]]:
    """The free space between a box and a piece of an ornament.

    Where the same is wanted on all sides it is wanted at the corners too: a stroke may end just
    before it faces the box.
    """
    for _, gap_mm, needed_mm in _measure_gap("", box, piece, across_mm, along_mm):
        yield gap_mm, needed_mm
    dx = max(piece.x0_mm - box.x1_mm, box.x0_mm - piece.x1_mm)
    dy = max(piece.y0_mm - box.y1_mm, box.y0_mm - piece.y1_mm)
    if dx > 0 and dy > 0 and across_mm == along_mm:
        yield decimal_mm(math.hypot(dx, dy)), across_mm


def _list_ornament_boxes(ornament: Ornament, near: Box) -> list[Box]:
    """An ornament's box, or those of its strokes where that is near: a bracket round a corner is
    not as near as its box."""
    if not near.meets(ornament.box):
        return [ornament.box]
    half = (ornament.stroke_mm or 0.0) / 2
    strokes = [
        Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)).inset(-half)
        for (x0, y0), (x1, y1) in cut_into_segments(ornament.path, PIECE_MM)
    ]
    return strokes or [ornament.box]


def _is_frame_around(outer: Box, inner: Box) -> bool:
    """Whether an ornament is a frame around the panel's text, whose box says nothing of its ink."""
    return outer.covers(inner)
