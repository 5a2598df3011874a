"""Every sample event passes its preflight and prints, and its sheets read back as composed."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.job.examine import examine_label
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.pdf.read import read_panels

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*/label.toml"))
LOOKED_AT = {"bayside-vows", "border-anniversary"}
"""With names and pieces beside the label, and without: whose printed labels are all looked at, dot
by dot, in every run; those of the others are in the long one, which takes seconds for each."""


@pytest.mark.parametrize("label", SAMPLES, ids=lambda p: p.parent.name)
def test_it_passes_and_prints_every_label_once(label: Path, tmp_path: Path) -> None:
    made = make_sheets_of_file(label, tmp_path)
    failing = [f"{f.rule}: {f.message}" for f in made.report.findings if f.level == "fail"]
    assert failing == []
    assert examine_label(label).report.verdict == "pass"
    job = prepare_job(label)
    for file in made.files:
        read = read_panels(file)
        count = job.print_run(read.panels[0].panel.name).count
        assert sorted(place.label for place in read.panels) == list(range(count))
        assert all(font.embedded for font in read.fonts)


@pytest.mark.parametrize(
    "label",
    [
        pytest.param(path, marks=[] if path.parent.name in LOOKED_AT else pytest.mark.long)
        for path in SAMPLES
    ],
    ids=lambda p: p.parent.name,
)
def test_its_finished_sheets_pass(label: Path, tmp_path: Path) -> None:
    made = make_sheets_of_file(label, tmp_path)
    assert examine_label(label, pdfs=made.files).report.verdict == "pass"
