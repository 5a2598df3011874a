"""The months by their names, as the Unicode CLDR has them (by Babel)."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache

LANGUAGES = (
    "en", "fr", "de", "nl", "es", "it", "pt", "sv", "fi", "da", "pl", "cs", "sk", "hu", "ro", "bg",
    "hr", "sl", "et", "lv", "lt", "el", "mt", "ga", "lb",
)  # fmt: skip
"""Of the regions there are rules for; English first, then those that makers likeliest write."""
_LEAST_STEM, _MOST_ENDING = 5, 3
"""Letters of a name, and of what a language may hang on it: "huhtikuun", "áprilisig"."""


def find_month(word: str, first: Iterable[str] = ()) -> int | None:
    """The number of the month that a word names, long or short, with accents or without; None for
    no month.

    ``first`` are language tags that are asked before all others: "listopad" is October in Croatian
    and November in Czech and Polish.
    """
    wanted = _fold_word(word)
    own = [tag.split("-")[0].lower() for tag in first]
    for language in dict.fromkeys((*(tag for tag in own if tag in LANGUAGES), *LANGUAGES)):
        names = _list_month_names(language)
        if wanted in names:
            return names[wanted]
        for length in range(len(wanted) - 1, _LEAST_STEM - 1, -1):
            if len(wanted) - length <= _MOST_ENDING and wanted[:length] in names:
                return names[wanted[:length]]
    return None


@lru_cache(maxsize=len(LANGUAGES))
def _list_month_names(language: str) -> Mapping[str, int]:
    from babel.dates import get_month_names

    names: dict[str, int] = {}
    for width in ("wide", "abbreviated"):
        # Beside a day many languages inflect the name; alone with a year it stands as it is.
        for context in ("format", "stand-alone"):
            for month, name in get_month_names(width, context, language).items():
                names.setdefault(_fold_word(name), month)
    return names


def _fold_word(word: str) -> str:
    letters = unicodedata.normalize("NFKD", word.casefold().rstrip("."))
    return "".join(letter for letter in letters if not unicodedata.combining(letter))
