"""``labelkit layouts``: an order in every design, a design at every size, and one of your own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path

import pytest
from command import labelkit
from page_text import measure_reach, read_pages
from PIL import Image

from labelkit.job.layout_sheet import SPECIMEN_TRIMS
from labelkit.order.layout import read_layout
from labelkit.pdf.read import read_panels

Event = Callable[..., Path]
ROOT = Path(__file__).resolve().parents[2]
SHIPPED = sorted(path.stem for path in (ROOT / "layouts").glob("*.toml"))
MM_PER_PT = Decimal("25.4") / 72


def test_the_list_has_a_line_for_every_design() -> None:
    lines = labelkit("layouts").stdout.splitlines()
    assert [line.split()[0] for line in lines] == SHIPPED
    for line in lines:
        assert line.endswith(read_layout(ROOT / "layouts" / f"{line.split()[0]}.toml").about)


@pytest.mark.parametrize("designs", ["few", pytest.param("all", marks=pytest.mark.long)])
def test_an_order_is_shown_in_every_design(
    designs: str, event: Event, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    there = request.getfixturevalue("few_designs") if designs == "few" else SHIPPED
    label = event()
    (label.parent / "mine.toml").write_text(
        'labelkit = 1\nextends = "ledger"\ntitle = "Our own"\n', encoding="utf-8"
    )
    out = tmp_path / "all.pdf"
    done = labelkit("layouts", "show", label, "--out", out, "--quick")
    assert done.returncode == 0
    *lines, written = done.stdout.splitlines()
    assert written == str(out)
    assert [line.split()[0] for line in lines] == [*there, "mine"]
    legal = [line for line in lines if line.endswith("legal on this trim")]
    assert len(legal) >= 0.8 * len(lines)
    (text,) = read_pages(out)
    for name in there:
        assert read_layout(ROOT / "layouts" / f"{name}.toml").title in text
    assert "Our own" in text
    assert "Le Souper du phare" in text


@pytest.mark.parametrize("name", ["hedgerow", "spine"])
@pytest.mark.quick(1)
def test_a_specimen_shows_a_design_at_every_shape_it_claims(
    name: str, event: Event, tmp_path: Path
) -> None:
    label = event(('layout = "lantern"', f'layout = "{name}"'))
    out = tmp_path / "specimen.pdf"
    done = labelkit("layouts", "specimen", label, "--out", out)
    assert done.returncode == 0
    *lines, written = done.stdout.splitlines()
    assert written == str(out)
    layout = read_layout(ROOT / "layouts" / f"{name}.toml")
    wanted = [trim for trim in SPECIMEN_TRIMS if trim.shape in layout.shapes]
    assert {trim.shape for trim in wanted} == set(layout.shapes)
    assert [line.split(": ")[0] for line in lines] == [
        f"{trim.width_mm:g} x {trim.height_mm:g} mm, {trim.shape}" for trim in wanted
    ]
    (page,) = measure_reach(out)
    (text,) = read_pages(out)
    for line in lines:
        assert line.split(": ")[0] in text
        assert line.split(": ")[1] in text
    # Each label is there at its true size, front and back, with the order's words.
    fitting = sum("does not fit" not in line for line in lines)
    assert fitting == len(lines)
    found = read_panels(out).panels
    assert len(found) == 0  # a specimen is no sheet: nothing on it counts as a printed label
    assert text.count("Anse-aux-Brumes NB") + text.count("ANSE-AUX-BRUMES NB") >= fitting
    height_mm = Decimal(repr(page.height)) * MM_PER_PT
    assert height_mm > sum(Decimal(repr(trim.height_mm)) for trim in wanted)


def test_a_specimen_says_which_sizes_are_too_small(
    event: Event, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Ways out are not shown, and take seconds: none is tried.
    monkeypatch.setattr("labelkit.job.prepare.try_ways_out", pytest.fail)
    label = event(('layout = "lantern"', 'layout = "mine.toml"'))
    own = label.parent / "mine.toml"
    own.write_text(
        'labelkit = 1\nextends = "meadow"\ntitle = "Mine"\nshapes = ["rectangle"]\n'
        '[back.keep_clear]\nleft = "16 mm"\n',
        encoding="utf-8",
    )
    out = tmp_path / "specimen.png"
    done = labelkit("layouts", "specimen", label, "--out", out)
    assert done.returncode == 0
    assert "38.1 x 25.4 mm, rectangle: does not fit this trim: back" in done.stdout
    with Image.open(out) as image:
        assert image.width > 400


def test_a_design_begun_from_another_is_read_and_differs_only_in_its_title(
    event: Event,
) -> None:
    label = event()
    own = label.parent / "our-leaves.toml"
    done = labelkit("layouts", "new", own, "--from", "hedgerow")
    assert done.returncode == 0
    made, base = read_layout(own), read_layout(ROOT / "layouts" / "hedgerow.toml")
    assert made.title == "Our leaves"
    own_design, its_design = asdict(made), asdict(base)
    for key in ("panels", "faces", "ornaments"):
        assert own_design[key] == its_design[key]
    again = labelkit("layouts", "new", own, "--from", "hedgerow")
    assert again.returncode == 2
    assert "is already there" in again.stderr
