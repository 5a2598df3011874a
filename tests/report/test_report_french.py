"""The French of findings: whole, with the same facts as the English, set as French is set.

The words themselves are labelkit's own; what is checked of them is form.
"""

from __future__ import annotations

import datetime as dt
import re
import string
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest
import sentences

from labelkit.common.errors import FieldPlace, InputError
from labelkit.common.messages import Day, FactList, Language, Number, Quoted, Said, Term
from labelkit.common.quantity import format_long_date
from labelkit.common.regions import list_region_titles
from labelkit.common.resources import find_stock_folder
from labelkit.compose.fitting import FitWords
from labelkit.formula import declare_ingredients
from labelkit.model.runs import ELEMENTS
from labelkit.order.fields import LAYOUT, STOCK, SURFACES, find_named_fields, load_file_tables
from labelkit.order.pieces import list_piece_kinds
from labelkit.order.recipe import read_recipe
from labelkit.order.stock import read_stock
from labelkit.report.captions import LANGUAGES
from labelkit.report.catalogues import FIELDS, HELP, SENTENCES, load_catalogue, read_messages
from labelkit.report.phrasebook import bind_words
from labelkit.report.speech import IN_ENGLISH, Speech
from labelkit.rules.kinds.base import _WHERE
from labelkit.rules.label import name_element
from labelkit.rules.policies import make_policy

FRENCH = Speech("fr", "fr_CA")
ADDRESSES = {
    "label.toml",
    "maker.toml",
    "recipe.toml",
    "printers.toml",
    "shelf.toml",
    "maker.example",
}
"""What looks like a dotted key and is a file or a host."""
WHOLE = ("CA", "CA-QC", "EU", "BE")
"""Regions whose every row has French."""


def unknown_texts(region: str) -> list[str]:
    """What a region's rows say that there is no French for."""
    return [
        f"{rule.id} {part}"
        for rule in sentences.rows_of(region)
        for part, text in sentences.sentences_of_row(rule)
        if text and not FRENCH.knows(text)
    ]


@pytest.mark.parametrize("region", WHOLE)
def test_every_row_of_a_bilingual_region_has_french(region: str) -> None:
    assert unknown_texts(region) == []


def test_the_regions_that_fall_back_to_english_are_known() -> None:
    """A region that comes to be French throughout belongs into WHOLE."""
    lacking = {region for region in list_region_titles() if unknown_texts(region)}
    assert lacking == set(list_region_titles()) - {*WHOLE}


def test_every_sentence_of_the_rooms_has_french() -> None:
    found = sentences.sentences_of_source()
    assert len(found) > 150
    lacking = {text: room for text, room in found.items() if not FRENCH.knows(text)}
    assert {t: r for t, r in lacking.items() if t != IN_ENGLISH and "[^" not in t} == {}


def test_every_conflict_between_those_regions_has_french() -> None:
    found = sentences.conflicts_between({"CA", "CA-QC", "EU", "BE"})
    assert found
    for conflict in found:
        assert [t for t in (conflict.says, conflict.way_out, conflict.citation) if not
                FRENCH.knows(t)] == []  # fmt: skip


def test_every_name_has_french_and_its_forms() -> None:
    words = load_catalogue("fr")
    for element in ELEMENTS:
        for form in ("element", "element the", "element of"):
            assert (form, str(name_element(element))) in words, (form, element)
    for kind, names in (
        ("part", [*ELEMENTS, *load_file_tables()[LAYOUT]["front.blocks"].fields["picture"].one_of]),
        ("where", _WHERE.values()),
        ("where", [f"on the {name}" for name in ("tag", "card", "leaflet", "notice")]),
        ("panel", ["front", "back", "label", "website", *SURFACES, *list_piece_kinds()]),
        ("shape", load_file_tables()[STOCK][""].fields["shape"].one_of),
        ("basis", ["formed", "added", "cured", "poured"]),
        ("letters", ["capitals", "figures", "small letters (the “o”)", "figures of the fraction"]),
        ("provenance", ["read", "told", "memory", "advice"]),
    ):
        assert [name for name in names if (kind, name) not in words] == []


def test_every_stock_has_a_french_title() -> None:
    titles = [read_stock(path).title for path in sorted(find_stock_folder().glob("*.toml"))]
    assert len(titles) > 20
    assert [title for title in titles if ("stock", title) not in load_catalogue("fr")] == []


def test_a_proof_has_a_caption_for_everything_in_every_language() -> None:
    for captions in LANGUAGES.values():
        assert [e for e in ELEMENTS if e not in captions.elements] == []
        panels = {"front", "back", "tag", "card", "leaflet", "notice", *list_piece_kinds()}
        assert panels - captions.panels.keys() == set()
    assert LANGUAGES["fr"].fit != FitWords()


# -- the same facts --------------------------------------------------------------------------------


def fields(template: str) -> list[str]:
    return sorted({name for _, name, _, _ in string.Formatter().parse(template) if name})


def messages() -> list[tuple[str, str]]:
    return [(str(m.id), str(m.string)) for m in read_messages("fr")]


@pytest.mark.parametrize("part", range(8))
def test_french_has_the_same_facts_as_english(part: int) -> None:
    for english, french in messages()[part::8]:
        assert french, english
        assert fields(english) == fields(french), english


def test_french_names_the_same_fields_and_every_field_is_there() -> None:
    """A remedy that names a key no file has would send her looking for nothing."""
    tables = {table for tables in load_file_tables().values() for table in tables}
    for english, french in messages():
        named = re.findall(r"\b[a-z_]+(?:\.[a-z_]+)+\b", english)
        dotted = {n for n in named if n.rpartition(".")[0] in tables and n not in ADDRESSES}
        places = find_named_fields(english)
        assert {place.key for place in places} == dotted, english
        assert {*places} == {*find_named_fields(french)}, english


def test_a_sentence_tells_which_fields_it_names() -> None:
    told = "Put it into back.durability of label.toml, or into plan.labels.front_start"
    assert find_named_fields(told) == (
        FieldPlace("label.toml", "back.durability"),
        FieldPlace("label.toml", "plan.labels.front_start"),
    )
    with pytest.raises(InputError) as found:
        read_recipe(Path("nowhere", "recipe.toml"))
    assert found.value.field == FieldPlace(str(Path("nowhere", "recipe.toml")), "")


@pytest.mark.parametrize("books", [(*SENTENCES, HELP), (FIELDS,)])
def test_every_sentence_stands_once(books: tuple[str, ...]) -> None:
    """GNU gettext refuses a catalogue that defines a message twice."""
    words = files("labelkit.report").joinpath("words")
    catalogues = [words.joinpath(f"{name}.fr.po") for name in books]
    text = "".join(path.read_text("utf-8").partition("\n\n")[2] for path in catalogues)
    found = re.findall(r'^(?:msgctxt "(.*)"\n)?msgid ((?:".*"\n)+)', text, re.MULTILINE)
    keys = [(kind, "".join(re.findall(r'"(.*)"', lines))) for kind, lines in found]
    assert [key for key in keys if keys.count(key) > 1] == []


def numbers(text: str) -> list[str]:
    """Figures of a text, the decimal sign and the grouping of thousands aside."""
    bare = re.sub(r"(?<=\d)[\s\u202f\u00a0](?=\d{3})", "", re.sub(r"\{[^{}]*\}", "", text))
    return sorted(re.sub(r"[.,]", "", n) for n in re.findall(r"\d+(?:[.,]\d+)*", bare))


def test_rows_give_the_same_figures_in_french() -> None:
    """A figure of the law that was mistyped in one language would be wrong in it."""
    words = load_catalogue("fr")
    for region in WHOLE:
        for rule in sentences.rows_of(region):
            for part in ("asks", "passes", "fails", "remedy"):
                english = str(getattr(rule, part))
                if "2026" in english or "2028" in english:
                    continue  # dates are written out in French
                assert numbers(words["", english]) == numbers(english), (rule.id, part)


# -- French typography -----------------------------------------------------------------------------


def test_french_is_spaced_as_french() -> None:
    """Imprimerie nationale's practice, from memory: no high mark without its no-break space."""
    every = load_catalogue("fr", *SENTENCES, HELP, FIELDS)
    for (_, english), french in every.items():
        bare = re.sub(r"\{[^{}]*\}|`[^`]*`", "x", french)
        assert not re.search(r"[^\s\u202f][;!?»]|[^\s\u202f\d]:(?!//)", bare), english
        assert not re.search(r"« |[ \u00a0][:;!?»]|«(?!\u202f)", bare), english
        assert not re.search(r"\w'\w", bare), f"{english}: a straight apostrophe"
        assert not re.search(r"\d (?:%|mm|g|kg|cm²)(?!\w)", bare), english


def test_spacing_leaves_what_is_to_be_filled_alone() -> None:
    assert bind_words("{what:The} : {n} mm", "fr") == "{what:The}\u202f: {n}\u00a0mm"
    assert bind_words("« {x} » ; 5 %", "fr") == "«\u202f{x}\u202f»\u202f; 5\u00a0%"
    assert bind_words("{what:cap}: {n} mm", "en") == "{what:cap}: {n}\u00a0mm"
    assert bind_words("`#:schema {x}` : ici", "fr") == "`#:schema {x}`\u202f: ici"


def test_facts_as_french_writes_them() -> None:
    # CLDR fr_CA: decimal comma; language names in lower case.
    assert FRENCH(Number(Decimal("1.59"))) == "1,59"
    assert FRENCH(Quoted("Oat soap")) == "«\u202fOat soap\u202f»"
    assert FRENCH(Language("nl")) == "néerlandais"
    assert FRENCH(FactList([Language("nl"), Language("de")], "and")) == "néerlandais et allemand"
    assert FRENCH(FactList(["a", "b"], ";")) == "a\u202f; b"
    assert FRENCH(Term("material", "castor oil")) == "huile de ricin"
    assert FRENCH(Day(dt.date(2028, 8, 1))) == "1er août 2028"


def test_the_first_of_a_month_is_an_ordinal_in_french() -> None:
    # Office québécois de la langue française, Banque de dépannage linguistique (from memory).
    assert format_long_date(dt.date(2027, 6, 1), "fr_CA", "full") == "mardi 1er juin 2027"
    assert format_long_date(dt.date(2027, 6, 11), "fr_CA") == "11 juin 2027"
    assert format_long_date(dt.date(2027, 6, 1), "en_CA") == "June 1, 2027"


# -- without French --------------------------------------------------------------------------------


def test_what_has_no_french_is_given_in_english_and_says_so() -> None:
    said = Said("{what:cap} glows in the {n} dark", what=Term("element", "net quantity"),
                n=Number(3))  # fmt: skip
    assert FRENCH(said) == "Net quantity glows in the 3 dark (en anglais)"
    assert FRENCH.sentence("No such sentence.") == "No such sentence. (en anglais)"
    assert FRENCH.sentence(Said("{message}.", message=said)).endswith("(en anglais).")


def test_a_law_of_another_country_keeps_its_name() -> None:
    assert FRENCH.cited("21 CFR 701.11(c)") == "21 CFR 701.11(c)"
    assert FRENCH.cited("CPLR s. 25") == "REEPC art. 25"


def test_words_of_the_label_are_left_alone() -> None:
    assert FRENCH("Thank you for being here") == "Thank you for being here"
    odd = Said("{what:cap} is missing {where}", what=Term("element", "{odd} thing"),
               where=Term("where", "on the front"))  # fmt: skip
    assert FRENCH(odd) == "Il manque {odd} thing sur le devant"


def test_english_says_what_the_rooms_said() -> None:
    said = Said("{n} % apart", n=Number(Decimal("0.50"), 2))
    assert Speech("en", "en_CA")(said) == str(said) == "0.50 % apart"


def test_a_missing_allergen_statement_is_said_in_french(tmp_path: Path) -> None:
    recipe = tmp_path / "recipe.toml"
    recipe.write_text(
        'labelkit = 1\nrecipe = { name = "Essai", scale = "1 g" }\n'
        'oil = [{ material = "olive oil", mass = "1000 g" }]\n'
        'scent = [{ name = "Brise", mass = "20 g" }]\n'
        'lye = [{ alkali = "NaOH" }]\nsuperfat = { lye_discount = "5 %" }\n'
        'water = { lye_concentration = "33 %" }\ncure = { loss = "10 %" }\n',
        encoding="utf-8",
    )
    made = declare_ingredients(read_recipe(recipe), make_policy(["CA", "BE"], dt.date(2027, 6, 19)))
    (doubt,) = [d for d in made.doubts if "no allergen statement" in d.message]
    told = FRENCH(doubt.message) + FRENCH(doubt.remedy)
    assert "alors que ses allergènes doivent être nommés (CA et BE)" in told.replace("\u00a0", " ")
    assert "[scent.allergens]" in told
    assert IN_ENGLISH not in told
