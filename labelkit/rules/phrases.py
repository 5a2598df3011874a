"""Set phrases per language, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.rule_tables import read_table
from labelkit.rules.rule import Provenance


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase in one language: how it is best written, and other ways that count as it."""

    key: str
    language: str
    text: str
    also: tuple[str, ...]
    provenance: Provenance
    source: str
    """The law, standard or usage it comes from."""

    @property
    def forms(self) -> tuple[str, ...]:
        return (self.text, *self.also)


@lru_cache(maxsize=1)
def _load_phrases() -> dict[tuple[str, str], Phrase]:
    phrases = {}
    for key, entry in read_table("phrases").items():
        for language, words in entry["words"].items():
            given = words if isinstance(words, dict) else {"text": words}
            phrases[key, language] = Phrase(
                key,
                language,
                given["text"],
                tuple(given.get("also", ())),
                Provenance(given.get("provenance", entry["provenance"])),
                given.get("source", entry["source"]),
            )
    return phrases


@lru_cache(maxsize=64)
def list_set_phrases(language: str) -> Mapping[str, Phrase]:
    """Every set phrase known in a language, by key ("ingredients", "net-weight", ...)."""
    wanted = language.split("-")[0].lower()
    return {key: phrase for (key, tag), phrase in _load_phrases().items() if tag == wanted}


def list_phrase_forms(key: str, language: str) -> tuple[str, ...]:
    """Every way of writing one phrase in a language; none when the table does not have it."""
    phrase = list_set_phrases(language).get(key)
    return phrase.forms if phrase else ()


@lru_cache(maxsize=256)
def list_phrase_languages(key: str) -> tuple[str, ...]:
    """Every language the table has a phrase in."""
    return tuple(language for known, language in _load_phrases() if known == key)
