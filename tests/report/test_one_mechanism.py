"""Everything a person reads goes through ``Said``: nothing is raised or printed as bare text.

That complaints and what commands say *are* sentences, the types hold (mypy, strict). Read off the
source here is what types cannot see: words within a sentence, and text that goes past it.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest
from sentences import TEMPLATES_OF, find_texts, parse_source

ROOMS = ("cli", "impose", "pdf", "job", "order", "plan", "typeset", "common", "formula", "compose")
MADE_ELSEWHERE = {
    "cli/usage.py", "common/errors.py", "common/messages.py", "checks/order.py",
    "compose/template.py", "desk/actions.py", "desk/window.py", "formula/dangers.py",
    "formula/policy.py", "formula/refusals.py", "order/logo.py", "order/reader.py",
    "pdf/read/__init__.py", "plan/trace.py",
    "report/speech.py", "rules/conflicts.py", "rules/kinds/claims.py", "rules/kinds/firm.py",
    "rules/kinds/ingredients.py", "rules/kinds/setting.py", "rules/kinds/words.py",
    "rules/provisions.py", "rules/surfaces.py", "rules/tables.py",
}  # fmt: skip
"""Modules whose sentences come from a table or another program, and not from a text in them."""
PRINTERS = {"echo", "say", "complain", "UsageError", "BadParameter", "prompt"}
INTERNAL = {
    "ValueError", "TypeError", "AttributeError", "KeyError", "SecurityError", "FrozenInstanceError"
}  # fmt: skip
"""Caught before they reach a person, or mistakes of a program."""
WORDS = re.compile(r"[a-z]{2,} [a-z]{2,}")


def modules(*rooms: str) -> Iterator[tuple[str, ast.Module]]:
    for module, tree in parse_source().items():
        if module.partition("/")[0] in rooms:
            yield module, tree


def name_called(node: ast.AST) -> str:
    if not isinstance(node, ast.Call):
        return ""
    called = node.func
    return called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")


def bare_texts(node: ast.AST) -> Iterator[str]:
    """Texts with words in an expression, those of sentences left out."""
    if name_called(node) in {*TEMPLATES_OF, "speak", "repr"}:
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str) and WORDS.search(node.value):
        yield node.value
    for inner in ast.iter_child_nodes(node):
        yield from bare_texts(inner)


@pytest.mark.parametrize("room", ROOMS)
def test_nothing_is_raised_or_printed_as_bare_text(room: str) -> None:
    found = [
        f"{module}:{node.lineno}: {text}"
        for module, tree in modules(room)
        for node in ast.walk(tree)
        if name_called(node) in PRINTERS or name_called(node).endswith("Error")
        for argument in node.args
        for text in bare_texts(argument)
        if name_called(node) not in INTERNAL
    ]
    assert found == []


def test_no_words_are_hidden_among_the_facts_of_a_sentence() -> None:
    found = [
        f"{module}:{node.lineno}: {fact.arg} {text}"
        for module, tree in modules(*ROOMS)
        for node in ast.walk(tree)
        if name_called(node) in TEMPLATES_OF
        for fact in node.keywords
        for text in bare_texts(fact.value)
    ]
    assert found == []


def test_every_sentence_stands_where_it_is_said() -> None:
    """A template that is put together elsewhere would not be looked up for its French."""
    found = set()
    for module, tree in parse_source().items():
        for node in ast.walk(tree):
            if name_called(node) in TEMPLATES_OF and isinstance(node, ast.Call):
                templates = node.args[TEMPLATES_OF[name_called(node)]]
                if not all(find_texts(template, tree) for template in templates):
                    found.add(module)
    assert found - MADE_ELSEWHERE == set()
