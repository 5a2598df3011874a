"""Every English text that the page, its rooms and its proof may say."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from labelkit.desk.rooms import list_rooms
from labelkit.desk.words import Words

ROOT = Path(__file__).resolve().parents[2] / "labelkit"
_TEXT = r'"((?:[^"\\]|\\.)*)"'
_CALLS = (re.compile(r"\bt\(" + _TEXT), re.compile(r"\bmany\(" + _TEXT + r", " + _TEXT))


class _Heard(Words):
    """Remembers what it was asked to say."""

    def __init__(self) -> None:
        super().__init__("en")
        self.asked: dict[tuple[str, str], None] = {}

    def __call__(self, text: str, context: str = "") -> str:
        self.asked[context, text] = None
        return text


def list_words() -> list[tuple[str, str]]:
    """Context and English of each, in the order in which they are met."""
    heard = _Heard()
    list_rooms(heard)
    for text in (*_of_scripts(), *_of_python(), *_of_template()):
        heard(text)
    return [(context, text) for context, text in heard.asked if any(c.isalpha() for c in text)]


def _of_scripts() -> Iterator[str]:
    for path in sorted((ROOT / "desk" / "page").glob("*.js")):
        script = path.read_text("utf-8")
        for pattern in _CALLS:
            for found in pattern.finditer(script):
                yield from (ast.literal_eval(f'"{text}"') for text in found.groups())
        # Texts chosen by a condition, inside the brackets of t().
        for inside in re.findall(r"\bt\(([^()]*\?[^()]*)\)", script):
            yield from re.findall(r'[?:] "((?:[^"\\]|\\.)*)"', inside)


def _of_python() -> Iterator[str]:
    for path in sorted((ROOT / "desk").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and _is_say(node.func) and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    yield first.value


def _is_say(call: Any) -> bool:
    return (isinstance(call, ast.Name) and call.id == "say") or (
        isinstance(call, ast.Attribute) and call.attr == "say"
    )


def _of_template() -> Iterator[str]:
    text = (ROOT / "report" / "templates" / "proof.html.j2").read_text("utf-8")
    yield from re.findall(r"\bsay\(" + _TEXT, text)
