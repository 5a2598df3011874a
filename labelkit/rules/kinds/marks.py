"""Durability statements and the estimated sign."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Number, Said
from labelkit.model.runs import ElementText, Panel, Run
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import NOTHING, CheckKind, TextKind, name_place
from labelkit.rules.label import Label, decimal_mm, format_number, name_panel, quote_words
from labelkit.rules.printed_date import (
    DATE_LIKE,
    StatedDate,
    find_dates_in_words,
    is_date_in_order,
    put_date_in_order,
)
from labelkit.rules.rule import Problem, Rule

_PERIOD = re.compile(r"\b\d{1,2}\s?M\b")
_ESTIMATED_SIGN = "\u212e"


@dataclass(frozen=True)
class Durability(CheckKind):
    """A date of minimum durability, or for longer-lasting products a period after opening."""

    date_upto_months: int

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        months = label.facts.durability_months
        date_wanted = months is not None and months <= self.date_upto_months
        found = [text for _, text in label.texts(rule.element, rule.panel)]
        texts = [text.text for text in found]
        dated = any(DATE_LIKE.search(text) for text in texts)
        worded = [date for text in found for date in _find_dates_in_words(text, label)]
        period = any(_PERIOD.search(text) for text in texts)
        where = name_place(rule.panel, label.facts)
        if months is not None and date_wanted and not dated and not worded:
            yield Problem(
                Said(
                    "A piece that keeps {months} months needs its date of durability {where}",
                    months=Number(months),
                    where=where,
                ),
                quote_words(texts[0]) if texts else NOTHING,
                Said("a month and year"),
                remedy=Said(
                    "Put the month and year into back.durability of label.toml, such as “05/2029”."
                ),
            )
        elif worded:
            # The law asks for month and year in that order and says nothing of figures.
            yield Problem(
                Said(
                    "The date of durability is in words: {words}", words=quote_words(worded[0].text)
                ),
                quote_words(worded[0].text),
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
                quote_words(texts[0]) if texts else NOTHING,
                Said("such as 12M"),
            )


@dataclass(frozen=True)
class PeriodForDate(CheckKind):
    """A period after opening stands instead of a date only where it is known to be allowed."""

    over_months: int
    """What the piece has to keep longer than."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        found = [text for _, text in label.texts(rule.element, rule.panel)]
        period = next((p for text in found if (p := _PERIOD.search(text.text))), None)
        dated = any(DATE_LIKE.search(t.text) or any(_find_dates_in_words(t, label)) for t in found)
        # A piece known to keep too short a time is asked for its date by the row on durability.
        if period and not dated and label.facts.durability_months is None:
            yield Problem(
                Said(
                    "{period} stands instead of a date only on a piece that keeps more than"
                    " {months} months, and how long this one keeps is not said",
                    period=quote_words(period[0]),
                    months=Number(self.over_months),
                ),
                quote_words(period[0]),
                Said("more than {months} months", months=Number(self.over_months)),
            )


def _find_dates_in_words(text: ElementText, label: Label) -> Iterator[StatedDate]:
    """The dates in a text whose month is a word, where no other is there in figures."""
    if not DATE_LIKE.search(text.text):
        yield from find_dates_in_words(text.text, (text.language, *label.facts.languages))


@dataclass(frozen=True)
class DateOrder(TextKind):
    """A date is written month/year or day/month/year, in that order."""

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        for match in DATE_LIKE.finditer(text.text):
            if not is_date_in_order(match[0]):
                meant = put_date_in_order(match[0])
                yield Problem(
                    Said("“{words}” is not month/year or day/month/year", words=match[0]),
                    match[0],
                    meant or FactList(("05/2027", "31/05/2027"), "or"),
                    remedy=Said("Write it as {date}.", date=meant) if meant else "",
                )


@dataclass(frozen=True)
class EstimatedSign(CheckKind):
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
                    least=format_number(from_g),
                    most=format_number(upto_g),
                ),
                format_number(net_g),
                Said("{least} to {most}", least=format_number(from_g), most=format_number(upto_g)),
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
            height_mm = decimal_mm(run.ink.height_mm)
            if height_mm < least_mm - label.tolerance_mm:
                yield Problem(
                    Said(
                        "The ℮ mark prints {height} mm tall; {least} mm is the least",
                        height=format_number(round(height_mm, 2)),
                        least=format_number(least_mm),
                    ),
                    format_number(round(height_mm, 2)),
                    format_number(least_mm),
                    "mm",
                    panel=panel.name,
                )
            if not label.texts("net-quantity", panel.name):
                yield Problem(
                    Said("The ℮ mark must be seen together with the net quantity"),
                    name_panel(panel.name),
                    Said("the same side"),
                    panel=panel.name,
                )
