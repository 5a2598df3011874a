"""The journal and every file are whole, wherever a command that writes is killed, and whoever else
writes meanwhile."""

from __future__ import annotations

import contextlib
import hashlib
import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from hard_case import SAMPLE
from hard_kills import dies_at
from hard_run import Limits, is_whole, start, wait

from labelkit.common.journal import FOLDER_NAME, Journal, JournalledFiles
from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import prepare_job
from labelkit.order.part_used import read_part_used

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")

MEASURED = ("--across", "171.1", "--up", "229.2", "--left", "20.4", "--foot", "20", "--edge")
STOCK = (
    "--page", "210 x 297", "--across", "1", "--down", "1", "--label", "63 x 38", "--top", "15",
    "--shape", "rectangle", "--left",
)  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the sample event on ready-cut stock, with a list of guests."""
    event = tmp_path / "event"
    event.mkdir()
    for name in ("label.toml", "maker.toml", "recipe.toml", "prices.toml"):
        shutil.copy(SAMPLE / name, event)
    edit(event / "maker.toml", '"letter-plain"', '"a4-4x8-44x28"')
    edit(event / "label.toml", "guests = 60\n", 'guest_list = "guests.txt"\n')
    edit(event / "label.toml", 'spares = "10 %"', "spares = 0")
    (event / "guests.txt").write_text("Ana\nBo\nCy\n", encoding="utf-8")
    return event


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def run(folder: Path, *arguments: str, first: Callable[[], None] | None = None) -> int:
    return wait(start(arguments, folder, folder.parent, Limits(), first))[0]


# -- kills -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Writing:
    """A command that writes, as it is given first and then again with something to replace."""

    name: str
    first: tuple[str, ...]
    again: tuple[str, ...] = ()
    """The same unless given."""
    keeps: tuple[str, ...] = ()
    """Files that it changes in place, each whole by its own format."""
    before: tuple[tuple[str, ...], ...] = ()
    """Commands that make what it is given."""

    def __str__(self) -> str:
        return self.name


WRITING = (
    Writing("sheet", ("sheet", "label.toml", "--out", "out")),
    Writing("remember", ("sheet", "label.toml", "--out", "out", "--remember")),
    Writing("proof", ("proof", "label.toml", "--out", "proof.pdf")),
    Writing("approval", ("proof", "label.toml", "--approved", "CODE", "--on", "2027-05-02")),
    Writing(
        "plan",
        ("plan", "label.toml", "--out", "plan.pdf", "--ics", "days.ics", "--on", "2027-03-01"),
    ),
    Writing(
        "record",
        ("plan", "label.toml", "--out", "plan.txt", "--record", "--on", "2027-03-01"),
        keeps=("trace.sqlite",),
    ),
    Writing(
        "calibrate",
        ("calibrate", "--page", "letter", "--printer", "hall", *MEASURED, "5"),
        ("calibrate", "--page", "letter", "--printer", "hall", *MEASURED, "6"),
    ),
    Writing(
        "calibration page",
        ("calibrate", "--page", "a4", "--out", "page.pdf"),
        ("calibrate", "--page", "letter", "--out", "page.pdf"),
    ),
    Writing(
        "stock show",
        ("stock", "show", "a4-plain", "--out", "stock.pdf"),
        ("stock", "show", "letter-plain", "--out", "stock.pdf"),
    ),
    Writing(
        "stock measure",
        ("stock", "measure", "--out", "mine.toml", *STOCK, "7"),
        ("stock", "measure", "--force", "--out", "mine.toml", *STOCK, "8"),
    ),
    Writing(
        "print",
        ("print", "a4.pdf", "--out", "true.pdf"),
        ("print", "letter.pdf", "--out", "true.pdf"),
        before=tuple(
            ("calibrate", "--page", page, "--out", f"{page}.pdf") for page in ("a4", "letter")
        ),
    ),
    Writing("schema", ("schema", "--out", "schemas")),
    Writing("new", ("new", "first"), ("new", "second")),
    Writing(
        "withdraw",
        ("plan", "label.toml", "--record", "--format", "json", "--on", "2027-03-01"),
        ("trace", "LS-2704", "--withdraw"),
        keeps=("trace.sqlite",),
    ),
    Writing("undo", ("plan", "label.toml", "--out", "plan.txt", "--on", "2027-03-01"), ("undo",)),
)


def contents(folder: Path, keeps: Sequence[str]) -> dict[str, bytes]:
    """Every file but those that are kept in place, unfinished ones and the journal."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and FOLDER_NAME not in path.parts
        and not path.name.endswith((".part", "-journal"))
        and path.name not in keeps
    }


def check_whole(folder: Path, old: dict[str, bytes], new: dict[str, bytes], keeps: Sequence[str],
                lines: bytes) -> None:  # fmt: skip
    """Each file is the old one or the new one, the journal goes on from where it was, and knows
    every file that is not the old one."""
    found = contents(folder, keeps)
    for name in old.keys() | new.keys():
        assert found.get(name) in (old.get(name), new.get(name)), name
    assert found.keys() <= old.keys() | new.keys()
    for name in keeps:
        assert is_whole(folder / name)
    journal = Journal(folder)
    assert journal.path.read_bytes().startswith(lines)
    known = {file.sha256 for entry in journal.read_entries() for file in entry.files}
    known |= {file.was for entry in journal.read_entries() for file in entry.files}
    for name, data in found.items():
        if data != old.get(name):
            assert hashlib.sha256(data).hexdigest() in known, name


@pytest.mark.parametrize("kills", [3, pytest.param(200, marks=pytest.mark.long)])
@pytest.mark.parametrize("command", WRITING, ids=str)
@pytest.mark.quick(1)
def test_whatever_is_killed_while_it_writes_leaves_all_files_and_the_journal_whole(
    command: Writing, kills: int, folder: Path
) -> None:
    """Half of the kills are at changes of files one after the other, half at any moment.

    A command works up to where it begins to write; from there it goes on again and again, each time
    in another process, which is killed.
    """
    prepared = prepare(command, folder)
    killed: list[int] = []

    def fork_and_kill() -> bool:
        """In the command's process; whether this is the copy of it that is to go on."""
        here = Path.cwd()
        kept = here.parent / "begun"
        shutil.copytree(here, kept, symlinks=True)
        # An alarm is as likely to come while it writes as later: the time follows how it ended.
        chance, changes, until_s = random.Random(20270619), 0, 0.05
        for number in range(kills):
            child = os.fork()
            if child == 0:
                if changes >= 0 and number % 2 == 0:
                    dies_at(changes, here)()
                else:
                    signal.signal(signal.SIGALRM, signal.SIG_DFL)
                    signal.setitimer(signal.ITIMER_REAL, max(1e-6, chance.random() * until_s))
                return True
            chance.random()
            code = wait(child)[0]
            if number % 2 or changes < 0:
                until_s *= 0.85 if code == 0 else 1.15
            if code == 0:
                changes = -1 if number % 2 == 0 else changes
            elif changes >= 0 and number % 2 == 0:
                changes += 1
            assert code in (0, -signal.SIGKILL, -signal.SIGALRM), code
            killed.append(code)
            prepared.check(here)
            refill(here, kept)
        assert sum(code != 0 for code in killed) > kills / 3
        return False

    first = fork_where_it_writes(fork_and_kill)
    child = start(prepared.arguments, folder, folder.parent, Limits(cpu_s=3600), first)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])  # it takes as long as it takes
    assert code == 0, (folder.parent / "stderr").read_text(encoding="utf-8")
    assert (folder.parent / "begun").is_dir()


@pytest.mark.parametrize("kills", [2, 20])
@pytest.mark.parametrize("command", WRITING, ids=str)
@pytest.mark.long
def test_nothing_is_in_the_way_of_the_run_after_one_that_was_killed(
    command: Writing, kills: int, folder: Path
) -> None:
    """The whole command, killed at any moment; then once more."""
    prepared = prepare(command, folder)
    kept = folder.parent / "kept"
    shutil.copytree(folder, kept)
    chance = random.Random(20270619)
    for _ in range(kills):
        began = time.monotonic()
        assert run(folder, *prepared.arguments) == 0
        took_s = time.monotonic() - began
        refill(folder, kept)
        child = start(prepared.arguments, folder, folder.parent)
        time.sleep(chance.random() * took_s)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        code, _, _ = wait(child)
        prepared.check(folder)
        done = contents(folder, command.keeps) == prepared.new
        if not (done and command.name in ("new", "undo", "remember")):
            code_after = run(folder, *prepared.arguments)
            assert code_after == 0 or (
                command.name == "withdraw" and code_after == 2
            )  # it was done
        assert code in (0, -signal.SIGKILL)
        assert contents(folder, command.keeps) == prepared.new
        refill(folder, kept)


@dataclass(frozen=True)
class Prepared:
    """A command whose files are there from an earlier run, and what they are before and after."""

    arguments: tuple[str, ...]
    old: dict[str, bytes]
    new: dict[str, bytes]
    keeps: tuple[str, ...]
    lines: bytes

    def check(self, folder: Path) -> None:
        check_whole(folder, self.old, self.new, self.keeps, self.lines)


def prepare(command: Writing, folder: Path) -> Prepared:
    """Runs a command, changes its order, and looks what it would write then."""
    first = arguments_of(command.first, folder)
    for arguments in (*command.before, first):
        assert run(folder, *arguments) == 0
    edit(folder / "label.toml", "The Lighthouse Supper", "The Second Supper")
    edit(folder / "guests.txt", "Bo", "Bob")
    if command.name == "undo":
        assert run(folder, *first) == 0
    arguments = arguments_of(command.again or command.first, folder)
    old, lines = contents(folder, command.keeps), Journal(folder).path.read_bytes()
    before = folder.parent / "before"
    shutil.copytree(folder, before)
    assert run(folder, *arguments) == 0
    new = contents(folder, command.keeps)
    assert new != old or command.name in ("schema", "withdraw")
    refill(folder, before)
    return Prepared(arguments, old, new, command.keeps, lines)


def refill(folder: Path, kept: Path) -> None:
    """Makes a folder hold what another one holds; it stays the folder it is."""
    for path in folder.iterdir():
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()
    shutil.copytree(kept, folder, dirs_exist_ok=True, symlinks=True)


def fork_where_it_writes(fork_and_kill: Callable[[], bool]) -> Callable[[], None]:
    """To be called in a command's process: has it forked when it begins to write for good."""

    def install() -> None:
        commit, connect = JournalledFiles.commit, sqlite3.connect
        forked: list[bool] = []

        def fork_once() -> None:
            if forked:
                return
            forked.append(True)
            if not fork_and_kill():
                os._exit(0)

        def fork_and_commit(self: JournalledFiles) -> None:
            for stream in self._streams.values():
                stream.flush()  # what is in no file yet would be written by each of the processes
            fork_once()
            commit(self)

        def fork_and_connect(*arguments: object, **options: object) -> object:
            fork_once()
            return connect(*arguments, **options)  # type: ignore[call-overload]

        JournalledFiles.commit = fork_and_commit  # type: ignore[method-assign]
        sqlite3.connect = fork_and_connect  # type: ignore[assignment]

    return install


def arguments_of(arguments: Sequence[str], folder: Path) -> tuple[str, ...]:
    code = make_job_code(prepare_job(folder / "label.toml")) if "CODE" in arguments else ""
    return tuple(code if one == "CODE" else one for one in arguments)


# -- several at once -------------------------------------------------------------------------------


@pytest.mark.parametrize("rounds", [1, pytest.param(10, marks=pytest.mark.long)])
def test_runs_that_remember_positions_never_begin_on_the_same_labels(
    rounds: int, folder: Path
) -> None:
    """Three jobs of three labels each, at the same time, on one sheet of 32."""
    for _ in range(rounds):
        shutil.rmtree(folder / FOLDER_NAME, ignore_errors=True)
        (folder / "part-used.toml").unlink(missing_ok=True)
        children = []
        for number in range(3):
            streams = folder.parent / f"streams-{number}"
            streams.mkdir(exist_ok=True)
            shutil.rmtree(folder / f"out{number}", ignore_errors=True)
            arguments = ("sheet", "label.toml", "--out", f"out{number}", "--remember")
            children.append(start(arguments, folder, streams))
        assert [wait(child)[0] for child in children] == [0, 0, 0]
        entries = Journal(folder).read_entries()
        assert [entry.details["start"] for entry in entries] == [1, 4, 7]
        assert [entry.details["next"] for entry in entries] == [4, 7, 10]
        assert read_part_used(folder / "part-used.toml")[0].start == 10


@pytest.mark.parametrize("runs", [3, pytest.param(6, marks=pytest.mark.long)])
def test_lines_of_runs_at_the_same_time_all_stand_in_the_journal(runs: int, folder: Path) -> None:
    children = []
    for number in range(runs):
        streams = folder.parent / f"streams-{number}"
        streams.mkdir()
        arguments = ("plan", "label.toml", "--out", f"{number}.txt", "--on", "2027-03-01")
        children.append(start(arguments, folder, streams))
    assert [wait(child)[0] for child in children] == [0] * runs
    entries = Journal(folder).read_entries()
    assert [entry.number for entry in entries] == [*range(1, runs + 1)]
    assert {file.path for entry in entries for file in entry.files} == {
        f"{number}.txt" for number in range(runs)
    }


def test_a_first_record_that_is_killed_is_no_record(folder: Path) -> None:
    record = ("plan", "label.toml", "--format", "json", "--record", "--on", "2027-03-01")
    (folder / "trace.sqlite").write_bytes(b"")  # as SQLite leaves it before its first page
    assert run(folder, "trace", "OL-0311") == 2
    said = (folder.parent / "stderr").read_text(encoding="utf-8")
    assert "no such file; `labelkit plan LABEL.toml --record` writes it" in said
    assert run(folder, *record) == 0
    assert run(folder, "trace", "OL-0311") == 0
    with contextlib.closing(sqlite3.connect(folder / "trace.sqlite")) as database:
        assert database.execute("SELECT count(*) FROM state").fetchone() == (1,)


# -- what the system is asked ----------------------------------------------------------------------


def test_the_system_is_asked_for_locks_and_syncs_in_this_order(folder: Path) -> None:
    """By strace: the lock, the files' bytes, the journal's line, the names, the folders."""
    assert run(folder, "plan", "label.toml", "--out", "plan.txt", "--on", "2027-03-01") == 0
    edit(folder / "label.toml", "The Lighthouse Supper", "The Second Supper")
    log = folder.parent / "calls"
    command = (
        "strace", "-f", "-y", "-o", str(log), "-e", "trace=flock,fsync,rename,unlink",
        sys.executable, "-m", "labelkit", "plan", "label.toml", "--out", "plan.txt",
        "--on", "2027-03-01",
    )  # fmt: skip
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    except FileNotFoundError:
        pytest.skip("there is no strace here")
    if "ptrace" in done.stderr:
        pytest.skip("no process may be watched here")
    assert done.returncode == 0, done.stderr
    steps = []
    for line in log.read_text(encoding="utf-8").splitlines():
        found = re.search(r'(flock|fsync|rename|unlink)\((?:".*", )?(?:\d+<|")([^">]+)', line)
        if found is not None:
            name = Path(found[2]).name
            steps.append(f"{found[1]} {'part' if name.endswith('.part') else name}")
    wanted = [
        "flock lock", "fsync part", "flock event", "fsync replaced", "fsync journal.jsonl",
        "rename plan.txt", "fsync event", "unlink lock",
    ]  # fmt: skip
    assert [step for step in steps if step in wanted] == wanted
