"""Which regions have rules, and what one that nobody knows by its name was meant to be."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from labelkit.common.errors import InputError
from labelkit.common.messages import FactList, Said, Term
from labelkit.common.rule_tables import FOLDER, read_table
from labelkit.common.text_match import SLIPS, find_closest

_LANGUAGES = ("en", "fr", "de", "es", "it", "nl", "pt")
"""Languages in which every country is known, besides its own (names from CLDR, through Babel)."""
_ALIASES = {
    "uk": "GB", "great britain": "GB", "britain": "GB", "england": "GB", "scotland": "GB",
    "wales": "GB", "grossbritannien": "GB", "grande bretagne": "GB", "northern ireland": "GB-NIR",
    "ni": "GB-NIR", "usa": "US", "america": "US", "united states of america": "US",
    "puerto rico": "US-PR", "pr": "US-PR", "quebec": "CA-QC", "qc": "CA-QC", "can": "CA",
    "europe": "EU", "ue": "EU", "holland": "NL",
    "eire": "IE", "el": "GR", "hellas": "GR", "aus": "AU", "nzl": "NZ", "aotearoa": "NZ",
    "sp": "ES",
}  # fmt: skip
"""What people call regions besides a country's own name; folded letters."""
_WITH_ARTICLE = ("GB", "NL", "US")
"""Countries whose English names take "the" in a sentence."""
_NOWHERE = "ZZ"
"""The code CLDR has for no region."""


def explain_unknown_region(typed: str, known: Mapping[str, str]) -> Said:
    """The complaint about a region that is not ``known`` (code: title), with what is meant.

    A country is found by its name in English, in its own languages and in several others, with or
    without accents, and with a slip of the finger.
    """
    names = dict(_list_region_names(known))
    wanted = _fold_name(typed)
    whole = typed.strip().upper().split("-")[0]
    near = wanted if wanted in names else find_closest(wanted, names, SLIPS)
    if near or whole in known:  # of a part of a country, such as US-ME, the country
        code = names[near] if near else whole
        return Said(
            "unknown region; did you mean {code} ({region})?",
            code=code,
            region=Term("region", known[code]),
        )
    codes = FactList(sorted(known))
    country = _find_country(wanted)
    if country:
        return Said(
            "there are no rules for {country} yet; known: {codes}", country=country, codes=codes
        )
    return Said("unknown region; known: {codes}", codes=codes)


@lru_cache(maxsize=1)
def _list_territories() -> Mapping[str, str]:
    """English names by code, of countries and larger parts of the world."""
    from babel import Locale

    return {str(code): str(name) for code, name in Locale("en").territories.items()}


def is_country_code(code: str) -> bool:
    """Whether a text is the ISO 3166 code of a country, in capitals."""
    return len(code) == 2 and code in _list_territories()


def find_country_name(code: str) -> str:
    """A country's English name by its ISO 3166 code, or "GB-NIR"; a code CLDR lacks as it is."""
    if code == "GB-NIR":
        return "Northern Ireland"
    return _list_territories().get(code, code)


def country_with_article(code: str) -> str:
    """A country's English name as it stands in a sentence: the Netherlands."""
    return f"the {find_country_name(code)}" if code in _WITH_ARTICLE else find_country_name(code)


def _list_region_names(known: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Every folded name of a known region and its code; a country's before those of its parts."""
    from babel import Locale, UnknownLocaleError
    from babel.languages import get_official_languages

    for code, title in known.items():
        yield _fold_name(title), code
        yield _fold_name(code), code
        own = get_official_languages(code, regional=True, de_facto=True)
        for language in dict.fromkeys((*_LANGUAGES, *own)):
            try:
                name = Locale.parse(language).territories.get(code)
            except (UnknownLocaleError, ValueError):  # a language CLDR has no names for
                continue
            if name:
                yield _fold_name(name), code
    yield from ((alias, code) for alias, code in _ALIASES.items() if code in known)


def _find_country(folded: str) -> str:
    """A country by code or English name, for which there is no table; "" for none."""
    for code, name in _list_territories().items():
        if len(code) == 2 and code != _NOWHERE and folded in {code.casefold(), _fold_name(name)}:
            return name
    return ""


def _fold_name(text: str) -> str:
    """Letters without case, accents or punctuation, words parted by one blank."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(c for c in bare if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in letters).split())


@lru_cache(maxsize=1)
def list_region_codes() -> tuple[str, ...]:
    """Codes of every region there is a table for (ISO 3166), in order."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.toml") if path.stem.isupper()))


@lru_cache(maxsize=1)
def list_region_titles() -> Mapping[str, str]:
    """Code and title of every region, by code."""
    return {code: str(read_table(code)["title"]) for code in list_region_codes()}


def check_regions(regions: Iterable[str]) -> tuple[str, ...]:
    """The codes in capitals and without repeats; InputError for one that is not known."""
    found: dict[str, None] = {}
    for typed in regions:
        code = typed.strip().upper()
        if code not in list_region_codes():
            raise InputError(
                "--region", "", typed, explain_unknown_region(typed, list_region_titles())
            )
        found[code] = None
    return tuple(found)
