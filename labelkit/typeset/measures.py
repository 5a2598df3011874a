"""A figure and its unit or percent sign, which no line end may part."""

from __future__ import annotations

import re

NO_BREAK = "\u00a0"
_PARTED = re.compile(
    r"(?<=\d) (?=(?:%|\u2030|\u00b0C)|(?:mg|g|kg|ml|mL|cl|l|L|oz|lb|mm|cm|m|min|h)(?!\w))"
)


def bind_units(text: str) -> str:
    """``text`` with a no-break space between a figure and the unit or percent sign after it.

    Source: The International System of Units (BIPM), section 5.4.3, has a space there; that it does
    not break is common practice, no source.
    """
    return _PARTED.sub(NO_BREAK, text)
