"""``labelkit rules``: what is printed and how it ends."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from labelkit.cli import cli, main
from labelkit.rules import load_rules


def run(*arguments: str) -> str:
    result = CliRunner().invoke(cli, ["rules", *arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_the_list_counts_by_provenance() -> None:
    lines = run("--region", "CA").splitlines()
    rules = load_rules(["CA"])
    known = ("read", "told", "memory", "advice")
    counts = {p: sum(rule.provenance == p for rule in rules) for p in known}
    assert lines[-1] == (
        f"{len(rules)} rules: {counts['read']} read, {counts['told']} told by authorities,"
        f" {counts['memory']} from memory, {counts['advice']} labelkit's own"
    )
    assert len(lines) == len(rules) + 1


def test_the_list_can_be_filtered() -> None:
    entries = json.loads(run("--region", "FI", "--element", "net-quantity", "--format", "json"))
    assert entries
    assert {entry["element"] for entry in entries} == {"net-quantity"}
    assert {entry["region"] for entry in entries} == {"EU"}
    memory = json.loads(run("--region", "GB", "--provenance", "memory", "--format", "json"))
    assert {entry["provenance"] for entry in memory} == {"memory"}
    assert "fail" not in {entry["level"] for entry in memory}


def test_a_rule_explains_itself() -> None:
    page = run("show", "ca-quantity-figure-height")
    for words in ("CPLR s. 14(2)", "What it asks", "Why", "Passes", "Fails", "Put right"):
        assert words in page
    assert "read at its source" in page
    assert "told by an authority" in run("show", "GB-BATCH")
    assert "from memory" in run("show", "GB-LANGUAGE")
    assert "Way out" in run("show", "CONFLICT-FRAGRANCE-WORD")


def test_a_rule_explains_itself_in_french_and_says_what_its_law_is_called() -> None:
    page = run("show", "CA-QUANTITY-FIGURE-HEIGHT", "--language", "fr")
    for words in ("Demande\u202f:", "1,6", "REEPC art. 14(2) (lu à la source)", "refus"):
        assert words in page
    assert "REEPC\u202f: Règlement sur l’emballage et l’étiquetage des produits" in page
    assert "CPLR: Consumer Packaging and Labelling Regulations" in run(
        "show", "CA-QUANTITY-FIGURE-HEIGHT"
    )
    assert "Food and Drugs Act" not in run("show", "US-LIST-FRAGRANCE")
    assert run("--region", "CA", "--language", "fr").splitlines()[-1].endswith("à labelkit")


def test_regions_whose_rules_are_only_english_are_told_on_standard_error() -> None:
    def told(*arguments: str) -> tuple[str, str]:
        result = CliRunner().invoke(cli, ["rules", *arguments], catch_exceptions=False)
        return result.stdout, result.stderr

    line = "Partly in English: some rules of AU have no words in fr\n"
    for asked in (("--region", "AU"), ("show", "AU-LANGUAGE")):
        out, err = told(*asked, "--language", "fr")
        assert err == line
        assert "(en anglais)" in out
        assert told(*asked)[1] == ""
    assert told("--region", "CA", "--language", "fr")[1] == ""


def test_stale_rows_are_listed_as_of_a_day() -> None:
    assert "GB-ALLERGENS" in run("--stale", "2027-06-01")
    assert run("--stale", "2027-05-31").startswith("0 rules")


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (("show", "CA-QUANTITY-FIGURE-HIGHT"), "did you mean CA-QUANTITY-FIGURE-HEIGHT"),
        (("show", "zzzz"), "see labelkit rules"),
        (("--region", "XX"), "unknown region"),
        (("--stale", "soon"), "expected a day"),
    ],
)
def test_what_cannot_be_used_is_one_line_and_exit_code_2(
    arguments: tuple[str, ...], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["rules", *arguments])
    assert ended.value.code == 2
    shown = capsys.readouterr().err
    assert line in shown
    assert shown.count("\n") == 1
