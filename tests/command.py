"""``labelkit`` as a maker types it, run in this process: its exit code and what it said."""

from __future__ import annotations

import contextlib
import gc
import io
from dataclasses import dataclass

import pytest

from labelkit.cli import main


@dataclass(frozen=True, slots=True)
class Done:
    """How a command ended; the names are those of ``subprocess.CompletedProcess``."""

    returncode: int
    stdout: str
    stderr: str


def labelkit(*arguments: object) -> Done:
    """Runs a command to its end. Where a process is what is tested, start one instead."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    usual = gc.get_threshold()  # a command collects garbage seldom: it ends soon, tests do not
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        with pytest.raises(SystemExit) as done:
            main([str(argument) for argument in arguments])
        gc.set_threshold(*usual)
        out.flush()
        err.flush()
    said = (stream.buffer.getvalue().decode("utf-8") for stream in (out, err))  # type: ignore[attr-defined]
    return Done(done.value.code or 0, *said)  # type: ignore[arg-type]
