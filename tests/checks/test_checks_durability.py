"""The words before a date of durability, judged in the label spec and in the finished PDF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from labelkit.checks.durability import check_printed_words
from labelkit.job.examine import examine_label
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import NEUTRAL, Panel
from labelkit.pdf.read import read_panels
from labelkit.report.findings import load_finding_words
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
RULE = "CRAFT-DURABILITY-LANGUAGE"
PLACE = "[plan.box]"
# Official wordings of Regulation (EC) No 1223/2009, Art. 19(1)(c), from authorities' pages.
FRENCH, GERMAN = "À utiliser de préférence avant fin 06/2029", "Mindestens haltbar bis 06/2029"


def spec(event: Event, durability: str) -> Path:
    return event(
        (PLACE, f"[back]\ndurability = {durability}\n\n{PLACE}"),
        ("guests = 60", "guests = 3"),
        ('trim = "44 x 28 mm"', 'trim = "56 x 40 mm"'),
    )


def found(label: Path, *pdfs: Path) -> list[Finding]:
    return [f for f in examine_label(label, pdfs=pdfs).report.findings if f.rule == RULE]


def printed(panel: Panel, language: str) -> Panel:
    """The panel as a PDF has it that says this of the language of its durability."""
    runs = (
        replace(run, language=language) if run.element == "durability" else run
        for run in panel.runs
    )
    return replace(panel, runs=tuple(runs))


@pytest.mark.parametrize(
    ("durability", "level", "says"),
    [
        ('"06/2029"', None, ""),
        (f'{{ en = "Best before 06/2029", fr = "{FRENCH}" }}', None, ""),
        ('"Best before 06/2029"', None, ""),  # plain, and in a language of the label
        ('"12M"', None, ""),
        (f'{{ en = "{FRENCH}" }}', Level.WARN, "as English, and its words are French"),
        (f'"{GERMAN}"', Level.WARN, "its words are German, which the label does not have"),
        ('"Keeps to 06/2029"', Level.NOTE, "so its words were not judged"),
    ],
)
@pytest.mark.quick(1)
def test_a_finished_pdf_is_judged(
    durability: str, level: Level | None, says: str, event: Event, tmp_path: Path
) -> None:
    label = spec(event, durability)
    made = make_sheets_of_file(label, tmp_path / "sheets")
    findings = found(label, *made.files)
    assert [f.level for f in findings] == ([level] if level else [])
    for finding in findings:
        assert finding.message.startswith("the PDF ")
        assert says in finding.message
        assert (finding.panel, finding.element) == ("back", "durability")
        assert "back.durability" in finding.remedy
        told = load_finding_words(["CA"], "fr").of(finding)
        assert "(en anglais)" not in told.message + told.remedy


def test_the_words_that_print_count_and_not_those_of_the_spec(event: Event, tmp_path: Path) -> None:
    made = make_sheets_of_file(spec(event, f'{{ en = "{FRENCH}" }}'), tmp_path / "sheets")
    label = event((f'en = "{FRENCH}"', 'en = "Best before 06/2029"'))
    assert found(label) == []
    (finding,) = found(label, *made.files)
    assert FRENCH in finding.message


def test_a_side_without_a_pdf_is_judged_by_the_spec(event: Event, tmp_path: Path) -> None:
    label = spec(event, f'{{ en = "{FRENCH}" }}')
    front = next(
        f for f in make_sheets_of_file(label, tmp_path / "sheets").files if "front" in f.name
    )
    (finding,) = found(label, front)
    assert "is given as English, and its words are French" in finding.message


def test_what_the_pdf_says_of_the_language_is_taken_from_its_marks(
    event: Event, tmp_path: Path
) -> None:
    label = spec(event, f'{{ en = "Best before 06/2029", fr = "{FRENCH}" }}')
    back = next(
        f for f in make_sheets_of_file(label, tmp_path / "sheets").files if "back" in f.name
    )
    panel = read_panels(back).panels[0].panel
    languages = {run.language for run in panel.runs if run.element == "durability"}
    assert languages == {"en", "fr"}
    assert list(check_printed_words([panel], ["en", "fr"])) == []


@pytest.mark.parametrize("unknown", [NEUTRAL, "", "und"])
def test_a_pdf_without_a_language_is_not_guessed_at(unknown: str, event: Event) -> None:
    back = prepare_job(spec(event, f'{{ fr = "{FRENCH}" }}')).panels[1]
    assert list(check_printed_words([printed(back, "fr-CA")], ["en", "fr"])) == []
    assert list(check_printed_words([printed(back, unknown)], ["en", "fr"])) == []
    (finding,) = check_printed_words([printed(back, unknown)], ["en"])
    assert "the PDF does not say which language" in finding.message
    (finding,) = check_printed_words([printed(back, "en")], ["en", "fr"])
    assert "as English, and its words are French" in finding.message


@pytest.mark.parametrize("durability", ['"06/2029"', '{ en = "06/2029" }'])
def test_a_bare_date_is_told_where_its_words_are_not_known(durability: str, event: Event) -> None:
    """Reg. Art. 19(5): the words are in the language of the state, so English cannot stand in."""
    label = spec(event, durability)
    assert found(label) == []
    event(('languages = ["en", "fr"]', 'languages = ["en", "da", "et"]'))
    (finding,) = found(label)
    assert finding.level is Level.WARN
    assert finding.message.endswith("none are known here in Danish and Estonian.")
    assert "back.durability" in finding.remedy
    told = load_finding_words(["BE"], "fr").of(finding)
    assert "danois et estonien" in told.message
    assert "(en anglais)" not in told.message + told.remedy
    event((f"durability = {durability}", 'durability = { en = "Use by 06/2029", da = "Bedst" }'))
    assert found(label) == []


def test_a_date_in_words_alone_has_no_words_before_it(event: Event) -> None:
    back = prepare_job(spec(event, '"huhtikuu 2029"')).panels[1]
    assert list(check_printed_words([back], ["fi"])) == []


# French writes « avant fin » before a month and « avant le » before a day: Regulation (EU)
# No 1169/2011, Annex X, point 1, in its French version, for food (from memory).
@pytest.mark.parametrize(
    ("durability", "right"),
    [
        ('{ en = "Best before 31/05/2029", fr = "À utiliser de préférence avant fin 31/05/2029" }',
         "avant le 31/05/2029"),
        ('{ en = "Best before 31 May 2029", fr = "À utiliser avant fin 31 mai 2029" }',
         "avant le 31 mai 2029"),
        ('{ en = "Best before 05/2029", fr = "À utiliser de préférence avant le 05/2029" }',
         "avant fin 05/2029"),
        ('{ en = "Best before 05/2029", fr = "À utiliser de préférence avant fin 05/2029" }', ""),
        ('{ en = "Best before 31/05/2029", fr = "À utiliser de préférence avant le 31/05/2029" }',
         ""),
    ],
)  # fmt: skip
def test_words_for_a_month_before_a_day_are_told(event: Event, durability: str, right: str) -> None:
    report = examine_label(spec(event, durability)).report
    told = [f for f in report.findings if f.rule == "CRAFT-DURABILITY-WORDS"]
    assert [f.level for f in told] == [Level.WARN] * bool(right)
    assert all(f.required.endswith(f"{right}”") for f in told)


@pytest.mark.parametrize(
    ("date", "words"),
    [
        ("05/2029", "À utiliser de préférence avant fin 05/2029"),
        ("31/05/2029", "À utiliser de préférence avant le 31/05/2029"),
    ],
)
def test_a_bare_date_gets_the_words_that_go_with_it(event: Event, date: str, words: str) -> None:
    job = prepare_job(spec(event, f'"{date}"'))
    texts = [run.text for run in job.composed[1].panel.runs if run.element == "durability"]
    assert words in " ".join(texts)
    findings = examine_label(job.spec.path).report.findings
    assert "CRAFT-DURABILITY-WORDS" not in {f.rule for f in findings}
