"""The words of the page in the maker's language, by their English, as gettext programs do.

French stands in ``words.fr.po``, that of the keys in ``report``'s ``fields.fr.po``. Sentences of
other rooms are said by ``report.speech``.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files

from labelkit.report.catalogues import FIELDS, load_catalogue
from labelkit.report.phrasebook import bind_words

LANGUAGES = ("en", "fr")


class Words:
    """Says the page's own words in one language; what has no words there, in English."""

    def __init__(self, language: str) -> None:
        self.language = language if language in LANGUAGES else LANGUAGES[0]
        fields = load_catalogue(self.language, FIELDS)
        self._known = {**fields, **load_words(self.language)}

    def __call__(self, text: str, context: str = "") -> str:
        return self._known.get((context, text)) or self._known.get(("", text), text)

    def knows(self, text: str, context: str = "") -> bool:
        return (
            self.language == LANGUAGES[0]
            or ("", text) in self._known
            or (context, text) in self._known
        )

    def all(self) -> dict[str, str]:
        """Every word by its English: the page's script looks its own up there."""
        return {text: said for (context, text), said in self._known.items() if not context}


@lru_cache(maxsize=4)
def load_words(language: str) -> Mapping[tuple[str, str], str]:
    """The page's own words, without those of the keys."""
    from babel.messages.pofile import read_po

    path = files("labelkit.desk").joinpath(f"words.{language}.po")
    if not path.is_file():
        return {}
    with path.open("rb") as stream:
        messages = read_po(stream, locale=language)
    return {
        (str(message.context or ""), str(message.id)): bind_words(str(message.string), language)
        for message in messages
        if message.id and message.string
    }
