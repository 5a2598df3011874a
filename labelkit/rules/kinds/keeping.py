"""A date of durability against the maker's own figures: it holds on the day, and not too long."""

from __future__ import annotations

import datetime as dt
from calendar import monthrange
from collections.abc import Iterator

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Number, Said
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.label import Label, quote_words
from labelkit.rules.printed_date import StatedDate, find_stated_dates
from labelkit.rules.rule import Problem, Rule


@dataclass(frozen=True)
class StillKeeps(CheckKind):
    """A date of durability is not over by the day of sale."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for date, panel in _list_last_dates(rule, label).items():
            if date.last < label.facts.sold_on:
                yield Problem(
                    Said("The date of durability is over by the day of sale"),
                    Day(date.last),
                    Said("a later month and year"),
                    panel=panel,
                )


@dataclass(frozen=True)
class KeepsNoLonger(CheckKind):
    """A date of durability is not later than the pieces keep, where the maker says how long."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        facts = label.facts
        if facts.durability_months is None:
            return
        start = facts.kept_from or facts.sold_on
        end = add_months(start, facts.durability_months)
        right = FactList((one.in_figures for one in _list_latest_dates(end)), "or")
        for date, panel in _list_last_dates(rule, label).items():
            if date.last <= end:
                continue
            same_month = date.day is None and (date.year, date.month) == (end.year, end.month)
            yield Problem(
                Said(
                    TOO_LONG_BY_DAYS if same_month else TOO_LONG,
                    date=quote_words(date.text),
                    months=Number(facts.durability_months),
                    start=Day(start),
                    end=Day(end),
                ),
                quote_words(date.text),
                right,
                panel=panel,
                remedy=Said(
                    "Write {date} into back.durability of label.toml. The months of"
                    " product.durability_months count from plan.poured_on or, where that is not"
                    " given, from the day of the event.",
                    date=right,
                ),
                # A figure in whole months does not tell the days of its last month.
                at_most=Level.WARN if same_month else Level.FAIL,
            )


TOO_LONG = (
    "The label says longer than the safety report allows: {date}, and {months} months from {start}"
    " end on {end}"
)
TOO_LONG_BY_DAYS = (
    "{date} means to the end of that month, and {months} months from {start} end on {end}"
)


def _list_last_dates(rule: Rule, label: Label) -> dict[StatedDate, str]:
    """The last date of every statement, each once, and the panel it stands on."""
    found: dict[StatedDate, str] = {}
    for panel, text in label.texts(rule.element, rule.panel):
        dates = find_stated_dates(text.text, (text.language, *label.facts.languages))
        if dates:
            found.setdefault(max(dates, key=lambda date: date.last), panel.name)
    return found


def _list_latest_dates(end: dt.date) -> Iterator[StatedDate]:
    """The last month that is over by a day, and the day itself where it ends no month."""
    if (end + dt.timedelta(days=1)).day == 1:
        yield StatedDate("", end.year, end.month, None)
    else:
        before = end.replace(day=1) - dt.timedelta(days=1)
        yield StatedDate("", before.year, before.month, None)
        yield StatedDate("", end.year, end.month, end.day)


def add_months(start: dt.date, months: int) -> dt.date:
    """The last day of a period of months: the same day of the month, or the last that it has.

    Source: Regulation (EEC, Euratom) No 1182/71 Art. 3(2)(c), from memory.
    """
    years, month = divmod(start.month - 1 + months, 12)
    year = start.year + years
    return dt.date(year, month + 1, min(start.day, monthrange(year, month + 1)[1]))
