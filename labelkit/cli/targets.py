"""Files to write as options: a name says by its ending what the file holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

import click

from labelkit.common.messages import NOTHING, FactList, Said, Verbatim


def make_file_type(*endings: str) -> Callable[[str], Path]:
    """A click type for the path of a file of certain kinds, such as ``file_ending(".pdf")``."""

    def target(text: str) -> Path:
        slip = describe_wrong_ending(Path(text), endings)
        if slip:
            raise click.BadParameter(Said("{text}: {slip}", text=Verbatim(text), slip=slip))
        return Path(text)

    return target


def describe_wrong_ending(path: Path, endings: Iterable[str]) -> Said:
    """What would be right where a name promises another kind of file; "" where nothing is wrong.

    A name without an ending promises nothing.
    """
    if not path.suffix or path.suffix.lower() in endings:
        return NOTHING
    return Said("expected a name that ends in {listed}", listed=FactList(endings, "or"))
