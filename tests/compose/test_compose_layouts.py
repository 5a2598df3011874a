"""What a layout may ask for: grounds, bleed, justified lists, three languages, own shapes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from compose_checks import check_apart, check_equals, check_inside, check_words
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from PIL import Image

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import ComposedPanel, compose_panel
from labelkit.compose.element_words import Wording, Wordings
from labelkit.model.outline import SHAPES, Outline
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import Trim
from labelkit.order.layout import Art, Layout, read_layout
from labelkit.rules.floors import Floors

ROOT = Path(__file__).resolve().parents[2]
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
TRIMS = {
    "rectangle": Trim(52, 36),
    "rounded": Trim(52, 36, "rounded", 3),
    "square": Trim(44, 44, "square"),
    "round": Trim(50, 50, "round"),
    "oval": Trim(64, 46, "oval"),
    "arch": Trim(42, 56, "arch"),
}
LIST = (
    "Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Sodium Castorate, Olea Europaea Fruit Oil,"
    " Mel, Avena Sativa Kernel Flour, Linalool, Limonene, Parfum"
)
FRONT: Wordings = {
    "names": (
        Wording("en", "Ada & Olive"),
        Wording("fr", "Ada et Olive"),
        Wording("es", "Ada y O"),
    ),
    "date": (
        Wording("en", "June 19, 2027"),
        Wording("fr", "19 juin 2027"),
        Wording("es", "19 de junio de 2027"),
    ),
    "identity": (Wording("en", "Soap"), Wording("fr", "Savon"), Wording("es", "Jabón")),
    "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
}
BACK: Wordings = {
    "ingredients-heading": (
        Wording("en", "Ingredients"),
        Wording("fr", "Ingrédients"),
        Wording("es", "Ingredientes"),
    ),
    "ingredients": (Wording(NEUTRAL, LIST),),
    "dealer": (Wording(NEUTRAL, "Tansy Row Soapery, 12 Tansy Row, Lower Mallow"),),
    "lot": (Wording(NEUTRAL, "Lot 7"),),
}


def changed(layout: Layout, panel: str, **changes: object) -> Layout:
    plan = replace(layout.panel(panel), **changes)  # type: ignore[arg-type]
    return replace(layout, panels={**layout.panels, panel: plan})


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
@pytest.mark.quick(2)
def test_three_languages_stand_as_equals_in_every_shape(path: Path) -> None:
    layout = read_layout(path)
    for shape in layout.shapes:
        for name, words in (("front", FRONT), ("back", BACK)):
            composed = compose_panel(name, layout, words, Floors(), TRIMS[shape])
            check_words(composed, words)
            check_inside(composed.panel)
            check_equals(composed)
            check_apart(composed)


def test_between_them_the_layouts_serve_every_occasion_and_shape() -> None:
    layouts = [read_layout(path) for path in LAYOUTS]
    occasions = {occasion for layout in layouts for occasion in layout.occasions}
    wanted = {
        "wedding", "birthday", "christening", "anniversary", "memorial", "company", "festival",
        "everyday",
    }  # fmt: skip
    assert wanted <= occasions
    assert len(layouts) >= 8
    assert all(set(layout.shapes) == set(SHAPES) for layout in layouts)
    assert len({layout.faces["names"] for layout in layouts}) == len(layouts)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
def test_each_layout_has_a_picture(path: Path) -> None:
    picture = path.parent / "pictures" / f"{path.stem}.png"
    with Image.open(picture) as image:
        assert image.width == 1200
    assert picture.stat().st_size < 100_000


def test_no_stroke_is_under_015_mm() -> None:
    # 0.15 mm is about what an office laser printer still holds: common practice, no source.
    for path in LAYOUTS:
        layout = read_layout(path)
        strokes = [o.stroke_mm for o in layout.ornaments.values() if o.stroke_mm is not None]
        strokes += [b.stroke_mm for p in layout.panels.values() for b in p.borders]
        assert min(strokes, default=1.0) >= 0.15, path.stem


def points_of(path: str) -> list[tuple[float, float]]:
    pen = RecordingPen()
    parse_path(path, pen)
    return [point for _, points in pen.value for point in points]


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
def test_ornaments_are_symmetric_about_their_upright_axis(path: Path) -> None:
    layout = read_layout(path)
    for name, ornament in layout.ornaments.items():
        if name in ("corner", "stripe", "hem", "moon"):
            continue  # mirrored into the other corners, repeated from edge to edge, or a crescent
        x, _, width, _ = ornament.view
        points = points_of(ornament.path)
        grain = width / 100
        for px, py in points:
            mirrored = 2 * x + width - px
            near = any(abs(qx - mirrored) < grain and abs(qy - py) < grain for qx, qy in points)
            assert near, (name, px, py)


def test_a_ground_covers_trim_and_bleed_and_is_left_off_clear_stock() -> None:
    layout = changed(read_layout(LAYOUTS[0]), "front", background="#f3e8d4")
    trim = TRIMS["round"]
    paper = compose_panel("front", layout, FRONT, Floors(), trim, bleed_mm=2.0)
    ground = paper.panel.ornaments[0]
    assert ground.colour == "#f3e8d4"
    assert (ground.box.x0_mm, ground.box.x1_mm) == (-2.0, trim.width_mm + 2.0)
    assert ground.path == Outline("round", trim.width_mm, trim.height_mm).path(2.0)
    assert paper.panel.background == "#f3e8d4"
    clear = compose_panel(
        "front", layout, FRONT, Floors(), trim, background="#caa46a", bleed_mm=2.0
    )
    assert all(ornament.colour != "#f3e8d4" for ornament in clear.panel.ornaments)
    assert clear.panel.background == "#caa46a"


def test_repeated_art_fills_the_trim_and_runs_over_the_bleed() -> None:
    layout = read_layout(ROOT / "layouts" / "bunting.toml")
    art = Art("flags", "top", 10.0, 0.0, repeat=True)
    layout = changed(layout, "front", art=(art,))
    trim = Trim(47, 30)
    for bleed_mm in (0.0, 3.0):
        composed = compose_panel("front", layout, FRONT, Floors(), trim, bleed_mm=bleed_mm)
        boxes = sorted(o.box.x0_mm for o in composed.panel.ornaments)
        widths = {round(o.box.width_mm, 6) for o in composed.panel.ornaments}
        # 47 mm hold five of at most 10 mm each: 9.4 mm.
        assert widths == {9.4}
        assert boxes[0] <= -bleed_mm
        assert max(o.box.x1_mm for o in composed.panel.ornaments) >= trim.width_mm + bleed_mm


def justified(layout: Layout) -> Layout:
    blocks = tuple(
        replace(b, align="justified") if b.element == "ingredients" else b
        for b in layout.panel("back").blocks
    )
    return changed(layout, "back", blocks=blocks)


def lines_of(composed: ComposedPanel) -> list[tuple[float, float]]:
    """Left and right end of the list's lines, a heading that runs into it included."""
    ends: dict[float, tuple[float, float]] = {}
    runs = [run for run in composed.panel.runs if run.text.strip()]
    listed = {run.baseline_mm for run in runs if run.element == "ingredients"}
    for run in runs:
        if run.baseline_mm in listed:
            left, right = ends.get(run.baseline_mm, (1e9, -1e9))
            ends[run.baseline_mm] = min(left, run.ink.x0_mm), max(right, run.ink.x1_mm)
    return [ends[y] for y in sorted(ends, reverse=True)]


def test_a_justified_list_is_even_on_both_sides_unless_a_gap_would_yawn() -> None:
    layout = justified(read_layout(ROOT / "layouts" / "lantern.toml"))
    longer = f"{LIST}, Ricinus Communis Seed Oil, Butyrospermum Parkii Butter, Citral, Eugenol"
    words = {
        **BACK,
        "ingredients-heading": BACK["ingredients-heading"][:1],
        "ingredients": (Wording(NEUTRAL, longer),),
    }
    wide = compose_panel("back", layout, words, Floors(), Trim(90, 30))
    lines = lines_of(wide)
    assert len(lines) > 2
    lefts, rights = [line[0] for line in lines], [line[1] for line in lines[:-1]]
    assert max(lefts) - min(lefts) < 0.05
    # A comma at a line's end has side bearings: half of its em is far more than they are.
    em_mm = wide.panel.runs[0].size_pt / PT_PER_MM
    assert max(rights) - min(rights) < em_mm / 4
    check_words(wide, words)
    narrow = compose_panel("back", layout, BACK, Floors(), Trim(34, 60))
    rights = [line[1] for line in lines_of(narrow)[:-1]]
    assert max(rights) - min(rights) > em_mm / 4  # ranged left: its gaps would be too wide
    check_words(narrow, BACK)


def test_larger_labels_get_larger_type_and_smaller_ones_slimmer_margins() -> None:
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    words = {"names": FRONT["names"][:1], "identity": FRONT["identity"]}
    small, own, large = (
        compose_panel("front", layout, words, Floors(), trim)
        for trim in (Trim(32, 22), Trim(44, 28), Trim(90, 60))
    )
    sizes = [max(r.size_pt for r in c.panel.runs) for c in (small, own, large)]
    assert sizes == sorted(sizes)
    assert sizes[2] > 1.5 * sizes[1]
    assert small.panel.safe_mm < own.panel.safe_mm < large.panel.safe_mm
    # 1.5 mm on labels under 30 mm: common practice, no source.
    assert small.panel.safe_mm >= 1.5
