"""The house: every room of labelkit imports only from rooms above it, so that no circle can be."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "labelkit"
ROOMS = (
    "common", "model", "order", "formula", "typeset", "rules", "compose", "impose", "pdf", "plan",
    "checks", "report", "job", "desk", "cli",
)  # fmt: skip
"""From the top down: each may import from itself and from those before it."""


def modules(room: str) -> Iterator[Path]:
    return (PACKAGE / room).rglob("*.py")


def rooms_imported(path: Path) -> Iterator[tuple[int, str]]:
    """The rooms a module imports from, at its top or in a function, each with its line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            package, *rest = name.split(".")
            if package == "labelkit" and rest and rest[0] in ROOMS:
                yield node.lineno, rest[0]


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_only_from_rooms_above_it(room: str) -> None:
    above = ROOMS[: ROOMS.index(room) + 1]
    wrong = [
        f"{path.relative_to(PACKAGE)}:{line} imports {other}/"
        for path in modules(room)
        for line, other in rooms_imported(path)
        if other not in above
    ]
    assert any(modules(room))
    assert wrong == []


def test_nothing_stands_outside_a_room() -> None:
    """Beside the rooms only the package's own face, and the layouts a wheel carries."""
    files = (path for path in PACKAGE.rglob("*") if path.is_file() and path.suffix != ".pyc")
    loose = {path.relative_to(PACKAGE).parts[0] for path in files} - {*ROOMS}
    assert loose <= {"__init__.py", "__main__.py", "py.typed", "layouts"}
