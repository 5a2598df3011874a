"""Runs one case in a process of its own, and says what a maker would have to complain of.

The process is forked from one that has imported labelkit and made the sample once, so that ten
thousand cases take minutes, and yet each has its own limits: processor time, memory, file size.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import io
import json
import os
import re
import resource
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
import tomllib
import traceback
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from unittest import mock

from hard_case import SAMPLE, Case

from labelkit.common.errors import ExitCode
from labelkit.common.journal import Journal
from labelkit.order.mistakes import MOST_TOLD

CPU_S = 10
"""A command that computes for longer hangs. Processor time, so that a busy machine is no fault."""
WAIT_S = 900.0
"""A command that is not done by then, on however busy a machine, waits for what never comes."""
MEMORY_BYTES = 1 << 30
FRESH_BYTES = 256 << 20
"""What a process of these tests holds before it has run many of them, roughly."""
FILE_BYTES = 1 << 28
_CRASHED = 99
_LONGEST_LINE = 2000
_STEERING = {"Cc", "Cf", "Cs", "Zl", "Zp"}
"""Unicode categories of letters that steer a terminal, turn text around, or break lines."""


@dataclass(frozen=True)
class Outcome:
    """What a command left behind."""

    code: int
    """Exit code; below zero the signal that ended it."""
    stdout: str
    stderr: str
    cpu_s: float
    peak_mib: float
    faults: tuple[str, ...] = field(default=())
    """What is wrong with it; nothing is as it should be."""


def run(case: Case) -> Outcome:
    """Runs a case in a fresh folder."""
    warm()
    place = Path(tempfile.mkdtemp(prefix="hard-"))
    try:
        folder = place / "event"
        folder.mkdir()
        case.make(folder)
        before = _listing(folder)
        code, cpu_s, peak_mib = _forked(case, place, folder)
        stdout = _text(place / "stdout")
        stderr = _text(place / "stderr")
        faults = (
            *_faults_of_end(case.ends, code, stdout, stderr),
            *_faults_of_files(folder, before, code),
        )
        return Outcome(code, stdout, stderr, cpu_s, peak_mib, faults)
    finally:
        shutil.rmtree(place, ignore_errors=True)


@lru_cache(maxsize=1)
def warm() -> None:
    """Imports every command and fills the caches, so that each case starts from there."""
    from labelkit.cli import main

    with tempfile.TemporaryDirectory(prefix="hard-warm-") as folder:
        label, out = str(SAMPLE / "label.toml"), f"{folder}/out"
        front = f"{out}/front.pdf"
        commands = (
            ["sheet", label, "--out", out],
            ["preflight", label, "--pdf", front],
            ["proof", label, "--out", f"{folder}/proof.pdf", "--png", folder],
            ["plan", label, "--format", "pdf", "--out", f"{folder}/plan.pdf"],
            ["declare", str(SAMPLE / "recipe.toml")],
            ["stock"],
            ["print", front, "--out", f"{folder}/true.pdf"],
            ["calibrate", "--page", "a4", "--out", f"{folder}/calibration.pdf"],
            ["rules", "--region", "CA"],
        )
        for command in commands:
            streams = io.StringIO(), io.StringIO()
            with (
                contextlib.redirect_stdout(streams[0]),
                contextlib.redirect_stderr(streams[1]),
                mock.patch("labelkit.job.proof.PNG_DPI", 72),
            ):
                try:
                    main(command)
                except SystemExit as done:
                    if done.code not in (0, 1):
                        raise RuntimeError(f"{command}: {streams[1].getvalue()}") from done


@dataclass(frozen=True)
class Limits:
    """What a command may use, and whom it runs as."""

    cpu_s: int = CPU_S
    memory_bytes: int = MEMORY_BYTES
    file_bytes: int = FILE_BYTES
    powerless: bool = False
    """Bound by the permissions of files, as a superuser is not."""


def start(
    arguments: Sequence[str],
    folder: Path,
    streams: Path,
    limits: Limits | None = None,
    first: Callable[[], None] | None = None,
) -> int:
    """Starts ``labelkit`` in a folder, in a process of its own, and returns the process's number.

    What it prints goes to stdout and stderr in ``streams``; ``first`` is called in the new process
    before anything else.
    """
    warm()
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child == 0:
        _be_the_command(arguments, folder, streams, limits or Limits(), first)
    return child


def _forked(case: Case, place: Path, folder: Path) -> tuple[int, float, float]:
    """Exit code (below zero: a signal), processor seconds and peak memory of one command."""
    return wait(start(case.arguments, folder, place, Limits(powerless=case.unprivileged)))


def wait(child: int) -> tuple[int, float, float]:
    """Exit code, processor seconds and peak memory (MiB) of a command that was started."""
    started, pause = time.monotonic(), 0.001
    while True:
        done, status, used = os.wait4(child, os.WNOHANG)
        if done:
            break
        if time.monotonic() - started > WAIT_S:
            os.kill(child, signal.SIGKILL)
        time.sleep(pause)
        pause = min(pause * 1.5, 0.02)
    code = os.waitstatus_to_exitcode(status)
    return code, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def _be_the_command(
    arguments: Sequence[str],
    folder: Path,
    streams: Path,
    limits: Limits,
    first: Callable[[], None] | None,
) -> None:
    """Never returns."""
    code = _CRASHED
    gc.freeze()  # a fresh command has nothing of what other tests hold to look through
    try:
        for number, name in (
            (0, os.devnull),
            (1, str(streams / "stdout")),
            (2, str(streams / "stderr")),
        ):
            flags = os.O_RDONLY if number == 0 else os.O_WRONLY | os.O_CREAT | os.O_TRUNC
            os.dup2(os.open(name, flags, 0o644), number)
        for which, limit in (
            (resource.RLIMIT_CPU, limits.cpu_s),
            (resource.RLIMIT_AS, limits.memory_bytes + _held_already()),
            (resource.RLIMIT_FSIZE, limits.file_bytes),
            (resource.RLIMIT_CORE, 0),
        ):
            resource.setrlimit(which, (limit, limit))
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        os.chdir(folder)
        if limits.powerless and os.geteuid() == 0:
            _give_up_power()
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)  # noqa: SIM115
        from labelkit.cli import main

        if first is not None:
            first()
        try:
            main(list(arguments))
        except SystemExit as done:
            code = done.code if isinstance(done.code, int) else 0 if done.code is None else _CRASHED
    except BaseException:
        traceback.print_exc()
    finally:
        with contextlib.suppress(Exception):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)


def _held_already() -> int:
    """What other tests left in this process before it was forked, beyond a fresh command's own."""
    with contextlib.suppress(OSError):
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        return max(0, pages * resource.getpagesize() - FRESH_BYTES)
    return 0


def _give_up_power() -> None:
    """Drops every capability of a superuser (Linux, capset(2): version 3, from memory)."""
    libc = ctypes.CDLL(None, use_errno=True)
    header = (ctypes.c_uint32 * 2)(0x20080522, 0)
    if libc.capset(header, (ctypes.c_uint32 * 6)()):
        raise OSError(ctypes.get_errno(), "capset")


def _text(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            return stream.read(2_000_000).decode("utf-8", "backslashreplace")
    except OSError:
        return ""


# -- what a maker would complain of ----------------------------------------------------------------


def _faults_of_end(wanted: int | None, code: int, stdout: str, stderr: str) -> Iterator[str]:
    """The exit code, and what was said."""
    if wanted is not None and code != wanted:
        yield f"ends with {code} instead of {wanted}: {_where(stderr)}"
    if code in (-signal.SIGKILL, -signal.SIGXCPU):
        yield f"hangs: over {CPU_S} s of computing, or {WAIT_S:g} s of waiting"
    elif "MemoryError" in stderr:
        yield f"asks for over {MEMORY_BYTES >> 20} MiB: {_last_line(stderr)}"
    elif code == ExitCode.FAULT:
        yield f"is at fault itself: {_last_line(stderr)[:200]}"
    elif code not in (0, 1, 2):
        yield f"ends with {code}: {_where(stderr)}"
    for name, text in (("stdout", stdout), ("stderr", stderr)):
        if "Traceback (most recent call last)" in text and code in (0, 1, 2):
            yield f"prints a traceback on {name}: {_where(text)}"
    if code == 2:
        lines = stderr.split("\n")
        *told, last = lines
        if not told or last or not all(line.startswith("labelkit: ") for line in told):
            yield f"exit 2 says something else than a line for each mistake: {stderr[:300]!r}"
        elif len(told) > MOST_TOLD or len(set(told)) < len(told):
            yield f"exit 2 says too much: {stderr[:300]!r}"
        elif (longest := max(map(len, lines))) > _LONGEST_LINE:
            yield f"exit 2 says {longest} letters"
        elif any(unicodedata.category(c) in _STEERING for line in lines for c in line):
            yield f"exit 2 writes control characters: {lines[0][:300]!r}"
    if code == 1 and not (stdout.strip() or stderr.strip()):
        yield "exit 1 says nothing"
    if any(ord(letter) == 0x1B for letter in stdout + stderr):
        yield "writes escape sequences to the terminal"


def _last_line(text: str) -> str:
    lines = text.strip().splitlines()
    return lines[-1] if lines else "nothing said"


def _where(text: str) -> str:
    """The last frame inside labelkit, and the error."""
    frames = re.findall(r'File "[^"]*/labelkit/([^"]+)", line (\d+), in (\w+)', text)
    place = ":".join(frames[-1]) if frames else "?"
    return f"{place}: {_last_line(text)[:200]}"


def _listing(folder: Path) -> dict[str, bytes | None]:
    """Every path of the folder with its bytes; None for what is no small plain file."""
    return {str(path.relative_to(folder)): _small(path) for path in sorted(folder.rglob("*"))}


def _small(path: Path) -> bytes | None:
    try:
        plain = path.is_file() and not path.is_symlink()
        return path.read_bytes() if plain and path.stat().st_size < 2_000_000 else None
    except OSError:
        return None


def _faults_of_files(folder: Path, before: dict[str, bytes | None], code: int) -> Iterator[str]:
    """Nothing of the maker's changed, nothing half written, nothing at all after exit 2."""
    with contextlib.suppress(OSError):
        after = _listing(folder)
        for name, data in before.items():
            if name in _KEPT_ON or name not in _OWN:
                continue
            if after.get(name) != data:
                yield f"changes the maker's own {name}"
        for name in after.keys() - before.keys():
            yield from _faults_of_new(folder / name, name, code)


_OWN = ("label.toml", "maker.toml", "recipe.toml", "prices.toml", "guests.csv", "weights.csv")
_KEPT_ON = ("printers.toml", "trace.sqlite")
"""What labelkit itself keeps from run to run."""


def _faults_of_new(path: Path, name: str, code: int) -> Iterator[str]:
    if path.name.endswith((".part", ".sqlite-journal")):
        yield f"leaves {name} behind"
    elif path.is_file() and code not in (0, 1):
        yield f"writes {name} and ends with {code}"
    elif path.is_file() and not is_whole(path):
        yield f"leaves a part of {name}"


def is_whole(path: Path) -> bool:
    """Whether a finished file is all there, as far as its format shows."""
    data = path.read_bytes()
    if path.suffix == ".pdf":
        return data.startswith(b"%PDF-") and data.rstrip().endswith(b"%%EOF")
    if path.suffix == ".png":
        return data.startswith(b"\x89PNG") and data.endswith(b"IEND\xaeB`\x82")
    if path.suffix == ".toml":
        tomllib.loads(data.decode("utf-8"))
        return True
    if path.suffix == ".json":
        json.loads(data)
        return True
    if path.suffix == ".jsonl":
        return bool(Journal(path.parent.parent).read_entries())
    if path.suffix == ".ics":
        return data.endswith(b"END:VCALENDAR\r\n")
    if path.suffix == ".sqlite":
        with contextlib.closing(sqlite3.connect(path)) as database:
            return database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    return bool(data)


def shown(case: Case, outcome: Outcome) -> str:
    """A failing case for a person to read."""
    lines: Sequence[str] = (
        f"{case.kind}: {case.what}",
        f"  labelkit {' '.join(case.arguments)}",
        *(f"  {fault}" for fault in outcome.faults),
        f"  {outcome.cpu_s:.1f} s, {outcome.peak_mib:.0f} MiB",
    )
    return "\n".join(lines)
