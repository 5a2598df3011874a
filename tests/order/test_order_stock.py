"""Stock files: what they may say, and the one line that names what is wrong with them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.common.resources import find_layouts_folder
from labelkit.order.layout import describe_unknown_layout
from labelkit.order.measured_stock import StockMeasures
from labelkit.order.stock import (
    Stock,
    describe_unknown_stock,
    find_stock,
    list_stock_names,
    list_stocks,
    read_stock,
)

DIE_SHEET = """
labelkit = 1
title = "Six labels"
kind = "die"
page = "210 x 297 mm"
across = 2
down = 3
die = "80 x 60 mm"
corner = "3 mm"
left = "20 mm"
top = "30 mm"
gap = "10 x 5 mm"
unprintable = "4 mm"
"""


def stock_file(folder: Path, *changes: tuple[str, str], text: str = DIE_SHEET) -> Path:
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_sheet_of_labels_is_read_as_it_is_measured(tmp_path: Path) -> None:
    stock = read_stock(stock_file(tmp_path))
    assert (stock.name, stock.kind, stock.count) == ("mine", "die", 6)
    assert (stock.shape, stock.corner_mm) == ("rounded", 3)
    boxes = list(stock.dies())
    # Worked by hand: the first label's upper left corner is 20 mm in and 30 mm down, so its lower
    # left is at 297 - 30 - 60 = 207; the last is one step of 90 right and two of 65 down.
    assert (boxes[0].x0_mm, boxes[0].y0_mm) == (20, 207)
    assert (boxes[1].x0_mm, boxes[1].y0_mm) == (110, 207)
    assert (boxes[5].x0_mm, boxes[5].y0_mm) == (110, 77)
    assert (boxes[5].width_mm, boxes[5].height_mm) == (80, 60)


def test_one_length_says_the_size_of_a_round_label(tmp_path: Path) -> None:
    changes = (('die = "80 x 60 mm"', 'die = "50 mm"\nshape = "round"'), ('corner = "3 mm"\n', ""))
    stock = read_stock(stock_file(tmp_path, *changes))
    assert (stock.die_width_mm, stock.die_height_mm, stock.shape) == (50, 50, "round")


def test_a_pitch_says_the_same_as_a_gap(tmp_path: Path) -> None:
    by_gap = read_stock(stock_file(tmp_path))
    by_pitch = read_stock(stock_file(tmp_path, ('gap = "10 x 5 mm"', 'pitch = "90 x 65 mm"')))
    assert list(by_gap.dies()) == list(by_pitch.dies())


def test_labels_without_margins_stand_in_the_middle(tmp_path: Path) -> None:
    stock = read_stock(stock_file(tmp_path, ('left = "20 mm"\n', ""), ('top = "30 mm"\n', "")))
    first, *_, last = stock.dies()
    assert first.x0_mm == pytest.approx(210 - last.x1_mm)
    assert 297 - first.y1_mm == pytest.approx(last.y0_mm)


def test_inches_are_exact(tmp_path: Path) -> None:
    # The inch is 25.4 mm exactly (NIST Handbook 44, Appendix C).
    stock = read_stock(stock_file(tmp_path, ("210 x 297 mm", "8.5 x 11 in")))
    assert (stock.page_width_mm, stock.page_height_mm) == (215.9, 279.4)


def test_rolls(tmp_path: Path) -> None:
    endless = read_stock(
        stock_file(tmp_path, text='labelkit = 1\ntitle = "r"\nkind = "roll"\nwidth = "62 mm"\n')
    )
    assert endless.continuous
    assert not endless.ready_cut
    assert (endless.count, list(endless.dies())) == (0, [])
    cut = read_stock(
        stock_file(
            tmp_path,
            text='labelkit = 1\ntitle = "r"\nkind = "roll"\nwidth = "60 mm"\nacross = 1\n'
            'die = "50 x 30 mm"\nfeed_gap = "3 mm"\n',
        )
    )
    assert (cut.page_width_mm, cut.page_height_mm, cut.feed_gap_mm) == (60, 30, 3)
    assert [(d.x0_mm, d.y0_mm) for d in cut.dies()] == [(5, 0)]


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        ('kind = "die"', 'kind = "sheet"', "kind", "one of die, plain, roll"),
        ('kind = "die"\n', "", "kind", "missing"),
        ('page = "210 x 297 mm"\n', "", "page", "missing"),
        ("210 x 297 mm", "210 mm", "page", "width and a height"),
        ("210 x 297 mm", "2 x 3 mm", "page", "from 20 to 2000 mm"),
        ("210 x 297 mm", "210 x 297 parsec", "page", "width and a height"),
        ("across = 2", "across = 3", "left", "the labels need 260 mm and the page is 210 mm wide"),
        ("down = 3", "down = 5", "top", "the labels need 320 mm and the page is 297 mm high"),
        ("across = 2", "across = 0", "across", "1 to 200"),
        ("across = 2", "across = 2.5", "across", "whole number"),
        ('left = "20 mm"', 'left = "45 mm"', "left", "leave 40 mm for both margins"),
        ('top = "30 mm"', 'top = "200 mm"', "top", "leave 107 mm for both margins"),
        ('left = "20 mm"', 'left = "-2 mm"', "left", "negative"),
        ('gap = "10 x 5 mm"', 'pitch = "79 x 65 mm"', "pitch", "the labels would overlap"),
        ('gap = "10 x 5 mm"', 'gap = "1 x 1 mm"\npitch = "90 x 65 mm"', "gap", "say it once"),
        ("80 x 60 mm", "80 x 4 mm", "die", "from 5 to 2000 mm"),
        ('corner = "3 mm"', 'corner = "31 mm"', "corner", "half the shorter side"),
        ('corner = "3 mm"', 'shape = "rounded"', "corner", "missing"),
        ('corner = "3 mm"', 'shape = "round"', "die", "as wide as it is high"),
        ('corner = "3 mm"', 'shape = "oval"\ncorner = "3 mm"', "corner", "no corners"),
        ('corner = "3 mm"', 'shape = "star"', "shape", "one of rectangle"),
        ('unprintable = "4 mm"', 'unprintable = "40 mm"', "unprintable", "at most 30 mm"),
        ('unprintable = "4 mm"', 'colour = "brown"', "colour", "a colour such as"),
        ('unprintable = "4 mm"', 'material = "gold"', "material", "one of paper"),
        ('unprintable = "4 mm"', 'unprintible = "4 mm"', "unprintible", "did you mean"),
        ("labelkit = 1", "labelkit = 2", "labelkit", "format 1"),
    ],
)
def test_a_wrong_value_is_named(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    path = stock_file(tmp_path, (old, new))
    with pytest.raises(InputError) as caught:
        read_stock(path)
    assert caught.value.key == key
    assert says in str(caught.value)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)


def test_a_plain_sheet_has_no_dies(tmp_path: Path) -> None:
    text = 'labelkit = 1\ntitle = "p"\nkind = "plain"\npage = "100 x 150 mm"\n'
    assert list(read_stock(stock_file(tmp_path, text=text)).dies()) == []
    with pytest.raises(InputError, match="die: unknown key"):
        read_stock(stock_file(tmp_path, text=text + 'die = "40 x 40 mm"\n'))


def test_an_edge_that_leaves_nothing_to_print_on(tmp_path: Path) -> None:
    text = 'labelkit = 1\ntitle = "r"\nkind = "roll"\nwidth = "24 mm"\nunprintable = "10 mm"\n'
    with pytest.raises(InputError, match="leaves no room to print on"):
        read_stock(stock_file(tmp_path, text=text))


# -- finding ---------------------------------------------------------------------------------------


def test_stock_is_found_by_name_or_by_file(tmp_path: Path) -> None:
    assert find_stock("letter-plain", tmp_path).name == "letter-plain"
    stock_file(tmp_path)
    assert find_stock("mine.toml", tmp_path).count == 6
    with pytest.raises(InputError, match="did you mean letter-plain"):
        find_stock("leter-plain", tmp_path)
    with pytest.raises(InputError, match="no such file"):
        find_stock("yours.toml", tmp_path)
    with pytest.raises(InputError, match="no such stock"):
        find_stock("../stock/letter-plain", tmp_path)


def test_no_folder_is_listed_for_a_stock_or_layout_that_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    layouts = sorted(path.stem for path in find_layouts_folder().glob("*.toml"))
    stocks = list_stock_names()
    monkeypatch.delattr(Path, "glob")
    for name in stocks:
        assert not describe_unknown_stock(name, tmp_path)
    for name in layouts:
        assert not describe_unknown_layout(name, tmp_path, find_layouts_folder())


@pytest.mark.parametrize(
    "name", ["../layouts/lantern", "stock/letter-plain", "Lantern", "backs", ""]
)
def test_what_is_no_name_of_a_layout_is_none(name: str, tmp_path: Path) -> None:
    told = describe_unknown_layout(name, tmp_path, find_layouts_folder())
    assert told.startswith("no such layout")


# -- bundled ---------------------------------------------------------------------------------------


def test_the_list_holds_every_kind_page_and_shape() -> None:
    stocks = list_stocks()
    assert [stock.name for stock in stocks] == list_stock_names()
    assert {stock.kind for stock in stocks} == {"die", "plain", "roll"}
    assert {s.shape for s in stocks if s.ready_cut} == {
        "rectangle", "rounded", "square", "round", "oval",
    }  # fmt: skip
    assert any(stock.continuous for stock in stocks)
    assert {stock.material for stock in stocks} >= {"paper", "clear", "kraft"}


@pytest.mark.parametrize("stock", list_stocks(), ids=lambda stock: str(stock.name))
def test_a_bundled_stock_is_named_by_its_own_geometry(stock: Stock) -> None:
    """The name says page, count across x down, shape and size: nothing a seller made up."""
    if stock.kind == "die":
        shape = f"{stock.shape}-" if stock.shape in ("round", "square", "oval") else ""
        size = f"{stock.die_width_mm:.0f}"
        if stock.shape not in ("round", "square"):
            size += f"x{stock.die_height_mm:.0f}"
        ending = f"-{stock.across}x{stock.down}-{shape}{size}"
        # 63.5, 66.675 and 67.7 mm are called 63, 66 and 68 by their users; either is accepted.
        lower = ending.replace(size, f"{int(stock.die_width_mm)}x{stock.die_height_mm:.0f}")
        assert stock.name.removesuffix("-clear").endswith((ending, lower))
        assert stock.name.endswith("-clear") == (stock.material == "clear")
    else:
        assert stock.kind in stock.name or stock.name.startswith("small-")
    assert stock.note or not stock.ready_cut


# -- measured --------------------------------------------------------------------------------------

D = Decimal


def test_a_measured_sheet_is_read_as_it_was_measured(tmp_path: Path) -> None:
    measures = StockMeasures(
        page=(D(210), D(297)), across=3, down=7, die=(D("63.5"), D("38.1")),
        left_mm=D("7.2"), top_mm=D("15.1"), span_across_mm=D(132), span_down_mm=D("228.6"),
        shape="rounded", corner_mm=D("2.5"),
    )  # fmt: skip
    stock = read_stock(stock_file(tmp_path, text=measures.toml()))
    assert (stock.across, stock.down, stock.corner_mm) == (3, 7, 2.5)
    # 132 mm over two steps is 66 mm, 228.6 mm over six is 38.1 mm.
    assert (stock.pitch_x_mm, stock.pitch_y_mm) == (66, 38.1)
    assert (stock.left_mm, stock.top_mm) == (7.2, 15.1)


def test_touching_labels_are_as_large_as_the_step_between_them(tmp_path: Path) -> None:
    """A label read as 38.3 mm that repeats every 38.1 mm is 38.1 mm high."""
    measures = StockMeasures(
        page=(D(210), D(297)), across=1, down=7, die=(D("63.5"), D("38.3")),
        left_mm=D("7.2"), top_mm=D("15.1"), span_down_mm=D("228.6"),
    )  # fmt: skip
    assert measures.label == (D("63.5"), D("38.1"))
    assert read_stock(stock_file(tmp_path, text=measures.toml())).die_height_mm == 38.1


def test_a_sheet_of_one_label_needs_no_spans(tmp_path: Path) -> None:
    measures = StockMeasures(
        page=(D("101.6"), D("152.4")), across=1, down=1, die=(D(90), D(140)),
        left_mm=D("5.8"), top_mm=D("6.2"),
    )  # fmt: skip
    assert read_stock(stock_file(tmp_path, text=measures.toml())).count == 1
