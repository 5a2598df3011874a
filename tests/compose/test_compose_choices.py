"""The choices for a group of rows against setting it every way in every size in turn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import product
from pathlib import Path

import pytest
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import costs
from labelkit.compose.arrangements import Arrangements
from labelkit.compose.choices import Choices, gather_picks
from labelkit.compose.element_words import Wording, Wordings
from labelkit.compose.options import Options
from labelkit.compose.parts import Arrangement, BlockRow, SetBlock
from labelkit.compose.room import Room, TextArea
from labelkit.model.outline import Outline
from labelkit.model.runs import NEUTRAL
from labelkit.order.layout import Block, SizeSpec, read_layout
from labelkit.rules.floors import ElementFloor, Floors, HeightFloor, LetterMeasure
from labelkit.typeset.breaking import break_paragraph
from labelkit.typeset.shape import shape_text

ROOT = Path(__file__).resolve().parents[2]
LAYOUT = read_layout(ROOT / "layouts" / "lantern.toml")
LIST = "Sodium Olivate, Sodium Cocoate, Aqua/Water/Eau, Glycerin, Parfum (Fragrance), Linalool"
WORDS: Wordings = {
    "directions": (
        Wording("en", "Lather with warm water"),
        Wording("fr", "Faire mousser à l’eau"),
    ),
    "ingredients-heading": (Wording("en", "Ingredients"), Wording("fr", "Ingrédients")),
    "ingredients": (Wording(NEUTRAL, LIST),),
}
FLOORS = Floors(
    {
        "directions": ElementFloor(
            heights=(HeightFloor(Decimal("0.95"), LetterMeasure.CAPITAL_OR_SMALL_O, "T"),)
        )
    }
)
ROUND = TextArea.within(Outline("round", 60.0, 60.0), 2.4, 0.3, (0.0, 0.0, 0.0, 0.0))
STRAIGHT = st.floats(18, 70).map(Room)
SAME_HEIGHT_MM = 0.02
"""The widths of a family are drawn to heights that differ by less; lines are what counts."""
Costed = tuple[float, float]
"""Height in millimetres and cost."""
CURVED = st.floats(20, 57).map(lambda top: Room.below(ROUND, top))


def choices_of(words: Wordings) -> Choices:
    return Choices(Options(Arrangements("back", LAYOUT, LAYOUT.panel("back"), words, FLOORS)))


def fewest_lines(way: Arrangement, size_pt: float, room: Room) -> list[int] | None:
    """Lines of each paragraph, each broken in full."""
    em_mm = size_pt / PT_PER_MM
    leading, ink = way.block.leading * em_mm, way.ink_em * em_mm
    counts: list[int] = []
    for number, paragraph in enumerate(way.paragraphs):

        def width(line: int) -> float:
            top = (sum(counts) + line) * leading
            opened = way.lead_em * em_mm if not counts and not line else 0.0
            return room.width(top, top + ink) - opened

        ways = break_paragraph(
            paragraph.text, way.faces[number], size_pt, width,
            tracking_em=way.tracking_em, kind=way.kind,
            most=1 if number < way.heads else way.block.lines,
        )  # fmt: skip
        first = next(ways, None)
        if first is None:
            return None
        counts.append(len(first.lines))
    return counts


def sizes_tried(size: SizeSpec, ways: Sequence[Arrangement]) -> set[float]:
    """Steps of a twentieth down from the largest size, the least, and every legal floor."""
    steps = (math.floor(size.most_pt / 1.05**n * 100) / 100 for n in range(60))
    floors = (math.ceil(way.least_pt * 100) / 100 for way in ways)
    return {size.least_pt, size.most_pt, *(s for s in (*steps, *floors) if s > size.least_pt)}


def every_way(choices: Choices, block: Block, size: SizeSpec, room: Room) -> Iterator[Costed]:
    """Height and cost of every legal way in every size, with the costs as documented."""
    ways = choices.options.block_ways(block)
    for way, size_pt in product(ways, sizes_tried(size, ways)):
        counts = fewest_lines(way, size_pt, room) if size_pt >= way.least_pt else None
        if counts is None or (way.one_line and sum(counts) > 1):
            continue
        made = SetBlock(way, size_pt, tuple(counts))
        yield made.height_mm, cost_of(made, size, room)


def cost_of(made: SetBlock, size: SizeSpec, room: Room) -> float:
    smaller = costs.SMALLER * (size.most_pt / made.size_pt - 1)
    larger = costs.LARGER * (made.size_pt / size.most_pt - 1)
    cut = costs.OPENING_CUT if opening_is_cut(made, room) else 0.0
    return made.way.cost + costs.LINE * (made.lines - 1) + max(smaller, larger) + cut


def opening_is_cut(made: SetBlock, room: Room) -> bool:
    """Whether a heading that runs into its list leaves no room for the whole first name."""
    way, em_mm = made.way, made.size_pt / PT_PER_MM
    if not way.paragraphs[0].lead or way.block.element != "ingredients":
        return False
    name = LIST.split(" Sodium Cocoate")[0]
    tracking = way.tracking_em * (len(name) - 1)
    width = way.lead_em + shape_text(way.faces[0], name).width_em + tracking
    return width * em_mm > room.width(0.0, way.ink_em * em_mm)


@pytest.mark.parametrize("element", ["directions", "ingredients"])
@given(room=st.one_of(STRAIGHT, CURVED))
@settings(max_examples=examples(40))
def test_every_choice_is_as_good_as_it_says_and_keeps_its_floor(element: str, room: Room) -> None:
    choices = choices_of(WORDS)
    block = next(b for b in LAYOUT.panel("back").blocks if b.element == element)
    row, size = BlockRow(0, (block,)), LAYOUT.panel("back").sizes[block.size]
    for choice in choices.of_group([row], {0: room}):
        (made,) = gather_picks([choice])[0]
        assert isinstance(made, SetBlock)
        assert made.size_pt >= made.way.least_pt - 1e-9
        assert list(made.counts) == fewest_lines(made.way, made.size_pt, room)
        assert choice.height_mm == pytest.approx(made.height_mm)
        assert choice.cost == pytest.approx(cost_of(made, size, room))


@pytest.mark.parametrize("element", ["directions", "ingredients"])
@given(room=STRAIGHT)
@settings(max_examples=examples(40))
def test_no_way_beats_the_choices(element: str, room: Room) -> None:
    choices = choices_of(WORDS)
    block = next(b for b in LAYOUT.panel("back").blocks if b.element == element)
    row, size = BlockRow(0, (block,)), LAYOUT.panel("back").sizes[block.size]
    found = choices.of_group([row], {0: room})
    for height, cost in every_way(choices, block, size, room):
        limit = height + SAME_HEIGHT_MM
        assert any(c.height_mm <= limit and c.cost <= cost + 1e-6 for c in found)
