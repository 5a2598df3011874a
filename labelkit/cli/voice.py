"""What the command line says to a person: in the maker's language, and through here alone.

Her language is that of ``--language``, or what her files state (``language`` under ``[plan]``, then
the label's first), or what her computer speaks. The files are only looked through for these words:
a mistake that keeps them from being read is told in her language too.
"""

from __future__ import annotations

import locale
import os
import re
from collections.abc import Iterable, Iterator, Sequence
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path

import click

from labelkit.common.errors import format_one_line
from labelkit.common.first_bytes import read_at_most
from labelkit.common.messages import Said

SOURCE = "en"
_MAKER = "maker.toml"
_STATED = re.compile(r"""^[^#\n]*\blanguage\s*=\s*["'](\w{2})""", re.MULTILINE)
_SPOKEN = re.compile(r"""^[^#\n]*\blanguages\s*=\s*\[\s*["'](\w{2})""", re.MULTILINE)
_NAMED = re.compile(r"""^[^#\n]*\bmaker\s*=\s*["']([^"'\n]+)["']""", re.MULTILINE)
_MOST_BYTES = 1_000_000
_SYSTEM = ("LC_ALL", "LC_MESSAGES", "LANG")
"""Where a POSIX system says its language, the first that is set deciding (POSIX.1-2017, 8.2)."""

_ARGUMENTS: ContextVar[tuple[str, ...]] = ContextVar("arguments", default=())


def set_arguments(arguments: Sequence[str]) -> None:
    """Keeps the command line whose maker is spoken to from now on."""
    _ARGUMENTS.set(tuple(arguments))
    find_language.cache_clear()  # the same files may say something else by now


def say(told: Said, *, err: bool = False) -> None:
    """Prints a sentence on a line of its own."""
    click.echo(speak(told), err=err)


def say_all(told: Iterable[Said], *, err: bool = False) -> None:
    """Prints sentences, each on a line of its own."""
    for line in told:
        say(line, err=err)


def complain(told: Said) -> None:
    """Tells what is wrong, on one line of standard error."""
    click.echo(f"labelkit: {format_one_line(speak(told))}", err=True)


def get_language() -> str:
    """The maker's language."""
    return find_language(_ARGUMENTS.get())


def speak(told: str) -> str:
    """A sentence in the maker's language; English as the rooms say it."""
    language = get_language()
    if language == SOURCE:
        return str(told)
    from labelkit.report.phrasebook import choose_locale
    from labelkit.report.speech import Speech

    return Speech(language, choose_locale(language))(told)


@lru_cache(maxsize=1)
def find_language(arguments: tuple[str, ...]) -> str:
    """The language of who typed a command line: one that labelkit has words in."""
    wanted = [*_list_asked(arguments), *_list_stated(arguments), _find_system_language()]
    return next((c for c in wanted if c and (c == SOURCE or c in _list_known_languages())), SOURCE)


def _list_known_languages() -> tuple[str, ...]:
    from labelkit.report.phrasebook import list_languages

    return list_languages("findings")


def _list_asked(arguments: Sequence[str]) -> Iterator[str]:
    """What stands after ``--language``."""
    for number, argument in enumerate(arguments):
        name, _, value = argument.partition("=")
        if name == "--language":
            yield value or "".join(arguments[number + 1 : number + 2])


def _list_stated(arguments: Iterable[str]) -> Iterator[str]:
    """What the files on the command line state, and the maker's file beside them or here."""
    named = [Path(argument) for argument in arguments if argument.endswith(".toml")]
    texts = [_read_text(path) for path in named]
    makers = [path.with_name(_MAKER) for path in named] or [Path(_MAKER)]
    for path, text in zip(named, texts, strict=True):
        makers += [path.parent / name for name in _NAMED.findall(text)]
    texts += [_read_text(path) for path in makers]
    for pattern in (_STATED, _SPOKEN):
        yield from (found for text in texts for found in pattern.findall(text))


def _read_text(path: Path) -> str:
    try:
        return read_at_most(path, _MOST_BYTES).decode("utf-8", "replace")
    except (OSError, ValueError):
        return ""


def _find_system_language() -> str:
    stated = next((value for name in _SYSTEM if (value := os.environ.get(name))), "")
    code = (stated or locale.getlocale()[0] or "")[:2].lower()
    return code if code.isalpha() else ""  # "C.UTF-8" names no language
