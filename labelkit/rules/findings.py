"""What a preflight found: one finding per rule that asks for something, and the verdict of all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import field, replace
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.model.runs import Panel


class Level(StrEnum):
    FAIL = "fail"
    WARN = "warn"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule asks that the label does not show (fail, warn) or cannot show (note)."""

    rule: str
    region: str
    panel: str
    element: str
    level: Level
    message: str
    measured: str = ""
    required: str = ""
    unit: str = ""
    citation: str = ""
    provenance: str = ""
    remedy: str = ""
    softened: bool = False
    """It only warns because its row, or the datum behind it, is from memory."""
    languages: tuple[str, ...] = field(default=(), compare=False)
    """Of the words it is about; empty: it is about no words, or about the element in whatever
    language it stands."""

    def runs_on(self, panel: Panel) -> tuple[int, ...]:
        """Which runs of a panel it is about, by their place among them, so that it can be shown
        where it is; none where nothing is there, or it is not about this panel."""
        if not self.element or not is_panel_meant(self.panel, panel.name):
            return ()
        return tuple(
            index
            for index, run in enumerate(panel.runs)
            if run.element == self.element
            and (not self.languages or run.language in self.languages)
        )


def is_panel_meant(where: str, panel: str) -> bool:
    """Whether a finding's place ("front", "label", "any" ...) is, or takes in, a panel."""
    if where == "label":
        return panel in ("front", "back")
    return where in (panel, "any", "list", "")


_LEVELS = (Level.FAIL, Level.WARN, Level.NOTE)


@dataclass(frozen=True, slots=True)
class Report:
    """The findings of one label, for some regions, as of one day."""

    on: dt.date
    regions: tuple[str, ...]
    findings: tuple[Finding, ...]
    asked: int = 0
    """How many rules of the regions' laws the label was held against."""
    unverified: int = 0
    """How many of those are known from memory only, and so could only warn."""

    @property
    def verdict(self) -> str:
        return "fail" if any(f.level is Level.FAIL for f in self.findings) else "pass"

    @property
    def softened(self) -> int:
        """How many warnings would fail the label if remembered law could."""
        return sum(f.softened and f.level is Level.WARN for f in self.findings)

    def with_findings(self, more: Iterable[Finding], first: Iterable[Finding] = ()) -> Report:
        """The same with others before and after them; what fails at the head, notes at the end."""
        found = sorted((*first, *self.findings, *more), key=lambda one: _LEVELS.index(one.level))
        return replace(self, findings=tuple(found))

    def count(self, level: str) -> int:
        """How many findings are of a level ("fail", "warn", "note")."""
        return sum(f.level == level for f in self.findings)
