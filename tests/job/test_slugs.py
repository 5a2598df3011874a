"""What stands beside the labels of a sheet, and what the maker is told of cutting them."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from command import labelkit

from labelkit.checks.cutting import DRIFT_MM, check_cutting, check_frame
from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import Box, Ornament, Panel

Event = Callable[..., Path]


def read_slugs(path: Path, begins: str) -> list[str]:
    """The slug of every page; one a page."""
    pages = [page.extract_text() for page in pypdf.PdfReader(path).pages]
    found = [[line for line in text.splitlines() if line.startswith(begins)] for text in pages]
    assert all(len(lines) == 1 for lines in found)
    return [lines[0] for lines in found]


def test_every_sheet_says_which_it_is(event: Event, tmp_path: Path) -> None:
    """66 labels of 40 on a page are two sheets."""
    label = event()
    code = make_job_code(prepare_job(label))
    made = make_sheets_of_file(label, tmp_path)
    for path in made.files:
        for number, slug in enumerate(read_slugs(path, "Order"), start=1):
            assert slug == (
                f"Order {code} · The Lighthouse Supper · {path.stem} · sheet {number} of 2 · lot"
                " LS-2704 · 19 June 2027 · 100\u00a0%"
            )


def test_a_slug_is_in_the_makers_language(event: Event, tmp_path: Path) -> None:
    label = event(('languages = ["en", "fr"]', 'languages = ["fr", "en"]'))
    made = make_sheets_of_file(label, tmp_path)
    slugs = read_slugs(made.files[1], "Commande")
    assert [re.findall(r"dos · feuille (\d) sur 2 · lot LS-2704 · 19 juin 2027", s) for s in slugs]


def test_a_frame_at_a_cut_by_hand_warns() -> None:
    def framed(gap_mm: float) -> list[str]:
        frame = Ornament("M0 0L1 0", Box(gap_mm, gap_mm, 44 - gap_mm, 28 - gap_mm), stroke_mm=0.1)
        return [finding.rule for finding in check_frame(Panel("front", 44, 28, ornaments=(frame,)))]

    assert framed(DRIFT_MM) == ["CRAFT-FRAME-EDGE"]  # half the stroke nearer
    assert framed(DRIFT_MM + 0.06) == []
    assert framed(-0.5) == []  # art that bleeds


@pytest.mark.parametrize(("stock", "warns"), [("letter-plain", True), ("a4-4x8-44x28", False)])
def test_only_a_cut_by_hand_drifts(event: Event, stock: str, warns: bool) -> None:
    job = prepare_job(event(('layout = "lantern"', f'layout = "lantern"\nstock = "{stock}"')))
    made = job.composed[0]
    frame = Ornament("M0 0L1 0", Box(0.3, 0.3, 43.7, 27.7))
    object.__setattr__(made.panel, "ornaments", (*made.panel.ornaments, frame))
    assert bool([*check_cutting(job)]) == warns


@pytest.mark.parametrize(("grain", "told"), [("long", "up and down"), ("short", "side to side")])
def test_the_grain_is_told_where_the_stock_knows_it(
    event: Event, tmp_path: Path, grain: str, told: str
) -> None:
    """On an upright sheet whose labels lie upright."""
    label = event(('layout = "lantern"', 'layout = "lantern"\nstock = "mine.toml"'))
    (label.parent / "mine.toml").write_text(
        'labelkit = 1\ntitle = "Letter"\nkind = "plain"\npage = "8.5 x 11 in"\n'
        f'unprintable = "4.5 mm"\ngrain = "{grain}"\n',
        encoding="utf-8",
    )
    done = labelkit("sheet", label, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert told in done.stdout
