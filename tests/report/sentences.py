"""Every English sentence that labelkit's rooms can say, read off their source and tables."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import labelkit
from labelkit.common.messages import Said
from labelkit.rules.conflicts import Conflict, load_conflicts
from labelkit.rules.region_tables import list_ancestry
from labelkit.rules.rule import Rule
from labelkit.rules.tables import load_rules

ROW_TEXTS = ("asks", "why", "passes", "fails", "remedy", "citation")
SOURCE = Path(labelkit.__file__).parent


def sentences_of_source() -> dict[str, str]:
    """Templates of ``Said`` in the source, with the module each stands in."""
    found: dict[str, str] = {}
    for path in sorted(SOURCE.rglob("*.py")):
        text = path.read_text("utf-8")
        if "labelkit.common.messages import" in text:
            for sentence in _templates(ast.parse(text)):
                found.setdefault(sentence, path.relative_to(SOURCE).as_posix())
    return found


def _templates(tree: ast.Module) -> Iterator[str]:
    """What ``Said`` is called with: texts, and what stands behind names."""
    named: dict[str, list[ast.expr]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    named.setdefault(target.id, []).append(node.value)
    for node in ast.walk(tree):
        is_said = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        if is_said and node.func.id == "Said" and node.args:
            yield from _texts(node.args[0], named)
    # Texts with braces that are handed to Said by way of another function.
    for name, values in named.items():
        if name.isupper():
            found = (text for value in values for text in _texts(value, {}))
            yield from (text for text in found if "{words}" in text or "{name}" in text)


def _texts(node: ast.expr, named: dict[str, list[ast.expr]]) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _texts(node.body, named)
        yield from _texts(node.orelse, named)
    elif isinstance(node, ast.Name):
        behind = {key: value for key, value in named.items() if key != node.id}
        for value in named.get(node.id, []):
            yield from _texts(value, behind)


def sentences_of_row(rule: Rule) -> Iterator[tuple[str, str]]:
    """The texts of a rule's row, with what each is, and the words its check fills in."""
    for part in ROW_TEXTS:
        yield part, getattr(rule, part)
    for part in ("because", "needs", "instead"):
        yield part, getattr(rule.check, part, "")
    for place, words in getattr(rule.check, "on_condition", {}).items():
        yield f"on_condition.{place}", words


def conflicts_between(codes: set[str]) -> list[Conflict]:
    """The conflicts whose both sides are among these regions."""
    return [c for c in load_conflicts() if {*c.one} & codes and {*c.other} & codes]


def rows_of(region: str) -> tuple[Rule, ...]:
    """Every row a region asks for, with those that go with all regions."""
    return load_rules([region])


def family(region: str) -> set[str]:
    return {*list_ancestry(region)}


__all__ = ["Said", "conflicts_between", "family", "rows_of", "sentences_of_row"]
