"""Which files are written for good, told to whoever watches: they stay when it is stopped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_WRITTEN: ContextVar[list[Path] | None] = ContextVar("written", default=None)


@contextmanager
def watch_writing() -> Iterator[list[Path]]:
    """A list to which every file is added that is written for good within the block."""
    written: list[Path] = []
    token = _WRITTEN.set(written)
    try:
        yield written
    finally:
        _WRITTEN.reset(token)


def note_written(paths: Iterable[Path]) -> None:
    """Tells whoever watches that these files are as they are to stay."""
    written = _WRITTEN.get()
    if written is not None:
        written += paths
