"""What ``import labelkit`` gives: its example runs, and every panel stands for itself."""

from __future__ import annotations

import datetime as dt
import doctest
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import labelkit
from labelkit import rules
from labelkit.job.prepare import prepare_job

ROOT = Path(__file__).resolve().parents[2]
Event = Callable[..., Path]


@pytest.mark.usefixtures("no_ways_out")
def test_the_example_of_its_own_docstring_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    result = doctest.testmod(labelkit)
    assert result.attempted > 8
    assert result.failed == 0


def test_every_name_is_there_and_typed() -> None:
    assert {name for name in labelkit.__all__ if getattr(labelkit, name) is None} == set()
    assert sorted(name for names in labelkit._HOMES.values() for name in names) == sorted(
        labelkit.__all__
    )
    assert (ROOT / "labelkit" / "py.typed").is_file()  # PEP 561
    with pytest.raises(AttributeError, match="has no attribute 'colophon'"):
        _ = labelkit.colophon


def test_nothing_is_imported_before_it_is_asked_for() -> None:
    code = "import sys, labelkit; print([m for m in sys.modules if m.startswith('labelkit')])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "['labelkit']"


@pytest.mark.usefixtures("no_ways_out")
def test_a_panel_that_does_not_fit_takes_nothing_from_the_other(event: Event) -> None:
    whole = labelkit.check(labelkit.read_order(event()))
    order = labelkit.read_order(event(('trim = "44 x 28 mm"', 'trim = "44 x 14 mm"')))
    front, back = labelkit.check(order).panels
    assert front.panel is not None
    assert {run.element for run in front.panel.runs} >= {"identity", "names"}
    assert (back.panel, back.problem is None) == (None, False)
    # What is found on the front is what would be found on it anyway.
    found = {(f.rule, f.element) for f in front.findings}
    assert found >= {
        (f.rule, f.element) for f in whole.panels[0].findings if f.rule.startswith("CRAFT")
    }
    assert "LABELKIT-FIT" in {f.rule for f in back.findings} - {f.rule for f in front.findings}


@pytest.mark.usefixtures("no_ways_out")
def test_of_two_panels_that_do_not_fit_both_are_told(event: Event) -> None:
    order = labelkit.read_order(event(('trim = "44 x 28 mm"', 'trim = "44 x 10 mm"')))
    checked = labelkit.check(order)
    assert [panel.problem is None for panel in checked.panels] == [False, False]
    told = [f.panel for f in checked.report.findings if f.rule == "LABELKIT-FIT"]
    assert told == ["front", "back"]


def test_a_finding_knows_which_runs_it_is_about(event: Event) -> None:
    job = prepare_job(event())
    front, back = job.panels
    tiny = tuple(
        replace(run, letters=replace(run.letters, capital_mm=0.3, small_o_mm=0.2))
        if (run.element, run.language) == ("identity", "fr")
        else run
        for run in front.runs
    )
    report = rules.judge_panels((replace(front, runs=tiny), back), job.facts, job.regions, job.on)
    small = [f for f in report.findings if f.languages == ("fr",)]
    assert small
    for finding in small:
        runs = [front.runs[index] for index in finding.runs_on(front)]
        assert {(run.element, run.language) for run in runs} == {("identity", "fr")}
        assert finding.runs_on(back) == ()


def test_sheets_proof_and_plan_are_made_of_an_order(sample: Path, tmp_path: Path) -> None:
    order = labelkit.read_order(sample)
    assert set(labelkit.make_proof(order).parts) == {"customer", "maker"}
    assert labelkit.make_plan(order, dt.date(2026, 11, 2)).counts.labelled == 66
    made = labelkit.make_sheets(order, tmp_path / "sheets", labelkit.Wish(one_per_page=True))
    assert [path.name for path in made.files] == ["front.pdf", "back.pdf"]
