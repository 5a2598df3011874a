"""Lengths and sizes as options and answers: ``12.7``, ``12.7 mm``, ``0.5 in``."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any, TypeVar

import click

from labelkit.cli.usage import describe_usage_error
from labelkit.cli.voice import complain, speak
from labelkit.common.messages import Said, Verbatim
from labelkit.common.quantity import QuantityError, parse_length_mm, parse_size_mm

T = TypeVar("T")


def parse_length_option(text: str) -> Decimal:
    """A length in millimetres; a bare number is one already. Raises click.BadParameter."""
    return _parse_option(parse_length_mm, text, r"\s*(?:\d+(?:[.,]\d+)?|[.,]\d+)\s*")


def ask_value(question: Said, option: str, kind: Any, default: Any = None) -> Any:
    """The answer to a question, as ``kind`` reads it, asked again until it can be read;
    click.UsageError where nobody answers."""
    read = click.types.convert_type(kind)
    try:
        while True:
            answer = click.prompt(speak(question), default, type=kind, value_proc=str)
            try:
                return read.convert(answer, None, None)
            except click.UsageError as error:
                complain(describe_usage_error(error))
    except click.Abort as error:
        if not isinstance(error.__context__, EOFError):
            raise
        click.echo()  # the question has not ended its line
        raise click.UsageError(
            Said("--{option}: missing, and there is nobody to answer; give it here", option=option)
        ) from error


def parse_size_option(text: str) -> tuple[Decimal, Decimal]:
    """Width and height in millimetres, bare numbers likewise. Raises click.BadParameter."""
    return _parse_option(parse_size_mm, text, r"\s*[\d.,]+\s*[x×]\s*[\d.,]+\s*")


def _parse_option(parse: Callable[[str], T], text: str, bare: str) -> T:
    try:
        return parse(f"{text.strip()} mm" if re.fullmatch(bare, text) else text)
    except QuantityError as error:
        raise click.BadParameter(
            Said("{text}: {error}", text=Verbatim(text), error=error.told)
        ) from error
