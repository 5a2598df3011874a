"""What takes longer than a moment: it runs beside the page, tells how far it is, can be stopped."""

from __future__ import annotations

import itertools
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.messages import Said

MOST_KEPT = 20


class TaskStopped(LabelkitError):
    """She said stop; nothing was written."""

    def __init__(self) -> None:
        super().__init__(Said("stopped; nothing was changed"))


@dataclass
class Task:
    """One piece of work: how far it is, and what came of it."""

    number: int
    done: int = 0
    of: int = 0
    result: Any = None
    error: Exception | None = None
    ended: bool = False
    _stop: threading.Event = field(default_factory=threading.Event)

    def report(self, done: int, of: int) -> None:
        """Called by the work now and then; raises TaskStopped once she said stop."""
        if self._stop.is_set():
            raise TaskStopped
        self.done, self.of = done, of

    def stop(self) -> None:
        self._stop.set()


class Tasks:
    """The tasks of the page, the last few of them kept."""

    def __init__(self) -> None:
        self._numbers = itertools.count(1)
        self._tasks: dict[int, Task] = {}

    def start(self, work: Callable[[Task], Any]) -> Task:
        task = Task(next(self._numbers))
        self._tasks[task.number] = task
        for number in list(self._tasks)[:-MOST_KEPT]:
            self._tasks.pop(number).stop()
        threading.Thread(target=_run, args=(task, work), daemon=True).start()
        return task

    def find(self, number: int) -> Task:
        """KeyError for one that is not kept."""
        return self._tasks[number]


def _run(task: Task, work: Callable[[Task], Any]) -> None:
    try:
        task.result = work(task)
    except Exception as error:  # told to the page, which asks for it
        task.error = error
    task.ended = True
