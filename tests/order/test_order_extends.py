"""A design of one's own: what differs from another, its mistakes, and drawings of one's own."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import pytest
from command import labelkit

from labelkit.common.errors import InputError
from labelkit.order.layout import Layout, read_layout
from labelkit.order.order import read_order

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"


def own(folder: Path, text: str, base: str = "hedgerow") -> Path:
    path = folder / "mine.toml"
    path.write_text(f'labelkit = 1\nextends = "{base}"\ntitle = "Mine"\n{text}', encoding="utf-8")
    return path


def names_block(layout: Layout) -> object:
    return next(b for b in layout.panel("front").blocks if b.element == "names")


def test_only_what_is_said_differs(tmp_path: Path) -> None:
    base = read_layout(LAYOUTS / "hedgerow.toml")
    mine = read_layout(own(tmp_path, '[front.sizes]\nnames = ["8 pt", "11 pt"]\n'))
    assert mine.title == "Mine"
    assert mine.faces == base.faces
    assert mine.ornaments == base.ornaments
    assert asdict(mine.panel("back")) == asdict(base.panel("back"))
    assert [*map(asdict, mine.panel("front").blocks)] == [*map(asdict, base.panel("front").blocks)]
    assert mine.panel("front").sizes["names"].most_pt == pytest.approx(11)
    assert mine.panel("front").sizes["text"] == base.panel("front").sizes["text"]


def test_a_block_is_changed_or_left_out(tmp_path: Path) -> None:
    text = (
        '[[front.changes]]\nelement = "names"\nsettings = ["capitals"]\n'
        '[[front.changes]]\nornament = "garland"\nleave_out = true\n'
    )
    base, mine = read_layout(LAYOUTS / "hedgerow.toml"), read_layout(own(tmp_path, text))
    assert names_block(mine).settings == ("capitals",)  # type: ignore[attr-defined]
    assert names_block(mine).face == names_block(base).face  # type: ignore[attr-defined]
    shown = [b.ornament for b in mine.panel("front").blocks]
    assert "garland" not in shown
    assert len(shown) == len(base.panel("front").blocks) - 1


def test_a_design_may_extend_one_of_ones_own(tmp_path: Path) -> None:
    own(tmp_path, '[front]\nmargin = "3 mm"\n')
    second = tmp_path / "second.toml"
    second.write_text('labelkit = 1\nextends = "mine.toml"\ntitle = "Second"\n', encoding="utf-8")
    assert read_layout(second).panel("front").margin_mm == 3.0


@pytest.mark.parametrize(
    ("text", "base", "where", "message"),
    [
        ('[[front.changes]]\nelement = "nmaes"\n', "hedgerow", "changes[1].element",
         "did you mean names? there are"),
        ('[[front.changes]]\nlines = 2\n', "hedgerow", "changes[1]", "expected what the block"),
        ('[[front.changes]]\nelement = "names"\nlines = "two"\n', "hedgerow", "changes[1].lines",
         "'two'"),
        ('[[front.changes]]\nelement = "names"\nface = "nobody"\n', "hedgerow", "changes[1].face",
         "expected one of"),
        ("", "hedgerwo", "extends", "did you mean hedgerow?"),
        ("", "mine.toml", "extends", "circle"),
        ("", "../mine.toml", "extends", "lies beside this one"),
        ('[ornaments.x]\ngrow = "oak"\n', "hedgerow", "ornaments.x.grow", "expected one of sprig"),
        ('[ornaments.x]\ngrow = "sprig"\npairs = 90\n', "hedgerow", "ornaments.x.pairs", "to 24"),
        ('[ornaments.x]\nfile = "sprig.svg"\n', "hedgerow", "sprig.svg", "no such file"),
        ('[[front.surrounds]]\nkind = "hedge"\n', "hedgerow", "surrounds[1].kind", "wreath"),
    ],
)  # fmt: skip
def test_mistakes_are_told_in_one_line(
    tmp_path: Path, text: str, base: str, where: str, message: str
) -> None:
    with pytest.raises(InputError) as caught:
        read_layout(own(tmp_path, text, base))
    told = str(caught.value)
    assert where in told
    assert message in told
    assert "\n" not in told


def test_a_mistake_in_a_change_is_told_with_its_line(event: object) -> None:
    label: Path = event(('layout = "lantern"', 'layout = "mine.toml"'))  # type: ignore[operator]
    own(label.parent, '\n[[front.changes]]\nelement = "names"\nlines = "two"\n')
    with pytest.raises(InputError, match=r"mine\.toml: line 7: front\.changes\[1\]\.lines: 'two'"):
        read_order(label)


# -- drawings --------------------------------------------------------------------------------------


def test_a_drawing_of_ones_own_is_an_ornament(tmp_path: Path) -> None:
    (tmp_path / "sprig.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">'
        '<path d="M2 10H38" fill="none" stroke="black" stroke-width="2"/>'
        '<circle cx="20" cy="10" r="6"/></svg>', encoding="utf-8",
    )  # fmt: skip
    mine = read_layout(own(tmp_path, '[ornaments.garland]\nfile = "sprig.svg"\n'))
    view = mine.ornaments["garland"].view
    # The stroke is 36 long, the disc 12 high.
    assert view[2] == pytest.approx(36, abs=0.05)
    assert view[3] == pytest.approx(12, abs=0.05)


# -- the command -----------------------------------------------------------------------------------


def test_every_design_can_be_the_beginning_of_ones_own(tmp_path: Path) -> None:
    for path in sorted(LAYOUTS.glob("*.toml")):
        mine = tmp_path / f"my-{path.stem}.toml"
        made = labelkit("layouts", "new", mine, "--from", path.stem)
        assert made.returncode == 0, made.stderr
        layout, base = read_layout(mine), read_layout(path)
        assert {name: asdict(plan) for name, plan in layout.panels.items()} == {
            name: asdict(plan) for name, plan in base.panels.items()
        }
        assert layout.title == f"My {path.stem}"
    again = labelkit("layouts", "new", mine, "--from", "hedgerow")
    assert again.returncode == 2
    assert "is already there" in again.stderr


def test_every_commented_line_of_a_new_design_works(tmp_path: Path) -> None:
    labelkit("layouts", "new", tmp_path / "mine.toml", "--from", "hedgerow")
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    lines = [line.removeprefix("# ") if "=" in line or line.startswith("# [") else line
             for line in text.split("\n")]  # fmt: skip
    lines = [line for line in lines if not line.startswith(("In label.toml", "One block"))]
    svg = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H9V9Z"/></svg>'
    (tmp_path / "sprig.svg").write_text(svg, encoding="utf-8")
    (tmp_path / "mine.toml").write_text("\n".join(lines), encoding="utf-8")
    layout = read_layout(tmp_path / "mine.toml")
    assert layout.ornaments["garland"].growth is not None
    assert "mine" in layout.ornaments
    assert [s.kind for s in layout.panel("front").surrounds] == ["wreath"]


def test_the_list_names_every_design() -> None:
    listed = labelkit("layouts")
    assert listed.returncode == 0
    names = [line.split()[0] for line in listed.stdout.splitlines()]
    assert names == sorted(path.stem for path in LAYOUTS.glob("*.toml"))
