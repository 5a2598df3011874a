"""Files that have not changed are not read again; any that has is, and so is what it names."""

from __future__ import annotations

import datetime as dt
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from labelkit.common.errors import InputError
from labelkit.common.resources import find_stock_folder
from labelkit.order.inputs import watch_reading
from labelkit.order.laid_over import lay_texts_over
from labelkit.order.layout import read_layout
from labelkit.order.order import read_order
from labelkit.order.recipe import read_recipe

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "lighthouse-supper"


@pytest.fixture
def event(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLE, tmp_path / "event")
    return tmp_path / "event"


def test_a_recipe_is_read_once_until_it_changes(event: Path) -> None:
    path = event / "recipe.toml"
    first = read_recipe(path)
    assert read_recipe(path) is first
    path.write_bytes(path.read_bytes().replace(b"1450 g", b"1451 g"))
    assert read_recipe(path).oils[0].mass_g == 1451
    with lay_texts_over({path: path.read_bytes().replace(b"1451 g", b"1452 g")}):
        assert read_recipe(path).oils[0].mass_g == 1452
    path.unlink()
    with pytest.raises(InputError):
        read_recipe(path)


def test_a_layout_is_read_again_when_the_one_it_extends_changes(tmp_path: Path) -> None:
    layouts = SAMPLE.parents[1] / "layouts"
    shutil.copy(layouts / "lantern.toml", tmp_path / "one.toml")
    shutil.copytree(layouts / "backs", tmp_path / "backs")
    mine = tmp_path / "mine.toml"
    mine.write_text('labelkit = 1\nextends = "one.toml"\ntitle = "Mine"\n', "utf-8")
    first = read_layout(mine)
    assert read_layout(mine) is first
    one = tmp_path / "one.toml"
    one.write_bytes(one.read_bytes() + b"# more\n")
    assert read_layout(mine) is not first


def test_what_is_remembered_is_told_to_whoever_watches(event: Path) -> None:
    before = read_order(event / "label.toml").inputs
    assert {path.path.name for path in before} >= {"label.toml", "recipe.toml", "lantern.toml"}
    assert read_order(event / "label.toml").inputs == before
    with watch_reading() as digests:
        read_order(event / "label.toml")
    assert {one.path for one in before} <= set(digests)


def test_a_mistake_is_told_each_time_with_its_line(event: Path) -> None:
    recipe = event / "recipe.toml"
    read_order(event / "label.toml")
    recipe.write_bytes(recipe.read_bytes().replace(b'"1450 g"', b'"heavy"'))
    told = []
    for _ in range(2):
        with pytest.raises(InputError) as caught:
            read_order(event / "label.toml")
        told.append((caught.value.file, caught.value.key, caught.value.line))
    assert told[0] == told[1] and told[0][2] > 0


def test_a_file_that_several_readers_ask_for_is_opened_once(
    event: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path] = []
    open_file = Path.open

    def count(path: Path, *args: Any, **named: Any) -> Any:
        opened.append(path)
        return open_file(path, *args, **named)

    monkeypatch.setattr(Path, "open", count)
    for _ in range(2):
        opened.clear()
        read_order(event / "label.toml")
        assert {"label.toml", "maker.toml", "recipe.toml"} <= {path.name for path in opened}
        assert len(opened) == len(set(opened))


def test_a_file_replaced_in_the_same_moment_by_one_as_long_is_read_anew(event: Path) -> None:
    label, maker = event / "label.toml", event / "maker.toml"
    before = read_order(label)
    for path, old, new in (
        (label, b'"44 x 28 mm"', b'"45 x 28 mm"'),
        (maker, b"Estran", b"Etranz"),
    ):
        stood, text = path.stat(), path.read_bytes()
        assert text.count(old) and len(old) == len(new)
        path.write_bytes(text.replace(old, new))
        os.utime(path, ns=(stood.st_atime_ns, stood.st_mtime_ns))
    after = read_order(label)
    assert (before.spec.trim.width_mm, after.spec.trim.width_mm) == (44, 45)
    assert (before.spec.maker.name, after.spec.maker.name) == (
        "Savonnerie Estran",
        "Savonnerie Etranz",
    )


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def test_a_table_is_read_once_while_another_of_its_file_is_typed_in(event: Path) -> None:
    label = event / "label.toml"
    first = read_order(label).spec
    edit(label, "date = 2027-06-19", "date = 2027-06-26")
    second = read_order(label).spec
    assert second.front is first.front
    assert second.plan is not first.plan and second.product is not first.product
    assert second.product.sold_on == second.event.date == dt.date(2027, 6, 26)
    edit(label, 'place = "', 'place = "At ')
    third = read_order(label).spec
    assert third.event.place != second.event.place
    assert third.plan is second.plan and third.product is second.product


def test_a_table_that_differs_in_how_a_number_is_written_is_another(event: Path) -> None:
    label, maker = event / "label.toml", event / "maker.toml"
    assert str(read_order(label).spec.plan.money.rate) == "22.0"
    edit(maker, "rate = 22.00", "rate = 22")
    assert str(read_order(label).spec.plan.money.rate) == "22"


def test_a_table_that_was_right_a_moment_ago_is_wrong_when_it_is(event: Path) -> None:
    """What is told of it, and of the others beside it, is the same as if it was never read."""
    label = event / "label.toml"
    texts = (
        ("trim =", "trimm ="),
        ("identity = {", 'scnt = "x"\nidentity = {'),
        ("date = 2027-06-19", "date = 2027-13-19"),
        ("[product]", "[[product]]"),
        ("identity = {", "identiti = {"),
    )
    right = label.read_text("utf-8")
    for number, (old, new) in enumerate(texts):
        never = event.with_name(f"never-read-{number}")
        shutil.copytree(event, never)
        label.write_text(right, "utf-8")
        read_order(label)
        for folder in (never, event):
            (folder / "label.toml").write_text(right.replace(old, new, 1), "utf-8")
        assert tell(label) == tell(never / "label.toml") == tell(label)


def tell(label: Path) -> list[tuple[str, str, int, str]]:
    with pytest.raises(InputError) as caught:
        read_order(label)
    told = (caught.value, *caught.value.others)
    return [(Path(one.file).name, one.key, one.line, str(one.expected)) for one in told]


def test_a_country_that_changes_its_money_overnight_is_seen(
    event: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert read_order(event / "label.toml").spec.plan.money.currency == "CAD"
    # XTS is the code that ISO 4217 keeps for testing.
    monkeypatch.setattr("babel.numbers.get_territory_currencies", lambda *_, **__: ["XTS"])
    assert read_order(event / "label.toml").spec.plan.money.currency == "XTS"


def test_what_proves_a_claim_is_missed_as_soon_as_it_is_gone(event: Path) -> None:
    maker, letter = event / "maker.toml", event / "letter.txt"
    letter.write_text("no animal testing", "utf-8")
    maker.write_text(
        f'{maker.read_text("utf-8")}\n[[evidence]]\nclaim = "cruelty-free"\nwhat = "a letter"\n'
        'date = 2026-05-04\nfile = "letter.txt"\n',
        "utf-8",
    )
    assert read_order(event / "label.toml").spec.evidence
    letter.unlink()
    assert [key for _, key, *_ in tell(event / "label.toml")] == ["evidence[1].file"]


def test_a_stock_and_a_layout_that_appear_beside_the_label_are_found(event: Path) -> None:
    label, right = event / "label.toml", (event / "label.toml").read_text("utf-8")
    wanted = right.replace('layout = "lantern"', 'layout = "mine.toml"\nstock = "own.toml"')
    label.write_text(wanted, "utf-8")
    assert {"label.layout", "label.stock"} <= {key for _, key, *_ in tell(label)}
    shutil.copy(find_stock_folder() / "letter-plain.toml", event / "own.toml")
    (event / "mine.toml").write_text('labelkit = 1\nextends = "lantern"\ntitle = "Mine"\n', "utf-8")
    order = read_order(label)
    assert (order.layout.title, order.stock.name) == ("Mine", "own")


DEEP = "[\n{" + ".".join("b" * 60) + " = "
"""Sixty tables and a list: twenty of these lie deeper than Python writes a value out."""


@pytest.mark.parametrize(
    ("file", "table"),
    [("label", "[product]"), ("label", "[plan]"), ("maker", "[plan]"), ("maker", "[maker]")],
)
def test_a_key_of_no_use_that_lies_very_deep_is_told_as_any_other(file: str, table: str) -> None:
    label = SAMPLE / "label.toml"
    path = label.with_name(f"{file}.toml")
    text, deep = path.read_text("utf-8"), f"lott = {DEEP * 20}1{'}]' * 20}\n"
    assert f"{table}\n" in text
    changed = text.replace(f"{table}\n", f"{table}\n{deep}", 1)
    for _ in range(2):
        with pytest.raises(InputError, match="unknown key"):
            read_order(label, {path: changed})


def test_what_is_asked_for_again_and_again_stays_however_much_else_is_read(event: Path) -> None:
    """A design is told from others by identity, and all that was made of it goes with it."""
    layout = SAMPLE.parents[1] / "layouts" / "lantern.toml"
    first, recipe = read_layout(layout), (event / "recipe.toml").read_bytes()
    for number in range(200):
        other = event / f"recipe-{number}.toml"
        other.write_bytes(recipe)
        read_recipe(other)
        assert read_layout(layout) is first
