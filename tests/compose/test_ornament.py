"""Ornaments drawn by code: alike for the same order, symmetric where they say so, off the text."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from pathlib import Path

import pytest

from labelkit.compose import compose_panel
from labelkit.compose.element_words import Wording, Wordings
from labelkit.compose.joined_names import (
    join_alike,
    make_initials,
    make_numerals,
    split_joined_names,
)
from labelkit.compose.ornament.made import draw_growth, draw_ornaments
from labelkit.compose.ornament.pencil import find_bounds
from labelkit.compose.ornament.plants import PLANTS
from labelkit.compose.ornament.surround import KINDS, grow_surround
from labelkit.compose.ornament.walk import find_way
from labelkit.model.outline import Outline
from labelkit.model.path_segments import trace_contours
from labelkit.model.runs import NEUTRAL, Box
from labelkit.order.fields import LAYOUT, load_file_tables
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.order.ornament import Growth, Surround
from labelkit.rules.floors import Floors

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"
OUTLINES = [
    Outline("rectangle", 38.1, 25.4),
    Outline("rounded", 60, 40, 3),
    Outline("round", 50, 50),
    Outline("oval", 60, 42),
    Outline("arch", 38, 52),
]
TABLES = load_file_tables()[LAYOUT]
LEAF_FORMS = TABLES["ornaments.*"].fields["leaf"].one_of
ORIGINS = TABLES["front.surrounds"].fields["origin"].one_of
COUPLE: Wordings = {
    "names": (Wording(NEUTRAL, "Ada & Olive"),),
    "initials": (Wording(NEUTRAL, "A & O"),),
    "numerals": (Wording(NEUTRAL, "19 · VI · 2027"),),
    "date": (Wording("en", "June 19, 2027"),),
    "identity": (Wording("en", "Soap"),),
    "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
}


def points(path: str) -> list[tuple[float, float]]:
    return [point for contour in trace_contours(path) for point in contour]


def find_hull(dots: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The corners of the convex hull: where they lie in a convex shape, all of them do."""
    corners: list[tuple[float, float]] = []
    for along in (sorted(dots), sorted(dots, reverse=True)):  # Andrew's monotone chain
        half: list[tuple[float, float]] = []
        for x, y in along:
            while len(half) > 1:
                (ax, ay), (bx, by) = half[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                half.pop()
            half.append((x, y))
        corners += half
    return corners


# -- plants ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "leaf", "line"), [*product(PLANTS, LEAF_FORMS, (False, True))])
def test_every_plant_grows_of_every_leaf_and_has_an_extent(
    kind: str, leaf: str, line: bool
) -> None:
    x0, y0, x1, y1 = find_bounds([draw_growth(Growth(kind, leaf, line=line), 7)])
    assert 5 < x1 - x0 < 400
    assert 5 < y1 - y0 < 400


def test_the_names_of_kinds_are_those_that_are_drawn() -> None:
    assert {*KINDS, "words"} == set(TABLES["front.surrounds"].fields["kind"].one_of)
    kinds = TABLES["ornaments.*"].fields["grow"].one_of
    assert set(PLANTS) < set(kinds)
    for kind in kinds:
        assert draw_growth(Growth(kind), 1)


def test_a_seed_gives_the_same_plant_again_and_another_seed_another() -> None:
    growth = Growth("garland", "bay", berries=2)
    assert draw_growth(growth, 5) == draw_growth(growth, 5)
    assert draw_growth(growth, 5) != draw_growth(growth, 6)
    assert draw_growth(growth, 5) != draw_growth(replace(growth, seed=1), 5)


@pytest.mark.parametrize("growth", [
    Growth("garland", "willow", bend=0.2, berries=2), Growth("garland", "coin", blossoms=1),
    Growth("posy", "bay", pairs=3, bare=0.35),
], ids=lambda g: f"{g.kind}-{g.leaf}")  # fmt: skip
def test_garlands_are_symmetric_and_arms_of_a_posy_mirror_each_other(growth: Growth) -> None:
    drawn = points(draw_growth(growth, 11))
    if growth.kind == "posy":  # its middle stem grows freely
        drawn = [(x, y) for x, y in drawn if abs(x) > 35]
    for x, y in drawn:
        assert min(abs(x + px) + abs(y - py) for px, py in drawn) < 0.1


def test_leaves_of_one_side_stand_apart_from_each_other() -> None:
    """Their size is bounded by the way from leaf to leaf: two are as good as never one blot."""
    path = draw_growth(Growth("stem", "bay", pairs=20, size=1.0), 3)
    leaves = [c for c in trace_contours(path) if len(c) > 10]
    right = [c for c in leaves if sum(x for x, _ in c) / len(c) > 0]
    tips = sorted(max(y for _, y in c) for c in right)
    assert len(tips) >= 18
    assert all(b - a > 0.5 for a, b in pairwise(tips))


# -- along the trim --------------------------------------------------------------------------------


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda o: o.shape)
def test_a_way_keeps_its_distance_and_begins_at_the_middle_of_the_foot(outline: Outline) -> None:
    way = find_way(outline, 2.0)
    (x, y), direction = way.at(0.0)
    assert x == pytest.approx(outline.width_mm / 2, abs=0.01)
    assert y == pytest.approx(2.0, abs=0.05)
    assert direction == pytest.approx(0.0, abs=0.05)  # anticlockwise: to the right at the foot
    for number in range(60):
        (x, y), _ = way.at(way.length * number / 60)
        assert outline.contains(Box(x, y, x, y), 1.99)


@pytest.mark.parametrize(
    ("outline", "kind", "origin"),
    [*product(OUTLINES, KINDS, ["foot"]), *product(OUTLINES, ["wreath"], ORIGINS)],
    ids=lambda value: getattr(value, "shape", value),
)
@pytest.mark.quick(15)
def test_what_grows_along_the_trim_stays_in_its_strip(
    outline: Outline, kind: str, origin: str
) -> None:
    spec = Surround(kind, 1.5, 2.4, origin=origin, leaf="willow", berries=True)
    made = grow_surround(spec, outline, "#000000", (), 4)
    assert made
    for x, y in find_hull([point for one in made for point in points(one.path)]):
        assert outline.contains(Box(x, y, x, y), 0.6), (x, y)


def test_branches_stop_before_text() -> None:
    outline = OUTLINES[0]
    text = Box(2.0, 2.0, outline.width_mm - 2.0, 6.0)
    spec = Surround("wreath", 1.2, 3.0, origin="corners", keeps_clear=False)
    made = grow_surround(spec, outline, "#000000", (text,), 4)
    assert made
    for ornament in made:
        for x, y in points(ornament.path):
            assert not (text.x0_mm < x < text.x1_mm and text.y0_mm < y < text.y1_mm)


@pytest.mark.parametrize("name", [path.stem for path in sorted(LAYOUTS.glob("*.toml"))])
@pytest.mark.parametrize(
    "trim", [Trim(38.1, 25.4), Trim(50, 50, "round"), Trim(38, 52, "arch")], ids=lambda t: t.shape
)
@pytest.mark.quick(15)
def test_no_ornament_of_any_layout_runs_into_words(name: str, trim: Trim) -> None:
    layout = read_layout(LAYOUTS / f"{name}.toml")
    panel = compose_panel("front", layout, COUPLE, Floors(), trim, seed=3).panel
    inks = [run.ink for run in panel.runs if run.text.strip()]
    assert inks
    for ornament in panel.ornaments:
        for x, y in points(ornament.path):
            here = Box(x - 0.01, y - 0.01, x + 0.01, y + 0.01)
            assert not any(ink.meets(here) for ink in inks), (x, y)


# -- letters ---------------------------------------------------------------------------------------


def test_letters_that_no_face_can_draw_give_way_to_a_line_of_type() -> None:
    layout = read_layout(LAYOUTS / "banner.toml")
    written: Wordings = {**COUPLE, "names": (Wording(NEUTRAL, "عمر & ليلى"),)}
    for words, is_drawn in ((COUPLE, True), (written, False)):
        made = draw_ornaments(layout, words, 1)
        assert ("banner" in made.ornaments) == is_drawn
        composed = compose_panel("front", layout, words, Floors(), Trim(50, 32))
        assert ("names" in {run.element for run in composed.panel.runs}) != is_drawn
        assert ("names" in composed.lettered) == is_drawn


def test_a_band_is_ink_from_edge_to_edge_with_the_names_left_out_of_it() -> None:
    layout = read_layout(LAYOUTS / "banner.toml")
    trim = Trim(50, 32)
    panel = compose_panel("front", layout, COUPLE, Floors(), trim, bleed_mm=2.0).panel
    band = next(one for one in panel.ornaments if one.even_odd)
    assert (band.box.x0_mm, band.box.x1_mm) == (-2.0, 52.0)
    assert band.box.y1_mm == 34.0
    assert band.stroke_mm is None
    # No white anywhere: on kraft or clear stock white ink would be a promise no printer here keeps.
    assert "#ffffff" not in {one.colour for one in panel.ornaments} | {r.colour for r in panel.runs}


# -- names -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Ada & Olive", ("Ada", "&", "Olive")),
        ("Ada et Olive", ("Ada", "et", "Olive")),
        ("Aino ja Väinö", ("Aino", "ja", "Väinö")),
        ("Anna Maria & José Luis", ("Anna Maria", "&", "José Luis")),
        ("Ada, Bo & Cy and Di", None),
        ("The Lighthouse Supper", None),
        ("& Olive", None),
    ],
)
def test_joined_names_are_told_apart(text: str, parts: tuple[str, str, str] | None) -> None:
    assert split_joined_names(text) == parts


def test_names_that_differ_in_the_word_for_and_alone_are_one() -> None:
    assert join_alike(["Ada and Olive", "Ada et Olive"]) == "Ada & Olive"
    assert join_alike(["Ada & Olive", "Ada et Olivia"]) is None
    assert join_alike(["The Lighthouse Supper", "Le Souper du phare"]) is None


@pytest.mark.parametrize(
    ("text", "initials"),
    [
        ("Ada & Olive", "A & O"),
        ("The Lighthouse Supper", "L S"),
        ("Margit Dunlin", "M D"),
        ("élodie et Zoé", "É & Z"),
    ],
)
def test_initials(text: str, initials: str) -> None:
    assert make_initials(text) == initials


def test_a_day_in_figures_reads_alike_in_every_language() -> None:
    assert make_numerals(5, 6, 2027) == "5 · VI · 2027"
    assert make_numerals(31, 12, 2027) == "31 · XII · 2027"
