"""Characters that cannot be set one glyph per character from left to right, or are not seen."""

from __future__ import annotations

import unicodedata
from bisect import bisect_right

# First and last code points of blocks whose letters join, reorder, stack or run from right to left
# (Unicode Standard, Blocks.txt; block limits from memory).
_BLOCKS = (
    (0x0590, 0x08FF),  # Hebrew, Arabic, Syriac, Thaana, NKo, Samaritan, Mandaic
    (0x0900, 0x0DFF),  # Devanagari to Sinhala
    (0x0F00, 0x109F),  # Tibetan, Myanmar
    (0x1700, 0x18AF),  # Philippine scripts, Khmer, Mongolian
    (0x1900, 0x1AAF),  # Limbu to Tai Tham
    (0x1B00, 0x1C4F),  # Balinese to Lepcha
    (0x1CD0, 0x1CFF),  # Vedic
    (0xA800, 0xA82F),  # Syloti Nagri
    (0xA840, 0xA8FF),  # Phags-pa to Devanagari Extended
    (0xA900, 0xAAFF),  # Kayah Li to Meetei Mayek Extensions
    (0xABC0, 0xABFF),  # Meetei Mayek
    (0xFB1D, 0xFDFF),  # Hebrew and Arabic presentation forms
    (0xFE70, 0xFEFE),  # Arabic presentation forms B
)
_STARTS = [first for first, _ in _BLOCKS]


def needs_shaping(character: str) -> bool:
    """Whether drawing this character alone, left to right, would write it wrong."""
    code = ord(character)
    index = bisect_right(_STARTS, code) - 1
    return index >= 0 and code <= _BLOCKS[index][1]


def is_unseen(character: str) -> bool:
    """Whether nothing is meant to print: spaces, control and format characters, joiners, selectors.

    General categories Zs, Zl, Zp, Cc and Cf (Unicode Standard, 4.5), the combining grapheme joiner
    and the variation selectors.
    """
    unseen = unicodedata.category(character) in {"Zs", "Zl", "Zp", "Cc", "Cf"}
    return unseen or character == "\u034f" or "\ufe00" <= character <= "\ufe0f"
