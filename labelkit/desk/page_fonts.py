"""The page's own typefaces: three of the label's, with the letters of Latin languages alone."""

from __future__ import annotations

import io
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache

import labelkit
from labelkit.common.errors import InputError
from labelkit.common.files import write_files
from labelkit.common.kept import find_cache_folder
from labelkit.typeset.faces import FaceRequest, load_face

FONTS = {
    "text.woff": FaceRequest("source-sans-3"),
    "strong.woff": FaceRequest("source-sans-3", weight=600),
    "title.woff": FaceRequest("spectral", weight=500),
}
_SIGNS = "\u2010\u2011–—‘’“”…\u202f‹›€→−✓✕○Œœ"
_LETTERS = [*range(0x20, 0x7F), *range(0xA0, 0x180), *map(ord, _SIGNS)]
_FEW_LETTERS = [*range(0x20, 0x7F), 0xA0, *range(0xC0, 0x100), *map(ord, f"«»·°{_SIGNS}")]
"""For titles and names of fields, which are the page's own words."""


@lru_cache(maxsize=8)
def make_page_font(name: str) -> bytes:
    """One of the fonts as WOFF; made once, and kept with the others of the user's cache."""
    letters = _LETTERS if name == "text.woff" else _FEW_LETTERS
    features = ["liga"] if name == "strong.woff" else ["kern", "liga"]  # short words, light page
    made_so = f"{len(letters)}-{'-'.join(features)}"
    kept = find_cache_folder() / f"page-{labelkit.__version__}-{made_so}-{name}"
    with suppress(OSError):
        return kept.read_bytes()
    data = _subset_font(FONTS[name], letters, features)
    with suppress(InputError):
        write_files({kept: data})
    return data


def _subset_font(face: FaceRequest, letters: Sequence[int], features: Sequence[str]) -> bytes:
    from fontTools.subset import Options, Subsetter, load_font, save_font

    options = Options(
        flavor="woff", hinting=False, layout_features=list(features), notdef_outline=True
    )
    font = load_font(str(load_face(face).path), options)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=letters)
    subsetter.subset(font)
    stream = io.BytesIO()
    save_font(font, stream, options)
    return stream.getvalue()
