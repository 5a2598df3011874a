"""What no artwork can show: duties with a deadline, tolerances at sale, and doubtful facts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, Said
from labelkit.rules.facts import Facts
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.label import Label, decimal_mm, format_number
from labelkit.rules.rule import Problem, Rule


@dataclass(frozen=True)
class DutyBesideLabel(CheckKind):
    """Something to do beside the label; a deadline counts days from the first sale."""

    days: int | None = None
    """Length of the period, which begins on the day of first sale (a negative one ends then)."""

    def due(self, facts: Facts) -> dt.date | None:
        """The last day, or None when there is no deadline."""
        if self.days is None:
            return None
        first = facts.first_sold_on or facts.sold_on
        return first + dt.timedelta(days=self.days - 1)

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        due = self.due(label.facts)
        if due is None:
            yield Problem(Said("{asks:open}", asks=rule.asks))
        else:
            day = Day(due)
            yield Problem(Said("{asks:open} (by {day})", asks=rule.asks, day=day), required=day)


@dataclass(frozen=True, slots=True)
class ToleranceBand:
    """How far under its declared weight one piece may be, up to a declared weight."""

    upto_g: Decimal | None = None
    percent: Decimal | None = None
    grams: Decimal | None = None


@dataclass(frozen=True)
class SaleTolerance(CheckKind):
    """How far under the declared weight a piece may be when it is sold."""

    bands: tuple[ToleranceBand, ...]
    round_up_g: Decimal | None = None
    """Percentages are rounded up to a multiple of this."""

    def grams(self, declared_g: Decimal) -> Decimal:
        """The tolerance for one piece of this declared weight."""
        band = next(b for b in self.bands if b.upto_g is None or declared_g <= b.upto_g)
        if band.grams is not None:
            return band.grams
        amount = declared_g * (band.percent or Decimal(0)) / 100
        if self.round_up_g:
            return (amount / self.round_up_g).to_integral_value(ROUND_CEILING) * self.round_up_g
        return amount

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        declared_g = label.facts.net_weight_g
        tolerance_g = self.grams(declared_g)
        yield Problem(
            Said(
                "On the day of sale the pieces must average {declared} g or more, and all but a few"
                " must weigh at least {lightest} g",
                declared=format_number(declared_g),
                lightest=format_number(declared_g - tolerance_g),
            ),
            required=format_number(tolerance_g),
            unit="g",
        )


@dataclass(frozen=True)
class FaceHoldsLabel(CheckKind):
    """The sticker is not larger than the package face it is said to go on."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        face = label.facts.face
        for panel in label.at("front"):
            sides = sorted((decimal_mm(panel.width_mm), decimal_mm(panel.height_mm)))
            if any(
                s > f for s, f in zip(sides, sorted((face.width_mm, face.height_mm)), strict=True)
            ):
                size = _format_size(decimal_mm(panel.width_mm), decimal_mm(panel.height_mm))
                room = _format_size(face.width_mm, face.height_mm)
                yield Problem(
                    Said(
                        "The label ({size} mm) is larger than the package face ({room} mm)",
                        size=size,
                        room=room,
                    ),
                    size,
                    room,
                    "mm",
                )


def _format_size(width_mm: Decimal, height_mm: Decimal) -> Said:
    return Said(
        "{width} x {height}", width=format_number(width_mm), height=format_number(height_mm)
    )
