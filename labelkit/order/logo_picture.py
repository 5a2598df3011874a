"""The pixels of a PNG or JPEG picture: upright, in sRGB, eight bits deep, and nothing else.

What a camera or a program wrote beside them (where and when, by whom, earlier versions) must not go
out with a label.
"""

from __future__ import annotations

import io
from contextlib import suppress
from typing import TYPE_CHECKING

from labelkit.common.errors import InputError
from labelkit.common.messages import Number, Said

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 25_000_000
MOST_SIDE = 2_400
"""Pixels a side that are kept of a larger picture: 100 mm at 600 to the inch, twice what a printer
of labels shows (labelkit's own judgement)."""
LEAST_SEEN = 8
"""Of 255: what is less opaque everywhere is not there."""


def parse_picture(data: bytes, name: str) -> tuple[bytes, tuple[int, int]]:
    """A PNG of the pixels alone, and its width and height; InputError for what is no picture."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as image:
            width, height = image.size
            if width * height > MAX_PIXELS:
                large = Said(
                    "has {width} x {height} pixels; expected at most {most}",
                    width=width,
                    height=height,
                    most=Number(MAX_PIXELS),
                )
                raise InputError(name, "", None, large)
            clean = _make_upright(image, name)
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError,
            Image.DecompressionBombError) as error:  # fmt: skip
        damaged = Said("cannot be read as a picture: it is cut short or damaged; save it anew")
        raise InputError(name, "", None, damaged) from error
    if _is_empty(clean):
        raise InputError(name, "", None, Said("shows nothing; all of it is white or see-through"))
    stream = io.BytesIO()
    # A copy of the pixels has nothing of what was said beside them.
    bare = Image.frombytes(clean.mode, clean.size, clean.tobytes())
    bare.save(stream, "PNG", compress_level=1)
    return stream.getvalue(), clean.size


def _make_upright(image: Image, name: str) -> Image:
    """The picture as any viewer shows it: reduced, in sRGB, turned as its camera was held."""
    from PIL import Image, ImageOps

    if "transparency" in image.info and image.mode.startswith("I"):
        deep = Said("has a see-through tone of 16 bits; save it with 8 bits of each colour")
        raise InputError(name, "", None, deep)
    image.draft("RGB", (MOST_SIDE, MOST_SIDE))  # of a JPEG fewer pixels are decoded at all
    image.load()
    profile, turned = image.info.get("icc_profile"), image.getexif().get(0x0112, 1)
    flat = _convert_mode(image)
    if max(flat.size) > MOST_SIDE:
        flat.thumbnail((MOST_SIDE, MOST_SIDE), Image.Resampling.LANCZOS)
    flat = _convert_to_srgb(flat, profile)
    if turned != 1:
        flat.getexif()[0x0112] = turned  # Exif 2.3, tag 274: which way is up
        flat = ImageOps.exif_transpose(flat)
    return flat


def _convert_mode(image: Image) -> Image:
    """Eight bits a colour, with or without transparency."""
    if image.mode.startswith("I"):
        # Sixteen bits of grey; 257 is 65535 / 255.
        return image.point(lambda tone: tone * (1 / 257) + 0.5).convert("L")
    see_through = "transparency" in image.info or image.mode in ("LA", "PA", "La", "RGBa", "RGBA")
    if see_through:
        return image.convert("RGBA")
    return image if image.mode in ("L", "CMYK") else image.convert("RGB")


def _convert_to_srgb(image: Image, profile: bytes | None) -> Image:
    """Colours as the picture's own profile means them; without one they are sRGB already."""
    from PIL import ImageCms

    if profile and image.mode in ("RGB", "RGBA", "CMYK"):
        with suppress(ImageCms.PyCMSError, OSError, ValueError):
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            alpha = image.getchannel("A") if image.mode == "RGBA" else None
            colours = image.convert("RGB") if alpha else image
            made = ImageCms.profileToProfile(
                colours, own, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
            if made is not None:
                image = made
                if alpha:
                    image.putalpha(alpha)
    return image.convert("RGB") if image.mode == "CMYK" else image


def _is_empty(image: Image) -> bool:
    """Whether nothing is seen: wholly see-through, or an opaque white sheet."""
    if image.mode == "RGBA":
        opacity = image.getchannel("A").histogram()
        if not any(opacity[LEAST_SEEN:]):
            return True
        if any(opacity[:255]):
            return False
        image = image.convert("RGB")
    return not any(image.convert("L").histogram()[:255])
