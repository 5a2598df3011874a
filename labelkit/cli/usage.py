"""What the library of the command line says of a slip on it, as sentences of ours.

The library words its complaints itself. Read back by these templates of its wording, they are said
in the maker's language like any other; one that is worded otherwise stays as it is.
"""

from __future__ import annotations

import re

import click

from labelkit.cli.help_page import say_placeholders
from labelkit.common.messages import FactList, Said, Verbatim
from labelkit.common.text_match import find_closest

TEMPLATES = (
    "Missing argument {name}.",
    "Missing option {name}.",
    "Missing option {name}. Choose from: {choices}",
    "Missing command.",
    "Option {name} requires an argument.",
    "Option {name} requires {number} arguments.",
    "Option {name} does not take a value.",
    "{value} is not one of {choices}.",
    "{value} is not a valid integer.",
    "{value} is not a valid integer range.",
    "{value} is not in the range {range}.",
    "Got unexpected extra argument ({value})",
    "Got unexpected extra arguments ({value})",
)
"""Its wording, the more particular first."""


class CommandGroup(click.Group):
    """A group that says which commands there are where it has none of a name."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            names = self.list_commands(ctx)
            near = find_closest(args[0].casefold(), names)
            told = Said(
                "no such command {typed}; did you mean {near}?"
                if near
                else "no such command {typed}; there are {names}",
                typed=Verbatim(args[0]),
                near=near,
                names=FactList(names),
            )
            raise click.UsageError(told, ctx) from error


def describe_usage_error(error: click.ClickException) -> Said:
    """A slip on the command line, said as one in a file is: option, value, what would be right."""
    if isinstance(error, click.NoSuchOption):
        near = FactList(error.possibilities or (), "or")
        told = (
            "no such option {option}; did you mean {near}?" if near else "no such option {option}"
        )
        return Said(told, option=error.option_name, near=near)
    missing = isinstance(error, click.MissingParameter)
    if isinstance(error, click.BadParameter) and error.param is not None and not missing:
        option = max(error.param.opts, key=len)
        return Said("{option}: {told}", option=option, told=_read(error.message, "."))
    return _read(error.message if isinstance(error.message, Said) else error.format_message())


def _read(message: str, end: str = "") -> Said:
    """A message with what its template was filled with; ``end`` is left out of it."""
    if isinstance(message, Said):
        return message
    message = " ".join(message.split())
    for template in TEMPLATES:
        pattern = re.sub(r"\\{(\w+)\\}", r"(?P<\1>.+)", re.escape(template))
        if found := re.fullmatch(pattern, message):
            facts = found.groupdict()
            if "name" in facts:
                facts["name"] = say_placeholders(facts["name"])
            return Said(template.removesuffix(end), **facts)
    return Said(message.removesuffix(end))
