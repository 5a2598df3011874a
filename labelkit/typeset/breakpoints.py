"""Where a paragraph may be broken, what each break costs, and how far its lines reach."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from enum import Enum
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import NamedTuple

from labelkit.common.frozen import dataclass
from labelkit.model.runs import SOFT_HYPHEN
from labelkit.typeset.faces import Face
from labelkit.typeset.line_breaks import list_breaks_without_space
from labelkit.typeset.personal_names import is_bound_to_next
from labelkit.typeset.shape import ShapedLine, shape_text

# What a reader dislikes about a break; the unit is that of labelkit.typeset.breaking.
AT_SPACE = 2.0
"""A break between two words that nothing sets apart."""
AT_COMMA = 0.0
"""After a comma, semicolon, colon, full stop, slash, dash or dot that parts two things."""
AT_SLASH = 5.0
"""After a slash inside a word ("AQUA/WATER")."""
AT_HYPHEN = 6.0
"""After a hyphen that the word has anyway."""
AFTER_SHORT_WORD = 2.0
"""On top: a line that ends in an article, preposition or ampersand ("of", "de la", "au", "&")."""
BEFORE_BRACKET = 8.0
IN_NAME = 14.0
"""Inside a name of several words ("Sodium / Cocoate")."""
IN_NUMBERED_NAME = 60.0
"""Between letters and number of a name ("CI / 77491")."""
BEFORE_SEPARATOR = 40.0
"""A line that would open with the mark that parts two things."""
HYPHENATED = 30.0
HYPHENATED_NAME = 90.0
IN_ADDRESS = 30.0
"""Inside a web or mail address; no hyphen is added."""
IN_PERSON = 60.0
"""Inside a person's name that is written without spaces or with a hyphen."""
IN_ADDRESS_PART = 60.0
"""Inside a part of a postal address, or of a firm's name."""
BEFORE_POSTCODE = 20.0
"""Between a place and its postal code, which two spaces part."""

SHORT_WORD = 3
"""Letters of the longest word taken for an article or preposition."""
HYPHEN_LEFT, HYPHEN_RIGHT = 2, 3
"""Fewest letters left before and carried after a hyphen (common practice, no source)."""

_SEPARATORS = ",;:.·•/|–—"
_SEPARATORS_WITHOUT_SPACE = "、，。；：・\u200b"
"""Marks after which Han and Kana, and scripts typed with zero width spaces, part two things."""
_JOINING_WITHOUT_SPACE = "&＆與与"
"""What stands between two names of people in Han, and leads the line of the second."""
_ADDRESS = re.compile(r"(?:https?://|www\.)\S+|\S+@\S+\.\S+", re.IGNORECASE)
_ABBREVIATION = re.compile(r"[^\W\d_]{1,3}\.")
"""A full stop after so few letters ends no sentence ("ch. du Phare", "St. John")."""
_WORD = re.compile(r"[^\W\d_]+")


_BETWEEN_PARTS = re.compile(", +")
"""What parts the lines of an address where they stand on one line, and falls away between two."""


class TextKind(Enum):
    """What a text is, which says where it had better not be broken."""

    WORDS = "words"
    LIST = "list"
    """Names of several words that should each stay on one line."""
    PERSONS = "persons"
    """Names of people: particles, initials and "&" stay with the word after them."""
    ADDRESS = "address"
    """A firm and its postal address: lines end between its parts, without their comma."""


class Break(NamedTuple):
    """A place where a line may end."""

    start: int
    """Index of the next line's first character."""
    end: int
    """Index after this line's last visible character."""
    cost: float
    hyphen: bool = False
    forced: bool = False
    extra_em: float = 0.0
    """What the line's end adds to its advances: a hyphen, or a kern that falls away."""


@dataclass(frozen=True, eq=False)
class Paragraph:
    """A paragraph ready to be broken at any size: everything in ems, measured when asked for."""

    face: Face
    source: str
    """As written, with "\\n" where a line must end."""
    kind: TextKind
    language: str
    """Whose words, and addresses, may be broken; "" leaves them whole."""

    @cached_property
    def text(self) -> str:
        return self.source.replace("\n", " ")

    @cached_property
    def trimmed(self) -> int:
        """Letters without the spaces at the end."""
        return len(self.text.rstrip(" "))

    @cached_property
    def advances(self) -> tuple[float, ...]:
        """Running sums: ``advances[i]`` is the pen's place before character i."""
        return tuple(accumulate(self._shaped.advances_em, initial=0.0))

    @cached_property
    def spaces(self) -> tuple[int, ...]:
        """Running count of word spaces before character i."""
        return tuple(accumulate([c == " " for c in self.text], initial=0))

    @cached_property
    def space_em(self) -> float:
        return self.face.advance_em(" ")

    @cached_property
    def breaks(self) -> tuple[Break, ...]:
        """The start of the text, every place to break at, and its end."""
        places = _list_breaks(self.source, self.kind, self.language)
        return (
            Break(0, 0, 0.0),
            *(
                _measure_break(place, self.face, self.text, self._shaped.advances_em)
                for place in places
            ),
            Break(len(self.text), self.trimmed, 0.0, forced=True),
        )

    @cached_property
    def forced(self) -> tuple[int, ...]:
        """For every break the next one at which a line must end."""
        return _find_next_forced(self.breaks)

    @cached_property
    def _shaped(self) -> ShapedLine:
        return shape_text(self.face, self.text)

    def start_em(self, character: int) -> float:
        """Where the ink of a line that starts with a character begins."""
        ink = self._shaped.inks[character] if character < len(self.text) else None
        return self.advances[character] + (min(0.0, ink.x0_em) if ink else 0.0)

    def end_em(self, place: Break) -> float:
        """Where the ink of a line that ends at a break ends."""
        last = place.end - 1
        ink = None if place.hyphen or last < 0 else self._shaped.inks[last]
        overhang = max(0.0, ink.x1_em - self._shaped.advances_em[last]) if ink else 0.0
        return self.advances[place.end] + place.extra_em + overhang

    @cached_property
    def starts(self) -> tuple[tuple[float, int], ...]:
        """Where lines from each break begin, and how often tracking is added before."""
        return tuple((self.start_em(place.start), place.start + 1) for place in self.breaks)

    @cached_property
    def ends(self) -> tuple[tuple[float, int], ...]:
        """Where lines to each break end, and how often tracking is added before."""
        return tuple((self.end_em(place), place.end + place.hyphen) for place in self.breaks)

    def whole_em(self, tracking_em: float) -> float:
        """How wide it is on one line; infinite where it must be broken.

        Needs no breaks: most of a label's words are never broken.
        """
        if "\n" in self.source.strip(" \n"):
            return math.inf
        letters = self.trimmed
        end = Break(len(self.text), letters, 0.0)
        return self.end_em(end) - self.start_em(0) + tracking_em * (letters - 1)


@lru_cache(maxsize=4096)
def measure_paragraph(face: Face, text: str, kind: TextKind, language: str) -> Paragraph:
    """The paragraph of these words: one object for all who measure it."""
    return Paragraph(face, text, kind, language)


@lru_cache(maxsize=1024)
def _list_breaks(source: str, kind: TextKind, language: str) -> tuple[Break, ...]:
    """Every place to break at, whatever the face."""
    forced = {index for index, character in enumerate(source) if character == "\n"}
    text = source.replace("\n", " ")
    places = [
        *_list_breaks_without_space(text, kind),
        *_list_breaks_at_spaces(text, kind, forced),
        *_list_breaks_in_words(text, kind),
    ]
    if kind is TextKind.PERSONS:
        places = [place for place in places if place.forced or not _is_inside_name(text, place)]
    if language:
        places += [*_list_breaks_in_addresses(text), *_list_hyphenations(text, kind, language)]
    trimmed = len(text.rstrip(" "))
    found = {place.start: place for place in places if 0 < place.start < trimmed}
    return tuple(found[start] for start in sorted(found))


def _find_next_forced(breaks: Sequence[Break]) -> tuple[int, ...]:
    found: list[int] = []
    following = len(breaks) - 1
    for index in range(len(breaks) - 1, -1, -1):
        found.append(following)
        if breaks[index].forced:
            following = index
    return tuple(reversed(found))


def _measure_break(place: Break, face: Face, text: str, advances: tuple[float, ...]) -> Break:
    """The break with what the end of its line adds; nothing where it ends at a space."""
    if text[place.end : place.start].startswith(" "):
        return place
    last = text[place.end - 1]
    alone = shape_text(face, last + SOFT_HYPHEN if place.hyphen else last).width_em
    extra = alone - advances[place.end - 1]
    return Break(place.start, place.end, place.cost, place.hyphen, place.forced, extra)


def _list_breaks_at_spaces(text: str, kind: TextKind, forced: set[int]) -> Iterator[Break]:
    for match in re.finditer(" +", text):
        end, start = match.span()
        if end == 0 or start == len(text):
            continue
        must = any(index in forced for index in range(end, start))
        if kind is TextKind.ADDRESS:
            yield _make_address_break(text, end, start, must)
        else:
            yield Break(start, end, _space_break_cost(text, end, start, kind), forced=must)


def _make_address_break(text: str, end: int, start: int, must: bool) -> Break:
    """A break in an address; between two of its parts without their comma."""
    if _BETWEEN_PARTS.match(text, end - 1):
        return Break(start, end - 1, AT_COMMA, forced=must)
    return Break(start, end, BEFORE_POSTCODE if start - end > 1 else IN_ADDRESS_PART, forced=must)


def _space_break_cost(text: str, end: int, start: int, kind: TextKind) -> float:
    names = kind is TextKind.LIST
    before, after = text[end - 1], text[start]
    last = re.search(r"\S+$", text[:end])
    word = last.group() if last else ""
    if after in _SEPARATORS:
        return BEFORE_SEPARATOR
    if _ABBREVIATION.fullmatch(word):
        return IN_NAME if names else AT_SPACE + AFTER_SHORT_WORD
    if before in _SEPARATORS:
        return AT_COMMA
    if after == "(":
        return BEFORE_BRACKET
    if start - end > 1:
        return AT_SPACE  # two spaces part two things: a place and its postal code
    if names:
        return IN_NUMBERED_NAME if after.isdigit() and word.isalpha() else IN_NAME
    return AT_SPACE + (AFTER_SHORT_WORD if is_short_word(word) else 0.0)


def _is_inside_name(text: str, place: Break) -> bool:
    """Whether a break would part a word from the name it belongs to."""
    before, after = text[: place.end].split(" ")[-1], text[place.start :].split(" ")[0]
    return place.start > place.end and is_bound_to_next(before, after)


def is_short_word(word: str) -> bool:
    """Whether a word is an article, a preposition or an ampersand, by its length.

    In scripts without capitals length says nothing: a whole name has three letters.
    """
    cased = word.lower() != word.upper()
    return word in ("&", "+") or (len(word) <= SHORT_WORD and word.isalpha() and cased)


def is_lead_in(line: str) -> bool:
    """Whether a line is nothing but words that belong to what follows ("À la", "of the", "&")."""
    first, *others = line.split() or [""]
    if not all(map(is_short_word, (first, *others))):
        return False
    # Names are short too ("Léo & Zoé"), but each has a capital; in capitals two words are few.
    small = all(word.isalpha() and word == word.lower() for word in others)
    return small or (line.isupper() and len(others) == 1)


def has_leading_of(line: str) -> bool:
    """Whether a line opens with a French "d’", which makes two words of the one."""
    return re.match(r"d[’']\w", line, re.IGNORECASE) is not None


_WITHOUT_SPACE = {
    TextKind.WORDS: AT_SPACE,
    TextKind.LIST: IN_NAME,
    TextKind.PERSONS: IN_PERSON,
    TextKind.ADDRESS: IN_ADDRESS_PART,
}


def _list_breaks_without_space(text: str, kind: TextKind) -> Iterator[Break]:
    """Between the letters of scripts that do not part words by spaces."""
    cost, persons = _WITHOUT_SPACE[kind], kind is TextKind.PERSONS
    for place in list_breaks_without_space(text):
        before, after = text[place - 1], text[place]
        if persons and before in _JOINING_WITHOUT_SPACE:
            continue
        parted = before in _SEPARATORS_WITHOUT_SPACE
        parted = parted or (persons and after in _JOINING_WITHOUT_SPACE)
        yield Break(place, place, AT_COMMA if parted else cost)


_AT_HYPHEN_OF = {
    TextKind.WORDS: 0.0,
    TextKind.LIST: IN_NAME,
    TextKind.PERSONS: IN_PERSON,
    TextKind.ADDRESS: IN_ADDRESS_PART,
}


def _list_breaks_in_words(text: str, kind: TextKind) -> Iterator[Break]:
    """After slashes and hyphens between letters, outside addresses."""
    addresses = [match.span() for match in _ADDRESS.finditer(text)]
    for match in re.finditer(r"(?<=[^\W\d_]{2})(?:(/)|[-\u2010])(?=[^\W\d_]{2})", text):
        if any(first <= match.start() < last for first, last in addresses):
            continue
        cost = AT_SLASH if match.group(1) else AT_HYPHEN + _AT_HYPHEN_OF[kind]
        yield Break(match.end(), match.end(), cost)


def _list_breaks_in_addresses(text: str) -> Iterator[Break]:
    """After "/" and "@" and before "." of a web or mail address."""
    for address in _ADDRESS.finditer(text):
        for match in re.finditer(r"(?<=[/@])(?=[^/@])|(?<=\w)(?=\.\w)", address.group()):
            place = address.start() + match.start()
            yield Break(place, place, IN_ADDRESS)


def _list_hyphenations(text: str, kind: TextKind, language: str) -> Iterator[Break]:
    dictionary = _load_hyphenator(language)
    if dictionary is None:
        return
    listed = kind in (TextKind.LIST, TextKind.ADDRESS)
    cost = HYPHENATED_NAME if listed else HYPHENATED
    addresses = [match.span() for match in _ADDRESS.finditer(text)]
    for word in _WORD.finditer(text):
        if any(first <= word.start() < last for first, last in addresses):
            continue
        for position in dictionary(word.group()):
            place = word.start() + position
            yield Break(place, place, cost, hyphen=True)


@lru_cache(maxsize=32)
def _load_hyphenator(language: str) -> Callable[[str], list[int]] | None:
    """Where the words of a language may be hyphenated, or None where there is no dictionary."""
    import pyphen

    name = pyphen.language_fallback(language)
    if name is None:
        return None
    patterns = pyphen.Pyphen(lang=name, left=HYPHEN_LEFT, right=HYPHEN_RIGHT)

    def places(word: str) -> list[int]:
        # A position with data changes the spelling at the break ("Zuk-ker"): left alone.
        return [int(p) for p in patterns.positions(word) if getattr(p, "data", None) is None]

    return places


# -- how far lines reach ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Reach:
    """Lines of a paragraph at one tracking, in ems: from break i to break j is
    ``ends[j] - starts[i]`` wide, overhanging ink and a hyphen included."""

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    lowered: tuple[float, ...]
    """The ends, each lowered to the least of those after it, so that they rise and can be
    searched: an overhang or a hyphen can make a line reach further than one that breaks later."""
    forced: tuple[int, ...]
    """For every break the next one at which a line must end."""
    longest_em: float
    """The widest part between two neighbouring breaks: no line may be narrower."""


@lru_cache(maxsize=4096)
def measure_reach(paragraph: Paragraph, tracking_em: float) -> Reach:
    """How far the lines of a paragraph reach with tracking between their letters."""
    ends = tuple([at + tracking_em * letters for at, letters in paragraph.ends])
    starts = tuple([at + tracking_em * letters for at, letters in paragraph.starts])
    lowered = tuple(accumulate(reversed(ends), min))
    longest = max(end - start for start, end in zip(starts, ends[1:], strict=False))
    return Reach(starts, ends, lowered[::-1], paragraph.forced, longest)
