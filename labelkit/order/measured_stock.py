"""Stock files written from the few distances that can be taken off a sheet with a ruler."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

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
            _step(self.span_across_mm, self.across, self.die[0]),
            _step(self.span_down_mm, self.down, self.die[1]),
        )

    @property
    def label(self) -> tuple[Decimal, Decimal]:
        """The size of a label. Where labels touch, the step between them measures it better."""
        return (_touching(self.die[0], self.pitch[0]), _touching(self.die[1], self.pitch[1]))

    @property
    def title(self) -> str:
        count = self.across * self.down
        noun = "label" if count == 1 else "labels"
        return (
            f"{_plain(self.page[0])} x {_plain(self.page[1])} mm,"
            f" {count} {noun} of {_plain(self.label[0])} x {_plain(self.label[1])} mm"
        )

    @property
    def as_read(self) -> str:
        """Every distance with the unit it was taken in."""
        corner = {"corner": self.corner_mm} if self.corner_mm else {}
        lengths = {
            "left": self.left_mm,
            "top": self.top_mm,
            "span across": self.span_across_mm,
            "span down": self.span_down_mm,
            **corner,
        }
        told = [f"{name} {_plain(mm)} mm" for name, mm in lengths.items() if mm is not None]
        return ", ".join([f"page {_size(self.page)}", f"label {_size(self.die)}", *told])

    def toml(self) -> str:
        """The stock file."""
        lines = [
            "# Measured with a ruler. Print `labelkit stock show` of it on plain paper and hold",
            "# both sheets against the light before a long run.",
            "labelkit = 1",
            f'title = "{self.title}"',
            'kind = "die"',
            f'page = "{_size(self.page)}"',
            f"across = {self.across}",
            f"down = {self.down}",
            f'die = "{_size(self.label)}"',
            f'shape = "{self.shape}"',
        ]
        if self.corner_mm:
            lines.append(f'corner = "{_plain(self.corner_mm)} mm"')
        lines += [
            f'left = "{_plain(self.left_mm)} mm"',
            f'top = "{_plain(self.top_mm)} mm"',
            f'pitch = "{_size(self.pitch)}"',
            'unprintable = "4.5 mm" # common practice for laser and inkjet printers, no source',
        ]
        return "\n".join(lines) + "\n"


def _step(span_mm: Decimal | None, count: int, die_mm: Decimal) -> Decimal:
    if span_mm is None or count == 1:
        return die_mm
    return (span_mm / (count - 1)).quantize(_THOUSANDTH, ROUND_HALF_EVEN)


def _touching(die_mm: Decimal, pitch_mm: Decimal) -> Decimal:
    return pitch_mm if pitch_mm < die_mm <= pitch_mm + RULER_ERROR_MM else die_mm


def _size(sides: tuple[Decimal, Decimal]) -> str:
    return f"{_plain(sides[0])} x {_plain(sides[1])} mm"


def _plain(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent, to the thousandth."""
    text = f"{value.quantize(_THOUSANDTH, ROUND_HALF_EVEN):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
