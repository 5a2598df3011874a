"""Words that must be there, and words that must not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property, lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Language, Said, Term
from labelkit.common.rule_tables import read_table
from labelkit.model.runs import NEUTRAL, ElementText, Panel
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import NOTHING, CheckKind, TextKind, name_place
from labelkit.rules.label import Label, is_same_language, name_element, name_panel, quote_words
from labelkit.rules.phrases import list_phrase_forms, list_phrase_languages, list_set_phrases
from labelkit.rules.printed_quantity import find_amounts
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import find_words, fold_text, has_words

_NOT_SAID = frozenset({"names", "guest", "place", "date", "dealer", "contact", "draft-mark"})
"""Elements that name people and places: nobody's surname is a claim."""

SAME_LINE_MM = 0.5
"""Baselines closer than this are one line."""


@dataclass(frozen=True)
class SaysPhrase(CheckKind):
    """The element's text in each of the languages has one of a phrase's forms."""

    phrase: str = ""
    """A key of the table of phrases ..."""
    terms: tuple[str, ...] = ()
    """... or the words themselves, whatever the label's language."""
    languages: tuple[str, ...] = ()
    """Empty: at least one language's form is there, whatever the language."""
    at_start: bool = False
    only_if_used: bool = True
    """An element that is not there at all is another rule's matter."""
    in_all: tuple[str, ...] = ()
    """Elements whose texts are looked at together; empty: the rule's own element."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = [
            pair
            for element in self.in_all or (rule.element,)
            for pair in label.texts(element, rule.panel)
        ]
        if not found and self.only_if_used:
            return
        texts = [text for _, text in found]
        where = name_place(rule.panel, label.facts)
        if not self.languages:
            tags = list_phrase_languages(self.phrase)
            forms = [*self.terms, *(f for tag in tags for f in list_phrase_forms(self.phrase, tag))]
            own = [text for text in texts if text.element == rule.element]
            if not any(self._holds(text.text, forms) for text in texts):
                what = name_element(rule.element)
                yield Problem(
                    describe_missing_words(what, where, forms[0])
                    if own
                    else Said("{what:cap} is missing {where}", what=what, where=where),
                    quote_words(own[0].text) if own else NOTHING,
                    forms[0],
                )
        for language in self.languages:
            own = [text for text in texts if is_same_language(text.language, language)]
            if not any(
                self._holds(text.text, list_phrase_forms(self.phrase, language)) for text in own
            ):
                wanted = list_set_phrases(language)[self.phrase].text
                yield Problem(
                    describe_missing_words(name_element(rule.element), where, wanted),
                    quote_words(own[0].text) if own else NOTHING,
                    wanted,
                )

    def _holds(self, text: str, forms: Iterable[str]) -> bool:
        return any(
            (
                fold_text(text).startswith(fold_text(form))
                if self.at_start
                else has_words(text, form)
            )
            for form in forms
        )


def describe_missing_words(what: Term, where: Term, wanted: str) -> Said:
    """An element that lacks some words."""
    return Said("{what:cap} {where} does not say “{wanted}”", what=what, where=where, wanted=wanted)


@dataclass(frozen=True)
class SaysInAll(CheckKind):
    """A phrase used in one language is there in every one of the languages."""

    phrase: str
    languages: tuple[str, ...]

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel in label.at(rule.panel):
            texts = [
                text for found, text in label.texts(rule.element, rule.panel) if found is panel
            ]
            whole = " ".join(text.text for text in texts)
            used = [
                tag
                for tag in list_phrase_languages(self.phrase)
                if any(has_words(whole, form) for form in list_phrase_forms(self.phrase, tag))
            ]
            for language in self.languages:
                if used and language not in used:
                    wanted = list_set_phrases(language)[self.phrase].text
                    yield Problem(
                        Said(
                            "{words} has no “{wanted}” beside its other words",
                            words=quote_words(whole),
                            wanted=wanted,
                        ),
                        quote_words(whole),
                        wanted,
                        panel=panel.name,
                    )


@dataclass(frozen=True)
class WordsFollow(CheckKind):
    """A phrase used on the label is there in every language the triggers speak."""

    phrase: str
    triggers: tuple[str, ...]

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = label.texts(rule.element, rule.panel)
        whole = " ".join(text.text for _, text in found)
        spoken = dict.fromkeys(
            text.language.split("-")[0]
            for element in self.triggers
            for _, text in label.texts(element)
            if text.language != NEUTRAL
        )
        for language in spoken if found else ():
            phrase = list_set_phrases(language).get(self.phrase)
            if phrase and not any(has_words(whole, form) for form in phrase.forms):
                yield Problem(
                    Said(
                        "{words} has no “{wanted}” for the label's other language",
                        words=quote_words(whole),
                        wanted=phrase.text,
                    ),
                    quote_words(whole),
                    phrase.text,
                )


def _is_on_quantity_line(text: ElementText, panel: Panel) -> bool:
    """Whether a text shares a baseline with the net quantity, and so is read together with it."""
    lines = [run.baseline_mm for run in panel.runs if run.element == "net-quantity"]
    return any(abs(run.baseline_mm - y) < SAME_LINE_MM for run in text.runs for y in lines)


@dataclass(frozen=True)
class TellsProduct(TextKind):
    """Each of the element's texts has a word for what kind of product it is, in its language."""

    group: str
    """A list in the table of words. In a text that is nobody's language any of its words counts."""

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        language = text.language.split("-")[0].lower()
        if language != NEUTRAL and language not in _load_word_table()[self.group]:
            return
        spoken = find_word_languages(text.text, self.group)
        word = _find_ordinary_name(language)
        wanted = Said("a word such as “{word}”", word=word)
        if not spoken:
            yield Problem(
                Said(
                    "It cannot be told from {words} on the {panel} what the product is",
                    words=quote_words(text.text),
                    panel=name_panel(panel.name),
                ),
                quote_words(text.text),
                wanted,
            )
        elif language != NEUTRAL and language not in spoken:
            yield Problem(
                Said(
                    "{words} on the {panel} is given as {language}, and its word for the"
                    " product is {other}",
                    words=quote_words(text.text),
                    panel=name_panel(panel.name),
                    language=Language(language),
                    other=Language(self._likeliest(spoken, label.facts.languages)),
                ),
                quote_words(text.text),
                wanted,
                remedy=Said(
                    "Look whether the words stand under the right language: {language} says it"
                    " with a word such as “{word}”.",
                    language=Language(language),
                    word=word,
                ),
            )

    @staticmethod
    def _likeliest(spoken: Sequence[str], languages: Iterable[str]) -> str:
        """Of languages that share a word one of the label's own, whose words may be swapped."""
        own = [tag.split("-")[0].lower() for tag in languages]
        return next((tag for tag in own if tag in spoken), spoken[0])


def _find_ordinary_name(language: str) -> str:
    """The plainest name of the product in a language, or in English."""
    return (list_set_phrases(language).get("soap") or list_set_phrases("en")["soap"]).text


@dataclass(frozen=True)
class ForbiddenWords(CheckKind):
    """None of these words is on the label. A star at a word's end stands for any ending."""

    words: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    """Lists in the table of words, in every language it has."""
    because: str = ""
    """What is wrong with such a word, as the message ends."""
    elements: tuple[str, ...] = ()
    """Where to look; empty: everywhere but in names and addresses."""
    beside_quantity: bool = False
    """Only in a text that gives a mass, or on one line with the net quantity."""
    milder_with: tuple[str, ...] = ()
    """Where one of these elements is on the label, such a word only warns."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        milder = any(label.texts(element) for element in self.milder_with)
        for panel, text in self._texts(rule, label):
            if self.beside_quantity and not (
                find_amounts(text.text) or _is_on_quantity_line(text, panel)
            ):
                continue
            if found := find_words(text.text, self._words):
                yield Problem(
                    self._message(
                        quote_words(text.text), name_panel(panel.name), found.rstrip("*")
                    ),
                    found.rstrip("*"),
                    Said("left out"),
                    panel=panel.name,
                    element=text.element,
                    at_most=Level.WARN if milder else Level.FAIL,
                    language=text.language,
                )

    @cached_property
    def _words(self) -> tuple[str, ...]:
        return (*self.words, *(w for group in self.groups for w in list_word_group(group)))

    def _message(self, words: str, panel: Term, found: str) -> Said:
        if not self.because:
            return Said(
                "{words} on the {panel} says “{found}”", **_make_message_values(words, panel, found)
            )
        return Said(
            "{words} on the {panel} says “{found}”, {because}",
            **_make_message_values(words, panel, found),
            because=Said(self.because),
        )

    def _texts(self, rule: Rule, label: Label) -> Iterator[tuple[Panel, ElementText]]:
        if self.elements:
            for element in self.elements:
                yield from label.texts(element, rule.panel)
        else:
            yield from label.every_text(_NOT_SAID, rule.panel)


def _make_message_values(words: str, panel: Term, found: str) -> dict[str, object]:
    """What a message on a found word is filled with."""
    return {"words": words, "panel": panel, "found": found}


@lru_cache(maxsize=1)
def _load_word_table() -> dict[str, dict[str, list[str]]]:
    return {name: entry["words"] for name, entry in read_table("words").items()}


@lru_cache(maxsize=1024)
def find_word_languages(text: str, group: str) -> tuple[str, ...]:
    """The languages in which a text has one of a list's words, as the table goes."""
    words = _load_word_table()[group]
    return tuple(tag for tag, own in words.items() if any(has_words(text, word) for word in own))


def list_word_group(name: str) -> tuple[str, ...]:
    """The words of one list of the table of words, in every language it has."""
    return tuple(word for words in _load_word_table()[name].values() for word in words)
