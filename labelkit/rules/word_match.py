"""Whether a text has some words, as readers read them: whatever their case and accents."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from labelkit.common.text_match import fold_as_read


@lru_cache(maxsize=4096)
def fold_text(text: str) -> str:
    """Text for comparing, as readers do, and without accents."""
    decomposed = unicodedata.normalize("NFKD", fold_as_read(text))
    return "".join(c for c in decomposed if not unicodedata.combining(c))


@lru_cache(maxsize=4096)
def _compile_words(words: str) -> re.Pattern[str]:
    body = re.escape(fold_text(words.strip("*"))).replace(r"\ ", r"[\s-]+")
    start = r"(?<!\w)" if words[:1].isalnum() else ""
    last = words[-1:]
    end = r"\w*" if last == "*" else r"(?!\w)" if last.isalnum() else ""
    return re.compile(start + body + end)


@lru_cache(maxsize=1024)
def find_words(text: str, words: tuple[str, ...]) -> str:
    """The first of some words that a text has, as ``has_words`` reads it; empty: none."""
    return next((word for word in words if has_words(text, word)), "")


@lru_cache(maxsize=4096)
def has_words(text: str, words: str) -> bool:
    """Whether a text has these words whole, whatever their case and accents.

    A star at their start or end stands for any letters there.
    """
    read = fold_text(text)
    # Most words are in no text, and a pattern takes long to make.
    if not all(part in read for part in fold_text(words.strip("*")).split()):
        return False
    return _compile_words(words).search(read) is not None
