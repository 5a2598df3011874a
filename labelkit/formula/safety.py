"""What must be right before any label: no alkali left over, no fragrance over its limit."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.formula.batch import Batch
from labelkit.formula.declaration import Doubt
from labelkit.formula.expand import Expanded
from labelkit.formula.uncertainty import Draws, spread_of

LYE_CAUTIONS = (
    "Lye burns skin and blinds: wear goggles, gloves and long sleeves, and keep others away.",
    "Add lye to water, never water to lye, in heat-proof plastic or steel (never aluminium),"
    " where the air moves; the solution heats up by itself.",
    "Splashes: rinse with plenty of running water at once, and call a doctor for the eyes.",
    "Label and lock away lye and its solutions. Local rules and the supplier's safety data sheet"
    " come before these lines.",
)
"""Common practice, no source; printed once with any batch figure."""


def alkali_doubts(batch: Batch, draws: Draws) -> Iterator[Doubt]:
    """An excess of alkali, or one that the inputs' uncertainty does not rule out."""
    superfat = batch.superfat_percent
    low, high = 100 * draws.least_superfat(), 100 * draws.most_superfat()
    measured = f"superfat {_figure(superfat)} % ({low:.1f} to {high:.1f} %)"
    if superfat < 0:
        yield Doubt(
            "alkali",
            "fail",
            f"there is more alkali than the oils can take: superfat {_figure(superfat)} %",
            "use less lye or more oil; do not sell or give away this batch",
            measured,
            "above 0 %",
        )
    elif low <= 0:
        yield Doubt(
            "alkali",
            "fail",
            f"the superfat of {_figure(superfat)} % is within its uncertainty of an excess of"
            f" alkali ({low:.1f} to {high:.1f} %)",
            "raise the superfat, or give the saponification values of the suppliers' certificates",
            measured,
            "above 0 % over the whole range",
        )


def limit_doubts(batch: Batch, expanded: Expanded, draws: Draws) -> Iterator[Doubt]:
    """Fragrances against their supplier's limit for bar soap, on the finished (cured) mass."""
    used = Decimal(0)
    limited = 0
    for index, line in enumerate(expanded.lines):
        scent = line.scent
        if scent is None:
            continue
        share = 100 * scent.mass_g / batch.cured_g
        if scent.limit_percent is None:
            yield Doubt(
                "limit",
                "warn",
                f"{scent.name}: no limit given; it makes up {_figure(share)} % of the finished bar",
                "give the limit for bar soap (IFRA category 9) from the supplier's certificate",
                f"{_figure(share)} %",
            )
            continue
        limited += 1
        used += share / scent.limit_percent if scent.limit_percent else Decimal("Infinity")
        values = [
            100 * grams[index] / cured
            for grams, cured in zip(draws.lines_g, draws.cured_g, strict=True)
        ]
        yield from _against_limit(
            scent.name, share, scent.limit_percent, spread_of(values).high, batch
        )
    if limited > 1 and used > 1:
        yield Doubt(
            "limit",
            "warn",
            f"the fragrances together use {_figure(100 * used)} % of their limits; where they hold"
            " the same restricted material their effects add",
            "use less of them, or ask the suppliers for the limit of the blend",
            f"{_figure(100 * used)} %",
            "100 %",
        )


def _against_limit(
    name: str, share: Decimal, limit: Decimal, high: float, batch: Batch
) -> Iterator[Doubt]:
    measured, required = f"{_figure(share)} %", f"at most {limit.normalize():f} %"
    if share > limit:
        rest = batch.cured_g - batch.cured_g * share / 100
        most = rest * limit / (100 - limit) if limit < 100 else rest
        yield Doubt(
            "limit",
            "fail",
            f"{name} makes up {_figure(share)} % of the finished bar, over its supplier's limit of"
            f" {limit.normalize():f} % for bar soap",
            f"use at most {most:.1f} g in this batch",
            measured,
            required,
        )
    elif high > float(limit):
        yield Doubt(
            "limit",
            "warn",
            f"{name} makes up {_figure(share)} % of the finished bar and may be over its limit of"
            f" {limit.normalize():f} % (up to {high:.2f} %)",
            "use a little less, or weigh three cured bars",
            measured,
            required,
        )


def _figure(value: Decimal) -> str:
    return f"{value:.2f}"
