"""The range of designs: how many structures there are, counted from the files, and their inks."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.order.inks import load_inks
from labelkit.order.layout import Block, Layout, OrnamentSpec, PanelLayout, read_layout
from labelkit.rules.kinds.setting import contrast_ratio

LAYOUTS = {p.stem: read_layout(p) for p in sorted(
    (Path(__file__).resolve().parents[2] / "layouts").glob("*.toml")
)}  # fmt: skip
KRAFT = "#c4a57b"
"""Of layouts/stock/letter-plain-kraft.toml."""


def ornament_kind(spec: OrnamentSpec) -> str:
    if spec.growth is not None:
        return spec.growth.kind
    return f"letters {spec.lettering.form} {spec.lettering.band}" if spec.lettering else "drawing"


def structure(layout: Layout, plan: PanelLayout) -> tuple[object, ...]:
    """What stands where on a panel, whatever its face, sizes and ink."""

    def kind(name: str) -> str:
        return ornament_kind(layout.ornaments[name]) if name else ""

    return (
        tuple((b.element, b.part, kind(b.ornament), b.rule, b.zone, b.align) for b in plan.blocks),
        tuple((kind(a.ornament), a.anchor, a.repeat) for a in plan.art),
        tuple(s.kind for s in plan.surrounds),
        tuple((kind(p.ornament), p.area) for p in plan.patterns),
        len(plan.borders),
    )


def find_small_list(layout: Layout) -> Block:
    """The block of the ingredient list on a back of 38.1 x 25.4 mm."""
    blocks = layout.panel("back").blocks
    return next(b for b in blocks if b.element == "ingredients" and b.is_for("rectangle", 25.4))


def test_there_are_twenty_designs_of_many_structures() -> None:
    assert len(LAYOUTS) >= 20
    fronts = {structure(one, one.panel("front")) for one in LAYOUTS.values()}
    backs = {structure(one, one.panel("back")) for one in LAYOUTS.values()}
    assert len(fronts) >= 15
    assert len(backs) >= 6


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_back_has_something_of_its_front(name: str) -> None:
    """A mark, a rule or a line in the accent, the front's own frame, or its face."""
    back = LAYOUTS[name].panel("back")
    shown = [b for b in back.blocks if b.ornament or b.rule or b.face == "names"]
    assert (
        shown
        or back.art
        or back.borders
        or back.surrounds
        or back.patterns
        or (LAYOUTS[name].faces["text"] == LAYOUTS[name].faces[back.blocks[0].face])
    )


@pytest.mark.parametrize("name", LAYOUTS)
def test_the_address_is_not_meant_to_be_louder_than_the_list(name: str) -> None:
    back = LAYOUTS[name].panel("back")
    dealer = next(b for b in back.blocks if b.element == "dealer")
    listed = find_small_list(LAYOUTS[name])
    assert back.sizes[dealer.size].most_pt <= back.sizes[listed.size].most_pt
    # Where a law wants it taller than the list, it is at least no darker.
    faces = LAYOUTS[name].faces
    assert faces[dealer.face].weight <= faces[listed.face].weight


def test_an_address_that_a_law_wants_tall_is_lighter_than_the_list() -> None:
    """But in the one design that is not drawn on the shared backs."""
    lighter = set()
    for name, layout in LAYOUTS.items():
        dealer = next(b for b in layout.panel("back").blocks if b.element == "dealer")
        listed = find_small_list(layout)
        if layout.faces[dealer.face].weight < layout.faces[listed.face].weight:
            lighter.add(name)
    assert set(LAYOUTS) - lighter == {"lantern"}


def test_every_named_ink_is_read_on_white_and_seen_on_kraft() -> None:
    """WCAG 2.2: 4.5 : 1 for text (1.4.3), 3 : 1 for what is no text (1.4.11; from memory)."""
    inks = load_inks()
    assert len(inks) >= 12
    for ink in inks.values():
        if ink.plate_only:  # white, which no printer of a workshop lays (tests/job/test_press.py)
            continue
        assert contrast_ratio(ink.value, "#ffffff") >= Decimal("4.5"), ink.name
    seen = [ink.name for ink in inks.values() if contrast_ratio(ink.value, KRAFT) >= 3]
    # The others are warned of there (tests/checks).
    assert {"pine", "plum", "soot", "bark"} <= set(seen)


@pytest.mark.parametrize("name", LAYOUTS)
def test_each_design_names_inks_that_suit_it(name: str) -> None:
    assert len(LAYOUTS[name].inks) >= 4
