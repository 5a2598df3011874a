"""Writing files so that a reader finds the old ones whole or the new ones whole, never a part.

Every file is written beside its place under a name of its own, reaches the disk, and is then
renamed. Several files get their names one straight after the other, with Ctrl-C held off, and
when one cannot be renamed those before it are put back. Of two runs that write into one folder the
second gives its names after the first. What remains is a computer that stops dead between two
renames, some microseconds apart: each file is then whole, but of two runs. What a run that was
killed left unfinished, under names that begin with a dot, is removed by the next.
"""

from __future__ import annotations

import glob
import os
import shutil
import signal
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from labelkit.common.errors import InputError, describe_os_error, format_path
from labelkit.common.messages import Said

try:
    import fcntl
except ImportError:  # a system without POSIX locks
    fcntl = None  # type: ignore[assignment]

_SUFFIX = ".part"
_HELD: set[Path] = set()
"""Folders that this run has locked."""
FORGOTTEN_S = 60.0
"""An unfinished file is somebody's who is about to write to it until it is this old."""


class StagedFiles:
    """Files being written that are not there yet."""

    def __init__(self) -> None:
        self._streams: dict[Path, IO[bytes]] = {}
        self._temporaries: dict[Path, Path] = {}
        self._folders: list[Path] = []

    def folder(self, path: Path) -> None:
        """Creates a folder and those above it, to be removed again if nothing is written."""
        missing = [folder for folder in (path, *path.parents) if not folder.exists()]
        make_folder(path)
        self._folders += missing

    def open(self, path: Path) -> IO[bytes]:
        """A stream to write to and read back from, whose bytes are to become ``path``."""
        _check_plain_file(path)
        temporary = _create_file_beside(path)
        self._temporaries[path] = temporary
        self._streams[path] = stream = temporary.open("w+b")
        _take_lock(stream.fileno())
        return stream

    def commit(self) -> None:
        """Gives every file its name, or none."""
        with _explain_write_errors(self._temporaries):
            for stream in self._streams.values():
                stream.flush()
                os.fsync(stream.fileno())
                stream.close()
            for path, temporary in self._temporaries.items():
                _check_same_kind(path, temporary)
            with lock_folders(path.parent for path in self._temporaries):
                _rename_files({temporary: path for path, temporary in self._temporaries.items()})
                for path in self._temporaries:
                    _remove_leftovers(path)
        self._folders = []

    def discard(self) -> None:
        """Removes whatever has no name yet, and folders made for it."""
        for stream in self._streams.values():
            with suppress(OSError):  # a full disk must not keep the rest from being removed
                stream.close()
        for temporary in self._temporaries.values():
            temporary.unlink(missing_ok=True)
        for folder in self._folders:
            with suppress(OSError):  # somebody else put something in it
                folder.rmdir()


@contextmanager
def stage_files() -> Iterator[StagedFiles]:
    """Files of which nothing is left when the block ends, unless they were committed in it.

    InputError for a file or folder that cannot be written.
    """
    staged = StagedFiles()
    try:
        yield staged
    finally:
        staged.discard()


def write_files(files: Mapping[Path, bytes]) -> None:
    """Writes several files, all their bytes first and then all their names."""
    with stage_files() as staged, _explain_write_errors(files):
        for path, data in files.items():
            staged.open(path).write(data)
        staged.commit()


def make_folder(path: Path) -> None:
    """Creates a folder and those above it; InputError when something else is in the way."""
    if path.exists() and not path.is_dir():
        raise InputError(format_path(path), "", None, Said("is a file; expected a folder"))
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _make_write_error(path, error) from error


_KINDS = {
    b"%PDF-": Said("PDF"),
    b"\x89PNG": Said("PNG picture"),
    b"<!doctype": Said("web page"),
    b"BEGIN:VCALENDAR": Said("calendar"),
    b"{": Said("JSON file"),
}
"""What a file is, by how it begins; anything else is plain text."""


def _detect_kind(path: Path) -> Said:
    with path.open("rb") as stream:
        head = stream.read(16)
    return next((kind for start, kind in _KINDS.items() if head.startswith(start)), Said("text"))


def _check_plain_file(path: Path) -> None:
    """A folder, a device or a pipe is never replaced by a file."""
    if path.is_dir():
        raise InputError(
            format_path(path), "", None, Said("is a folder; expected the name of a file")
        )
    if path.exists() and not path.is_file():
        raise InputError(
            format_path(path), "", None, Said("is not a plain file; choose another name")
        )


def _check_same_kind(path: Path, temporary: Path) -> None:
    """A file is replaced only by one of its own kind: a proof never by mistake a label spec."""
    if not path.is_file() or path.stat().st_size == 0:
        return
    wanted = _detect_kind(temporary)
    if _detect_kind(path) != wanted:
        expected = Said("is there already and is no {wanted}; choose another name", wanted=wanted)
        raise InputError(format_path(path), "", None, expected)


@contextmanager
def lock_folders(folders: Iterable[Path]) -> Iterator[None]:
    """Makes other runs wait that would give files in these folders their names.

    May be nested: what is read and written again in one block is nobody else's meanwhile.
    """
    # All in one order, and by their real names: two runs must not wait for each other for ever.
    mine = sorted({Path(os.path.realpath(folder)) for folder in folders} - _HELD)
    handles: list[int] = []
    try:
        for folder in mine:
            with suppress(OSError):  # a folder that may be written but not read
                handles.append(os.open(folder, os.O_RDONLY))
                _take_lock(handles[-1], wait=True)
        _HELD.update(mine)
        yield
    finally:
        _HELD.difference_update(mine)
        for handle in handles:
            os.close(handle)


def _take_lock(handle: int, wait: bool = False) -> bool:
    """Whether nobody else holds a lock on an open file or folder; then this run does."""
    if fcntl is None:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:  # held by another, or a file system without locks
        return False
    return True


def _remove_leftovers(path: Path) -> None:
    """Removes what killed runs left of the same file; who still writes holds a lock on it."""
    for part in path.parent.glob(f".{glob.escape(path.name)}.*{_SUFFIX}"):
        with suppress(OSError), part.open("rb") as stream:
            age_s = time.time() - os.fstat(stream.fileno()).st_mtime
            if age_s > FORGOTTEN_S and _take_lock(stream.fileno()):
                part.unlink()


def _rename_files(names: Mapping[Path, Path]) -> None:
    """Renames every key to its value; when one cannot be, those before it are put back."""
    kept: dict[Path, Path | None] = {}
    try:
        with _hold_off_interrupts():
            for path in names.values():
                kept[path] = _keep_old_file(path)
            done: list[Path] = []
            try:
                for temporary, path in names.items():
                    temporary.replace(path)
                    done.append(path)
            except OSError:
                for path in reversed(done):
                    _put_old_file_back(path, kept.pop(path))
                raise
    finally:
        for copy in kept.values():
            if copy is not None:
                copy.unlink(missing_ok=True)


def _keep_old_file(path: Path) -> Path | None:
    """Another name for the file that is about to be replaced; None where there is none."""
    if not path.is_file():
        return None
    name = _create_file_beside(path)
    name.unlink()
    try:
        name.hardlink_to(path)
    except OSError:  # a file system without links
        shutil.copy2(path, name)
    return name


def _put_old_file_back(path: Path, kept: Path | None) -> None:
    if kept is None:
        path.unlink(missing_ok=True)
    else:
        kept.replace(path)


@contextmanager
def _hold_off_interrupts() -> Iterator[None]:
    """Holds off Ctrl-C and a polite end until the block is done."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _explain_write_errors(paths: Mapping[Path, object]) -> Iterator[None]:
    """Turns a failure to write into the one line about it."""
    try:
        yield
    except OSError as error:
        path = error.filename2 or error.filename or next(iter(paths), "")
        raise _make_write_error(path, error) from error


def _create_file_beside(path: Path) -> Path:
    """An empty file of our own in the folder of ``path``, invisible to a glob for its suffix."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=_SUFFIX, dir=path.parent)
    except OSError as error:
        raise _make_write_error(path, error) from error
    # mkstemp makes private files; a sheet should be as readable as any other file written here.
    Path(name).chmod(0o666 & ~_read_umask())
    os.close(handle)
    return Path(name)


def _read_umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _make_write_error(path: Path | str, error: OSError) -> InputError:
    told = Said("cannot be written: {reason}", reason=describe_os_error(error))
    return InputError(format_path(path), "", None, told)
