"""Whether words that stand for one language are of it: Québec's French beside English."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from unicodedata import normalize

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Quoted, Said
from labelkit.common.rule_tables import read_table
from labelkit.model.runs import NEUTRAL, ElementText, Panel
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.kinds.presence import name_languages
from labelkit.rules.kinds.setting import compare_prominence
from labelkit.rules.label import Label, is_same_language, name_panel, quote_words
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import fold_text, has_words

_ACCENTED = re.compile(r"\w*[^\W\d_a-zA-Z]\w*")
"""A word with a letter that English has not: "thé" is not "the"."""
_SAME_LINE_MM = 0.5
"""Baselines closer than this are one line."""


@dataclass(frozen=True)
class OwnWords(CheckKind):
    """What these elements say, they say in the language, and in its own words."""

    language: str
    elements: tuple[str, ...]
    names: tuple[str, ...] = ()
    """Elements that may be proper names: only a whole English phrase counts there, and warns."""
    own_words: bool = True
    """False: that there are words in the language is enough; another row looks at them."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for element in self.elements:
            found = label.texts(element, rule.panel)
            own = [pair for pair in found if is_same_language(pair[1].language, self.language)]
            if found and not own:
                yield self._missing(element, *found[0])
            if self.own_words and not any(self._is_own(text) for _, text in own):
                yield from (problem for pair in own for problem in self._borrowed(element, *pair))

    def _is_own(self, text: ElementText) -> bool:
        return text.language != NEUTRAL and not find_english_words(text.text, whole=False)

    def _missing(self, element: str, panel: Panel, text: ElementText) -> Problem:
        language = name_languages([self.language])
        return Problem(
            Said(
                "{words} on the {panel} is in {other}, and nothing says it in {language}",
                words=quote_words(text.text),
                panel=name_panel(panel.name),
                other=name_languages([text.language]),
                language=language,
            ),
            name_languages([text.language]),
            language,
            panel=panel.name,
            element=element,
        )

    def _borrowed(self, element: str, panel: Panel, text: ElementText) -> Iterator[Problem]:
        english = find_english_words(text.text, whole=element in self.names)
        if not english or (text.language == NEUTRAL and _has_french(text.text)):
            return
        yield Problem(
            Said(
                "{words} on the {panel} stands for {language} too, with English words: {english}",
                words=quote_words(text.text),
                panel=name_panel(panel.name),
                language=name_languages([self.language]),
                english=FactList(map(Quoted, english), "and"),
            ),
            FactList(map(Quoted, english), "and"),
            name_languages([self.language]),
            panel=panel.name,
            element=element,
            at_most=Level.WARN if element in self.names else Level.FAIL,
            remedy=Said(
                'Give the words per language in label.toml: { en = "...", fr = "..." }, each in its'
                " own."
            ),
        )


@dataclass(frozen=True)
class MarkWords(CheckKind):
    """Descriptive English words of a mark stand on the label in French, and no less prominently."""

    made_before: dt.date
    """What was made before this day ..."""
    sold_before: dt.date
    """... may be sold without until this one."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        firm = fold_text(label.facts.dealer_name)
        for panel, text in label.texts(rule.element, rule.panel):
            if fold_text(text.text) in firm:  # the firm's name is no mark's description
                continue
            lacking: dict[str, str] = {}
            for word, french in _find_descriptive_words(text.text):
                beside = [t for _, t in label.every_text() if _has_any_words(t.text, french)]
                if not beside:
                    lacking[word] = french[0].strip("*")
                    continue
                yield from self._outdone(panel, text, word, beside, label)
            if lacking:
                yield self._lacks(panel, text, lacking, label)

    def _lacks(
        self, panel: Panel, text: ElementText, lacking: Mapping[str, str], label: Label
    ) -> Problem:
        english = FactList(map(Quoted, lacking), "and")
        french = FactList(map(Quoted, dict.fromkeys(lacking.values())), "or")
        return Problem(
            Said(
                "{words} on the {panel} describes the product in English ({english}), and the label"
                " has no {french}",
                words=quote_words(text.text),
                panel=name_panel(panel.name),
                english=english,
                french=french,
            ),
            english,
            french,
            panel=panel.name,
            at_most=self._gravest(label),
        )

    def _outdone(
        self, panel: Panel, text: ElementText, word: str, beside: list[ElementText], label: Label
    ) -> Iterator[Problem]:
        outdone = [list(compare_prominence(text, other, label.tolerance_mm)) for other in beside]
        if all(outdone):
            _, theirs, ours, unit = outdone[0][0]
            yield Problem(
                Said(
                    "“{word}” in {words} on the {panel} is set more prominently than {french}",
                    word=word,
                    words=quote_words(text.text),
                    panel=name_panel(panel.name),
                    french=quote_words(beside[0].text),
                ),
                theirs,
                ours,
                unit,
                panel=panel.name,
                at_most=self._gravest(label),
            )

    def _gravest(self, label: Label) -> Level:
        """What was made before may be sold out; nobody knows when a piece of no date was made."""
        made = label.facts.kept_from
        is_old = made is not None and made < self.made_before
        return Level.NOTE if is_old and label.on < self.sold_before else Level.FAIL


@dataclass(frozen=True)
class StandsFirst(CheckKind):
    """Where an element is in several languages on a panel, the language comes first."""

    language: str
    elements: tuple[str, ...]

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        """The first of each panel: the others stand the same way round."""
        for panel in label.at(rule.panel):
            for element in self.elements:
                texts = [text for found, text in label.texts(element) if found is panel]
                own = [t for t in texts if t.language.split("-")[0] == self.language]
                others = [t for t in texts if t not in own and t.language != NEUTRAL]
                before = [other for other in others if own and _is_before(other, own[0])]
                if before:
                    yield self._problem(panel, before[0], own[0])
                    break

    def _problem(self, panel: Panel, other: ElementText, own: ElementText) -> Problem:
        message = Said(
            "{other} on the {panel} stands before the {language} {words}",
            other=quote_words(other.text),
            panel=name_panel(panel.name),
            language=name_languages([self.language]),
            words=quote_words(own.text),
        )
        return Problem(message, panel=panel.name, element=own.element)


def _is_before(one: ElementText, other: ElementText) -> bool:
    """Whether a text begins above another, or to its left on the same line."""
    first, second = one.runs[0], other.runs[0]
    lower_mm = first.baseline_mm - second.baseline_mm
    return lower_mm > _SAME_LINE_MM or (abs(lower_mm) <= _SAME_LINE_MM and first.x_mm < second.x_mm)


@lru_cache(maxsize=1024)
def find_english_words(text: str, whole: bool) -> tuple[str, ...]:
    """The English words of a text as they stand there; with ``whole`` none where no word shows that
    it is an English phrase and not a name."""
    table, text = _load_english_table(), _ACCENTED.sub("|", normalize("NFC", text))
    plain = [word for word in table["plain"]["words"]["en"] if has_words(text, word)]
    if whole and not plain:
        return ()
    found = dict.fromkeys([*plain, *(word for word, _ in _find_descriptive_words(text))])
    return tuple(sorted(found, key=fold_text(text).find))


def _find_descriptive_words(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each descriptive English word of a text, with its French."""
    for words, french in _load_english_table()["descriptive"]["words"].items():
        said = next((word for word in words.split("|") if has_words(text, word)), "")
        if said:
            yield said, tuple(french)


def _has_french(text: str) -> bool:
    return _has_any_words(text, _load_english_table()["french"]["words"]["fr"])


def _has_any_words(text: str, words: Iterable[str]) -> bool:
    return any(has_words(text, word) for word in words)


@lru_cache(maxsize=1)
def _load_english_table() -> dict[str, dict[str, dict[str, list[str]]]]:
    return read_table("english")
