"""The page in French: whole, with the same blanks as the English, set as French is set."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from page_words import list_words

from labelkit.common.errors import InputError
from labelkit.common.messages import FactList, Said
from labelkit.desk.actions import Actions
from labelkit.desk.desk import describe_error
from labelkit.desk.rooms import name_fields
from labelkit.desk.window import IN_THE_WINDOW, put_in_window
from labelkit.desk.words import Words, load_words
from labelkit.desk.workplace import Workplace
from labelkit.report.speech import Speech


def test_every_word_of_the_page_has_french() -> None:
    french = Words("fr")
    found = list_words()
    assert len(found) > 500
    assert [text for context, text in found if not french.knows(text, context)] == []


def test_no_french_is_left_that_nobody_says() -> None:
    said = set(list_words())
    texts = {text for _, text in said}
    assert [key for key in load_words("fr") if key not in said and key[1] not in texts] == []


def test_french_fills_the_same_blanks() -> None:
    for (_, english), french in load_words("fr").items():
        assert sorted(re.findall(r"\{\w+\}", english)) == sorted(re.findall(r"\{\w+\}", french))


def test_no_word_is_there_twice() -> None:
    text = files("labelkit.desk").joinpath("words.fr.po").read_text("utf-8")
    pairs = re.findall(r'(?:msgctxt "(.*)"\n)?msgid "(.+)"', text)
    assert sorted(pairs) == sorted(set(pairs))
    with files("labelkit.desk").joinpath("words.fr.po").open("rb") as stream:
        assert not [m for m in read_po(stream) if m.id and not m.string]


def test_french_is_spaced_as_it_is_printed() -> None:
    """No high mark after an ordinary blank or none (common practice of French typesetting)."""
    for french in load_words("fr").values():
        assert not re.search(r"[^\s\u202f\u00a0{}\d]([;!?»])|[ ]([;:!?»])", french), french


@pytest.mark.parametrize(
    ("language", "said", "named"),
    [
        ("en", "Say product.back_is_bottom in label.toml: false where it hangs free.",
         "Say “It lies on its back label”: no where it hangs free."),
        ("en", "Weigh three bars and give them as [[cure.bar]]",
         "Weigh three bars and give them as “Bars weighed twice”"),
        ("fr", "Corriger label.trim dans label.toml.",
         "Corriger «\u202fFormat fini de l’étiquette\u202f»."),
        ("en", "Put your own in [plan] of label.toml or maker.toml: plan.closed = []",
         "Put your own in “Workshop”: “Days off” = []"),
        ("fr", "Les nommer sous [plan.holidays].", "Les nommer sous «\u202fCongés\u202f»."),
        ("en", "or a price of your own (plan.quote.price).",
         "or a price of your own (“Price of a piece”)."),
        ("en", "It is true to size.", "It is true to size."),
        ("en", "the true cost is higher: give prices (plan.quote.price)",
         "the true cost is higher: give prices (“Price of a piece”)"),
    ],
)  # fmt: skip
def test_remedies_name_fields_as_the_page_does(language: str, said: str, named: str) -> None:
    assert name_fields(said, Words(language)) == named


def test_a_mistake_is_told_under_the_pages_name_for_its_field() -> None:
    error = InputError("label.toml", "plan.quote.price", None, Said("give [[oil]] a price"))
    assert describe_error(error, Speech("en", "en")) == {
        "error": "Price of a piece: Give “Oils, fats and waxes” a price."
    }
    assert describe_error(error, Speech("fr", "fr"))["error"].startswith(
        "Prix d’une savonnette\u202f: "
    )


def test_sheets_and_regions_are_named_in_french_throughout() -> None:
    """The names of the regions: Unicode CLDR, and for parts of a state common usage."""
    known = Actions(Workplace(Path(), language="fr")).list_known()
    regions = {one["value"]: one["name"] for one in known["regions"]}
    assert regions["GB"] == "Royaume-Uni (Grande-Bretagne)"
    assert regions["US-PR"] == "États-Unis (Porto Rico)"
    assert not [one for one in known["stocks"] if re.search(r"labels?|sheet|Letter", one["title"])]


@pytest.mark.parametrize("language", ["en", "fr"])
def test_no_word_of_a_command_stands_in_the_window(language: str) -> None:
    speech = Speech(language, language)
    for template, said in IN_THE_WINDOW.items():
        assert Speech("fr", "fr").knows(template), "no other room says so any more"
        assert set(re.findall(r"{\w+}", said)) <= set(re.findall(r"{\w+}", template))
        worded = speech.sentence(said)
        assert language == "en" or worded != said
        assert not re.search(r"--\w|labelkit |\w_\w|\.toml|CODE", worded)


def test_a_sentence_within_a_sentence_is_said_as_the_window_says_it() -> None:
    has = Said("The last sheet has {free} of {positions} positions left", free=10, positions=20)
    left = Said("{has}: --start {start}{skip}", has=has, start=11, skip=" --skip 14")
    told = Said("{what}: {why}", what="front.pdf", why=FactList([left]))
    assert put_in_window(told) == (
        "front.pdf: The last sheet has 10 of 20 positions left; the first free label is 11"
    )
    assert Speech("fr", "fr")(put_in_window(left)).endswith("la première étiquette libre est la 11")
