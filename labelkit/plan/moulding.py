"""From the weight of a piece to bars, moulds and the mass to pour, and what is left over."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said
from labelkit.order.plan import Making, Mould, MouldKind
from labelkit.plan.count import Counts

SLICE_STEP_MM = Decimal("0.5")
"""What a cutter's stop can be set to: common practice, no source."""

THINNEST_MM, THICKEST_MM = Decimal(8), Decimal(120)
"""A slice of soap that still holds together, and one that a hand still holds (labelkit's own
judgement)."""


LARGER_THAN_CUT = Decimal("1.1")
"""How much larger a wrapped piece may be a side than it is cut (labelkit's own judgement)."""


def goes_into_bar(piece_mm: Iterable[Decimal], bar_mm: Iterable[Decimal]) -> bool:
    """Whether a piece of these three sides, wrapped, can be cut of a bar of these."""
    sides = zip(sorted(piece_mm), sorted(bar_mm), strict=True)
    return all(piece <= bar * LARGER_THAN_CUT for piece, bar in sides)


def is_odd_slice(slice_mm: Decimal | None) -> bool:
    """Whether a loaf would be sliced as none is; False where none is sliced."""
    return slice_mm is not None and not THINNEST_MM <= slice_mm <= THICKEST_MM


@dataclass(frozen=True, slots=True)
class Moulding:
    """How the batch is shaped. Masses in grams as poured; a bar is cut into pieces."""

    bar_g: Decimal
    """One bar as sliced (or as a cavity holds it), which may be a little over what is needed."""
    bars_needed: int
    bars_made: int
    moulds: int
    """How many loaves (or filled sets of cavities) are poured; zero when no mould is measured."""
    bars_per_mould: int
    slice_mm: Decimal | None
    """How thick a loaf is sliced."""
    moulded_g: Decimal
    """In all moulds together."""
    ends_g: Decimal
    """Ends and offcuts of the moulded mass."""
    density_g_ml: Decimal

    @property
    def bars_over(self) -> int:
        return self.bars_made - self.bars_needed

    @property
    def volume_ml(self) -> Decimal:
        return self.moulded_g / self.density_g_ml

    def target_g(self, pot_loss_percent: Decimal) -> Decimal:
        """The mass to weigh out, with what stays in the pot."""
        return self.moulded_g * 100 / (100 - pot_loss_percent)


def plan_moulding(counts: Counts, piece_g: Decimal, making: Making, source: str) -> Moulding:
    """Bars and moulds for pieces of ``piece_g`` as cut.

    Raises InputError (naming ``source``) when the mould is smaller than one bar.
    """
    wanted_g = piece_g * counts.per_bar
    mould = making.mould
    if mould is None:
        return _plan_without_mould(counts, wanted_g, making)
    density = making.density_g_ml
    if mould.kind is MouldKind.CAVITIES:
        return _plan_cavities(counts, mould, density)
    loaf_g = mould.volume_ml * density
    if mould.kind is MouldKind.VOLUME:
        ends_g = loaf_g * making.offcuts_percent / 100
        return _plan_loaves(counts, wanted_g, _Loaf(loaf_g, ends_g), None, density, source)
    per_mm_g = mould.width_mm * mould.fill_mm / 1000 * density
    thickness = _round_up(wanted_g / per_mm_g, SLICE_STEP_MM)
    loaf = _Loaf(loaf_g, mould.ends_mm * per_mm_g, mould.divider)
    return _plan_loaves(counts, thickness * per_mm_g, loaf, thickness, density, source)


@dataclass(frozen=True, slots=True)
class _Loaf:
    """One loaf as poured: its mass, what is cut off its ends, whether the last may be shorter."""

    mass_g: Decimal
    ends_g: Decimal
    divider: bool = False

    def last_g(self, bars_g: Decimal) -> Decimal:
        """The mass of the last loaf, of which ``bars_g`` becomes bars."""
        return bars_g + self.ends_g if self.divider else self.mass_g


def _plan_without_mould(counts: Counts, bar_g: Decimal, making: Making) -> Moulding:
    bars_g = bar_g * counts.bars
    moulded_g = bars_g * 100 / (100 - making.offcuts_percent)
    return Moulding(
        bar_g=bar_g,
        bars_needed=counts.bars,
        bars_made=counts.bars,
        moulds=0,
        bars_per_mould=0,
        slice_mm=None,
        moulded_g=moulded_g,
        ends_g=moulded_g - bars_g,
        density_g_ml=making.density_g_ml,
    )


def _plan_cavities(counts: Counts, mould: Mould, density: Decimal) -> Moulding:
    """Only as many cavities are filled as there are bars to make."""
    bar_g = mould.volume_ml * density
    return Moulding(
        bar_g=bar_g,
        bars_needed=counts.bars,
        bars_made=counts.bars,
        moulds=-(-counts.bars // mould.cavities),
        bars_per_mould=mould.cavities,
        slice_mm=None,
        moulded_g=bar_g * counts.bars,
        ends_g=Decimal(0),
        density_g_ml=density,
    )


def _plan_loaves(
    counts: Counts,
    bar_g: Decimal,
    loaf: _Loaf,
    slice_mm: Decimal | None,
    density: Decimal,
    source: str,
) -> Moulding:
    """Whole loaves; the last may be filled in part, or gives bars beyond those needed."""
    per_loaf = int(((loaf.mass_g - loaf.ends_g) / bar_g).to_integral_value(ROUND_FLOOR))
    if per_loaf < 1:
        expected = Said(
            "is too small for one bar of {bar_g} g as poured", bar_g=Number(Decimal(bar_g), 0)
        )
        raise InputError(format_path(source), "plan.mould", None, expected)
    loaves = -(-counts.bars // per_loaf)
    last = counts.bars - per_loaf * (loaves - 1) if loaf.divider else per_loaf
    made = per_loaf * (loaves - 1) + last
    moulded_g = loaf.mass_g * (loaves - 1) + loaf.last_g(bar_g * last)
    return Moulding(
        bar_g=bar_g,
        bars_needed=counts.bars,
        bars_made=made,
        moulds=loaves,
        bars_per_mould=per_loaf,
        slice_mm=slice_mm,
        moulded_g=moulded_g,
        ends_g=moulded_g - bar_g * made,
        density_g_ml=density,
    )


def _round_up(value: Decimal, step: Decimal) -> Decimal:
    return (value / step).to_integral_value(ROUND_CEILING) * step


@dataclass(frozen=True, slots=True)
class MassBalance:
    """Where the poured mass goes; the parts sum to the whole. Grams as poured."""

    poured_g: Decimal
    pieces_g: Decimal
    """In the pieces that are needed."""
    over_g: Decimal
    """In pieces and bars beyond those."""
    ends_g: Decimal
    pot_g: Decimal


def balance_masses(poured_g: Decimal, moulding: Moulding, counts: Counts) -> MassBalance:
    """Sets the mass weighed out against where it goes."""
    piece_g = moulding.bar_g / counts.per_bar
    bars_g = moulding.bar_g * moulding.bars_made
    pieces_g = piece_g * counts.needed
    return MassBalance(
        poured_g=poured_g,
        pieces_g=pieces_g,
        over_g=bars_g - pieces_g,
        ends_g=moulding.ends_g,
        pot_g=poured_g - moulding.moulded_g,
    )
