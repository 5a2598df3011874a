"""Lists of designs, stock and materials in French: nothing of the tables stays English."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from command import labelkit

from labelkit.cli.voice import find_language
from labelkit.formula import load_materials
from labelkit.job.layout_sheet import list_layouts
from labelkit.job.prepare import prepare_job
from labelkit.order.label import Trim, describe_trim
from labelkit.order.stock import list_stocks
from labelkit.report.catalogues import load_catalogue
from labelkit.report.layout_sheet import LayoutTrial
from labelkit.report.speech import Speech

WORDS = load_catalogue("fr")
FRENCH = Speech("fr", "fr_CA")


@pytest.fixture
def french(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """A French computer, in a folder without a maker's file."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LC_ALL", "fr_CA.UTF-8")
    find_language.cache_clear()
    yield
    find_language.cache_clear()


def lacking(kind: str, texts: set[str]) -> set[str]:
    """Texts with words in them that have no French."""
    assert texts
    worded = {text for text in texts if re.search(r"[a-z]{2}", text)}
    return {text for text in worded if (kind, text) not in WORDS}


def test_every_text_of_these_tables_has_french() -> None:
    layouts, stocks, materials = list_layouts(), list_stocks(), [*load_materials()]
    assert lacking("", {layout.about for layout in layouts}) == set()
    assert lacking("stock", {stock.title for stock in stocks}) == set()
    assert lacking("stock material", {stock.material for stock in stocks}) == set()
    assert lacking("stock note", {stock.note for stock in stocks if stock.note}) == set()
    assert lacking("material note", {row.note for row in materials if row.note}) == set()
    assert lacking("material source", {row.source for row in materials if row.water.high}) == set()


def test_the_figures_of_materials_are_the_same() -> None:
    """A figure that was mistyped in one language would be wrong in it."""
    for (kind, english), french in WORDS.items():
        if kind in ("material note", "material source"):
            told = french.replace("C20–C22 insaponifiable", "")
            plain = [re.findall(r"\d+(?:[.,]\d+)?", text) for text in (english, told)]
            assert len(plain[0]) == len(plain[1]), english
            same = [number.replace(",", ".") for number in plain[1]]
            assert sorted(same) == sorted(plain[0]), english


@pytest.mark.usefixtures("french")
def test_the_lists_are_french() -> None:
    layouts = labelkit("layouts").stdout
    assert [layout.name for layout in list_layouts() if layout.about in layouts] == []
    for stock in list_stocks():
        shown = labelkit("stock", "show", stock.name).stdout
        assert stock.title not in shown
        assert not stock.note or stock.note not in shown
        assert not re.search(r"\b(paper|clear|the|your|sheets?)\b", shown)
    shown = labelkit("materials", "milk").stdout + labelkit("materials", "clay").stdout
    assert "water" not in shown
    assert "supplier" not in shown


def test_a_design_that_is_tried_is_judged_in_french(sample: Path) -> None:
    job = prepare_job(sample)
    trial = LayoutTrial(job, (), Trim(30.5, 19.4))
    assert FRENCH(trial.verdict) == "conforme à ce format"
    assert FRENCH(trial.smallest_text) == "plus petit\u202f: 30,5 × 19,4\u00a0mm"
    assert str(trial.smallest_text) == "smallest 30.5 x 19.4 mm"
    assert FRENCH(trial.trim_text) == "44 × 28\u00a0mm, rectangle aux coins arrondis"
    assert str(describe_trim(Trim(44.04, 28))) == "44 x 28 mm"
