"""What a refused label is told is true: how much is lacking, whose floor it is, what mends it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from pathlib import Path

import pytest

from labelkit.common import resources
from labelkit.common.errors import FitError
from labelkit.common.messages import round_to_tenths
from labelkit.compose.job import Job
from labelkit.job.prepare import prepare_job
from labelkit.order.layout import TighterStep, read_layout

Event = Callable[..., Path]
LAYOUTS = sorted(resources.find_layouts_folder().glob("*.toml"))
LACKING_MM = (0.01, 0.04, 0.3, 2.0)


def refusal(job: Job, panel: str, height_mm: float) -> str:
    """Why a panel does not fit a label of this height and its own width; "" where it does."""
    try:
        job.panel_on(panel, replace(job.spec.trim, height_mm=height_mm, corner_mm=0.5))
    except FitError as error:
        return str(error)
    return ""


def lowest_mm(job: Job, panel: str) -> float:
    """The least height that holds a panel, to a hundredth, by halving."""
    low, high = 5.0, 80.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if refusal(job, panel, middle) else (low, middle)
    return high


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda path: path.stem)
@pytest.mark.parametrize("panel", ["front", "back"])
@pytest.mark.quick(2)
def test_how_much_is_lacking_is_true_and_so_is_what_mends_it(
    event: Event, layout: Path, panel: str
) -> None:
    job = prepare_job(event()).with_order(layout=read_layout(layout))
    lowest = lowest_mm(job, panel)
    for lacking in LACKING_MM:
        told = refusal(job, panel, lowest - lacking)
        found = re.search(r"the text is (less than )?([\d.]+) mm too tall", told)
        mends = re.search(r"a larger trim, about ([\d.]+) mm higher", told)
        assert found and mends, told
        # Margins take a part of any height: what the text lacks is a little less.
        assert 0 < float(found[2]) <= lacking + 0.1
        assert bool(found[1]) == (lacking < 0.1)
        assert not refusal(job, panel, lowest - lacking + float(mends[1]))
        assert float(mends[1]) <= lacking * 1.3 + 0.1


def test_whose_floor_it_is_is_told(event: Event) -> None:
    """No law says how large the names of a couple must be: only what prints well holds them up."""
    job = prepare_job(event())
    told = refusal(job, "front", lowest_mm(job, "front") - 0.5)
    (held,) = re.findall(r"for (.*) these are the smallest letters that print well", told)
    assert "names" in held
    assert "net-quantity" not in held
    assert "legal" not in told


def test_where_only_the_law_holds_sizes_up_the_law_is_named(event: Event) -> None:
    """21 CFR 701.3(b): letters of the ingredient list are 1/16 inch tall or more."""
    job = prepare_job(event(), ["US"])
    back = job.layout.panel("back")
    smaller = replace(
        back,
        sizes={name: replace(size, least_pt=1.0) for name, size in back.sizes.items()},
        blocks=tuple(block for block in back.blocks if block.element == "ingredients"),
    )
    layout = replace(job.layout, panels={**job.layout.panels, "back": smaller})
    lawful = job.with_order(layout=layout)
    told = refusal(lawful, "back", lowest_mm(lawful, "back") - 0.5)
    assert "at the smallest legal sizes the text is " in told
    assert "print well" not in told


def test_a_line_too_narrow_names_the_layout_where_no_law_asks(event: Event) -> None:
    job = prepare_job(event(('{ en = "The Lighthouse Supper", fr = "Le Souper du phare" }', '"W"')))
    wide = {
        name: replace(s, least_pt=60.0, most_pt=61.0)
        for name, s in job.layout.panel("front").sizes.items()
    }
    front = replace(job.layout.panel("front"), sizes=wide)
    panels = {**job.layout.panels, "front": front}
    layout = replace(job.layout, panels=panels, steps=(TighterStep(9.0, 1.2, 2.0),))
    told = refusal(job.with_order(layout=layout), "front", 300)
    assert "even in the smallest letters that print well, which is no law's floor" in told


@pytest.mark.parametrize(
    ("value", "up", "down"),
    [(12.3, "12.3", "12.3"), (12.3001, "12.4", "12.3"), (0.1, "0.1", "0.1"), (0.0, "0.0", "0.0")],
)
def test_what_is_needed_is_rounded_up_and_what_there_is_down(
    value: float, up: str, down: str
) -> None:
    assert round_to_tenths(value, ROUND_CEILING) == up
    assert round_to_tenths(value, ROUND_FLOOR) == down
    assert Decimal(round_to_tenths(value, ROUND_FLOOR)) <= Decimal(str(value))
