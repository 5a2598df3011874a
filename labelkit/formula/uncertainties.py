"""What the list depends on that the recipe does not settle, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from labelkit.common.messages import Day, FactList, Number, Said, Term
from labelkit.formula.allergens import list_similar_allergens
from labelkit.formula.composition import WATER_INCI, find_soap_name
from labelkit.formula.dangers import find_danger_uncertainties, find_unlimited_oils
from labelkit.formula.declaration import Basis, DeclaredLine, Role, Style, Uncertainty
from labelkit.formula.drying import fit_drying, to_percent
from labelkit.formula.expand import RecipeLine, Substance
from labelkit.formula.list_order import ONE_PERCENT, is_ordered_by_weight
from labelkit.formula.lye_checks import find_lye_uncertainties
from labelkit.formula.materials import load_materials
from labelkit.formula.purity import PURE, find_sold_purity
from labelkit.formula.safety import (
    find_alkali_uncertainties,
    find_limit_uncertainties,
    find_value_uncertainties,
)
from labelkit.formula.scents import find_scent_uncertainties, find_statement_uncertainties
from labelkit.formula.work import WorkedRecipe, drop_repeats
from labelkit.order.recipe import MaterialKind, Recipe, WeighedLine

SWAP_SHARE = 0.05
"""Two names that swap in more than one draw in twenty: their order is said to be uncertain."""
NEAR_SHARE = Decimal("0.1")
"""An allergen within a tenth of the threshold is said to be near it."""


def find_uncertainties(work: WorkedRecipe, lines: Sequence[DeclaredLine]) -> Iterator[Uncertainty]:
    """Every doubt, the failing ones first."""
    found = [
        *find_alkali_uncertainties(work.batch, work.draws),
        *find_lye_uncertainties(work.recipe, work.batch),
        *find_value_uncertainties(work.batch, work.expanded),
        *find_limit_uncertainties(work.batch, work.expanded, work.draws),
        *find_danger_uncertainties(work.recipe),
        *_find_repeated_oils(work.recipe),
        *find_unlimited_oils(work.batch, work.expanded),
        *_find_prohibited(work),
        *_find_unsettled_order(work, lines),
        *_check_thresholds(work),
        *_find_unknown_shares(work),
        *find_scent_uncertainties(work.recipe, work.policy),
        *find_statement_uncertainties(work.recipe, work.policy),
        *_find_doubtful_names(work, lines),
        *_find_default_uncertainties(work),
        *_find_conflicts(work),
    ]
    rank = {"fail": 0, "warn": 1, "note": 2}
    for doubt in sorted(found, key=lambda doubt: rank[doubt.level]):
        yield replace(
            doubt, message=_say_sentence(doubt.message), remedy=_say_sentence(doubt.remedy)
        )


def _say_sentence(text: str) -> Said:
    return Said("{text:cap}", text=text)


def _find_repeated_oils(recipe: Recipe) -> Iterator[Uncertainty]:
    """An oil that stands in two blocks alike in kind: one may have been meant for another."""
    oils: dict[tuple[str, bool], list[WeighedLine]] = {}
    for oil in recipe.oils:
        found = load_materials().find(oil.material)
        oils.setdefault((found.id if found else oil.material, oil.after_trace), []).append(oil)
    for same in oils.values():
        if len(same) > 1:
            yield Uncertainty(
                "twice",
                "note",
                Said(
                    "{material} stands in {count} blocks [[oil]]: {masses}",
                    material=same[0].material,
                    count=Number(len(same)),
                    masses=FactList([oil.typed for oil in same], "and"),
                ),
                Said(
                    "look whether one was meant for another oil; lots of one oil may stand in one"
                    ' block, as lot = ["A", "B"]'
                ),
            )


def _find_prohibited(work: WorkedRecipe) -> Iterator[Uncertainty]:
    for found in work.allergens:
        name = found.share.inci
        bans = [ban for ban in work.policy.prohibited if ban.name == name]
        if bans:
            yield Uncertainty(
                "limit",
                "fail",
                Said(
                    "{name} ({sources}) is prohibited in cosmetics since {day} ({regions})",
                    name=name,
                    sources=FactList(found.share.sources),
                    day=Day(min(ban.since for ban in bans)),
                    regions=FactList(ban.region for ban in bans),
                ),
                Said("use another fragrance, or get a current allergen statement of this one"),
            )


# -- order -----------------------------------------------------------------------------------------


def _find_unsettled_order(
    work: WorkedRecipe, lines: Sequence[DeclaredLine]
) -> Iterator[Uncertainty]:
    """Neighbours whose order the law fixes and the inputs do not."""
    candidates = [
        line
        for line in lines
        if line.role is not Role.COLOUR
        and line.name in work.draws.percent
        and (is_ordered_by_weight(line, work.policy) or line.high_percent > ONE_PERCENT)
        and not (line.role is Role.PARFUM and work.policy.parfum_at_end)
    ]
    for heavier, lighter in pairwise(candidates):
        if heavier.mass_g == lighter.mass_g:
            continue
        share = work.draws.share_swapped(heavier.name, lighter.name, float(ONE_PERCENT))
        if share >= SWAP_SHARE:
            yield Uncertainty(
                "order",
                "warn",
                Said(
                    "{heavier} ({more} %) and {lighter} ({less} %) could swap places: they do in"
                    " {count} of 100 draws of the inputs' ranges",
                    heavier=heavier.name,
                    more=Number(heavier.percent, 2),
                    lighter=lighter.name,
                    less=Number(lighter.percent, 2),
                    count=Number(round(100 * share)),
                ),
                _suggest_remedy(work, heavier, lighter),
                Said("{gap} % apart", gap=Number(heavier.percent - lighter.percent, 2)),
                Said("further apart than the inputs' uncertainty"),
            )


def _suggest_remedy(work: WorkedRecipe, heavier: DeclaredLine, lighter: DeclaredLine) -> str:
    pair = {heavier.inci, lighter.inci}
    if WATER_INCI in pair and work.policy.basis is Basis.CURED:
        if work.batch.loss.source == "bars":
            return Said("weigh more cured bars, on a finer scale")
        return Said("weigh three cured bars")
    if work.policy.style is Style.FORMED:
        wanted = drop_repeats(
            _name_material(s)
            for s in work.expanded.substances
            if s.saponification.low < s.saponification.high
            and not s.material.own
            and pair & {s.material.sodium, s.material.potassium, s.inci}
        )
        if wanted:
            return Said(
                "ask the supplier for the saponification value of {names}",
                names=FactList(wanted, "and"),
            )
    return Said("weigh on a finer scale, or ask the suppliers for exact shares")


# -- allergens -------------------------------------------------------------------------------------


def _check_thresholds(work: WorkedRecipe) -> Iterator[Uncertainty]:
    limit = work.policy.allergen_limit_percent
    coming = dict(work.policy.coming_allergens)
    prohibited = {ban.name for ban in work.policy.prohibited}
    for found in work.allergens:
        name, percent = found.share.inci, found.share.percent
        if not found.known and name not in prohibited:
            yield _make_unlisted_uncertainty(work, name, found.share.sources)
        if name in coming and percent > limit:
            yield Uncertainty(
                "threshold",
                "note",
                Said(
                    "{name} ({share} %) must be named from {day} on",
                    name=name,
                    share=_round_small_share(percent),
                    day=Day(coming[name]),
                ),
                Said("name it already, or plan the next label"),
                Said("{share} %", share=_round_small_share(percent)),
                Said("above {limit} %", limit=Number(limit)),
            )
        if name in work.policy.allergens:
            yield from _find_near_threshold(
                work, name, percent, found.low_percent, found.high_percent
            )


def _make_unlisted_uncertainty(
    work: WorkedRecipe, name: str, sources: Sequence[str]
) -> Uncertainty:
    """A stated name that no list has: little of it is likely no allergen, much a name misspelt."""
    stated = (line.allergens.get(name) for line in work.expanded.lines)
    much = any(share is not None and share.high > ONE_PERCENT for share in stated)
    like = list_similar_allergens(name) if much else ()
    return Uncertainty(
        "name",
        "warn" if much else "note",
        Said(
            "{name} ({sources}) is in none of the allergen lists; it is not declared",
            name=name,
            sources=FactList(sources),
        ),
        Said(
            "compare its spelling with the supplier's statement; names somewhat like it are"
            " {names}",
            names=FactList(like, "and"),
        )
        if like
        else Said("compare its spelling with the supplier's statement"),
    )


def _find_near_threshold(
    work: WorkedRecipe, name: str, percent: Decimal, low: float, high: float
) -> Iterator[Uncertainty]:
    limit = work.policy.allergen_limit_percent
    astride = low <= float(limit) < high
    if not astride and abs(percent - limit) > limit * NEAR_SHARE:
        return
    message = EXACTLY_AT if percent == limit else ABOVE if percent > limit else BELOW
    yield Uncertainty(
        "threshold",
        "warn" if astride else "note",
        Said(
            message,
            name=name,
            share=_round_small_share(percent),
            apart=_round_small_share(abs(percent - limit)),
            limit=Number(limit),
            low=Number(Decimal(low), 5),
            high=Number(Decimal(high), 5),
        ),
        Said("weigh three cured bars, and ask the supplier for the exact share in the fragrance"),
        Said("{share} %", share=_round_small_share(percent)),
        Said("named above {limit} %", limit=Number(limit)),
    )


ABOVE = (
    "{name} makes up {share} % of the finished bar, {apart} % above the threshold of {limit} %:"
    " it is named, and lies between {low} % and {high} %"
)
BELOW = (
    "{name} makes up {share} % of the finished bar, {apart} % below the threshold of {limit} %:"
    " it is not named, and lies between {low} % and {high} %"
)
EXACTLY_AT = (
    "{name} makes up {share} % of the finished bar, exactly at the threshold of {limit} %:"
    " it is not named, and lies between {low} % and {high} %"
)


def _round_small_share(percent: Decimal) -> Number:
    return Number(percent, 5)


def _name_material(substance: Substance) -> Term:
    return Term("material", substance.material.name())


# -- shares and names nobody stated ----------------------------------------------------------------


def _find_unknown_shares(work: WorkedRecipe) -> Iterator[Uncertainty]:
    for index, line in enumerate(work.expanded.lines):
        substances = [s for s in work.expanded.substances if s.line == index]
        if not line.allergens and _is_scented(line, substances):
            yield _make_unstated_uncertainty(work, line)
        silent = [s for s in substances if s.share_unknown]
        if silent:
            yield _make_silent_uncertainty(work, line.name, silent)


def _is_scented(line: RecipeLine, substances: Iterable[Substance]) -> bool:
    """Whether a line brings fragrance: as a scent, or as an essential oil among the additives."""
    return line.scent is not None or any(
        s.material.kind is MaterialKind.ESSENTIAL_OIL for s in substances
    )


def _make_unstated_uncertainty(work: WorkedRecipe, line: RecipeLine) -> Uncertainty:
    """A scent of which nobody says what allergens it holds.

    It fails only where a region asks for them that day: no list is known to be legal without.
    """
    bound = work.policy.allergens_bind
    return Uncertainty(
        "unknown-share",
        "fail" if bound else "warn",
        Said(
            "{name}: no allergen statement given, and in {regions} its allergens have to be named;"
            " without it nobody knows whether the list is whole",
            name=line.name,
            regions=FactList(bound, "and"),
        )
        if bound
        else Said(
            "{name}: no allergen statement given, so its allergens are not declared",
            name=line.name,
        ),
        Said(
            "copy the supplier's allergen statement into {place}; where it truly says that there"
            " are none, write {example}",
            place=f"[{line.key.split('[')[0]}.allergens]",
            example='Limonene = "0 %"',
        ),
    )


def _make_silent_uncertainty(work: WorkedRecipe, line: str, silent: list[Substance]) -> Uncertainty:
    names = FactList(drop_repeats(work.names.printed(s.inci) for s in silent))
    most = sum((work.expanded.lines[s.line].mass_g * s.share.value for s in silent), Decimal(0))
    percent = 100 * most / work.total_g
    if percent <= ONE_PERCENT:
        return Uncertainty(
            "unknown-share",
            "note",
            Said(
                "{name}: the share of {names} is unknown; it is placed among those of at most 1 %",
                name=line,
                names=names,
            ),
            Said("ask the supplier if it could be more"),
        )
    return Uncertainty(
        "unknown-share",
        "fail",
        Said(
            "{name}: the supplier does not say how much {names} it holds,"
            " so the order cannot be determined",
            name=line,
            names=names,
        ),
        Said("ask the supplier for the shares"),
        Said("up to {share} %", share=Number(percent, 2)),
        Said("at most 1 %, or known shares"),
    )


def _find_doubtful_names(
    work: WorkedRecipe, lines: Sequence[DeclaredLine]
) -> Iterator[Uncertainty]:
    if work.policy.style is Style.FORMED:
        yield from _find_unsettled_soaps(work)
    doubtful = drop_repeats(
        work.names.printed(s.inci)
        for s in work.expanded.substances
        if s.material.inci_doubtful and not s.named
    )
    if doubtful:
        yield Uncertainty(
            "name",
            "warn",
            Said("not sure of the INCI name: {names}", names=FactList(doubtful)),
            Said("compare with the supplier's data sheet, and set inci in a [[material]]"),
        )
    for line in lines:
        if work.names.lacks_us_name(line.inci):
            yield Uncertainty(
                "name",
                "warn",
                Said("no English colour name is known for {name}", name=line.inci),
                Said("set us in a [[material]], if the colour is listed for cosmetics"),
            )


def _find_unsettled_soaps(work: WorkedRecipe) -> Iterator[Uncertainty]:
    alkalis = [lye.alkali for lye in work.batch.lyes if lye.pure_g > 0]
    soaps = {piece.inci for piece in work.composition.pieces if piece.became.endswith("is known")}
    for substance in work.expanded.substances:
        material = substance.material
        reacts = substance.saponification.value > 0 or material.kind is MaterialKind.HYDROXY_ACID
        missing = [a for a in alkalis if not find_soap_name(substance, a)]
        if reacts and missing and substance.inci in soaps:
            yield Uncertainty(
                "name",
                "warn",
                Said(
                    "no settled INCI name is known for what {material} becomes with {alkalis};"
                    " it is declared as added, {name}",
                    material=_name_material(substance),
                    alkalis=FactList(missing, "and"),
                    name=substance.inci,
                ),
                Said("if a dictionary has one, set sodium or potassium in a [[material]]"),
            )


# -- defaults and conflicts ------------------------------------------------------------------------


def _find_odd_bars(work: WorkedRecipe) -> Iterator[Uncertainty]:
    """Marker bars that are left out: mistyped, or weighed twice on one day."""
    fit = fit_drying(work.recipe.cure) if work.recipe.cure.bars else None
    for odd in fit.odd if fit is not None else ():
        masses = {
            "bar": odd.bar.key,
            "poured": Number(odd.bar.poured_g),
            "cured": Number(odd.bar.cured_g),
        }
        if odd.usual_percent is None:
            yield Uncertainty(
                "default",
                "warn",
                Said(
                    "the marker bar {bar} was weighed twice on one day and is left out",
                    bar=odd.bar.key,
                ),
                Said("say after how many days it was weighed again"),
            )
            continue
        yield Uncertainty(
            "default",
            "warn",
            Said(
                "the marker bar {bar} ({poured} g, then {cured} g) lost {loss} %, where the bars"
                " lose about {usual} %: it is left out",
                **masses,
                loss=Number(to_percent(odd.loss_percent), 1),
                usual=Number(to_percent(odd.usual_percent), 1),
            ),
            Said("compare both weights with what was written down"),
        )


def _find_default_uncertainties(work: WorkedRecipe) -> Iterator[Uncertainty]:
    yield from _find_odd_bars(work)
    loss = work.batch.loss
    if loss.source == "default" and work.policy.basis is Basis.CURED:
        yield Uncertainty(
            "default",
            "warn",
            Said(
                "no cure loss given: {percent} % of the poured mass is assumed, as is common",
                percent=Number(loss.percent),
            ),
            Said("weigh three cured bars and give them as [[cure.bar]]"),
        )
    counted = drop_repeats(
        _name_material(s)
        for s in work.expanded.substances
        if s.saponification.value > 0 and not s.material.own and not s.named
    )
    if counted:
        yield Uncertainty(
            "default",
            "note",
            Said(
                "counted with the middle of the published saponification range: {names}",
                names=FactList(counted),
            ),
            Said("give the values of the suppliers' certificates"),
        )
    for lye in work.recipe.lyes:
        if not lye.purity_given and find_sold_purity(lye.alkali).high == PURE:
            yield Uncertainty(
                "default",
                "note",
                Said("no purity given for {alkali}: counted as pure", alkali=lye.alkali),
                Said("copy the purity from the supplier's label"),
            )


def _find_conflicts(work: WorkedRecipe) -> Iterator[Uncertainty]:
    for conflict in work.policy.conflicts:
        remedy = Said("make one label per region, or choose yourself")
        yield Uncertainty("order", "warn", conflict, remedy)
