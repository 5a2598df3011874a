"""The graphics state as far as it decides whether and how text prints (ISO 32000-1, 8.4, 9.3)."""

from __future__ import annotations

from typing import Any

from labelkit.pdf.read.areas import EVERYWHERE, Area
from labelkit.pdf.read.fonts import EmbeddedFont

_FILLED, _STROKED = {0, 2, 4, 6}, {1, 2, 5, 6}
"""Text rendering modes that fill and that stroke letters (9.3.6); 3 and 7 do neither."""
_FAINTEST_WHITE = 250
"""A channel of at least this prints no dot of ink."""


class GraphicsState:
    """Text state, fill colour, opacities and clip."""

    __slots__ = (
        "character_space", "clip", "colour", "fill_alpha", "font", "leading", "masked", "render",
        "rise", "size", "stretch", "stroke_alpha", "word_space",
    )  # fmt: skip

    def __init__(self, clip: Area = EVERYWHERE) -> None:
        self.font: EmbeddedFont | None = None
        self.size = 0.0
        self.character_space = 0.0
        self.word_space = 0.0
        self.stretch = 1.0
        self.leading = 0.0
        self.rise = 0.0
        self.render = 0
        self.colour = "#000000"
        self.fill_alpha = 1.0
        self.stroke_alpha = 1.0
        self.masked = False
        """Drawn through a soft mask, which may let nothing through: not taken to print."""
        self.clip = clip
        """What is visible of the page, as printed."""

    def copy(self) -> GraphicsState:
        other = GraphicsState.__new__(GraphicsState)
        other.font, other.size, other.colour = self.font, self.size, self.colour
        other.character_space, other.word_space = self.character_space, self.word_space
        other.stretch, other.leading, other.rise = self.stretch, self.leading, self.rise
        other.render, other.clip = self.render, self.clip
        other.fill_alpha, other.stroke_alpha = self.fill_alpha, self.stroke_alpha
        other.masked = self.masked
        return other

    def set_parameters(self, parameters: Any) -> None:
        """The opacities and the soft mask of a graphics state parameter dictionary (11.6.4)."""
        self.fill_alpha = float(parameters.get("/ca", self.fill_alpha))
        self.stroke_alpha = float(parameters.get("/CA", self.stroke_alpha))
        mask = parameters.get("/SMask")
        if mask is not None:
            self.masked = mask != "/None"

    @property
    def hidden(self) -> bool:
        """Whether text leaves no mark at all, whatever its place, or none that can be relied on."""
        if self.masked:
            return True
        filled = self.render in _FILLED and self.fill_alpha > 0
        return not filled and not (self.render in _STROKED and self.stroke_alpha > 0)

    @property
    def printed_colour(self) -> str:
        """The fill colour as it comes out on white."""
        if self.fill_alpha >= 1:
            return self.colour
        return format_hex_colour(
            [1 - self.fill_alpha * (1 - channel / 255) for channel in _split_channels(self.colour)]
        )


def format_hex_colour(channels: list[float]) -> str:
    """Red, green and blue from 0 to 1 as #rrggbb."""
    if not any(channels):
        return "#000000"
    return "#" + "".join(f"{round(min(1.0, max(0.0, v)) * 255):02x}" for v in channels)


def is_without_ink(colour: str) -> bool:
    """Whether a printer puts no ink where this colour is."""
    return colour >= "#f" and min(_split_channels(colour)) >= _FAINTEST_WHITE


def _split_channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
