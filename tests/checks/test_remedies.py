"""Ways out of a label that does not fit: each that is told does, applied, gain what it says."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from click.testing import CliRunner

from labelkit.cli import cli
from labelkit.common import resources
from labelkit.common.errors import NoRoomError
from labelkit.common.messages import FactList
from labelkit.compose.job import Job
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.rules.findings import Level

Event = Callable[..., Path]
LAYOUTS = resources.find_layouts_folder()
TRIMS = [Trim(30, 17), Trim(38.1, 14), Trim(24, 14), Trim(23, 23, "round")]


def on(job: Job, trim: Trim) -> Job:
    return job.with_order(spec=replace(job.spec, trim=trim))


def ways_of(job: Job) -> tuple[str, Sequence[str]]:
    """The first panel that does not fit and the ways out, as the preflight tells them."""
    found, *_ = [f for f in preflight_job(job).findings if f.rule == "LABELKIT-FIT"]
    assert isinstance(found.remedy, FactList)
    return found.panel, found.remedy.parts


def fits(job: Job) -> bool:
    report = preflight_job(job)
    return report.verdict == "pass" and "LABELKIT-FIT" not in {f.rule for f in report.findings}


def lacking_mm(job: Job, panel: str) -> float:
    """How much too tall a panel is; zero where it fits."""
    try:
        job.panel_on(panel, job.spec.trim)
    except NoRoomError as error:
        return error.over_mm
    return 0.0


def with_tables(text: str, tables: Sequence[str]) -> str:
    """A label spec with tables put to its end."""
    assert not any(table.splitlines()[0] in text for table in tables)
    return "\n\n".join([text, *tables]) + "\n"


@pytest.mark.parametrize("trim", TRIMS, ids=lambda t: f"{t.shape} {t.width_mm:g}x{t.height_mm:g}")
@pytest.mark.quick(1)
def test_every_way_out_gains_what_it_says(event: Event, trim: Trim) -> None:
    label = event()
    before = label.read_text(encoding="utf-8")
    job = on(prepare_job(label), trim)
    panel, ways = ways_of(job)
    lacking = lacking_mm(job, panel)
    assert lacking > 0
    assert ways
    for way in ways:
        if larger := re.fullmatch(r"a larger trim, ([\d.]+) mm (wider|higher|more each way)", way):
            wide = float(larger[1]) * (larger[2] != "higher")
            high = float(larger[1]) * (larger[2] != "wider")
            grown = replace(trim, width_mm=trim.width_mm + wide, height_mm=trim.height_mm + high)
            assert fits(on(job, grown))
            continue
        if other := re.fullmatch(r"another layout: (.*)", way):
            for name in re.split(r", | or ", other[1]):
                assert fits(job.with_order(layout=read_layout(LAYOUTS / f"{name}.toml")))
            continue
        # What stands in brackets is what to write; it is read from a file like the maker's.
        table, key = re.findall(r'\(\[(\w+)\] (\w+ = (?:\["[\w-]+"\]|"\w+"))\)', way)[0]
        tables = [f"[{table}]\n{key}"]
        if "ingredients_on" in key:
            tables.append("[" + re.findall(r'"(\w+)"', key)[0] + ']\ntrim = "105 x 74 mm"')
        label.write_text(with_tables(before, tables), encoding="utf-8")
        changed = on(prepare_job(label), trim)
        left = lacking_mm(changed, panel)
        if gains := re.search(r"gains ([\d.]+) mm of the ([\d.]+) mm that lack", way):
            assert lacking - left >= float(gains[1]) - 1e-6 > 0
            assert left > 0
        else:
            assert left == 0
            assert ("then it fits" in way) == fits(changed)


def test_what_does_not_help_is_not_told(event: Event) -> None:
    panel, ways = ways_of(on(prepare_job(event()), Trim(38.1, 14)))
    assert panel == "back"
    # The lot stands beside the contact and takes no line of its own; the front's words are not
    # what lacks room.
    assert not any("[front]" in way or '"lot"' in way for way in ways)


@pytest.mark.parametrize("percent", ["3", "4", "5"])
@pytest.mark.quick(1)
def test_a_smaller_superfat_is_no_way_out(event: Event, percent: str) -> None:
    """Every oil of the pot leaves some of itself unsaponified (the lye meets them all alike), so
    that no name falls out of the list: it is not offered."""
    job = prepare_job(event())
    superfat = job.recipe.superfat
    assert superfat is not None and superfat.percent is not None
    assert superfat.percent > Decimal(percent)
    less = replace(job.recipe, superfat=replace(superfat, percent=Decimal(percent)))
    assert set(job.with_order(recipe=less).declaration.names) == set(job.declaration.names)
    _, ways = ways_of(on(job, TRIMS[0]))
    assert not [way for way in ways if "superfat" in way]


def test_a_larger_trim_than_the_face_of_the_piece_is_no_way_out(event: Event) -> None:
    """A label is no larger than what it is stuck on."""
    job = prepare_job(event(('package_face = "60 x 45 mm"', 'package_face = "31 x 18 mm"')))
    _, ways = ways_of(on(job, Trim(30, 17)))
    assert not any("a larger trim" in way for way in ways)


@pytest.mark.long
def test_fit_tells_the_same_of_a_stock(event: Event) -> None:
    label = event()
    (label.parent / "own.toml").write_text(
        'labelkit = 1\ntitle = "Own"\nkind = "die"\npage = "8.5 x 11 in"\nacross = 3\ndown = 4\n'
        'die = "30 x 17 mm"\nshape = "rectangle"\ngap = "5 x 5 mm"\nunprintable = "4.5 mm"\n',
        encoding="utf-8",
    )
    text = CliRunner().invoke(cli, ["fit", str(label), "--stock", "own.toml"]).output
    assert "does not fit on this stock" in text
    assert "then it fits" in text
    assert "a larger trim" not in text  # its labels are cut already


def test_findings_with_ways_out_fail(event: Event) -> None:
    report = preflight_job(on(prepare_job(event()), Trim(30, 17)))
    levels = {f.level for f in report.findings if f.rule == "LABELKIT-FIT"}
    assert levels == {Level.FAIL}
