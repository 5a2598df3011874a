"""How the colours of a panel are written in a file: as light, as process inks, or as plates.

A run or an ornament knows its colour as #rrggbb. Black and greys are always black ink alone. Any
other colour is written as the printer takes it; a printing works prints each from a plate of its
own, a Separation (ISO 32000-1, 8.6.6.4) that shows as CIE L*a*b* where there is no such plate.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from labelkit.common.frozen import dataclass

D50 = (0.96422, 1.0, 0.82521)
"""The white that printed colour is measured by (ISO 13655; figures of ASTM E308, from memory)."""
_SRGB_TO_D50 = (
    (0.4360747, 0.3850649, 0.1430804),
    (0.2225045, 0.7168786, 0.0606169),
    (0.0139322, 0.0971045, 0.7141733),
)
"""Linear sRGB to CIE XYZ under D50, by Bradford (IEC 61966-2-1 with ISO 15076-1, annex E; figures
from memory, held against littleCMS in the tests)."""


@dataclass(frozen=True, slots=True)
class Plate:
    """A printing plate with a name of its own."""

    name: str
    """What the works calls it."""
    lab: tuple[float, float, float]
    """How its solid looks: CIE L*a*b* under D50."""


@dataclass(frozen=True)
class Inks:
    """How the colours of a document are written."""

    process: str = "rgb"
    """Of what has no plate: "rgb", as light, or "cmyk", as the inks of four-colour process."""
    plates: Mapping[str, Plate] = field(default_factory=dict)
    """Plates by the colour (#rrggbb) that they print."""

    def fill(self, colour: str) -> str:
        """The operators that set a fill colour."""
        return self._set(colour, ("cs", "scn"), ("g", "rg", "k"))

    def stroke(self, colour: str) -> str:
        return self._set(colour, ("CS", "SCN"), ("G", "RG", "K"))

    def bare_stroke(self, colour: str) -> str:
        """The operators of a stroke that leaves none of the ink of a colour with a plate."""
        return f"/{self.resource(self.plates[colour])} CS 0 SCN"

    def resource(self, plate: Plate) -> str:
        """The name by which a document's content calls a plate."""
        return f"Ink{list(self.plates.values()).index(plate)}"

    def _set(self, colour: str, own: tuple[str, str], process: tuple[str, str, str]) -> str:
        plate = self.plates.get(colour)
        if plate is not None:
            return f"/{self.resource(plate)} {own[0]} 1 {own[1]}"
        light = _split_channels(colour)
        if len(set(light)) == 1:
            return f"{format_pdf_number(light[0])} {process[0]}"
        values = light if self.process == "rgb" else convert_to_cmyk(light)
        return f"{' '.join(map(format_pdf_number, values))} {process[len(values) - 2]}"


LIGHT = Inks()
"""As screens show it, and as most printers in a workshop want it."""


def format_pdf_number(value: float) -> str:
    """A number for a content stream: at most five decimals, no trailing zeros, never "-0"."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def convert_to_cmyk(light: tuple[float, float, float]) -> tuple[float, ...]:
    """Red, green and blue (0 to 1) as process inks, all that is common to them in black.

    ISO 32000-1, 10.3.4, with black generation and undercolour removal in full.
    """
    black = 1 - max(light)
    if black == 1:
        return 0.0, 0.0, 0.0, 1.0
    return (*((1 - v - black) / (1 - black) for v in light), black)


def convert_to_lab(colour: str) -> tuple[float, float, float]:
    """An sRGB colour (#rrggbb) as CIE L*a*b* under D50, to two decimals.

    IEC 61966-2-1 for the curve, CIE 15 for L*a*b*.
    """
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
              for v in _split_channels(colour)]  # fmt: skip
    xyz = [sum(a * b for a, b in zip(row, linear, strict=True)) for row in _SRGB_TO_D50]
    x, y, z = (_bend(v / white) for v, white in zip(xyz, D50, strict=True))
    lightness, red_green, yellow_blue = 116 * y - 16, 500 * (x - y), 200 * (y - z)
    # Adding zero turns "-0" into "0".
    return round(lightness, 2) + 0.0, round(red_green, 2) + 0.0, round(yellow_blue, 2) + 0.0


def _bend(share: float) -> float:
    return share ** (1 / 3) if share > (6 / 29) ** 3 else share * (29 / 6) ** 2 / 3 + 4 / 29


def _split_channels(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue
