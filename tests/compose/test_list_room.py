"""Whether a list that was moved off the label would fit it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import labelkit.compose.job
from labelkit.job.examine import examine_label
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.report.findings import load_finding_words
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
BIG = ('trim = "44 x 28 mm"', 'trim = "60 x 45 mm"')
SMALL = ('trim = "44 x 28 mm"', 'trim = "44 x 20 mm"')


def on(place: str, more: str = "") -> tuple[str, str]:
    return ("[plan]\n", f'[back]\ningredients_on = "{place}"\n{more}\n[plan]\n')


WEBSITE = on("website", 'ingredients_url = "estran.example/hay"')


def rooms(findings: Any) -> list[Finding]:
    return [f for f in findings if f.rule.endswith("-LIST-ROOM")]


def room(label: Path, *regions: str) -> list[Finding]:
    return rooms(preflight_job(prepare_job(label, regions)).findings)


@pytest.mark.parametrize("place", ["tag", "card"])
def test_a_list_that_fits_the_back_is_not_let_off_it(event: Event, place: str) -> None:
    """CR s. 21.5(1): where the package is too small for a clearly legible label."""
    (finding,) = room(event(BIG, on(place)), "CA")
    assert finding.level is Level.WARN
    assert (finding.rule, finding.panel, finding.required) == ("CA-LIST-ROOM", place, "back")
    assert "fits the back of this label in letters" in finding.message
    assert finding.provenance == "read"


def test_on_a_website_as_well(event: Event) -> None:
    assert [f.rule for f in room(event(BIG, WEBSITE), "CA")] == ["CA-LIST-ROOM"]


def test_the_height_told_is_that_of_the_list_once_it_stands_there(event: Event) -> None:
    (finding,) = room(event(BIG, on("tag")), "CA")
    back = prepare_job(event(('ingredients_on = "tag"', "")), ["CA"]).panels[1]
    heights = [run.letters.small_o_mm or 0 for run in back.runs if run.element == "ingredients"]
    assert f"letters {round(min(heights), 2):g} mm tall" in finding.message


def test_a_list_that_does_not_fit_may_move(event: Event) -> None:
    assert room(event(SMALL, on("tag", '[tag]\ntrim = "60 x 45 mm"\n')), "CA") == []


@pytest.mark.parametrize(
    ("region", "rules"),
    [
        ("CA-QC", ["CA-LIST-ROOM"]),
        ("US", ["US-LIST-ROOM"]),
        ("IE", ["EU-LIST-ROOM"]),
        ("GB", ["GB-LIST-ROOM"]),
        ("AU", ["AU-LIST-ROOM"]),
        ("NZ", []),
    ],
)
def test_every_region_with_such_a_condition_is_asked(
    event: Event, region: str, rules: list[str]
) -> None:
    assert [f.rule for f in room(event(BIG, on("tag")), region)] == rules


@pytest.mark.parametrize(
    ("changes", "region", "panels"),
    [
        ((BIG, on("tag")), "CA", 4),
        ((BIG, WEBSITE), "CA", 3),
        ((BIG, on("tag")), "NZ", 3),  # a tag is taken as part of the label there
        ((BIG, WEBSITE), "US", 2),  # 21 CFR 701.3(r) goes by how it is sold
        ((BIG,), "CA", 2),
    ],
)
def test_it_takes_one_panel_more_and_only_where_it_is_asked(
    event: Event,
    monkeypatch: pytest.MonkeyPatch,
    changes: tuple[tuple[str, str], ...],
    region: str,
    panels: int,
) -> None:
    composed: list[str] = []
    real = labelkit.compose.job.fit_panel_once

    def counting(name: str, *arguments: Any, **more: Any) -> Any:
        composed.append(name)
        return real(name, *arguments, **more)

    monkeypatch.setattr(labelkit.compose.job, "fit_panel_once", counting)
    preflight_job(prepare_job(event(*changes), [region]))
    assert len(composed) == panels


def test_a_finished_pdf_is_asked_too(event: Event, tmp_path: Path) -> None:
    label = event(BIG, on("tag"), ("guests = 60", "guests = 2"))
    make_sheets_of_file(label, tmp_path / "sheets")
    pdfs = [tmp_path / "sheets" / f"{name}.pdf" for name in ("front", "back", "tag")]
    examined = examine_label(label, pdfs=pdfs)
    assert [f.rule for f in rooms(examined.report.findings)] == ["CA-LIST-ROOM"]
    first = examined.timeline()[0]
    assert [f.rule for f in rooms(first.findings)] == ["CA-LIST-ROOM"]


def test_french_says_it_too(event: Event) -> None:
    (finding,) = room(event(BIG, on("tag")), "CA-QC")
    words = load_finding_words(["CA-QC"], "fr").of(finding)
    assert words.message.startswith("La liste des ingrédients tient au dos de cette étiquette")
    assert "(en anglais)" not in words.message + words.remedy
