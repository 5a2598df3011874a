"""What is in the bar: every substance with its grams, the line it came from and what it became.

One function makes the composition from draws of the inputs, so that the figure declared (a single
draw) and the ranges around it (many at once) come from the same chemistry. Masses are grams in
floats; a column holds one figure in each draw.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.formula.batch import Batch
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.expand import Expanded, Substance
from labelkit.formula.reaction import (
    Column,
    Fat,
    HydroxyAcid,
    Reaction,
    ReactionOutcome,
    Yields,
    react_with_alkali,
    sum_columns,
)
from labelkit.order.recipe import Alkali, MaterialKind

WATER_INCI = "Water"
GLYCERIN_INCI = "Glycerin"
WATER, AS_ADDED = Said("water"), Said("as added")
WATER_OF_LYE = Said("water of the lye solution")
HYDROXIDE_INCI = {Alkali.NAOH: "Sodium Hydroxide", Alkali.KOH: "Potassium Hydroxide"}

NEGLIGIBLE_G = 1e-6
"""Less is a remainder of floating-point arithmetic, not a substance."""

FROM_WATER = -1
"""Source of plain water; lye number n has the source ``FROM_LYE - n``."""
FROM_LYE = -2


@dataclass(frozen=True, slots=True)
class DrawnInputs:
    """Some draws of everything put in. Shares from 0 to 1, masses in grams, titrations in mg KOH
    per g."""

    lines_g: Sequence[Column]
    shares: Sequence[Column]
    saponification: Sequence[Column]
    acid: Sequence[Column]
    lyes_g: Sequence[Column]
    """As weighed."""
    strengths: Sequence[Column]
    """The pure alkali of each lye as a share of what is weighed, from 0 to 1."""
    water_g: Column
    loss: Column
    """Share of the poured mass."""


@dataclass(frozen=True, slots=True)
class Portion:
    """A substance in the bar, with its grams in each draw. ``inci`` is empty for what is not
    declared."""

    source: int
    """Index of the recipe's line, FROM_WATER, or FROM_LYE and below."""
    inci: str
    became: str
    masses_g: Column
    dries: bool = False
    """Water that may leave."""

    @property
    def there(self) -> bool:
        return max(self.masses_g) > NEGLIGIBLE_G


@dataclass(frozen=True, slots=True)
class Compositions:
    """The compositions of some draws."""

    portions: tuple[Portion, ...]
    poured_g: Column
    cured_g: Column
    water_g: Column
    """Water there is to lose before cure."""
    superfat: Column


@dataclass(frozen=True, slots=True)
class SubstanceInBar:
    """Some grams of a substance in the bar. ``inci`` is empty for what is not declared."""

    source: int
    """Index of the recipe's line, FROM_WATER, or FROM_LYE and below."""
    inci: str
    became: str
    mass_g: float


@dataclass(frozen=True, slots=True)
class Composition:
    """The composition of the declared figures themselves."""

    pieces: tuple[SubstanceInBar, ...]
    poured_g: float
    cured_g: float
    water_g: float
    """Water there is to lose before cure."""

    @property
    def lost_g(self) -> float:
        return self.poured_g - self.cured_g


def compute_composition(
    expanded: Expanded, batch: Batch, style: Style, basis: Basis
) -> Composition:
    """What is in the bar by the declared figures, as formed or as added, poured or cured."""
    found = compute_compositions(
        expanded, batch, _make_declared_draw(expanded, batch), style, basis
    )
    return Composition(
        tuple(SubstanceInBar(p.source, p.inci, p.became, p.masses_g[0]) for p in found.portions),
        found.poured_g[0],
        found.cured_g[0],
        found.water_g[0],
    )


def _make_declared_draw(expanded: Expanded, batch: Batch) -> DrawnInputs:
    """The single draw of the declared figures."""
    return DrawnInputs(
        lines_g=[[float(line.mass_g)] for line in expanded.lines],
        shares=[[float(s.share.value)] for s in expanded.substances],
        saponification=[[float(s.saponification.value)] for s in expanded.substances],
        acid=[[float(s.acid.value)] for s in expanded.substances],
        lyes_g=[[float(lye.weighed_g)] for lye in batch.lyes],
        strengths=[[float(lye.strength.value)] for lye in batch.lyes],
        water_g=[float(batch.water_g)],
        loss=[float(batch.loss.percent) / 100],
    )


def compute_compositions(
    expanded: Expanded, batch: Batch, inputs: DrawnInputs, style: Style, basis: Basis
) -> Compositions:
    """The compositions of some draws, as formed or as added, of the poured or of the cured bar.

    No more than all the water leaves, whatever the loss drawn.
    """
    draws = len(inputs.water_g)
    masses = [
        _multiply_columns(inputs.lines_g[s.line], share)
        for s, share in zip(expanded.substances, inputs.shares, strict=True)
    ]
    lyes = _Lyes.of(batch, inputs)
    reaction = _react_substances(expanded, masses, inputs, lyes)
    if style is Style.FORMED:
        found = [
            p for p in _list_formed_portions(expanded.substances, masses, reaction, lyes) if p.there
        ]
    else:
        found = [p for p in _list_added_portions(expanded.substances, masses, lyes) if p.there]
    found.append(Portion(FROM_WATER, WATER_INCI, "water", inputs.water_g, True))
    poured = sum_columns((*inputs.lines_g, inputs.water_g, *inputs.lyes_g), draws)
    pool = sum_columns((portion.masses_g for portion in found if portion.dries), draws)
    lost = [min(most, p * loss) for most, p, loss in zip(pool, poured, inputs.loss, strict=True)]
    if basis is Basis.CURED:
        left = [(p - gone) / p if p else 0.0 for p, gone in zip(pool, lost, strict=True)]
        name = WATER_INCI if style is Style.FORMED else ""
        found = [_dry_portion(p, left, name) if p.dries else p for p in found]
    return Compositions(
        tuple(portion for portion in found if portion.there),
        poured,
        [p - gone for p, gone in zip(poured, lost, strict=True)],
        pool,
        reaction.superfat,
    )


def _multiply_columns(one: Column, other: Column) -> Column:
    return [a * b for a, b in zip(one, other, strict=True)]


def _dry_portion(portion: Portion, left: Column, name: str) -> Portion:
    rest = _multiply_columns(portion.masses_g, left)
    return Portion(portion.source, name or portion.inci, portion.became, rest, True)


# -- alkali ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Lyes:
    """Per alkali: grams pure, of water in a solution, and of the rest."""

    alkalis: tuple[Alkali, ...]
    pure_g: tuple[Column, ...]
    water_g: tuple[Column, ...]
    impurity_g: tuple[Column, ...]

    @staticmethod
    def of(batch: Batch, inputs: DrawnInputs) -> _Lyes:
        pure = tuple(map(_multiply_columns, inputs.lyes_g, inputs.strengths))
        rest = [
            [mass - grams for mass, grams in zip(masses, pures, strict=True)]
            for masses, pures in zip(inputs.lyes_g, pure, strict=True)
        ]
        nothing = [0.0] * len(inputs.water_g)
        dissolved = [lye.water_g > 0 for lye in batch.lyes]
        return _Lyes(
            alkalis=tuple(lye.alkali for lye in batch.lyes),
            pure_g=pure,
            water_g=tuple(g if wet else nothing for g, wet in zip(rest, dissolved, strict=True)),
            impurity_g=tuple(nothing if wet else g for g, wet in zip(rest, dissolved, strict=True)),
        )

    def pure(self, alkali: Alkali, draws: int) -> Column:
        found = zip(self.alkalis, self.pure_g, strict=True)
        return sum_columns((masses for which, masses in found if which is alkali), draws)


def _is_fat(substance: Substance) -> bool:
    return substance.saponification.value > 0 and not substance.dries


def _is_acid(substance: Substance) -> bool:
    return substance.material.kind is MaterialKind.HYDROXY_ACID


def _react_substances(
    expanded: Expanded, masses: Sequence[Column], inputs: DrawnInputs, lyes: _Lyes
) -> Reaction:
    draws = len(inputs.water_g)
    fats = [
        Fat(
            masses[i],
            inputs.saponification[i],
            inputs.acid[i],
            Yields.ALCOHOL if s.material.kind is MaterialKind.WAX else Yields.GLYCEROL,
            s.late,
        )
        for i, s in enumerate(expanded.substances)
        if _is_fat(s)
    ]
    acids = [
        HydroxyAcid(masses[i], float(s.material.molar_mass), s.material.alkali_per_mole)
        for i, s in enumerate(expanded.substances)
        if _is_acid(s)
    ]
    return react_with_alkali(
        fats, acids, lyes.pure(Alkali.NAOH, draws), lyes.pure(Alkali.KOH, draws)
    )


# -- the two styles --------------------------------------------------------------------------------


def _list_formed_portions(
    substances: Sequence[Substance], masses: Sequence[Column], reaction: Reaction, lyes: _Lyes
) -> Iterator[Portion]:
    fats, acids = iter(reaction.fats), iter(reaction.acids)
    for substance, grams in zip(substances, masses, strict=True):
        if _is_fat(substance):
            yield from _list_reaction_products(substance, next(fats))
        elif _is_acid(substance):
            yield from _list_reaction_products(substance, next(acids))
        else:
            became = WATER if substance.dries else AS_ADDED
            yield Portion(substance.line, substance.inci, became, grams, substance.dries)
    spare = {Alkali.NAOH: reaction.spare_naoh_g, Alkali.KOH: reaction.spare_koh_g}
    for n, alkali in enumerate(lyes.alkalis):
        source = FROM_LYE - n
        yield Portion(source, HYDROXIDE_INCI[alkali], Said("excess alkali"), spare[alkali])
        yield Portion(source, "", Said("impurity, not declared"), lyes.impurity_g[n])
        yield Portion(source, WATER_INCI, WATER_OF_LYE, lyes.water_g[n], True)


def _list_reaction_products(substance: Substance, outcome: ReactionOutcome) -> Iterator[Portion]:
    line, kind = substance.line, substance.material.kind
    what = Said("salt") if kind is MaterialKind.HYDROXY_ACID else Said("soap")
    alcohol_share = float(substance.material.alcohol.value) / 100
    for name, masses in (
        (find_soap_name(substance, Alkali.NAOH), outcome.sodium_g),
        (find_soap_name(substance, Alkali.KOH), outcome.potassium_g),
    ):
        became = what if name else Said("{what}, for which no settled name is known", what=what)
        if not alcohol_share:
            yield Portion(line, name or substance.inci, became, masses)
            continue
        soap_part = _soap_part(outcome, alcohol_share)
        alcohol = [mass * (1 - part) for mass, part in zip(masses, soap_part, strict=True)]
        yield Portion(line, name or substance.inci, became, _multiply_columns(masses, soap_part))
        yield Portion(line, name or substance.inci, Said("fatty alcohol"), alcohol)
    free = (
        Said("not neutralised")
        if kind is MaterialKind.HYDROXY_ACID
        else Said("free, not saponified")
    )
    yield Portion(line, substance.inci, free, outcome.free_g)
    yield Portion(line, GLYCERIN_INCI, Said("glycerin"), outcome.glycerol_g)
    yield Portion(line, WATER_INCI, Said("water of the reaction"), outcome.water_g, True)


def _soap_part(outcome: ReactionOutcome, alcohol_share: float) -> Column:
    """Which part of the salts is soap: the rest is the alcohol of a wax."""
    rows = zip(outcome.sodium_g, outcome.potassium_g, outcome.reacted_g, strict=True)
    return [
        1 - min(salts, reacted * alcohol_share) / salts if (salts := sodium + potassium) else 1.0
        for sodium, potassium, reacted in rows
    ]


def find_soap_name(substance: Substance, alkali: Alkali) -> str:
    """The INCI name of what a substance becomes; empty where no settled one is known."""
    if substance.named:
        return substance.named
    material = substance.material
    return material.sodium if alkali is Alkali.NAOH else material.potassium


def _list_added_portions(
    substances: Sequence[Substance], masses: Sequence[Column], lyes: _Lyes
) -> Iterator[Portion]:
    for substance, grams in zip(substances, masses, strict=True):
        name = substance.added_as or substance.inci
        yield Portion(substance.line, name, AS_ADDED, grams, substance.dries)
    for n, alkali in enumerate(lyes.alkalis):
        solid = list(map(float.__add__, lyes.pure_g[n], lyes.impurity_g[n]))
        yield Portion(FROM_LYE - n, HYDROXIDE_INCI[alkali], AS_ADDED, solid)
        yield Portion(FROM_LYE - n, WATER_INCI, WATER_OF_LYE, lyes.water_g[n], True)
