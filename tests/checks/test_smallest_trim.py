"""The smallest legal trim: legal itself, nothing smaller legal, and told with what decides it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from labelkit.checks.smallest_trim import (
    STEP_MM,
    find_smallest_trim,
    find_smallest_trims,
    find_stock_problem,
    is_legal_trim,
)
from labelkit.cli import cli
from labelkit.common.errors import FitError
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.order.label import Trim
from labelkit.order.stock import find_stock
from labelkit.rules.findings import Finding

Event = Callable[..., Path]


def written(trim: Trim) -> str:
    return f'trim = "{trim.width_mm} x {trim.height_mm} mm"'


@pytest.mark.usefixtures("no_ways_out")
def test_the_smallest_trim_prints_and_one_a_step_smaller_is_refused(
    event: Event, tmp_path: Path
) -> None:
    job = prepare_job(event(("guests = 60", "guests = 3")))
    found = find_smallest_trim(job)
    assert found is not None
    own = job.spec.trim
    assert found.width_mm < own.width_mm  # the sample leaves a little room
    shape = found.width_mm / found.height_mm
    assert shape == pytest.approx(own.width_mm / own.height_mm, abs=0.01)
    # Judged by the whole way to a printed sheet, not by the search's own measure.
    label = event(('trim = "44 x 28 mm"', written(found)))
    made = make_sheets_of_file(label, tmp_path / "out")
    assert made.report.verdict == "pass"
    assert made.files
    share = 1 - 2 * STEP_MM / found.width_mm
    smaller = Trim(
        round(found.width_mm * share, 2), round(found.height_mm * share, 2), "rounded", 2
    )
    label = event((written(found), written(smaller)))
    assert make_sheets_of_file(label, tmp_path / "less").report.verdict == "fail"


@pytest.mark.long
def test_the_smallest_readable_trim_has_no_letter_under_the_advice(event: Event) -> None:
    """Regulation (EU) No 1169/2011, Art. 13(3): 0.9 mm on small packages; borrowed as advice."""
    job = prepare_job(event())
    found = find_smallest_trims(job)
    assert found.trim is not None and found.readable is not None
    assert not found.always
    assert found.readable.width_mm > found.trim.width_mm

    def least_mm(trim: Trim) -> float:
        runs = [run for name in ("front", "back") for run in job.panel_on(name, trim).panel.runs]
        heights = [
            run.letters.capital_mm if run.text == run.text.upper() else run.letters.small_o_mm
            for run in runs
            if re.search(r"[^\W\d_]", run.text)
        ]
        return min(height for height in heights if height is not None)

    assert least_mm(found.readable) >= 0.9
    assert least_mm(found.trim) < 0.9


@pytest.mark.long
def test_the_lowest_trim_keeps_its_width(event: Event) -> None:
    job = prepare_job(event())
    found = find_smallest_trims(job)
    assert found.lowest is not None
    assert found.lowest.width_mm == job.spec.trim.width_mm
    assert is_legal_trim(job, found.lowest)
    assert not is_legal_trim(job, replace(found.lowest, height_mm=found.lowest.height_mm - 0.3))


@pytest.mark.long
def test_the_address_decides_and_moving_the_list_helps(event: Event) -> None:
    found = find_smallest_trims(prepare_job(event()))
    # CPLR s. 15: the dealer's name and address are 1.6 mm tall; no law says so of the list.
    assert (found.panel, found.element) == ("back", "dealer")
    assert found.trim is not None
    assert found.without is not None
    assert found.without.width_mm < found.trim.width_mm
    assert all(way.trim.width_mm < found.trim.width_mm for way in found.ways)
    assert any("ingredients_on" in way.what for way in found.ways)


@pytest.mark.long
def test_what_fails_at_any_size_is_told_apart(event: Event) -> None:
    # CPLR s. 6(2) wants both languages (from memory): no size of label makes up for one.
    label = event(('identity = { en = "Soap", fr = "Savon" }', 'identity = { en = "Soap" }'))
    found = find_smallest_trims(prepare_job(label))
    assert "CA-IDENTITY-PRESENT" in {finding.rule for finding in found.always}
    assert found.trim is not None


def test_a_die_too_small_is_refused_and_a_plain_sheet_never(
    event: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("labelkit.checks.smallest_trim.try_ways_out", lambda *_: ())
    job = prepare_job(event())
    die = replace(find_stock("letter-3x10-66x25", Path()), die_width_mm=30.0, die_height_mm=18.0)
    assert isinstance(find_stock_problem(job, die), FitError)
    assert find_stock_problem(job, replace(die, die_width_mm=44.0, die_height_mm=28.0)) is None
    assert find_stock_problem(job, find_stock("letter-plain", Path())) is None


@pytest.mark.long
def test_the_command_says_it_all(sample: Path) -> None:
    run = CliRunner().invoke(cli, ["fit", str(sample)], standalone_mode=False)
    assert run.return_value == 0
    for words in ("Smallest trim in these proportions", "Smallest height", "What decides it"):
        assert words in run.output


@pytest.mark.long
def test_the_command_says_what_a_stock_would_take(sample: Path) -> None:
    run = CliRunner().invoke(cli, ["fit", str(sample), "--stock", "letter-3x10-66x25"])
    assert "can be legal on this stock: " in run.output


def said(*arguments: object) -> str:
    return CliRunner().invoke(cli, ["fit", *map(str, arguments)]).output


@pytest.mark.parametrize("layout", ["lantern", "bayleaf", "ledger"])
@pytest.mark.parametrize(
    ("stock", "words"),
    [
        ("a4-4x6-round-40", "A4, 24 round labels of 40 mm"),
        ("letter-4x8-44x28", "Letter, 32 labels of 44 x 28 mm, rounded"),
        ("a4-plain", "The label, cut to 44 x 28 mm, "),
        ("roll-62", "The label, cut to 44 x 28 mm, "),
    ],
)
def test_what_is_said_of_a_stock_is_said_once(
    sample: Path, layout: str, stock: str, words: str
) -> None:
    text = said(sample, "--layout", layout, "--stock", stock)
    first = text.splitlines()[0]
    assert words in first
    sizes = re.findall(r"[\d.]+ x [\d.]+ mm", first)
    assert len(sizes) == len(set(sizes))
    assert first.count("label") <= 2  # "The label", and the labels of the stock
    for line in text.splitlines():
        assert not re.search(r"\b(\w+) \1\b", line), line


def test_a_plain_sheet_too_small_for_the_label_is_refused(event: Event) -> None:
    label = event(('trim = "44 x 28 mm"', 'trim = "160 x 120 mm"'))
    text = said(label, "--stock", "small-100x150-plain")
    assert text.startswith("The label, cut to 160 x 120 mm, does not fit on this stock: ")
    assert "is larger than the page of 100 x 150 mm" in text
    assert "  What would help:\n    a smaller trim\n" in text


@pytest.mark.long
def test_places_for_the_list_that_allow_the_same_trim_are_told_once(sample: Path) -> None:
    ways = [way for way in find_smallest_trims(prepare_job(sample)).ways if way.place]
    assert len({way.trim for way in ways}) == len(ways)
    assert "on a tag or card (" in ways[0].what


LONG = "Maximiliana Wilhelmina Featherstonehaugh of Anse-aux-Brumes"


def with_guests(event: Event, *more: tuple[str, str]) -> Path:
    label = event(("guests = 60", 'guest_list = "guests.csv"'), *more)
    (label.parent / "guests.csv").write_text(f"name\nAda\n{LONG}\nOle\n", encoding="utf-8")
    return label


def at(label: Path, trim: Trim) -> Finding | None:
    """What preflight says of the fit of the same label on a trim."""
    job = prepare_job(label)
    job = job.with_order(spec=replace(job.spec, trim=trim))
    return next((f for f in preflight_job(job).findings if f.rule == "LABELKIT-FIT"), None)


@pytest.mark.long
def test_the_smallest_trim_holds_the_longest_guests_name_and_the_tag(event: Event) -> None:
    label = with_guests(event)
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[back]\ningredients_on = "tag"\n')
    found = find_smallest_trims(prepare_job(label))
    assert found.trim is not None
    assert (found.panel, found.element, found.guest) == ("front", "guest", LONG)
    assert at(label, found.trim) is None
    share = 1 - 3 * STEP_MM / found.trim.width_mm
    smaller = replace(
        found.trim, width_mm=found.trim.width_mm * share, height_mm=found.trim.height_mm * share
    )
    refused = at(label, smaller)
    assert refused is not None
    assert LONG in refused.message
    assert any("guest_list" in way.what for way in found.ways)
    text = said(label)
    assert f'What decides it: the name of the guest "{LONG}" on the front' in text
    assert "The tag is printed on the same trim, and was tried with it." in text


@pytest.mark.long
def test_a_tag_with_a_trim_of_its_own_keeps_it(event: Event) -> None:
    label = with_guests(event)
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[back]\ningredients_on = "tag"\n')
    as_the_label = find_smallest_trims(prepare_job(label)).trim
    with label.open("a", encoding="utf-8") as stream:
        stream.write('\n[tag]\ntrim = "60 x 40 mm"\n')
    apart = find_smallest_trims(prepare_job(label)).trim
    assert as_the_label is not None
    assert apart is not None
    assert apart.width_mm <= as_the_label.width_mm
    assert "The tag keeps the trim of its own: 60 x 40 mm." in said(label)
    tiny = event(('trim = "60 x 40 mm"', 'trim = "12 x 9 mm"'))
    with pytest.raises(FitError) as refused:
        find_smallest_trims(prepare_job(tiny))
    assert refused.value.panel == "tag"


def test_a_stock_whose_labels_a_guests_name_does_not_fit_is_refused(event: Event) -> None:
    plain = find_stock("letter-plain", Path())
    job = prepare_job(with_guests(event))
    narrow = job.with_order(spec=replace(job.spec, trim=Trim(40.0, 40.0, "rounded", 2.0)))
    alone = replace(narrow.spec, event=replace(narrow.spec.event, guest_names=("Ada",)))
    refused = find_stock_problem(narrow, plain)
    assert isinstance(refused, FitError)
    assert LONG in refused.reason
    assert not isinstance(find_stock_problem(narrow.with_order(spec=alone), plain), FitError)
