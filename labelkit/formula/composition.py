"""What is in the bar: every substance with its grams, the line it came from and what it became.

One function makes the composition from a draw of the inputs, so that the figure declared and the
ranges around it come from the same chemistry. Masses are grams in floats.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from labelkit.formula.batch import Batch
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.expand import Expanded, Substance
from labelkit.formula.reaction import Fat, HydroxyAcid, Outcome, Reaction, Yields, react
from labelkit.order.recipe import Alkali, Kind

WATER_INCI = "Water"
GLYCERIN_INCI = "Glycerin"
HYDROXIDE_INCI = {Alkali.NAOH: "Sodium Hydroxide", Alkali.KOH: "Potassium Hydroxide"}

NEGLIGIBLE_G = 1e-6
"""Less is a remainder of floating-point arithmetic, not a substance."""

FROM_WATER = -1
"""Source of plain water; lye number n has the source ``FROM_LYE - n``."""
FROM_LYE = -2


@dataclass(frozen=True, slots=True)
class Draw:
    """One set of inputs. Shares from 0 to 1, masses in grams, titrations in mg KOH per g."""

    lines_g: Sequence[float]
    shares: Sequence[float]
    saponification: Sequence[float]
    acid: Sequence[float]
    lyes_g: Sequence[float]
    """As weighed."""
    strengths: Sequence[float]
    """The pure alkali of each lye as a share of what is weighed, from 0 to 1."""
    water_g: float
    loss: float
    """Share of the poured mass."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some grams of a substance in the bar. ``inci`` is empty for what is not declared."""

    source: int
    """Index of the recipe's line, FROM_WATER, or FROM_LYE and below."""
    inci: str
    became: str
    mass_g: float


@dataclass(frozen=True, slots=True)
class Composition:
    pieces: tuple[Piece, ...]
    poured_g: float
    cured_g: float
    water_g: float
    """Water there is to lose before cure."""
    superfat: float

    @property
    def lost_g(self) -> float:
        return self.poured_g - self.cured_g


def nominal(expanded: Expanded, batch: Batch) -> Draw:
    """The draw of the declared figures themselves."""
    return Draw(
        lines_g=[float(line.mass_g) for line in expanded.lines],
        shares=[float(s.share.value) for s in expanded.substances],
        saponification=[float(s.saponification.value) for s in expanded.substances],
        acid=[float(s.acid.value) for s in expanded.substances],
        lyes_g=[float(lye.weighed_g) for lye in batch.lyes],
        strengths=[float(lye.strength.value) for lye in batch.lyes],
        water_g=float(batch.water_g),
        loss=float(batch.loss.percent) / 100,
    )


def compose(
    expanded: Expanded, batch: Batch, draw: Draw, style: Style, basis: Basis
) -> Composition:
    """The composition of one draw, as formed or as added, of the poured or of the cured bar.

    No more than all the water leaves, whatever the loss drawn.
    """
    masses = [
        draw.lines_g[s.line] * share
        for s, share in zip(expanded.substances, draw.shares, strict=True)
    ]
    lyes = _Lyes.of(batch, draw)
    reaction = _react(expanded, masses, draw, lyes)
    if style is Style.FORMED:
        found = list(_formed(expanded.substances, masses, reaction, lyes))
    else:
        found = list(_added(expanded.substances, masses, lyes))
    found.append((Piece(FROM_WATER, WATER_INCI, "water", draw.water_g), True))
    poured = sum(draw.lines_g) + draw.water_g + sum(draw.lyes_g)
    pool = sum(piece.mass_g for piece, dries in found if dries)
    lost = min(pool, poured * draw.loss)
    if basis is Basis.CURED:
        left = (pool - lost) / pool if pool else 0.0
        name = WATER_INCI if style is Style.FORMED else ""
        found = [(_dried(p, left, name) if dries else p, dries) for p, dries in found]
    pieces = tuple(piece for piece, _ in found if piece.mass_g > NEGLIGIBLE_G)
    return Composition(pieces, poured, poured - lost, pool, reaction.superfat)


def _dried(piece: Piece, left: float, name: str) -> Piece:
    return Piece(piece.source, name or piece.inci, piece.became, piece.mass_g * left)


# -- alkali ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Lyes:
    """Per alkali: grams pure, of water in a solution, and of the rest."""

    alkalis: tuple[Alkali, ...]
    pure_g: tuple[float, ...]
    water_g: tuple[float, ...]
    impurity_g: tuple[float, ...]

    @staticmethod
    def of(batch: Batch, draw: Draw) -> _Lyes:
        pure = tuple(
            mass * strength for mass, strength in zip(draw.lyes_g, draw.strengths, strict=True)
        )
        rest = [mass - grams for mass, grams in zip(draw.lyes_g, pure, strict=True)]
        dissolved = [lye.water_g > 0 for lye in batch.lyes]
        return _Lyes(
            alkalis=tuple(lye.alkali for lye in batch.lyes),
            pure_g=pure,
            water_g=tuple(g if wet else 0.0 for g, wet in zip(rest, dissolved, strict=True)),
            impurity_g=tuple(0.0 if wet else g for g, wet in zip(rest, dissolved, strict=True)),
        )

    def pure(self, alkali: Alkali) -> float:
        found = zip(self.alkalis, self.pure_g, strict=True)
        return sum(mass for which, mass in found if which is alkali)


def _is_fat(substance: Substance) -> bool:
    return substance.saponification.value > 0 and not substance.dries


def _is_acid(substance: Substance) -> bool:
    return substance.material.kind is Kind.HYDROXY_ACID


def _react(expanded: Expanded, masses: Sequence[float], draw: Draw, lyes: _Lyes) -> Reaction:
    fats = [
        Fat(
            masses[i],
            draw.saponification[i],
            draw.acid[i],
            Yields.ALCOHOL if s.material.kind is Kind.WAX else Yields.GLYCEROL,
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
    return react(fats, acids, lyes.pure(Alkali.NAOH), lyes.pure(Alkali.KOH))


# -- the two styles: pieces, each with whether it is water that may leave -------------------------


def _formed(
    substances: Sequence[Substance], masses: Sequence[float], reaction: Reaction, lyes: _Lyes
) -> Iterator[tuple[Piece, bool]]:
    fats, acids = iter(reaction.fats), iter(reaction.acids)
    for substance, mass in zip(substances, masses, strict=True):
        if _is_fat(substance):
            yield from _products(substance, next(fats))
        elif _is_acid(substance):
            yield from _products(substance, next(acids))
        else:
            became = "water" if substance.dries else "as added"
            yield Piece(substance.line, substance.inci, became, mass), substance.dries
    spare = {Alkali.NAOH: reaction.spare_naoh_g, Alkali.KOH: reaction.spare_koh_g}
    for n, alkali in enumerate(lyes.alkalis):
        source = FROM_LYE - n
        yield Piece(source, HYDROXIDE_INCI[alkali], "excess alkali", spare[alkali]), False
        yield Piece(source, "", "impurity, not declared", lyes.impurity_g[n]), False
        yield Piece(source, WATER_INCI, "water of the lye solution", lyes.water_g[n]), True


def _products(substance: Substance, outcome: Outcome) -> Iterator[tuple[Piece, bool]]:
    line, kind = substance.line, substance.material.kind
    what = "salt" if kind is Kind.HYDROXY_ACID else "soap"
    salts = outcome.sodium_g + outcome.potassium_g
    alcohol = min(salts, outcome.reacted_g * float(substance.material.alcohol.value) / 100)
    soap_part = 1 - alcohol / salts if salts else 0.0
    for name, mass in (
        (soap_name(substance, Alkali.NAOH), outcome.sodium_g),
        (soap_name(substance, Alkali.KOH), outcome.potassium_g),
    ):
        became = what if name else f"{what}, for which no settled name is known"
        yield Piece(line, name or substance.inci, became, mass * soap_part), False
        yield Piece(line, name or substance.inci, "fatty alcohol", mass * (1 - soap_part)), False
    free = "not neutralised" if kind is Kind.HYDROXY_ACID else "free, not saponified"
    yield Piece(line, substance.inci, free, outcome.free_g), False
    yield Piece(line, GLYCERIN_INCI, "glycerin", outcome.glycerol_g), False
    yield Piece(line, WATER_INCI, "water of the reaction", outcome.water_g), True


def soap_name(substance: Substance, alkali: Alkali) -> str:
    """The INCI name of what a substance becomes; empty where no settled one is known."""
    if substance.named:
        return substance.named
    material = substance.material
    return material.sodium if alkali is Alkali.NAOH else material.potassium


def _added(
    substances: Sequence[Substance], masses: Sequence[float], lyes: _Lyes
) -> Iterator[tuple[Piece, bool]]:
    for substance, mass in zip(substances, masses, strict=True):
        name = substance.added_as or substance.inci
        yield Piece(substance.line, name, "as added", mass), substance.dries
    for n, alkali in enumerate(lyes.alkalis):
        solid = lyes.pure_g[n] + lyes.impurity_g[n]
        yield Piece(FROM_LYE - n, HYDROXIDE_INCI[alkali], "as added", solid), False
        yield Piece(FROM_LYE - n, WATER_INCI, "water of the lye solution", lyes.water_g[n]), True
