"""Which language a report is in, and what it says where that is not the one wanted."""

from __future__ import annotations

import pytest

from labelkit.common.messages import FactList, Quoted, Said
from labelkit.report.reader import Reader, describe_partly_english
from labelkit.report.speech import Speech

KNOWN = ("en", "fr")
KNOWN_FRENCH = "Give product.lot in label.toml."
NO_FINNISH = "In English: there are plans in en, fr, and none in fi, sv"
UNKNOWN = "Nobody put this sentence into another language."


@pytest.mark.parametrize(
    ("asked", "stated", "spoken", "used", "told"),
    [
        (None, "fr", ("fr", "en"), "fr", ""),
        (None, "nl", ("nl", "fr"), "fr", ""),
        (None, "fi", ("fi", "sv"), "en", NO_FINNISH),
        (None, "eu", ("fr", "en"), "fr", "In French: there are plans in en, fr, and none in eu"),
        (None, "fr-CA", ("fr-CA", "en-CA"), "fr", ""),
        (None, "eu", ("sv",), "en", "In English: there are plans in en, fr, and none in eu"),
        ("en", "fi", ("fi", "sv"), "en", ""),
        ("de", "fi", ("fi", "sv"), "de", ""),
    ],
)  # fmt: skip
def test_the_first_language_with_words_is_used_and_others_are_told(
    asked: str | None, stated: str, spoken: tuple[str, ...], used: str, told: str
) -> None:
    reader = Reader(asked, stated, spoken)
    assert reader.language(KNOWN) == used
    assert "".join(reader.stand_in("plans", KNOWN)) == told


def test_regions_are_named_once_where_a_language_lacks_their_words() -> None:
    french, english = Speech("fr", "fr_CA"), Speech("en", "en_CA")
    said = [
        ("CA", KNOWN_FRENCH),
        ("US", UNKNOWN),
        ("US, AU", Said("{message}.", message=Said(UNKNOWN))),
        ("NZ", FactList([Said(KNOWN_FRENCH), Said(UNKNOWN)], ";")),
        ("GB", Quoted(UNKNOWN)),
        ("FI", ""),
    ]
    lines = list(describe_partly_english(french, said))
    assert lines == ["Partly in English: some rules of US, AU, NZ have no words in fr"]
    assert list(describe_partly_english(english, said)) == []
    assert list(describe_partly_english(french, said[:1])) == []
