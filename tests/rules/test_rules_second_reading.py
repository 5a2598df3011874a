"""What a second reading of the laws found: levels of knowledge, and findings in plain words.

Sources stand beside each check. CR: Cosmetic Regulations. Reg.: Regulation (EC) No 1223/2009.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from region_cases import spoken
from rule_labels import Draft, antipodean, british, canadian, european

from labelkit.cli import cli
from labelkit.formula import declare_ingredients
from labelkit.job.examine import _pick_right_panels, examine_label
from labelkit.model.runs import Panel
from labelkit.order.recipe import read_recipe
from labelkit.pdf.read import PlacedPanel
from labelkit.report.findings import find_field, format_findings_text, load_finding_words
from labelkit.rules import Level, Provenance, list_region_titles, load_rules
from labelkit.rules.policies import make_policy

Event = Callable[..., Path]
SAMPLE = Path(__file__).parents[2] / "samples" / "lighthouse-supper"
RULES = {rule.id: rule for rule in load_rules(list(list_region_titles()))}


# -- how well it is known --------------------------------------------------------------------------


def test_what_nobody_read_fails_nothing() -> None:
    unread = [rule for rule in RULES.values() if rule.provenance is Provenance.MEMORY]
    assert len(unread) > 60
    assert [rule.id for rule in unread if rule.gravest_level() is Level.FAIL] == []


@pytest.mark.parametrize(
    ("row", "draft", "strictly"),
    # Reg. Art. 19(1)(a): whether a box alone will do was not found in what was read. Batch numbers
    # in New Zealand: trade press only.
    [
        (
            "EU-RESPONSIBLE-PERSON-BOX",
            european().instead(
                "dealer", "Atelier du Hêtre, boîte postale 12, 5000 Namur, Belgique"
            ),
            Level.FAIL,
        ),
        ("NZ-BATCH", antipodean().without("lot"), Level.WARN),
    ],
    ids=["EU", "NZ"],
)
def test_what_rests_on_memory_only_warns(row: str, draft: Draft, strictly: Level) -> None:
    """The facts' tables know no authority for either: only --strict may let one fail."""
    region = {"EU": "BE", "NZ": "NZ"}[row[:2]]
    assert RULES[row].provenance is Provenance.MEMORY
    for strict, level in ((False, Level.WARN), (True, strictly)):
        found = [f for f in draft.judged(region, strict=strict).findings if f.rule == row]
        assert [f.level for f in found] == [level]


def test_great_britains_cosmetics_law_was_read_by_no_one_and_says_so() -> None:
    """Its text in force was not seen; the government's guide and Trading Standards were."""
    article = [r for r in RULES.values() if r.region == "GB" and r.citation.startswith("Reg. GB")]
    assert len(article) > 15
    assert {rule.provenance for rule in article} == {Provenance.TOLD, Provenance.MEMORY}


def test_the_unions_article_is_told_by_authorities() -> None:
    """Reg. Art. 19 was seen in restatements only (Tukes, HPRA, the Danish EPA and others)."""
    article = [r for r in RULES.values() if r.region == "EU" and r.citation.startswith("Reg. Art")]
    assert {rule.provenance for rule in article} == {Provenance.TOLD, Provenance.MEMORY}
    # Directive 76/211/EEC, Annex I 1 and 2, was seen itself (legislation.gov.uk's copy).
    assert RULES["EU-QUANTITY-TOLERANCE"].provenance is Provenance.READ
    # Germany's KosmetikV s. 4 was seen; Tukes tells of Finland's languages.
    assert RULES["DE-LANGUAGES"].provenance is Provenance.READ
    assert RULES["FI-LANGUAGES"].provenance is Provenance.TOLD


@pytest.mark.parametrize(
    ("rule", "provenance"),
    # What was seen of each: the facts' own tables.
    [
        ("EU-DURABILITY", Provenance.TOLD),  # Tukes, HPRA
        ("US-CONTACT-PRESENT", Provenance.TOLD),  # FDA, guidance of December 2024
        ("US-ORIGIN", Provenance.TOLD),  # 19 CFR 134.32, the exceptions
        ("AU-PACKER", Provenance.TOLD),  # the heading of NTMR reg. 4.7
        ("CA-CLAIM-DRUGLIKE", Provenance.READ),  # Food and Drugs Act s. 2
        ("NZ-BATCH", Provenance.MEMORY),  # trade press only: no authority was seen
    ],
)
def test_what_could_move_up_did(rule: str, provenance: Provenance) -> None:
    assert RULES[rule].provenance is provenance


# -- languages -------------------------------------------------------------------------------------


def test_english_alone_does_not_pass_in_belgium() -> None:
    """FPS Economy: Dutch in Flanders, French in Wallonia, both in Brussels."""
    (finding,) = spoken(("en",)).found("BE-LANGUAGES", "BE")
    assert finding.level is Level.FAIL
    assert finding.required == "Dutch and French"
    assert finding.measured == "“(soap)” in English"


def test_french_alone_in_great_britain_warns_because_nobody_read_the_law() -> None:
    """Reg. GB Art. 19(5) is from memory, so it warns, and fails with --strict."""
    draft = british().instead("identity", "Savon", "fr")
    assert draft.level("GB-LANGUAGE", "GB") == "warn"
    assert draft.level("GB-LANGUAGE", "GB", strict=True) == "fail"


@pytest.mark.parametrize("language", ["fr", "de", "lb"])
def test_one_of_luxembourgs_languages_is_enough(language: str) -> None:
    """Luxembourg, Health Directorate: at least one of French, German and Luxembourgish."""
    offered = spoken(("fr", "de", "lb")).put("back", "directions", "(rinse)", language)
    assert offered.level("LU-LANGUAGES", "LU") == ""
    (finding,) = spoken(("en",)).found("LU-LANGUAGES", "LU")
    assert finding.required == "French, German or Luxembourgish"
    assert "one of them is enough" in finding.remedy


# -- plain words -----------------------------------------------------------------------------------


def test_a_heading_that_is_not_there_and_one_that_says_otherwise_are_two_faults() -> None:
    """Reg. Art. 19(1)(g): the list is headed by the term."""
    missing = european().without("ingredients-heading").found("EU-LIST-HEADING", "BE")
    other = european().instead("ingredients-heading", "Composition").found("EU-LIST-HEADING", "BE")
    assert [str(f.message) for f in missing] == [
        "Heading of the ingredient list is missing on the back."
    ]
    assert "does not say “ingredients”" in other[0].message
    assert "Composition" in other[0].measured


@pytest.mark.parametrize(
    ("made_in", "said"),
    # English names of countries: Unicode CLDR.
    [
        ("GB", "“Made in the United Kingdom”"),
        ("CA", "“Made in Canada”"),
        ("GB-NIR", "“Made in Northern Ireland”"),
        ("NZ", "“Made in New Zealand”"),
    ],
)
@pytest.mark.parametrize(("rule", "region"), [("US-ORIGIN", "US"), ("AU-ORIGIN", "AU")])
def test_origin_is_said_with_the_makers_own_country(
    rule: str, region: str, made_in: str, said: str
) -> None:
    (finding,) = british().know(made_in=made_in).found(rule, region)
    assert said in finding.remedy
    assert made_in == "CA" or "Canada" not in finding.remedy


def test_a_row_names_no_country_of_its_own() -> None:
    origin = [rule for rule in RULES.values() if rule.element == "origin"]
    assert len(origin) > 4
    assert [rule.id for rule in origin if "Canada" in rule.remedy.replace("Canada and Mexico", "")
            if rule.region != "all"] == []  # fmt: skip


def test_a_finding_names_the_words_and_the_field() -> None:
    """labelkit's own promise: which words, which field, what would be right."""
    draft = canadian().without("identity", "fr")
    (finding,) = draft.found("CA-IDENTITY-PRESENT", "CA")
    assert finding.measured == "“Oat and honey soap” in English"
    assert finding.required == "French"
    worded = load_finding_words(["CA"]).of(finding)
    assert worded.remedy.startswith("to put it right (product.identity): ")
    directions = canadian().put("back", "directions", "Rinse well", "en")
    (finding,) = directions.found("CA-DIRECTIONS-LANGUAGES", "CA")
    assert find_field(finding) == "back.directions"
    # The height of letters is no matter of a field's words.
    small = canadian().set("identity", o=1.0).found("CA-IDENTITY-HEIGHT", "CA")
    assert {find_field(f) for f in small} == {""}


@pytest.mark.parametrize(
    ("language", "caution"),
    [
        ("en", "A help for makers, not legal advice."),
        ("fr", "Une aide pour les artisans, et non un avis juridique"),
    ],
)
def test_the_text_says_that_it_is_no_advice(language: str, caution: str) -> None:
    told = format_findings_text(canadian().judged("CA"), language=language)
    assert told.splitlines()[-2].replace("\u00a0", " ").startswith(caution)
    assert told.count(caution) == 1


def placed(draft: Draft, label: int) -> PlacedPanel:
    (front,) = [panel for panel in draft.panels if panel.name == "front"]
    return PlacedPanel(0, label, front, 0.0, 0.0, 0)


def right_and_wrong() -> tuple[Draft, Draft, tuple[Panel, ...]]:
    right = canadian()
    return right, right.instead("net-quantity", "50 g"), right.panels


def test_the_label_that_is_wrong_is_blamed() -> None:
    right, wrong, made = right_and_wrong()
    found = [placed(wrong, 0), *(placed(right, n) for n in range(1, 5))]
    panels, findings = _pick_right_panels(found, made)
    assert [panel.runs for panel in panels] == [found[1].panel.runs]
    assert [str(f.message) for f in findings] == ["label 1 on page 1 is not like label 2"]


def test_a_label_as_composed_is_right_however_many_are_not() -> None:
    right, wrong, made = right_and_wrong()
    found = [placed(wrong, 0), placed(wrong, 1), placed(right, 2)]
    _, findings = _pick_right_panels(found, made)
    assert [str(f.message)[:7] for f in findings] == ["label 1", "label 2"]
    # Where none is as composed, the one that most places hold.
    other = replace(made[0], runs=())
    _, findings = _pick_right_panels(found, (other,))
    assert [str(f.message) for f in findings] == ["label 3 on page 1 is not like label 1"]


# -- names -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("material", "name"),
    # Ordinary English names (from memory); FDA, Cosmetic Ingredient Names: not the Latin alone.
    [
        ("sea-buckthorn oil", "Hippophae Rhamnoides (Sea Buckthorn) Fruit Oil"),
        ("babassu oil", "Orbignya Oleifera (Babassu) Seed Oil"),
    ],
)
def test_a_plant_has_its_english_name_in_the_united_states(
    material: str, name: str, tmp_path: Path
) -> None:
    recipe = tmp_path / "recipe.toml"
    recipe.write_text(
        'labelkit = 1\nrecipe = { name = "Trial", scale = "1 g" }\n'
        f'oil = [{{ material = "olive oil", mass = "700 g" }}, {{ material = "{material}",'
        ' mass = "300 g", after_trace = true }]\n'
        'lye = [{ alkali = "NaOH" }]\nsuperfat = { lye_discount = "5 %" }\n'
        'water = { lye_concentration = "33 %" }\ncure = { loss = "10 %" }\n',
        encoding="utf-8",
    )
    day = dt.date(2027, 6, 19)
    assert name in declare_ingredients(read_recipe(recipe), make_policy(["US"], day)).names
    latin = f"{name.split(' (')[0]} {name.split(') ')[1]}"
    assert latin in declare_ingredients(read_recipe(recipe), make_policy(["CA"], day)).names


# -- finished PDFs ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("ink", "levels"), [("#9a9a9a", {"warn"}), ("#000000", set())])
@pytest.mark.quick(1)
def test_faint_ink_is_found_on_a_finished_pdf(
    ink: str, levels: set[str], event: Event, tmp_path: Path
) -> None:
    """WCAG 2.2, 1.4.3: 4.5 : 1; #9a9a9a on white is about 2.8 : 1. The file decides, whatever the
    spec says by then."""
    label = event(('shape = "', f'colour = "{ink}"\nshape = "'), ("guests = 60", "guests = 2"))
    pdf = tmp_path / "sheets" / "front.pdf"
    CliRunner().invoke(cli, ["sheet", str(label), "--out", str(pdf.parent)])
    event((f'colour = "{ink}"\n', 'colour = "#000000"\n'))
    found = examine_label(label, pdfs=[pdf]).report.findings
    faint = [f for f in found if f.rule == "CRAFT-CONTRAST" and f.panel == "front"]
    assert {str(finding.level) for finding in faint} == levels


# -- what only the maker knows ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "level"),
    [("", "note"), ("back_is_bottom = false\n", ""), ("back_is_bottom = true\n", "fail")],
)
def test_the_maker_says_whether_the_piece_lies_on_its_back_label(
    said: str, level: str, event: Event
) -> None:
    """CPLR s. 13: not on the part of the label applied to the bottom of a container."""
    label = event(("[product]\n", f"[product]\n{said}"))
    found = [
        f for f in examine_label(label, ["CA"]).report.findings if f.rule == "CA-DEALER-BOTTOM"
    ]
    assert [str(f.level) for f in found] == ([level] if level else [])


@pytest.mark.parametrize(("listed", "level"), [("", ["fail"]), ("city directory of 2027", [])])
def test_the_maker_says_which_directory_lists_her_street(
    listed: str, level: list[str], event: Event
) -> None:
    """21 CFR 701.12(d): unless shown in a current city directory or telephone directory."""
    address = re.search(r"^address = .*$", (SAMPLE / "maker.toml").read_text("utf-8"), re.MULTILINE)
    assert address is not None
    said = 'address = ["Elmvale VT 05001"]' + (f'\nstreet_listed = "{listed}"' if listed else "")
    label = event((address[0], said), file="maker.toml")
    found = [f for f in examine_label(label, ["US"]).report.findings if f.rule == "US-FIRM-STREET"]
    assert [str(f.level) for f in found] == level
