"""A process that kills itself at a chosen change of a file."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

CHANGES = frozenset({"os.rename", "os.link", "os.remove", "os.chmod", "os.mkdir", "os.rmdir"})


def dies_at(number: int, folder: Path) -> Callable[[], None]:
    """Makes a process kill itself when it is about to change a file in ``folder`` once more.

    Python tells of every file it opens, renames, links or removes before it does (PEP 578).
    """
    writing = os.O_WRONLY | os.O_RDWR | os.O_CREAT

    def install() -> None:
        left = number

        def hook(event: str, arguments: tuple[object, ...]) -> None:
            nonlocal left
            opened = event == "open" and isinstance(arguments[2], int) and arguments[2] & writing
            if not opened and event not in CHANGES:
                return
            if any(str(folder) in os.path.abspath(str(a)) for a in arguments[:2] if a):  # noqa: PTH100
                left -= 1
                if left < 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(hook)

    return install
