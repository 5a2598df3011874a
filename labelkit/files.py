"""Writing files so that a reader finds the old one whole or the new one whole, never a part."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from labelkit.errors import InputError, shown_path


@contextmanager
def written_whole(path: Path) -> Iterator[IO[bytes]]:
    """A stream whose bytes become ``path`` only when the block ends well."""
    temporary = _beside(path)
    try:
        with temporary.open("wb") as stream:
            yield stream
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


def write_all(files: Mapping[Path, bytes]) -> None:
    """Writes several files, all their bytes first and then all their names."""
    temporaries = {path: _beside(path) for path in files}
    try:
        for path, temporary in temporaries.items():
            temporary.write_bytes(files[path])
        for path, temporary in temporaries.items():
            temporary.replace(path)
    except OSError as error:
        raise _cannot_write(error.filename or "", error) from error
    finally:
        for temporary in temporaries.values():
            temporary.unlink(missing_ok=True)


def make_folder(path: Path) -> None:
    """Creates a folder and those above it; InputError when something else is in the way."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
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
