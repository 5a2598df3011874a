"""Reads a file that should be short, and no more of one that is not."""

from __future__ import annotations

from pathlib import Path

_USUAL_BYTES = 1 << 16
"""What most files of an order are shorter than."""


def read_at_most(path: Path, most: int) -> bytes:
    """The first bytes of a file, ``most`` of them at most. Raises OSError.

    Room for a megabyte takes several times as long to come by as a page of text to read: it is
    asked for only where a file is so long.
    """
    with path.open("rb") as stream:
        start = stream.read(min(most, _USUAL_BYTES))
        return start if len(start) < _USUAL_BYTES else start + stream.read(most - len(start))
