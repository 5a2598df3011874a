"""What a mistake of a maker is: what she did to a sample event, and what she must be told."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Change:
    """A file of the event written over, whole or in one place; it may be a new one."""

    file: str
    new: str | bytes
    old: str = ""
    """What stands there now; empty: the file is written whole."""

    def make(self, event: Path) -> None:
        path = event / self.file
        if isinstance(self.new, bytes):
            path.write_bytes(self.new)
            return
        text = self.new
        if self.old:
            there = path.read_text(encoding="utf-8")
            assert there.count(self.old) == 1, f"{self.old!r} is not in {path} once"
            text = there.replace(self.old, self.new)
        path.write_text(text, encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake. The last command of ``steps`` must say ``told`` and end with ``code``.

    ``steps`` are done in order in a copy of the sample: changes of files, and commands; ``CODE`` in
    a command is the order's code at that moment.
    """

    did: str
    told: str
    code: int
    steps: tuple[Change | str, ...]
    sample: str = "lighthouse-supper"


PREFLIGHT = "preflight label.toml"
DECLARE = "declare recipe.toml"
PLAN = "plan label.toml"
SHEET = "sheet label.toml --out sheets"
PROOF = "proof label.toml --out proof.pdf"


def slip(
    did: str,
    file: str,
    old: str,
    new: str,
    told: str,
    *,
    run: str = "",
    code: int = 0,
    sample: str = "lighthouse-supper",
) -> Mistake:
    """One place of one file, and then one command: declare for a recipe, else preflight."""
    command = run or (DECLARE if file == "recipe.toml" else PREFLIGHT)
    return Mistake(did, told, code, (Change(file, new, old), command), sample)


def unfolded(text: str) -> str:
    """What a command said as one line, however wide it was set."""
    return re.sub(r"\s+", " ", text)
