"""Finds an order's code in the answer that a customer wrote."""

from __future__ import annotations

import re

from labelkit.compose.fingerprint import parse_code

_WORDS = re.compile(r"(?<![\w-])([0-9A-Za-z]{4}[-\u2010-\u2014 .]?[0-9A-Za-z]{4})(?![\w-])")
MAX_LETTERS = 100_000


def find_code(text: str) -> str:
    """The first code of an order in a text, or ""; its check letter tells it from other words."""
    for found in _WORDS.finditer(text[:MAX_LETTERS]):
        try:
            return parse_code(found[1])
        except ValueError:
            continue
    return ""
