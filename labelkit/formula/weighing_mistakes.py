"""Common mistakes at the scale, tried on a batch before it is poured, and one figure to check.

What is told of a batch here goes by the same range of its inputs as its superfat does: a mistake
counts as caustic as soon as that range does not rule out that lye is left over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import ROUND_FLOOR, Decimal
from itertools import pairwise

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Said, Term
from labelkit.common.quantity import GRAMS_PER_OUNCE
from labelkit.formula.batch import (
    MOLAR_MASS,
    Batch,
    LyeWeighed,
    compute_expanded_batch,
    round_to_scale,
)
from labelkit.formula.declaration import SuperfatRange
from labelkit.formula.expand import Expanded, expand_recipe
from labelkit.formula.materials import merge_own_materials
from labelkit.formula.work import drop_repeats
from labelkit.order.recipe import MOST_SUPERFAT_PERCENT, Alkali, Lye, MaterialKind, Recipe

_HUNDREDTH = Decimal("0.01")
_OTHER = {Alkali.NAOH: Alkali.KOH, Alkali.KOH: Alkali.NAOH}


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake, and what the batch would be after it."""

    key: str
    """A name for programs: "other-alkali", "purity", "oils-in-ounces" ..."""
    what: Said
    superfat_percent: Decimal
    low_percent: Decimal
    """The low end of the range that the inputs leave it."""
    left_over_percent: Decimal
    """Of all the lye, what finds neither oil nor acid."""

    @property
    def is_caustic(self) -> bool:
        """Whether lye is left over, or could be."""
        return self.low_percent <= 0

    @property
    def told(self) -> Said:
        """The mistake and what comes of it, as part of a list."""
        if self.superfat_percent < 0:
            left = Number(self.left_over_percent, 1)
            return Said("{what}: {share} % of the lye left over", what=self.what, share=left)
        superfat = Number(self.superfat_percent, 1)
        if self.is_caustic:
            low = Number(self.low_percent, 1)
            return Said("{what}: superfat {superfat} %, {low} % at the low end", what=self.what,
                        superfat=superfat, low=low)  # fmt: skip
        return Said("{what}: superfat {superfat} %", what=self.what, superfat=superfat)


@dataclass(frozen=True, slots=True)
class ScaleCheck:
    """What lye weighs in percent of the oils, as both stand on the scale, and what it may weigh.

    ``most_percent`` is where the low end of the superfat reaches zero, ``least_percent`` where the
    superfat reaches ``soft_percent``. All are rounded down to 0.01 %, so they compare as they are.
    """

    share_percent: Decimal
    least_percent: Decimal
    most_percent: Decimal
    soft_percent: Decimal = MOST_SUPERFAT_PERCENT

    @property
    def ends(self) -> Said:
        """Between what the share must lie."""
        return Said(
            "{least} to {most} %",
            least=Number(self.least_percent, 2),
            most=Number(self.most_percent, 2),
        )

    @property
    def told(self) -> Said:
        return Said(
            "Check at the scale: the lye must weigh {ends} of the oils; here: {share} %",
            ends=self.ends,
            share=Number(self.share_percent, 2),
        )

    @property
    def why(self) -> Said:
        """What the ends of the interval mean."""
        return Said(
            "Above {most} % lye may be left over; below {least} % the superfat is over {soft} %",
            most=Number(self.most_percent, 2),
            least=Number(self.least_percent, 2),
            soft=Number(self.soft_percent),
        )


@dataclass(frozen=True, slots=True)
class WeighingCheck:
    """What a maker checks before pouring."""

    scale: ScaleCheck | None
    """None where no lye is weighed."""
    mistakes: tuple[Mistake, ...]

    @property
    def caustic(self) -> tuple[Mistake, ...]:
        return tuple(mistake for mistake in self.mistakes if mistake.is_caustic)

    @property
    def harmless(self) -> tuple[Mistake, ...]:
        """Those that leave no lye over, whatever else they spoil."""
        return tuple(mistake for mistake in self.mistakes if not mistake.is_caustic)


def check_weighing(recipe: Recipe, superfat: SuperfatRange) -> WeighingCheck:
    """Tries the common mistakes on the batch of a recipe.

    ``superfat`` is that of the recipe, for its range; the recipe may be a scaled batch of the one
    that was declared. Raises InputError for what cannot be weighed.
    """
    expanded = expand_recipe(recipe, merge_own_materials(recipe))
    batch = compute_expanded_batch(recipe, expanded)
    tried = _TriedBatch(recipe, expanded, batch, superfat.strongest)
    return WeighingCheck(tried.scale_check(), tuple(tried.mistakes()))


def lye_to_weigh_g(recipe: Recipe, lye: LyeWeighed) -> Decimal:
    """Grams of lye as the scale shows them; what was given in grams stays as it is."""
    counted = recipe.superfat is not None
    return round_to_scale(lye.weighed_g, recipe.scale_g) if counted else lye.weighed_g


@dataclass(frozen=True, slots=True)
class _PotContents:
    """What meets in the pot, in mol of alkali: what the lye brings, and what takes it."""

    lye: Decimal
    acids: Decimal
    fats: Decimal


class _TriedBatch:
    """A batch on which mistakes are tried; ``strongest`` is what its lye may be worth of itself."""

    def __init__(
        self, recipe: Recipe, expanded: Expanded, batch: Batch, strongest: Decimal
    ) -> None:
        self._recipe, self._expanded, self._batch = recipe, expanded, batch
        self._strongest = strongest
        self._lines = [_PotContents(Decimal(0), *taken) for taken in _list_alkali_takers(expanded)]
        self._pot = _PotContents(
            _sum_alkali_mol(batch.lyes),
            sum((line.acids for line in self._lines), Decimal(0)),
            sum((line.fats for line in self._lines), Decimal(0)),
        )

    def scale_check(self) -> ScaleCheck | None:
        pot, batch = self._pot, self._batch
        if not pot.lye:
            return None
        per_mol = batch.lye_g / pot.lye / batch.oils_g
        weighed = sum((lye_to_weigh_g(self._recipe, lye) for lye in batch.lyes), Decimal(0))
        soft = (100 - MOST_SUPERFAT_PERCENT) / 100
        return ScaleCheck(
            share_percent=_round_to_hundredths(100 * weighed / batch.oils_g),
            least_percent=_round_to_hundredths(100 * per_mol * (pot.acids + pot.fats * soft)),
            most_percent=_round_to_hundredths(
                100 * per_mol * (pot.acids + pot.fats / self._strongest)
            ),
        )

    def mistakes(self) -> Iterator[Mistake]:
        pot = self._pot
        yield self._other_alkali()
        yield from self._purity()
        yield self._made(
            "oils-in-ounces",
            Said("the oils weighed in grams by their figures in ounces"),
            replace(pot, fats=pot.fats / GRAMS_PER_OUNCE),
        )
        yield self._made(
            "lye-in-ounces",
            Said("the lye weighed in grams by its figure in ounces"),
            replace(pot, lye=pot.lye / GRAMS_PER_OUNCE),
        )
        yield from self._forgotten()
        yield self._made(
            "lye-doubled",
            Said("the lye doubled and the rest not"),
            replace(pot, lye=2 * pot.lye),
        )
        yield self._made(
            "lye-not-doubled",
            Said("the batch doubled and the lye not"),
            replace(pot, acids=2 * pot.acids, fats=2 * pot.fats),
        )

    def _other_alkali(self) -> Mistake:
        """Solid lye is then taken for pure: how pure the other tub is, is not known."""
        lyes = self._batch.lyes
        if len(lyes) > 1:
            (one, two), (first, second) = lyes, self._recipe.lyes
            alkali = _stated_strength(first) * two.weighed_g / MOLAR_MASS[one.alkali]
            alkali += _stated_strength(second) * one.weighed_g / MOLAR_MASS[two.alkali]
            what = Said("{one} and {two} exchanged", one=one.alkali.value, two=two.alkali.value)
        else:
            (lye,), (spec,) = lyes, self._recipe.lyes
            other = _OTHER[lye.alkali]
            pure = lye.weighed_g if spec.concentration_percent is None else lye.pure_g
            alkali = pure / MOLAR_MASS[other]
            what = Said("{other} weighed instead of {alkali}", other=other.value,
                        alkali=lye.alkali.value)  # fmt: skip
        return self._made("other-alkali", what, replace(self._pot, lye=alkali))

    def _purity(self) -> Iterator[Mistake]:
        """The strongest lye that the recipe's percentages are with two digits exchanged."""
        found = []
        for weighed, lye in zip(self._batch.lyes, self._recipe.lyes, strict=True):
            typed = 100 * _stated_strength(lye)
            for real in _exchange_digits(typed) if lye.purity_given else ():
                more = weighed.weighed_g * (real - typed) / 100 / MOLAR_MASS[lye.alkali]
                what = Said(
                    "{alkali} of {real} %, not of {typed} %",
                    alkali=lye.alkali.value,
                    real=Number(real),
                    typed=Number(typed),
                )
                pot = replace(self._pot, lye=self._pot.lye + more)
                found.append(self._made("purity", what, pot))
        yield from sorted(found, key=lambda mistake: mistake.superfat_percent)[:1]

    def _forgotten(self) -> Iterator[Mistake]:
        """Of all that takes lye, what is missed most; with it whatever else must not be missed."""
        found: list[tuple[Term, Mistake]] = []
        for line, taken in zip(self._expanded.lines, self._lines, strict=True):
            pot = replace(
                self._pot, acids=self._pot.acids - taken.acids, fats=self._pot.fats - taken.fats
            )
            if (taken.acids or taken.fats) and pot.fats > 0:
                name = Term("material", line.name)
                made = self._made("forgotten", Said("{names} forgotten", names=name), pot)
                found.append((name, made))
        found.sort(key=lambda pair: pair[1].superfat_percent)
        names = drop_repeats(name for name, made in found if made.is_caustic)
        if len(names) > 1:
            what = Said(
                "{names} forgotten (the first would be the worst)", names=FactList(names, "or")
            )
            yield replace(found[0][1], what=what)
        else:
            yield from (made for _, made in found[:1])

    def _made(self, key: str, what: Said, pot: _PotContents) -> Mistake:
        share = max(Decimal(0), pot.lye - pot.acids) / pot.fats
        left = max(Decimal(0), pot.lye - pot.acids - pot.fats)
        return Mistake(
            key=key,
            what=what,
            superfat_percent=100 * (1 - share),
            low_percent=100 * (1 - share * self._strongest),
            left_over_percent=100 * left / pot.lye if left else Decimal(0),
        )


def _list_alkali_takers(expanded: Expanded) -> Iterator[tuple[Decimal, Decimal]]:
    """What each line's acids and fats take, in mol of alkali."""
    for index in range(len(expanded.lines)):
        acids = fats = Decimal(0)
        for substance in expanded.substances:
            if substance.line != index:
                continue
            mass, material = expanded.mass_g(substance), substance.material
            fats += mass * substance.saponification.value / 1000 / MOLAR_MASS[Alkali.KOH]
            if material.kind is MaterialKind.HYDROXY_ACID:
                acids += mass / material.molar_mass * material.alkali_per_mole
        yield acids, fats


def _sum_alkali_mol(lyes: tuple[LyeWeighed, ...]) -> Decimal:
    return sum((lye.pure_g / MOLAR_MASS[lye.alkali] for lye in lyes), Decimal(0))


def _stated_strength(lye: Lye) -> Decimal:
    """Pure alkali in what is weighed, from 0 to 1."""
    given = lye.concentration_percent
    return (lye.purity_percent if given is None else given) / 100


def _exchange_digits(percent: Decimal) -> Iterator[Decimal]:
    """The other percentages that a percentage is with two neighbouring digits exchanged."""
    figure = f"{percent.normalize():f}"
    places = [place for place, letter in enumerate(figure) if letter.isdigit()]
    for one, two in pairwise(places):
        letters = list(figure)
        letters[one], letters[two] = letters[two], letters[one]
        other = Decimal("".join(letters))
        if letters[0] != "0" and other != percent and other <= 100:
            yield other


def _round_to_hundredths(percent: Decimal) -> Decimal:
    return percent.quantize(_HUNDREDTH, ROUND_FLOOR)
