"""The lot code of a batch, after the maker's own pattern."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata

_ADDITION = re.compile(r"[-–_./:# ]*[^\W_](?:[-–_./:# ]?[^\W_])*")
"""Marks, then letters and figures: "-B", "/2", " 2nd pour"."""


def lot_code(pattern: str, poured: dt.date, recipe: str) -> str:
    """The pattern with its fields filled: see LOT_FIELDS of the plan's spec.

    ``recipe`` becomes the first letters of its words, without accents.
    """
    fields = {
        "yyyy": f"{poured.year:04d}",
        "yy": f"{poured.year % 100:02d}",
        "mm": f"{poured.month:02d}",
        "dd": f"{poured.day:02d}",
        "day_of_year": f"{poured.timetuple().tm_yday:03d}",
        "week": f"{poured.isocalendar().week:02d}",
        "recipe": _initials(recipe),
    }
    return re.sub(r"\{(\w+)\}", lambda match: fields.get(match[1], match[0]), pattern)


def adds_to(lot: str, code: str) -> bool:
    """Whether a lot is a code with a plain addition, as the second batch of a day has one.

    The addition is set apart by a mark ("L270427-B"), or begins with a letter after a figure
    ("L270427B") or a figure after a letter. A figure after a figure may as well be a slip in the
    date, and a letter after a letter another recipe.
    """
    rest = lot.removeprefix(code)
    if not code or rest == lot or not _ADDITION.fullmatch(rest):
        return False
    last, first = code[-1], rest[0]
    return not (last.isalnum() and first.isalnum()) or last.isdigit() != first.isdigit()


def _initials(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return "".join(word[0].upper() for word in re.findall(r"[A-Za-z]+", plain))
