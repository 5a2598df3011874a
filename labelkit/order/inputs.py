"""Which files an order was read from, and what stood in them: for the journal."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_READ: ContextVar[dict[Path, str] | None] = ContextVar("read", default=None)


@contextmanager
def watch_reading() -> Iterator[dict[Path, str]]:
    """The SHA-256 of every file that is read within the block, by its path.

    Whoever watches round about it is told as well.
    """
    digests: dict[Path, str] = {}
    outer = _READ.get()
    token = _READ.set(digests)
    try:
        yield digests
    finally:
        _READ.reset(token)
        if outer is not None:
            outer.update({path: digest for path, digest in digests.items() if path not in outer})


def note_file_read(path: Path, data: bytes) -> None:
    """Remembers the digest of a file, where somebody watches."""
    digests = _READ.get()
    if digests is not None and path not in digests:
        digests[path] = hashlib.sha256(data).hexdigest()
