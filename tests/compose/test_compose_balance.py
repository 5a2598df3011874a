"""Backs of labels as a careful hand would balance them. Common practice, no source."""

from __future__ import annotations

from decimal import Decimal
from itertools import groupby
from pathlib import Path

import pytest

from labelkit.compose import ComposedPanel, compose_panel
from labelkit.compose.element_words import Wording, Wordings
from labelkit.model.outline import Outline
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.rules.floors import ElementFloor, Floors

ROOT = Path(__file__).resolve().parents[2]
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
LIST = (
    "Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Shea Butterate, Sodium Castorate,"
    " Olea Europaea Fruit Oil, Mel, Cocos Nucifera Oil, Avena Sativa Kernel Flour, Linalool, Parfum"
)
FIRM: Wordings = {
    "dealer": (Wording(NEUTRAL, "Pine Row Soapery, 12 Pine Row, Lower Mallow"),),
    "contact": (Wording(NEUTRAL, "hello@pinerow.example"),),
    "lot": (Wording(NEUTRAL, "Lot A-0001"),),
}
HEADING = (Wording("en", "Ingredients"), Wording("fr", "Ingrédients"))
BACK: Wordings = {
    "ingredients-heading": HEADING,
    "ingredients": (Wording(NEUTRAL, LIST),),
    **FIRM,
}


def voids_mm(composed: ComposedPanel) -> tuple[float, float]:
    """From the head of the trim to the first ink, and from the last to the foot."""
    panel = composed.panel
    outline = Outline(panel.shape, panel.width_mm, panel.height_mm, panel.corner_mm)
    # What follows the trim, in the margin, stands in no row.
    marks = [one.box for one in panel.ornaments if outline.contains(one.box, panel.safe_mm - 0.02)]
    ink = [*(run.ink for run in panel.runs), *marks]
    head = composed.panel.height_mm - max(box.y1_mm for box in ink)
    return head, min(box.y0_mm for box in ink)


def lines(composed: ComposedPanel, element: str) -> list[str]:
    """The lines that an element stands on, all that is on them read from the left."""
    shown = [run for run in composed.panel.runs if run.text.strip()]
    shown.sort(key=lambda run: (-round(run.baseline_mm, 2), run.x_mm))
    rows = [list(row) for _, row in groupby(shown, key=lambda run: round(run.baseline_mm, 2))]
    of = [row for row in rows if any(run.element == element for run in row)]
    return ["".join(run.text for run in row).strip() for row in of]


@pytest.mark.parametrize(
    "trim", [Trim(55, 38, "oval"), Trim(47, 47, "round")], ids=lambda t: t.shape
)
@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
@pytest.mark.quick(15)
def test_the_back_of_a_curved_label_hangs_neither_low_nor_high(path: Path, trim: Trim) -> None:
    composed = compose_panel("back", read_layout(path), BACK, Floors(), trim)
    head, foot = voids_mm(composed)
    assert abs(head - foot) < 3.0
    heading = [line.replace("\u202f", "") for line in lines(composed, "ingredients-heading")]
    opened = "Ingredients / Ingrédients:"
    if not heading[0].startswith(f"{opened} Sodium Olivate,"):
        assert heading in ([opened], ["Ingredients", "Ingrédients"])


@pytest.mark.parametrize("shape", ["rounded", "oval"])
@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
@pytest.mark.quick(15)
def test_what_is_left_of_a_back_without_its_list_stands_in_the_middle(
    path: Path, shape: str
) -> None:
    head, foot = voids_mm(
        compose_panel("back", read_layout(path), FIRM, Floors(), Trim(50, 36, shape))
    )
    assert abs(head - foot) < 3.0


ADDRESS = ("Savonnerie Estran", "9,\u00a0ch. du Phare", "Anse-aux-Brumes NB  E0X\u00a00Z9")


def test_an_address_stands_in_the_lines_it_was_typed_in() -> None:
    back: Wordings = {"dealer": (Wording(NEUTRAL, ", ".join(ADDRESS), ADDRESS),)}
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    for width in (36, 44, 60, 80):
        found = lines(compose_panel("back", layout, back, Floors(), Trim(width, 24)), "dealer")
        assert tuple(line.strip() for line in found) == ADDRESS


def test_an_address_runs_on_where_there_is_no_room_for_its_lines() -> None:
    back: Wordings = {"dealer": (Wording(NEUTRAL, ", ".join(ADDRESS), ADDRESS),)}
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    for width, wanted in (
        (80, [", ".join(ADDRESS)]),
        (56, [", ".join(ADDRESS[:2]), ADDRESS[2]]),
        (44, [", ".join(ADDRESS[:2]), ADDRESS[2]]),
    ):
        found = lines(compose_panel("back", layout, back, Floors(), Trim(width, 9)), "dealer")
        assert [line.strip() for line in found] == wanted


@pytest.mark.parametrize("shape", ["rounded", "round", "oval", "arch"])
def test_a_back_on_which_nothing_is_said_stays_empty(shape: str) -> None:
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    size = 40 if shape == "round" else 36
    assert compose_panel("back", layout, {}, Floors(), Trim(40, size, shape)).panel.runs == ()


def test_a_weight_that_the_law_keeps_at_the_foot_stays_there() -> None:
    # 21 CFR 701.13(f): net contents within the bottom 30 per cent of the display panel.
    bound = Floors({"net-quantity": ElementFloor(panel_part=(Decimal(0), Decimal("0.3")))})
    front: Wordings = {
        "identity": (Wording("en", "Soap"),),
        "net-quantity": (Wording(NEUTRAL, "40 g"),),
    }
    for path in LAYOUTS:
        composed = compose_panel("front", read_layout(path), front, bound, Trim(50, 30))
        weight = [run.ink for run in composed.panel.runs if run.element == "net-quantity"]
        assert max(box.y1_mm for box in weight) <= 9.0
