"""Durability statements and the estimated sign."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import NOTHING, Kind, where_words
from labelkit.rules.label import Label, exact, on_panel, quoted, shown
from labelkit.rules.printed_date import WordedDate, dates_in_words
from labelkit.rules.rule import Problem, Rule
from labelkit.runs import ElementText, Panel, Run
from labelkit.said import Day as NamedDay
from labelkit.said import Listed, Number, Said

_PERIOD = re.compile(r"\b\d{1,2}\s?M\b")
_DATE_LIKE = re.compile(r"\d{1,4}(?:[/.-]\d{1,4}){1,2}")
_DAY_MONTH_YEAR = re.compile(
    r"(?:(?:0?[1-9]|[12]\d|3[01])[/.-])?(?:0?[1-9]|1[0-2])[/.-](?!0000)\d{4}"
)
_YEAR_FIGURES = 4
_ESTIMATED_SIGN = "\u212e"


@dataclass(frozen=True)
class Durability(Kind):
    """A date of minimum durability, or for longer-lasting products a period after opening."""

    date_upto_months: int

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        months = label.facts.durability_months
        date_wanted = months is not None and months <= self.date_upto_months
        found = [text for _, text in label.texts(rule.element, rule.panel)]
        texts = [text.text for text in found]
        dated = any(_DATE_LIKE.search(text) for text in texts)
        worded = [date for text in found for date in _in_words(text, label)]
        period = any(_PERIOD.search(text) for text in texts)
        where = where_words(rule.panel, label.facts)
        if months is not None and date_wanted and not dated and not worded:
            yield Problem(
                Said(
                    "A piece that keeps {months} months needs its date of durability {where}",
                    months=Number(months),
                    where=where,
                ),
                quoted(texts[0]) if texts else NOTHING,
                Said("a month and year"),
                remedy=Said(
                    "Put the month and year into back.durability of label.toml, such as “05/2029”."
                ),
            )
        elif over := [
            day
            for day in (*(d for text in texts for d in _last_days(text)), *(d.last for d in worded))
            if day < label.facts.sold_on
        ]:
            yield Problem(
                Said("The date of durability is over by the day of sale"),
                NamedDay(over[0]),
                Said("a later month and year"),
                remedy=Said(
                    "Put a date on which these pieces will still keep into back.durability of"
                    " label.toml; it may not lie before the day of sale."
                ),
            )
        elif worded:
            # The law asks for month and year in that order and says nothing of figures.
            yield Problem(
                Said("The date of durability is in words: {words}", words=quoted(worded[0].text)),
                quoted(worded[0].text),
                worded[0].in_figures,
                remedy=Said(
                    "Write it in figures, as month/year or day/month/year: {date} is read alike in"
                    " every language.",
                    date=worded[0].in_figures,
                ),
                at_most=Level.WARN,
            )
        elif not dated and not period:
            yield Problem(
                Said(
                    "There is neither a durability date nor a period after opening {where}",
                    where=where,
                ),
                quoted(texts[0]) if texts else NOTHING,
                Said("such as 12M"),
            )


@dataclass(frozen=True)
class PeriodForDate(Kind):
    """A period after opening stands instead of a date only where it is known to be allowed."""

    over_months: int
    """What the piece has to keep longer than."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = [text for _, text in label.texts(rule.element, rule.panel)]
        period = next((p for text in found if (p := _PERIOD.search(text.text))), None)
        dated = any(_DATE_LIKE.search(t.text) or any(_in_words(t, label)) for t in found)
        # A piece known to keep too short a time is asked for its date by the row on durability.
        if period and not dated and label.facts.durability_months is None:
            yield Problem(
                Said(
                    "{period} stands instead of a date only on a piece that keeps more than"
                    " {months} months, and how long this one keeps is not said",
                    period=quoted(period[0]),
                    months=Number(self.over_months),
                ),
                quoted(period[0]),
                Said("more than {months} months", months=Number(self.over_months)),
            )


def _in_words(text: ElementText, label: Label) -> Iterator[WordedDate]:
    """The dates in a text whose month is a word, where no other is there in figures."""
    if not _DATE_LIKE.search(text.text):
        yield from dates_in_words(text.text, (text.language, *label.facts.languages))


def _last_days(text: str) -> Iterator[dt.date]:
    """The last day of every date of durability in a text: of the month where no day is given."""
    for match in _DAY_MONTH_YEAR.finditer(text):
        *day, month, year = (int(part) for part in re.split(r"[/.-]", match[0]))
        last = monthrange(year, month)[1]
        yield dt.date(year, month, min(day[0], last) if day else last)


@dataclass(frozen=True)
class DateOrder(Kind):
    """A date is written month/year or day/month/year, in that order."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel, text in label.texts(rule.element, rule.panel):
            for match in _DATE_LIKE.finditer(text.text):
                if not _DAY_MONTH_YEAR.fullmatch(match[0]):
                    meant = _in_order(match[0])
                    yield Problem(
                        Said("“{words}” is not month/year or day/month/year", words=match[0]),
                        match[0],
                        meant or Listed(("05/2027", "31/05/2027"), "or"),
                        panel=panel.name,
                        remedy=Said("Write it as {date}.", date=meant) if meant else "",
                    )


def _in_order(written: str) -> str:
    """A date with its year first, or its month before its day, as it is to stand; empty: unclear.

    The year has to have four figures.
    """
    parts = re.split(r"[/.-]", written)
    if len(parts[0]) == _YEAR_FIGURES:
        year, *others = parts
        others.reverse()
    else:
        *others, year = parts
    likely = [others, others[::-1]]
    found = ("/".join((*(part.zfill(2) for part in order), year)) for order in likely)
    return next((date for date in found if _is_date(date)), "")


def _is_date(text: str) -> bool:
    """Whether a text is a month and year, or a day that there is."""
    if not _DAY_MONTH_YEAR.fullmatch(text):
        return False
    *day, month, year = map(int, text.split("/"))
    return not day or day[0] <= monthrange(year, month)[1]


@dataclass(frozen=True)
class EstimatedSign(Kind):
    """The estimated sign, where it is used: its height, its company, the weights it is for."""

    least_mm: Decimal | None = None
    from_g: Decimal | None = None
    upto_g: Decimal | None = None

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        marks = [
            (panel, run)
            for panel in label.at(rule.panel)
            for run in panel.runs
            if run.element == rule.element or _ESTIMATED_SIGN in run.text
        ]
        used = bool(marks) or label.facts.e_mark
        if used and self.from_g is not None and self.upto_g is not None:
            yield from self._weight(label, self.from_g, self.upto_g)
        if self.least_mm is not None:
            yield from self._drawn(label, marks, self.least_mm)

    def _weight(self, label: Label, from_g: Decimal, upto_g: Decimal) -> Iterator[Problem]:
        net_g = label.facts.net_weight_g
        if not from_g <= net_g <= upto_g:
            yield Problem(
                Said(
                    "The ℮ mark is only for {least} g to {most} g",
                    least=shown(from_g),
                    most=shown(upto_g),
                ),
                shown(net_g),
                Said("{least} to {most}", least=shown(from_g), most=shown(upto_g)),
                "g",
            )

    def _drawn(
        self, label: Label, marks: list[tuple[Panel, Run]], least_mm: Decimal
    ) -> Iterator[Problem]:
        if label.facts.e_mark and not marks:
            yield Problem(
                Said("The ℮ mark asked for is not on the label"), NOTHING, "℮", at_most=Level.WARN
            )
        for panel, run in marks:
            height_mm = exact(run.ink.height_mm)
            if height_mm < least_mm - label.tolerance_mm:
                yield Problem(
                    Said(
                        "The ℮ mark prints {height} mm tall; {least} mm is the least",
                        height=shown(round(height_mm, 2)),
                        least=shown(least_mm),
                    ),
                    shown(round(height_mm, 2)),
                    shown(least_mm),
                    "mm",
                    panel=panel.name,
                )
            if not label.texts("net-quantity", panel.name):
                yield Problem(
                    Said("The ℮ mark must be seen together with the net quantity"),
                    on_panel(panel.name),
                    Said("the same side"),
                    panel=panel.name,
                )
