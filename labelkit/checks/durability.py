"""labelkit's own checks of the language in which a date of durability is introduced.

The words are judged as a label spec gives them, and as a finished PDF has them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import FactList, Language, Quoted, Said
from labelkit.compose.element_words import is_bare_date
from labelkit.model.runs import NEUTRAL, ElementText, Panel, list_element_texts
from labelkit.order.label import LabelSpec
from labelkit.rules import list_phrase_forms, list_set_phrases
from labelkit.rules.findings import Finding, Level
from labelkit.rules.kinds.words import find_word_languages
from labelkit.rules.printed_date import find_dates_in_words, find_stated_dates
from labelkit.rules.word_match import has_words

ELEMENT = "durability"
RULE = "CRAFT-DURABILITY-LANGUAGE"
_WORD = re.compile(r"[^\W\d_]{2,}")
_UNKNOWN = ("", NEUTRAL, "und")
"""What a PDF may say of a run whose language it does not tell (ISO 639-2 and 639-3)."""


def check_given_words(
    spec: LabelSpec, panels: Iterable[str] = ("front", "back")
) -> Iterator[Finding]:
    """Words of the spec that are another language's than they are given as.

    Plain text may be in any of the label's languages.
    """
    sides = {"front": spec.front, "back": spec.back}
    for name in panels:
        words = sides[name].words.get(ELEMENT, {}) if name in sides else {}
        key = f"{name}.{ELEMENT}"
        if len({*words.values()}) == 1:  # alike in all languages, it is one text
            yield from _check_bare_date(next(iter(words.values())), spec.languages, key)
        for code, text in words.items():
            given = code or spec.languages[0]
            yield from _check_date_kind(text, [code] if code else spec.languages)
            if other := _find_foreign_language(text, [code] if code else spec.languages):
                yield make_own_finding(
                    RULE,
                    Said(
                        "{words} is given as {language}, and its words are {other}",
                        words=Quoted(text),
                        language=Language(given),
                        other=Language(other),
                    ),
                    element=ELEMENT,
                    remedy=Said(
                        "Say in {language} what stands before the date in {key}.",
                        language=Language(given),
                        key=f"{key}.{code}" if code else key,
                    ),
                )


def _check_bare_date(text: str, languages: Sequence[str], key: str) -> Iterator[Finding]:
    """A date alone, which gets its words from the table, where that lacks a language's."""
    lacking = [tag for tag in languages if "best-before" not in list_set_phrases(tag)]
    if lacking and is_bare_date(text):
        yield make_own_finding(
            RULE,
            Said(
                "The date {date} gets English words: none are known here in {languages}",
                date=Quoted(text),
                languages=FactList(map(Language, lacking), "and"),
            ),
            element=ELEMENT,
            remedy=Said(
                "Give {key} by language in label.toml, each with its own words before the date.",
                key=key,
            ),
        )


def check_printed_words(panels: Iterable[Panel], languages: Sequence[str]) -> Iterator[Finding]:
    """Words read from a finished PDF that are another language's than the PDF says they are in.

    ``languages`` are the label's own, most important first. Where the PDF does not say which it
    is, words of none of those are told, and of words that nobody here knows that they are not
    judged.
    """
    for panel in panels:
        for text in list_element_texts(panel, ELEMENT):
            own = languages if text.language in _UNKNOWN else [text.language]
            yield from _check_date_kind(text.text, own, panel.name)
            if text.language in _UNKNOWN:
                yield from _check_unknown_language(text, panel, languages)
            else:
                yield from _check_known_language(text, panel)


def _check_known_language(text: ElementText, panel: Panel) -> Iterator[Finding]:
    if other := _find_foreign_language(text.text, [text.language]):
        yield _make_printed_finding(
            panel,
            Said(
                "the PDF has {words} as {language}, and its words are {other}",
                words=Quoted(text.text),
                language=Language(text.language),
                other=Language(other),
            ),
        )


def _check_unknown_language(
    text: ElementText, panel: Panel, languages: Sequence[str]
) -> Iterator[Finding]:
    if other := _find_foreign_language(text.text, languages):
        yield _make_printed_finding(
            panel,
            Said(
                "the PDF does not say which language {words} is in; its words are {other}, which"
                " the label does not have",
                words=Quoted(text.text),
                other=Language(other),
            ),
        )
    elif not find_word_languages(text.text, ELEMENT) and _has_other_words(text.text, languages):
        yield _make_printed_finding(
            panel,
            Said(
                "the PDF does not say which language {words} is in, so its words were not judged",
                words=Quoted(text.text),
            ),
            Level.NOTE,
        )


def _make_printed_finding(panel: Panel, message: Said, level: Level = Level.WARN) -> Finding:
    return make_own_finding(
        RULE,
        message,
        panel=panel.name,
        element=ELEMENT,
        level=level,
        remedy=Said(
            "Give the words by language in {key} of label.toml, and make the sheets again.",
            key=f"{panel.name}.{ELEMENT}",
        ),
    )


def _check_date_kind(text: str, tags: Iterable[str], panel: str = "") -> Iterator[Finding]:
    """Words before a date that take a month where a day is named, or a day where none is."""
    for tag in tags:
        for date in find_stated_dates(text, (tag,)):
            keys = ("best-before", "best-before-day")
            wrong, right = keys if date.day else keys[::-1]
            for form in list_phrase_forms(wrong, tag) if list_phrase_forms(right, tag) else ():
                if has_words(text, f"{form} {date.text}"):
                    yield make_own_finding(
                        "CRAFT-DURABILITY-WORDS",
                        Said(
                            "{words} stands before a date with a day"
                            if date.day
                            else "{words} stands before a date without a day",
                            words=Quoted(form),
                        ),
                        panel=panel,
                        element=ELEMENT,
                        measured=Quoted(f"{form} {date.text}"),
                        required=Quoted(f"{list_phrase_forms(right, tag)[0]} {date.text}"),
                        remedy=Said(
                            "Give back.durability of label.toml the date alone, or these words."
                        ),
                    )
                    return


def _find_foreign_language(text: str, tags: Iterable[str]) -> str:
    """The language whose words introduce the date where it is none of some tags; else empty."""
    own = {tag.split("-")[0].lower() for tag in tags}
    spoken = find_word_languages(text, ELEMENT)
    return spoken[0] if spoken and not own.intersection(spoken) else ""


def _has_other_words(text: str, languages: Sequence[str]) -> bool:
    """Whether anything is said beside the date itself and the sign of a period."""
    for date in find_dates_in_words(text, languages):
        text = text.replace(date.text, " ")
    return _WORD.search(text) is not None
