"""Files that were read a moment ago and have not changed: while one is typed in, the others stand.

What a reader gives depends on the bytes of the files it opens alone; while these are what they were
it need not read them again. They are opened all the same, and told to whoever watches. In the file
that is typed in most tables stand as well: what is made of one that opens no file follows from what
stands in it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from labelkit.common.errors import InputError
from labelkit.common.recent import RecentResults
from labelkit.order.inputs import watch_reading
from labelkit.order.mistakes import MistakeUsed, has_noted_mistakes, note_file_text
from labelkit.order.reader import Table, read_bytes

T = TypeVar("T")
P = ParamSpec("P")
MOST_KEPT = 128
_KEPT = RecentResults[tuple[dict[Path, str], Any]](MOST_KEPT)
"""What readers gave, by their names and the files they read, with the digests of these."""


def remember_reading(read: Callable[[Path], T]) -> Callable[[Path], T]:
    """A reader of one file (and of those it names) that remembers what it gave."""

    @wraps(read)
    def read_once(path: Path) -> T:
        found = _KEPT.recall((read.__name__, path))
        if found is not None and _read_again(found[0]):
            given: T = found[1]
            return given
        with watch_reading() as digests:
            made = read(path)
        if not has_noted_mistakes():  # or something may have been passed over
            _KEPT.keep((read.__name__, path), (dict(digests), made))
        return made

    return read_once


def _read_again(files: dict[Path, str]) -> bool:
    """Whether files still hold what they held; each is read, as its reader would."""
    with watch_reading() as digests:
        for path, digest in files.items():
            try:
                data = read_bytes(path)
            except InputError:
                return False
            if digests[path] != digest:
                return False
            if path.suffix == ".toml":
                note_file_text(path, data.decode("utf-8-sig"))
    return True


def remember_table(read: Callable[P, T]) -> Callable[P, T]:
    """A reader of one table or several, and of no file, that remembers what it gave.

    What it is given besides must be such that equal things are read alike.
    """
    recent = RecentResults[tuple[T, tuple[frozenset[str], ...]]](MOST_KEPT)

    @wraps(read)
    def read_once(*given: P.args, **named: P.kwargs) -> T:
        tables = [one for one in given if isinstance(one, Table)]
        plain = (one.state if isinstance(one, Table) else one for one in given)
        try:
            inputs = (*plain, *named.items())
            found = recent.recall(inputs)
        except (MistakeUsed, RecursionError):  # what cannot be read, or lies too deep to compare
            return read(*given, **named)
        if found is not None:
            made, asked = found
            for table, names in zip(tables, asked, strict=True):
                table.note_asked(names)
            return made
        made = read(*given, **named)
        if not has_noted_mistakes():  # or something may have been passed over
            recent.keep(inputs, (made, tuple(table.state.asked for table in tables)))
        return made

    return read_once
