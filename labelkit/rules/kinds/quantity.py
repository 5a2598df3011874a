"""The form of the net quantity: unit, figures, symbols, two systems side by side, and its truth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Said
from labelkit.model.runs import ElementText, Panel, Run
from labelkit.rules.kinds.base import CheckKind, TextKind
from labelkit.rules.label import Label, decimal_mm, format_number, name_panel, quote_words
from labelkit.rules.printed_quantity import PrintedAmount, find_amounts
from labelkit.rules.rule import Problem, Rule


@dataclass(frozen=True)
class QuantityKind(TextKind):
    """Looks at every mass in the element, text by text."""

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        yield from self.in_quantity(text.text, find_amounts(text.text), label)

    def in_quantity(
        self, text: str, found: Sequence[PrintedAmount], label: Label
    ) -> Iterator[Problem]:
        """Most kinds look at each amount by itself."""
        for amount in found:
            yield from self.in_amount(amount, label)

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        raise NotImplementedError


@dataclass(frozen=True)
class QuantitySystem(QuantityKind):
    """The quantity is given in grams or kilograms, or in ounces, whichever fits its size."""

    system: str
    """"metric" or "customary"."""
    small_unit: str
    large_unit: str
    large_from: Decimal | None = None
    """From this many small units on, the large one is used; None: either will do."""
    also_large: tuple[Decimal, ...] = ()
    """Amounts in small units that may be given in the large one as well."""
    small_always: bool = False
    """The small unit may be used for any amount."""

    def in_quantity(
        self, text: str, found: Sequence[PrintedAmount], label: Label
    ) -> Iterator[Problem]:
        own = [a for a in found if a.is_metric == (self.system == "metric")]
        if not own:
            units = FactList((self.small_unit, self.large_unit), "or")
            message = Said(
                "{words} gives no weight in {units}", words=quote_words(text), units=units
            )
            yield Problem(message, text, self.small_unit)
        for amount in own:
            allowed = self._allowed(amount)
            if amount.unit not in allowed:
                wanted = FactList(allowed, "or")
                message = Said(
                    "“{words}” must be given in {units}", words=amount.text, units=wanted
                )
                yield Problem(message, amount.unit, wanted)

    def _allowed(self, amount: PrintedAmount) -> list[str]:
        """Units this amount may be given in."""
        if self.large_from is None:
            return [self.small_unit, self.large_unit]
        in_small = amount.grams / _grams_per_unit(self.small_unit)
        if in_small >= Fraction(self.large_from):
            return [self.large_unit] + [self.small_unit] * self.small_always
        also = in_small in map(Fraction, self.also_large)
        return [self.small_unit] + [self.large_unit] * also


@lru_cache(maxsize=16)
def _grams_per_unit(unit: str) -> Fraction:
    return find_amounts(f"1 {unit}")[0].grams


@dataclass(frozen=True)
class QuantityFigures(QuantityKind):
    """No more significant figures than these, for amounts in these units."""

    units: tuple[str, ...]
    most: int

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        if amount.unit in self.units and amount.figures > self.most:
            yield Problem(
                Said(
                    "“{words}” has {found} figures; {most} is the most",
                    words=amount.text,
                    found=Number(amount.figures),
                    most=Number(self.most),
                ),
                Number(amount.figures),
                Number(self.most),
                Said("figures"),
            )


@dataclass(frozen=True)
class QuantityDecimals(QuantityKind):
    """No more decimal places than these; vulgar fractions only of these parts, in lowest terms."""

    units: tuple[str, ...]
    most: int | None = None
    denominators: tuple[int, ...] | None = None
    """Parts a fraction may be in; empty: no fraction at all; left out: any."""

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        if amount.unit not in self.units:
            return
        if self.most is not None and amount.decimals > self.most:
            yield Problem(
                Said(
                    "“{words}” has {found} decimal places; {most} is the most",
                    words=amount.text,
                    found=Number(amount.decimals),
                    most=Number(self.most),
                ),
                Number(amount.decimals),
                Number(self.most),
                Said("places"),
            )
        below, above = amount.denominator, amount.numerator
        if below is None or above is None or self.denominators is None:
            return
        if below not in self.denominators:
            allowed = FactList(f"1/{part}" for part in self.denominators) or Said("decimals")
            yield Problem(
                Said("“{words}” is in a fraction that may not be used here", words=amount.text),
                f"1/{below}",
                allowed,
            )
        elif gcd(above, below) != 1:
            yield Problem(
                Said("The fraction in “{words}” is not in its lowest terms", words=amount.text),
                f"{above}/{below}",
                str(Fraction(above, below)),
            )


@dataclass(frozen=True)
class LeadingZero(QuantityKind):
    """A decimal fraction below one begins with a zero."""

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        if amount.lacks_zero:
            yield Problem(
                Said("“{words}” needs a zero before its decimal marker", words=amount.text),
                amount.number,
                f"0{amount.number}",
            )


@dataclass(frozen=True)
class QuantitySymbols(QuantityKind):
    """Units are written only like this: "g", not "gm", "G" or "g."."""

    units: tuple[str, ...]
    allowed: tuple[str, ...]
    """Spellings allowed, with their capitals."""
    any_case: bool = False
    may_have_dot: bool = False

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        if amount.unit not in self.units:
            return
        symbol = amount.symbol.casefold() if self.any_case else amount.symbol
        dot = amount.dot and not self.may_have_dot
        if symbol not in self.allowed or dot:
            yield Problem(
                Said(
                    "The unit in “{words}” must be written “{unit}”",
                    words=amount.text,
                    unit=amount.unit,
                ),
                amount.symbol + ("." if amount.dot else ""),
                amount.unit,
            )


@dataclass(frozen=True)
class UnitSpace(QuantityKind):
    """A space stands between the number and its unit."""

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        if not amount.gap.isspace():
            yield Problem(
                Said("“{words}” needs a space between the number and its unit", words=amount.text),
                amount.text,
                f"{amount.number} {amount.symbol}",
            )


@dataclass(frozen=True)
class NotOverstated(QuantityKind):
    """No printed amount is more than the piece's declared net weight."""

    def in_amount(self, amount: PrintedAmount, label: Label) -> Iterator[Problem]:
        net_g = label.facts.net_weight_g
        if amount.grams > Fraction(net_g):
            yield Problem(
                Said(
                    "“{words}” promises {printed} g, but the piece is declared at {net} g",
                    words=amount.text,
                    printed=_format_grams(amount),
                    net=format_number(net_g),
                ),
                _format_grams(amount),
                format_number(net_g),
                "g",
            )


@dataclass(frozen=True)
class QuantityGroup(CheckKind):
    """Ounces stand in the same statement as the grams they repeat, and both mean the same."""

    most_percent_apart: Decimal

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel, text in label.texts(rule.element, rule.panel):
            found = find_amounts(text.text)
            metric = [a for a in found if a.is_metric and a.value]
            customary = [a for a in found if not a.is_metric]
            for ounces in customary:
                for grams in metric:
                    apart = abs(ounces.grams - grams.grams) / grams.grams * 100
                    if apart > Fraction(self.most_percent_apart):
                        yield Problem(
                            Said(
                                "“{ounces}” is {found} g, not “{grams}”",
                                ounces=ounces.text,
                                found=_format_grams(ounces),
                                grams=grams.text,
                            ),
                            _format_grams(ounces),
                            _format_grams(grams),
                            "g",
                            panel=panel.name,
                            language=text.language,
                        )
        for panel, text in label.every_text(frozenset({rule.element})):
            loose = [a for a in find_amounts(text.text) if not a.is_metric]
            if loose and label.texts(rule.element, rule.panel):
                yield Problem(
                    Said(
                        "“{words}” on the {panel} stands apart from the net quantity",
                        words=loose[0].text,
                        panel=name_panel(panel.name),
                    ),
                    loose[0].text,
                    Said("in the net quantity"),
                    panel=panel.name,
                    language=text.language,
                )


@dataclass(frozen=True)
class QuantityPair(QuantityKind):
    """Two systems say the same weight, converted by the factor set and cut off.

    With ``ounce_places`` one of them must be the other cut off, ounces at that many places or
    more; without, the second may also be one step of its last place above that.
    """

    grams_per_ounce: Decimal
    ounce_places: int | None = None

    def in_quantity(
        self, text: str, found: Sequence[PrintedAmount], label: Label
    ) -> Iterator[Problem]:
        customary = [a for a in found if not a.is_metric]
        metric = [a for a in found if a.is_metric]
        if not customary or not metric:
            return
        first, second = (metric, customary) if found[0].is_metric else (customary, metric)
        if not self._agree(first, second):
            exact_value = self._grams(first) / self._grams_in_unit(second[0])
            wanted = Decimal(exact_value.numerator) / Decimal(exact_value.denominator)
            shown_value = format_number(wanted.quantize(Decimal("0.0001"), ROUND_FLOOR))
            yield Problem(
                Said(
                    "“{first}” makes {value} {unit}, not “{second}”",
                    first=first[0].text,
                    value=shown_value,
                    unit=second[0].unit,
                    second=second[0].text,
                ),
                second[0].number,
                shown_value,
                second[0].unit,
            )

    def _agree(self, first: Sequence[PrintedAmount], second: Sequence[PrintedAmount]) -> bool:
        if self.ounce_places is not None:
            return self._is_cut_from(first, second) or self._is_cut_from(second, first)
        unit_g = self._grams_in_unit(second[0])
        value, exact_value = self._grams(second) / unit_g, self._grams(first) / unit_g
        step = Fraction(1, 10 ** second[0].decimals)
        return _cut_to_step(exact_value, step) <= value <= _cut_to_step(exact_value, step) + step

    def _is_cut_from(self, whole: Sequence[PrintedAmount], cut: Sequence[PrintedAmount]) -> bool:
        """Whether ``cut`` is ``whole`` in its own unit, cut off at its last place."""
        unit_g = self._grams_in_unit(cut[0])
        least_places = 0 if cut[0].is_metric else self.ounce_places or 0
        step = Fraction(1, 10 ** max(cut[0].decimals, least_places))
        return _cut_to_step(self._grams(whole) / unit_g, step) == self._grams(cut) / unit_g

    def _grams_in_unit(self, amount: PrintedAmount) -> Fraction:
        ounce = Fraction(self.grams_per_ounce)
        per_unit = {"oz": ounce, "lb": ounce * 16, "dram": ounce / 16}
        return per_unit.get(amount.unit) or _grams_per_unit(amount.unit)

    def _grams(self, found: Sequence[PrintedAmount]) -> Fraction:
        """One system's weight: "1 lb 8 oz" adds up, "1.5 lb/24 oz" says it twice."""
        grams = [a.value * self._grams_in_unit(a) for a in found]
        adds_up = len(found) > 1 and found[0].unit == "lb" and found[1].unit == "oz"
        return grams[0] + grams[1] if adds_up and found[1].value < 16 else grams[0]


@dataclass(frozen=True)
class MetricLeads(CheckKind):
    """Ounces are printed no larger than the metric quantity they are added to."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel in label.at(rule.panel):
            runs = [run for run in panel.runs if run.element == rule.element]
            metric = [
                _measure_figure_mm(r)
                for r in runs
                if any(a.is_metric for a in find_amounts(r.text))
            ]
            for run in runs:
                customary = any(not a.is_metric for a in find_amounts(run.text))
                if (
                    customary
                    and metric
                    and _measure_figure_mm(run) > max(metric) + label.tolerance_mm
                ):
                    yield Problem(
                        Said(
                            "{words} is set larger than the metric quantity",
                            words=quote_words(run.text),
                        ),
                        format_number(_measure_figure_mm(run)),
                        format_number(max(metric)),
                        "mm",
                        panel=panel.name,
                    )


def _cut_to_step(value: Fraction, step: Fraction) -> Fraction:
    """The largest multiple of ``step`` that is not above ``value``."""
    return value // step * step


def _format_grams(amount: PrintedAmount) -> Number:
    grams = Decimal(amount.grams.numerator) / Decimal(amount.grams.denominator)
    return format_number(grams.quantize(Decimal("0.01"), ROUND_FLOOR))


def _measure_figure_mm(run: Run) -> Decimal:
    return decimal_mm(run.letters.figure_mm or 0)
