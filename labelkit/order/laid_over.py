"""Texts that are read in place of the files of an order: what a page would save, before it does.

They hold while an order is read and for nothing else: everything that an order names is read then,
by readers that know nothing of it. What is read of the disk meanwhile holds as long, so that a file
that several readers ask for is opened once and says the same to all of them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_TEXTS: ContextVar[dict[str, bytes] | None] = ContextVar("texts", default=None)


@contextmanager
def lay_texts_over(texts: Mapping[Path, str | bytes]) -> Iterator[None]:
    """Within it each of these texts is what stands at its path, whatever the disk holds."""
    held = {
        _normalize_path(path): text.encode("utf-8") if isinstance(text, str) else text
        for path, text in texts.items()
    }
    token = _TEXTS.set(held)
    try:
        yield
    finally:
        _TEXTS.reset(token)


def find_text_over(path: Path) -> bytes | None:
    """What is laid over a file; None where the file itself is to be read."""
    texts = _TEXTS.get()
    return texts.get(_normalize_path(path)) if texts else None


def hold_text_read(path: Path, data: bytes) -> None:
    """Lets what was read of a file stand for it as long as the texts laid over others do."""
    texts = _TEXTS.get()
    if texts is not None:
        texts[_normalize_path(path)] = data


def is_file_there(path: Path) -> bool:
    """Whether there is such a file, on the disk or laid over it."""
    return find_text_over(path) is not None or path.is_file()


def _normalize_path(path: Path) -> str:
    """A path by which a file is known, however it is named; links are left as they are."""
    return os.path.abspath(path)  # noqa: PTH100
