"""The masses of a batch as the scales at hand show them, in two columns."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.scales import (
    Scale,
    ScaleUnit,
    find_other_scale,
    format_figure,
    format_on_scale,
)
from labelkit.plan.batching import BatchPlan, Scales, Weighing
from labelkit.report.phrasebook import Phrases


@dataclass(frozen=True)
class MassColumns:
    """What is weighed, as the scale shows it, and beside it in the other unit.

    Where all is weighed on scales of one unit it stands in the heading, else in every cell.
    """

    batch: BatchPlan
    scales: Scales
    say: Phrases

    @property
    def heading(self) -> tuple[str, str]:
        other = _find_other(self.scales.main).unit
        unit = self._unit
        lead = self.say("batch.on_scale") if unit is None else self.say(f"batch.in_{unit.value}")
        return lead, self.say(f"batch.in_{other.value}" if unit else "batch.other_unit")

    def cells(self, line: Weighing) -> tuple[str, str]:
        """The mass of a line in either column."""
        return self._pair(line.mass_g, line.scale, line.rounding)

    @property
    def total(self) -> tuple[str, str]:
        """What is poured, on the main scale."""
        lead, other = self._pair(self.batch.poured_g, self.scales.main, ROUND_HALF_UP)
        if self._unit is ScaleUnit.GRAMS:  # a column of ounces adds up
            ounces = sum((line.ounces for line in self.batch.weighings), Decimal(0))
            other = self.say.number(ounces)
        return lead, other

    @property
    def _unit(self) -> ScaleUnit | None:
        """What every line is shown in; None where that differs, or is pounds and ounces."""
        units = {line.scale.unit for line in self.batch.weighings} | {self.scales.main.unit}
        return units.pop() if len(units) == 1 and ScaleUnit.POUNDS not in units else None

    def _pair(self, mass_g: Decimal, scale: Scale, rounding: str) -> tuple[str, str]:
        write = format_figure if self._unit else format_on_scale
        locale = self.say.locale
        return (
            write(mass_g, scale, locale, rounding),
            write(mass_g, _find_other(scale), locale, rounding),
        )


def _find_other(scale: Scale) -> Scale:
    """A scale about as fine that shows grams where this one shows ounces, and ounces else."""
    unit = ScaleUnit.GRAMS if scale.is_avoirdupois else ScaleUnit.OUNCES
    return find_other_scale(scale, unit)
