"""The lot code of a batch, after the maker's own pattern; and lots that are read alike."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from enum import StrEnum

_ADDITION = re.compile(r"[-–_./:# ]*[^\W_](?:[-–_./:# ]?[^\W_])*")
"""Marks, then letters and figures: "-B", "/2", " 2nd pour"."""
_LOOK_ALIKE = str.maketrans("oil", "011")
"""Letters taken for figures on a drum: O for 0, I and L for 1. Common practice, no source."""


class LotMatch(StrEnum):
    """How well a lot that is asked for fits one that is written down."""

    EXACT = "exact"
    NEAR = "near"
    """It differs in letter case, in blanks or marks, or in letters that look like figures."""


def make_lot_code(pattern: str, poured: dt.date, recipe: str) -> str:
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
        "recipe": _take_initials(recipe),
    }
    return re.sub(r"\{(\w+)\}", lambda match: fields.get(match[1], match[0]), pattern)


def is_addition_to(lot: str, code: str) -> bool:
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


def match_lots(one: str, other: str) -> LotMatch | None:
    """How two lots fit, outer blanks apart; None where they are told apart, or one is blank."""
    first, second = (unicodedata.normalize("NFC", lot).strip() for lot in (one, other))
    if not first or not second:
        return None
    if first == second:
        return LotMatch.EXACT
    return LotMatch.NEAR if _fold_lot(first) == _fold_lot(second) else None


def _fold_lot(lot: str) -> str:
    """What is left of a lot for a hurried eye; the lot itself where it is marks alone."""
    plain = unicodedata.normalize("NFKC", lot).casefold()
    return "".join(c for c in plain if c.isalnum()).translate(_LOOK_ALIKE) or plain


def _take_initials(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return "".join(word[0].upper() for word in re.findall(r"[A-Za-z]+", plain))
