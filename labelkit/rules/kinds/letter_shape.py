"""How narrow letters may be."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.label import Label, decimal_mm, format_number, name_element, quote_words
from labelkit.rules.rule import Problem, Rule


@dataclass(frozen=True)
class LetterShape(CheckKind):
    """Letters are at most so many times as high as they are wide, by the capital N."""

    most: Decimal

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel, text in label.texts(rule.element, rule.panel):
            for run in text.runs:
                high_mm = decimal_mm(run.letters.capital_mm or 0.0)
                wide_mm = decimal_mm(run.letters.n_width_mm or 0.0)
                if not wide_mm:
                    continue
                times = high_mm / wide_mm
                if times > self.most:
                    yield Problem(
                        Said(
                            "The letters of {words} in the {what} are {times} times as high as"
                            " wide",
                            words=quote_words(run.text),
                            what=name_element(rule.element),
                            times=format_number(round(times, 2)),
                        ),
                        format_number(round(times, 2)),
                        format_number(self.most),
                        panel=panel.name,
                    )
