"""How far a long piece of work is, on one line that is written over: on a terminal only."""

from __future__ import annotations

import sys
import time

import click

from labelkit.cli.streams import HarmlessStream

PATIENCE_S = 2.0
"""Work that is done sooner says nothing."""
_BETWEEN_S = 0.1
_CLEAR = "\r\x1b[K"


class ProgressLine:
    """A line on standard error that comes after two seconds and goes when the work ends."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._next = time.monotonic() + PATIENCE_S
        self._shown = False

    def __call__(self, done: int, total: int) -> None:
        now = time.monotonic()
        if now < self._next or not sys.stderr.isatty():
            return
        self._next, self._shown = now + _BETWEEN_S, True
        share = 100 * done // max(total, 1)
        _steer(f"{_CLEAR}{self._what}: {share} %")

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(self, *_: object) -> None:
        if self._shown:
            _steer(_CLEAR)


def _steer(text: str) -> None:
    stream = sys.stderr
    if isinstance(stream, HarmlessStream):
        stream.steer(text)
    else:
        click.echo(text, err=True, nl=False)
