"""Is it there, on the right panel, in the right languages?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Language, Quoted, Said, Term
from labelkit.common.regions import country_with_article
from labelkit.common.text_match import fold_as_read, fold_without_spaces
from labelkit.model.runs import NEUTRAL, ElementText, Panel
from labelkit.rules.facts import Facts
from labelkit.rules.kinds.base import NOTHING, PRESENT, CheckKind, name_place
from labelkit.rules.kinds.words import describe_missing_words
from labelkit.rules.label import Label, is_same_language, name_element, name_panel, normalise_spaces
from labelkit.rules.phrases import list_phrase_forms, list_set_phrases
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import has_words

GENERIC = "soap"
"""The phrase that shows which language a product identity is really in."""

Alternatives = tuple[tuple[str, ...], ...]
"""Sets of languages, one of which is wanted whole: fi and sv; or en alone or ga with en."""


@dataclass(frozen=True)
class PresentElement(CheckKind):
    """The element stands on the panel; ``fact`` names what its text must contain."""

    languages: Alternatives = ()
    only_if_used: bool = False
    """The element may be left out, but not put in one language alone."""
    fact: str = ""
    exempt_below_g: Decimal | None = None
    """Pieces lighter than this need not have it."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        if self.exempt_below_g is not None and label.facts.net_weight_g < self.exempt_below_g:
            return
        found = label.texts(rule.element, rule.panel)
        what, where = name_element(rule.element), name_place(rule.panel, label.facts)
        if not found:
            if not self.only_if_used:
                message = Said("{what:cap} is missing {where}", what=what, where=where)
                yield Problem(
                    message, NOTHING, PRESENT, remedy=_suggest_remedy(rule.element, label.facts)
                )
            return
        missing = find_missing_languages((text for _, text in found), self.languages)
        if missing:
            wanted_in = name_wanted_languages(missing, self.languages)
            yield Problem(
                Said(
                    "{what:cap} {where} is missing in {languages}",
                    what=what,
                    where=where,
                    languages=wanted_in,
                ),
                quote_by_language(text for _, text in found),
                wanted_in,
            )
        if self.languages and rule.element == "identity":
            yield from (self._borrowed(text, where) for text in _find_foreign_texts(found))
        wanted = normalise_spaces(str(getattr(label.facts, self.fact))) if self.fact else ""
        if wanted and not any(_has_text(text.text, wanted) for _, text in found):
            yield Problem(describe_missing_words(what, where, wanted), found[0][1].text, wanted)

    def _borrowed(self, text: ElementText, where: Term) -> Problem:
        own = list_set_phrases(text.language)[GENERIC].text
        message = Said(
            "{what:cap} {where} has no words of its own in {language}: it says {words} again",
            what=name_element(text.element),
            where=where,
            language=name_languages([text.language]),
            words=Quoted(text.text),
        )
        return Problem(message, text.text, own, language=text.language)


def _suggest_remedy(element: str, facts: Facts) -> str:
    """How to put right what is missing; empty, as the row says it, where nothing more is known."""
    if element == "origin" and facts.made_in:
        return Said(
            "Say it in back.origin of label.toml, such as “Made in {country}”.",
            country=country_with_article(facts.made_in),
        )
    if element == "lot" and facts.planned_lot:
        return _suggest_lot(facts)
    return ""


def _suggest_lot(facts: Facts) -> str:
    return Said(
        "Give product.lot in label.toml: the plan makes it {lot}.", lot=Quoted(facts.planned_lot)
    )


def _find_foreign_texts(found: Sequence[tuple[Panel, ElementText]]) -> Iterator[ElementText]:
    """Texts that repeat another language's and lack their own language's word for soap."""
    for _, text in found:
        again = [other for _, other in found if other.language != text.language]
        alike = any(fold_as_read(other.text) == fold_as_read(text.text) for other in again)
        own = list_phrase_forms(GENERIC, text.language)
        if alike and own and not any(has_words(text.text, form) for form in own):
            yield text


@dataclass(frozen=True)
class OptionalElement(CheckKind):
    """Nothing asks for the element; whoever prints it is told what the row says."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel, _ in label.texts(rule.element, rule.panel)[:1]:
            yield Problem(Said("{asks:open}", asks=rule.asks), PRESENT, panel=panel.name)


@dataclass(frozen=True)
class ElementLanguages(CheckKind):
    """Whatever of these elements is on the label stands there in the languages."""

    elements: tuple[str, ...]
    languages: Alternatives

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for element in self.elements:
            found = label.texts(element, rule.panel)
            missing = find_missing_languages((text for _, text in found), self.languages)
            if found and missing:
                wanted_in = name_wanted_languages(missing, self.languages)
                yield Problem(
                    Said(
                        "{what:cap} is missing in {languages}",
                        what=name_element(element),
                        languages=wanted_in,
                    ),
                    quote_by_language(text for _, text in found),
                    wanted_in,
                    panel=found[0][0].name,
                    element=element,
                )


@dataclass(frozen=True)
class LanguageFollows(CheckKind):
    """Any text in another language calls for all of these elements in that language too."""

    language: str
    """The language that is always asked for."""
    triggers: tuple[str, ...]
    """Elements whose words count as a representation in a language."""
    elements: tuple[str, ...]

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        tags = {
            text.language: (panel.name, text.text)
            for element in self.triggers
            for panel, text in label.texts(element)
            if not is_same_language(text.language, self.language)
        }
        for tag, (panel, words) in tags.items():
            for element in self.elements:
                found = label.texts(element)
                if found and not any(is_same_language(text.language, tag) for _, text in found):
                    yield Problem(
                        Said(
                            "“{words}” on the {panel} is in {language},"
                            " so the {what} must be in {language} as well",
                            words=normalise_spaces(words),
                            panel=name_panel(panel),
                            language=name_languages([tag]),
                            what=name_element(element),
                        ),
                        name_languages(dict.fromkeys(text.language for _, text in found)),
                        name_languages([tag]),
                        panel=found[0][0].name,
                        element=element,
                    )


def find_missing_languages(texts: Iterable[ElementText], wanted: Alternatives) -> tuple[str, ...]:
    """The languages lacking of the alternative that lacks least; none when one is whole."""
    tags = [text.language for text in texts]
    lacking = [
        tuple(
            language for language in one if not any(is_same_language(tag, language) for tag in tags)
        )
        for one in wanted
    ]
    return min(lacking, key=len, default=())


def name_wanted_languages(missing: tuple[str, ...], alternatives: Alternatives) -> FactList:
    """What to say of missing languages: all of them, or each where any one of several will do."""
    singly = [one[0] for one in alternatives if len(one) == 1]
    if len(singly) > 1 and len(missing) == 1 and missing[0] in singly:
        return FactList((Language(tag) for tag in singly), "or")
    return name_languages(missing)


def quote_by_language(texts: Iterable[ElementText]) -> FactList:
    """What an element says, each text with its language, for a message."""
    said = (
        Said("{words} in {language}", words=Quoted(text.text), language=name_languages([tag]))
        for text in texts
        for tag in [text.language]
    )
    return FactList(dict.fromkeys(said), "and")


def name_languages(tags: Iterable[str]) -> FactList:
    """Names of languages, for a message."""
    names = (Said("no language") if tag == NEUTRAL else Language(tag) for tag in tags)
    return FactList(dict.fromkeys(names), "and")


def _has_text(text: str, wanted: str) -> bool:
    """Whether a reader finds these words in a text; spaces may have been lost on the way."""
    return _strip_scheme(wanted) in _strip_scheme(text)


def _strip_scheme(text: str) -> str:
    """A web address is the same with and without its scheme."""
    return fold_without_spaces(text).replace("https://", "").replace("http://", "").rstrip("/")
