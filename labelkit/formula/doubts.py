"""What the list depends on that the recipe does not settle, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from labelkit.formula.allergens import prohibited_since
from labelkit.formula.composition import WATER_INCI, soap_name
from labelkit.formula.declaration import Basis, DeclaredLine, Doubt, Role, Style
from labelkit.formula.expand import Substance
from labelkit.formula.order import ONE_PERCENT, is_ordered
from labelkit.formula.safety import alkali_doubts, limit_doubts
from labelkit.formula.work import Work, distinct
from labelkit.spec.recipe import Kind

SWAP_SHARE = 0.05
"""Two names that swap in more than one draw in twenty: their order is said to be uncertain."""
NEAR_SHARE = Decimal("0.1")
"""An allergen within a tenth of the threshold is said to be near it."""


def doubts_of(work: Work, lines: Sequence[DeclaredLine]) -> Iterator[Doubt]:
    """Every doubt, the failing ones first."""
    found = [
        *alkali_doubts(work.batch, work.draws),
        *limit_doubts(work.batch, work.expanded, work.draws),
        *_prohibited(work),
        *_order(work, lines),
        *_thresholds(work),
        *_unknown_shares(work),
        *_names(work, lines),
        *_defaults(work),
        *_conflicts(work),
    ]
    rank = {"fail": 0, "warn": 1, "note": 2}
    for doubt in sorted(found, key=lambda doubt: rank[doubt.level]):
        yield replace(doubt, message=_sentence(doubt.message), remedy=_sentence(doubt.remedy))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _prohibited(work: Work) -> Iterator[Doubt]:
    for found in work.allergens:
        name = found.share.inci
        if name in work.policy.prohibited:
            yield Doubt(
                "limit",
                "fail",
                f"{name} ({', '.join(found.share.sources)}) is prohibited in EU cosmetics since"
                f" {prohibited_since(name)}",
                "use another fragrance, or get a current allergen statement of this one",
            )


# -- order -----------------------------------------------------------------------------------------


def _order(work: Work, lines: Sequence[DeclaredLine]) -> Iterator[Doubt]:
    """Neighbours whose order the law fixes and the inputs do not."""
    candidates = [
        line
        for line in lines
        if line.role is not Role.COLOUR
        and line.name in work.draws.percent
        and (is_ordered(line, work.policy) or line.high_percent > ONE_PERCENT)
        and not (line.role is Role.PARFUM and work.policy.parfum_at_end)
    ]
    for heavier, lighter in pairwise(candidates):
        if heavier.mass_g == lighter.mass_g:
            continue
        share = work.draws.share_swapped(heavier.name, lighter.name, float(ONE_PERCENT))
        if share >= SWAP_SHARE:
            yield Doubt(
                "order",
                "warn",
                f"{heavier.name} ({heavier.percent:.2f} %) and {lighter.name}"
                f" ({lighter.percent:.2f} %) could swap places: they do in"
                f" {round(100 * share)} of 100 draws of the inputs' ranges",
                _remedy(work, heavier, lighter),
                f"{heavier.percent - lighter.percent:.2f} % apart",
                "further apart than the inputs' uncertainty",
            )


def _remedy(work: Work, heavier: DeclaredLine, lighter: DeclaredLine) -> str:
    pair = {heavier.inci, lighter.inci}
    if WATER_INCI in pair and work.policy.basis is Basis.CURED:
        if work.batch.loss.source == "bars":
            return "weigh more cured bars, on a finer scale"
        return "weigh three cured bars"
    if work.policy.style is Style.FORMED:
        wanted = distinct(
            s.material.name()
            for s in work.expanded.substances
            if s.saponification.low < s.saponification.high
            and not s.material.own
            and pair & {s.material.sodium, s.material.potassium, s.inci}
        )
        if wanted:
            return "ask the supplier for the saponification value of " + " and ".join(wanted)
    return "weigh on a finer scale, or ask the suppliers for exact shares"


# -- allergens -------------------------------------------------------------------------------------


def _thresholds(work: Work) -> Iterator[Doubt]:
    limit = work.policy.allergen_limit_percent
    coming = dict(work.policy.coming_allergens)
    for found in work.allergens:
        name, percent = found.share.inci, found.share.percent
        if not found.known and name not in work.policy.prohibited:
            yield Doubt(
                "name",
                "note",
                f"{name} ({', '.join(found.share.sources)}) is in none of the allergen lists;"
                " it is not declared",
                "compare its spelling with the supplier's statement",
            )
        if name in coming and percent > limit:
            yield Doubt(
                "threshold",
                "note",
                f"{name} ({_small(percent)} %) must be named from {coming[name]} on",
                "name it already, or plan the next label",
                f"{_small(percent)} %",
                f"above {limit} %",
            )
        if name in work.policy.allergens:
            yield from _near_threshold(work, name, percent, found.low_percent, found.high_percent)


def _near_threshold(
    work: Work, name: str, percent: Decimal, low: float, high: float
) -> Iterator[Doubt]:
    limit = work.policy.allergen_limit_percent
    astride = low <= float(limit) < high
    if not astride and abs(percent - limit) > limit * NEAR_SHARE:
        return
    listed = "named" if percent > limit else "not named"
    side = "above" if percent > limit else "below" if percent < limit else "at"
    apart = f"{_small(abs(percent - limit))} % {side}" if percent != limit else "exactly at"
    yield Doubt(
        "threshold",
        "warn" if astride else "note",
        f"{name} makes up {_small(percent)} % of the finished bar, {apart} the threshold of"
        f" {limit} %: it is {listed}, and lies between {low:.5f} % and {high:.5f} %",
        "weigh three cured bars, and ask the supplier for the exact share in the fragrance",
        f"{_small(percent)} %",
        f"named above {limit} %",
    )


def _small(percent: Decimal) -> str:
    return f"{percent:.5f}"


# -- shares and names nobody stated ----------------------------------------------------------------


def _unknown_shares(work: Work) -> Iterator[Doubt]:
    for index, line in enumerate(work.expanded.lines):
        if line.scent is not None and line.scent.allergens is None:
            yield Doubt(
                "unknown-share",
                "warn",
                f"{line.name}: no allergen statement given, so its allergens are not declared",
                "copy the supplier's allergen statement into [scent.allergens]",
            )
        silent = [s for s in work.expanded.substances if s.line == index and s.share_unknown]
        if silent:
            yield _silent(work, line.name, silent)


def _silent(work: Work, line: str, silent: list[Substance]) -> Doubt:
    names = ", ".join(distinct(work.names.printed(s.inci) for s in silent))
    most = sum((work.expanded.lines[s.line].mass_g * s.share.value for s in silent), Decimal(0))
    percent = 100 * most / work.total_g
    if percent <= ONE_PERCENT:
        return Doubt(
            "unknown-share",
            "note",
            f"{line}: the share of {names} is unknown; it is placed among those of at most 1 %",
            "ask the supplier if it could be more",
        )
    return Doubt(
        "unknown-share",
        "fail",
        f"{line}: the supplier does not say how much {names} it holds, so the order cannot be"
        " determined",
        "ask the supplier for the shares",
        f"up to {percent:.2f} %",
        "at most 1 %, or known shares",
    )


def _names(work: Work, lines: Sequence[DeclaredLine]) -> Iterator[Doubt]:
    if work.policy.style is Style.FORMED:
        yield from _unsettled_soaps(work)
    doubtful = distinct(
        work.names.printed(s.inci)
        for s in work.expanded.substances
        if s.material.inci_doubtful and not s.named
    )
    if doubtful:
        yield Doubt(
            "name",
            "warn",
            f"not sure of the INCI name: {', '.join(doubtful)}",
            "compare with the supplier's data sheet, and set inci in a [[material]]",
        )
    for line in lines:
        if work.names.lacks_us_name(line.inci):
            yield Doubt(
                "name",
                "warn",
                f"no English colour name is known for {line.inci}",
                "set us in a [[material]], if the colour is listed for cosmetics",
            )


def _unsettled_soaps(work: Work) -> Iterator[Doubt]:
    alkalis = [lye.alkali for lye in work.batch.lyes if lye.pure_g > 0]
    soaps = {piece.inci for piece in work.composition.pieces if piece.became.endswith("is known")}
    for substance in work.expanded.substances:
        material = substance.material
        reacts = substance.saponification.value > 0 or material.kind is Kind.HYDROXY_ACID
        missing = [a for a in alkalis if not soap_name(substance, a)]
        if reacts and missing and substance.inci in soaps:
            yield Doubt(
                "name",
                "warn",
                f"no settled INCI name is known for what {material.name()} becomes with"
                f" {' and '.join(missing)}; it is declared as added, {substance.inci}",
                "if a dictionary has one, set sodium or potassium in a [[material]]",
            )


# -- defaults and conflicts ------------------------------------------------------------------------


def _defaults(work: Work) -> Iterator[Doubt]:
    loss = work.batch.loss
    if loss.source == "default" and work.policy.basis is Basis.CURED:
        yield Doubt(
            "default",
            "warn",
            f"no cure loss given: {loss.percent} % of the poured mass is assumed, as is common",
            "weigh three cured bars and give them as [[cure.bar]]",
        )
    counted = distinct(
        s.material.name()
        for s in work.expanded.substances
        if s.saponification.value > 0 and not s.material.own and not s.named
    )
    if counted:
        yield Doubt(
            "default",
            "note",
            "counted with the middle of the published saponification range: " + ", ".join(counted),
            "give the values of the suppliers' certificates",
        )
    for lye in work.recipe.lyes:
        if not lye.purity_given:
            yield Doubt(
                "default",
                "note",
                f"no purity given for {lye.alkali}: counted as pure",
                "copy the purity from the supplier's label",
            )


def _conflicts(work: Work) -> Iterator[Doubt]:
    for conflict in work.policy.conflicts:
        yield Doubt("order", "warn", conflict, "make one label per region, or choose yourself")
