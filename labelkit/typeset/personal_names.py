"""How names of people hold together: particles, initials, honorifics, and what joins two names."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from itertools import pairwise

PARTICLES = frozenset(
    re.findall(
        r"\S+",
        "de del della dello degli dei delle da das do dos di du des d la las le les lo los"
        " van von vom zu zum zur der den dem ter ten te op ’t 't af av"
        " bin bint binti ibn ben bat al el ul ur abu umm"
        " ní ni nic mac mhic mc ó uí ua o ap ab ferch san santa são st ste",
    )
)
"""Small words that belong to the word after them (common practice, no source)."""
CAPITAL_PARTICLES = frozenset(
    re.findall(
        r"\S+",
        "De Del Della Di Da Dos Du Des La Le Les Van Von Der Den Ter Ibn Bin Abu"
        " Ní Ni Nic Mac Mhic Mc Ó Uí Ap Ferch San Santa São St Ste St. Ste.",
    )
)
"""The same where they are typed with a capital; "Ben" and "Al" are names by themselves."""
JOINING = frozenset({"&", "+", "and", "et", "y", "e", "und", "en", "og", "och", "ja", "și", "i"})
"""What stands between two names."""
_HONORIFICS = frozenset(
    re.findall(
        r"\S+",
        "Mr Mrs Ms Mx Miss Dr Prof Rev Sr Sra Srta Mme Mlle Mgr Herr Frau Sir Rabbi Hon Capt Sgt",
    )
)
_INITIAL = re.compile(r"(?:[^\W\d_]\.)+(?:-[^\W\d_]\.)*")


def is_bound_to_next(word: str, following: str) -> bool:
    """Whether a word of people's names stays on the line of the word that follows it."""
    if word in JOINING:
        return True
    if following in JOINING:
        return False
    known = PARTICLES | CAPITAL_PARTICLES | _HONORIFICS
    capitals = word.isupper() and word.title() in CAPITAL_PARTICLES
    return word in known or word.rstrip(".") in _HONORIFICS or capitals or is_initial(word)


def is_initial(word: str) -> bool:
    """Whether a word is one or more initials: "J.", "J.-P."."""
    return _INITIAL.fullmatch(word) is not None


@lru_cache(maxsize=256)
def is_harmed_by_capitals(name: str) -> bool:
    """Whether a person's name says less in capitals than as it is typed.

    It has capitals inside (McLean, DeShawn), particles in small letters (de la, van der, bin), or
    letters that become others or lose their dot in capitals (ß, ı, ğ), or letters of a script that
    has no capitals, beside which the other name's would shout. A phrase with other words in small
    letters is no person's name.
    """
    if re.search("[ßğıİ]", name) or any(unicodedata.category(letter) == "Lo" for letter in name):
        return True
    words = [word for word in re.split(r"[\s\-–&+,.()]+", name) if word and word not in JOINING]
    others = [word for word in words if word not in PARTICLES]
    if any(word[0].islower() for word in others):
        return False
    inner = any(a.islower() and b.isupper() for word in others for a, b in pairwise(word))
    return inner or len(others) < len(words)
