"""What leaves the desk: the proof and its answer, sheets, plan, record and recall."""

from __future__ import annotations

import datetime as dt
import re
import time
import tomllib
from html.parser import HTMLParser
from itertools import islice
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from pypdf import PdfReader
from sample_copies import copy_sample
from served import ROOT, Serve

import labelkit
from labelkit.common.errors import InputError
from labelkit.common.messages import Said
from labelkit.compose.fingerprint import make_job_code
from labelkit.desk.actions import Actions
from labelkit.desk.answers import find_code
from labelkit.desk.desk import Desk
from labelkit.desk.proof_page import make_proof_page
from labelkit.desk.server import speak_all
from labelkit.desk.tasks import Task, Tasks, TaskStopped
from labelkit.desk.ways_out import list_ways_out
from labelkit.desk.workplace import HERE, Workplace
from labelkit.formula import LYE_CAUTIONS
from labelkit.report.speech import Speech


@pytest.fixture
def actions(event: Path) -> Actions:
    return Actions(Workplace.at(event))


def do(actions: Actions, action: str, **asked: Any) -> Any:
    """An action and, where it takes longer, what came of it."""
    found = actions.find(action)
    assert found is not None
    answer = found(HERE, asked)
    while "task" in answer and action != "task":
        state = do(actions, "task", task=answer["task"])
        if "error" in state:
            return state
        if state["ended"]:
            return state["result"]
        time.sleep(0.02)
    return answer


class Elements(HTMLParser):
    """The elements of a page and what they refer to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.links: list[str] = []
        self.handlers: list[str] = []
        self.ticks = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.ticks += ("type", "checkbox") in attrs
        for name, value in attrs:
            if name in ("href", "src", "action", "srcset") and value:
                self.links.append(value)
            if name.startswith("on"):
                self.handlers.append(name)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_proof_page_needs_neither_script_nor_network(event: Path, language: str) -> None:
    checked = labelkit.check(labelkit.read_order(event / "label.toml"))
    made = make_proof_page(checked, language)
    page = Elements(made.html)
    assert not page.tags & {"script", "link", "iframe", "object", "embed", "base", "img"}
    assert page.handlers == []
    assert all(link.startswith(("#", "mailto:")) for link in page.links)
    own = made.html.replace("url(#", "")  # what stands in the page itself
    assert "url(" not in own and "@import" not in own
    assert page.ticks == 2  # front and back
    mail = next(link for link in page.links if link.startswith("mailto:"))
    assert mail.startswith("mailto:bonjour@estran.example?subject=")
    assert made.code in mail and made.html.count(made.code) > 2
    named = re.findall(r"<small>([^<(]+)", made.html)  # what a customer reads beside a tick
    assert not [one for one in named if one.strip() in ("dealer", "identity") or "-" in one]
    for word in ("The Lighthouse Supper", "Le Souper du phare", "Sodium Olivate", "LS-2704"):
        assert word in made.html
    assert "NaOH" not in made.html  # what concerns the workshop is no matter of hers


def test_a_customer_ticks_what_she_has_read_and_not_every_line(
    actions: Actions, event: Path
) -> None:
    """A hundred names are read as one list; the answer carries the order's code all the same."""
    names = [f"Guest {number}" for number in range(100)]
    do(actions, "guests", text="\n".join(names))
    made = make_proof_page(labelkit.check(labelkit.read_order(event / "label.toml")), "en")
    page = Elements(made.html)
    assert page.ticks == 3  # front, back, names
    assert all(f"<li>{name}</li>" in made.html for name in names)
    (mail,) = {link for link in page.links if link.startswith("mailto:")}
    assert find_code(unquote(mail)) == made.code


def test_a_strangers_words_are_text_on_the_proof_page(event: Path) -> None:
    label = event / "label.toml"
    text = label.read_text("utf-8").replace('"Anse-aux-Brumes"', '"<b onclick=x>Bay</b>"')
    label.write_text(text, "utf-8")
    page = Elements(make_proof_page(labelkit.check(labelkit.read_order(label)), "en").html)
    assert page.handlers == [] and "b" not in page.tags


def test_proof_and_answer_carry_one_code(actions: Actions, event: Path) -> None:
    done = do(actions, "proof", language="en")
    code = make_job_code(labelkit.check(labelkit.read_order(event / "label.toml")).job)
    assert (done["code"], done["fit"]) == (code, True)
    number, name = re.fullmatch(r"made/(\d+)/(.+)", done["made"]["customer"]).groups()  # type: ignore[union-attr]
    made = actions.find_made(int(number))
    assert made is not None and made.name == name and made.data.startswith(b"%PDF")
    before = do(actions, "approval")
    assert (before["code"], before["approved"]) == (code, "")
    mail = f"Dear maker,\n\nall right! {code.lower().replace('-', ' ')}\nYours, Mina <m@x.example>"
    after = do(actions, "answer", text=mail)
    assert (after["approved"], after["changes"]) == (code, [])
    label = event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("Lighthouse", "Lightship"), "utf-8")
    changed = do(actions, "approval")
    assert changed["approved"] == code != changed["code"]
    assert "Lightship" in changed["changes"][0]
    refused = do(actions, "sheets")
    assert refused["files"] == [] and refused["refused"]


@pytest.mark.parametrize(
    ("text", "code"),
    [("", ""), ("call me 506 555 0119", ""), ("code 8HY3M7WA", ""), ("no code here at all", "")],
)
def test_what_is_no_code_is_none(text: str, code: str) -> None:
    assert find_code(text) == code


def test_an_answer_without_a_code_is_refused(actions: Actions) -> None:
    with pytest.raises(InputError):
        do(actions, "answer", text="it is lovely")


def test_sheets_begin_where_she_tapped(tmp_path: Path) -> None:
    folder = tmp_path / "millpond-wedding"
    copy_sample(ROOT / "samples" / "millpond-wedding", folder)
    (folder / "part-used.toml").unlink()
    actions = Actions(Workplace.at(folder))
    sheet = do(actions, "sheet")
    assert (len(sheet["positions"]), sheet["labels"], sheet["partUsed"]) == (20, 88, True)
    done = do(actions, "sheets", start=11)
    assert [file["name"] for file in done["files"]] == ["front.pdf", "back.pdf"]
    # 10 labels on the part-used sheet, then three full ones, and 18 left for a fifth.
    assert len(PdfReader(folder / "sheets" / "front.pdf").pages) == 5
    told = speak_all(done["summary"], Speech("en", "en"))
    assert any(line.endswith("the first free label is 19") for line in told)
    assert not [line for line in told if "--" in line]


def test_a_sheet_that_is_cut_up_has_no_first_free_label(actions: Actions) -> None:
    assert not do(actions, "sheet")["partUsed"]
    assert "ready-cut" in do(actions, "sheets", start=31)["error"]


def test_work_can_be_stopped_and_leaves_nothing(actions: Actions, event: Path) -> None:
    label = event / "label.toml"
    text = label.read_text("utf-8").replace("guests = 60", "guests = 20000")
    label.write_text(text, "utf-8")
    start = actions.find("sheets")
    assert start is not None
    number = start(HERE, {})["task"]
    do(actions, "stop", task=number)
    for _ in range(3000):
        state = do(actions, "task", task=number)
        if state["ended"]:
            break
        time.sleep(0.02)
    assert "stopped" in state["error"].lower()
    assert not (event / "sheets" / "front.pdf").exists()


def test_a_task_tells_how_far_it_is() -> None:
    tasks = Tasks()
    task = tasks.start(lambda one: (one.report(3, 10), "made")[1])
    while not task.ended:
        time.sleep(0.01)
    assert (task.done, task.of, task.result) == (3, 10, "made")
    stopped = Task(1)
    stopped.stop()
    with pytest.raises(TaskStopped):
        stopped.report(1, 2)


@pytest.mark.parametrize("name", ["../label.toml", "label.toml", "..\\x.pdf", "none.pdf", ""])
def test_only_sheets_are_sent_to_a_printer(actions: Actions, name: str) -> None:
    with pytest.raises(ValueError):
        do(actions, "send", name=name)


def test_the_plan_is_the_one_of_the_command(actions: Actions) -> None:
    found = do(actions, "plan")
    keys = [section["key"] for section in found["sections"]]
    assert {"days", "count", "cost", "supplies"} <= set(keys)
    made = do(actions, "plan", pdf=["quote"])
    found_made = actions.find_made(int(made["at"].split("/")[1]))
    assert found_made is not None and found_made.data.startswith(b"%PDF")


def test_a_poured_batch_is_recorded_and_found_by_its_lot(actions: Actions) -> None:
    today = dt.date.today().isoformat()
    said = do(actions, "record", poured=today)
    assert (said["lot"], said["poured"]) == ("LS-2704", today)
    found = do(actions, "recall", lot="OL-0311")["found"]
    assert [one["lot"] for one in found] == ["LS-2704"]
    assert do(actions, "recall", lot="ZZ-9")["found"] == []


def test_the_page_weighs_lye_and_water_as_the_batch_page_does(
    actions: Actions, event: Path
) -> None:
    """Of a recipe that must not be poured no mass is given, here as there."""
    found = do(actions, "plan")
    rows = next(one for one in found["sections"] if one["key"] == "batch")["tables"][0]["rows"]
    masses = {row["cells"][0]: f"{row['cells'][1]}\u00a0g" for row in rows}
    assert [one["name"] for one in found["weighed"]] == ["sodium hydroxide (lye)", "water"]
    assert all(masses[one["name"]] == one["mass"] for one in found["weighed"])
    assert list(found["cautions"]) == [str(one) for one in LYE_CAUTIONS]
    recipe = event / "recipe.toml"
    text = recipe.read_text("utf-8")
    recipe.write_text(re.sub(r'lye_discount = "[^"]+"', 'lye_discount = "0 %"', text), "utf-8")
    strong = do(actions, "plan")
    assert next(one for one in strong["sections"] if one["key"] == "batch")["stop"]
    assert strong["weighed"] == []


def test_how_a_pour_went_is_noted_as_the_command_notes_it(actions: Actions, event: Path) -> None:
    assert do(actions, "pour")["lot"] == ""  # nothing to say of what is not poured
    assert do(actions, "pour", lost=3)["lost"] is None
    label = event / "label.toml"
    text = label.read_text("utf-8")
    plan = f"[plan]\npoured_on = {dt.date.today()}\n"
    label.write_text(text.replace("[plan]\n", plan, 1), "utf-8")
    do(actions, "record", poured=dt.date.today().isoformat())
    assert do(actions, "pour")["lot"] == "LS-2704"
    noted = do(actions, "pour", lost=3, notes=["faded"])
    assert noted["lost"] == 3
    assert [one["value"] for one in noted["notes"] if one["noted"]] == ["faded"]
    pours = event / "pours.toml"
    said = tomllib.loads(pours.read_text("utf-8"))["pour"]
    assert [(one["lot"], one["lost"], one["notes"]) for one in said] == [("LS-2704", 3, ["faded"])]
    do(actions, "pour", notes=["soft"])
    (one,) = labelkit.read_order(label).pours
    assert (one.lost, one.notes) == (3, ("faded", "soft"))
    for bad in ({"lost": "3"}, {"notes": ["splendid"]}):
        with pytest.raises(ValueError):
            do(actions, "pour", **bad)
    do(actions, "undo")
    assert labelkit.read_order(label).pours[0].notes == ("faded",)


def test_guests_are_kept_as_a_list_and_undone_with_it(actions: Actions, event: Path) -> None:
    before = (event / "label.toml").read_bytes()
    answer = do(actions, "guests", text="1. Ada Lind\n2. Bo Karlsen\n\n• Cléo Roy\n")
    assert answer["listed"] == ["Ada Lind", "Bo Karlsen", "Cléo Roy"]
    assert answer["cleaned"]
    assert (event / "guests.csv").read_text("utf-8") == "Ada Lind\nBo Karlsen\nCléo Roy\n"
    kept = "name;table\n1. Ada;4\n"  # a table of hers stays as it is
    assert not do(actions, "guests", text=kept)["cleaned"]
    assert (event / "guests.csv").read_text("utf-8") == kept
    do(actions, "undo", all=True)
    assert (event / "label.toml").read_bytes() == before
    assert not (event / "guests.csv").exists()


@pytest.mark.parametrize("count", [1, pytest.param(8, marks=pytest.mark.long)])
def test_a_label_that_does_not_fit_gets_real_ways_out(
    actions: Actions, event: Path, count: int
) -> None:
    label = event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("44 x 28 mm", "30 x 18 mm"), "utf-8")
    desk_answer = do(actions, "show")
    assert any(panel["problem"] for panel in desk_answer["panels"])
    assert all(panel["svg"] for panel in desk_answer["panels"])
    told: list[tuple[int, int]] = []
    ways = list_ways_out(Desk(label), (), lambda done, of: told.append((done, of)))
    found = list(islice(ways, count))
    assert len(found) == count or count > 1
    assert told[0][0] == 1 and told[0][1] > 20
    for way in found:
        tried = do(actions, "show", edits=way["edits"])
        assert [panel["problem"] for panel in tried["panels"]][:2] == ["", ""], way["words"]


def test_what_other_rooms_say_is_said_in_the_language_of_the_page(
    serve: Serve, event: Path
) -> None:
    served, label = serve(event), event / "label.toml"
    served.post("do/settings", {"language": "fr"})
    text = label.read_text("utf-8")
    label.write_text(text.replace('"lantern"', 'lantern"'), "utf-8")
    _, answer = served.post("do/show/~", {})
    assert [one["message"] for one in answer["mistakes"]] == [
        'Il manque le guillemet ouvrant\u202f: "lantern".'
    ]
    label.write_text(text, "utf-8")
    code = served.post("do/approval/~", {})[1]["code"]
    served.post("do/answer/~", {"text": code})
    label.write_text(text.replace("Lighthouse", "Lightship"), "utf-8")
    (change,) = served.post("do/approval/~", {})[1]["changes"]
    assert change.startswith("devant, noms") and change.endswith("maintenant")


def test_every_sentence_in_an_answer_is_spoken_however_deep_it_lies() -> None:
    known = Said("stopped; nothing was changed")
    answer = {"refused": (known,), "more": [{"why": known}], "rest": ["as it is"], "files": 2}
    said = "arrêté\u202f; rien n’a été modifié"
    assert speak_all(answer, Speech("fr", "fr")) == {
        "refused": [said], "more": [{"why": said}], "rest": ["as it is"], "files": 2,
    }  # fmt: skip
