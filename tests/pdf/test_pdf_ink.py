"""What a finished PDF shows is judged by its ink, whatever operators made it.

Two corpora: altered files, of which each fails for what was altered, and files that were only saved
or turned otherwise, of which none fails.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from altered_pdfs import ALTERATIONS, HARMLESS, Target, save
from PIL import Image
from sample_copies import copy_sample

from labelkit.compose.job import Job
from labelkit.job.ink import FinishedPdf, InkVerdict, judge_ink
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import Box
from labelkit.pdf.ink import PageLook, compare_ink, find_seen_runs, render_page_ink
from labelkit.pdf.read import read_page_settings, read_panel_bytes

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
MM = 72 / 25.4
QUICK = ("lighthouse-supper", "front", "net-quantity")
TARGETS = (
    QUICK,
    ("lighthouse-supper", "back", "ingredients"),
    ("border-anniversary", "front", "identity"),
    ("border-anniversary", "back", "origin"),
    ("island-christening", "front", "net-quantity"),
    ("island-christening", "back", "contact"),
)
"""A sample, one of its panels, and the element that is altered."""


def list_cases(kinds: Iterable[str]) -> list[Any]:
    """Every kind on two of the targets, each pair in turn; a handful of one for the quick tests."""
    cases = []
    for number, kind in enumerate(kinds):
        for target in (TARGETS[number % 6], TARGETS[(number + 3) % 6]):
            quick = target == QUICK and number % 18 == 0
            marks = () if quick else (pytest.mark.long,)
            cases.append(pytest.param(target, kind, marks=marks, id=f"{' '.join(target)}-{kind}"))
    return cases


@pytest.fixture(scope="session")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], tuple[Job, Path]]:
    @cache
    def make(sample: str) -> tuple[Job, Path]:
        # Some have files in common.
        folder = copy_sample(SAMPLES, tmp_path_factory.mktemp("ink") / "samples") / sample
        label = folder / "label.toml"
        few = re.sub(r"(?m)^(guests|spares) = .*", r"\1 = 1", label.read_text(encoding="utf-8"))
        label.write_text(few, encoding="utf-8")
        make_sheets_of_file(label, folder)
        return prepare_job(label), folder

    return make


@pytest.fixture
def target(request: pytest.FixtureRequest, sheets: Callable[[str], tuple[Job, Path]]) -> Target:
    sample, panel, element = request.param
    job, folder = sheets(sample)
    with pikepdf.open(folder / f"{panel}.pdf") as pdf:
        del pdf.pages[1:]
        data = save(pdf)
    place = read_panel_bytes(data, "t.pdf").panels[0]
    # The element's first line: those of a list may stand in several languages.
    ink = next(run.ink for run in place.panel.runs if run.element == element)
    a, b, c, d = ((1, 0, 0, 1), (0, 1, -1, 0), (-1, 0, 0, -1), (0, -1, 1, 0))[place.turns]
    width, height = place.panel.width_mm, place.panel.height_mm
    dx, dy = ((0, 0), (height, 0), (width, height), (0, width))[place.turns]
    matrix = f"{a} {b} {c} {d} {(place.x_mm + dx) * MM:.4f} {(place.y_mm + dy) * MM:.4f} cm"
    points = Box(*(v * MM for v in (ink.x0_mm, ink.y0_mm, ink.x1_mm, ink.y1_mm)))
    return Target(job, data, element, points, matrix)


def judge(target: Target, data: bytes) -> InkVerdict:
    panels = read_panel_bytes(data, "t.pdf").panels
    assert panels
    return judge_ink(target.job, [FinishedPdf("t.pdf", data, panels)])


@pytest.mark.parametrize(("target", "kind"), list_cases(ALTERATIONS), indirect=["target"])
def test_ink_that_was_altered_fails_for_its_reason(target: Target, kind: str) -> None:
    alteration = ALTERATIONS[kind]
    verdict = judge(target, alteration.make(target))
    assert all(f.level == "fail" and f.rule == "LABELKIT-INK" for f in verdict.findings)
    assert verdict.pictures
    told = {
        "missing" if "lacks" in f.message or "is missing" in f.message else "extra"
        for f in verdict.findings
        if alteration.beside or f.element == target.element
    }
    assert told >= alteration.kinds, [f.message for f in verdict.findings]


@pytest.mark.parametrize(("target", "kind"), list_cases(HARMLESS), indirect=["target"])
def test_a_file_that_shows_the_same_passes(target: Target, kind: str) -> None:
    assert judge(target, HARMLESS[kind](target)).findings == ()


@pytest.mark.parametrize("target", [QUICK], indirect=True, ids=["lighthouse-supper"])
def test_only_pictures_of_a_page_that_is_not_as_drawn_leave_the_child(
    target: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They are large: carrying them would take longer than comparing."""
    looks: list[PageLook] = []

    def note(_: str, task: Callable[..., object], *given: object) -> object:
        answer = task(*given)
        if isinstance(answer, PageLook):
            looks.append(answer)
        return answer

    monkeypatch.setattr("labelkit.job.ink.run_confined", note)
    assert judge(target, target.data).findings == ()
    altered = next(iter(ALTERATIONS.values()))
    assert judge(target, altered.make(target)).findings
    assert [bool(look.ink.pieces) for look in looks] == [False, True]


@pytest.mark.quick(1)
@pytest.mark.parametrize("target", [QUICK], indirect=True, ids=["lighthouse-supper"])
@pytest.mark.parametrize("kind", [*ALTERATIONS, *HARMLESS])
def test_a_part_of_a_page_shows_what_the_whole_page_shows_there(target: Target, kind: str) -> None:
    """Only where labels stand is rendered: what lies there is the same, but for rounding."""
    data = ALTERATIONS[kind].make(target) if kind in ALTERATIONS else HARMLESS[kind](target)
    unit = read_page_settings(data, "t.pdf")[0].unit
    boxes = []
    for place in read_panel_bytes(data, "t.pdf").panels:
        width, height = place.panel.width_mm, place.panel.height_mm
        if place.turned:
            width, height = height, width
        boxes.append(Box(place.x_mm, place.y_mm, place.x_mm + width, place.y_mm + height))
    whole = render_page_ink(data, 0, unit)
    for box in boxes:
        part = render_page_ink(data, 0, unit, (box,))
        assert sum(len(piece.bands[0]) for piece in part.pieces) < len(whole.pieces[0].bands[0])
        wanted, shown = whole.cut_out(box, 0), part.cut_out(box, 0)
        inside = Image.new("L", wanted[0].size, 255)
        assert compare_ink(wanted, shown, inside) is None


@pytest.mark.parametrize("spot", [(4, 4), (195, 4), (4, 115), (195, 115), (90, 60)])
def test_ink_is_compared_alike_wherever_else_it_differs(spot: tuple[int, int]) -> None:
    """Only what is near to dots that differ is compared: specks in the corners ask for it all."""
    wanted = Image.frombytes("L", (200, 120), random.Random(7).randbytes(200 * 120))
    there = wanted.copy()
    there.paste(0, (spot[0] - 3, spot[1] - 2, spot[0] + 3, spot[1] + 4))
    inside = Image.new("L", wanted.size, 255)
    corners = ((0, 0), (199, 0), (0, 119), (199, 119))
    found = []
    for grey in (100, 101):  # too little to be seen
        for corner in corners:
            wanted.putpixel(corner, 100)
            there.putpixel(corner, grey)
        found.append(compare_ink([wanted], [there], inside))
    near, whole = found
    assert near is not None
    assert whole is not None
    assert near.extra.tobytes() == whole.extra.tobytes()
    assert near.missing.tobytes() == whole.missing.tobytes()


def test_the_corpora_are_as_large_as_they_should_be() -> None:
    assert len(ALTERATIONS) >= 30
    assert len(list_cases(ALTERATIONS)) >= 120
    assert len(list_cases(HARMLESS)) >= 60
    assert len({sample for sample, _, _ in TARGETS}) == 3


def test_only_what_of_a_text_is_on_the_label_is_looked_at() -> None:
    """A damaged file may say that a text is a million kilometres long."""
    panel = prepare_job(SAMPLES / "lighthouse-supper" / "label.toml").composed[0].panel
    near = next(run for run in panel.runs if run.element == "scent")
    endless = replace(near, ink=Box(near.ink.x0_mm, near.ink.y0_mm, 1e12, near.ink.y1_mm))
    dark, light = Image.new("L", (440, 280), 0), Image.new("L", (440, 280), 255)
    striped = Image.new("L", (440, 280), 255)
    for x in range(0, 440, 4):
        striped.paste(dark.crop((0, 0, 2, 280)), (x, 0))
    assert find_seen_runs([striped], replace(panel, runs=(endless,))) == (0,)
    for plain in (dark, light):
        assert find_seen_runs([plain], replace(panel, runs=(endless,))) == ()
