"""The typographic apostrophe, which keyboards do not have."""

from __future__ import annotations

import re

APOSTROPHE = "\u2019"
_TYPED = re.compile(r"(?<=[^\W\d_])'(?=[^\W\d_])")


def set_apostrophes(text: str) -> str:
    """``text`` with U+2019 for every straight apostrophe between two letters.

    Source: The Unicode Standard, chapter 6.2 (“Apostrophes”): U+2019 is preferred where a letter is
    left out or names are joined. Marks of feet and minutes, and quotation marks, stay as they are.
    """
    return _TYPED.sub(APOSTROPHE, text)
