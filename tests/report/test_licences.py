"""The licences of packages and fonts, against the metadata that other tools read."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest

from labelkit.cli import main
from labelkit.report.licences import (
    list_font_licences,
    list_package_licences,
    normalise_package_name,
)

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
LOCK = ROOT / ".ci" / "constraints.txt"
PIN = re.compile(r"[a-z0-9-]+==[0-9][0-9a-z.]*")


def listed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as done:
        main(["licences", *arguments])
    assert done.value.code == 0
    return capsys.readouterr().out


def release(version: str) -> list[str]:
    """A version without the zeros that pip leaves out: 1.000 is 1.0 (PEP 440)."""
    parts = [part.lstrip("0") for part in version.split(".")]
    while parts and not parts[-1]:
        parts.pop()
    return parts


@pytest.mark.long
def test_every_dependency_and_what_it_needs_is_listed() -> None:
    """Against pip's own account of what an installed package requires (``pip show``)."""
    found = {package.name: package for package in list_package_licences()}
    assert {normalise_package_name(text) for text in PROJECT["dependencies"]} <= set(found)
    command = [sys.executable, "-m", "pip", "show", *sorted(found)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    for block in said.split("\n---\n"):
        fields = dict(line.partition(": ")[::2] for line in block.splitlines() if ": " in line)
        package = found[normalise_package_name(fields["Name"])]
        assert release(package.version) == release(fields["Version"])
        needed = {
            normalise_package_name(name) for name in fields.get("Requires", "").split(",") if name
        }
        for name in needed & set(found):
            assert package.name in found[name].needed_by


def test_nothing_is_without_a_licence() -> None:
    assert not [package.name for package in list_package_licences() if not package.licence]
    assert not [font.family for font in list_font_licences() if not font.licence]


def test_every_font_labelkit_brings_is_under_the_open_font_licence() -> None:
    """SIL Open Font License 1.1: may be embedded in any document (its preamble)."""
    brought = {
        name.removeprefix("fontpkg-")
        for name in map(normalise_package_name, PROJECT["dependencies"])
        if name.startswith("fontpkg-")
    }
    fonts = {font.family: font for font in list_font_licences()}
    assert brought <= set(fonts)
    for family in brought:
        assert "Open Font License" in fonts[family].licence
        assert distribution(f"fontpkg-{family}").metadata["License-Expression"] == "OFL-1.1"


def test_no_package_brings_a_licence_that_would_bind_the_maker() -> None:
    """All permissive, or with a choice that is (pyphen: GPL, LGPL or MPL; common practice).

    The Lesser GPL (python-bidi) binds only who changes that package itself: its sections 4 and 5
    let any program use it as it is installed (from memory).
    """
    free = re.compile(r"BSD|MIT|Apache|PSF|OFL|Mozilla Public License|Lesser General Public|Zope")
    assert not [package for package in list_package_licences() if not free.search(package.licence)]


def test_the_command_tells_all_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    text = listed(capsys)
    data = json.loads(listed(capsys, "--format", "json"))
    assert [entry["name"] for entry in data["packages"]] == [
        p.name for p in list_package_licences()
    ]
    assert [entry["family"] for entry in data["fonts"]] == [f.family for f in list_font_licences()]
    for entry in data["packages"]:
        assert re.search(rf"^{entry['name']} +{re.escape(entry['version'])} ", text, re.MULTILINE)
    for entry in data["fonts"]:
        assert re.search(rf"^{entry['family']} +\d+ files? ", text, re.MULTILINE)
    assert "none stated" not in text


def test_the_lock_pins_every_dependency_and_names_no_place() -> None:
    lines = [
        line
        for line in LOCK.read_text(encoding="utf-8").splitlines()
        if line and not line.startswith("#")
    ]
    assert all(PIN.fullmatch(line) for line in lines), lines
    assert lines == sorted(lines)
    pinned = {normalise_package_name(line) for line in lines}
    wanted = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"], "hatchling"]
    assert {normalise_package_name(text) for text in wanted} <= pinned
    at_run_time = {package.name for package in list_package_licences()} - {"labelkit"}
    assert at_run_time <= pinned


def test_users_get_ranges() -> None:
    assert not [text for text in PROJECT["dependencies"] if "==" in text]
