"""``labelkit preflight`` in the maker's language, and what it tells of tomorrow's law."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from labelkit.cli import preflight
from labelkit.common.errors import LabelkitError

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"


def run(*arguments: str | Path) -> tuple[int, str]:
    code, out, _ = run_all(*arguments)
    return code, out


def run_all(*arguments: str | Path) -> tuple[int, str, str]:
    """The exit code, and what goes to standard output and to standard error."""
    arguments = tuple(map(str, arguments))
    result = CliRunner().invoke(preflight.command, arguments, standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return int(result.return_value), result.stdout, result.stderr


def test_the_language_asked_for(sample: Path) -> None:
    _, english = run(sample, "--language", "en")
    _, french = run(sample, "--language", "fr")
    assert "On the day of sale the pieces must average 40 g or more" in english
    assert "Le jour de la vente, les savonnettes doivent peser en moyenne" in french
    assert "36,4\u00a0g" in french and "36.4" not in french
    assert "conforme pour CA en date du 19 juin 2027" in french


def test_the_page_says_its_language_and_is_in_it(sample: Path) -> None:
    _, page = run(sample, "--format", "html", "--language", "fr")
    assert '<html lang="fr">' in page
    assert "Contrôle avant impression" in page
    assert "To put it right" not in page and "Measured" not in page and "required" not in page


def test_codes_and_figures_of_the_object_do_not_change(sample: Path) -> None:
    (_, english), (_, french) = (
        run(sample, "--format", "json", "--language", code) for code in ("en", "fr")
    )
    said = ("message", "remedy", "citation")
    pairs = zip(json.loads(english)["findings"], json.loads(french)["findings"], strict=True)
    for one, other in pairs:
        assert {k: v for k, v in one.items() if k not in said} == {
            k: v for k, v in other.items() if k not in said
        }
        assert one["message"] != other["message"]


def test_the_default_is_the_makers_language_as_in_the_plan(event: Callable[..., Path]) -> None:
    label = event()
    assert "pass for CA" in run(label)[1]  # the label's first language is English
    maker = label.parent / "maker.toml"
    text = maker.read_text("utf-8")
    assert "[plan]\n" in text
    maker.write_text(text.replace("[plan]\n", '[plan]\nlanguage = "fr"\n', 1), "utf-8")
    assert "conforme pour CA" in run(label)[1]


def test_a_label_in_dutch_and_french_is_told_in_french() -> None:
    assert "conforme pour BE" in run(SAMPLES / "mill-kermis" / "label.toml")[1]


def test_a_language_without_words_is_told_in_one_line(sample: Path) -> None:
    with pytest.raises(LabelkitError, match="--language: 'de': expected one of en, fr, the"):
        run(sample, "--language", "de")


@pytest.mark.parametrize("more", [(), ("--format", "json"), ("--format", "html"), ("--timeline",)])
def test_a_label_of_other_languages_says_once_that_its_findings_are_english(
    more: tuple[str, ...], sample: Path
) -> None:
    finnish = SAMPLES / "island-christening" / "label.toml"
    wanted = "In English: there are findings in en, fr, and none in fi, sv\n"
    _, out, err = run_all(finnish, *more)
    assert err == wanted
    assert "there are findings in" not in out
    for asked in ((finnish, "--language", "en"), (sample,), (sample, "--language", "fr")):
        assert run_all(*asked, *more)[2] == ""


def test_what_has_no_french_is_told_with_its_regions() -> None:
    # Canada's rows are all there in French, those of the United States and Australia are not.
    border, ball = (SAMPLES / name / "label.toml" for name in (
        "border-anniversary", "shearing-ball"))  # fmt: skip
    told = "Partly in English: some rules of {} have no words in fr\n"
    assert run_all(border, "--language", "fr")[2] == told.format("US")
    assert run_all(ball, "--language", "fr")[2] == told.format("AU")
    assert run_all(border, "--language", "en")[2] == ""
    _, out, err = run_all(border, "--language", "fr", "--region", "CA")
    assert (err, "(en anglais)" in out) == ("", False)


@pytest.mark.long
def test_a_label_that_does_not_fit_is_told_in_french(event: Callable[..., Path]) -> None:
    code, text = run(event(('trim = "44 x 28 mm"', 'trim = "20 x 12 mm"')), "--language", "fr")
    assert code == 1
    assert "LABELKIT-FIT" in text
    assert "un format fini plus grand" in text
    assert "(en anglais)" not in text


# -- the timeline ----------------------------------------------------------------------------------


def test_the_timeline_says_which_rules_change(event: Callable[..., Path]) -> None:
    # CR s. 21.4 in force on 2026-04-12 (SOR/2024-63); the day of the added names is from memory.
    label = event()
    _, text = run(label, "--timeline", "--on", "2026-04-01", "--language", "en")
    lines = text.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("April 12, 2026  fail"))
    # The list as it may be the day before names no allergen; from then on it must.
    assert lines[start].endswith("CA-ALLERGENS")
    assert lines[start + 1].startswith("    starts: CA-ALLERGENS (FAIL) Linalool makes up ")
    later = next(i for i, line in enumerate(lines) if line.startswith("August 1, 2026"))
    assert "starts: CA-ALLERGENS-ADDED" in lines[later + 1]


def test_the_timeline_in_french_and_for_programs(event: Callable[..., Path]) -> None:
    label = event()
    _, french = run(label, "--timeline", "--on", "2026-04-01", "--language", "fr")
    assert "entre en vigueur\u202f: CA-ALLERGENS (REFUS) Linalool représente " in french
    assert "entre en vigueur\u202f: CA-ALLERGENS-ADDED, sans rien constater" in french
    _, data = run(label, "--timeline", "--on", "2026-04-01", "--format", "json")
    days = {day["on"]: day for day in json.loads(data)}
    assert days["2026-04-01"]["changes"] == []
    (change,) = days["2026-04-12"]["changes"]
    assert (change["turn"], change["rule"]) == ("starts", "CA-ALLERGENS")
    assert change["finding"]["level"] == "fail"
