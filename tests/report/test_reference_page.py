"""The page of all keys in French: whole, with the same keys and examples, set as French is set.

The words themselves are labelkit's own; what is checked of them is form.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from command import labelkit

from labelkit.cli.voice import find_language
from labelkit.order.fields import load_file_tables
from labelkit.order.schema import KINDS
from labelkit.report.catalogues import FIELDS, load_catalogue
from labelkit.report.reference_page import format_reference_page

WORDS = {english: french for (_, english), french in load_catalogue("fr", FIELDS).items()}
SYMBOLS = {"g", "mm", "cm²", "mL", "g/mL", "h", "min", "%", "pt", "em", "mg KOH/g"}
"""Units that both languages write alike (BIPM SI Brochure, 9th ed., 4; pt and em: typesetters')."""


def texts_of_fields() -> Iterator[str]:
    yield from (kind.written for kind in KINDS.values())
    for tables in load_file_tables().values():
        for table in tables.values():
            yield table.about
            for field in table.fields.values():
                yield from (field.about, field.default, field.unit)


def is_value(text: str) -> bool:
    """Whether a text is what would be typed in a file."""
    try:
        tomllib.loads(f"x = {text}")
    except tomllib.TOMLDecodeError:
        return False
    return True


def test_every_text_of_every_key_has_french() -> None:
    needed = {text for text in texts_of_fields() if text and text not in SYMBOLS}
    assert len(needed) > 500
    assert {t for t in needed if not is_value(t) and t not in WORDS} == set()


def test_no_french_is_left_that_the_page_does_not_say() -> None:
    page = format_reference_page()
    phrases = {text for text in WORDS if "{" in text}
    told = {*texts_of_fields()}
    assert [t for t in WORDS if t not in told and t not in phrases and t not in page] == []


def rows_of(page: str) -> list[tuple[str, str]]:
    """The key and the example of every row, with headings between."""
    rows = [line.split(" | ") for line in page.splitlines() if line.startswith("| `")]
    return [(row[0], row[-2]) for row in rows]


def test_french_has_the_same_keys_and_examples() -> None:
    english, french = format_reference_page(), format_reference_page("fr")
    assert rows_of(french) == rows_of(english)
    for mark in ("## ", "### "):
        assert french.count(f"\n{mark}") == english.count(f"\n{mark}")
    own = re.findall(r"^### (\[+[^]]+\]+)$", english, re.MULTILINE)
    assert own == re.findall(r"^### (\[+[^]]+\]+)$", french, re.MULTILINE)


def test_a_french_page_has_no_english_sentence() -> None:
    french = re.sub(r"`[^`]*`", "", format_reference_page("fr"))
    assert not re.search(r"\b(?:the|and|where|with|unless|of a|needed|to be)\b", french)


def test_french_limits_have_a_comma_and_parted_thousands() -> None:
    # CLDR fr: decimal comma; BIPM SI Brochure, 9th ed., 5.4.4 (from memory): blanks part thousands.
    page = format_reference_page("fr")
    assert "(une masse avec son unité, de 0,1 à 1000 g)" in page
    assert "de 1 à 100\u202f000)" in page
    assert "0.1 to 1000 g" in format_reference_page()


@pytest.mark.parametrize(
    ("system", "head"),
    [("fr_CA.UTF-8", "# Toutes les clés de tous"), ("en_CA.UTF-8", "# Every key of every file")],
)
def test_the_page_speaks_the_makers_language(
    system: str, head: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LC_ALL", system)
    find_language.cache_clear()
    assert labelkit("schema", "--reference").stdout.startswith(head)
    find_language.cache_clear()
