"""Names of two that a word for "and" joins: their parts, and their initials."""

from __future__ import annotations

import re
from typing import NamedTuple

JOINTS = (
    "&", "+", "and", "et", "en", "und", "og", "och", "ja", "y", "e", "i", "a", "és", "și", "un",
    "ir", "in", "u", "agus", "και", "и",
)  # fmt: skip
"""Signs and words that join two names, of the languages labels are set in (dictionaries)."""
_JOINT = re.compile(rf" ({'|'.join(map(re.escape, JOINTS))}) ")
SMALL_WORDS = frozenset(
    {
        "the", "a", "an", "le", "la", "les", "l", "de", "het", "een", "der", "die", "das", "du",
        "des", "of", "for", "and", "et", "y", "el", "los", "las", "il", "lo", "gli", "un", "une",
        "en", "und",
    }
)  # fmt: skip
"""Words of a name that give no initial."""
MOST_INITIALS = 3
ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")


class JoinedNames(NamedTuple):
    """Two names and what joins them."""

    first: str
    joint: str
    second: str


def split_joined_names(text: str) -> JoinedNames | None:
    """The two names of a text such as "Ada & Olive"; None where it is not two that are joined."""
    found = list(_JOINT.finditer(text))
    if len(found) != 1:
        return None
    (joint,) = found
    first, second = text[: joint.start()].strip(), text[joint.end() :].strip()
    return JoinedNames(first, joint[1], second) if first and second else None


def join_alike(texts: list[str]) -> str | None:
    """One text for all languages where they differ in the word for "and" alone: with an "&"."""
    parts = [split_joined_names(text) for text in texts]
    pairs = {(p.first, p.second) for p in parts if p is not None}
    if None in parts or len(pairs) != 1:
        return None
    ((first, second),) = pairs
    return f"{first} & {second}"


def make_initials(text: str) -> str:
    """The initials of two people with an "&" between them; of others up to three of their words."""
    joined = split_joined_names(text)
    if joined is not None:
        return f"{_find_initial(joined.first)} & {_find_initial(joined.second)}"
    words = [w for w in re.split(r"[\s\-’']+", text) if w.casefold() not in SMALL_WORDS]
    return " ".join(filter(None, map(_find_initial, words[:MOST_INITIALS])))


def _find_initial(word: str) -> str:
    return next((letter.upper() for letter in word if letter.isalpha()), "")


def make_numerals(day: int, month: int, year: int) -> str:
    """A date that reads alike in every language: the month as a Roman numeral."""
    return f"{day} · {ROMAN[month - 1]} · {year}"
