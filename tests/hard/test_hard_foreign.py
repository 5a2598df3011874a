"""Each file that once took hours or gigabytes ends in one clear line, in seconds."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from pathlib import Path

import foreign_files as foreign
import pytest
from foreign_mutations import make_mutant
from foreign_run import End, run_command
from run_foreign import run_mutant

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="measures a forked process")

Make = Callable[[], bytes]
QUICK = {
    "layer conditions that repeat", "65,535 names", "path of 800,000 lines",
    "7,700 pixels squared", "300,000 columns",
}  # fmt: skip
"""One of each sort; the others are read in the long run."""


def list_cases(table: Mapping[str, Make]) -> list[object]:
    return [
        pytest.param(make, id=name, marks=[] if name in QUICK else [pytest.mark.long])
        for name, make in table.items()
    ]


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


@pytest.mark.parametrize("make", list_cases(foreign.PDFS))
def test_a_finished_pdf(tmp_path: Path, make: Make) -> None:
    set_up(tmp_path, front_pdf=make())
    check(run_command(["preflight", "label.toml", "--pdf", "front.pdf"], tmp_path))
    check(run_command(["print", "front.pdf", "--out", "true.pdf"], tmp_path))


@pytest.mark.parametrize("make", list_cases(foreign.FONTS))
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


@pytest.mark.parametrize("make", list_cases({**foreign.DRAWINGS, **foreign.PICTURES}))
def test_a_logo(tmp_path: Path, make: Make) -> None:
    logo = ('layout = "lantern"', 'layout = "ledger"\nlogo = "logo.svg"')
    set_up(tmp_path, logo, logo_svg=make())
    check(run_command(["sheet", "label.toml", "--out", "out"], tmp_path))


@pytest.mark.parametrize("make", list_cases(foreign.LISTS))
def test_a_list(tmp_path: Path, make: Make) -> None:
    set_up(tmp_path, ("guests = 60", 'guest_list = "guests.csv"'), guests_csv=make())
    end = run_command(["preflight", "label.toml"], tmp_path)
    check(end)
    assert end.code == 2


# -- changed at random -----------------------------------------------------------------------------


def run_numbers(numbers: range) -> None:
    for number in numbers:
        mutant = make_mutant(0, number)
        end = run_mutant(mutant)
        assert not end.complaints, (number, mutant.kind, mutant.what, end.complaints)


def test_four_changed_files() -> None:
    run_numbers(range(4))


@pytest.mark.parametrize(
    "number",
    [
        1834,  # dropped widths make texts metres long; each was looked at millions of times
        3818,  # of a matrix of noughts, labels of no size; where a text stands there cannot be told
    ],
)
@pytest.mark.quick(1)
def test_a_file_that_once_took_minutes(number: int) -> None:
    run_numbers(range(number, number + 1))


@pytest.mark.long
@pytest.mark.parametrize("hundred", range(4))
def test_four_hundred_changed_files(hundred: int) -> None:
    run_numbers(range(4 + hundred * 99, 4 + (hundred + 1) * 99))


def test_a_case_is_the_same_whenever_it_is_made() -> None:
    for number in range(30):
        one, other = make_mutant(7, number), make_mutant(7, number)
        assert (one.kind, one.what, one.arguments) == (other.kind, other.what, other.arguments)
        assert one.files == other.files
