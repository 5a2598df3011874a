"""Layout files: what is read, and the one line said of anything wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.layout import complete_panel_layout, find_layout, read_layout

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"


def spoiled(tmp_path: Path, old: str, new: str) -> Path:
    text = (LAYOUTS / "lantern.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "own.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize("path", sorted(LAYOUTS.glob("*.toml")), ids=lambda p: p.stem)
def test_every_shipped_layout_is_read(path: Path) -> None:
    layout = read_layout(path)
    assert layout.name == path.stem
    assert layout.title
    assert layout.occasions
    elements = {b.element for p in layout.panels.values() for b in p.blocks}
    # What most regions want on a label has a place in every layout.
    assert {"identity", "net-quantity", "ingredients", "dealer", "contact", "lot"} <= elements


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('element = "names"', 'element = "nmaes"', "element: 'nmaes': expected one of"),
        ('face = "names"', 'face = "nobody"', "face: 'nobody': expected one of"),
        ('size = "names"', 'size = "huge"', "size: 'huge': expected one of"),
        ('margin = "2.4 mm"', 'margin = "2.4"', "front.margin: '2.4'"),
        ('"2.4 mm"]', '"2.4 ells"]', "'2.4 ells': unknown unit"),
        ('"1.5 mm", "2.4 mm"]', '"2.5 mm", "2.4 mm"]', "expected least before most"),
        (
            "view = [-2, 0.5, 144, 45]",
            "view = [-2, 0, 0, 30]",
            "expected a width and a height above",
        ),
        ("view = [-2, 0.5, 144, 45]", "view = [1, 2]", "expected four numbers"),
        ('family = "cormorant-garamond"', "family = 3", "faces.names.family: 3: expected"),
        ("widths = [100, 75]", "widths = [10]", "expected a list of whole numbers from 50 to 200"),
        ("labelkit = 1", "labelkit = 9", "this version reads format 1"),
        ('shapes = ["rectangle"', 'shapes = ["hexagon"', "'hexagon': expected some of"),
        ('path = """', 'path = """Z ! 3', "is not SVG path data"),
        ('path = """', 'path = """M0 0L1e9 1e9', "coordinates below 100000"),
        ("optional = true", 'colour = "red"', "'red': expected a colour such as"),
        ('title = "Lantern"', 'titel = "Lantern"', "title: missing"),
    ],
)
def test_wrong_values_are_told_in_one_line(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    with pytest.raises(InputError) as caught:
        read_layout(spoiled(tmp_path, old, new))
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_border_may_not_run_through_the_text(tmp_path: Path) -> None:
    path = spoiled(
        tmp_path,
        "[front.sizes]",
        '[[front.borders]]\ninset = "9 mm"\nstroke = "0.3 mm"\n\n[front.sizes]',
    )
    with pytest.raises(InputError, match="expected an inset within the margin"):
        read_layout(path)


def test_a_layout_is_found_by_name_or_beside_the_spec(tmp_path: Path) -> None:
    assert find_layout("lantern", tmp_path, LAYOUTS) == LAYOUTS / "lantern.toml"
    own = spoiled(tmp_path, "Lantern", "Own")
    assert find_layout("own.toml", tmp_path, LAYOUTS) == own
    with pytest.raises(InputError, match=r"no such layout; did you mean lantern\? expected one of"):
        find_layout("lanturn", tmp_path, LAYOUTS)
    for climbing in ("../own.toml", "/etc/own.toml"):
        with pytest.raises(InputError, match="must lie beside"):
            find_layout(climbing, tmp_path, LAYOUTS)


def test_an_element_without_a_block_gets_one_before_the_last_row() -> None:
    plan = read_layout(LAYOUTS / "lantern.toml").panel("back")
    more = complete_panel_layout(plan, ["durability", "contact"])
    names = [block.element for block in more.blocks]
    assert names.count("durability") == 1
    assert names.count("contact") == 1
    assert names.index("durability") < names.index("contact")
    assert complete_panel_layout(plan, ["contact"]) is plan
