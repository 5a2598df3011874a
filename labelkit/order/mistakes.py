"""Mistakes in the files of an order, gathered so that they are all told at once.

Within ``tell_mistakes_together`` a reader that finds a mistake notes it and goes on with a stand-in
for the value. Whatever looks at a stand-in is itself passed over, so that no mistake is told that
follows from another; and as there was a mistake, nothing that was read leaves
``tell_mistakes_together``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import replace
from functools import wraps
from pathlib import Path
from typing import Any, NoReturn, ParamSpec, TypeVar

from labelkit.common.errors import InputError, format_path
from labelkit.order.key_lines import find_line_of_key

P = ParamSpec("P")
T = TypeVar("T")


MOST_TOLD = 100
"""Mistakes told in one run: a file with more is another kind of file."""


class MistakeUsed(Exception):
    """A value is looked at that could not be read; its mistake has been noted."""


class _StandIn:
    """In place of a value that could not be read. It can be kept, and not looked at."""

    def _looked_at(self, *_: object) -> NoReturn:
        raise MistakeUsed

    __getattr__ = __getitem__ = __iter__ = __contains__ = __len__ = __call__ = _looked_at
    __bool__ = __int__ = __float__ = __index__ = __fspath__ = __round__ = __abs__ = _looked_at
    __lt__ = __le__ = __gt__ = __ge__ = __hash__ = __format__ = __neg__ = __pos__ = _looked_at
    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = _looked_at
    __truediv__ = __rtruediv__ = __floordiv__ = __mod__ = __or__ = __ror__ = __and__ = _looked_at
    __eq__ = __ne__ = __str__ = __repr__ = _looked_at


UNREAD: Any = _StandIn()


class _Mistakes:
    def __init__(self) -> None:
        self.found: dict[str, InputError] = {}
        """By what is said of them."""
        self.texts: dict[str, str] = {}
        """What stands in the files that were read, by their shown path."""

    def note(self, error: InputError) -> None:
        """Keeps a mistake and those told with it, each once."""
        for one in (error, *error.others):
            with suppress(MistakeUsed):  # what is said shows a stand-in: its mistake is told
                if len(self.found) < MOST_TOLD:
                    self.found.setdefault(str(one), replace(one, others=()))

    def tell(self) -> None:
        """Raises the InputError of all that was noted: file by file as they were read, by lines."""
        if not self.found:
            return
        placed = [self._placed(error) for error in self.found.values()]
        files = list(dict.fromkeys([*self.texts, *(error.file for error in placed)]))
        placed.sort(key=lambda error: (files.index(error.file), error.line))
        raise replace(placed[0], others=tuple(placed[1:]))

    def _placed(self, error: InputError) -> InputError:
        text = self.texts.get(error.file, "")
        return error if error.line else replace(error, line=find_line_of_key(error.key, text))


_MISTAKES: ContextVar[_Mistakes | None] = ContextVar("mistakes", default=None)


@contextmanager
def tell_mistakes_together() -> Iterator[None]:
    """Within it mistakes are noted; at its end one InputError tells all there were."""
    if _MISTAKES.get() is not None:  # part of a larger reading, which tells them
        yield
        return
    mistakes = _Mistakes()
    token = _MISTAKES.set(mistakes)
    try:
        yield
    except InputError as error:
        mistakes.note(error)
    except (MistakeUsed, TypeError):
        if not mistakes.found:
            raise
    finally:
        _MISTAKES.reset(token)
    mistakes.tell()


def note_file_text(path: Path, text: str) -> None:
    """Keeps the text of a file, so that its mistakes can be told with their lines."""
    if (mistakes := _MISTAKES.get()) is not None:
        mistakes.texts[format_path(path)] = text


def is_collecting_mistakes() -> bool:
    """Whether mistakes are noted, and not raised at once."""
    return _MISTAKES.get() is not None


def has_noted_mistakes() -> bool:
    """Whether a mistake has been noted, so that something may have been passed over since."""
    mistakes = _MISTAKES.get()
    return mistakes is not None and bool(mistakes.found)


def collect_mistakes(read: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """What a reader gives; where it finds a mistake, and mistakes are gathered, a stand-in."""
    mistakes = _MISTAKES.get()
    if mistakes is None:
        return read(*args, **kwargs)
    try:
        return read(*args, **kwargs)
    except InputError as error:
        mistakes.note(error)
    except MistakeUsed:
        pass
    except TypeError:  # a function that is not written in Python takes no stand-in
        if not mistakes.found:
            raise
    stand_in: T = UNREAD
    return stand_in


def collecting_mistakes(read: Callable[P, T]) -> Callable[P, T]:
    """A reader whose mistakes are gathered where they are."""

    @wraps(read)
    def gathering(*args: P.args, **kwargs: P.kwargs) -> T:
        return collect_mistakes(read, *args, **kwargs)

    return gathering
