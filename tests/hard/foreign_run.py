"""Runs one command on a folder in a process of its own, and says what is wrong with how it ended.

Computing time and memory are those of the command and all its children.
"""

from __future__ import annotations

import contextlib
import os
import re
import resource
import signal
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

CPU_S, MEMORY_MIB = 10.0, 500
ENDED_S, WAIT_S, GONE_S = 60, 900.0, 60.0
"""Seconds of computing after which a command is ended; and by the clock, which a busy machine
stretches, for one that computes nothing, and for what it leaves behind to be gone."""
FRESH_KIB = 110 << 10
"""What a process holds that has imported all that a command needs."""
CLASS_NAME = re.compile(r"\b[A-Za-z]+(Error|Exception|Warning)\b|<class|Traceback|0x[0-9a-f]{6,}")


@dataclass(frozen=True)
class End:
    """How a command ended."""

    code: int
    said: str
    cpu_s: float
    memory_mib: float
    complaints: tuple[str, ...]


def run_command(
    arguments: Sequence[str],
    folder: Path,
    meanwhile: Callable[[], None] | None = None,
    warm: Callable[[Sequence[str]], int] | None = None,
) -> End:
    """Runs ``labelkit`` there; ``meanwhile`` is called while it runs. ``warm`` runs the command in
    a process forked from this one, which has imported all; without it a new Python is started."""
    before = list_files(folder)
    out = os.open(folder / ".said", os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600)
    sys.stdout.flush()
    held_kib = max(0, _read_high_water_kib(os.getpid()) - FRESH_KIB)
    child = os.fork()
    if child == 0:
        _become(arguments, folder, out, warm)
    os.close(out)
    if meanwhile is not None:
        meanwhile()
    code, cpu_s, memory_mib = _wait_for(child, held_kib)
    said = (folder / ".said").read_text(encoding="utf-8", errors="backslashreplace")
    (folder / ".said").unlink()
    complaints = [*_find_faults(code, said, cpu_s, memory_mib)]
    if code == 2 and meanwhile is None and list_files(folder) != before:
        complaints.append("leaves files behind")
    if any(name.endswith(".part") for name in list_files(folder)):
        complaints.append("leaves a part of a file")
    if _is_group_alive(child):
        complaints.append("leaves a process behind")
    return End(code, said, cpu_s, memory_mib, tuple(complaints))


def _become(
    arguments: Sequence[str],
    folder: Path,
    out: int,
    warm: Callable[[Sequence[str]], int] | None,
) -> None:
    code = 97
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (ENDED_S, ENDED_S))
        os.chdir(folder)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(out, 1)
        os.dup2(out, 2)
        if warm is None:
            os.execv(sys.executable, [sys.executable, "-m", "labelkit", *arguments])
        sys.stdout = open(1, "w", encoding="utf-8", errors="backslashreplace")  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace")  # noqa: SIM115
        code = warm(arguments)
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        import traceback

        traceback.print_exc()
        with contextlib.suppress(Exception):
            sys.stderr.flush()
    finally:
        os._exit(code)


def _wait_for(child: int, held_kib: int) -> tuple[int, float, float]:
    """Exit code, seconds of computing and most MiB; ``held_kib`` it was forked with for nothing."""
    until, peak_kib = time.monotonic() + WAIT_S, 0
    while True:
        peak_kib = max(peak_kib, _read_peak_kib(child))
        done, status, used = os.wait4(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            # What the system says at the end counts what this process held when it was forked too.
            kib = peak_kib or max(0, used.ru_maxrss - held_kib)
            return code, used.ru_utime + used.ru_stime, kib / 1024
        if time.monotonic() > until:
            os.kill(child, signal.SIGKILL)
        time.sleep(0.004)


def _read_peak_kib(command: int) -> int:
    """The most that a command, or one that it started, has held so far (Linux); 0 while it is none
    yet, or elsewhere."""
    process = Path("/proc") / str(command)
    with contextlib.suppress(OSError):
        if b"-m\0labelkit" in (process / "cmdline").read_bytes():
            started = (process / "task" / str(command) / "children").read_text(encoding="ascii")
            return max(map(_read_high_water_kib, [command, *map(int, started.split())]))
    return 0


def _read_high_water_kib(process: int) -> int:
    with contextlib.suppress(OSError):
        status = Path("/proc", str(process), "status").read_text("ascii", errors="replace")
        if found := re.search(r"^VmHWM:\s+(\d+) kB", status, re.MULTILINE):
            return int(found[1])
    return 0


def _is_group_alive(leader: int) -> bool:
    """Whether a process of the command's session is still there a while later."""
    until = time.monotonic() + GONE_S
    while time.monotonic() < until:
        try:
            os.killpg(leader, 0)
        except (ProcessLookupError, PermissionError):
            return False
        time.sleep(0.01)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(leader, signal.SIGKILL)
    return True


def _find_faults(code: int, said: str, cpu_s: float, memory_mib: float) -> list[str]:
    wrong: list[str] = []
    if code not in (0, 1, 2):
        wrong.append(f"ends with {code}: {said[-300:]}")
    if found := CLASS_NAME.search(said):
        wrong.append(f"says {found[0]!r}: {said[-300:]}")
    if code == 2:
        lines = said.splitlines()
        told = [line for line in lines if line.startswith("labelkit: ")]
        if not told or len(told) < len(lines):
            wrong.append(f"says something else than a line for each mistake: {said[:300]}")
        elif any(len(line) > 1_100 for line in told):
            wrong.append("says too much in a line")
    if cpu_s > CPU_S:
        wrong.append(f"computes for {cpu_s:.1f} s")
    if memory_mib > MEMORY_MIB:
        wrong.append(f"takes {memory_mib:.0f} MiB")
    return wrong


def list_files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.name != ".said"}
