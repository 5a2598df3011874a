"""Where lines may break in scripts that have no spaces between words (Unicode UAX 14)."""

from __future__ import annotations

from functools import lru_cache

_LATIN_END = "\u0370"
_LATIN_ADDITIONAL = ("\u1e00", "\u1eff")
_GENERAL_PUNCTUATION = ("\u2000", "\u206f")


@lru_cache(maxsize=1024)
def list_breaks_without_space(text: str) -> tuple[int, ...]:
    """The places of a text at which UAX 14 lets a line begin though no space stands before.

    Between Han, Kana and Hangul, never before their closing punctuation or small letters; at the
    marks by which Tibetan, Ethiopic and others part words; after zero width spaces, by which Thai
    and Khmer are typed. Places among Latin letters, their hyphens and slashes are left to those who
    know the words.
    """
    if all(map(_is_of_latin, text)):
        return ()
    from uniseg.linebreak import line_break_boundaries

    return tuple(
        place
        for place in line_break_boundaries(text)
        if 0 < place < len(text)
        and not text[place - 1].isspace()
        and not (_is_of_latin(text[place - 1]) and _is_of_latin(text[place]))
    )


def _is_of_latin(character: str) -> bool:
    """Whether a character is written among Latin letters: blocks up to the diacritics (Unicode,
    Blocks.txt), Latin Extended Additional and General Punctuation."""
    return (
        character < _LATIN_END
        or _LATIN_ADDITIONAL[0] <= character <= _LATIN_ADDITIONAL[1]
        or _GENERAL_PUNCTUATION[0] <= character <= _GENERAL_PUNCTUATION[1]
    )
