"""What an order is printed on: each check has an order it is silent on and one it speaks of."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from labelkit.checks.stock import check_stock
from labelkit.cli import cli
from labelkit.common.paper import find_paper, find_usual_paper
from labelkit.job.prepare import prepare_job
from labelkit.order.printer import format_printers, read_printers
from labelkit.pdf.write.calibration import CalibrationMeasures, make_profile
from labelkit.report.findings import load_finding_words
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/label.toml"))


def found(label: Path) -> dict[str, Finding]:
    job = prepare_job(label)
    stocks = [job.print_run(panel).stock for panel in job.panel_names]
    return {finding.rule: finding for finding in check_stock(job.spec, stocks, job.order.printers)}


def labelkit(*arguments: str | Path) -> tuple[int, str]:
    """The exit code and all that is printed, on both streams."""
    done = CliRunner().invoke(cli, [*map(str, arguments)], standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return int(done.return_value or 0), done.output


def french(finding: Finding) -> str:
    return load_finding_words(("CA",), "fr").message(finding)


@pytest.mark.parametrize("label", SAMPLES, ids=lambda path: path.parent.name)
def test_the_samples_are_silent(label: Path) -> None:
    assert found(label) == {}


# -- paper -----------------------------------------------------------------------------------------


def from_country(event: Event, country: str, stock: str) -> Path:
    event(('country = "CA"', f'country = "{country}"'), file="maker.toml")
    return event(("[label]\n", f'[label]\nstock = "{stock}"\n'), ("guests = 60", "guests = 2"))


# Which country has which paper: Unicode CLDR, paperSize (from memory).
@pytest.mark.parametrize(
    ("country", "stock", "told"),
    [
        ("CA", "a4-plain", "“a4-plain” are A4, and where the soap is made paper is Letter"),
        ("US", "a4-3x8-70x37", "“a4-3x8-70x37” are A4, and where the soap is made paper is Letter"),
        ("MX", "a4-plain", "are A4, and where the soap is made paper is Letter"),
        ("FI", "letter-plain", "“letter-plain” are Letter, and where the soap is made paper is A4"),
        ("GB-NIR", "letter-3x10-66x25", "are Letter, and where the soap is made paper is A4"),
        ("AU", "letter-plain", "are Letter, and where the soap is made paper is A4"),
        ("NZ", "letter-plain", "are Letter, and where the soap is made paper is A4"),
        ("CA", "letter-plain", ""),
        ("MX", "letter-plain", ""),
        ("BE", "a4-plain", ""),
        ("CA", "roll-62", ""),
        ("FI", "roll-102x152", ""),
        ("FI", "small-4x6in-plain", ""),
        ("CA", "small-100x150-plain", ""),
    ],
)
def test_paper_of_another_part_of_the_world_is_told(
    event: Event, country: str, stock: str, told: str
) -> None:
    finding = found(from_country(event, country, stock)).get("CRAFT-PAPER")
    assert (finding is not None) == bool(told)
    if finding is not None:
        assert finding.level is Level.WARN
        assert told in finding.message
        assert "format" in french(finding)


def test_preflight_and_sheet_each_tell_the_paper_once(event: Event, tmp_path: Path) -> None:
    label = from_country(event, "CA", "a4-plain")
    for command in (["preflight", label], ["sheet", label, "--out", tmp_path / "out"]):
        code, told = labelkit(*command)
        assert code == 0
        assert told.count("The sheets of the stock “a4-plain” are A4, and where the soap is") == 1


@pytest.mark.parametrize(
    ("page", "paper"),
    [
        ((210, 297), "a4"),  # ISO 216
        ((297, 210), "a4"),
        ((215.9, 279.4), "letter"),  # 8.5 x 11 in
        ((216, 279), "letter"),  # as a ruler measures it
        ((215.9, 355.6), ""),
        ((62, 0), ""),
    ],
)
def test_pages_are_known_by_their_size(page: tuple[float, float], paper: str) -> None:
    assert find_paper(*page) == paper


def test_regions_of_a_country_have_its_paper() -> None:
    assert [find_usual_paper(code) for code in ("CA-QC", "US", "GB-NIR", "EU")] == [
        "letter", "letter", "a4", "a4",
    ]  # fmt: skip


# -- clear stock -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stock", "told"),
    [
        ("letter-plain", "the stock “letter-plain” is paper"),
        ("letter-plain-kraft", "the stock “letter-plain-kraft” is kraft"),
        ("letter-plain-clear", ""),
        ("letter-3x10-66x25", ""),  # ready-cut labels of this size are sold clear as well
    ],
)
def test_clear_labels_of_stock_that_is_not_are_told(event: Event, stock: str, told: str) -> None:
    label = event(("[label]\n", f'[label]\nstock = "{stock}"\nclear = true\n'))
    finding = found(label).get("CRAFT-CLEAR")
    assert (finding is not None) == bool(told)
    if finding is not None:
        assert "label.clear says that the labels are see-through, and " + told in finding.message
        assert "papier" in french(finding)


@pytest.mark.parametrize(
    ("material", "told"),
    [("paper", True), ("card", True), ("fabric", True), ("film", False), ("", False)],
)
def test_a_stock_file_of_ones_own_says_what_it_is_made_of(
    event: Event, material: str, told: bool
) -> None:
    label = event(("[label]\n", '[label]\nstock = "mine.toml"\nclear = true\n'))
    said = f'material = "{material}"\n' if material else ""
    (label.parent / "mine.toml").write_text(
        f'labelkit = 1\ntitle = "Mine"\nkind = "plain"\npage = "8.5 x 11 in"\n{said}', "utf-8"
    )
    assert ("CRAFT-CLEAR" in found(label)) == told


# -- calibration -----------------------------------------------------------------------------------

TRUE = {
    "letter": CalibrationMeasures(170.2, 230, 20.5, 20),
    "a4": CalibrationMeasures(170.2, 250, 20.5, 20),
}
"""What a ruler says of a printer that prints half a millimetre to the right (by hand)."""


def measured_on(event: Event, page: str, stock: str, default: bool = True) -> Path:
    """An event on a stock, and a printer measured on some paper."""
    label = from_country(event, "CA", stock)
    if default:
        event(("[defaults]\n", '[defaults]\nprinter = "back room"\n'), file="maker.toml")
    text = format_printers([make_profile("back room", page, TRUE[page])])
    (label.parent / "printers.toml").write_text(text, "utf-8")
    return label


@pytest.mark.parametrize(
    ("page", "stock", "told"),
    [
        ("letter", "letter-plain", ""),
        ("a4", "a4-plain", ""),
        ("letter", "a4-plain", "“back room” was measured on Letter, and these sheets are A4"),
        ("a4", "letter-plain", "“back room” was measured on A4, and these sheets are Letter"),
        ("letter", "small-4x6in-plain", "was measured on Letter, and these sheets are 101.6 mm"),
    ],
)
def test_a_calibration_on_other_paper_is_told(
    event: Event, page: str, stock: str, told: str
) -> None:
    finding = found(measured_on(event, page, stock)).get("CRAFT-PRINTER-PAPER")
    assert (finding is not None) == bool(told)
    if finding is not None:
        assert finding.level is Level.WARN
        assert told in finding.message
        assert "a été mesurée sur du papier au format" in french(finding)


@pytest.mark.parametrize(
    ("default", "options", "times"),
    [
        (True, [], 1),
        (False, [], 0),
        (False, ["--printer", "back room"], 1),
        (True, ["--no-printer"], 0),
        (True, ["--one-per-page"], 0),
    ],
)
def test_the_sheet_tells_it_of_the_printer_it_is_corrected_for(
    event: Event, tmp_path: Path, default: bool, options: list[str], times: int
) -> None:
    label = measured_on(event, "a4", "letter-plain", default)
    code, told = labelkit("sheet", label, "--out", tmp_path / "out", *options)
    assert code == 0
    assert told.count("was measured on A4, and these sheets are Letter") == times


def test_printing_a_finished_sheet_tells_it_too(event: Event, tmp_path: Path) -> None:
    label = measured_on(event, "a4", "letter-plain", default=False)
    labelkit("sheet", label, "--out", tmp_path)
    given = ["--printer", "back room", "--maker", label.parent / "maker.toml"]
    _, told = labelkit("print", tmp_path / "front.pdf", *given, "--out", tmp_path / "true.pdf")
    assert told.count("back room was measured on A4, and these pages are Letter;") == 1


def test_a_printer_measured_by_an_earlier_labelkit_is_read_in_silence(event: Event) -> None:
    label = measured_on(event, "a4", "letter-plain")
    path = label.parent / "printers.toml"
    assert [printer.page for printer in read_printers(path)] == ["a4"]
    path.write_text(path.read_text("utf-8").replace('page = "a4"\n', ""), "utf-8")
    assert [printer.page for printer in read_printers(path)] == [""]
    assert found(label) == {}
