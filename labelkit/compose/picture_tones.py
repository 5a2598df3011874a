"""How the tones of a picture lie: flat, as in a drawing, or running into each other as in a photo.

What is measured is the picture on white paper, without colour.
"""

from __future__ import annotations

import io
from decimal import Decimal
from typing import TYPE_CHECKING

from labelkit.common.frozen import dataclass

if TYPE_CHECKING:
    from PIL.Image import Image

LOOKED_AT = 2400
"""Pixels a side that are picked out of a large picture before anything is computed."""
SIDE = 600
"""Pixels a side of what is measured: a photograph runs as smoothly in so few."""
DARKEST, LIGHTEST = 24, 236
"""Tones of 256 that print as ink or as paper."""
MOST_STEP = 40
"""Tones by which pixels side by side differ where no edge runs between them."""
BANDS, MOST_HELD = 32, 0.8
"""Tones are counted in so many bands, of which the fewest are sought that hold this share."""
LEAST_SMOOTH = 0.08
FEWEST_BANDS = 4
"""A photograph has this share of its area in tones between ink and paper, without an edge, and they
spread over so many bands; the flat colours of a drawing take one or two each. All figures here are
labelkit's own judgement, tried on photographs and drawings."""
SEEN_MM = 0.5
"""Finer things run together at the length of an arm (labelkit's own judgement)."""


@dataclass(frozen=True, slots=True)
class PictureTones:
    """What a picture's tones say of how it prints."""

    continuous: bool
    """Whether it is like a photograph."""
    darkest: float
    lightest: float
    """Relative luminance (0 to 1) of its darkest and lightest part, as they are seen so small."""

    @property
    def contrast(self) -> Decimal:
        """Between the two (WCAG 2.2, "contrast ratio"); 1 where the picture is a block."""
        return Decimal(repr((self.lightest + 0.05) / (self.darkest + 0.05)))


def measure_tones(data: bytes, width_mm: float) -> PictureTones:
    """The tones of a PNG or JPEG picture printed so wide."""
    from PIL import Image

    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
        grey = _put_on_white(picture)
    cells = max(1, round(width_mm / SEEN_MM))
    rows = max(1, round(cells * grey.height / grey.width))
    seen = grey.resize((cells, rows), Image.Resampling.BOX).tobytes()
    return PictureTones(
        _has_continuous_tones(grey), _relative_luminance(min(seen)), _relative_luminance(max(seen))
    )


def _put_on_white(picture: Image) -> Image:
    """A picture of moderate size in greys, as it looks on white paper."""
    from PIL import Image

    if max(picture.size) > LOOKED_AT:
        picture.draft("RGB", (LOOKED_AT, LOOKED_AT))  # of a JPEG fewer pixels are decoded at all
        picture = picture.resize(_fit_size_within(picture, LOOKED_AT), Image.Resampling.NEAREST)
    if picture.mode.startswith("I"):  # sixteen bits
        picture = picture.point(lambda tone: tone * (1 / 256)).convert("L")
    picture = picture.convert("RGBA")
    paper = Image.new("RGBA", picture.size, "white")
    paper.alpha_composite(picture)
    grey = paper.convert("L")
    if max(grey.size) > SIDE:
        grey = grey.resize(_fit_size_within(grey, SIDE), Image.Resampling.BOX)
    return grey


def _fit_size_within(picture: Image, side: int) -> tuple[int, int]:
    scale = side / max(picture.size)
    return max(1, round(picture.width * scale)), max(1, round(picture.height * scale))


def _has_continuous_tones(grey: Image) -> bool:
    from PIL import ImageChops, ImageFilter

    step = ImageChops.difference(
        grey.filter(ImageFilter.MaxFilter(3)), grey.filter(ImageFilter.MinFilter(3))
    )
    smooth = step.point([255 if tone < MOST_STEP else 0 for tone in range(256)])
    counts = grey.histogram(smooth)
    between = [n if DARKEST <= tone < LIGHTEST else 0 for tone, n in enumerate(counts)]
    wide = 256 // BANDS
    bands = sorted((sum(between[i : i + wide]) for i in range(0, 256, wide)), reverse=True)
    total, held, fewest = sum(bands), 0, 0
    while held < MOST_HELD * total:
        held += bands[fewest]
        fewest += 1
    return total >= LEAST_SMOOTH * grey.width * grey.height and fewest >= FEWEST_BANDS


def _relative_luminance(tone: int) -> float:
    """Relative luminance of a grey (IEC 61966-2-1; WCAG 2.2, "relative luminance")."""
    value = tone / 255
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)
