"""Changes every number of every rules table by one step, and asks whether any test notices.

    python tests/mutate_tables.py [TABLE ...]

A number is changed up and down in its last written place (a date by a day, a count by one), the
tables are read again, and the cases and golden values of tests/rules are run in this process. What
nothing notices is printed as a survivor; the exit code is 1 if there is one.
"""

from __future__ import annotations

import datetime as dt
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "rules"))

import rule_cases
import rule_values
from rule_labels import Case

from labelkit.common import rule_tables as reading
from labelkit.common.errors import LabelkitError
from labelkit.rules import (
    claims,
    conflicts,
    judge,
    phrases,
    policies,
    provisions,
    region_tables,
    tables,
)
from labelkit.rules.surfaces import load_surface_rows

_NUMBER = re.compile(r"(?<![\w.\-])-?\d+(?:\.\d+)?(?![\w.\-])|\d{4}-\d{2}-\d{2}")
_STRING = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'|#[^\n]*')


@dataclass(frozen=True)
class Mutant:
    """One number of one table, replaced."""

    table: str
    line: int
    rule: str
    before: str
    after: str
    text: str
    """The whole table with the number replaced."""

    def __str__(self) -> str:
        return (
            f"{self.table}.toml:{self.line}: {self.rule or 'table'}: {self.before} -> {self.after}"
        )


def steps(number: str) -> list[str]:
    """The number one step up and one step down in its last written place."""
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", number):
        day = dt.date.fromisoformat(number)
        return [(day + dt.timedelta(days=by)).isoformat() for by in (1, -1)]
    value = Decimal(number)
    step = Decimal(1).scaleb(int(value.as_tuple().exponent))
    return [f"{value + step:f}", f"{value - step:f}"]


def mutants(name: str) -> Iterator[Mutant]:
    """Every change of every number of one table; text in quotes and comments is let be."""
    text = reading.read_table_text(name)
    hidden = _STRING.sub(lambda match: "\0" * len(match[0]), text)
    for match in _NUMBER.finditer(hidden):
        before = text[: match.start()]
        rules = re.findall(r'^id = "([^"]+)"', before, re.MULTILINE)
        for after in steps(match[0]):
            yield Mutant(
                name,
                before.count("\n") + 1,
                rules[-1] if rules else "",
                match[0],
                after,
                before + after + text[match.end() :],
            )


class Reader:
    """Stands in for the reading of tables, so that one of them can be another."""

    def __init__(self) -> None:
        self._read = reading.read_table_text
        self.changed: tuple[str, str] = ("", "")
        reading.read_table_text = self

    def __call__(self, name: str) -> str:
        table, text = self.changed
        return text if name == table else self._read(name)

    def use(self, table: str, text: str) -> None:
        self.changed = (table, text)
        forget_tables()


def forget_tables() -> None:
    """Makes every cached reading of a table happen again."""
    for cached in (
        region_tables.load_region_table,
        policies._load_presets,
        provisions.load_provisions,
        provisions.load_laws,
        tables.load_region_rules,
        tables.load_common_rules,
        tables.load_measuring_tolerance_mm,
        judge.list_rules_of_day,
        load_surface_rows,
        phrases._load_phrases,
        phrases.list_set_phrases,
        phrases.list_phrase_languages,
        conflicts.load_conflicts,
    ):
        cached.cache_clear()
    claims.forget_claims_table()


def is_noticed(mutant: Mutant, cases: list[Case], values: list[rule_values.Value]) -> bool:
    """Whether some case or value comes out otherwise than its source says."""
    checks: list[Callable[[], bool]] = [
        *((lambda v=value: v.holds()) for value in values),
        *((lambda c=case: c.found() == c.level) for case in cases if _bears_on(case, mutant)),
    ]
    return any(_fails(check) for check in checks)


def _bears_on(case: Case, mutant: Mutant) -> bool:
    """A row's own cases come first to mind; a table without rows bears on all."""
    return not mutant.rule or case.rule == mutant.rule


def _fails(check: Callable[[], bool]) -> bool:
    try:
        return not check()
    except (LabelkitError, ArithmeticError, LookupError, TypeError, ValueError):
        return True


def main(names: list[str]) -> int:
    cases, values = rule_cases.all_cases(), rule_values.VALUES
    reader = Reader()
    count, survivors = 0, []
    for name in names or sorted(path.stem for path in reading.FOLDER.glob("*.toml")):
        reader.use("", "")
        for mutant in list(mutants(name)):
            count += 1
            reader.use(name, mutant.text)
            if not is_noticed(mutant, cases, values):
                survivors.append(mutant)
                print(f"survives: {mutant}")
    print(f"{count} changes, {len(survivors)} survivors")
    return 1 if survivors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
