"""Writing files so that a reader finds the old ones whole or the new ones whole, never a part.

Every file is written beside its place under a name of its own, reaches the disk, and is then
renamed; then the folders reach the disk too. Several files get their names one straight after the
other, with signals held off, and when one cannot be renamed those before it are put back. Of two
runs that write into one folder the second gives its names after the first. What remains is a
computer that stops dead between two renames, some microseconds apart: each file is then whole, but
of two runs. What a run that was killed left unfinished, under names that begin with a dot, is
removed by the next.

A file that is replaced keeps its mode and owner, and a link stays a link: what it leads to is
replaced.
"""

from __future__ import annotations

import glob
import os
import shutil
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from labelkit.common.errors import InputError, describe_os_error, format_path
from labelkit.common.locks import hold_off_signals, lock_folders, try_lock
from labelkit.common.messages import Said
from labelkit.common.written import note_written

_SUFFIX = ".part"
FORGOTTEN_S = 60.0
"""An unfinished file is somebody's who is about to write to it until it is this old."""


class StagedFiles:
    """Files being written that are not there yet."""

    def __init__(self) -> None:
        self._streams: dict[Path, IO[bytes]] = {}
        self._temporaries: dict[Path, Path] = {}
        self._removed: list[Path] = []
        self._folders: list[Path] = []

    def folder(self, path: Path) -> None:
        """Creates a folder and those above it, to be removed again if nothing is written."""
        missing = [folder for folder in (path, *path.parents) if not folder.exists()]
        make_folder(path)
        self._folders += missing

    def open(self, path: Path) -> IO[bytes]:
        """A stream to write to and read back from, whose bytes are to become ``path``."""
        _check_plain_file(path)
        place = _follow_links(path)
        if place in self._temporaries:
            twice = Said("is to be written twice; name two files")
            raise InputError(format_path(path), "", None, twice)
        temporary = _create_file_beside(place)
        self._temporaries[place] = temporary
        self._streams[place] = stream = temporary.open("w+b")
        try_lock(stream.fileno())
        return stream

    def remove(self, path: Path) -> None:
        """A file that is to go when the others get their names."""
        self._removed.append(path)

    def commit(self) -> None:
        """Gives every file its name, or none."""
        with _explain_write_errors(self._temporaries):
            for stream in self._streams.values():
                stream.flush()
                os.fsync(stream.fileno())
                stream.close()
            changed = [*self._temporaries, *self._removed]
            folders = list(dict.fromkeys(path.parent for path in changed))
            with lock_folders(folders), hold_off_signals():
                self._announce()
                self._change_names()
                for folder in folders:
                    sync_folder(folder)
                note_written(changed)
                for path in self._temporaries:
                    _remove_leftovers(path)
        self._folders = []

    def _announce(self) -> None:
        """What is to be said or held against it before the first name changes."""

    def _change_names(self) -> None:
        names = {temporary: path for path, temporary in self._temporaries.items()}
        _rename_files(names, self._removed)

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
    """Writes several files, all their bytes first and then all their names.

    Whatever stood there is replaced: for files that the caller has just read. What labelkit makes
    is written through ``journal.write_outputs``.
    """
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
        raise make_write_error(path, error) from error


def sync_folder(folder: Path) -> None:
    """Lets the names in a folder reach the disk, on systems where that is asked for."""
    with suppress(OSError):  # a folder that may not be read, or a system without such a thing
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def keep_file(path: Path, name: Path) -> None:
    """Gives a file a second name, or makes a copy where it cannot have one."""
    try:
        name.hardlink_to(path)
    except OSError:  # another disk, or a file system without links
        shutil.copy2(path, name)


def make_write_error(path: Path | str, error: OSError) -> InputError:
    told = Said("cannot be written: {reason}", reason=describe_os_error(error))
    return InputError(format_path(path), "", None, told)


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


def _follow_links(path: Path) -> Path:
    """The place of a file itself, where its name is a link to it."""
    if not path.is_symlink():
        return path
    place = Path(os.path.realpath(path))
    if place.is_symlink():
        raise InputError(format_path(path), "", None, Said("is a link that leads back to itself"))
    return place


def _remove_leftovers(path: Path) -> None:
    """Removes what killed runs left of the same file; who still writes holds a lock on it."""
    for part in path.parent.glob(f".{glob.escape(path.name)}.*{_SUFFIX}"):
        with suppress(OSError), part.open("rb") as stream:
            age_s = time.time() - os.fstat(stream.fileno()).st_mtime
            if age_s > FORGOTTEN_S and try_lock(stream.fileno()):
                part.unlink()


def _rename_files(names: Mapping[Path, Path], removed: Iterable[Path]) -> None:
    """Renames every key to its value, and removes files; when one cannot be, all are put back."""
    kept: dict[Path, Path | None] = {}
    try:
        for path in (*names.values(), *removed):
            kept[path] = _keep_old_file(path)
        done: list[Path] = []
        try:
            for temporary, path in names.items():
                temporary.replace(path)
                done.append(path)
            for path in removed:
                path.unlink()
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
    keep_file(path, name)
    return name


def _put_old_file_back(path: Path, kept: Path | None) -> None:
    if kept is None:
        path.unlink(missing_ok=True)
    else:
        kept.replace(path)


@contextmanager
def _explain_write_errors(paths: Mapping[Path, object]) -> Iterator[None]:
    """Turns a failure to write into the one line about it."""
    try:
        yield
    except OSError as error:
        path = error.filename2 or error.filename or next(iter(paths), "")
        raise make_write_error(path, error) from error


def _create_file_beside(path: Path) -> Path:
    """An empty file of our own in the folder of ``path``, invisible to a glob for its suffix."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=_SUFFIX, dir=path.parent)
    except OSError as error:
        raise make_write_error(path, error) from error
    os.close(handle)
    _give_rights(Path(name), path)
    return Path(name)


def _give_rights(new: Path, place: Path) -> None:
    """Gives a file that is to take a place the mode and owner of the one that stands there.

    mkstemp makes private files; where there is none yet, a sheet should be as readable as any other
    file written here.
    """
    try:
        there = place.stat()
    except OSError:
        new.chmod(0o666 & ~_read_umask())
        return
    if hasattr(os, "chown"):
        with suppress(OSError):  # only a superuser may give a file to somebody else
            os.chown(new, there.st_uid, there.st_gid)
    new.chmod(there.st_mode & 0o7777)


def _read_umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
