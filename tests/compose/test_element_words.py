"""What each element says in each language."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.compose.element_words import (
    Wording,
    bind_address,
    choose_region_locale,
    make_net_quantity,
    make_panel_wordings,
    make_spoken_wordings,
    make_wordings,
)
from labelkit.formula.declaration import Basis, Declaration, DeclaredLine, Role, Style
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import read_label
from labelkit.typeset.measures import bind_units

Event = Callable[..., Path]
LINE = DeclaredLine("Aqua", "Aqua", Role.INGREDIENT, *(Decimal(1) for _ in range(4)))
DECLARATION = Declaration((LINE,), Style.FORMED, Basis.CURED, Decimal(1))


def test_words_alike_in_all_languages_are_given_once() -> None:
    assert make_wordings({"": "A & B"}, ["en", "fr"]) == (Wording(NEUTRAL, "A & B"),)
    assert make_wordings({"en": "Lot", "fr": "Lot"}, ["en", "fr"]) == (Wording(NEUTRAL, "Lot"),)
    assert make_wordings({"fr": "Savon", "en": "Soap"}, ["en", "fr"]) == (
        Wording("en", "Soap"),
        Wording("fr", "Savon"),
    )
    assert make_wordings({"fr": "Savon"}, ["en", "fr"]) == (Wording("fr", "Savon"),)


def test_words_that_several_languages_spell_alike_are_given_once() -> None:
    words = {"en": "Ingredients", "fr": "Ingrédients", "ca": "Ingredients", "es": "Ingredientes"}
    assert make_wordings(words, ["en", "fr", "ca", "es"]) == (
        Wording(NEUTRAL, "Ingredients"),
        Wording("fr", "Ingrédients"),
        Wording("es", "Ingredientes"),
    )


def test_dates_that_several_languages_write_alike_stand_once(event: Event) -> None:
    label = event(
        ('languages = ["en", "fr"]', 'languages = ["en", "fr", "nl", "sv", "da"]'),
        ("date = 2027-06-19", "date = 2027-06-01"),
        ("deliver_on = 2027-06-11", "deliver_on = 2027-05-28"),
    )
    dates = make_panel_wordings(read_label(label), DECLARATION, "front")["date"]
    texts = [wording.text for wording in dates]
    assert len(texts) == len(set(texts))
    # The first of a month is an ordinal in French: Office québécois de la langue française, Banque
    # de dépannage linguistique (from memory). Day, month and year of the others by Unicode CLDR.
    assert texts == ["June 1, 2027", "1er juin 2027", "1 juni 2027", "1. juni 2027"]


# The International System of Units (BIPM), section 5.4.3: a space stands before the unit; that no
# line ends there is common practice, no source.
@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("At least 40 g of oats", "At least 40_g of oats"),
        ("100 % plant oils", "100_% plant oils"),
        ("100 % végétal", "100_% végétal"),
        ("Made in 12 goes", "Made in 12 goes"),
        ("2 mm and 3 minutes", "2_mm and 3 minutes"),
    ],
)
def test_a_figure_stays_with_its_unit(typed: str, wanted: str) -> None:
    assert bind_units(typed) == wanted.replace("_", "\u00a0")


def test_words_that_must_be_understood_keep_their_language() -> None:
    assert make_spoken_wordings({"": "Soap"}, ["en", "fr"]) == (Wording("en", "Soap"),)
    assert make_spoken_wordings({"en": "Soap", "fr": "Soap"}, ["en", "fr"]) == (
        Wording("en", "Soap"),
        Wording("fr", "Soap"),
    )


@pytest.mark.parametrize(
    ("address", "wanted"),
    [
        ("9, ch. du Phare", "9,_ch. du Phare"),
        ("114 Quay Road", "114_Quay Road"),
        ("Anse-aux-Brumes NB  E0X 0Z9", "Anse-aux-Brumes NB  E0X_0Z9"),
        ("Oldbourne TN90 9ZZ", "Oldbourne TN90_9ZZ"),
        ("1234 AB Wolkendam", "1234_AB Wolkendam"),
        ("Rantapolku 4", "Rantapolku_4"),
        ("Kreekdijk 4b, 9999 Molenwiek", "Kreekdijk_4b, 9999 Molenwiek"),
        ("Mallee Flat VIC 3999", "Mallee Flat VIC_3999"),
        ("Route 66 House", "Route 66 House"),
    ],
)
def test_an_address_line_does_not_end_inside_a_number_or_code(address: str, wanted: str) -> None:
    assert bind_address(address).replace("\u00a0", "_") == wanted


def test_locales_follow_language_and_region() -> None:
    # Unicode CLDR has these locales; Japanese in Canada is not one of them.
    assert choose_region_locale("fr", ["CA"]) == "fr_CA"
    assert choose_region_locale("fr", ["CA-QC"]) == "fr_CA"
    assert choose_region_locale("nl", ["BE"]) == "nl_BE"
    assert choose_region_locale("ja", ["CA"]) == "ja"


@pytest.mark.parametrize(
    ("grams", "regions", "wanted"),
    [
        ("40", '["CA"]', [(NEUTRAL, "40_g")]),
        ("28.5", '["CA"]', [("en", "28.5_g"), ("fr", "28,5_g")]),
        ("1200", '["CA"]', [("en", "1.2_kg"), ("fr", "1,2_kg")]),
        # 28.349523125 g to the ounce (NIST Handbook 44, Appendix C): 40 / 28.349523125 = 1.4109...
        (
            "40",
            '["US"]',
            [
                ("en", "Net Wt 1.41_oz (40_g)"),
                ("fr", "Poids net 1,41_oz (40_g)"),
            ],
        ),
        # 56 / 28.349523125 = 1.9753...: cut to 1.97, never rounded up to 1.98.
        (
            "56",
            '["US"]',
            [
                ("en", "Net Wt 1.97_oz (56_g)"),
                ("fr", "Poids net 1,97_oz (56_g)"),
            ],
        ),
    ],
)
def test_the_net_quantity_in_each_form(
    event: Event, grams: str, regions: str, wanted: list[tuple[str, str]]
) -> None:
    spec = read_label(event(('layout = "lantern"', f'regions = {regions}\nlayout = "lantern"')))
    product = replace(spec.product, net_weight_g=Decimal(grams))
    made = make_net_quantity(replace(spec, product=product))
    # "_" stands for the no-break space.
    assert [(w.language, w.text.replace("\u00a0", "_")) for w in made] == wanted


def test_what_is_left_out_or_replaced(event: Event) -> None:
    label = event()
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[front]\nleave_out = ["scent"]\nthanks = { en = "Thank you" }\n')
    words = make_panel_wordings(read_label(label), DECLARATION, "front")
    assert "scent" not in words
    assert words["thanks"] == (Wording("en", "Thank you"),)


@pytest.mark.parametrize(
    ("languages", "code", "printed"),
    [
        (("pt", "es"), "OA-50", "Lote OA-50"),
        (("it",), "OA-50", "Lotto OA-50"),
        (("fi", "sv"), "OA-50", "Erä OA-50"),
        (("de",), "OA-50", "Charge OA-50"),
        (("fr", "en"), "OA-50", "Lot OA-50"),
        (("et",), "OA-50", "Lot OA-50"),  # its word is not in the table
        (("pt",), "Lote OA-50", "Lote OA-50"),
        (("pt",), "LOT 50", "LOT 50"),
        (("en",), "L26-11-A", "L26-11-A"),
        (("en",), "LS-2704", "Lot LS-2704"),  # a code, not the letter for lot
    ],
)
def test_the_lot_is_called_so_in_the_first_language(
    event: Event, languages: tuple[str, ...], code: str, printed: str
) -> None:
    """What a lot is called on packages in each language: from memory."""
    spec = read_label(event())
    spec = replace(spec, languages=languages, product=replace(spec.product, lot=code))
    assert make_panel_wordings(spec, DECLARATION, "back")["lot"] == (Wording(NEUTRAL, printed),)


def test_a_list_on_a_tag_leaves_the_back_and_a_website_leaves_a_statement(event: Event) -> None:
    label = event()
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[back]\ningredients_on = "tag"\n')
    spec = read_label(label)
    assert "ingredients" not in make_panel_wordings(spec, DECLARATION, "back")
    # The tag is for the list; who made the soap stands on the label, where every law wants it.
    assert set(make_panel_wordings(spec, DECLARATION, "tag")) == {
        "ingredients-heading",
        "ingredients",
        "lot",
    }
    text = label.read_text(encoding="utf-8").replace(
        '"tag"', '"website"\ningredients_url = "estran.example/list"'
    )
    label.write_text(text, encoding="utf-8")
    words = make_panel_wordings(read_label(label), DECLARATION, "back")
    assert "ingredients" not in words
    assert [w.language for w in words["list-elsewhere"]] == ["en", "fr"]
    assert all("estran.example/list" in w.text for w in words["list-elsewhere"])


def test_french_words_are_spaced_the_french_way_and_no_others(event: Event) -> None:
    label = event()
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[front]\nthanks = { en = "Thank you!", fr = "Merci!" }\n')
    words = make_panel_wordings(read_label(label), DECLARATION, "front")
    # A narrow no-break space before the mark: common practice of French composition, no source.
    assert [w.text for w in words["thanks"]] == ["Thank you!", "Merci\u202f!"]


def test_words_get_the_apostrophe_a_compositor_sets_and_the_list_does_not(event: Event) -> None:
    label = event()
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[front]\nthanks = { en = "With Ada\'s love", fr = "De l\'amitié" }\n')
    line = replace(LINE, name="Ada's Wort")
    listed = Declaration((line,), Style.FORMED, Basis.CURED, Decimal(1))
    spec = read_label(label)
    thanks = make_panel_wordings(spec, listed, "front")["thanks"]
    assert [w.text for w in thanks] == ["With Ada\u2019s love", "De l\u2019amitié"]
    assert [w.text for w in make_panel_wordings(spec, listed, "back")["ingredients"]] == [
        "Ada's Wort"
    ]
