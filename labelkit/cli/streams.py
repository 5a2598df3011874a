"""What a terminal gets to see, and what happens when nobody reads to the end."""

from __future__ import annotations

import io
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]"
)
"""Letters that steer a terminal, turn text around or break lines: the control characters of Unicode
but for tab and line feed, its marks of direction, and its separators of lines and paragraphs."""


class HarmlessStream(io.TextIOWrapper):
    """A stream of text in which letters that would steer a terminal are written out as escapes.

    Names and file names are the maker's, or somebody else's; JSON stays the same JSON. Letters that
    the terminal lacks show as escapes too: a name must not stop a finished job. When the other end
    of a pipe is closed the rest goes nowhere, and ``closed_early`` says so: what a command does
    and how it ends is not for the reader to decide.
    """

    closed_early = False

    def __init__(self, stream: io.TextIOWrapper) -> None:
        ascii_only = stream.encoding.lower() in ("ascii", "us-ascii", "ansi_x3.4-1968")
        super().__init__(
            stream.buffer,
            encoding="utf-8" if ascii_only else stream.encoding,  # as click does
            errors="backslashreplace",
            line_buffering=stream.line_buffering,
        )

    def write(self, text: str) -> int:
        harmless = STEERING.sub(lambda found: escape_letter(found[0]), text)
        try:
            super().write(harmless)
        except BrokenPipeError:
            self._send_nowhere()
        return len(text)

    def steer(self, text: str) -> None:
        """Writes a text of labelkit's own that is to steer the terminal."""
        super().write(text)
        self.flush()

    def flush(self) -> None:
        try:
            super().flush()
        except BrokenPipeError:
            self._send_nowhere()

    def _send_nowhere(self) -> None:
        self.closed_early = True
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, self.fileno())
        os.close(nowhere)
        super().flush()


def escape_letter(letter: str) -> str:
    """A letter as an escape of four figures, which JSON reads as the letter itself."""
    return f"\\u{ord(letter):04x}"


@contextmanager
def use_harmless_streams() -> Iterator[HarmlessStream | None]:
    """Puts them in the places of standard output and error; yields that of the output."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = map(_make_harmless, before)
    try:
        yield sys.stdout if isinstance(sys.stdout, HarmlessStream) else None
    finally:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, HarmlessStream) and stream not in before:
                with suppress(OSError):  # a full disk: what was said of it is said
                    stream.detach()
        sys.stdout, sys.stderr = before


def _make_harmless(stream: TextIO) -> TextIO:
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    stream.flush()
    return HarmlessStream(stream)
