"""What the kinds of check have in common."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, Term
from labelkit.common.quantity import MM_PER_INCH
from labelkit.model.runs import ElementText, Panel
from labelkit.rules.facts import Facts
from labelkit.rules.floors import ElementFloor
from labelkit.rules.label import Label
from labelkit.rules.rule import Problem, Rule

NOTHING, PRESENT = Said("nothing"), Said("present")
"""What was measured where something is missing, and what is required of it."""

_WHERE = {
    "front": "on the front",
    "back": "on the back",
    "label": "on the label",
    "any": "on the label or what comes with it",
}


@dataclass(frozen=True)
class CheckKind:
    """A kind of check; its fields are the numbers and words of a table row."""

    @property
    def later_days(self) -> tuple[dt.date, ...]:
        """Most kinds ask the same from their row's first day to its last."""
        return ()

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        raise NotImplementedError

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor | None:
        """Most kinds bind nothing before layout."""
        del rule, facts, on_front
        return None


@dataclass(frozen=True)
class TextKind(CheckKind):
    """Looks at every text of the element by itself."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        for panel, text in label.texts(rule.element, rule.panel):
            for problem in self.in_text(text, panel, label):
                yield replace(problem, panel=panel.name, language=text.language)

    def in_text(self, text: ElementText, panel: Panel, label: Label) -> Iterator[Problem]:
        raise NotImplementedError


def name_place(panel: str, facts: Facts) -> Term:
    """Where a rule looks, in the words of a message."""
    named = facts.ingredients_on if panel == "list" else panel
    return Term("where", _WHERE.get(panel, f"on the {named}"))


def to_square_inches(area_cm2: Decimal) -> Decimal:
    """An area in square inches, of which the United States' tables speak."""
    return area_cm2 / (MM_PER_INCH / 10) ** 2
