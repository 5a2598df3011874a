"""The maker's own logo: a PNG or JPEG picture, or the filled shapes of an SVG drawing."""

from __future__ import annotations

import hashlib
from dataclasses import field
from pathlib import Path

from labelkit.common.confined import recall_confined
from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.reader import read_bytes

MAX_LOGO_BYTES = 20_000_000
WITH_SHAPES = Said("expected a PNG, a JPEG, or an SVG of filled shapes")
LONGEST_ASPECT = 20.0
"""So many times as long as wide a logo may be."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """SVG path data (y down) filled by the non-zero or the even-odd rule."""

    path: str
    even_odd: bool = False
    colour: str | None = None
    """sRGB as #rrggbb; None: in the label's own ink, as every drawing of one colour."""


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo that has been read; ``picture`` of a picture, ``drawings`` of an SVG."""

    path: Path
    aspect: float
    """Width over height."""
    digest: str
    """SHA-256 of the file."""
    pixels: tuple[int, int] | None = None
    """Width and height of the picture."""
    picture: bytes = field(default=b"", repr=False)
    """A PNG of the file's pixels and nothing else, upright and in sRGB."""
    drawings: tuple[Drawing, ...] = ()
    view: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0)
    """What the drawings cover: x, y, width, height (y down)."""


def read_logo(path: Path) -> Logo:
    """The logo of a file; InputError in one line for what cannot be printed as it looks.

    An SVG may hold groups and shapes and nothing else: no text, pictures, scripts, entities or
    references. Its strokes become areas of their width.
    """
    data = read_bytes(path, Said("a logo (PNG, JPEG or SVG)"), MAX_LOGO_BYTES)
    return recall_confined(format_path(path), parse_logo, data, path)


def parse_logo(data: bytes, path: Path) -> Logo:
    """The logo of the bytes of a file."""
    from labelkit.order.logo_drawing import parse_drawing
    from labelkit.order.logo_picture import parse_picture

    name, digest = format_path(path), hashlib.sha256(data).hexdigest()
    if data[:8] == b"\x89PNG\r\n\x1a\n" or data[:3] == b"\xff\xd8\xff":
        picture, pixels = parse_picture(data, name)
        logo = Logo(path, pixels[0] / pixels[1], digest, pixels=pixels, picture=picture)
    elif b"<svg" in data[:4000]:
        drawings, view = parse_drawing(data, name)
        logo = Logo(path, view[2] / view[3], digest, drawings=drawings, view=view)
    else:
        raise InputError(name, "", None, Said("is no logo; {expected}", expected=WITH_SHAPES))
    if not 1 / LONGEST_ASPECT <= logo.aspect <= LONGEST_ASPECT:
        raise InputError(name, "", None, Said("is over twenty times as long as it is wide"))
    return logo
