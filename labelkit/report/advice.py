"""What labelkit's own findings ask and why: of craft, of the recipe, and of its own sheets."""

from __future__ import annotations

from functools import cache

from labelkit.report.phrasebook import load_phrases

BOOK = "advice"


@cache
def list_advice_ids() -> tuple[str, ...]:
    """The identifiers of findings that are no law's."""
    words = load_phrases(BOOK, "en").words
    return tuple(sorted({key.rpartition(".")[0] for key in words}))


def explain_advice(rule_id: str, language: str) -> tuple[str, str]:
    """What a finding asks, and why; KeyError for one that labelkit does not make.

    LanguageError for a language without words.
    """
    say = load_phrases(BOOK, language)
    return say(f"{rule_id}.asks"), say(f"{rule_id}.why")
