"""Writing files so that a reader finds the old ones whole or the new ones whole, never a part.

Every file is written beside its place under a name of its own, reaches the disk, and is then
renamed. Several files get their names one straight after the other, with Ctrl-C held off, and
when one cannot be renamed those before it are put back. What remains is a computer that stops
dead between two renames, some microseconds apart: each file is then whole, but of two runs.
"""

from __future__ import annotations

import os
import shutil
import signal
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from labelkit.errors import InputError, shown_path


class Staged:
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
        temporary = _beside(path)
        self._temporaries[path] = temporary
        self._streams[path] = stream = temporary.open("w+b")
        return stream

    def commit(self) -> None:
        """Gives every file its name, or none."""
        with _told(self._temporaries):
            for stream in self._streams.values():
                stream.flush()
                os.fsync(stream.fileno())
                stream.close()
            _rename_all({temporary: path for path, temporary in self._temporaries.items()})
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
def staging() -> Iterator[Staged]:
    """Files of which nothing is left when the block ends, unless they were committed in it.

    InputError for a file or folder that cannot be written.
    """
    staged = Staged()
    try:
        yield staged
    finally:
        staged.discard()


def write_all(files: Mapping[Path, bytes]) -> None:
    """Writes several files, all their bytes first and then all their names."""
    with staging() as staged, _told(files):
        for path, data in files.items():
            staged.open(path).write(data)
        staged.commit()


def make_folder(path: Path) -> None:
    """Creates a folder and those above it; InputError when something else is in the way."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _cannot_write(path, error) from error


def _rename_all(names: Mapping[Path, Path]) -> None:
    """Renames every key to its value; when one cannot be, those before it are put back."""
    kept: dict[Path, Path | None] = {}
    try:
        with _held_off():
            for path in names.values():
                kept[path] = _kept(path)
            done: list[Path] = []
            try:
                for temporary, path in names.items():
                    temporary.replace(path)
                    done.append(path)
            except OSError:
                for path in reversed(done):
                    _put_back(path, kept.pop(path))
                raise
    finally:
        for copy in kept.values():
            if copy is not None:
                copy.unlink(missing_ok=True)


def _kept(path: Path) -> Path | None:
    """Another name for the file that is about to be replaced; None where there is none."""
    if not path.is_file():
        return None
    name = _beside(path)
    name.unlink()
    try:
        name.hardlink_to(path)
    except OSError:  # a file system without links
        shutil.copy2(path, name)
    return name


def _put_back(path: Path, kept: Path | None) -> None:
    if kept is None:
        path.unlink(missing_ok=True)
    else:
        kept.replace(path)


@contextmanager
def _held_off() -> Iterator[None]:
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
def _told(paths: Mapping[Path, object]) -> Iterator[None]:
    """Turns a failure to write into the one line about it."""
    try:
        yield
    except OSError as error:
        path = error.filename2 or error.filename or next(iter(paths), "")
        raise _cannot_write(path, error) from error


def _beside(path: Path) -> Path:
    """An empty file of our own in the folder of ``path``, invisible to a glob for its suffix."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    except OSError as error:
        raise _cannot_write(path, error) from error
    # mkstemp makes private files; a sheet should be as readable as any other file written here.
    Path(name).chmod(0o666 & ~_umask())
    os.close(handle)
    return Path(name)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _cannot_write(path: Path | str, error: OSError) -> InputError:
    reason = error.strerror or type(error).__name__
    return InputError(shown_path(path), "", None, f"cannot be written: {reason}")
