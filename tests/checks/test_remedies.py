"""Ways out of a label that does not fit: each that is told does, applied, gain what it says."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from click.testing import CliRunner

from labelkit.checks.remedies import (
    _list_straight_sides,
    _try_changes,
    _try_larger_trims,
    list_lasting_failures,
)
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
    found = [f for f in preflight_job(job).findings if f.rule == "LABELKIT-FIT"]
    assert {f.level for f in found} == {Level.FAIL}
    assert isinstance(found[0].remedy, FactList)
    return found[0].panel, found[0].remedy.parts


def fits(job: Job) -> bool:
    report = preflight_job(job, with_ways_out=False)
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


def check_gain(way: str, lacking: float, left: float, changed: Job) -> None:
    if gains := re.search(r"gains ([\d.]+) mm of the ([\d.]+) mm that lack", way):
        assert lacking - left >= float(gains[1]) - 1e-6 > 0
        assert left > 0
    else:
        assert left == 0
        assert ("then it fits" in way) == fits(changed)


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
        table, key = re.findall(
            r'\(\[(\w+)\] (\w+ = (?:\["[\w-]+"(?:, "[\w-]+")*\]|"\w+"))\)', way
        )[0]
        if table == "label":
            assert key == 'shape = "square"'
            tried = on(job, replace(trim, shape="square"))
            check_gain(way, lacking, lacking_mm(tried, panel), tried)
            continue
        tables = [f"[{table}]\n{key}"]
        if "ingredients_on" in key:
            tables.append("[" + re.findall(r'"(\w+)"', key)[0] + ']\ntrim = "105 x 74 mm"')
        label.write_text(with_tables(before, tables), encoding="utf-8")
        changed = on(prepare_job(label), trim)
        check_gain(way, lacking, lacking_mm(changed, panel), changed)


@pytest.mark.long
def test_what_does_not_help_is_not_told(event: Event) -> None:
    panel, ways = ways_of(on(prepare_job(event()), Trim(38.1, 14)))
    assert panel == "back"
    # The lot stands beside the contact and takes no line of its own; the front's words are not
    # what lacks room.
    assert not any("[front]" in way or '"lot"' in way for way in ways)


@pytest.mark.parametrize("percent", ["3", "4", "5"])
@pytest.mark.long
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


TOGETHER = "leave out together"


def changes_told(job: Job) -> tuple[str, list[str]]:
    """The first panel that does not fit, and what of its label could be changed."""
    for name in job.panel_names:
        try:
            job.panel_on(name, job.spec.trim)
        except NoRoomError as error:
            always = frozenset(found.rule for found in list_lasting_failures(job))
            return name, [str(way) for way in _try_changes(job, error, always)]
    raise AssertionError("it fits")


def test_words_that_help_only_together_are_told_so(event: Event) -> None:
    label = event()
    before = label.read_text(encoding="utf-8")
    trim = Trim(40, 9)
    job = on(prepare_job(label), trim)
    panel, ways = changes_told(job)
    (way,) = [way for way in ways if way.startswith(TOGETHER)]
    assert way.endswith(f": then the {panel} fits")
    keys = re.findall(r'"([\w-]+)"', way)
    assert len(keys) >= 2
    # Each of them alone is told with the part that it gains; none does without the others.
    for key in keys:
        (alone,) = [w for w in ways if f'leave_out = ["{key}"]' in w]
        assert "gains" in alone
        others = ", ".join(f'"{other}"' for other in keys if other != key)
        label.write_text(with_tables(before, [f"[{panel}]\nleave_out = [{others}]"]), "utf-8")
        assert lacking_mm(on(prepare_job(label), trim), panel) > 0
    said = ", ".join(f'"{key}"' for key in keys)
    label.write_text(with_tables(before, [f"[{panel}]\nleave_out = [{said}]"]), encoding="utf-8")
    assert lacking_mm(on(prepare_job(label), trim), panel) == 0


def test_straight_sides_are_a_way_out_only_where_labels_are_cut_to_size(event: Event) -> None:
    """A square is a fifth larger than the circle in it: 1 - pi / 4."""
    trim = Trim(24, 24, "round")
    job = on(prepare_job(event()), trim)
    _, ways = changes_told(job)
    assert any('shape = "square"' in way for way in ways)
    stock = replace(job.stock, kind="die", die_width_mm=24.0, die_height_mm=24.0)
    assert stock.ready_cut
    changes = list(_list_straight_sides(job.with_order(stock=stock), "back"))
    assert changes == []
    assert not list(_list_straight_sides(on(job, Trim(30, 17)), "back"))


def test_an_address_in_its_other_case_would_gain_nothing(event: Event) -> None:
    """The composer tries capitals and mixed case itself, so that neither is a way out."""
    job = on(prepare_job(event()), Trim(30, 17))
    lacking = lacking_mm(job, "back")
    back = job.layout.panels["back"]
    for setting in ("as-written", "capitals"):
        blocks = tuple(
            replace(b, settings=(setting,)) if b.element == "dealer" else b for b in back.blocks
        )
        only = {**job.layout.panels, "back": replace(back, blocks=blocks)}
        forced = job.with_order(layout=replace(job.layout, panels=only))
        assert lacking_mm(forced, "back") >= lacking - 1e-6


def test_guests_names_left_out_are_told_with_what_they_gain(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.txt"'))
    (label.parent / "guests.txt").write_text("Mira Solberg\nJo Ash\n", encoding="utf-8")
    job = on(prepare_job(label), Trim(44, 11))
    panel, ways = changes_told(job)
    assert panel == "front"
    (way,) = [way for way in ways if "guests' names" in way]
    lacking = lacking_mm(job, "front")
    spec = job.spec
    without = job.with_order(spec=replace(spec, event=replace(spec.event, guest_names=())))
    left = lacking_mm(without, "front")
    assert left < lacking
    assert ("the front fits" in way or "it fits" in way) == (left == 0)


def test_a_larger_trim_than_the_face_of_the_piece_is_no_way_out(event: Event) -> None:
    """A label is no larger than what it is stuck on."""
    label = event(('package_face = "60 x 45 mm"', 'package_face = "31 x 18 mm"'))
    job = on(prepare_job(label), Trim(30, 17))
    with pytest.raises(NoRoomError) as refused:
        job.panel_on("back", job.spec.trim)
    always = frozenset(found.rule for found in list_lasting_failures(job))
    assert not [*_try_larger_trims(job, refused.value.panel, always)]


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
