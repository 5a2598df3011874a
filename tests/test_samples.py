"""Every sample event passes its preflight and prints, and its sheets read back as composed."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.job.examine import examine_label
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.pdf.read import read_panels

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*/label.toml"))


@pytest.fixture(params=SAMPLES, ids=lambda p: p.parent.name)
def label(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


def test_it_passes_and_prints_every_label_once(label: Path, tmp_path: Path) -> None:
    made = make_sheets_of_file(label, tmp_path)
    failing = [f"{f.rule}: {f.message}" for f in made.report.findings if f.level == "fail"]
    assert failing == []
    job = prepare_job(label)
    for file in made.files:
        read = read_panels(file)
        count = job.print_run(read.panels[0].panel.name).count
        assert sorted(place.label for place in read.panels) == list(range(count))
        assert all(font.embedded for font in read.fonts)
    assert examine_label(label, pdfs=made.files).report.verdict == "pass"
