"""What is made once of a file and kept in the user's cache for the next command.

A kept file's name begins with what it was made of and how, and ends in a digest of what it holds:
whatever was damaged or changed since is removed and made anew.
"""

from __future__ import annotations

import glob
import hashlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from functools import lru_cache
from pathlib import Path

_DIGITS = 32


def make_stem(name: str, *makings: object) -> str:
    """The name under which something is kept: another where anything of its making is another."""
    return f"{name}-{hashlib.sha256(repr((name, *makings)).encode()).hexdigest()[:24]}"


def find_kept_file(stem: str) -> tuple[Path, bytes] | None:
    """The file kept under a name, and what it holds; None where there is none that is whole."""
    for folder in list_kept_folders():
        for path in sorted(folder.glob(f"{glob.escape(stem)}-*")):
            with suppress(OSError):
                data = path.read_bytes()
                if path.name.startswith(f"{stem}-{_compute_digest(data)}"):
                    return path, data
                path.unlink()
    return None


def keep_file(stem: str, ending: str, data: bytes) -> Path:
    """Where a file was written: into the cache, or beside it where that disk is full.

    OSError where it can be written nowhere.
    """
    name = f"{stem}-{_compute_digest(data)}{ending}"
    with suppress(OSError):
        return _write_file(find_cache_folder() / name, data)
    return _write_file(find_temporary_folder() / name, data)


def _write_file(target: Path, data: bytes) -> Path:
    """Beside, then renamed: another labelkit never sees half a file."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".part-", suffix=target.suffix)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        Path(name).replace(target)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return target


def list_kept_files(name: str) -> Iterator[Path]:
    """All files whose names begin so."""
    for folder in list_kept_folders():
        yield from folder.glob(f"{glob.escape(name)}-*")


def _compute_digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:_DIGITS]


def list_kept_folders() -> list[Path]:
    """Where kept files may lie."""
    full = _make_temporary_folder.cache_info().currsize > 0
    return [find_cache_folder(), *([find_temporary_folder()] if full else [])]


def find_cache_folder() -> Path:
    """Where files are kept: the user's cache, or a folder that goes when labelkit ends."""
    return _choose_cache_folder(os.environ.get("XDG_CACHE_HOME", ""), os.environ.get("HOME", ""))


@lru_cache(maxsize=8)
def _choose_cache_folder(cache_home: str, home: str) -> Path:
    base = Path(cache_home) if cache_home else Path(home) / ".cache" if home else None
    if base is not None and base.is_absolute():
        folder = base / "labelkit" / "fonts"
        with suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                return folder
    return find_temporary_folder()


def find_temporary_folder() -> Path:
    """A folder that goes when labelkit ends."""
    return Path(_make_temporary_folder().name)


@lru_cache(maxsize=1)
def _make_temporary_folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="labelkit-fonts-")
