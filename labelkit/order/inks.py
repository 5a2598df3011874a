"""The inks that an order may name for names, ornament and frame; the table is inks.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from labelkit.common.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Ink:
    """An ink by its name."""

    name: str
    value: str
    """sRGB as #rrggbb."""
    about: str
    metal: str = ""
    """What it stands for where a finisher lays foil: "gold", say; empty of an ordinary ink."""
    plate_only: bool = False
    """No printer of a workshop has it: a printing works lays it from a plate."""


WHITE = "#ffffff"
"""White ink, which covers: paper shows as paper where nothing is printed."""


@cache
def load_inks() -> Mapping[str, Ink]:
    """The inks by name, in the table's order."""
    text = files("labelkit.order").joinpath("inks.toml").read_text(encoding="utf-8")
    return {name: Ink(name, **row) for name, row in tomllib.loads(text).items()}
