"""Results that were asked for lately, kept by what they were made of, so many and no more."""

from __future__ import annotations

from collections.abc import Hashable
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class RecentResults(Generic[T]):
    """The latest results by their inputs; several threads may ask."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: dict[Hashable, T] = {}
        self._lock = Lock()

    def recall(self, inputs: Hashable) -> T | None:
        """What equal inputs made; what was asked for last stays longest."""
        with self._lock:
            found = self._kept.pop(inputs, None)
            if found is not None:
                self._kept[inputs] = found
            return found

    def keep(self, inputs: Hashable, made: T) -> T:
        """The same result, kept in place of the one that nobody asked for longest."""
        with self._lock:
            self._kept[inputs] = made
            while len(self._kept) > self._most:
                del self._kept[next(iter(self._kept))]
            return made
