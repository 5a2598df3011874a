"""Display text is not hyphenated: an event's names are read at a glance, or not at all.

That headlines and other display lines are left unhyphenated is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from contact_sheet import EVENTS, LAYOUTS, TRIMS, event_job

from labelkit.common.errors import FitError
from labelkit.common.quantity import PT_PER_MM
from labelkit.common.resources import find_layouts_folder
from labelkit.compose import compose_panel
from labelkit.compose.element_words import Wording, make_panel_wordings
from labelkit.compose.job import Job
from labelkit.compose.ladder import tighten_layout
from labelkit.compose.parts import Hyphenation
from labelkit.model.runs import SOFT_HYPHEN
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.typeset.shape import shape_text

NARROW_TRIMS = {
    "arch": Trim(34, 44, "arch"),
    "round": Trim(38, 38, "round"),
    "oval": Trim(40, 28, "oval"),
    "rounded": Trim(36, 28, "rounded", 2),
}
"""Smaller than the layouts are drawn for: where words first become too long for their lines."""


def hyphenated(job: Job, trim: Trim) -> list[tuple[str, str, str]]:
    """Element, text and face of the front's runs that end in a hyphen which the words have not."""
    words = make_panel_wordings(job.spec, job.declaration, "front")
    try:
        panel = compose_panel("front", job.layout, words, job.floors, trim).panel
    except FitError:
        return []
    return [(r.element, r.text, r.face) for r in panel.runs if r.text.endswith(SOFT_HYPHEN)]


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> list[Job]:
    """One of each invented event, to be laid out anew."""
    return [
        event_job("lantern", language, "rounded", tmp_path_factory.mktemp("event"))
        for language in EVENTS
    ]


@pytest.fixture(scope="module")
def trims(tmp_path_factory: pytest.TempPathFactory) -> list[Trim]:
    """Those that the layouts are drawn for."""
    folder = tmp_path_factory.mktemp("trims")
    return [event_job("lantern", "en", outline, folder).spec.trim for outline in TRIMS]


def laid_out(job: Job, layout: str) -> Job:
    return job.with_order(layout=read_layout(find_layouts_folder() / f"{layout}.toml"))


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.quick(2)
def test_display_text_stays_whole_in_every_language_and_shape(
    layout: str, jobs: list[Job], trims: list[Trim]
) -> None:
    for job in jobs:
        for trim in trims:
            assert not hyphenated(laid_out(job, layout), trim), (job.spec.languages, trim)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("outline", NARROW_TRIMS)
@pytest.mark.quick(6)
def test_display_text_stays_whole_on_narrow_trims(
    layout: str, outline: str, jobs: list[Job]
) -> None:
    for job in jobs:
        assert not hyphenated(laid_out(job, layout), NARROW_TRIMS[outline]), job.spec.languages


def test_a_name_wider_than_the_label_is_broken_as_a_last_resort(tmp_path: Path) -> None:
    job = event_job("lantern", "en", "rounded", tmp_path)
    words = make_panel_wordings(job.spec, job.declaration, "front")
    name = "Thunderstormcelebrationanniversarythunderstormcelebration"
    words = {**words, "names": (Wording("en", name),)}
    trim = NARROW_TRIMS["rounded"]
    panel = compose_panel("front", job.layout, words, job.floors, trim)
    runs = [run for run in panel.panel.runs if run.element == "names"]
    assert "".join(run.text.rstrip(SOFT_HYPHEN) for run in runs) == name
    assert len(runs) > 1
    # It could not have stayed whole: even at the least size of the tightest step it is wider than
    # the trim has room.
    plan = job.layout.panel("front")
    least = tighten_layout(plan, job.layout, job.layout.steps[-1], 0.0).sizes["names"].least_pt
    face = panel.faces[runs[0].face]
    room = trim.width_mm - 2 * panel.panel.safe_mm
    assert least < plan.sizes["names"].least_pt
    assert shape_text(face, name).width_em * least / PT_PER_MM > room


def test_lists_and_addresses_may_be_broken_and_display_text_may_not(tmp_path: Path) -> None:
    job = event_job("lantern", "en", "rounded", tmp_path)
    blocks = [*job.layout.panel("front").blocks, *job.layout.panel("back").blocks]
    breakable = {block.element for block in blocks if Hyphenation.LONG_TEXT.within(block)}
    assert not {"names", "scent", "identity", "thanks", "date", "place", "brand"} & breakable
    assert {"ingredients", "dealer", "contact", "directions"} <= breakable
