"""The words of another language, from gettext catalogues: each text by its English.

``words/findings.CODE.po`` has what is said of labels and recipes and the texts of the rules tables,
``words/commands.CODE.po`` what the command line says and what is wrong with a maker's files,
``words/help.CODE.po`` its pages of help, which are read only when one is shown, and
``words/fields.CODE.po`` what each key of the files is, for the page of all keys and for the desk.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any

from labelkit.report.phrasebook import bind_words

SENTENCES = ("commands", "findings")
HELP, FIELDS = "help", "fields"

Catalogue = Mapping[tuple[str, str], str]
"""The words by context ("" for sentences, else a kind of name) and English text."""


@lru_cache(maxsize=8)
def load_catalogue(language: str, *books: str) -> Catalogue:
    """The words of a language in some books, those of sentences unless they are named; none where
    it has no such book."""
    return {
        (str(message.context or ""), str(message.id)): bind_words(str(message.string), language)
        for message in read_messages(language, *books)
    }


def read_messages(language: str, *books: str) -> Iterator[Any]:
    """The messages of a language's catalogues, as Babel reads them."""
    from babel.messages.pofile import read_po

    words = files("labelkit.report").joinpath("words")
    for book in books or SENTENCES:
        path = words.joinpath(f"{book}.{language}.po")
        if path.is_file():
            with path.open("rb") as stream:
                yield from (m for m in read_po(stream, locale=language) if m.id and m.string)
