"""Words as readers compare them: what was typed is the same as what a compositor makes of it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache

_TYPED = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u201a\u201b\u02bb\u02bc\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201e\u201f\u00ab\u00bb", '"'),
        **dict.fromkeys("\u2010\u2011", "-"),
        "\u00ad": None,
    }
)
"""Typographic apostrophes, quotation marks and hyphens, as keyboards have them (The Unicode
Standard, chapter 6.2); a soft hyphen is no letter."""

ALIKE, SLIPS, ONE_SLIP = 0.6, 0.8, 0.85
"""How like each other two words are (difflib's ratio): perhaps meant, a slip or two, or one slip;
labelkit's own judgement."""


def find_closest(typed: str, known: Iterable[str], alike: float = ALIKE) -> str:
    """The known word that is most like what was typed; "" where none is as like it as that."""
    return "".join(list_closest(typed, known, 1, alike))


def list_closest(typed: str, known: Iterable[str], most: int, alike: float = ALIKE) -> list[str]:
    """The known words that are so like what was typed, the likest first."""
    return get_close_matches(typed, list(known), most, alike)


@lru_cache(maxsize=4096)
def fold_as_read(text: str) -> str:
    """``text`` for comparing: one kind of space, apostrophe, quotation mark and hyphen, no case."""
    typed = unicodedata.normalize("NFC", text).translate(_TYPED)
    return " ".join(typed.split()).casefold()


def fold_without_spaces(text: str) -> str:
    """The same without any space: a PDF may have lost or gained some."""
    return fold_as_read(text).replace(" ", "")
