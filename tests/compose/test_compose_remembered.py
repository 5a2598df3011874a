"""A panel that is remembered is the panel that would be composed anew from the whole layout."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from labelkit.common.errors import FitError
from labelkit.common.resources import find_layouts_folder
from labelkit.compose import job as job_module
from labelkit.compose.drawing import ComposedPanel, FittedPanel
from labelkit.compose.element_words import Wordings
from labelkit.compose.ornament.made import draw_ornaments
from labelkit.compose.panel import fit_panel, fit_panel_text, leave_room_for_plants
from labelkit.job.prepare import job_from_order
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, read_layout
from labelkit.order.order import Order, read_order
from labelkit.rules import Floors

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
LAYOUTS = sorted(path.stem for path in find_layouts_folder().glob("*.toml"))
FEW = {"hedgerow", "lantern", LAYOUTS[0]}


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=[] if n in FEW else [pytest.mark.long]) for n in LAYOUTS]
)
def test_a_remembered_panel_is_the_one_of_the_whole_layout(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = read_order(SAMPLES / "orchard-wedding" / "label.toml")
    layout = read_layout(find_layouts_folder() / f"{name}.toml")
    order = replace(order, layout=layout, spec=replace(order.spec, trim=_enlarge(order)))
    once = job_from_order(order).results
    monkeypatch.setattr(job_module, "fit_panel_once", fit_panel)
    anew = job_from_order(order).results
    for panel, found in anew.items():
        remembered = once[panel]
        assert isinstance(found, ComposedPanel) and isinstance(remembered, ComposedPanel)
        assert remembered.panel == found.panel


def _enlarge(order: Order) -> Trim:
    return replace(order.spec.trim, width_mm=60.0, height_mm=45.0)


def test_another_name_leaves_a_back_without_it_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    order = read_order(SAMPLES / "lighthouse-supper" / "label.toml")
    before = job_from_order(order).results
    composed: list[str] = []

    def count(name: str, *given: Any, **more: Any) -> FittedPanel:
        composed.append(name)
        return fit_panel(name, *given, **more)

    monkeypatch.setattr("labelkit.compose.remembered.fit_panel", count)
    event = replace(order.spec.event, names={"en": "The Harbour", "fr": "Le Port"})
    after = job_from_order(replace(order, spec=replace(order.spec, event=event))).results
    assert composed == ["front"]
    assert after["back"] is before["back"]


@pytest.mark.parametrize("name", ["bayleaf", "hedgerow", "meadow"])
@pytest.mark.quick(2)
def test_a_plant_of_any_width_leaves_the_text_as_it_is(name: str) -> None:
    order = read_order(SAMPLES / "orchard-wedding" / "label.toml")
    layout = read_layout(find_layouts_folder() / f"{name}.toml")
    job = job_from_order(replace(order, layout=layout))
    trims = (Trim(50, 32), Trim(38.1, 25.4), Trim(24, 40), Trim(55, 55, "round"))
    roomy = 0
    for trim, seed, side in product(trims, range(3), ("front", "back")):
        words = job.words_on(side)
        drawn = draw_ornaments(layout, words, seed)
        bare = leave_room_for_plants(side, layout, drawn, words, job.floors, trim)
        roomy += bare != drawn
        whole = _describe_text(side, drawn, words, job.floors, trim)
        assert _describe_text(side, bare, words, job.floors, trim) == whole
    assert roomy


def _describe_text(
    side: str, layout: Layout, words: Wordings, floors: Floors, trim: Trim
) -> tuple[object, ...]:
    """The runs, how they were fitted, and where art goes; or why nothing fits."""
    inks = ("#000000", "#204020")
    try:
        step = fit_panel_text(side, layout, words, floors, trim, inks, None, (), (), True)
    except FitError as error:
        return (str(error),)
    return step.text.runs, step.fit, step.text.art, step.text.guest
