"""How the desk starts, is found again, and ends; and what a double click opens it with."""

from __future__ import annotations

import configparser
import json
import os
import re
import shlex
import subprocess
import sys
import time
import urllib.request
from importlib.resources import files
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.common.resources import find_layouts_folder
from labelkit.desk.desk import Desk
from labelkit.desk.order_texts import Edit
from labelkit.desk.page_fonts import FONTS, make_page_font
from labelkit.desk.presence import Presence
from labelkit.desk.serve import listen, warm_up_layouts
from labelkit.desk.server import PAGES
from labelkit.desk.shortcut import make_shortcut, write_shortcut
from labelkit.desk.workplace import Workplace, make_folder_name

Process = subprocess.Popen[str]


def start(folder: Path, cache: Path) -> tuple[Process, str]:
    """``labelkit open`` in a process of its own, and the address it tells."""
    command = [sys.executable, "-m", "labelkit", "open", str(folder), "--no-browser"]
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    assert process.stdout is not None
    found = re.search(r"http://127\.0\.0\.1:\d+/\S+/", process.stdout.readline())
    assert found is not None
    return process, found[0]


def ask(address: str, path: str, post: bool = False) -> None:
    origin = address.rsplit("/", 2)[0]
    headers = {"Origin": origin, "Content-Type": "application/json"} if post else {}
    asked = urllib.request.Request(address + path, b"{}" if post else None, headers)
    urllib.request.urlopen(asked, timeout=20).read()


@pytest.mark.long  # processes of their own, and the time a tab may take to come back
def test_a_second_start_finds_the_first_and_the_last_tab_ends_it(
    event: Path, tmp_path: Path
) -> None:
    first, address = start(event, tmp_path / "cache")
    try:
        note = next((tmp_path / "cache").rglob("desk-*.json"))
        assert note.stat().st_mode & 0o077 == 0 or os.name == "nt"
        second, same = start(event, tmp_path / "cache")
        assert (second.wait(timeout=60), same) == (0, address)
        ask(address, "ask/alive/one")
        ask(address, "ask/alive/two")
        ask(address, "ask/gone/one", post=True)
        time.sleep(8)
        assert first.poll() is None
        ask(address, "ask/gone/two", post=True)
        assert first.wait(timeout=60) == 0
        assert not note.exists()
    finally:
        first.kill()
        first.wait()


def test_a_tab_that_loads_itself_again_ends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("labelkit.desk.presence.time.monotonic", lambda: now[0])
    presence = Presence()
    assert not presence.is_over()
    presence.see("one")
    presence.forget("one")
    now[0] = 3.0
    assert not presence.is_over()
    presence.see("again")
    now[0] = 100.0
    assert not presence.is_over()
    presence.forget("again")
    now[0] = 107.0
    assert presence.is_over()


def test_a_tab_that_is_silent_for_long_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("labelkit.desk.presence.time.monotonic", lambda: now[0])
    presence = Presence()
    presence.see("one")
    now[0] = 120.0
    assert not presence.is_over()
    now[0] = 200.0
    assert presence.is_over()


def test_the_page_itself_weighs_little() -> None:
    """Its parts and typefaces together, before any order."""
    parts = files("labelkit.desk").joinpath("page")
    texts = sum(len(parts.joinpath(name).read_bytes()) for name, _ in PAGES.values())
    assert texts + sum(len(make_page_font(name)) for name in FONTS) < 150_000


# -- the folder ------------------------------------------------------------------------------------


def test_a_folder_shows_its_events_and_starts_new_ones(tmp_path: Path) -> None:
    place = Workplace.at(tmp_path)
    assert place.list_events() == []
    name = place.start_event("Zoë & Łukasz, 2027!", "BE")
    assert (name, (tmp_path / name / "label.toml").is_file()) == ("zoe-ukasz-2027", True)
    assert [event["id"] for event in place.list_events()] == [name]
    with pytest.raises(InputError):
        place.start_event("Zoë & Łukasz, 2027!", "BE")
    with pytest.raises(KeyError):
        place.desk("..")


def test_the_second_event_finds_the_workshop_that_the_first_one_filled_in(tmp_path: Path) -> None:
    place = Workplace.at(tmp_path)
    first = place.desk(place.start_event("Ada & Bo", "CA"))
    was = first.show()["values"]["maker"]["maker"]["name"]
    first.show([Edit("maker", ("maker", "name"), "Tansy Lane", was)], save=True)
    second = place.desk(place.start_event("Inès & Corbin", "CA"))
    assert second.show()["values"]["maker"]["maker"]["name"] == "Tansy Lane"
    assert [path.parent for path in tmp_path.rglob("maker.toml")] == [tmp_path]


def test_an_apostrophe_parts_no_word_of_a_folder() -> None:
    assert make_folder_name("Odalie's naming day") == "odalies-naming-day"
    assert make_folder_name("Fête d\u2019Éloi") == "fete-deloi"


@pytest.mark.parametrize("title", ["../x", "..", "/etc", "a/../../b", "CON\\x"])
def test_a_title_leads_to_no_other_folder(title: str) -> None:
    assert re.fullmatch(r"[a-z0-9-]*", make_folder_name(title))


def test_what_the_page_keeps_is_checked(tmp_path: Path) -> None:
    place = Workplace.at(tmp_path)
    wrong = {"pixelsPerMm": 1e9, "language": "xx", "evil": "x", "inches": 3}
    assert place.keep_settings(wrong) == {}
    assert place.keep_settings({"pixelsPerMm": 10, "language": "fr"}) == {
        "pixelsPerMm": 10.0,
        "language": "fr",
    }
    assert json.loads(json.dumps(place.read_settings())) == place.read_settings()


# -- the shortcut ----------------------------------------------------------------------------------

FOLDER, PYTHON = Path('/home/m/Ada\'s "big" 100 % day'), "/opt/my python/bin/python"


def test_a_desktop_entry_runs_what_was_meant() -> None:
    """Desktop Entry Specification 1.5: a value is unescaped first, then Exec is parted by quotes,
    in which a backslash takes the meaning of \" ` $ \\ away, and %% is %."""
    name, text = make_shortcut(FOLDER, "linux", PYTHON)
    assert name.endswith(".desktop")
    entry = configparser.RawConfigParser(delimiters="=")
    entry.optionxform = str  # type: ignore[assignment,method-assign]
    entry.read_string(text)
    called = entry["Desktop Entry"]["Exec"].replace("\\\\", "\\")
    # Within double quotes a POSIX shell takes these escapes alike.
    assert [part.replace("%%", "%") for part in shlex.split(called)] == [
        PYTHON, "-m", "labelkit", "open", str(FOLDER),
    ]  # fmt: skip


def test_a_command_file_runs_what_was_meant() -> None:
    name, text = make_shortcut(FOLDER, "darwin", PYTHON)
    assert name.endswith(".command") and text.startswith("#!/bin/sh\n")
    assert shlex.split(text.split("\n")[1]) == [
        "exec", PYTHON, "-m", "labelkit", "open", str(FOLDER),
    ]  # fmt: skip


def test_a_batch_file_doubles_percent_signs() -> None:
    """In a batch file "%%" is a percent sign (from memory)."""
    name, text = make_shortcut(Path("/x/100 % day"), "win32", "C:\\python.exe")
    assert name.endswith(".bat") and "\r\n" in text
    assert '"C:\\python.exe" -m labelkit open "/x/100 %% day"' in text


def test_a_shortcut_can_be_run(tmp_path: Path) -> None:
    path = write_shortcut(tmp_path, "linux")
    assert path.parent == tmp_path
    assert os.name == "nt" or path.stat().st_mode & 0o100


def test_a_port_that_is_taken_is_told_in_a_line() -> None:
    with listen(0) as taken, pytest.raises(InputError) as found:
        listen(taken.getsockname()[1])
    assert re.fullmatch(r"--port.*: cannot be listened to; choose another.*", str(found.value))


def test_layouts_are_made_ready_while_nothing_is_asked(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not in the way of who types: the first is drawn when she has paused."""
    drawn: list[str] = []
    now = [100.0]
    monkeypatch.setattr(desk, "draw_layout", lambda name, _: drawn.append(name))
    monkeypatch.setattr("labelkit.desk.serve.time.monotonic", lambda: now[0])
    waited: list[int] = []

    def sleep(seconds: float) -> None:
        waited.append(len(drawn))
        now[0] += seconds

    monkeypatch.setattr("labelkit.desk.serve.time.sleep", sleep)
    desk.asked_at = now[0]
    warm_up_layouts(desk)
    assert waited and set(waited) == {0}
    assert drawn == [path.stem for path in sorted(find_layouts_folder().glob("*.toml"))]
