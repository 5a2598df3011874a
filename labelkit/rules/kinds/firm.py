"""Who stands behind the product: address and contact."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field
from functools import cached_property, lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said
from labelkit.model.runs import ElementText
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import NOTHING, CheckKind, name_place
from labelkit.rules.kinds.presence import Alternatives, find_missing_languages, name_languages
from labelkit.rules.label import Label, name_element, quote_words
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import fold_text

MOST_READ = ("en", "fr", "de")
"""Languages in which a foreign address is likely to name its country, beside the label's own."""
LONGEST_CODE = 3
"""Letters of a country's abbreviation such as USA."""

_REACHES = (
    r"[\w.+-]+@[\w-]+(\.[\w-]+)+",  # e-mail
    r"(https?://|www\.)\S+|\b[\w-]+(\.[\w-]+)*\.[a-z]{2,}(/\S*)?\b",  # web address
    r"\+?\(?\d[\d\s().-]{5,}\d",  # telephone
)
_HANDLE = r"(?<![\w.])@[\w.]*\w"
"""The name of somebody on a service that the label may not name."""


@dataclass(frozen=True)
class Address(CheckKind):
    """The address names a place in the region: a name, a code in capitals, or a postcode."""

    names: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    patterns: tuple[str, ...] = ()
    territories: tuple[str, ...] = ()
    """ISO 3166 codes; their names in the label's languages and English count."""
    needs: str = "a place"
    """What the message says is missing."""
    refuses: tuple[str, ...] = ()
    """Patterns that no address may have (a post-office box)."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        texts = label.texts(rule.element, rule.panel)
        whole = " ".join(text.text for _, text in texts)
        if not texts:
            return
        if not self._names_place(whole, label.facts):
            needs = Said(self.needs)
            yield Problem(
                Said("{what:cap} names no {needs}", what=name_element(rule.element), needs=needs),
                quote_words(whole),
                needs,
                panel=texts[0][0].name,
            )
        for pattern in self.refuses:
            if re.search(pattern, whole, re.IGNORECASE):
                yield Problem(
                    Said(
                        "{words} is a post-office box, not a street address",
                        words=quote_words(whole),
                    ),
                    quote_words(whole),
                    Said("a street address"),
                    panel=texts[0][0].name,
                )

    def _names_place(self, text: str, facts: Facts) -> bool:
        names = (*self.names, *self._territory_names(facts))
        return (
            not (names or self.codes or self.patterns)
            or _is_any_last_on_line(text, names)
            or bool(self.codes and self._any_code.search(text))
            or any(re.search(pattern, text) for pattern in self.patterns)
        )

    @cached_property
    def _any_code(self) -> re.Pattern[str]:
        return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, self.codes))})(?!\w)")

    def _territory_names(self, facts: Facts) -> Iterator[str]:
        if not self.territories:
            return
        for code in self.territories:
            yield from _list_country_names(code, facts.languages)


@lru_cache(maxsize=256)
def _list_country_names(code: str, languages: tuple[str, ...]) -> tuple[str, ...]:
    """A country in the label's languages, in its own and in English (Unicode CLDR, by Babel)."""
    from babel import Locale
    from babel.languages import get_official_languages

    tags = dict.fromkeys((*languages, *get_official_languages(code), "en"))
    known = (Locale.parse(tag.replace("_", "-"), sep="-").territories for tag in tags)
    return tuple(dict.fromkeys(names[code] for names in known if code in names))


_POSTCODE = r"[^\W_]{2,4}(?:[ -]?[^\W_]{2,4})?"
_LINE_END = r"\s*(?:[,;·|/(.]|$)"


@lru_cache(maxsize=256)
def _is_any_last_on_line(text: str, names: tuple[str, ...]) -> bool:
    return any(_is_last_on_line(text, name) for name in names)


def _is_last_on_line(text: str, name: str) -> bool:
    """Whether a place stands where an address has it: last on a line, or before the postcode.

    "Malta" does in "Elmvale, Malta", "Ontario" in "Elmvale, Ontario N0A 1B0", but "Malta" does
    not in "14 Malta Road, Elmvale".
    """
    return _compile_place(name).search(fold_text(text)) is not None


@lru_cache(maxsize=1024)
def _compile_place(name: str) -> re.Pattern[str]:
    place = re.escape(fold_text(name))
    last = rf"(?<!\w){place}(?:\s+(?=\S*\d){_POSTCODE})?{_LINE_END}"
    return re.compile(rf"\({place}\)|{last}")


@dataclass(frozen=True)
class OneAddressStandsOut(CheckKind):
    """Of addresses in several countries one is set apart: in capitals, another weight or colour.

    An address is known by the country that ends it; two in one country are taken for one.
    """

    also: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Other names of a country, by its ISO 3166 code."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        texts = label.texts(rule.element, rule.panel)
        names = _index_country_names(label.facts.languages)
        names |= {fold_text(name): code for code, given in self.also.items() for name in given}
        found = {
            names[country]: _PrintedCountry.of(printed, text)
            for _, text in texts
            for printed, country in _find_countries(text.text, names)
        }
        if len(found) > 1 and len({standing.setting for standing in found.values()}) == 1:
            listed = FactList((standing.country for standing in found.values()), "and")
            yield Problem(
                Said(
                    "There are addresses in {countries}, and neither is highlighted as that of the"
                    " product information file",
                    countries=listed,
                ),
                listed,
                Said("one address highlighted"),
                panel=texts[0][0].name,
            )


@dataclass(frozen=True, slots=True)
class _PrintedCountry:
    """How the name of a country is printed at the end of an address."""

    country: str
    setting: tuple[bool, int, str]
    """Whether it is in capitals, its weight, its colour."""

    @classmethod
    def of(cls, country: str, text: ElementText) -> _PrintedCountry:
        run = next((run for run in text.runs if country in run.text), text.runs[0])
        # "UK" and its like are in capitals wherever they stand.
        capitals = len(country) > LONGEST_CODE and country.isupper()
        return cls(country, (capitals, run.weight, run.colour))


def _find_countries(text: str, names: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The countries that end an address, as printed and as their names are folded."""
    for part in re.split(r"[,;·|/()\n]", text):
        words = part.strip(" .\u00a0").split()
        for start in range(len(words)):
            country = fold_text(" ".join(words[start:]))
            # "3 rue de Belgique" is a street; "5000 Namur" may end in a country without a comma.
            if country in names and (start == 0 or any(c.isdigit() for c in words[start - 1])):
                yield " ".join(words[start:]), country
                break


@lru_cache(maxsize=16)
def _index_country_names(languages: tuple[str, ...]) -> dict[str, str]:
    """Code (ISO 3166) by the folded name of every country, in the label's languages and a few
    that most read (Unicode CLDR, by Babel)."""
    from babel import Locale

    tags = dict.fromkeys((*languages, *MOST_READ))
    return {
        fold_text(name): code
        for tag in tags
        for code, name in Locale.parse(tag.replace("-", "_")).territories.items()
        if len(code) == 2 and code.isalpha()
    }


@lru_cache(maxsize=256)
def _has_reach(text: str) -> bool:
    return any(re.search(pattern, text, re.IGNORECASE) for pattern in _REACHES)


@dataclass(frozen=True)
class Contact(CheckKind):
    """There is a telephone number, e-mail, web address, or full postal address."""

    languages: Alternatives = ()
    """For any words of it; a bare number or address is nobody's language."""
    postcodes: tuple[str, ...] = ()
    """Patterns that make the firm's address a full postal one."""
    handles: bool = False
    """Whether a name such as "@maker" may do, where its reader knows on which service."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = label.texts(rule.element, rule.panel)
        postal = any(
            re.search(pattern, text.text)
            for _, text in [*label.texts("dealer", rule.panel), *found]
            for pattern in self.postcodes
        )
        reaches = any(_has_reach(text.text) for _, text in found)
        handle = next((h for _, text in found if (h := re.search(_HANDLE, text.text))), None)
        if self.handles and handle and not (postal or reaches):
            yield Problem(
                Said(
                    "{handle} reaches the maker only through a service that has to be known",
                    handle=quote_words(handle[0]),
                ),
                quote_words(handle[0]),
                Said("telephone, e-mail, web or full postal address"),
                at_most=Level.WARN,
            )
        elif not (postal or reaches):
            where = name_place(rule.panel, label.facts)
            yield Problem(
                Said("There is no way to reach the maker {where}", where=where),
                quote_words(found[0][1].text) if found else NOTHING,
                Said("telephone, e-mail, web or full postal address"),
            )
        missing = find_missing_languages((text for _, text in found), self.languages)
        if found and missing:
            wanted_in = name_languages(missing)
            yield Problem(
                Said("The contact information is missing in {languages}", languages=wanted_in),
                name_languages(dict.fromkeys(text.language for _, text in found)),
                wanted_in,
            )
