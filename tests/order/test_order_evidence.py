"""[[evidence]]: what the maker can prove, from her files to the findings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.label import read_label
from labelkit.report.findings import format_findings_text
from labelkit.rules import Level
from labelkit.rules.findings import Finding

Event = Callable[..., Path]
CLAIM = '[front]\nclaim = { en = "Not tested on animals", fr = "Non testé sur les animaux" }\n'
KEPT = '[[evidence]]\nclaim = "Not tested on animals"\nwhat = "letters of four suppliers"\n'
DATED = KEPT + "date = 2026-03-02\n"


def of_animals(label: Path) -> list[Finding]:
    report = preflight_job(prepare_job(label))
    return [f for f in report.findings if f.rule == "CA-CLAIM-ANIMALS"]


def with_claim(event: Event, more: str = "", maker: str = "") -> Path:
    label = event(("[plan]\n", f"{CLAIM}{more}[plan]\n"), ('trim = "44 x 28 mm"',
                  'trim = "70 x 60 mm"'))  # fmt: skip
    own = label.parent / "maker.toml"
    own.write_text(own.read_text("utf-8") + maker, "utf-8")
    return label


def test_a_claim_without_evidence_is_warned_of_with_the_lines_to_write(event: Event) -> None:
    found = of_animals(with_claim(event))
    assert [f.level for f in found] == [Level.WARN, Level.WARN]
    assert "[[evidence]] with claim = 'Not tested on animals'" in found[0].remedy


@pytest.mark.parametrize("place", ["more", "maker"])
def test_evidence_in_either_file_makes_the_claim_a_note_that_names_it(
    event: Event, place: str
) -> None:
    label = with_claim(event, **{place: f'{DATED}file = "letters.txt"\n'})
    (label.parent / "letters.txt").write_text("none of it was", "utf-8")
    found = of_animals(label)
    assert [f.level for f in found] == [Level.NOTE, Level.NOTE]
    told = format_findings_text(preflight_job(prepare_job(label)))
    assert (
        "“Not tested on animals” on the front rests on: letters of four suppliers (letters.txt),"
        " March 2, 2026." in told
    )
    assert "“Non testé sur les animaux” on the front rests on:" in told
    french = format_findings_text(preflight_job(prepare_job(label)), language="fr")
    assert "repose sur" in french and "2 mars 2026" in french


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        (KEPT, "label.toml: evidence[1].date: missing; expected a date such as 2027-06-19"),
        ('[[evidence]]\nclaim = "vegan"\ndate = 2026-03-02\n', "evidence[1].what: missing;"),
        (f'{DATED}file = "letters.pdf"\n', "evidence[1].file: 'letters.pdf': no such file;"),
        (f'{DATED}proof = "x"\n', "evidence[1].proof: unknown key"),
        (DATED.replace("[[evidence]]", "[evidence]"), "write [[evidence]] with two brackets"),
    ],
)
def test_a_slip_in_the_evidence_is_told_in_one_line(event: Event, entry: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read_label(with_claim(event, entry))
    assert message in str(caught.value).replace("\n", " ")
