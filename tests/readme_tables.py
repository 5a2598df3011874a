"""The README's coverage table, made from the rules tables: ``python tests/readme_tables.py``."""

from __future__ import annotations

from collections import Counter

from labelkit import rules
from labelkit.rules.rule import Provenance

REGIONS = ("CA", "CA-QC", "US", "EU", "BE", "FI", "GB", "GB-NIR", "AU", "NZ")
COLUMNS = {
    "identity": ("identity",),
    "net quantity": ("net-quantity", "e-mark"),
    "ingredients, allergens": ("ingredients", "ingredients-heading", "list-elsewhere"),
    "dealer, contact": ("dealer", "contact", "origin"),
    "lot, durability, directions": ("lot", "durability", "directions"),
    "claims, duties": ("claim",),
}


def coverage_table() -> str:
    """Region by element: rows read at their source + told by an authority + from memory only."""
    titles = rules.list_region_titles()
    lines = [
        "| region | " + " | ".join(COLUMNS) + " |",
        "|---|" + "---|" * len(COLUMNS),
    ]
    for code in REGIONS:
        cells = [_cell(code, elements) for elements in COLUMNS.values()]
        lines.append(f"| {code}, {titles[code]} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _cell(code: str, elements: tuple[str, ...]) -> str:
    counted: Counter[Provenance] = Counter(
        rule.provenance for rule in rules.load_rules([code]) if rule.element in elements
    )
    levels = [counted[p] for p in (Provenance.READ, Provenance.TOLD, Provenance.MEMORY)]
    return " + ".join(map(str, levels)) if any(levels) else "–"


if __name__ == "__main__":
    print(coverage_table())
