"""The ways to set a paragraph against setting it every way in turn."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.quantity import PT_PER_MM
from labelkit.typeset.breaking import break_lines
from labelkit.typeset.faces import FaceRequest, load_face
from labelkit.typeset.fit import fit
from labelkit.typeset.paragraph import (
    CAPITALS_TRACKING_EM,
    LETTER_SPARE_MM,
    Costs,
    Floor,
    SetParagraph,
    Style,
    in_setting,
    paragraph_choices,
)

FACES = {
    100.0: load_face(FaceRequest("fira-sans")),
    75.0: load_face(FaceRequest("fira-sans", width=75)),
}
SMALL = {100.0: load_face(FaceRequest("fira-sans", small_caps=True))}
TEXT = "Sodium Olivate, Sodium Cocoate, Aqua/Water/Eau, Glycerin, Parfum (Fragrance), Linalool"
STYLE = Style(
    FACES,
    sizes_pt=(5.0, 6.0, 7.0, 8.0),
    leadings=(1.1, 1.2),
    settings=("as-written", "capitals"),
    trackings_em=(-0.01, 0.0, 0.03),
    names=True,
)


def all_ways(style: Style, room: float, floor: Floor, costs: Costs) -> list[tuple[float, float]]:
    """Height and cost of every way, each broken into lines, with the costs as documented."""
    found = []
    for setting, (width, face) in product(style.settings, style.faces.items()):
        text = in_setting(TEXT, setting)
        low, high = face.ink_em(text) or (0, 0)
        letter = face.capital_em if text.isupper() else face.small_o_em
        exact = (floor.least_mm + LETTER_SPARE_MM) * PT_PER_MM / (letter or 1)
        for size, tracking, leading in product(
            {*style.sizes_pt, exact}, style.trackings_em, style.leadings
        ):
            letters = face.letters(size, text)
            tall = letters.capital_mm if text.isupper() else letters.small_o_mm
            lines = break_lines(text, face, size, room, tracking_em=tracking, names=True)
            if (
                size < exact - 1e-9
                or (tall or 0) < floor.least_mm
                or lines is None
                or size < min(style.sizes_pt)
            ):
                continue
            spaced = CAPITALS_TRACKING_EM if setting == "capitals" else 0.0
            cost = (
                costs.smaller * max(0, max(style.sizes_pt) / size - 1)
                + costs.narrow * (100 - width) / 25
                + costs.tighter * (max(style.leadings) - leading) * 10 * (len(lines) > 1)
                + costs.line * (len(lines) - 1)
                + costs.tracking * abs(tracking - spaced) * 100
                + costs.capitals * (setting == "capitals")
            )
            height = ((high - low) + (len(lines) - 1) * leading) * size / PT_PER_MM
            found.append((height, cost))
    return found


@given(st.floats(20, 60), st.floats(0.5, 1.8))
def test_the_front_is_that_of_every_way_tried(room: float, least: float) -> None:
    floor, costs = Floor("capital-or-o", least), Costs()
    ways = all_ways(STYLE, room, floor, costs)
    choices = paragraph_choices(TEXT, STYLE, room, (floor,), costs)
    assert len(ways) == 0 or choices
    for height, cost in ways:
        assert any(c.height_mm <= height + 1e-6 and c.cost <= cost + 1e-6 for c in choices)
    for choice in choices:
        assert any(
            choice.height_mm == pytest.approx(height) and choice.cost == pytest.approx(cost)
            for height, cost in ways
        )


@given(
    st.floats(15, 60),
    st.floats(0.5, 2.0),
    st.sampled_from(["capital", "o", "figure", "capital-or-o"]),
)
def test_floors_are_held_and_lines_are_as_many_as_said(
    room: float, least: float, letter: str
) -> None:
    text = "Net 40 g, 1.4 oz of soap"
    style = Style(
        FACES,
        (4.0, 6.0, 8.0, 10.0),
        settings=("as-written", "capitals", "small-capitals"),
        small_capitals=SMALL,
    )
    for choice in paragraph_choices(text, style, room, (Floor(letter, least),)):
        way = choice.payload
        assert isinstance(way, SetParagraph)
        letters = way.face.letters(way.size_pt, way.text)
        printed = {
            "capital": letters.capital_mm,
            "o": letters.small_o_mm,
            "figure": letters.figure_mm,
            "capital-or-o": letters.capital_mm if way.text.isupper() else letters.small_o_mm,
        }[letter]
        assert printed is not None and printed >= least
        lines = way.broken().lines
        assert len(lines) == way.lines
        assert "".join(line.text for line in lines) == way.text
        assert all(line.width_mm <= room + 1e-6 for line in lines)
        assert choice.height_mm == pytest.approx(way.height_mm)


def test_capitals_at_a_height_take_less_room_than_mixed_letters_with_an_o_as_tall() -> None:
    # From the measurement of Fira Sans: 170 characters take 212 mm of line in capitals of 1.6 mm
    # and 241 mm mixed with an "o" of 1.6 mm.
    heights = {}
    for setting in ("as-written", "capitals"):
        style = Style({100.0: FACES[100.0]}, (4.0, 9.0), settings=(setting,), names=True)
        choices = paragraph_choices(TEXT, style, 42.0, (Floor("capital-or-o", 1.6),))
        heights[setting] = choices[0].height_mm
    assert heights["capitals"] < heights["as-written"]


def test_a_figure_floor_does_not_bind_text_without_figures() -> None:
    style = Style(FACES, (4.0, 5.0))
    floors = (Floor("figure", 3.2),)
    assert paragraph_choices("Savon", style, 40.0, floors)
    assert paragraph_choices("40 g", style, 40.0, floors)[0].payload.size_pt > 12


def test_a_face_without_the_letter_cannot_hold_its_floor() -> None:
    style = Style(FACES, (5.0, 40.0))
    assert Floor("o", 1.6).size_pt(FACES[100.0], "ж") == pytest.approx(8.24, abs=0.03)
    assert paragraph_choices("Soap", style, 2.0, (Floor("o", 1.6),)) == []


def test_the_best_paragraphs_of_a_panel_are_picked_together() -> None:
    groups = [
        paragraph_choices("Oat & honey soap", Style(FACES, (7.0, 9.0)), 40.0),
        paragraph_choices(TEXT, STYLE, 40.0, (Floor("capital-or-o", 0.9),)),
    ]
    roomy, tight = fit(groups, 40.0), fit(groups, 10.0)
    assert roomy.picks is not None and tight.picks is not None
    assert [c.payload.size_pt for c in roomy.picks] == [9.0, 8.0]
    assert tight.height_mm <= 10.0 and tight.cost > roomy.cost


def test_the_choice_is_described_in_a_line() -> None:
    (choice,) = paragraph_choices(
        "Savon", Style({75.0: FACES[75.0]}, (6.5,), settings=("capitals",)), 40.0
    )
    assert choice.payload.described() == "6.5 pt, capitals, 75 % wide"
