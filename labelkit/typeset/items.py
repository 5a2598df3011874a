"""Text cut into items of one script and one direction, in the order in which they are seen."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from functools import lru_cache

from labelkit.common.frozen import dataclass

OWN = ""
"""Stands for the script of what the layout's own face writes."""
_NO_SCRIPT = ("Zyyy", "Zinh", "Zzzz")
"""Common, inherited and unknown (UAX 24)."""
_ONE_FACE = {"Hira": "Hani", "Kana": "Hani", "Bopo": "Hani"}
"""Scripts that are written together with another, in one face."""
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_DEEPEST = 63
"""Brackets within brackets (UAX 9, BD16)."""
_EXPLICIT = frozenset({"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"})


@dataclass(frozen=True, slots=True)
class Item:
    """Characters ``start`` to ``end`` of a text, of one script, that run in one direction."""

    start: int
    end: int
    script: str
    """ISO 15924 code, or OWN."""
    right_to_left: bool = False


def list_scripts(text: str, writes: Callable[[str], bool]) -> list[str]:
    """The script of each character that ``writes`` says the own face lacks; OWN for the others.

    Marks and joiners go with the letter before them, and what belongs to every script (UAX 24) with
    its neighbours, so that no word is torn; symbols go with nothing.
    """
    from fontTools.unicodedata import script

    found: list[str | None] = []
    for character in text:
        category = unicodedata.category(character)
        if found and category in {"Mn", "Mc", "Me", "Cf"}:
            found.append(found[-1])
        elif writes(character):
            found.append(OWN)
        else:
            code = script(character)
            if category.startswith("S") and code in _NO_SCRIPT:
                found.append("Zyyy")
                continue
            found.append(None if code in _NO_SCRIPT else _ONE_FACE.get(code, code))
    for index, code in enumerate(found):
        if code is None:
            before = found[index - 1] if index else None
            after = next((later for later in found[index + 1 :] if later), None)
            found[index] = before or after
    for index in range(1, len(text) - 1):  # a space inside words of one script is of theirs
        if text[index] == " " and found[index - 1] == found[index + 1]:
            found[index] = found[index - 1]
    return [code if code is not None else "Zyyy" for code in found]


def list_seen_items(text: str, scripts: Sequence[str]) -> list[Item]:
    """The items of a text from left to right as they are seen (UAX 9)."""
    items: list[Item] = []
    for index, backward in find_seen_order(text):
        last = items[-1] if items else None
        if last and last.script == scripts[index] and last.right_to_left == backward:
            if not backward and last.end == index:
                items[-1] = Item(last.start, index + 1, last.script)
                continue
            if backward and last.start == index + 1:
                items[-1] = Item(index, last.end, last.script, True)
                continue
        items.append(Item(index, index + 1, scripts[index], backward))
    return items


def has_backward_text(text: str) -> bool:
    """Whether some of a text may run from right to left."""
    if text.isascii():
        return False
    classes = set(map(unicodedata.bidirectional, text))
    return bool(classes & (_RIGHT_TO_LEFT | _EXPLICIT))


@lru_cache(maxsize=4096)
def find_seen_order(text: str) -> tuple[tuple[int, bool], ...]:
    """The characters of a text from left to right: each one's index, and if it runs backward.

    A line of a label runs from left to right, as the rest of it does (UAX 9, HL1), unless nothing
    in it does, no figure either: then punctuation at its end stands at the left.
    """
    if not has_backward_text(text):
        return tuple((index, False) for index in range(len(text)))
    left = any(unicodedata.bidirectional(c) in ("L", "EN") for c in text)
    return order_as_seen(text, "L" if left else "R")


def order_as_seen(text: str, direction: str) -> tuple[tuple[int, bool], ...]:
    """The same in a paragraph whose direction ("L" or "R") is given.

    The library reorders text and does not say where each character went. So every character is
    given a stand-in of its own that behaves as it does, and is found again by it.
    """
    from bidi import get_display

    stand_ins = _choose_stand_ins(text)
    places = {character: index for index, character in enumerate(stand_ins)}
    indexes = [places[c] for c in get_display("".join(stand_ins), base_dir=direction)]
    if len(places) < len(text):  # a text of a hundred alike marks: no name
        indexes = sorted(range(len(text)), reverse=direction == "R")
    return tuple(zip(indexes, _mark_backward(indexes, text, direction), strict=True))


def _choose_stand_ins(text: str) -> list[str]:
    """Each character as another of its directional class; brackets as pairs of another kind."""
    pools, pairs = _load_character_pools()
    taken = dict.fromkeys(pools, 0)
    found = dict[int, str]()
    for pair, matched in zip(pairs, _match_brackets(text), strict=False):
        found |= dict(zip(matched, pair, strict=True))
    for index in range(len(text)):
        kind = _find_ordering_class(text, index)
        pool = pools.get(kind, "")
        if index not in found and taken.get(kind, 0) < len(pool):
            found[index] = pool[taken[kind]]
            taken[kind] += 1
    return [found.get(index, character) for index, character in enumerate(text)]


def _find_ordering_class(text: str, index: int) -> str:
    """The directional class of a character, or the plain neutral one where that orders it alike.

    There are few kinds of spaces and separators, and a sentence has many of them. Spaces order as
    other neutrals do but at the end of a line (UAX 9, L1); separators but between figures (W4, W6).
    """
    kind = unicodedata.bidirectional(text[index])
    if kind == "WS" and index < len(text.rstrip()):
        return "ON"
    if kind in ("CS", "ES"):
        beside = set(map(unicodedata.bidirectional, (*text[:index][-1:], *text[index + 1 :][:1])))
        if not beside & {"EN", "AN", "BN", "NSM", *_EXPLICIT}:
            return "ON"
    return kind


def _match_brackets(text: str) -> list[tuple[int, int]]:
    """Where brackets open and close that belong together (UAX 9, BD16)."""
    from bidi.mirror import MIRRORED

    opened: list[tuple[str, int]] = []
    found: list[tuple[int, int]] = []
    for index, typed in enumerate(text):
        character, category = unicodedata.normalize("NFC", typed), unicodedata.category(typed)
        if category == "Ps" and character in MIRRORED:
            if len(opened) == _DEEPEST:
                return []
            opened.append((MIRRORED[character], index))
        elif category == "Pe":
            depth = next((d for d, (c, _) in enumerate(reversed(opened), 1) if c == character), 0)
            if depth:
                found.append((opened[-depth][1], index))
                del opened[-depth:]
    return found


@lru_cache(maxsize=1)
def _load_character_pools() -> tuple[dict[str, str], list[tuple[str, str]]]:
    """Characters by directional class, none of them mirrored, and pairs of brackets."""
    from bidi.mirror import MIRRORED

    found: dict[str, list[str]] = {}
    for code in range(0x20, 0x3000):
        character = chr(code)
        kind = unicodedata.bidirectional(character)
        if kind and not unicodedata.mirrored(character):
            found.setdefault(kind, []).append(character)
    pairs = [(c, MIRRORED[c]) for c in sorted(MIRRORED) if unicodedata.category(c) == "Ps"]
    return {kind: "".join(characters[:400]) for kind, characters in found.items()}, pairs


def _mark_backward(indexes: Sequence[int], text: str, direction: str) -> list[bool]:
    """Whether each character, in the order seen, runs from right to left."""
    found: list[bool] = []
    for place, index in enumerate(indexes):
        before = indexes[place - 1] if place else None
        after = indexes[place + 1] if place + 1 < len(indexes) else None
        kind = unicodedata.bidirectional(text[index])
        if kind in ("R", "AL"):
            found.append(True)
        elif kind in ("L", "EN", "AN"):
            found.append(False)
        elif before == index + 1 or after == index - 1:
            found.append(True)
        elif before == index - 1 or after == index + 1:
            found.append(False)
        else:
            found.append(direction == "R")
    return found
