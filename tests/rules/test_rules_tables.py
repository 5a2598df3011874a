"""Every table is whole: rows explain and cite themselves, inheritance does what it says."""

from __future__ import annotations

import datetime as dt

import pytest

from labelkit.common.errors import InputError
from labelkit.model.runs import ELEMENTS
from labelkit.rules import (
    Provenance,
    list_region_titles,
    list_required_languages,
    list_set_phrases,
    load_rules,
)
from labelkit.rules.kinds import KINDS
from labelkit.rules.kinds.fields import fill_kind
from labelkit.rules.kinds.height import LetterHeight
from labelkit.rules.kinds.words import list_word_group
from labelkit.rules.phrases import list_phrase_forms, list_phrase_languages
from labelkit.rules.tables import (
    is_abroad,
    list_ancestry,
    list_stale_rules,
    load_region_rules,
    make_rule,
)
from labelkit.rules.word_match import has_words

RULES = load_rules(list(list_region_titles()))
PANELS = {"front", "back", "label", "list", "any"}

EU_STATES = (
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT",
    "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
)  # fmt: skip
"""ISO 3166 codes of the 27 member states (Treaty on European Union, Art. 52; from memory)."""


def test_every_row_explains_itself() -> None:
    for rule in RULES:
        for text in (rule.asks, rule.why, rule.passes, rule.fails, rule.remedy, rule.citation):
            assert text.strip(), rule.id
        assert rule.asks.endswith("."), rule.id
        assert rule.element in ELEMENTS, rule.id
        assert rule.panel in PANELS, rule.id
        assert rule.since is None or rule.until is None or rule.since <= rule.until, rule.id
        owner = rule.region if rule.region != "all" else "ALL"
        assert rule.id.startswith(f"{owner}-"), rule.id


def test_ids_are_used_once() -> None:
    ids = [rule.id for rule in RULES]
    assert len(ids) == len(set(ids))


def test_every_kind_is_used_by_some_row() -> None:
    assert {rule.kind for rule in RULES} == set(KINDS)


def test_the_regions_are_those_promised() -> None:
    assert set(list_region_titles()) == {
        "CA", "CA-QC", "US", "US-PR", "EU", *EU_STATES, "GB", "GB-NIR", "AU", "NZ",
    }  # fmt: skip


def test_the_union_is_one_market() -> None:
    """What one member state makes is no import in another (TFEU Art. 28; from memory)."""
    for region in ("EU", *EU_STATES, "GB-NIR"):
        assert not [state for state in EU_STATES if is_abroad(state, region)]
        # Reg. is of EEA relevance; Northern Ireland by the Windsor Framework.
        assert not [state for state in ("NO", "IS", "LI", "GB-NIR") if is_abroad(state, region)]
        assert is_abroad("GB", region)
        assert is_abroad("CA", region)


def test_every_region_makes_something_itself() -> None:
    for region in list_region_titles():
        if region != "EU":
            assert not is_abroad(region.removesuffix("-QC").removeprefix("US-"), region)


def test_a_state_has_the_unions_rows_and_its_own_languages() -> None:
    assert len(EU_STATES) == 27
    union = {rule.id for rule in load_region_rules("EU")} - {"EU-LANGUAGES"}
    for state in EU_STATES:
        ids = {rule.id for rule in load_region_rules(state)}
        assert union < ids
        assert f"{state}-LANGUAGES" in ids
        assert "EU-LANGUAGES" not in ids
        assert list_ancestry(state) == (state, "EU")


def test_quebec_adds_to_canada() -> None:
    canada = {rule.id for rule in load_region_rules("CA")}
    assert canada < {rule.id for rule in load_region_rules("CA-QC")}


def test_several_regions_share_their_common_rows_once() -> None:
    ids = [rule.id for rule in load_rules(["BE", "FI", "CA"])]
    assert len(ids) == len(set(ids))
    assert {"BE-LANGUAGES", "FI-LANGUAGES", "EU-BATCH", "CA-LOT"} <= set(ids)


def test_an_unknown_region_is_told() -> None:
    with pytest.raises(InputError, match="unknown region"):
        load_rules(["ZZ"])


# Sources: FPS Economy (BE), Tukes (FI), Luxembourg health portal (LU), HPRA (IE), CPLR s. 6(2).
@pytest.mark.parametrize(
    ("region", "languages"),
    [
        ("CA", (("en", "fr"),)),
        ("CA-QC", (("fr", "en"),)),
        ("BE", (("nl", "fr"),)),
        ("FI", (("fi", "sv"),)),
        ("LU", (("fr",), ("de",), ("lb",))),
        ("IE", (("en",), ("ga", "en"))),
        ("EU", ()),
    ],
)
def test_the_languages_of_a_region(region: str, languages: tuple[tuple[str, ...], ...]) -> None:
    assert list_required_languages([region]) == {region: languages}


def test_phrases_have_a_source_and_a_provenance() -> None:
    # Official wordings of Reg. Art. 19(1)(c) in English, Finnish and Swedish (Tukes).
    assert list_set_phrases("en")["best-before"].text == "best used before the end of"
    assert list_set_phrases("fi")["best-before"].text == "parasta käytettynä ennen"
    assert list_set_phrases("sv-SE")["best-before"].text == "bäst före utgången av"
    assert list_set_phrases("es")["best-before"].provenance is Provenance.MEMORY
    assert list_set_phrases("xx") == {}
    for language in ("en", "fr", "de", "nl", "fi", "sv"):
        assert all(phrase.source for phrase in list_set_phrases(language).values())


def test_a_row_past_its_day_is_stale() -> None:
    assert list_stale_rules(dt.date(2026, 1, 1)) == ()
    assert "GB-ALLERGENS" in {rule.id for rule in list_stale_rules(dt.date(2100, 1, 1))}


def test_a_row_with_a_word_its_kind_does_not_know_is_refused() -> None:
    row = {
        "id": "X", "element": "lot", "panel": "any", "kind": "height", "asks": "a", "why": "b",
        "passes": "c", "fails": "d", "remedy": "e", "citation": "f", "provenance": "read",
        "measure": "o", "bands": [], "colour": "red",
    }  # fmt: skip
    with pytest.raises(TypeError, match="Height has no colour"):
        make_rule(row, "X")
    with pytest.raises(TypeError, match="expected a list"):
        fill_kind(LetterHeight, {"measure": "o", "bands": "1.6"})
    with pytest.raises(TypeError, match="expected str"):
        fill_kind(LetterHeight, {"measure": "o", "bands": [], "unit": 3})


def test_every_languages_own_word_for_soap_tells_what_the_product_is() -> None:
    forms = [
        form for tag in list_phrase_languages("soap") for form in list_phrase_forms("soap", tag)
    ]
    assert len(forms) > 25
    words = list_word_group("washing")
    assert [form for form in forms if not any(has_words(form, word) for word in words)] == []


@pytest.mark.parametrize(
    ("text", "words", "found"),
    [
        ("Haferseife", "*seife", True),
        ("Seife", "*seife", True),
        ("Seifenblasen", "*seife", False),
        ("Seifenblasen", "seife*", True),
        ("Handseifen aus Hafer", "*seife*", True),
        ("Haferseife", "seife", False),
    ],
)
def test_a_star_stands_for_any_letters_at_its_end_of_a_word(
    text: str, words: str, found: bool
) -> None:
    assert has_words(text, words) is found
