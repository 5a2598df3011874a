"""Names that are really alike: the same words, or the same letters but for a slip of the keys."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import SequenceMatcher
from functools import lru_cache

_CLASSES = frozenset(
    {
        "oil", "oils", "huile", "huiles", "butter", "beurre", "wax", "cire", "fat", "graisse",
        "acid", "acide", "extract", "extrait", "powder", "poudre", "seed", "flower", "fleur",
        "fleurs", "clay", "argile", "aceite", "oleo", "manteca", "manteiga", "arcilla", "argila",
        "cera",
    }
)  # fmt: skip
"""Words that say what sort of thing it is, and not which."""
_EXTRAS = frozenset(
    {
        "a", "au", "aux", "d", "de", "des", "du", "et", "l", "la", "le", "les", "of", "the", "and",
        "with", "essential", "essentielle", "essentielles", "organic", "bio", "biologique", "pure",
        "pur", "raw", "brut", "natural", "naturel", "refined", "raffine", "unrefined", "virgin",
        "vierge", "extra", "cold", "pressed", "activated",
        "da", "del", "do", "dos", "das", "el", "esencial", "essencial", "virgen", "virgem",
    }
)  # fmt: skip
"""Words that change nothing about what it is."""
_SLIP, _SPACE = 0.75, 0.95
"""Least share of letters in common, in order, of words one of which is a slip of the other, and of
whole names where only a space may be lost."""
_SHORT = 4
"""In a word of so few letters a slip adds, drops or swaps one: a changed letter is a new word."""


@lru_cache(maxsize=4096)
def split_into_words(name: str) -> frozenset[str]:
    """The words of a name without accents, letter case, articles and praise."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    return frozenset(re.findall(r"[^\W_]+", letters)) - _EXTRAS


def pick_telling_words(name: str) -> frozenset[str]:
    """The words of a name that say which thing it is: ``almond`` of ``sweet almond oil``."""
    return split_into_words(name) - _CLASSES


def find_alike_names(name: str, known: Iterable[str]) -> list[str]:
    """The known names that ``name`` may stand for, the nearest first.

    Those that hold all its words, of which one is telling; or else those that would but for a slip.
    """
    wanted, candidates = split_into_words(name), sorted(known)
    if not pick_telling_words(name):
        return []
    found = [other for other in candidates if wanted <= split_into_words(other)]
    found = found or [other for other in candidates if _are_typing_slips(wanted, other)]
    found = found or [other for other in candidates if _measure_likeness(name, other) >= _SPACE]
    return sorted(found, key=lambda other: (len(split_into_words(other)), other))


def _are_typing_slips(wanted: Iterable[str], other: str) -> bool:
    """Whether every word is one of the other name, but for a slip of the keys."""
    theirs = split_into_words(other)
    return all(any(_is_typing_slip_of(word, their) for their in theirs) for word in wanted)


def _is_typing_slip_of(word: str, other: str) -> bool:
    if len(word) == len(other) <= _SHORT and sorted(word) != sorted(other):
        return False
    return _measure_likeness(word, other) >= _SLIP


def _measure_likeness(one: str, other: str) -> float:
    """Share of letters in common; none for words that begin differently, as slips seldom do."""
    if not one or one[0] != other[:1]:
        return 0.0
    return SequenceMatcher(None, one, other, autojunk=False).ratio()
