"""What must be right before any label: no alkali left over, no fragrance over its limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.common.messages import Number, Said, Term
from labelkit.formula.batch import Batch
from labelkit.formula.declaration import Uncertainty
from labelkit.formula.draws import Draws, spread_of_values
from labelkit.formula.expand import Expanded, Substance
from labelkit.formula.plausible import is_far_outside

LYE_CAUTIONS = (
    Said("Lye burns skin and blinds: wear goggles, gloves and long sleeves, and keep others away."),
    Said(
        "Add lye to water, never water to lye, in heat-proof plastic or steel (never aluminium),"
        " where the air moves; the solution heats up by itself."
    ),
    Said("Splashes: rinse with plenty of running water at once, and call a doctor for the eyes."),
    Said(
        "Label and lock away lye and its solutions. Local rules and the supplier's safety data"
        " sheet come before these lines."
    ),
)
"""Common practice, no source; printed once with any batch figure."""


def find_alkali_uncertainties(batch: Batch, draws: Draws) -> Iterator[Uncertainty]:
    """An excess of alkali, or one that the inputs' uncertainty does not rule out."""
    superfat = batch.superfat_percent
    low, high = 100 * draws.least_superfat(), 100 * draws.most_superfat()
    figures: dict[str, object] = {
        "superfat": _round_figure(superfat),
        "low": Number(Decimal(low), 1),
        "high": Number(Decimal(high), 1),
    }
    measured = Said("superfat {superfat} % ({low} to {high} %)", **figures)
    if superfat < 0:
        yield Uncertainty(
            "alkali",
            "fail",
            Said(
                "there is more alkali than the oils can take: superfat {superfat} %",
                superfat=_round_figure(superfat),
            ),
            Said("use less lye or more oil; do not sell or give away this batch"),
            measured,
            Said("above 0 %"),
        )
    elif low <= 0:
        yield Uncertainty(
            "alkali",
            "fail",
            Said(
                "the superfat of {superfat} % is within its uncertainty of an excess of alkali"
                " ({low} to {high} %)",
                **figures,
            ),
            Said(
                "raise the superfat, or narrow what is not known: saponification values from the"
                " suppliers' certificates with saponification_plus_minus, the purity of the lye"
                " from its certificate with purity_plus_minus"
            ),
            measured,
            Said("above 0 % over the whole range"),
        )


def find_value_uncertainties(batch: Batch, expanded: Expanded) -> Iterator[Uncertainty]:
    """Values the maker gave that the published range does not bear out.

    They are told, and fail when the published range makes an excess of alkali of them: by its
    middle wherever the value lies, by its lower end for a value far outside.
    """
    outside = [s for s in expanded.substances if _is_outside_range(s)]
    ranges = [s.material.published for s in outside]
    middle = _superfat_by_values(batch, expanded, outside, [r.value for r in ranges])
    least = _superfat_by_values(batch, expanded, outside, [r.low for r in ranges])
    most = _superfat_by_values(batch, expanded, outside, [r.high for r in ranges])
    for substance in {(s.material.id, s.saponification.value): s for s in outside}.values():
        material, value = substance.material, substance.saponification.value
        published = material.published
        far = is_far_outside(value, published.ends)
        excess = value > published.high and (middle <= 0 or (far and least <= 0))
        ends: dict[str, object] = {"low": Number(published.low), "high": Number(published.high)}
        yield Uncertainty(
            "alkali",
            "fail" if excess else "warn",
            Said(
                "{material}: the saponification value given, {value} mg KOH per g, is outside the"
                " published range of {low} to {high}; by that range the superfat would be"
                " {superfat} % ({least} to {most} %)",
                material=Term("material", material.name()),
                value=Number(value),
                superfat=Number(middle, 1),
                least=Number(least, 1),
                most=Number(most, 1),
                **ends,
            ),
            Said(
                "compare the value with the certificate, and its unit; if it is right, this is"
                " another fat: describe it in a [[material]] with its own id and INCI name"
            ),
            Said("{value} mg KOH per g", value=Number(value)),
            Said("{low} to {high} mg KOH per g", **ends),
        )


def _is_outside_range(substance: Substance) -> bool:
    """Whether the maker's value lies outside a range that is known."""
    low, high = substance.material.published.ends
    return substance.material.own and high > 0 and not low <= substance.saponification.value <= high


def _superfat_by_values(
    batch: Batch, expanded: Expanded, substances: Sequence[Substance], values: Sequence[Decimal]
) -> Decimal:
    """The superfat of the same lye in percent, were these the substances' saponification values."""
    more = sum(
        (
            expanded.mass_g(s) * (value - s.saponification.value) / 1000
            for s, value in zip(substances, values, strict=True)
        ),
        Decimal(0),
    )
    alkali = batch.full_koh_g * (100 - batch.superfat_percent) / 100
    return 100 - 100 * alkali / (batch.full_koh_g + more)


def find_limit_uncertainties(
    batch: Batch, expanded: Expanded, draws: Draws
) -> Iterator[Uncertainty]:
    """Fragrances against their supplier's limit for bar soap, on the finished (cured) mass."""
    used = Decimal(0)
    limited = 0
    for index, line in enumerate(expanded.lines):
        scent = line.scent
        if scent is None:
            continue
        share = 100 * scent.mass_g / batch.cured_g
        if scent.limit_percent is None:
            yield Uncertainty(
                "limit",
                "warn",
                Said(
                    "{name}: no limit given; it makes up {share} % of the finished bar",
                    name=scent.name,
                    share=_round_figure(share),
                ),
                Said(
                    "give the limit for bar soap (IFRA category 9) from the supplier's certificate"
                ),
                Said("{share} %", share=_round_figure(share)),
            )
            continue
        limited += 1
        used += share / scent.limit_percent if scent.limit_percent else Decimal("Infinity")
        values = [
            100 * grams / cured
            for grams, cured in zip(draws.lines_g[index], draws.cured_g, strict=True)
        ]
        yield from _check_limit(
            scent.name, share, scent.limit_percent, spread_of_values(values).high, batch
        )
    if limited > 1 and used > 1:
        yield Uncertainty(
            "limit",
            "warn",
            Said(
                "the fragrances together use {share} % of their limits; where they hold"
                " the same restricted material their effects add",
                share=_round_figure(100 * used),
            ),
            Said("use less of them, or ask the suppliers for the limit of the blend"),
            Said("{share} %", share=_round_figure(100 * used)),
            Said("{share} %", share=Number(100)),
        )


def _check_limit(
    name: str, share: Decimal, limit: Decimal, high: float, batch: Batch
) -> Iterator[Uncertainty]:
    measured = Said("{share} %", share=_round_figure(share))
    required = Said("at most {limit} %", limit=Number(limit))
    if share > limit:
        rest = batch.cured_g - batch.cured_g * share / 100
        most = rest * limit / (100 - limit) if limit < 100 else rest
        yield Uncertainty(
            "limit",
            "fail",
            Said(
                "{name} makes up {share} % of the finished bar, over its supplier's limit of"
                " {limit} % for bar soap",
                name=name,
                share=_round_figure(share),
                limit=Number(limit),
            ),
            Said("use at most {most} g in this batch", most=Number(most, 1)),
            measured,
            required,
        )
    elif high > float(limit):
        yield Uncertainty(
            "limit",
            "warn",
            Said(
                "{name} makes up {share} % of the finished bar and may be over its limit of"
                " {limit} % (up to {high} %)",
                name=name,
                share=_round_figure(share),
                limit=Number(limit),
                high=Number(Decimal(high), 2),
            ),
            Said("use a little less, or weigh three cured bars"),
            measured,
            required,
        )


def _round_figure(value: Decimal) -> Number:
    return Number(value, 2)
