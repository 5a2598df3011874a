"""How many pieces and bars an order takes, losses included."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from labelkit.common.frozen import dataclass
from labelkit.order.plan import Making


@dataclass(frozen=True, slots=True)
class Counts:
    """From the table back to the cutting board, in pieces."""

    guests: int
    spares: int
    """Spare pieces; a spare label alone is none."""
    wrapped_spoilt: int
    """Expected to be lost while wrapping. A label goes on the wrap, so they never get one."""
    kept: int
    cut_spoilt: int
    """Expected to be lost while cutting."""
    bars: int
    per_bar: int

    @property
    def labelled(self) -> int:
        """Pieces that are handed over, each with its labels."""
        return self.guests + self.spares

    @property
    def to_wrap(self) -> int:
        """Pieces that are wrapped, those lost in it too."""
        return self.labelled + self.wrapped_spoilt

    @property
    def needed(self) -> int:
        """Pieces to cut so that enough are left."""
        return self.to_wrap + self.kept + self.cut_spoilt

    @property
    def cut(self) -> int:
        """Pieces that whole bars give."""
        return self.bars * self.per_bar

    @property
    def over(self) -> int:
        """Pieces beyond what is needed, because bars are cut whole."""
        return self.cut - self.needed


def count_pieces(guests: int, spares: int, making: Making) -> Counts:
    """The pieces and bars of an order; what may be lost is always rounded up."""
    labelled = guests + spares
    wrapped = gross_up_count(labelled, making.wrapping_loss_percent)
    sound = wrapped + making.keep
    needed = gross_up_count(sound, making.cutting_loss_percent)
    return Counts(
        guests=guests,
        spares=spares,
        wrapped_spoilt=wrapped - labelled,
        kept=making.keep,
        cut_spoilt=needed - sound,
        bars=-(-needed // making.pieces_per_bar),
        per_bar=making.pieces_per_bar,
    )


def gross_up_count(wanted: int, loss_percent: Decimal) -> int:
    """How many to start with so that ``wanted`` are left after a loss, rounded up."""
    return int((wanted * 100 / (100 - loss_percent)).to_integral_value(ROUND_CEILING))
