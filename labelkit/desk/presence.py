"""Knows whether a tab of the page is still open, so that the desk ends with the last one."""

from __future__ import annotations

import threading
import time

SILENT_S = 180.0
"""A tab in the background may be allowed to speak but once a minute (common practice of browsers,
no source): it is gone when it was silent for three."""
GRACE_S = 6.0
"""A tab that says it goes may be loading itself again."""


class Presence:
    """The tabs that are open, by names they give themselves."""

    def __init__(self) -> None:
        self._seen: dict[str, float] = {}
        self._lock = threading.Lock()
        self._left = 0.0
        self.had_any = False

    def see(self, tab: str) -> None:
        with self._lock:
            self.had_any = True
            if len(self._seen) < 1000:
                self._seen[tab[:40]] = time.monotonic()

    def forget(self, tab: str) -> None:
        with self._lock:
            if self._seen.pop(tab[:40], None) is not None:
                self._left = time.monotonic()

    def is_over(self) -> bool:
        """Whether there were tabs and there are none any more."""
        now = time.monotonic()
        with self._lock:
            silent = [tab for tab, at in self._seen.items() if now - at > SILENT_S]
            for tab in silent:
                del self._seen[tab]
                self._left = now - GRACE_S
            return self.had_any and not self._seen and now - self._left >= GRACE_S
