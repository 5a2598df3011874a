"""Says in another language what the rooms say in English.

What has no words in a language is said in English, with a mark that says so.
"""

from __future__ import annotations

import datetime as dt
import re
import string
from collections.abc import Callable

from labelkit.common.messages import (
    CAPITAL,
    OPEN,
    Day,
    Fact,
    FactList,
    Language,
    Month,
    Number,
    Quoted,
    Said,
    Term,
    find_language_name,
    format_fact_text,
    join_texts,
)
from labelkit.common.quantity import format_long_date, format_report_number
from labelkit.formula.materials import load_materials
from labelkit.report.catalogues import Catalogue, load_catalogue
from labelkit.report.phrasebook import bind_words
from labelkit.typeset.apostrophes import set_apostrophes

SOURCE = "en"
"""The language the rooms speak."""
IN_ENGLISH = "{text} (in English)"
"""How a report in another language gives what it has no words for."""
_ISO_DAY = re.compile(r"\b\d{4}-\d\d-\d\d\b")
"""How the tables' English writes days of law."""


class Speech:
    """Says facts and sentences in one language, numbers and days as its locale writes them."""

    def __init__(self, language: str, locale: str) -> None:
        self.language = language
        self.locale = locale
        self._words: Catalogue = {} if language == SOURCE else load_catalogue(language)

    def __call__(self, text: str) -> str:
        """A fact in this language; plain text (words of the label, codes) as it stands."""
        return str(self._spoken(text))

    def sentence(self, text: str) -> str:
        """A sentence in this language, also one that no longer knows its facts."""
        known = isinstance(text, Said | Term | FactList) or not text
        return self(text if known else Said(text))

    def cited(self, law: str) -> str:
        """A citation; a law of another country keeps the name it has there."""
        return self(law if isinstance(law, Said) else Said(law)) if self.knows(law) else str(law)

    def term(self, kind: str, name: str) -> str:
        """A name out of a fixed set (a panel, an element), or the name itself."""
        return self(Term(kind, name))

    def knows(self, text: str, kind: str = "") -> bool:
        """Whether there are words for an English text, or none are needed."""
        return self.language == SOURCE or (kind, text) in self._words or not _has_words(text)

    def has(self, text: str) -> bool:
        """Whether a sentence can be said here with everything in it, as ``sentence`` says it."""
        return self._has(text if isinstance(text, Fact) or not text else Said(text))

    def _has(self, fact: object) -> bool:
        if isinstance(fact, Said):
            return self.knows(fact.template) and all(map(self._has, fact.facts.values()))
        return all(map(self._has, fact.parts)) if isinstance(fact, FactList) else True

    def _spoken(self, fact: object) -> str:
        if isinstance(fact, Said):
            return self._said(fact)
        if isinstance(fact, Term):
            return _SpokenText(self._term(fact), lambda form: self._form(fact, form))
        if isinstance(fact, Number):
            return format_report_number(fact.value, self.locale)
        if isinstance(fact, Day):
            return format_long_date(fact.day, self.locale)
        if isinstance(fact, Month):
            return format_long_date(fact.first, self.locale, "MMMM y")
        if isinstance(fact, Quoted) and self.language != SOURCE:
            return bind_words(f"« {fact.words} »", self.language)
        if isinstance(fact, Language):
            return find_language_name(fact.tag, self.language)
        if isinstance(fact, FactList):
            parts = [str(self._spoken(part)) for part in fact.parts]
            word = bind_words(f"x{fact.word}", self.language)[1:]
            return join_texts(parts, word, self.locale)
        return str(fact)

    def _said(self, said: Said) -> str:
        if not self.knows(said.template):
            return self._words.get(("", IN_ENGLISH), IN_ENGLISH).format(text=str(said))
        template = self._words.get(("", said.template), said.template)
        if self.language == SOURCE:
            template = _ISO_DAY.sub(self._written, template)
        if not said.facts:
            return _SpokenText(template)
        return _SpokenText(
            template.format(**{n: _keep_forms(self, f) for n, f in said.facts.items()})
        )

    def _written(self, found: re.Match[str]) -> str:
        try:
            return format_long_date(dt.date.fromisoformat(found[0]), self.locale)
        except ValueError:  # no day: a number that only looks like one
            return found[0]

    def _term(self, term: Term) -> str:
        if term.kind == "material" and self.language != SOURCE:
            known = load_materials().find(str(term))
            name = str(term) if known is None else known.name(self.language)
            return set_apostrophes(name)
        return self._words.get((term.kind, str(term)), str(term))

    def _form(self, term: Term, form: str) -> str:
        """A name as it stands after an article or a preposition: "the", "of"."""
        name = self._words.get((f"{term.kind} {form.lower()}", str(term)), self._term(term))
        return format_fact_text(name, CAPITAL) if form[:1].isupper() else name


class _SpokenText(str):
    """Text of this language that still knows its forms."""

    _form: Callable[[str], str] | None

    def __new__(cls, text: str, form: Callable[[str], str] | None = None) -> _SpokenText:
        made = super().__new__(cls, text)
        made._form = form
        return made

    def __format__(self, spec: str) -> str:
        if spec in ("", CAPITAL, OPEN) or self._form is None:
            return format_fact_text(str(self), spec)
        return self._form(spec)


def _keep_forms(speech: Speech, fact: object) -> str:
    spoken = speech._spoken(fact)
    return spoken if isinstance(spoken, _SpokenText) else _SpokenText(spoken)


def _has_words(template: str) -> bool:
    """Whether anything of a template is language, beside its braces."""
    try:
        parts = [text for text, *_ in string.Formatter().parse(template)]
    except ValueError:
        parts = [template]
    return any(character.isalpha() for part in parts for character in part)
