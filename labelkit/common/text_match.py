"""Words as readers compare them: what was typed is the same as what a compositor makes of it."""

from __future__ import annotations

import unicodedata

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


def fold_as_read(text: str) -> str:
    """``text`` for comparing: one kind of space, apostrophe, quotation mark and hyphen, no case."""
    typed = unicodedata.normalize("NFC", text).translate(_TYPED)
    return " ".join(typed.split()).casefold()


def fold_without_spaces(text: str) -> str:
    """The same without any space: a PDF may have lost or gained some."""
    return fold_as_read(text).replace(" ", "")
