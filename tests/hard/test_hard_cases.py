"""Hostile input of every kind ends in success or in one clear line, and hurts nobody.

Runs some cases, and in the long run more; tests/hard/run.py runs ten thousand on several processors
and prints the table of counts.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import hard_binary as binary
import hard_toml as documents
import pytest
from examples import examples
from hard_case import CORPUS, Case, Content, Filler, read_case
from hard_cases import cases, sample, with_layout, with_logo
from hard_run import MEMORY_BYTES, run, shown
from hypothesis import HealthCheck, given, settings

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")

COUNT = 6
SHEET = ("sheet", "label.toml", "--out", "out")


@settings(
    max_examples=examples(COUNT),
    derandomize=True,
    database=None,
    print_blob=False,
    suppress_health_check=list(HealthCheck),
)
@given(case=cases())
def test_any_case(case: Case) -> None:
    outcome = run(case)
    assert not outcome.faults, shown(case, outcome)


@pytest.mark.parametrize("path", sorted(CORPUS.glob("*.json")), ids=lambda path: path.stem)
@pytest.mark.quick(3)
def test_what_once_did_harm(path: Path) -> None:
    case = read_case(path)
    outcome = run(case)
    assert not outcome.faults, shown(case, outcome)


def test_a_case_is_read_as_it_was_written(tmp_path: Path) -> None:
    for path in CORPUS.glob("*.json"):
        case = read_case(path)
        again = tmp_path / "again.json"
        again.write_text(case.written(), encoding="utf-8")
        assert read_case(again) == case


# -- what the makers of formats say must not be done with them ------------------------------------


@pytest.mark.parametrize(
    ("bits", "code"),
    # OpenType specification, OS/2 table, fsType (from memory): bit 1 forbids embedding, bit 2
    # allows it to preview and print, bit 3 to edit, bit 8 forbids subsetting, bit 9 all but
    # bitmaps; of bits 1 to 3 the least restrictive holds.
    [(0x0006, 0), (0x0000, 0), (0x0004, 0), (0x0002, 2), (0x0008, 0), (0x0100, 2), (0x0200, 2)],
)
@pytest.mark.quick(2)
def test_permission_to_embed_is_honoured(bits: int, code: int) -> None:
    font = binary.with_embedding_bits(binary.font(), bits)
    files = with_layout({"mine.ttf": font}, {"names": {"file": "mine.ttf"}})
    outcome = run(Case("font", SHEET, files, ends=code))
    assert not outcome.faults
    if code:
        assert "forbids" in outcome.stderr or "only bitmaps" in outcome.stderr


def test_a_face_that_leaves_letters_blank_prints_nothing() -> None:
    """Not "Sodium Oliv te": what is not there must not pass for what was typed."""
    font = binary.with_blank_letters(binary.font(), "a")
    files = with_layout({"mine.ttf": font}, {"text": {"file": "mine.ttf"}})
    outcome = run(Case("font", SHEET, files, ends=2))
    assert not outcome.faults
    assert "prints nothing for 'a'" in outcome.stderr


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("l.png", binary.png(30_000, 30_000, b"\0"), "cannot be read as a picture"),
        ("l.png", binary.png_text_bomb(), ""),
        ("l.svg", binary.svg("<desc>&d;</desc>", binary.LAUGHS), "entities"),
        ("l.svg", binary.svg("<g>" * 100_000 + "</g>" * 100_000), "deeply"),
        ("l.png", Filler(50_000_000, 0, b"\x89PNG\r\n\x1a\n"), "bytes"),
    ],
    ids=["large", "comment", "entities", "deep", "50 MB"],
)
def test_pictures_that_unfold_to_gigabytes(name: str, data: Content, says: str) -> None:
    outcome = run(Case("logo picture", SHEET, with_logo(data, name), ends=2))
    assert not outcome.faults
    assert says in outcome.stderr


@pytest.mark.parametrize(
    "data", [binary.flate_bomb(), binary.twice_flate_bomb()], ids=["once", "twice"]
)
def test_a_pdf_that_unfolds_to_gigabytes(data: bytes) -> None:
    arguments = ("preflight", "label.toml", "--pdf", "front.pdf")
    outcome = run(Case("finished PDF", arguments, {**sample(), "front.pdf": data}, ends=2))
    assert not outcome.faults


@pytest.mark.parametrize(
    ("files", "arguments"),
    [
        ({"front.pdf": binary.flate_bomb()}, ("preflight", "label.toml", "--pdf", "front.pdf")),
        (with_logo(binary.png_bomb(), "l.png"), SHEET),
        ({"label.toml": Filler(50_000_000)}, SHEET),
        ({"recipe.toml": b"x = " + b"[" * 100_000}, SHEET),
        ({"label.toml": documents.toml({"x": float("nan"), "labelkit": 1})}, SHEET),
    ],
    ids=["PDF", "PNG", "50 MB", "deep", "NaN"],
)
@pytest.mark.quick(1)
def test_a_fresh_process_keeps_within_a_gigabyte(
    files: dict[str, Content], arguments: tuple[str, ...], tmp_path: Path
) -> None:
    """The same as a maker starts it, with nothing imported beforehand."""
    Case("", arguments, {**sample(), **files}).make(tmp_path)

    def bound() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))

    done = subprocess.run(
        [sys.executable, "-m", "labelkit", *arguments],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=bound,
    )
    assert done.returncode == 2
    assert done.stderr
    assert all(line.startswith("labelkit: ") for line in done.stderr.splitlines())
    assert "MemoryError" not in done.stderr
