"""How tall the letters print, against a minimum that goes by the package."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, Said, Term
from labelkit.common.quantity import MM_PER_INCH
from labelkit.model.runs import ElementText, Panel, Run
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.floors import ElementFloor, HeightFloor, LetterMeasure
from labelkit.rules.kinds.base import TextKind, to_square_inches
from labelkit.rules.label import (
    Label,
    decimal_mm,
    format_number,
    has_figure,
    has_letter,
    is_all_capitals,
    name_element,
    quote_words,
)
from labelkit.rules.rule import Problem, Rule

CAPITALS, FIGURES = Term("letters", "capitals"), Term("letters", "figures")
SMALL_LETTERS = Term("letters", "small letters (the “o”)")
FRACTION = Term("letters", "figures of the fraction")
"""What is measured, in the words of a message."""


class SizeBasis(StrEnum):
    """What a table of minimum heights goes by."""

    NOTHING = "nothing"
    FACE_CM2 = "face-cm2"
    FACE_SQ_IN = "face-sq-in"
    SURFACE_SQ_IN = "surface-sq-in"
    WEIGHT_G = "weight-g"
    LONGEST_SIDE_MM = "longest-side-mm"


@dataclass(frozen=True, slots=True)
class HeightBand:
    """One line of a table: the minimum up to and including a size, or strictly below it."""

    least: Decimal
    upto: Decimal | None = None
    below: Decimal | None = None

    def holds(self, size: Decimal) -> bool:
        if self.below is not None:
            return size < self.below
        return self.upto is None or size <= self.upto


@dataclass(frozen=True, slots=True)
class SmallFaceRelief:
    """A smaller minimum for a small face that carries all of these elements itself."""

    upto_cm2: Decimal
    least: Decimal
    all_on_front: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MeasuredLetters:
    """One run's letters against their minimum; a height of None: the face has no such letter."""

    run: Run
    height_mm: float | None
    least_mm: Decimal
    letters: Term

    @property
    def shortfall_mm(self) -> Decimal:
        return Decimal(0) if self.height_mm is None else self.least_mm - decimal_mm(self.height_mm)


@dataclass(frozen=True)
class LetterHeight(TextKind):
    """The letters measured are at least as tall as the band for this package asks."""

    measure: LetterMeasure
    bands: tuple[HeightBand, ...]
    by: SizeBasis = SizeBasis.NOTHING
    unit: str = "mm"
    """"mm" or "in": what the bands' ``least`` is in."""
    relief: SmallFaceRelief | None = None
    fraction_share: Decimal | None = None
    """Figures of a vulgar fraction may be this share of the minimum."""

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        least_mm = self.least_mm(label.facts, label.on_front)
        measured = list(self._measured(text, least_mm))
        unknown = [m.run for m in measured if m.height_mm is None]
        if unknown:
            yield Problem(
                Said(
                    "Letters of the {what} could not be measured in the face {face}",
                    what=name_element(text.element),
                    face=unknown[0].face,
                ),
                required=format_number(least_mm),
                unit="mm",
                at_most=Level.WARN,
            )
        short = [m for m in measured if m.shortfall_mm > label.tolerance_mm]
        if short:
            worst = max(short, key=lambda m: m.shortfall_mm)
            height = format_number(round(decimal_mm(worst.height_mm or 0), 3))
            yield Problem(
                Said(
                    "The {letters} of {words} print {height} mm tall;"
                    " {least} mm is the least{reason}",
                    letters=worst.letters,
                    words=quote_words(worst.run.text),
                    height=height,
                    least=format_number(worst.least_mm),
                    reason=self._reason(label.facts),
                ),
                height,
                format_number(worst.least_mm),
                "mm",
            )

    def _measured(self, text: ElementText, least_mm: Decimal) -> Iterator[MeasuredLetters]:
        capitals = is_all_capitals(text.text)
        share = self.fraction_share if self.fraction_share and has_fraction(text.text) else None
        for run in text.runs:
            letters = run.letters
            if self.measure is LetterMeasure.FIGURE or not has_letter(run.text):
                if has_figure(run.text):
                    yield MeasuredLetters(run, letters.figure_mm, least_mm, FIGURES)
            elif self.measure is LetterMeasure.CAPITAL or (
                self.measure is LetterMeasure.CAPITAL_OR_SMALL_O and capitals
            ):
                yield MeasuredLetters(run, letters.capital_mm, least_mm, CAPITALS)
            else:
                yield MeasuredLetters(run, letters.small_o_mm, least_mm, SMALL_LETTERS)
            if share is not None and has_figure(run.text):
                yield MeasuredLetters(run, letters.figure_mm, least_mm * share, FRACTION)

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor:
        legal = rule.level is Level.FAIL
        least_mm = self.least_mm(facts, on_front)
        return ElementFloor((HeightFloor(least_mm, self.measure, rule.id, legal),))

    def least_mm(self, facts: Facts, on_front: frozenset[str]) -> Decimal:
        """The minimum for this package in millimetres."""
        least = self._banded(facts)
        relief = self.relief
        if relief and facts.face.area_cm2 <= relief.upto_cm2 and on_front >= {*relief.all_on_front}:
            least = relief.least
        return least * MM_PER_INCH if self.unit == "in" else least

    def _banded(self, facts: Facts) -> Decimal:
        size = _measure_package(self.by, facts)
        if size is None:  # not declared: the last band, which is for the largest packages
            return self.bands[-1].least
        return next(band.least for band in self.bands if band.holds(size))

    def _reason(self, facts: Facts) -> Said:
        size = _measure_package(self.by, facts)
        if size is None:
            return NOTHING
        amount = format_number(round(size, 3))
        return {
            SizeBasis.FACE_CM2: Said(" for a package face of {amount} cm²", amount=amount),
            SizeBasis.FACE_SQ_IN: Said(" for a package face of {amount} sq in", amount=amount),
            SizeBasis.SURFACE_SQ_IN: Said(
                " for a package surface of {amount} sq in", amount=amount
            ),
            SizeBasis.WEIGHT_G: Said(" for {amount} g", amount=amount),
            SizeBasis.LONGEST_SIDE_MM: Said(" for a package {amount} mm long", amount=amount),
        }[self.by]


def has_fraction(text: str) -> bool:
    """Whether a text has a vulgar fraction such as 1/2 or ½."""
    return any(0xBC <= ord(c) <= 0xBE or 0x2150 <= ord(c) <= 0x215E for c in text) or any(
        before.isdecimal() and after.isdecimal()
        for before, slash, after in zip(text, text[1:], text[2:], strict=False)
        if slash in "/\u2044"
    )


def _measure_package(by: SizeBasis, facts: Facts) -> Decimal | None:
    if by is SizeBasis.FACE_CM2:
        return facts.face.area_cm2
    if by is SizeBasis.FACE_SQ_IN:
        return to_square_inches(facts.face.area_cm2)
    if by is SizeBasis.SURFACE_SQ_IN:
        surface = facts.total_surface_cm2
        return None if surface is None else to_square_inches(surface)
    if by is SizeBasis.WEIGHT_G:
        return facts.net_weight_g
    if by is SizeBasis.LONGEST_SIDE_MM:
        return max(facts.face.width_mm, facts.face.height_mm)
    return None
