"""What a double click opens the desk with, on each system."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

from labelkit.common.files import write_files

NAME = "labelkit"


def write_shortcut(folder: Path, system: str = sys.platform, python: str = sys.executable) -> Path:
    """Writes a file that opens the desk of a folder; its path. InputError where it cannot be."""
    whole = folder.resolve()
    name, text = make_shortcut(whole, system, python)
    path = folder / name
    write_files({path: text.encode("utf-8")})
    if not system.startswith("win"):
        path.chmod(0o755)
    return path


def make_shortcut(folder: Path, system: str, python: str) -> tuple[str, str]:
    """Name and text of the file: a batch file, a command file or a desktop entry."""
    if system.startswith("win"):
        # "%" begins a variable in a batch file and is written twice (from memory).
        called = f'"{python}" -m labelkit open "{folder}"'.replace("%", "%%")
        return f"{NAME}.bat", f"@echo off\r\nchcp 65001 >nul\r\n{called}\r\n"
    if system == "darwin":
        called = f"exec {shlex.quote(python)} -m labelkit open {shlex.quote(str(folder))}"
        return f"{NAME}.command", f"#!/bin/sh\n{called}\n"
    return f"{NAME}.desktop", (
        "[Desktop Entry]\nType=Application\nName=labelkit\n"
        f"Comment={_escape_value(folder.name)}\n"
        f"Exec={_quote_argument(python)} -m labelkit open {_quote_argument(str(folder))}\n"
        "Terminal=false\nCategories=Office;\n"
    )


def _escape_value(text: str) -> str:
    """A string value of the Desktop Entry Specification: its backslash is doubled."""
    return text.replace("\\", "\\\\").replace("\n", " ")


def _quote_argument(text: str) -> str:
    """An argument of Exec: quoted, its marks escaped, and the whole escaped once more as a value;
    "%" begins a field code and is doubled (Desktop Entry Specification, "The Exec key")."""
    inner = "".join(f"\\{c}" if c in '"`$\\' else c for c in text).replace("%", "%%")
    return '"' + inner.replace("\\", "\\\\") + '"'
