"""French spacing. Expected forms: common practice of French composition, no single source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.typeset.french import set_french_spacing


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Attention!", "Attention_!"),
        ("Ingrédients : aqua", "Ingrédients_: aqua"),
        ("Ingrédients\u00a0: aqua", "Ingrédients_: aqua"),
        ("Quoi?! Non.", "Quoi_?! Non."),
        ("rincer ; sécher", "rincer_; sécher"),
        ("« Souper du phare »", "«_Souper du phare_»"),
        ("«Souper»", "«_Souper_»"),
        ("(voir: ici)", "(voir_: ici)"),
    ],
)
def test_high_punctuation_and_guillemets_are_set_off(text: str, expected: str) -> None:
    assert set_french_spacing(text) == expected.replace("_", "\u202f")


@pytest.mark.parametrize(
    "text",
    [
        "de 10:30 à 11:15",
        "échelle 1:1",
        "https://anse.example/savon?lot=12;page:3",
        "www.anse.example/a:b",
        "mailto:bonjour@anse.example",
        "Virgule, point. Trait d’union",
    ],
)
def test_times_ratios_and_addresses_are_left_alone(text: str) -> None:
    assert set_french_spacing(text) == text


@given(st.text(alphabet="ab1 :;!?«»().,\u00a0\u202f@/w", max_size=30))
def test_spacing_twice_is_spacing_once(text: str) -> None:
    once = set_french_spacing(text)
    assert set_french_spacing(once) == once


@given(st.text(alphabet="ab1 :;!?«»().,\u00a0\u202f@/w", max_size=30))
def test_nothing_but_spaces_changes(text: str) -> None:
    spaces = str.maketrans("", "", " \u00a0\u202f\u2009")
    assert set_french_spacing(text).translate(spaces) == text.translate(spaces)
