"""Pages of help in the maker's language.

Commands say in English what they do and take; the page they are set on looks up each paragraph,
line and heading by its English. An English page looks up nothing: no book of words is read for it.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Mapping

import click

from labelkit.cli.voice import SOURCE, get_language

PLACEHOLDER = "placeholder"
"""The context of words that stand for what a maker types."""
_PLACEHOLDER = re.compile(r"\b[A-Z]+(?:-[A-Z]+)*(?:\.[a-z]+)?\b")
_REMARK = re.compile(r"(?P<text>.*?)(?:^|  )\[(?P<remarks>[^][]+)\]", re.DOTALL)
"""The help of an option, then what the library remarks of it: its default, whether it is needed."""
_EXAMPLE = re.compile(r"(?P<word>Examples?:) (?P<command>labelkit .*)", re.DOTALL)


class HelpPage(click.HelpFormatter):
    """A page that says in the maker's language what a command says of itself in English."""

    def write_usage(self, prog: str, args: str = "", prefix: str | None = None) -> None:
        prefix = f"{say_help('Usage:')} " if prefix is None else prefix
        super().write_usage(prog, say_placeholders(args), prefix)

    def write_heading(self, heading: str) -> None:
        super().write_heading(say_help(f"{heading}:").removesuffix(":"))

    def write_text(self, text: str) -> None:
        super().write_text(say_help(text))

    def write_dl(
        self, rows: Iterable[tuple[str, str]], col_max: int = 30, col_spacing: int = 2
    ) -> None:
        said = [(say_placeholders(first), _say_option(second)) for first, second in rows]
        super().write_dl(said, col_max, col_spacing)


class HelpContext(click.Context):
    formatter_class = HelpPage


def set_help_page(command: click.Command) -> click.Command:
    """The command with its help, and that of its own commands, on such pages.

    In the list of a group each command has its first paragraph, whole.
    """
    command.context_class = HelpContext
    for inner in command.commands.values() if isinstance(command, click.Group) else ():
        inner.short_help = inner.short_help or split_help(inner.help or "")[0]
        set_help_page(inner)
    return command


def say_help(text: str) -> str:
    """A text of one or several paragraphs in the maker's language."""
    words = _load_words()
    return "\n\n".join(_say_paragraph(p, words) for p in split_help(text)) if words else text


def split_help(text: str) -> list[str]:
    """The paragraphs of a text, each on one line: they are what is looked up."""
    return [" ".join(part.split()) for part in inspect.cleandoc(text).split("\n\n")]


def say_placeholders(text: str) -> str:
    """A text in which words such as FILE, for what a maker types, are in her language."""
    words = _load_words()
    return _PLACEHOLDER.sub(lambda found: words.get((PLACEHOLDER, found[0]), found[0]), text)


def _say_paragraph(paragraph: str, words: Mapping[tuple[str, str], str]) -> str:
    known = words.get(("", paragraph))
    if known is None and (found := _EXAMPLE.fullmatch(paragraph)):
        return f"{words.get(('', found['word']), found['word'])} {found['command']}"
    return known or paragraph


def _say_option(text: str) -> str:
    found = _REMARK.fullmatch(text)
    if found is None:
        return say_help(text)
    remarks = "; ".join(map(_say_remark, found["remarks"].split("; ")))
    return "  ".join(filter(None, (say_help(found["text"]), f"[{remarks}]")))


def _say_remark(remark: str) -> str:
    name, colon, value = remark.partition(": ")
    return f"{say_help(name + ':')} {value}" if colon else say_help(remark)


def _load_words() -> Mapping[tuple[str, str], str]:
    language = get_language()
    if language == SOURCE:
        return {}
    from labelkit.report.catalogues import HELP, load_catalogue

    return load_catalogue(language, HELP)
