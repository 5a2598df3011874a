"""Stock files written from the few distances a ruler can take off a sheet or a roll."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said

_THOUSANDTH = Decimal("0.001")
RULER_ERROR_MM = Decimal("0.5")
"""What two readings off a ruler may differ by and still be meant as the same."""


@dataclass(frozen=True, slots=True)
class StockMeasures:
    """Ready-cut labels on a sheet or a roll as measured, in millimetres."""

    page: tuple[Decimal, Decimal]
    """Of a roll: its width, and the length of one label along it."""
    across: int
    down: int
    die: tuple[Decimal, Decimal]
    left_mm: Decimal | None
    """None: the labels stand in the middle. From the left edge of the page to the first label."""
    top_mm: Decimal | None
    span_across_mm: Decimal | None = None
    """From the left edge of the first label to that of the last in its row."""
    span_down_mm: Decimal | None = None
    shape: str = "rectangle"
    corner_mm: Decimal = Decimal(0)
    material: str = "paper"
    colour: str = ""
    """#rrggbb; "" for white."""
    feed_gap_mm: Decimal | None = None
    """Between two labels along a roll; None for a sheet."""
    roll_labels: int = 0
    """On a full roll; 0 where it is not known."""

    @property
    def is_roll(self) -> bool:
        return self.feed_gap_mm is not None

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
        if self.is_roll:
            return (
                f"Roll {_format_decimal(self.page[0])} mm wide, labels of"
                f" {_format_size(self.label)}"
            )
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
        if self.is_roll:
            told = [Said("roll {mm} mm wide", mm=_format_decimal(self.page[0]))]
        else:
            told = [Said("page {size}", size=_format_size(self.page))]
        told.append(Said("label {size}", size=_format_size(self.die)))
        left, top, gap = self.left_mm, self.top_mm, self.feed_gap_mm
        across, down = self.span_across_mm, self.span_down_mm
        corner = self.corner_mm or None
        rest = (
            (left, Said("left {mm} mm", mm=_format_known(left))),
            (top, Said("top {mm} mm", mm=_format_known(top))),
            (across, Said("span across {mm} mm", mm=_format_known(across))),
            (down, Said("span down {mm} mm", mm=_format_known(down))),
            (gap, Said("gap {mm} mm", mm=_format_known(gap))),
            (corner, Said("corner {mm} mm", mm=_format_known(corner))),
        )
        told += [said for mm, said in rest if mm is not None]
        return FactList(told)

    def toml(self) -> str:
        """The stock file."""
        known = {
            "left": self.left_mm,
            "top": self.top_mm,
            "corner": self.corner_mm or None,
            "feed_gap": self.feed_gap_mm,
        }
        lengths = {
            key: f'{key} = "{_format_decimal(mm)} mm"'
            for key, mm in known.items()
            if mm is not None
        }
        lines = [
            "# Measured with a ruler. Print `labelkit stock show` of it on plain paper and hold",
            "# both against the light before a long run.",
            "labelkit = 1",
            f'title = "{self.title}"',
            'kind = "roll"' if self.is_roll else 'kind = "die"',
            f'width = "{_format_decimal(self.page[0])} mm"'
            if self.is_roll
            else f'page = "{_format_size(self.page)}"',
            f"across = {self.across}",
        ]
        if not self.is_roll:
            lines.append(f"down = {self.down}")
        if self.roll_labels:
            lines.append(f"labels = {self.roll_labels}")
        lines += [f'die = "{_format_size(self.label)}"', f'shape = "{self.shape}"']
        lines += [lengths[key] for key in ("corner", "left", "top", "feed_gap") if key in lengths]
        if not self.is_roll or self.across > 1:
            lines.append(f'pitch = "{_format_size(self.pitch)}"')
        edge = "1 mm" if self.is_roll else "4.5 mm"
        printers = "label" if self.is_roll else "laser and inkjet"
        lines.append(f'unprintable = "{edge}" # common practice for {printers} printers, no source')
        if self.material != "paper":
            lines.append(f'material = "{self.material}"')
        if self.colour:
            lines.append(f'colour = "{self.colour}"')
        return "\n".join(lines) + "\n"


def _compute_pitch(span_mm: Decimal | None, count: int, die_mm: Decimal) -> Decimal:
    if span_mm is None or count == 1:
        return die_mm
    return (span_mm / (count - 1)).quantize(_THOUSANDTH, ROUND_HALF_EVEN)


def _clip_die_to_pitch(die_mm: Decimal, pitch_mm: Decimal) -> Decimal:
    return pitch_mm if pitch_mm < die_mm <= pitch_mm + RULER_ERROR_MM else die_mm


def _format_size(sides: tuple[Decimal, Decimal]) -> str:
    return f"{_format_decimal(sides[0])} x {_format_decimal(sides[1])} mm"


def _format_known(value: Decimal | None) -> str:
    return "" if value is None else _format_decimal(value)


def _format_decimal(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent, to the thousandth."""
    text = f"{value.quantize(_THOUSANDTH, ROUND_HALF_EVEN):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
