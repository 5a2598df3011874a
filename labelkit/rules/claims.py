"""Reads what a label says as claims: what it claims, in which words, about what.

The words stand in the table of claims, as patterns; here they are put to a text. What is true of a
claim is another matter (``claim_truth.py``), and what follows from it the rules'.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.rule_tables import read_table
from labelkit.rules.word_match import fold_text

NOT_READ = frozenset(
    {
        "net-quantity", "ingredients-heading", "ingredients", "list-elsewhere", "durability",
        "e-mark", "lot", "dealer", "contact", "guest", "date", "place", "separator", "draft-mark",
    }
)  # fmt: skip
"""Elements that the law words, or that name guests, firms, days and places: nobody's surname is a
claim. All others are read."""

NAMES = "names"
"""The people or the society of the event: only what no name says is read as a claim there."""
_MAY_NAME_THINGS = frozenset({"identity", "scent"})
"""Elements where "Olive" is an oil, whatever its first letter."""
_SCENT = "scent"
_DRAFTED = frozenset({"en", "fr"})
"""Languages whose words were drafted from the laws cited; the others' are from memory."""

_FIRST_MARK = 0xE100
"""Private characters stand for the things that a text names (The Unicode Standard, 23.5)."""
_MARKS = f"[{chr(_FIRST_MARK)}-{chr(_FIRST_MARK + 0xEFF)}]"
_CUT = "|"
"""Stands where words that claim nothing were taken out; ends a clause."""


class TruthTest(StrEnum):
    """How the recipe tells whether a claim is true."""

    ABSENT = "absent"
    PRESENT = "present"
    SHARE = "share"


@dataclass(frozen=True)
class ClaimSubject:
    """Something that is in a piece or is not, and what of an ingredient list shows it: what each
    field means stands at the head of the table."""

    name: str
    inci: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    doubt: tuple[str, ...] = ()
    doubt_roles: tuple[str, ...] = ()
    open: bool = False
    never: str = ""
    body: bool = False
    plant: bool = False
    scent: bool = False
    fat: bool = False
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class ClaimKind:
    """One kind of claim; ``counts_as`` is what the rules call it, the rest as the table says."""

    name: str
    counts_as: str
    family: str
    test: TruthTest | None = None
    of: str = ""
    bare: bool = False
    weak: bool = False
    body: bool = False
    elements: tuple[str, ...] = ()


@dataclass(frozen=True)
class Claim:
    """One claim of a text."""

    kind: str
    words: str
    """As they stand in the text."""
    test: TruthTest | None = None
    thing: ClaimSubject | None = None
    percent: str = ""
    """Of a share, as written."""
    from_memory: bool = False
    """Its words are of a language whose list was written from memory."""


@dataclass(frozen=True)
class _Pattern:
    """One pattern of the table. It is made a regular expression when a text has a stem of it, since
    few of the many are ever met on one label."""

    text: str
    stems: tuple[str, ...]
    """Folded letters, some of which any text that it matches has."""
    language: str
    means: str = ""
    """The thing that its words name, if they name one."""

    def may_match(self, text: str) -> bool:
        """Whether a text has a stem; a loop, for all patterns are asked of every new text."""
        for stem in self.stems:
            if stem in text:
                return "{thing" not in self.text or re.search(_MARKS, text) is not None
        return False

    def matches(self, text: str) -> Iterator[re.Match[str]]:
        return _compile_pattern(self.text).finditer(text)


@dataclass(frozen=True)
class _Lexicon:
    """The table of claims, ready to be put to texts."""

    things: Mapping[str, ClaimSubject]
    order: tuple[str, ...]
    """Names of the things; the place of one is the number of its mark."""
    lists: Mapping[str, tuple[str, ...]]
    naming: tuple[_Pattern, ...]
    without: tuple[_Pattern, ...]
    harmless: tuple[_Pattern, ...]
    outside: tuple[_Pattern, ...]
    """What is said of things that are not in the piece."""
    kinds: tuple[tuple[ClaimKind, tuple[_Pattern, ...]], ...]
    tolerance: tuple[Decimal, Decimal]
    """How far a claimed share may be off: percentage points, and percent of itself."""


def read_claims(text: str, element: str = "claim") -> tuple[Claim, ...]:
    """Every claim of a text that stands on the label as ``element``, in the order of the table."""
    return () if element in NOT_READ else _find_claims(text, element)


@lru_cache(maxsize=1024)
def _find_claims(text: str, element: str) -> tuple[Claim, ...]:
    lexicon = _load_lexicon()
    marked = _Marked.of(text)
    marked.cut(lexicon.harmless)
    claims = list(_find_absence_claims(marked, lexicon))
    marked.mark(lexicon.naming, lexicon.order)
    for kind, patterns in lexicon.kinds:
        if (kind.bare and element == NAMES) or (kind.elements and element not in kind.elements):
            continue
        if kind.test is TruthTest.PRESENT:  # these stand last in the table
            marked.cut(lexicon.outside)
        matches = _match_patterns(patterns, marked.text)
        for match, pattern in matches:
            from_memory = pattern.language not in _DRAFTED
            for claim in _make_claims(kind, match, marked, lexicon, element):
                claims.append(replace(claim, from_memory=from_memory))
        if kind.test in {
            TruthTest.ABSENT,
            TruthTest.SHARE,
        }:  # what is not in it is not said to be in it
            marked.take_out(matches)
    return tuple(_drop_repeated_claims(claims))


_Found = tuple[re.Match[str], _Pattern]


def _match_patterns(patterns: Iterable[_Pattern], text: str) -> list[_Found]:
    """Where patterns match, the first and then the longest of those that overlap."""
    likely = [pattern for pattern in patterns if pattern.may_match(text)]
    every = [(match, pattern) for pattern in likely for match in pattern.matches(text)]
    every.sort(key=lambda found: (found[0].start(), -found[0].end()))
    kept: list[_Found] = []
    for match, pattern in every:
        if match[0] and (not kept or match.start() >= kept[-1][0].end()):
            kept.append((match, pattern))
    return kept


def _find_absence_claims(marked: _Marked, lexicon: _Lexicon) -> Iterator[Claim]:
    """What single words say that a piece is without: "unscented", "vegan"."""
    for match, pattern in _match_patterns(lexicon.without, marked.text):
        words = marked.original(*match.span())
        thing = lexicon.things[pattern.means]
        claim = Claim("free", words, TruthTest.ABSENT, thing)
        yield replace(claim, from_memory=pattern.language not in _DRAFTED)


def _make_claims(
    kind: ClaimKind, match: re.Match[str], marked: _Marked, lexicon: _Lexicon, element: str
) -> Iterator[Claim]:
    words = marked.original(*match.span())
    if kind.of:
        thing = lexicon.things[kind.of]
        yield Claim(kind.counts_as, words, kind.test, thing)
        return
    if kind.test is None:
        yield Claim(kind.counts_as, words)
        return
    number = re.search(r"\d+(?:[.,]\d+)?(?=\s*%|\s+p)", match[0])
    for at in range(*match.span()):
        place = ord(marked.text[at]) - _FIRST_MARK
        if not 0 <= place < len(lexicon.order):
            continue
        thing = lexicon.things[lexicon.order[place]]
        said = marked.original(at, at + 1)
        if _is_meant(thing, said, kind, element, marked.source):
            told = said if kind.test is TruthTest.PRESENT else words
            yield Claim(kind.counts_as, told, kind.test, thing, number[0] if number else "")


def _is_meant(thing: ClaimSubject, said: str, kind: ClaimKind, element: str, text: str) -> bool:
    """Whether words speak of what is in the piece, not of a person or of its smell."""
    if kind.test is TruthTest.SHARE and not thing.fat:
        return False
    if kind.test is TruthTest.PRESENT and not (thing.body or thing.plant):
        return False
    if kind.body and (not thing.body or (thing.scent and element == _SCENT)):
        return False
    may_be_name = kind.weak or kind.body or element == NAMES
    if may_be_name and fold_text(said) in thing.names and element not in _MAY_NAME_THINGS:
        return said[:1].islower() or not any(letter.islower() for letter in text)
    return True


def _drop_repeated_claims(claims: Iterable[Claim]) -> Iterator[Claim]:
    """Each claim once, and none of a weaker kind about what another speaks of already."""
    told: set[tuple[str, str]] = set()
    for claim in claims:
        key = claim.kind, claim.thing.name if claim.thing else fold_text(claim.words)
        if key not in told:
            told.add(key)
            yield claim


class _Marked:
    """A folded text whose characters know where they stood; things are marked by one character."""

    def __init__(self, source: str, text: str, spans: list[tuple[int, int]]) -> None:
        self.source = source
        self.text = text
        self._spans = spans

    @staticmethod
    def of(source: str) -> _Marked:
        letters: list[str] = []
        spans: list[tuple[int, int]] = []
        for at, letter in enumerate(source):
            is_blank = letter.isspace() or re.match(_MARKS, letter)
            read = " " if is_blank else fold_text(letter)
            if read == " " and letters[-1:] == [" "]:
                continue
            letters += read
            spans += [(at, at + 1)] * len(read)
        return _Marked(source, "".join(letters), spans)

    def original(self, start: int, end: int) -> str:
        """The words of the source between two places of the text."""
        inner = self._spans[start:end]
        return self.source[inner[0][0] : inner[-1][1]].strip() if inner else ""

    def cut(self, patterns: Iterable[_Pattern]) -> None:
        """Takes out what claims nothing."""
        self.take_out(_match_patterns(patterns, self.text))

    def take_out(self, found: Iterable[_Found]) -> None:
        for match, _ in found:
            start, end = match.span()
            self.text = self.text[:start] + _CUT * (end - start) + self.text[end:]

    def mark(self, naming: Iterable[_Pattern], order: Sequence[str]) -> None:
        """One character for each thing that the text names."""
        text, spans, last = "", [], 0
        for match, pattern in _match_patterns(naming, self.text):
            start, end = match.span()
            text += self.text[last:start] + chr(_FIRST_MARK + order.index(pattern.means))
            spans += self._spans[last:start]
            spans.append((self._spans[start][0], self._spans[end - 1][1]))
            last = end
        self.text = text + self.text[last:]
        self._spans = spans + self._spans[last:]


# -- the table -------------------------------------------------------------------------------------

_OTHER_KEYS = frozenset({"without"})
_LISTED = (
    r"(?:[\s,&/+-]|\b(?:and|or|nor|of|und|oder|et|ou|ni|en|y|e|och|no|sans)\b|"
    r"\b(?:added|any|all|real|fresh|local|our|the|a|de|du|des|la|le|les|ajout)\b|\b[dl]')"
)
"""What stands between things in a row, and before the first."""
_ROW = f"{_MARKS}(?:(?:{_LISTED})+{_MARKS})*"
_BUILT_IN = {
    "thing": _MARKS,
    "things": f"(?:{_LISTED})*{_ROW}",
    "row": _ROW,
    "clause": r"(?!\w)[^.;:!?|·]*",
    "named": r"(?:(?!\b(?:by|for|from|in|pour|par|chez)\b)[^.;:!?|·])*",
    "word": r"\w+",
    "n": r"(?<![\w.,])\d+(?:[.,]\d+)?",
    "not of": r"(?!\s(?:of|from)\b)",
    "not with": "".join(
        rf"(?<!{word})"
        for word in ("with ", "of ", "from ", "contains ", "real ", "and ", "a la ", "au ", "avec ",
                     "de ", "et ", "l'", "d'")
    ),
    "not made": "".join(rf"(?<!{word} )" for word in ("made", "crafted", "fait", "faite", "faits")),
    "not denied": "".join(
        rf"(?<!{word} )"
        for word in ("no", "without", "sans", "of", "zero", "aucun", "added", "de", "pas", "any")
    ),
    "not joined": r"(?<![-'])",
}  # fmt: skip


def list_claim_kinds() -> frozenset[str]:
    """Every kind of claim that rules may name."""
    return frozenset(kind.counts_as for kind, _ in _load_lexicon().kinds)


def load_claim_subjects() -> Mapping[str, ClaimSubject]:
    """Everything that claims may be about, by name."""
    return _load_lexicon().things


def load_share_tolerance() -> tuple[Decimal, Decimal]:
    """How far a claimed share may be off: percentage points, and percent of itself."""
    return _load_lexicon().tolerance


def forget_claims_table() -> None:
    """Makes the table be read again."""
    for cached in (_load_lexicon, _compile_pattern, _find_claims):
        cached.cache_clear()


@lru_cache(maxsize=1)
def _load_lexicon() -> _Lexicon:
    table = read_table("claims")
    lists = {name: tuple(_join_all_languages(entry)) for name, entry in table["words"].items()}
    rows = table["thing"]
    return _Lexicon(
        {name: _make_subject(name, row) for name, row in rows.items()},
        tuple(rows),
        lists,
        _make_naming_patterns(rows, lists),
        _make_naming_patterns({name: row.get("without", {}) for name, row in rows.items()}, lists),
        _make_patterns(table["harmless"], lists),
        _make_patterns(table["outside"], lists),
        tuple(
            (_make_claim_kind(name, row), _make_patterns(row, lists))
            for name, row in table["kind"].items()
        ),
        (Decimal(table["share"]["points"]), Decimal(table["share"]["percent"])),
    )


def _make_naming_patterns(
    rows: Mapping[str, Mapping[str, Any]], lists: Mapping[str, tuple[str, ...]]
) -> tuple[_Pattern, ...]:
    return tuple(
        pattern for name, row in rows.items() for pattern in _make_patterns(row, lists, means=name)
    )


def _make_patterns(
    row: Mapping[str, Any], lists: Mapping[str, tuple[str, ...]], means: str = ""
) -> tuple[_Pattern, ...]:
    return tuple(
        _Pattern(words, tuple(_find_stems(words, lists)), language, means)
        for language, own in row.items()
        if _is_language_code(language)
        for words in own
    )


_NOT_ALWAYS = re.compile(r"\([^()]*\)\??|\[[^\]]*\]\*?|\{[^{}]*\}|\w\?")
"""What a text that a pattern matches may lack."""


def _find_stems(pattern: str, lists: Mapping[str, tuple[str, ...]]) -> Iterator[str]:
    """The longest letters that are always there; else those of each choice of a list or group."""
    always, inner = pattern, ""
    while always != inner:  # groups may stand in groups
        inner, always = always, re.sub(_NOT_ALWAYS, " ", always)
    words = re.findall(r"[^\W_]+", fold_text(always))
    if words:
        yield max(words, key=len)
        return
    named = next((n for n in re.findall(r"\{([^{}]*)\}", pattern) if n in lists), "")
    choices = _split_choices(pattern) or lists.get(named, ())
    for choice in choices:
        yield from _find_stems(choice, lists)
    if not choices:
        yield ""  # a thing alone: any text will do


def _split_choices(pattern: str) -> list[str]:
    """What the first group of a pattern lets choose from, groups in it left whole."""
    found, depth = [""], 0
    for letter in pattern[pattern.find("(") + 1 :] if "(" in pattern else "":
        depth += {"(": 1, ")": -1}.get(letter, 0)
        if depth < 0:
            return found
        if letter == "|" and not depth:
            found.append("")
        else:
            found[-1] += letter
    return []


def _is_language_code(key: str) -> bool:
    return len(key) == 2 and key not in {"as", "of"}


def _join_all_languages(row: Mapping[str, Any]) -> list[str]:
    return [words for key, own in row.items() if _is_language_code(key) for words in own]


def _make_subject(name: str, row: Mapping[str, Any]) -> ClaimSubject:
    own = {
        k: _freeze_value(v)
        for k, v in row.items()
        if not _is_language_code(k) and k not in _OTHER_KEYS
    }
    return ClaimSubject(name, **own)


def _make_claim_kind(name: str, row: Mapping[str, Any]) -> ClaimKind:
    own = {k: _freeze_value(v) for k, v in row.items() if not _is_language_code(k)}
    counts_as = own.pop("as", name)
    test = own.pop("test", None)
    return ClaimKind(name, counts_as, test=TruthTest(test) if test else None, **own)


def _freeze_value(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


@lru_cache(maxsize=2048)
def _compile_pattern(pattern: str) -> re.Pattern[str]:
    return re.compile(_build_regex(pattern))


_TOKEN = re.compile(
    r"\{(?P<slot>[^{}]+)\}|(?P<gap> ?\.\. ?)"
    r"|(?P<before> ?)\[(?P<maybe>[^\]]*)\](?P<many>\*?)(?P<after> ?)"
    r"|(?P<percent> ?%)|(?P<star>\*)|(?P<blank> )|(?P<open>\((?!\?))|(?P<other>.)"
)


def _build_regex(pattern: str) -> str:
    """A pattern of the table as a regular expression on folded text."""
    if pattern.startswith("{things}"):  # what stands before the first may be anything
        pattern = pattern.replace("{things}", "{row}", 1)
    body = "".join(map(_build_token_regex, _TOKEN.finditer(_fold_pattern(pattern))))
    start = r"(?<!\w)" if re.match(r"[\w(\[]", pattern) else ""
    end = r"(?!\w)" if re.search(r"[\w)\]]$", pattern) else ""
    return f"{start}{body}{end}"


def _build_slot_regex(name: str) -> str:
    """What stands for a name in braces: something built in, a list, or the mark of one thing."""
    if name in _BUILT_IN:
        return _BUILT_IN[name]
    if name.startswith("="):
        return chr(_FIRST_MARK + _load_lexicon().order.index(name[1:]))
    return "(?:" + "|".join(map(_build_regex, _load_lexicon().lists[name])) + ")"


def _fold_pattern(pattern: str) -> str:
    """Letters as texts are folded; the names of lists stay."""
    parts = re.split(r"(\{[^{}]+\}| +)", pattern.replace(" {clause}", "{clause}"))
    return "".join(p if p[:1] in {"{", " "} else fold_text(p) for p in parts)


def _build_token_regex(match: re.Match[str]) -> str:
    if slot := match["slot"]:
        return _build_slot_regex(slot)
    if match["gap"]:
        return rf"[\s-]+(?:(?:[\w'%]|\d[.,]\d|{_MARKS})+[\s,-]+){{0,3}}?"
    if (maybe := match["maybe"]) is not None:
        inner = "".join(map(_build_token_regex, _TOKEN.finditer(maybe)))
        before = r"[\s-]+" if match["before"] else ""
        times = "*" if match["many"] else "?"
        if match["after"]:
            return rf"{before}(?:(?:{inner})[\s'-]*){times}"
        return f"(?:{before}(?:{inner})){times}"
    if match["percent"]:
        return r"\s*%"
    if match["star"]:
        return r"\w*"
    if match["blank"]:
        return r"(?:[\s-]+|(?<='))"  # none after an elided letter
    if match["open"]:
        return "(?:"
    return r"\." if match["other"] == "." else match["other"]
