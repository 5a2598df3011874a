"""What can go wrong for a maker, each with the one line that is shown and an exit code."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from pathlib import Path

from labelkit.common.messages import FactList, Said, Term

LONGEST_KEY, LONGEST_LINE = 200, 1000
"""Letters that are shown of a key, and of a whole complaint."""


class ExitCode(IntEnum):
    """What every command returns to the shell."""

    OK = 0
    FINDINGS = 1
    """The input was understood, and the label is not fit to print."""
    UNUSABLE = 2
    """The input could not be used; the one line printed says why."""
    FAULT = 3
    """labelkit made something other than it meant to, and kept none of it."""


class LabelkitError(Exception):
    """Base of every error a maker may meet: one sentence they can act on, in any language.

    ``str(error)`` is that sentence in English.
    """

    exit_code: ExitCode = ExitCode.UNUSABLE

    def __init__(self, told: Said) -> None:
        super().__init__(told)

    def __str__(self) -> str:
        return str(self.told)

    @property
    def told(self) -> Said:
        """What is wrong, in one sentence."""
        told: Said = self.args[0]
        return told

    @property
    def lines(self) -> tuple[Said, ...]:
        """What a maker is told: a line, or one for each of several mistakes found at once."""
        return (self.told,)


class UnreadableTextError(ValueError):
    """A text that is not what it should be; ``told`` says what would be right."""

    def __init__(self, told: Said) -> None:
        super().__init__(told)
        self.told = told


class AsTyped(str):
    """A value shown just as it stands in a file, without quotes of ours round it."""


@dataclass(eq=False)
class InputError(LabelkitError):
    """A value in a file (or the file itself) that cannot be used.

    ``key`` is the dotted path inside the file ("product.net_weight"), empty for the file itself;
    ``value`` is what stands there, ``expected`` what would be right.
    """

    file: str
    key: str
    value: object
    expected: Said
    others: tuple[InputError, ...] = ()
    """Complaints of the same sort that are told with this one."""
    line: int = 0
    """On which the key stands, counted from 1; 0 where that is not known."""

    @property
    def lines(self) -> tuple[Said, ...]:
        return (self.told, *(other.told for other in self.others))

    @property
    def told(self) -> Said:
        shown = {
            "file": self.file,
            "line": Said("line {line}", line=self.line) if self.line else "",
            "key": _cut_text(self.key, LONGEST_KEY),
            "value": "" if self.value is None else _shorten_value(self.value),
            "expected": self.expected,
        }
        told = {name: fact for name, fact in shown.items() if fact}
        return Said(": ".join(f"{{{name}}}" for name in told), **told)

    def __str__(self) -> str:
        return str(self.told)


@dataclass(eq=False)
class FitError(LabelkitError):
    """A panel that cannot be set legally on its trim, with the ways out."""

    panel: str
    reason: Said
    ways_out: tuple[Said, ...] = ()
    guests: Mapping[str, str] = field(default_factory=dict)
    """What is wrong with each guest's name, where names are what does not fit."""

    exit_code = ExitCode.FINDINGS

    @property
    def told(self) -> Said:
        told = {"panel": Term("panel", self.panel), "reason": self.reason}
        if not self.ways_out:
            return Said("{panel}: {reason}.", **told)
        ways = FactList(self.ways_out, ";")
        return Said("{panel}: {reason}. Ways out: {ways}.", **told, ways=ways)

    def __str__(self) -> str:
        return str(self.told)


@dataclass(eq=False)
class NoRoomError(FitError):
    """A panel with too little room for its words."""

    over_mm: float = math.inf
    """How much too tall the text is, where that is what is wrong."""


class FaceError(LabelkitError):
    """A typeface that is missing, unreadable, not embeddable, or cannot write some letters."""


def describe_os_error(error: OSError) -> Said:
    """What the operating system says."""
    return Said(error.strerror or type(error).__name__)


def format_path(path: Path | str) -> str:
    """A path as the maker typed it, on one line."""
    return str(path).replace("\n", "\\n").replace("\r", "\\r")


def format_one_line(text: str) -> str:
    """A complaint as it may be written to a terminal: line ends become blanks, and letters that
    would steer the terminal or turn the text around are written out as escapes.
    """
    joined = re.sub(r"\s*[\t\n\r\f\v]\s*", " ", text.strip())
    return _cut_text("".join(_make_visible(letter) for letter in joined), LONGEST_LINE)


def _make_visible(letter: str) -> str:
    # Unicode general categories: control, format, surrogate, private use and unassigned letters,
    # and the line and paragraph separators.
    hidden = unicodedata.category(letter) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    return letter.encode("unicode_escape").decode("ascii") if hidden else letter


def _shorten_value(value: object, limit: int = 60) -> str:
    quoted = isinstance(value, str) and not isinstance(value, AsTyped)
    text = repr(value) if quoted else str(value)
    return _cut_text(" ".join(text.split()), limit)


def _cut_text(text: str, limit: int) -> str:
    return text if len(text) <= limit else text[: limit - 1] + "…"
