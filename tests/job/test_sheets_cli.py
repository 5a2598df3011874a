"""``labelkit sheet`` as a maker meets it: options, progress, Ctrl-C."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
from command import labelkit
from sheet_events import SAMPLE

from labelkit.cli import progress
from labelkit.cli.progress import ProgressLine

LABEL = SAMPLE / "label.toml"


@pytest.mark.usefixtures("ink_on_trust")
def test_what_is_left_of_the_last_sheet_is_told(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    dies = ('layout = "lantern"', 'stock = "a4-4x8-44x28"\nlayout = "lantern"')
    label = personal("rest", ("A B",), "2", dies)
    done = labelkit("sheet", label, "--out", tmp_path, "--start", 3, "--skip", 4, "--skip", 9)
    assert done.returncode == 0, done.stderr
    assert "25 of 32 positions left: --start 7 --skip 9\n" in done.stdout


def test_a_position_the_stock_does_not_have(personal: Callable[..., Path], tmp_path: Path) -> None:
    dies = ('layout = "lantern"', 'stock = "a4-4x8-44x28"\nlayout = "lantern"')
    label = personal("beyond", ("A B",), "2", dies)
    done = labelkit("sheet", label, "--out", tmp_path / "out", "--start", 5000)
    assert done.returncode == 2
    assert "positions 1 to 32" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("option", [("--remember",), ("--start", "6"), ("--skip", "2")])
def test_sheets_that_are_cut_up_are_never_part_used(
    option: tuple[str, ...], tmp_path: Path
) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path / "out", *option)
    assert done.returncode == 2
    assert done.stderr == (
        f"labelkit: {option[0]}: 'letter-plain': is cut up once printed; only ready-cut"
        " labels are part-used\n"
    )
    assert not (tmp_path / "out").exists()


def test_an_unknown_printer_is_one_line_and_writes_nothing(tmp_path: Path) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path / "out", "--printer", "attic")
    assert done.returncode == 2
    assert "attic" in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("ink_on_trust")
def test_a_printer_and_none_at_once(tmp_path: Path) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path / "o", "--printer", "attic", "--no-printer")
    assert done.returncode == 2
    assert "choose one" in done.stderr
    assert labelkit("sheet", LABEL, "--out", tmp_path / "o", "--no-printer").returncode == 0


@pytest.mark.parametrize(
    "option", [("--start", "2"), ("--skip", "2"), ("--remember",), ("--two-sided", "long"),
               ("--printer", "x")]
)  # fmt: skip
def test_one_label_a_page_leaves_no_room_for_options_of_sheets(
    option: tuple[str, ...], tmp_path: Path
) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path / "out", "--one-per-page", *option)
    assert done.returncode == 2
    assert f"{option[0]} is for sheets" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("ink_on_trust")
def test_press_ready_and_two_sided_from_the_command_line(tmp_path: Path) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path, "--one-per-page")
    assert done.stdout.count("1 page, to be printed 66 times") == 2
    done = labelkit("sheet", LABEL, "--out", tmp_path, "--two-sided", "short")
    assert f"{tmp_path / 'both-sides.pdf'}: 66 front and back labels on 4 pages" in done.stdout


# -- progress --------------------------------------------------------------------------------------


class Terminal:
    def __init__(self, is_one: bool) -> None:
        self.is_one, self.written = is_one, ""

    def isatty(self) -> bool:
        return self.is_one


def told(monkeypatch: pytest.MonkeyPatch, terminal: Terminal, clock: list[float]) -> str:
    def echo(text: str, err: bool, nl: bool) -> None:
        assert (err, nl) == (True, False)
        terminal.written += text

    monkeypatch.setattr(progress.sys, "stderr", terminal)
    monkeypatch.setattr(progress.click, "echo", echo)
    monkeypatch.setattr(progress.time, "monotonic", lambda: clock.pop(0))
    with ProgressLine("work") as line:
        for done in range(1, len(clock) + 1):
            line(done, 10)
    return terminal.written


def test_quick_work_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(monkeypatch, Terminal(True), [0.0, 1.0, 1.9]) == ""


def test_slow_work_says_how_far_it_is_and_cleans_up(monkeypatch: pytest.MonkeyPatch) -> None:
    written = told(monkeypatch, Terminal(True), [0.0, 1.0, 2.5, 2.55, 3.0])
    assert written.split("\r\x1b[K") == ["", "work: 20 %", "work: 40 %", ""]


def test_what_goes_into_a_file_has_no_progress(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(monkeypatch, Terminal(False), [0.0, 5.0, 9.0]) == ""


@pytest.fixture(scope="module")
def twenty_thousand(personal: Callable[..., Path]) -> Path:
    return personal("many", tuple(f"Guest {n}" for n in range(20_000)), "0")


@pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals")
@pytest.mark.long
def test_long_work_shows_on_a_terminal_and_ctrl_c_leaves_nothing(
    twenty_thousand: Path, tmp_path: Path
) -> None:
    out = tmp_path / "sheets"
    master, slave = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "labelkit", "sheet", str(twenty_thousand), "--out", str(out)],
        stdout=subprocess.DEVNULL,
        stderr=slave,
    )
    os.close(slave)
    shown = ""
    while "labels drawn and read back" not in shown:  # the end of the file is an error
        shown += os.read(master, 1000).decode()
    assert any(out.iterdir())  # it has begun to write
    child.send_signal(signal.SIGINT)
    while select.select([master], [], [], 60)[0]:
        try:
            shown += os.read(master, 1000).decode()
        except OSError:  # the other end is closed
            break
    assert child.wait(60) == 130
    os.close(master)
    assert "stopped; nothing was changed" in shown
    assert not out.exists()


@pytest.mark.long
@pytest.mark.skipif(os.name != "posix", reason="POSIX signals")
@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGKILL])
def test_a_job_that_is_stopped_leaves_the_last_sheets_whole(
    ending: signal.Signals, twenty_thousand: Path, tmp_path: Path
) -> None:
    (tmp_path / "front.pdf").write_bytes(b"the last front")
    (tmp_path / "back.pdf").write_bytes(b"the last back")
    child = subprocess.Popen(
        [sys.executable, "-m", "labelkit", "sheet", str(twenty_thousand), "--out", str(tmp_path)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    while not any(p.stat().st_size > 50_000 for p in tmp_path.glob(".front.pdf.*.part")):
        assert child.poll() is None
        time.sleep(0.01)
    child.send_signal(ending)
    assert child.wait(60) == (130 if ending is signal.SIGINT else -signal.SIGKILL)
    assert (tmp_path / "front.pdf").read_bytes() == b"the last front"
    assert (tmp_path / "back.pdf").read_bytes() == b"the last back"
    if ending is signal.SIGINT:
        assert sorted(p.name for p in tmp_path.iterdir()) == ["back.pdf", "front.pdf"]


# -- some guests only ------------------------------------------------------------------------------

LIST = ("Ana Lund", "Bo Lund", "Siobhán O'Hara", '"Bakker, Jan"')


def printed(path: Path) -> str:
    """What stands on the pages of a file, as PDFium reads it."""
    pages = (page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path))
    return " ".join(" ".join(text.split()) for text in pages)


@pytest.mark.parametrize(
    ("asked", "names"),
    [
        (("Ana Lund",), {"Ana Lund": 1}),
        (("bo lund, ana  lund",), {"Ana Lund": 1, "Bo Lund": 1}),
        (("Ana Lund,Ana Lund",), {"Ana Lund": 2}),
        (("Siobhán O’Hara", "Bakker, Jan"), {"Hara": 1, "Bakker, Jan": 1}),
    ],
)
def test_the_labels_of_some_guests_are_printed_again(
    asked: tuple[str, ...],
    names: dict[str, int],
    personal: Callable[..., Path],
    tmp_path: Path,
) -> None:
    label = personal("again", LIST, "2")
    options = [word for text in asked for word in ("--guests", text)]
    done = labelkit("sheet", label, "--out", tmp_path, *options)
    assert done.returncode == 0, done.stderr
    count = sum(names.values())
    people = "1 guest" if count == 1 else f"{count} guests"
    assert f"({people} + 0 spares)" in done.stdout
    front = printed(tmp_path / "front.pdf")
    for name in ("Ana Lund", "Bo Lund", "Hara", "Bakker, Jan"):
        assert front.count(name) == names.get(name, 0), name


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("Anna Lund", "--guests: 'Anna Lund': is not on the guest list; did you mean Ana Lund"),
        ("Ana Lund, Xavier", "--guests: 'Xavier': is not on the guest list"),
        ("", "--guests: '': is not on the guest list"),
        (",", "--guests: ',': is not on the guest list"),
    ],
)
def test_who_is_not_on_the_list_is_told(
    asked: str, told: str, personal: Callable[..., Path], tmp_path: Path
) -> None:
    done = labelkit(
        "sheet", personal("who", LIST, "2"), "--out", tmp_path / "out", "--guests", asked
    )
    assert done.returncode == 2
    assert done.stderr.startswith(f"labelkit: {told}")
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_without_a_guest_list_there_are_no_guests_to_choose(tmp_path: Path) -> None:
    done = labelkit("sheet", LABEL, "--out", tmp_path / "out", "--guests", "Ana")
    assert done.returncode == 2
    assert "label.toml: event.guest_list: missing; --guests prints labels" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("ink_on_trust")
def test_labels_printed_again_begin_where_the_sheet_is_free_without_a_warning(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal(
        "rest-again",
        LIST,
        "2",
        ('layout = "lantern"', 'stock = "a4-4x8-44x28"\nlayout = "lantern"'),
    )
    first = labelkit("sheet", label, "--out", tmp_path, "--remember")
    assert first.returncode == 0, first.stderr
    again = labelkit("sheet", label, "--out", tmp_path, "--remember", "--guests", "Bo Lund")
    # 4 guests and 2 spares took positions 1 to 6.
    assert "Begun at position 7, where the last job ended" in again.stdout
    assert "made before" not in again.stdout
