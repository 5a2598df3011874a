"""What a preflight found: one finding per rule that asks for something, and the verdict of all."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum


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

    def count(self, level: str) -> int:
        """How many findings are of a level ("fail", "warn", "note")."""
        return sum(f.level == level for f in self.findings)
