"""What one row of a rules table is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import field
from enum import StrEnum
from functools import cached_property
from typing import Protocol

from labelkit.common.frozen import dataclass
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.floors import ElementFloor
from labelkit.rules.label import Label


class Provenance(StrEnum):
    """Where a row comes from: the law, an authority, memory (unverified), or labelkit itself."""

    READ = "read"
    """The law's own text was seen."""
    TOLD = "told"
    """An authority's guide, or another state's transposition, says so."""
    MEMORY = "memory"
    ADVICE = "advice"
    """labelkit's own advice or check; no law."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What a check found wrong, before the rule's name, region and level are put to it."""

    message: str
    """One plain line, without a full stop."""
    measured: str = ""
    required: str = ""
    unit: str = ""
    panel: str = ""
    element: str = ""
    """Where it was found; empty: the rule's own panel and element."""
    at_most: Level = Level.FAIL
    """A check may be milder than its rule (something merely could not be measured)."""
    unverified: bool = False
    """The datum behind it (an allergen's name, say) is from memory although the rule was read."""
    remedy: str = ""
    """How to put this one right; empty: the rule's own remedy."""
    language: str = ""
    """Of the words it was found in; empty: it is of no text, or of all of the element's."""


class Check(Protocol):
    """A kind of check with its row's numbers."""

    @property
    def later_days(self) -> tuple[dt.date, ...]:
        """Days after the row's first on which it comes to bind more."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        """Everything on the label that this row does not allow."""

    def floor(self, rule: Rule, facts: Facts, on_front: frozenset[str]) -> ElementFloor | None:
        """What is known of the row before layout; None when it binds no height or place."""


@dataclass(frozen=True)
class Rule:
    """One thing a region asks of a label, with its source and its own explanation."""

    id: str
    region: str
    """Code of the table the row stands in."""
    element: str
    panel: str
    """"front", "back", "label" (front or back), "list" (where the ingredients are) or "any"."""
    kind: str
    check: Check = field(repr=False)
    level: Level
    asks: str
    why: str
    passes: str
    fails: str
    remedy: str
    citation: str
    provenance: Provenance
    since: dt.date | None = None
    until: dt.date | None = None
    """First and last day in force; None: no such day."""
    when: Mapping[str, tuple[object, ...]] = field(default_factory=dict)
    """Facts that must have one of these values for the row to apply."""
    recognises: tuple[str, ...] = ()
    """Countries (ISO 3166) whose goods may be sold here as they may be there: only a warning."""
    verify_by: dt.date | None = None
    """When the row should be read again at its source."""

    def in_force(self, on: dt.date) -> bool:
        return (self.since is None or self.since <= on) and (self.until is None or on <= self.until)

    @cached_property
    def start_days(self) -> tuple[dt.date, ...]:
        """The days on which the row begins to bind something, in order."""
        return tuple(sorted([*([self.since] if self.since else []), *self.check.later_days]))

    def applies(self, facts: Facts) -> bool:
        if not self.when:
            return True
        return all(getattr(facts, name) in values for name, values in self.when.items())

    def level_of(self, problem: Problem, strict: bool) -> Level:
        """Unverified law warns; it fails a label only when the maker asks for strictness."""
        mildest = max(self.level, problem.at_most, key=list(Level).index)
        unsure = self.is_unsure(problem)
        return Level.WARN if mildest is Level.FAIL and unsure and not strict else mildest

    def gravest_level(self, strict: bool = False) -> Level:
        """The gravest level the row can find anything at."""
        return self.level_of(Problem(""), strict)

    def is_unsure(self, problem: Problem) -> bool:
        """Whether the row, or the datum behind the problem, is only remembered."""
        return self.provenance is Provenance.MEMORY or problem.unverified
