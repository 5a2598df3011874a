"""Materials that labelkit does not count with, each with the sentence that says so."""

from __future__ import annotations

from functools import lru_cache

from labelkit.common.messages import NOTHING, Said
from labelkit.common.own_tables import read_own_table
from labelkit.formula.close_names import split_into_words


def explain_refusal(name: str) -> Said:
    """Why a material is not counted with, and what to do; nothing of one that may be."""
    theirs = split_into_words(name)
    for words, reason in _load_refusals():
        if words <= theirs:
            return reason
    return NOTHING


@lru_cache(maxsize=1)
def _load_refusals() -> tuple[tuple[frozenset[str], Said], ...]:
    return tuple(
        (split_into_words(name), Said(row["reason"]))
        for row in read_own_table("formula/tables/refusals")["refusal"]
        for name in row["words"]
    )
