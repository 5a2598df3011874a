"""Slips that would print well: each check has a spec that just passes and one that does not."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from labelkit.checks.durability import check_given_words
from labelkit.checks.order import check_order
from labelkit.common.errors import InputError
from labelkit.job.examine import examine_label
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
Change = tuple[str, str]
TODAY = dt.date(2026, 11, 25)


def found(label: Path, today: dt.date | None = None) -> dict[str, Finding]:
    spec = read_label(label)
    return {f.rule: f for f in check_order(spec, read_recipe(spec.product.recipe), today)}


def test_the_sample_has_no_slip(sample: Path) -> None:
    assert found(sample, TODAY) == {}


def weighing(weight: str, face: str = "60 x 45 mm", more: str = "") -> Change:
    return (
        'net_weight = "40 g"          # what the lightest piece still weighs on the day, not when '
        'poured\npackage_face = "60 x 45 mm"',
        f'net_weight = "{weight}"\n{more}\npackage_face = "{face}"',
    )


@pytest.mark.parametrize(
    ("change", "passes"),
    [
        # By hand: a face of 6 x 4 cm and at most twice 6 cm deep holds 288 cm3, 288 g; 2 mm of it
        # are 4.8 cm3, 4.8 g.
        (weighing("40 g", "60 x 40 mm"), True),
        (weighing("4.8 g", "60 x 40 mm"), True),
        (weighing("4.7 g", "60 x 40 mm"), False),
        (weighing("100 g", "40 x 30 mm"), False),  # 4 x 3 x 8 = 96 cm3
        (weighing("95 g", "40 x 30 mm"), True),
        # A round face of 4 cm has pi times 4 cm2 and is at most 8 cm deep: 100.5 cm3.
        (weighing("100 g", "40 mm", 'package_face_shape = "round"'), True),
        (weighing("101 g", "40 mm", 'package_face_shape = "round"'), False),
        # The face of a tag says nothing of the piece.
        (weighing("100 g", "40 x 30 mm", "label_is_tag = true"), True),
    ],
)
def test_a_weight_is_held_against_the_package(event: Event, change: Change, passes: bool) -> None:
    finding = found(event(change)).get("CRAFT-WEIGHT-FACE")
    assert (finding is None) == passes
    assert finding is None or finding.level is Level.WARN


@pytest.mark.parametrize(("weight", "passes"), [("119 g", True), ("119.1 g", False)])
def test_a_piece_weighs_no_more_than_the_heaviest_weighed_bar(
    event: Event, weight: str, passes: bool
) -> None:
    # The sample's recipe has bars of 117, 114 and 119 g when cured.
    change = weighing(weight, "90 x 60 mm")
    assert ("CRAFT-WEIGHT-BAR" not in found(event(change))) == passes


@pytest.mark.parametrize("weight", ["32 kg", "1001 g", "1,1 kg", "40 lb"])
def test_a_weight_no_favour_has_is_refused(event: Event, weight: str) -> None:
    label = event(('net_weight = "40 g"', f'net_weight = "{weight}"'))
    with pytest.raises(InputError, match=r"product\.net_weight: .* is the unit right\?"):
        read_label(label)


@pytest.mark.parametrize(
    ("day", "rule"),
    [
        ("2026-11-25", None),
        ("2026-11-24", "CRAFT-DATE-PAST"),
        ("2025-06-19", "CRAFT-DATE-PAST"),
        ("2031-11-24", None),
        ("2032-01-01", "CRAFT-DATE-FAR"),
        ("2207-06-19", "CRAFT-DATE-FAR"),
    ],
)
def test_the_day_of_the_event_is_held_against_today(
    event: Event, day: str, rule: str | None
) -> None:
    label = event(
        ("date = 2027-06-19", f"date = {day}"),
        ("deliver_on = 2027-06-11", ""),  # nor a lot, which would be that of another day
        ('lot = "LS-2704"', ""),
    )
    wanted = {rule} if rule else set()
    assert set(found(label, TODAY)) == wanted
    assert found(label) == {}  # without a day to hold it against nothing is said
    report = examine_label(label, today=TODAY).report
    assert {f.rule for f in report.findings if f.rule.startswith("CRAFT-DATE")} == wanted


# -- languages -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ('{ mi = "Ngā mihi" }',
         "front.thanks.mi: 'Ngā mihi': Māori is not among the label's languages (en, fr);"
         ' add "mi" to label.languages, or write plain text: it prints as it stands'),
        ('{ "fr-CA" = "Merci" }',
         "front.thanks.fr-CA: 'Merci': the label's languages are en, fr;"
         ' expected "fr", as it is there'),
    ],
)  # fmt: skip
def test_words_of_which_none_would_be_printed_are_refused(
    event: Event, words: str, message: str
) -> None:
    label = event(("[plan.box]", f"[front]\nthanks = {words}\n\n[plan.box]"))
    with pytest.raises(InputError) as caught:
        read_label(label)
    assert str(caught.value).endswith(message)


def test_words_beside_those_that_are_printed_are_told(event: Event) -> None:
    label = event(
        ("[plan.box]", '[front]\nthanks = { en = "Thank you", mi = "Ngā mihi" }\n\n[plan.box]'),
        ('scent = { en = "', 'scent = { mi = "Ōti", en = "'),
    )
    finding = found(label)["CRAFT-WORDS-UNUSED"]
    assert finding.level is Level.WARN
    assert "Māori" in finding.message
    assert "product.scent.mi, front.thanks.mi" in finding.message
    label = event(('languages = ["en", "fr"]', 'languages = ["en", "fr", "mi"]'))
    assert "CRAFT-WORDS-UNUSED" not in found(label)


def test_a_plain_text_is_printed_as_it_stands(event: Event) -> None:
    label = event(("[plan.box]", '[front]\nthanks = "Ngā mihi"\n\n[plan.box]'))
    assert found(label) == {}
    runs = prepare_job(label).panels[0].runs
    assert "ngā mihi" in " ".join(run.text.lower() for run in runs if run.element == "thanks")


# Official wordings of Regulation (EC) No 1223/2009, Art. 19(1)(c): en, fr, de, fi, sv and pl from
# authorities' pages, the others from memory.
KEPT_TO = {
    "en": "Best used before the end of",
    "fr": "À utiliser de préférence avant fin",
    "de": "Mindestens haltbar bis",
    "fi": "Parasta käytettynä ennen",
    "sv": "Bäst före utgången av",
    "pl": "Najlepiej zużyć przed końcem",
    "it": "Usare preferibilmente entro",
    "es": "Utilícese preferentemente antes del final de",
    "nl": "Bij voorkeur te gebruiken vóór eind",
    "pt": "Utilizar de preferência antes do final de",
}


@pytest.mark.parametrize("language", KEPT_TO)
def test_words_of_durability_are_known_in_their_own_language_only(
    language: str, event: Event
) -> None:
    said = f'durability = {{ {language} = "{KEPT_TO[language]} 06/2028" }}'
    languages = ", ".join(f'"{code}"' for code in dict.fromkeys(["en", "fr", language]))
    label = event(
        ("[plan.box]", f"[back]\n{said}\n\n[plan.box]"),
        ('languages = ["en", "fr"]', f"languages = [{languages}]"),
    )
    assert "CRAFT-DURABILITY-LANGUAGE" not in found(label)
    spec = read_label(label)
    assert spec.back.words["durability"] == {language: f"{KEPT_TO[language]} 06/2028"}
    for other in KEPT_TO.keys() - {language}:
        words = {**spec.back.words, "durability": {language: f"{KEPT_TO[other]} 06/2028"}}
        back = replace(spec.back, words=words)
        told = {f.rule: f for f in check_given_words(replace(spec, back=back))}
        assert f"back.durability.{language}" in told["CRAFT-DURABILITY-LANGUAGE"].remedy, other


@pytest.mark.parametrize("words", ["Best before", "Keeps to", "12M,"])
def test_plain_words_of_durability_are_those_of_the_label(words: str, event: Event) -> None:
    label = event(("[plan.box]", f'[back]\ndurability = "{words} 06/2028"\n\n[plan.box]'))
    assert found(label) == {}


def test_plain_words_of_no_language_of_the_label_are_told(event: Event) -> None:
    said = "Mindestens haltbar bis 06/2028"
    label = event(("[plan.box]", f'[back]\ndurability = "{said}"\n\n[plan.box]'))
    finding = found(label)["CRAFT-DURABILITY-LANGUAGE"]
    assert finding.level is Level.WARN
    assert "given as English, and its words are German" in finding.message


# -- guests ----------------------------------------------------------------------------------------


def test_guests_of_one_name_are_noted(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    guests = label.parent / "guests.csv"
    guests.write_text("Ada Loom\nBo\nada loom\nCy\nBo\n", "utf-8")
    finding = found(label)["CRAFT-GUEST-TWICE"]
    assert finding.level is Level.NOTE
    assert "“Ada Loom”, “Bo”" in finding.message
    guests.write_text("Ada Loom\nBo\nAda Loomis\n", "utf-8")
    assert found(label) == {}


def test_columns_of_the_guest_list_that_go_nowhere_are_noted(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    guests = label.parent / "guests.csv"
    guests.write_text("Nombre;Apellidos;Mesa\nAna;Brisa;1\n", "utf-8")
    finding = found(label)["CRAFT-GUEST-COLUMNS"]
    assert finding.level is Level.NOTE
    assert "“Mesa”" in finding.message
    assert "Apellidos" not in finding.message
    guests.write_text("Nombre;Apellidos\nAna;Brisa\n", "utf-8")
    assert found(label) == {}


def test_slips_are_told_of_a_label_that_does_not_fit_as_well(event: Event) -> None:
    label = event(weighing("100 g", "40 x 30 mm"), ('trim = "44 x 28 mm"', 'trim = "12 x 9 mm"'))
    rules = {f.rule for f in preflight_job(prepare_job(label), with_ways_out=False).findings}
    assert {"LABELKIT-FIT", "CRAFT-WEIGHT-FACE"} <= rules


def test_a_lot_is_the_one_of_its_day_of_pouring(event: Event) -> None:
    # The sample's pattern is LS-{yy}{mm}, and its plan pours on 27 April 2027.
    finding = found(event(("LS-2704", "LS-2703")))["CRAFT-LOT"]
    assert finding.level is Level.WARN
    assert "the pour on 2027-04-27 give “LS-2704”" in finding.message
    assert "Write “LS-2704” as product.lot" in finding.remedy
    poured = ("[plan]\n", "[plan]\npoured_on = 2027-03-30\n")
    assert "CRAFT-LOT" not in found(event(poured))


@pytest.mark.parametrize("lot", ["LS-2704-B", "LS-2704B", "LS-2704/2", "LS-2704 b2"])
def test_another_batch_of_the_day_adds_to_its_lot(event: Event, lot: str) -> None:
    assert found(event(('lot = "LS-2704"', f'lot = "{lot}"'))) == {}


@pytest.mark.parametrize(
    ("lot", "remedy"),
    [
        # Another lot: the right one, and what a second batch of its day may be called.
        (
            "LS-2703-B",
            "Write “LS-2704” as product.lot (“LS-2704-B” for another batch of that day), or say in"
            " plan.poured_on or plan.lot_pattern what is right.",
        ),
        # Run together with more: how to set it apart, or the pattern that gives it.
        (
            "LS-27041",
            "For another batch of that day write an addition set apart, such as “LS-2704-B”; or put"
            " what every lot ends in into plan.lot_pattern: “LS-{yy}{mm}1”.",
        ),
    ],
)
def test_what_is_not_plainly_added_to_a_lot_is_told(event: Event, lot: str, remedy: str) -> None:
    label = event(('lot = "LS-2704"', f'lot = "{lot}"'))
    finding = found(label)["CRAFT-LOT"]
    assert finding.message.startswith(f"The lot is “{lot}”, but plan.lot_pattern and the pour on ")
    assert finding.remedy == remedy


def test_the_pattern_a_remedy_names_puts_it_right(event: Event) -> None:
    label = event(('lot = "LS-2704"', 'lot = "LS-27041"'))
    event(('lot_pattern = "LS-{yy}{mm}"', 'lot_pattern = "LS-{yy}{mm}1"'), file="maker.toml")
    assert found(label) == {}


def test_a_missing_lot_is_told_with_the_one_of_the_plan(event: Event) -> None:
    def remedy(label: Path) -> str:
        return next(
            f.remedy for f in preflight_job(prepare_job(label)).findings if f.rule == "CA-LOT"
        )

    label = event(('lot = "LS-2704"', ""))
    assert remedy(label) == "Give product.lot in label.toml: the plan makes it “LS-2704”."


def test_one_guest_typed_with_two_apostrophes_is_named_once_more(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("Ana O'Dell\nBo\nAna O’Dell\n", "utf-8")
    finding = found(label)["CRAFT-GUEST-TWICE"]
    assert "Ana O'Dell" in finding.message
    assert "Bo" not in finding.message
