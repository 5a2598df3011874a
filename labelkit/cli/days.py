"""Days as options: ``2027-06-19``; for a day written otherwise, how to write it."""

from __future__ import annotations

import datetime as dt
import re

import click

from labelkit.common.days import suggest_day
from labelkit.common.messages import Said, Verbatim

AS_WRITTEN = "YYYY-MM-DD"
"""How an option's help shows a day."""


def parse_day_option(text: str) -> dt.date:
    """The day of ``2027-06-19`` or ``2027-6-19``. Raises click.BadParameter for anything else."""
    from labelkit.order.reader import FIRST_YEAR, LAST_YEAR

    parts = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", text.strip(), re.ASCII)
    try:
        if parts is None:
            raise ValueError
        found = dt.date(*map(int, parts.groups()))
    except ValueError:
        expected = suggest_day(text) or Said("expected a day such as 2027-06-19")
        raise click.BadParameter(
            Said("{text}: {expected}", text=Verbatim(text), expected=expected)
        ) from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise click.BadParameter(
            Said(
                "{text}: expected a day from {first} to {last}",
                text=Verbatim(text),
                first=FIRST_YEAR,
                last=LAST_YEAR,
            )
        )
    return found
