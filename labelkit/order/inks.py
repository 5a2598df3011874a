"""The inks that an order may name for names, ornament and frame; the table is inks.toml."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table


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
    return {name: Ink(name, **row) for name, row in read_own_table("order/inks").items()}
