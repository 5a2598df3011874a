"""Every English sentence that labelkit's rooms can say, read off their source and tables."""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from pathlib import Path

import labelkit
from labelkit.cli.usage import TEMPLATES
from labelkit.common.messages import Said
from labelkit.rules.conflicts import Conflict, load_conflicts
from labelkit.rules.region_tables import list_ancestry
from labelkit.rules.rule import Rule
from labelkit.rules.tables import load_rules

ROW_TEXTS = ("asks", "why", "passes", "fails", "remedy", "citation")
TEMPLATES_OF = {"Said": slice(0, 1), "count_things": slice(1, 3)}
"""Which arguments of what makes a sentence are its templates."""
SOURCE = Path(labelkit.__file__).parent


@functools.cache
def parse_source() -> dict[str, ast.Module]:
    """Every module of labelkit by its place in the package; parsed once, and not to be changed."""
    paths = sorted(SOURCE.rglob("*.py"))
    return {
        path.relative_to(SOURCE).as_posix(): ast.parse(path.read_text("utf-8")) for path in paths
    }


@functools.cache
def sentences_of_source() -> dict[str, str]:
    """Templates of ``Said`` in the source, with the module each stands in."""
    found: dict[str, str] = {}
    for module, tree in parse_source().items():
        if _imports_messages(tree):
            for sentence in _templates(tree):
                found.setdefault(sentence, module)
    return found | dict.fromkeys(TEMPLATES, "cli/usage.py")


def _imports_messages(tree: ast.Module) -> bool:
    return any(
        isinstance(node, ast.ImportFrom) and node.module == "labelkit.common.messages"
        for node in ast.walk(tree)
    )


def _templates(tree: ast.Module) -> Iterator[str]:
    """What ``Said`` is called with: texts, and what stands behind names."""
    named = _find_named(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            for argument in node.args[TEMPLATES_OF.get(node.func.id, slice(0))]:
                yield from _texts(argument, named)
    # Texts with braces that are handed to Said by way of another function.
    for name, values in named.items():
        if name.isupper():
            held = (inner for value in values for inner in _held(value))
            found = (text for inner in held for text in _texts(inner, {}))
            yield from (text for text in found if re.search(r"\{(words|name|now)\}", text))


@functools.cache
def _find_named(tree: ast.Module) -> dict[str, list[ast.expr]]:
    """What is assigned to each name."""
    named: dict[str, list[ast.expr]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    named.setdefault(target.id, []).append(node.value)
    return named


def find_texts(template: ast.expr, tree: ast.Module) -> list[str]:
    """The texts a template may be, as far as its module tells."""
    return list(_texts(template, _find_named(tree)))


def _held(node: ast.expr) -> list[ast.expr]:
    """What a tuple or a dictionary holds, or a value itself."""
    if isinstance(node, ast.Dict):
        return node.values
    return node.elts if isinstance(node, ast.Tuple | ast.List) else [node]


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
