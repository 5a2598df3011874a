"""A killed run, a full disk, a folder that may not be written: the old files whole or the new."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from hard_case import SAMPLE
from hard_kills import dies_at
from hard_run import Limits, is_whole, start, wait

from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import prepare_job

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")

USUAL, POWERLESS = Limits(), Limits(powerless=True)
SAMPLE_FILES = ("label.toml", "maker.toml", "recipe.toml", "prices.toml")
MEASURED = ("--across", "171.1", "--up", "229.2", "--left", "20.4", "--foot", "20", "--edge", "5")
FORGOTTEN_LONG_AGO = 1_000_000_000
"""A file's time of change, in seconds since 1970."""


@dataclass(frozen=True)
class Command:
    """A command that writes, as its user gives it, and the files it writes."""

    arguments: tuple[str, ...]
    files: tuple[str, ...]

    def __str__(self) -> str:
        return self.arguments[0]


COMMANDS = (
    Command(("sheet", "label.toml", "--out", "out"), ("out/front.pdf", "out/back.pdf")),
    Command(
        ("plan", "label.toml", "--format", "pdf", "--out", "plan.pdf", "--ics", "days.ics",
         "--on", "2027-03-01"),
        ("plan.pdf", "days.ics"),
    ),
    Command(
        ("proof", "label.toml", "--out", "proof.pdf"), ("proof.pdf", "proof-maker.pdf")
    ),
    Command(
        ("calibrate", "--page", "letter", "--printer", "hall", *MEASURED), ("printers.toml",)
    ),
)  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the sample event that a run may spoil."""
    event = tmp_path / "event"
    event.mkdir()
    for name in SAMPLE_FILES:
        shutil.copy(SAMPLE / name, event)
    return event


def changed(folder: Path, *changes: tuple[str, str]) -> None:
    """Changes the label spec; other labels are to be told from the old ones."""
    path = folder / "label.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def ended(command: Sequence[str], folder: Path, limits: Limits = USUAL) -> tuple[int, str]:
    """Exit code and what was said on standard error."""
    code, _, _ = wait(start(command, folder, folder.parent, limits))
    return code, (folder.parent / "stderr").read_text(encoding="utf-8")


def contents(folder: Path, files: Sequence[str]) -> tuple[bytes | None, ...]:
    paths = [folder / name for name in files]
    return tuple(path.read_bytes() if path.exists() else None for path in paths)


# -- kill -9 ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "command",
    [pytest.param(c, marks=() if str(c) == "calibrate" else pytest.mark.long) for c in COMMANDS],
    ids=str,
)
def test_a_run_killed_at_any_change_of_a_file(command: Command, folder: Path) -> None:
    """Each file is the old one whole or the new one whole, wherever the run stops."""
    first = ("calibrate", "--page", "letter", "--printer", "hall", *MEASURED[:-1], "6")
    assert ended(first if str(command) == "calibrate" else command.arguments, folder)[0] == 0
    old = contents(folder, command.files)
    changed(folder, ("The Lighthouse Supper", "The Second Supper"), ("guests = 60", "guests = 61"))
    keep = folder.parent / "kept"
    shutil.copytree(folder, keep)
    assert ended(command.arguments, folder)[0] == 0
    new = contents(folder, command.files)
    assert None not in (*old, *new)
    assert old != new
    for number in range(500):
        shutil.rmtree(folder)
        shutil.copytree(keep, folder)
        child = start(
            command.arguments, folder, folder.parent, first=dies_at(number, folder.resolve())
        )
        code, _, _ = wait(child)
        found = contents(folder, command.files)
        assert all(one in pair for one, pair in zip(found, zip(old, new, strict=True), strict=True))
        if code != -signal.SIGKILL:
            break
    assert code == 0
    assert number > 5  # it was killed at least so often before it came through
    assert found == new


@pytest.mark.parametrize("command", COMMANDS[:3], ids=str)
@pytest.mark.quick(1)
def test_what_a_killed_run_left_is_swept_up_by_the_next(command: Command, folder: Path) -> None:
    """Unfinished files have hidden names, and go when they are older than a minute."""
    target = folder / command.files[0]
    target.parent.mkdir(exist_ok=True)
    left = target.parent / f".{target.name}.abcdefgh.part"
    other = target.parent / f".{target.name}.ijklmnop.part"
    for path in (left, other):
        path.write_bytes(b"%PDF-")
    os.utime(left, (FORGOTTEN_LONG_AGO, FORGOTTEN_LONG_AGO))
    assert ended(command.arguments, folder)[0] == 0
    assert not left.exists()
    assert other.exists()  # somebody may be about to write to it


@pytest.mark.parametrize("kills", [4, pytest.param(40, marks=pytest.mark.long)])
def test_a_record_of_batches_survives_any_kill(kills: int, folder: Path) -> None:
    """SQLite rolls back what was half written; the batch recorded before is always there."""
    record = ("plan", "label.toml", "--format", "json", "--record", "--on", "2027-03-01")
    assert ended(record, folder)[0] == 0
    changed(folder, ("LS-2704", "LS-2705"))
    chance = random.Random(20270619)
    for _ in range(kills):
        child = start(record, folder, folder.parent)
        time.sleep(chance.random() * 0.4)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        wait(child)
        with contextlib.closing(sqlite3.connect(folder / "trace.sqlite")) as database:
            assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            counts = dict(
                database.execute(
                    "SELECT s.lot, count(*) FROM state s JOIN used u ON u.state = s.id"
                    " GROUP BY s.lot"
                )
            )
        assert set(counts) in ({"LS-2704"}, {"LS-2704", "LS-2705"})
        assert len(set(counts.values())) == 1  # both batches are of the same recipe
    assert ended(("trace", "OL-0311"), folder)[0] == 0


@pytest.mark.long
def test_an_approval_survives_any_kill(folder: Path) -> None:
    """The one before is there whole until the new one is."""

    def approval() -> tuple[str, ...]:
        code = make_job_code(prepare_job(folder / "label.toml"))
        return ("proof", "label.toml", "--approved", code, "--on", "2027-05-02")

    assert ended(approval(), folder)[0] == 0
    kept = folder / "label.approval.toml"
    old = kept.read_bytes()
    changed(folder, ("The Lighthouse Supper", "The Second Supper"))
    found = {old}
    for number in range(100):
        kept.write_bytes(old)
        child = start(approval(), folder, folder.parent, first=dies_at(number, folder.resolve()))
        code, _, _ = wait(child)
        found.add(kept.read_bytes())
        if code != -signal.SIGKILL:
            break
    assert code == 0
    assert number > 3  # it was killed at least so often before it came through
    assert len(found) == 2
    assert b"The Second Supper" in kept.read_bytes()


# -- disks and permissions -------------------------------------------------------------------------


def one_line(code: int, said: str) -> str:
    assert code == 2
    assert said.count("\n") == 1
    assert said.startswith("labelkit: ")
    return said


@contextlib.contextmanager
def small_disk(place: Path) -> Iterator[Path]:
    """A file system of 16 kB, where this process may mount one."""
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(place)]
    try:
        mounted = subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("no file system may be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


@pytest.mark.parametrize("command", COMMANDS[:3], ids=str)
@pytest.mark.quick(1)
def test_a_full_disk_is_told_in_one_line(command: Command, folder: Path) -> None:
    with small_disk(folder / "full") as disk:
        there = disk / "out" if str(command) == "sheet" else disk / Path(command.files[0]).name
        wanted = Path(command.arguments[command.arguments.index("--out") + 1])
        arguments = [str(there) if a == str(wanted) else a for a in command.arguments]
        assert "No space left on device" in one_line(*ended(arguments, folder))
        assert [path for path in disk.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize("file_bytes", [0, 1, 4096, 20_000])
@pytest.mark.quick(2)
def test_a_file_that_cannot_grow_is_no_file(file_bytes: int, folder: Path) -> None:
    """The system's limit on the size of a file stops the writing in its middle."""
    command = ("sheet", "label.toml", "--out", "out")
    code, _, _ = wait(start(command, folder, folder.parent, Limits(file_bytes=file_bytes)))
    assert code == 2  # what was said falls under the same limit
    assert not (folder / "out").exists()
    assert sorted(path.name for path in folder.iterdir()) == sorted(SAMPLE_FILES)


@pytest.mark.parametrize("command", [*COMMANDS, Command(("new", "inner"), ())], ids=str)
@pytest.mark.quick(3)
def test_a_read_only_folder_is_told_in_one_line(command: Command, folder: Path) -> None:
    folder.chmod(0o555)
    said = one_line(*ended(command.arguments, folder, POWERLESS))
    assert "Permission denied" in said
    assert sorted(path.name for path in folder.iterdir()) == sorted(SAMPLE_FILES)


@pytest.mark.parametrize("name", SAMPLE_FILES[:3])
def test_a_file_that_lost_its_permissions_is_told_in_one_line(name: str, folder: Path) -> None:
    (folder / name).chmod(0)
    said = one_line(*ended(("sheet", "label.toml", "--out", "out"), folder, POWERLESS))
    assert name in said
    assert "Permission denied" in said or "is not readable" in said
    assert not (folder / "out").exists()


# -- two at once -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("runs", "rounds"), [(2, 1), pytest.param(3, 8, marks=pytest.mark.long)])
def test_runs_into_one_folder_do_not_mix(runs: int, rounds: int, folder: Path) -> None:
    """Fronts and backs that stand together at the end are of the same run."""
    sets = []
    for number, name in enumerate(("First Supper", "Second Supper", "Third Supper")[:runs]):
        text = (SAMPLE / "label.toml").read_text(encoding="utf-8")
        text = text.replace("The Lighthouse Supper", name).replace("LS-2704", f"LS-{number}")
        (folder / f"{number}.toml").write_text(text, encoding="utf-8")
        assert ended(("sheet", f"{number}.toml", "--out", f"out{number}"), folder)[0] == 0
        sets.append(contents(folder, (f"out{number}/front.pdf", f"out{number}/back.pdf")))
    assert len(set(sets)) == runs
    for _ in range(rounds):
        children = [
            start(("sheet", f"{number}.toml", "--out", "out"), folder, streams(folder, number))
            for number in range(runs)
        ]
        assert [wait(child)[0] for child in children] == [0] * runs
        assert contents(folder, ("out/front.pdf", "out/back.pdf")) in sets
        assert sorted(path.name for path in (folder / "out").iterdir()) == ["back.pdf", "front.pdf"]


def streams(folder: Path, number: int) -> Path:
    place = folder.parent / f"streams-{number}"
    place.mkdir(exist_ok=True)
    return place


@pytest.mark.parametrize("count", [4, pytest.param(8, marks=pytest.mark.long)])
def test_printers_measured_at_once_are_all_remembered(count: int, folder: Path) -> None:
    names = [f"printer {number}" for number in range(count)]
    children = [
        start(
            ("calibrate", "--page", "letter", "--printer", name, *MEASURED),
            folder,
            streams(folder, number),
        )
        for number, name in enumerate(names)
    ]
    assert [wait(child)[0] for child in children] == [0] * count
    text = (folder / "printers.toml").read_text(encoding="utf-8")
    assert all(f'"{name}"' in text for name in names)


@pytest.mark.parametrize("count", [2, pytest.param(4, marks=pytest.mark.long)])
def test_batches_recorded_at_once_are_all_remembered(count: int, folder: Path) -> None:
    text = (folder / "label.toml").read_text(encoding="utf-8")
    for number in range(count):
        changed_text = text.replace("LS-2704", f"LS-{number}")
        (folder / f"{number}.toml").write_text(changed_text, encoding="utf-8")
    children = [
        start(
            ("plan", f"{number}.toml", "--record", "--format", "json", "--on", "2027-03-01"),
            folder,
            streams(folder, number),
        )
        for number in range(count)
    ]
    assert [wait(child)[0] for child in children] == [0] * count
    with contextlib.closing(sqlite3.connect(folder / "trace.sqlite")) as database:
        lots = {lot for (lot,) in database.execute("SELECT lot FROM state")}
    assert lots == {f"LS-{number}" for number in range(count)}
    assert is_whole(folder / "trace.sqlite")
