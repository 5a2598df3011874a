"""The page's own typefaces: three of the label's, with the letters of Latin languages alone."""

from __future__ import annotations

import io
from functools import lru_cache

from labelkit.typeset.faces import FaceRequest, load_face

FONTS = {
    "text.woff": FaceRequest("source-sans-3"),
    "strong.woff": FaceRequest("source-sans-3", weight=600),
    "title.woff": FaceRequest("spectral", weight=500),
}
_LETTERS = [
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *map(ord, "\u2010\u2011–—‘’“”…\u202f‹›€→−✓✕○"),
]


@lru_cache(maxsize=8)
def make_page_font(name: str) -> bytes:
    """One of the fonts as WOFF."""
    from fontTools.subset import Options, Subsetter, load_font, save_font

    options = Options(
        flavor="woff", hinting=False, layout_features=["kern", "liga"], notdef_outline=True
    )
    font = load_font(str(load_face(FONTS[name]).path), options)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=_LETTERS)
    subsetter.subset(font)
    stream = io.BytesIO()
    save_font(font, stream, options)
    return stream.getvalue()
