"""What a command prints: nothing that steers a terminal, and what happens when nobody reads it."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from command import labelkit

from labelkit.cli.streams import HarmlessStream

Event = Callable[..., Path]
COMMAND = (sys.executable, "-m", "labelkit")
PATIENCE_S = 600
"""By the clock, for what comes in a second where nothing else runs."""
EVIL = "a\x1b]0;x\x07\u202eb\u2066c\x9b31m\u200fd\x85e"
"""Sets a terminal's title, turns text around, and colours it (ECMA-48, and Unicode's UAX 9)."""


def steering(text: str) -> set[str]:
    """Letters that a line may not hold: control characters but the line's end, marks and overrides
    of direction, separators (Unicode general categories and the property Bidi_Control)."""
    bidi = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    return {
        letter
        for letter in text
        if (unicodedata.category(letter) in ("Cc", "Zl", "Zp") and letter != "\n")
        or unicodedata.bidirectional(letter) in bidi
        or letter in "\u061c\u200e\u200f"
    }


def written(text: str, encoding: str = "utf-8") -> bytes:
    raw = io.BytesIO()
    plain = io.TextIOWrapper(raw, encoding=encoding, newline="\n")
    stream = HarmlessStream(plain)
    stream.write(text)
    stream.detach()
    return raw.getvalue()


def test_letters_that_steer_a_terminal_are_written_out() -> None:
    text = written(EVIL).decode()
    assert steering(text) == set()
    assert text == r"a\u001b]0;x\u0007\u202eb\u2066c\u009b31m\u200fd\u0085e"


def test_every_control_character_and_mark_of_direction_is_written_out() -> None:
    """All of Unicode, but for tab and line feed."""
    found = steering("".join(map(chr, (*range(0xD800), *range(0xE000, 0x110000)))))
    assert len(found) > 70
    for letter in found - {"\t"}:
        assert written(letter).decode() == f"\\u{ord(letter):04x}"


def test_names_in_any_script_stay_as_they_are() -> None:
    """Joiners shape letters of Persian and of India; they are no marks of direction."""
    text = "Zoë نیم\u200cفاصله क्\u200dष ไทย\t🎉\n"
    assert written(text).decode() == text


def test_json_says_the_same() -> None:
    assert json.loads(written(json.dumps([EVIL], ensure_ascii=False)).decode()) == [EVIL]


def test_letters_that_a_terminal_lacks_are_written_out_too() -> None:
    assert written("Zoë €", "latin-1") == b"Zo\xeb \\u20ac"
    assert written("Zoë", "ascii").decode() == "Zoë"  # as click does


@pytest.mark.skipif(os.name != "posix", reason="names of files")
def test_success_lines_hold_nothing_that_steers_a_terminal(event: Event, tmp_path: Path) -> None:
    name = "\u202egpj\x1b[31m"
    label = event(
        ('fr = "Le Souper du phare"', 'fr = "Le \u202ephare"'), ("guests = 60", "guests = 6")
    )
    commands: tuple[tuple[object, ...], ...] = (
        ("sheet", label, "--out", tmp_path / name),
        ("proof", label, "--out", tmp_path / f"{name}.pdf"),
        ("plan", label),
        ("plan", label, "--format", "json"),
        ("plan", label, "--out", tmp_path / f"{name}.txt"),
        ("calibrate", "--page", "a4", "--out", tmp_path / f"{name}.pdf.pdf"),
        ("undo", "--maker", label.with_name("maker.toml")),
        ("preflight", label),
    )
    for command in commands:
        done = labelkit(*command)
        assert done.returncode in (0, 1), done.stderr
        assert steering(done.stdout + done.stderr) == set(), command


# -- pipes, and signals ----------------------------------------------------------------------------


@pytest.fixture
def closed() -> Iterator[int]:
    """The end of a pipe that nobody reads from."""
    reading, writing = os.pipe()
    os.close(reading)
    yield writing
    os.close(writing)


@pytest.mark.skipif(os.name != "posix", reason="pipes")
def test_a_pipe_that_closes_early_keeps_the_record_and_says_so(event: Event, closed: int) -> None:
    label = event()
    arguments = ("plan", label, "--on", "2027-03-01", "--record", "--format", "json")
    done = subprocess.run(
        [*COMMAND, *arguments], stdout=closed, stderr=subprocess.PIPE, text=True, check=False
    )
    assert done.returncode == 0
    assert "recorded lot LS-2704" in done.stderr
    assert done.stderr.endswith(
        "labelkit: nobody read all that was said; written and kept: trace.sqlite\n"
    )
    assert "Exception" not in done.stderr
    assert labelkit("trace", "OL-0311", "--maker", label.with_name("maker.toml")).returncode == 0


@pytest.mark.skipif(os.name != "posix", reason="pipes")
@pytest.mark.parametrize(
    ("changes", "code"), [((), 0), ((('trim = "44 x 28 mm"', 'trim = "44 x 14 mm"'),), 1)]
)
@pytest.mark.quick(1)
def test_a_closed_pipe_does_not_change_how_a_command_ends(
    event: Event, closed: int, changes: tuple[tuple[str, str], ...], code: int
) -> None:
    arguments = ("preflight", event(*changes), "--format", "json")
    done = subprocess.run(
        [*COMMAND, *arguments], stdout=closed, stderr=subprocess.PIPE, text=True, check=False
    )
    assert done.returncode == code
    assert "Error" not in done.stderr  # nothing was written, so nothing needs to be told


@pytest.mark.skipif(os.name != "posix", reason="POSIX signals")
@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
@pytest.mark.quick(1)
def test_a_polite_end_cleans_up_as_ctrl_c_does(
    ending: signal.Signals, event: Event, tmp_path: Path
) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    names = "\n".join(f"Guest {number}" for number in range(2000))
    label.with_name("guests.csv").write_text(f"name\n{names}\n", encoding="utf-8")
    out = tmp_path / "sheets"
    child = subprocess.Popen(
        [*COMMAND, "sheet", str(label), "--out", str(out), "--unapproved"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(ending, signal.SIG_DFL),  # a shell may ignore it
    )
    limit = time.monotonic() + PATIENCE_S
    while not (out.is_dir() and any(out.iterdir())):  # until it has begun to write
        assert time.monotonic() < limit
        time.sleep(0.01)
    child.send_signal(ending)
    _, said = child.communicate(timeout=PATIENCE_S)
    assert child.returncode == 128 + ending
    assert said.decode().endswith("labelkit: stopped; nothing was changed\n")
    assert not out.exists()
    assert not (label.parent / "labelkit-journal").exists()


def test_who_stops_it_after_the_files_have_their_names_is_told_so(
    event: Event, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from labelkit.common import files

    def stop(_: Path) -> None:
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(files, "sync_folder", stop)
    done = labelkit("proof", event(), "--out", tmp_path / "proof.pdf")
    assert done.returncode == 130
    assert done.stderr.endswith("labelkit: stopped; written and kept: proof.pdf, proof-maker.pdf\n")
    assert (tmp_path / "proof.pdf").exists()
