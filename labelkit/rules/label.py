"""A label as the checks see it: its panels, its facts and the day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cached_property, lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Quoted, Term
from labelkit.model.runs import (
    ELEMENTS,
    NEUTRAL,
    ElementText,
    Panel,
    group_element_texts,
    list_element_texts,
)
from labelkit.rules.claims import NOT_READ, Claim, read_claims
from labelkit.rules.facts import Facts
from labelkit.rules.printed_list import PrintedList, read_printed_list

_STUCK_ON = ("front", "back")

Texts = tuple[tuple[Panel, ElementText], ...]
"""Texts, each with the panel it stands on."""


@dataclass(frozen=True)
class Label:
    """What is judged. Panels are found by what the rules call them, not by the layout's names."""

    panels: tuple[Panel, ...]
    facts: Facts
    on: dt.date
    tolerance_mm: Decimal
    """How far a measured outline may fall short and still count as tall enough."""

    def at(self, where: str) -> tuple[Panel, ...]:
        """The panels a rule's ``panel`` means."""
        if where == "any":
            return self.panels
        names = {
            "label": _STUCK_ON,
            "list": (self.facts.ingredients_on,),
        }.get(where, (where,))
        return tuple(panel for panel in self.panels if panel.name in names)

    def texts(self, element: str, where: str = "any") -> Texts:
        """The non-empty texts of an element, with the panel each stands on."""
        found = self._found.get((element, where))
        if found is None:
            found = self._found[element, where] = tuple(
                (panel, text)
                for panel in self.at(where)
                for text in self._texts[id(panel)].get(element, ())
                if text.text
            )
        return found

    def every_text(
        self, without: frozenset[str] = frozenset(), where: str = "any"
    ) -> Iterator[tuple[Panel, ElementText]]:
        """Every text on the panels meant but those of the elements named."""
        for panel in self.at(where):
            for element, texts in self._texts[id(panel)].items():
                if element not in without:
                    yield from ((panel, text) for text in texts)

    @cached_property
    def claims(self) -> tuple[tuple[Panel, ElementText, Claim], ...]:
        """Everything that the words claim, with where it stands."""
        return tuple(
            (panel, text, claim)
            for panel, text in self.every_text(NOT_READ)
            for claim in read_claims(text.text, text.element)
        )

    @cached_property
    def printed_lists(self) -> tuple[PrintedList, ...]:
        """The ingredient list on each panel that has one."""
        lines = self.facts.declaration.lines
        own = [
            (p, [t for found, t in self.texts("ingredients") if found is p]) for p in self.panels
        ]
        return tuple(read_printed_list(panel, texts, lines) for panel, texts in own if texts)

    @cached_property
    def on_front(self) -> frozenset[str]:
        """The elements that stand on the front."""
        return frozenset(run.element for panel in self.at("front") for run in panel.runs)

    @cached_property
    def _found(self) -> dict[tuple[str, str], Texts]:
        """The texts that were asked for: many rules ask for the same."""
        return {}

    @cached_property
    def _texts(self) -> Mapping[int, Mapping[str, list[ElementText]]]:
        """By panel, which every rule asks for anew, and element."""
        return {id(panel): group_element_texts(panel) for panel in self.panels}


_SPOKEN = {
    "identity": "product identity",
    "net-quantity": "net quantity",
    "dealer": "business name and address",
    "contact": "contact information",
    "directions": "directions and warnings",
    "durability": "durability date or period after opening",
    "e-mark": "℮ mark",
}


@lru_cache(maxsize=64)
def name_element(element: str) -> Term:
    """The element in the words of a message."""
    spoken = _SPOKEN.get(element) or ELEMENTS.get(element, element)
    return Term("element", spoken.removeprefix("the ").removeprefix("a "))


@lru_cache(maxsize=64)
def name_panel(name: str) -> Term:
    """A panel's name in the words of a message."""
    return Term("panel", name)


def is_same_language(tag: str, wanted: str) -> bool:
    """Whether text tagged ``tag`` counts for the language ``wanted``: fr-CA does for fr."""
    return tag == NEUTRAL or tag.split("-")[0].lower() == wanted.split("-")[0].lower()


def has_figure(text: str) -> bool:
    return any(map(str.isdecimal, text))


def has_letter(text: str) -> bool:
    return any(map(str.isalpha, text))


def is_all_capitals(text: str) -> bool:
    """Whether every word is set in capitals; text without any letter is."""
    return not any(map(str.islower, text))


def measure_letters_mm(panel: Panel, element: str) -> Decimal | None:
    """The least height of an element's words on a panel: of the capitals where all are capitals,
    else of the small letters; None where there are none to measure."""
    return measure_texts_mm(list_element_texts(panel, element))


def measure_texts_mm(texts: Iterable[ElementText]) -> Decimal | None:
    """The same of the texts of an element."""
    heights = [
        run.letters.capital_mm if capitals else run.letters.small_o_mm
        for text in texts
        for capitals in [is_all_capitals(text.text)]
        for run in text.runs
    ]
    return min((decimal_mm(height) for height in heights if height is not None), default=None)


def normalise_spaces(text: str) -> str:
    """Text with every kind of space as one plain space."""
    return " ".join(text.split())


@lru_cache(maxsize=4096)
def decimal_mm(millimetres: float) -> Decimal:
    """A measured length as the decimal it is shown as, without the noise of binary floats."""
    return Decimal(repr(round(millimetres + 0.0, 6)))  # no minus before a nought


def format_number(value: Decimal) -> Number:
    """A number as messages write it: 1.6, 40, 0.0101."""
    return Number(value)


def quote_words(text: str) -> Quoted:
    """Words of the label as a message shows them, shortened."""
    return Quoted(text)
