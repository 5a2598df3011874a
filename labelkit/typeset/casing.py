"""Capitals as languages write them."""

from __future__ import annotations

import re
import unicodedata

_TURKIC = frozenset({"tr", "az"})
_TURKIC_LETTERS = str.maketrans({"i": "İ", "ı": "I"})
_TURKIC_ONLY = re.compile(r"[ığİ]")
"""Letters that only Turkish, Azeri and their like have: their i has a dot in capitals too."""
_ABOVE_SOFT_DOT = re.compile("([ijIJ]\u0328?)\u0307")
_TONOS = frozenset("\u0300\u0301\u0308\u0313\u0314\u0342\u0345")
_GREEK_VOWELS = frozenset("αεηιουωΑΕΗΙΟΥΩ")
_DIALYTIKA = "\u0308"
_ALONE = re.compile(r"(?<!\w)ή(?!\w)")
_GREEK_LETTER = re.compile(r"[\u0386-\u03ce\u1f00-\u1ffe]")
"""Greek is written alike whatever language the rest of a label has."""
_UNCASED_IN_USE = re.compile("[\u10d0-\u10ff]+")
"""Georgian: names are never set in the capitals that Unicode has for it."""


def convert_to_capitals(text: str, language: str) -> str:
    """``text`` in the capitals of a language (a BCP 47 tag).

    Sources: Unicode Character Database, SpecialCasing.txt (Turkish and Azeri i, Lithuanian, ß); for
    Greek, which loses its accents but for the dialytika, Unicode CLDR, transform el-Upper.
    """
    tag = language.split("-")[0].casefold()
    if tag == "el" or _GREEK_LETTER.search(text):
        return _convert_greek(text)
    if tag == "lt":
        text = _ABOVE_SOFT_DOT.sub(r"\1", unicodedata.normalize("NFD", text))
        text = unicodedata.normalize("NFC", text)
    if tag in _TURKIC or _TURKIC_ONLY.search(text):
        text = text.translate(_TURKIC_LETTERS)
    parts = _UNCASED_IN_USE.split(text)
    kept = [*_UNCASED_IN_USE.findall(text), ""]
    return "".join(f"{part.upper()}{own}" for part, own in zip(parts, kept, strict=True))


def _convert_greek(text: str) -> str:
    """Without tonos, breathings and subscripts; a vowel pair parted by its accent gets a dialytika.

    The disjunctive "ή" keeps its accent, or it would read as the article.
    """
    found: list[str] = []
    for number, word in enumerate(_ALONE.split(text)):
        found += ["Ή"] * (number > 0)
        found.append(_convert_greek_word(word))
    return "".join(found)


def _convert_greek_word(text: str) -> str:
    made: list[str] = []
    base, accented = "", False
    for character in unicodedata.normalize("NFD", text):
        if character in _TONOS and base in _GREEK_VOWELS and base:
            accented |= character in "\u0300\u0301\u0342"
            if character == _DIALYTIKA:
                made.append(character)
            continue
        parted = accented and base in "αεουΑΕΟΥ" and character in "ιυΙΥ"
        made.append(character.upper())
        if parted and character in "ιυΙΥ":
            made.append(_DIALYTIKA)
        if not unicodedata.combining(character):
            base, accented = character, False
    return unicodedata.normalize("NFC", "".join(made)).replace("ς", "Σ")


def capitalise_first(text: str, language: str) -> str:
    """``text`` with its first letter a capital; in Dutch the IJ is one letter."""
    tag = language.split("-")[0].casefold()
    if tag in _TURKIC:
        text = text[:1].translate(_TURKIC_LETTERS) + text[1:]
    count = 2 if tag == "nl" and text[:2].casefold() == "ij" else 1
    return text[:count].upper() + text[count:]
