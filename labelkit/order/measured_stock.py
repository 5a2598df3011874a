"""Stock files written from the few distances that can be taken off a sheet with a ruler."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from labelkit.common.messages import FactList, Said

_THOUSANDTH = Decimal("0.001")
RULER_ERROR_MM = Decimal("0.5")
"""What two readings off a ruler may differ by and still be meant as the same."""


@dataclass(frozen=True, slots=True)
class StockMeasures:
    """A sheet of ready-cut labels as measured, in millimetres."""

    page: tuple[Decimal, Decimal]
    across: int
    down: int
    die: tuple[Decimal, Decimal]
    left_mm: Decimal
    """From the left edge of the page to the first label."""
    top_mm: Decimal
    span_across_mm: Decimal | None = None
    """From the left edge of the first label to that of the last in its row."""
    span_down_mm: Decimal | None = None
    shape: str = "rectangle"
    corner_mm: Decimal = Decimal(0)

    @property
    def pitch(self) -> tuple[Decimal, Decimal]:
        """The step from label to label: the long distance, divided by the steps it spans."""
        return (
            _compute_pitch(self.span_across_mm, self.across, self.die[0]),
            _compute_pitch(self.span_down_mm, self.down, self.die[1]),
        )

    @property
    def label(self) -> tuple[Decimal, Decimal]:
        """The size of a label. Where labels touch, the step between them measures it better."""
        return (
            _clip_die_to_pitch(self.die[0], self.pitch[0]),
            _clip_die_to_pitch(self.die[1], self.pitch[1]),
        )

    @property
    def title(self) -> str:
        count = self.across * self.down
        noun = "label" if count == 1 else "labels"
        return (
            f"{_format_decimal(self.page[0])} x {_format_decimal(self.page[1])} mm,"
            f" {count} {noun} of {_format_decimal(self.label[0])}"
            f" x {_format_decimal(self.label[1])} mm"
        )

    @property
    def as_read(self) -> FactList:
        """Every distance with the unit it was taken in."""
        lengths = {
            "left {mm} mm": self.left_mm,
            "top {mm} mm": self.top_mm,
            "span across {mm} mm": self.span_across_mm,
            "span down {mm} mm": self.span_down_mm,
            "corner {mm} mm": self.corner_mm or None,
        }
        sizes = {"page {size}": self.page, "label {size}": self.die}
        return FactList(
            [
                *(Said(told, size=_format_size(size)) for told, size in sizes.items()),
                *(
                    Said(told, mm=_format_decimal(mm))
                    for told, mm in lengths.items()
                    if mm is not None
                ),
            ]
        )

    def toml(self) -> str:
        """The stock file."""
        lines = [
            "# Measured with a ruler. Print `labelkit stock show` of it on plain paper and hold",
            "# both sheets against the light before a long run.",
            "labelkit = 1",
            f'title = "{self.title}"',
            'kind = "die"',
            f'page = "{_format_size(self.page)}"',
            f"across = {self.across}",
            f"down = {self.down}",
            f'die = "{_format_size(self.label)}"',
            f'shape = "{self.shape}"',
        ]
        if self.corner_mm:
            lines.append(f'corner = "{_format_decimal(self.corner_mm)} mm"')
        lines += [
            f'left = "{_format_decimal(self.left_mm)} mm"',
            f'top = "{_format_decimal(self.top_mm)} mm"',
            f'pitch = "{_format_size(self.pitch)}"',
            'unprintable = "4.5 mm" # common practice for laser and inkjet printers, no source',
        ]
        return "\n".join(lines) + "\n"


def _compute_pitch(span_mm: Decimal | None, count: int, die_mm: Decimal) -> Decimal:
    if span_mm is None or count == 1:
        return die_mm
    return (span_mm / (count - 1)).quantize(_THOUSANDTH, ROUND_HALF_EVEN)


def _clip_die_to_pitch(die_mm: Decimal, pitch_mm: Decimal) -> Decimal:
    return pitch_mm if pitch_mm < die_mm <= pitch_mm + RULER_ERROR_MM else die_mm


def _format_size(sides: tuple[Decimal, Decimal]) -> str:
    return f"{_format_decimal(sides[0])} x {_format_decimal(sides[1])} mm"


def _format_decimal(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent, to the thousandth."""
    text = f"{value.quantize(_THOUSANDTH, ROUND_HALF_EVEN):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
