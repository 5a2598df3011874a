"""Where two regions pull a label apart, and the way out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from functools import lru_cache

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.rule_tables import read_table
from labelkit.common.table_rows import fill_row
from labelkit.formula.declaration import Declaration
from labelkit.rules.findings import Finding, Level
from labelkit.rules.region_tables import list_ancestry
from labelkit.rules.rule import Provenance


@dataclass(frozen=True, slots=True)
class Conflict:
    """Rules of two families of regions that one wording seldom satisfies."""

    id: str
    one: tuple[str, ...]
    other: tuple[str, ...]
    """Region codes of the two sides; a region that extends one of them counts."""
    rules: tuple[str, ...]
    """The conflict is named when one of these finds something."""
    element: str
    says: Said
    way_out: Said
    citation: str
    provenance: Provenance
    roles: tuple[str, ...] = ()
    over_percent: Decimal = Decimal(0)
    """Only if an ingredient of one of these roles has more than this share."""

    def concerns(self, declaration: Declaration) -> bool:
        """Whether the product has what the two sides quarrel about."""
        return not self.roles or any(
            line.role in self.roles and line.percent > self.over_percent
            for line in declaration.lines
        )


@lru_cache(maxsize=1)
def load_conflicts() -> tuple[Conflict, ...]:
    """Every known conflict."""
    return tuple(fill_row(Conflict, row) for row in read_table("conflicts")["conflict"])


def check_conflicts(
    found: Iterable[Finding], asked: Sequence[str], declaration: Declaration
) -> Iterator[Finding]:
    """A warning for each conflict between the regions asked that shows on this label."""
    by_rule: dict[str, Finding] = {}
    for finding in found:
        if finding.level is not Level.NOTE:
            by_rule.setdefault(finding.rule, finding)
    for conflict in load_conflicts():
        shown = next((by_rule[rule] for rule in conflict.rules if rule in by_rule), None)
        if shown is None or not conflict.concerns(declaration):
            continue
        one = [code for code in asked if {*list_ancestry(code)} & {*conflict.one}]
        other = [code for code in asked if {*list_ancestry(code)} & {*conflict.other}]
        if not one or not other:
            continue
        yield Finding(
            rule=conflict.id,
            region=", ".join(dict.fromkeys([*one, *other])),
            panel=shown.panel,
            element=conflict.element,
            level=Level.WARN,
            message=Said(
                "{one} and {other} pull apart: {says}.",
                one=", ".join(one),
                other=", ".join(other),
                says=conflict.says,
            ),
            measured=shown.measured,
            citation=conflict.citation,
            provenance=str(conflict.provenance),
            remedy=conflict.way_out,
        )
