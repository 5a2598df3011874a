"""The graphics state as far as it decides how text is set (ISO 32000-1, 8.4, 9.3)."""

from __future__ import annotations

from typing import Any

from labelkit.pdf.read.fonts import EmbeddedFont


class GraphicsState:
    """Text state, fill colour and its opacity."""

    __slots__ = (
        "character_space", "colour", "fill_alpha", "font", "leading", "rise", "size", "stretch",
        "word_space",
    )  # fmt: skip

    def __init__(self) -> None:
        self.font: EmbeddedFont | None = None
        self.size = 0.0
        self.character_space = 0.0
        self.word_space = 0.0
        self.stretch = 1.0
        self.leading = 0.0
        self.rise = 0.0
        self.colour = "#000000"
        self.fill_alpha = 1.0

    def copy(self) -> GraphicsState:
        other = GraphicsState.__new__(GraphicsState)
        other.font, other.size, other.colour = self.font, self.size, self.colour
        other.character_space, other.word_space = self.character_space, self.word_space
        other.stretch, other.leading, other.rise = self.stretch, self.leading, self.rise
        other.fill_alpha = self.fill_alpha
        return other

    def set_parameters(self, parameters: Any) -> None:
        """The opacity of a graphics state parameter dictionary (11.6.4)."""
        self.fill_alpha = float(parameters.get("/ca", self.fill_alpha))

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


def _split_channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
