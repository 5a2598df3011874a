"""Edits of the page in the maker's files: one value, undone to the byte, nobody's work lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import labelkit.job.api
from labelkit.common.errors import InputError
from labelkit.common.journal import Journal, take_back
from labelkit.desk.desk import Desk
from labelkit.desk.order_texts import Edit, convert_typed, find_key
from labelkit.desk.workplace import HERE, Workplace
from labelkit.order.order import Order

NAMES: tuple[str | int, ...] = ("event", "names", "en")
OLD, NEW = "The Lighthouse Supper", "The Harbour Supper"


def said(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def test_an_edit_is_shown_and_not_written_until_it_is_saved(desk: Desk) -> None:
    before = desk.label.read_bytes()
    answer = desk.show([Edit("label", NAMES, NEW, OLD)])
    assert answer["title"] == NEW
    assert desk.label.read_bytes() == before
    desk.show([Edit("label", NAMES, NEW, OLD)], save=True)
    assert desk.label.read_bytes() == before.replace(OLD.encode(), NEW.encode())


def test_what_was_shown_is_not_judged_again_when_it_is_saved(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged: list[str] = []

    def check(order: Order, **asked: Any) -> Any:
        judged.append(order.spec.event.names["en"])
        return labelkit.job.api.check(order, **asked)

    monkeypatch.setattr("labelkit.desk.desk.labelkit.check", check)
    typed = [Edit("label", NAMES, NEW, OLD)]
    shown, saved = desk.show(typed), desk.show(typed, save=True)
    assert judged == [NEW] and saved["panels"] == shown["panels"]
    assert (shown["undo"], saved["undo"]) == (0, 1)
    recipe = desk.label.parent / "recipe.toml"
    recipe.write_bytes(recipe.read_bytes().replace(b"1450 g", b"1460 g"))
    assert desk.show()["list"] != saved["list"] and judged == [NEW, NEW]


def test_a_space_at_the_end_of_a_name_is_not_judged_anew(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = desk.show()["values"]["label"]["event"]["names"]

    def type_name(name: str) -> dict[str, Any]:
        return desk.show([Edit("label", NAMES[:2], {**names, "en": name}, names)])

    shown = type_name(NEW)
    monkeypatch.setattr("labelkit.desk.desk.labelkit.check", None)
    again = type_name(f"{NEW} ")
    assert again["panels"] == shown["panels"] and again["findings"] == shown["findings"]


def test_several_edits_of_several_files_are_one_step(desk: Desk) -> None:
    folder = desk.label.parent
    before = {path: path.read_bytes() for path in folder.glob("*.toml")}
    edits = [
        Edit("label", ("event", "guests"), "80", 60),
        Edit("recipe", ("oil", 0, "mass"), "1500 g", "1450 g"),
        Edit("maker", ("maker", "brand"), "Estran", None),
        Edit("prices", ("price", 0, "price"), "48.20", "46.50"),
    ]
    assert len(desk.show(edits, save=True)["saved"]) == 4
    assert said(folder / "label.toml")["event"]["guests"] == 80
    assert said(folder / "recipe.toml")["oil"][0]["mass"] == "1500 g"
    assert said(folder / "maker.toml")["maker"]["brand"] == "Estran"
    assert said(folder / "prices.toml")["price"][0]["price"] == 48.2
    desk.undo()
    assert {path: path.read_bytes() for path in before} == before


def test_what_cannot_be_read_is_not_written(desk: Desk) -> None:
    before = desk.label.read_bytes()
    edits = [
        Edit("label", ("event", "date"), "soon", "2027-06-19"),
        Edit("label", NAMES, NEW, OLD),
        Edit("label", ("label", "trim"), "44 mm", "44 x 28 mm"),
    ]
    answer = desk.show(edits, save=True)
    assert answer["saved"] == [["label", list(NAMES)]]
    assert desk.label.read_bytes() == before.replace(OLD.encode(), NEW.encode())
    assert {tuple(one["keys"]) for one in answer["mistakes"]} == {
        ("event", "date"),
        ("label", "trim"),
    }
    assert [panel["problem"] for panel in answer["panels"]] == ["", ""]
    assert not answer["fit"]


def test_undo_goes_back_to_the_opening_byte_for_byte(desk: Desk) -> None:
    path = desk.label
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    before = path.read_bytes()
    for number in range(5):
        keys = (("event", "guests"), ("event", "spares"), ("label", "corner"))[number % 3]
        now = desk.show()["values"]["label"]
        for key in keys:
            now = now.get(key) if now else None
        value = {"guests": str(70 + number), "spares": "", "corner": "1.5 mm"}[keys[-1]]
        desk.show([Edit("label", keys, value, now)], save=True)
    assert path.read_bytes() != before
    answer = desk.undo(everything=True)
    assert path.read_bytes() == before
    assert answer["undo"] == 0


def test_what_was_taken_back_comes_again_byte_for_byte(desk: Desk) -> None:
    path = desk.label
    texts = [path.read_bytes()]
    for keys, was, value in (
        (NAMES, OLD, NEW),
        (("label", "accent"), None, "moss"),
        (("event", "guests"), 60, "70"),
    ):
        desk.show([Edit("label", keys, value, was)], save=True)
        texts.append(path.read_bytes())
    assert [desk.undo()["redo"] for _ in range(3)] == [1, 2, 3]
    assert desk.redo()["step"] == "Names on the label (Order)"
    assert path.read_bytes() == texts[1]
    assert [(desk.redo()["undo"], path.read_bytes()) for _ in range(3)] == [
        (2, texts[2]), (3, texts[3]), (3, texts[3]),
    ]  # fmt: skip
    desk.undo(everything=True)
    assert path.read_bytes() == texts[0]
    answer = desk.redo()
    assert (answer["undo"], answer["redo"]) == (1, 2)
    assert path.read_bytes() == texts[1]
    desk.show([Edit("label", NAMES, OLD, NEW)], save=True)  # what is typed now is another way on
    assert desk.redo()["redo"] == 0
    assert path.read_bytes() == texts[0]
    desk.undo(everything=True)
    assert path.read_bytes() == texts[0]


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (Edit("label", NAMES, NEW, OLD), "Names on the label (Order)"),
        (Edit("label", ("plan", "quote", "price"), "6.50", None),
         "Price of a piece (Days and money)"),
        (Edit("label", ("label", "accent"), "moss", None),
         "Colour of names, ornament and frame (Look)"),
        (Edit("maker", ("plan", "rate"), "24", "22"), "An hour of yours (Workshop)"),
        (Edit("recipe", ("oil", 1), do="remove", value=None), "Oils, fats and waxes (Soap)"),
    ],
)  # fmt: skip
def test_undo_tells_what_it_took_back(desk: Desk, edit: Edit, told: str) -> None:
    assert desk.show([replace(edit, check=False)], save=True)["undo"] == 1
    assert desk.undo()["step"] == told


def test_entries_taken_away_come_back_one_by_one(desk: Desk) -> None:
    recipe = desk.label.parent / "recipe.toml"
    counts = [len(said(recipe)["oil"])]
    for _ in range(2):
        desk.show([Edit("recipe", ("oil", 0), None, do="remove")], save=True)
        counts.append(len(said(recipe)["oil"]))
    desk.undo()
    assert len(said(recipe)["oil"]) == counts[1] == counts[2] + 1


def test_undo_leaves_alone_what_another_program_wrote_since(desk: Desk) -> None:
    desk.show([Edit("label", NAMES, NEW, OLD)], save=True)
    desk.label.write_bytes(desk.label.read_bytes() + b"# mine\n")
    with pytest.raises(InputError):
        desk.undo()
    assert desk.label.read_bytes().endswith(b"# mine\n")


def test_undo_in_the_terminal_takes_back_all_that_was_done_at_the_desk(event: Path) -> None:
    place = Workplace.at(event)
    files = [event / name for name in ("label.toml", "maker.toml", "recipe.toml")]
    before = [path.read_bytes() for path in files]
    texts = place.desk(HERE).texts
    texts.save(texts.lay_over([Edit("label", NAMES, NEW, OLD)]).texts)
    texts.save(texts.lay_over([Edit("maker", ("maker", "brand"), "Estran", None)]).texts)
    texts.save_files({event / "guests.csv": b"Ada\n"})
    place.close()
    after = [path.read_bytes() for path in files]
    assert after != before
    done = take_back(event)
    assert done.entry.command == "open"
    assert [path.read_bytes() for path in files] == before
    assert not (event / "guests.csv").exists()
    take_back(event)
    assert [path.read_bytes() for path in files] == after
    place.close()  # nothing was done since: no line
    assert len(Journal(event).read_entries()) == 3


def test_another_programs_key_is_kept(desk: Desk) -> None:
    """What the page last knew is older than the file: only the same key is a matter of dispute."""
    text = desk.label.read_text("utf-8")
    desk.label.write_text(text.replace("guests = 60", "guests = 61"), "utf-8")
    answer = desk.show([Edit("label", NAMES, NEW, OLD)], save=True)
    assert answer["conflicts"] == []
    assert said(desk.label)["event"]["guests"] == 61
    assert said(desk.label)["event"]["names"]["en"] == NEW


def test_a_true_conflict_is_shown_with_both_values(desk: Desk) -> None:
    text = desk.label.read_text("utf-8")
    desk.label.write_text(text.replace(OLD, "The Pier Supper"), "utf-8")
    answer = desk.show([Edit("label", NAMES, NEW, OLD)], save=True)
    assert answer["saved"] == []
    assert answer["conflicts"] == [
        {"file": "label", "keys": list(NAMES), "mine": NEW, "theirs": "The Pier Supper"}
    ]
    desk.show([Edit("label", NAMES, NEW, OLD, check=False)], save=True)
    assert said(desk.label)["event"]["names"]["en"] == NEW


def test_entries_are_added_and_taken_away(desk: Desk) -> None:
    recipe = desk.label.parent / "recipe.toml"
    before = recipe.read_bytes()
    desk.show(
        [Edit("recipe", ("oil",), {"material": "babassu oil", "mass": "60 g"}, do="add")], True
    )
    assert said(recipe)["oil"][-1] == {"material": "babassu oil", "mass": "60 g"}
    desk.show([Edit("recipe", ("oil", 5), None, do="remove")], save=True)
    assert recipe.read_bytes() == before


def test_pieces_of_a_suite_are_added_changed_and_taken_away(desk: Desk) -> None:
    """One value of the file is otherwise at a time; the rest keeps every byte."""
    before = desk.label.read_bytes()
    desk.show([Edit("label", ("piece",), {"kind": "hang-tag"}, do="add")], save=True)
    added = desk.label.read_bytes()
    assert said(desk.label)["piece"] == [{"kind": "hang-tag"}]
    assert [line for line in added.splitlines() if line not in before.splitlines()] == [
        b"[[piece]]", b'kind = "hang-tag"',
    ]  # fmt: skip

    def change(key: str, typed: Any, was: Any = None) -> dict[str, Any]:
        return desk.show([Edit("label", ("piece", 0, key), typed, was)], save=True)

    for key, typed in {
        "copies": "12",
        "folded": True,
        "size": "40 x 60 mm",
        "hole": "3 mm",
    }.items():
        change(key, typed)
    answer = change("text", {"en": "Until we meet", "fr": "Au revoir"})
    assert said(desk.label)["piece"] == [
        {"kind": "hang-tag", "copies": 12, "folded": True, "size": "40 x 60 mm", "hole": "3 mm",
         "text": {"en": "Until we meet", "fr": "Au revoir"}}
    ]  # fmt: skip
    (tag,) = answer["pieces"]  # laid flat, both leaves side by side
    assert (tag["name"], tag["width"], tag["height"]) == ("hang-tag", 80, 60)
    full = desk.label.read_bytes()
    change("copies", "6", 12)
    assert desk.label.read_bytes() == full.replace(b"copies = 12", b"copies = 6")
    for key in ("copies", "folded", "size", "hole", "text"):
        change(key, None, said(desk.label)["piece"][0][key])
    assert said(desk.label)["piece"] == [{"kind": "hang-tag"}]  # the others are comments now
    bare = desk.label.read_bytes()
    change("kind", "box-lid", "hang-tag")
    assert desk.label.read_bytes() == bare.replace(b'"hang-tag"', b'"box-lid"')
    desk.show([Edit("label", ("piece", 0), None, do="remove")], save=True)
    assert tomllib.loads(before.decode()) == said(desk.label)


def test_what_a_piece_cannot_have_is_told_at_its_key_and_not_written(desk: Desk) -> None:
    desk.show([Edit("label", ("piece",), {"kind": "band"}, do="add")], save=True)
    before = desk.label.read_bytes()
    answer = desk.show([Edit("label", ("piece", 0, "hole"), "4 mm", None)], save=True)
    assert [one["keys"] for one in answer["mistakes"]] == [["piece", 0, "hole"]]
    twice = desk.show([Edit("label", ("piece",), {"kind": "band"}, do="add")], save=True)
    assert [one["keys"] for one in twice["mistakes"]] == [["piece"]]
    assert desk.label.read_bytes() == before


@pytest.mark.parametrize(
    ("file", "keys", "typed", "value"),
    [
        ("label", ("event", "guests"), "60", 60),
        ("label", ("event", "guests"), "sixty", "sixty"),
        ("label", ("event", "spares"), "10 %", "10 %"),
        ("label", ("event", "spares"), "6", 6),
        ("label", ("product", "imported"), "true", True),
        ("maker", ("plan", "rate"), "4,75", "4,75"),
        ("label", ("event", "names"), "  ", None),
        ("label", ("front", "leave_out"), ["scent", ""], ["scent"]),
        ("recipe", ("scent", 0, "allergens"), {"Linalool": "3 %", "Citral": ""},
         {"Linalool": "3 %"}),
    ],
)  # fmt: skip
def test_what_she_types_becomes_a_value_of_its_kind(
    file: str, keys: tuple[str | int, ...], typed: Any, value: Any
) -> None:
    assert convert_typed(find_key(file, keys), typed) == value


WRITER = """
import sys
from pathlib import Path
from labelkit.desk.order_texts import Edit, OrderTexts
texts = OrderTexts(Path(sys.argv[1]))
print("ready", flush=True)
for number in range(100_000):
    edit = Edit("label", ("event", "place"), f"Harbour {number:05}", check=False)
    texts.save(texts.lay_over([edit]).texts)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="a system without SIGKILL")
@pytest.mark.parametrize("times", [2, pytest.param(12, marks=pytest.mark.long)])
def test_a_kill_at_any_moment_leaves_a_whole_file(event: Path, times: int) -> None:
    label = event / "label.toml"
    before = label.read_text("utf-8")
    for number in range(times):
        command = [sys.executable, "-c", WRITER, str(label)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(0.05 + 0.037 * number)
            os.kill(process.pid, signal.SIGKILL)
        place = said(label)["event"]["place"]
        assert label.read_text("utf-8") == before.replace("Anse-aux-Brumes", place, 1)
