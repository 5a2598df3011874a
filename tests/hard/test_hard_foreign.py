"""Each file that once took hours or gigabytes ends in one clear line, in seconds."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import foreign_files as foreign
import pytest
from foreign_run import End, run_command

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="measures a forked process")

Make = Callable[[], bytes]


def set_up(folder: Path, *changes: tuple[str, str], **files: bytes) -> None:
    """The sample event with changes to label.toml, and files beside it."""
    for name in ("label.toml", "recipe.toml", "maker.toml", "prices.toml"):
        (folder / name).write_bytes((foreign.EVENT / name).read_bytes())
    text = (folder / "label.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "label.toml").write_text(text, encoding="utf-8")
    for name, data in files.items():
        (folder / name.replace("_", ".")).write_bytes(data)


def check(end: End) -> None:
    assert not end.complaints, (end.complaints, end.said)
    if end.code == 2:
        assert len(end.said.splitlines()) == 1, end.said


@pytest.mark.parametrize("make", foreign.PDFS.values(), ids=foreign.PDFS)
def test_a_finished_pdf(tmp_path: Path, make: Make) -> None:
    set_up(tmp_path, front_pdf=make())
    check(run_command(["preflight", "label.toml", "--pdf", "front.pdf"], tmp_path))
    check(run_command(["print", "front.pdf", "--out", "true.pdf"], tmp_path))


@pytest.mark.parametrize("make", foreign.FONTS.values(), ids=foreign.FONTS)
@pytest.mark.parametrize("place", ["layout", "names"])
def test_a_font(tmp_path: Path, make: Make, place: str) -> None:
    if place == "layout":
        set_up(tmp_path, ('layout = "lantern"', 'layout = "own.toml"'), own_ttf=make())
        layout = (foreign.ROOT / "layouts" / "lantern.toml").read_text(encoding="utf-8")
        layout = re.sub(
            r"(\[faces\.names\]\n)(?:\w+ = .*\n)+", r'\1file = "own.ttf"\n', layout, count=1
        )
        assert "own.ttf" in layout
        (tmp_path / "own.toml").write_text(layout, encoding="utf-8")
    else:
        names = ('layout = "lantern"', 'layout = "lantern"\nfonts = ["own.ttf"]')
        set_up(tmp_path, names, ("The Lighthouse Supper", "Łužíť Ճաշ"), own_ttf=make())
    check(run_command(["preflight", "label.toml"], tmp_path))


@pytest.mark.parametrize(
    "make", [*foreign.DRAWINGS.values(), *foreign.PICTURES.values()],
    ids=[*foreign.DRAWINGS, *foreign.PICTURES],
)  # fmt: skip
def test_a_logo(tmp_path: Path, make: Make) -> None:
    logo = ('layout = "lantern"', 'layout = "ledger"\nlogo = "logo.svg"')
    set_up(tmp_path, logo, logo_svg=make())
    check(run_command(["sheet", "label.toml", "--out", "out"], tmp_path))


@pytest.mark.parametrize("make", foreign.LISTS.values(), ids=foreign.LISTS)
def test_a_list(tmp_path: Path, make: Make) -> None:
    set_up(tmp_path, ("guests = 60", 'guest_list = "guests.csv"'), guests_csv=make())
    end = run_command(["preflight", "label.toml"], tmp_path)
    check(end)
    assert end.code == 2
