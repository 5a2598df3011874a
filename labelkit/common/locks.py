"""One writer at a time, among threads and among runs, and no signal in the middle of it.

A lock is the system's (flock): it goes with the process that holds it, however that ends. Nobody
waits for ever, and whoever waited in vain is told for whom.
"""

from __future__ import annotations

import atexit
import datetime as dt
import errno
import os
import signal
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import Said

try:
    import fcntl
except ImportError:  # a system without POSIX locks
    fcntl = None  # type: ignore[assignment]

WAIT_S = 60.0
"""So long a run waits for another: the sheets of a thousand guests take less."""
_POLL_S = 0.02
ANOTHER = Said("another run of labelkit")
_SIGNALS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
"""What politely asks a program to end."""

_WRITING = threading.RLock()
"""Held by the one thread of this process that gives files their names."""
_HELD: set[Path] = set()
"""What that thread has locked."""

# A thread that is still writing when the program ends finishes first.
atexit.register(_WRITING.acquire, timeout=WAIT_S)


class LockedError(InputError):
    """Somebody else still writes."""


@contextmanager
def lock_folders(folders: Iterable[Path]) -> Iterator[None]:
    """Makes other runs and threads wait that would give files in these folders their names.

    May be nested: what is read and written again in one block is nobody else's meanwhile.
    LockedError when one of them is not free in time.
    """
    with _lock_threads():
        # All in one order, and by their real names: two runs must not wait for each other for ever.
        mine = sorted({Path(os.path.realpath(folder)) for folder in folders} - _HELD)
        handles: list[int] = []
        try:
            for folder in mine:
                with suppress(OSError):  # a folder that may be written but not read
                    handles.append(os.open(folder, os.O_RDONLY))
                    _wait_for_lock(handles[-1], folder)
            _HELD.update(mine)
            yield
        finally:
            _HELD.difference_update(mine)
            for handle in handles:
                os.close(handle)


@contextmanager
def lock_by_file(path: Path, holder: str) -> Iterator[None]:
    """The same by a file that says who holds the lock, and that is there only while somebody does.

    Its folder is made where it is missing, and removed again if nothing was put into it. OSError
    where it cannot be made.
    """
    with _lock_threads():
        real = Path(os.path.realpath(path))
        if real in _HELD:
            yield
            return
        handle = _take_lock_file(path)
        try:
            _HELD.add(real)
            _write_holder(handle, holder)
            yield
        finally:
            _HELD.discard(real)
            with suppress(OSError):
                path.unlink()
            os.close(handle)
            with suppress(OSError):
                path.parent.rmdir()


def try_lock(handle: int) -> bool | None:
    """Whether this run has the lock on an open file or folder now; False where another holds it,
    None where the system or the file system knows no locks."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return False if error.errno in (errno.EWOULDBLOCK, errno.EACCES) else None
    return True


@contextmanager
def hold_off_signals() -> Iterator[None]:
    """Ctrl-C and a polite end take effect when the block is done, never in it.

    Python runs what answers a signal in the main thread alone, whichever thread it reaches: other
    threads need nothing of this.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    caught: list[int] = []

    def note(number: int, _frame: FrameType | None) -> None:
        caught.append(number)

    before = {
        number: handler
        for number in _SIGNALS
        if (handler := signal.getsignal(number)) not in (signal.SIG_IGN, None)
    }
    try:
        for number in before:
            signal.signal(number, note)
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in dict.fromkeys(caught):
            signal.raise_signal(number)


@contextmanager
def _lock_threads() -> Iterator[None]:
    if not _WRITING.acquire(timeout=WAIT_S):
        raise LockedError("labelkit", "", None, Said("still writes other files; try again"))
    try:
        yield
    finally:
        _WRITING.release()


def _wait_for_lock(handle: int, folder: Path) -> None:
    _poll(lambda: try_lock(handle) is not False, folder, lambda: ANOTHER)


def _take_lock_file(path: Path) -> int:
    """The handle of a lock file, locked; the file that stands there, not one just removed."""
    taken: list[int] = []

    def take() -> bool:
        path.parent.mkdir(exist_ok=True)
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        except FileNotFoundError:  # the folder went again with another run's lock
            return False
        if try_lock(handle) is not False and _is_file_at(handle, path):
            taken.append(handle)
            return True
        os.close(handle)
        return False

    _poll(take, path.parent, lambda: _read_holder(path))
    return taken[0]


def _poll(is_free: Callable[[], bool], where: Path, name_holder: Callable[[], str]) -> None:
    limit = time.monotonic() + WAIT_S
    while not is_free():
        if time.monotonic() > limit:
            expected = Said(
                "is being written to by {holder}; wait until that is done, or end it",
                holder=name_holder(),
            )
            raise LockedError(format_path(where), "", None, expected)
        time.sleep(_POLL_S)


def _is_file_at(handle: int, path: Path) -> bool:
    with suppress(OSError):
        return os.path.samestat(os.fstat(handle), path.stat())
    return False


def _write_holder(handle: int, holder: str) -> None:
    now = dt.datetime.now().strftime("%H:%M:%S")
    os.ftruncate(handle, 0)
    os.write(handle, f"{holder} (process {os.getpid()}, since {now})".encode())


def _read_holder(path: Path) -> str:
    with suppress(OSError, UnicodeDecodeError):
        return path.read_bytes()[:200].decode().strip() or ANOTHER
    return ANOTHER
