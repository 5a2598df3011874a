"""What a file holds is what its name says, or it is not written."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.cli import main

SAMPLE = Path(__file__).resolve().parent.parent.parent / "samples/lighthouse-supper"
LABEL = SAMPLE / "label.toml"
ON = ("--on", "2027-03-01")


def run(*arguments: object) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def size_in_inches(picture: bytes) -> tuple[float, float]:
    """Width and height of a PNG file as it says of itself.

    PNG (Third Edition), W3C: 5.2 signature, 11.2.1 IHDR (width and height in its first eight
    bytes), 11.3.4.3 pHYs (pixels per metre); from memory.
    """
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    assert picture[12:16] == b"IHDR"
    density = picture.index(b"pHYs") + 4
    pixels = struct.unpack(">II", picture[16:24])
    per_metre = struct.unpack(">II", picture[density : density + 8])
    return tuple(count / many / 0.0254 for count, many in zip(pixels, per_metre, strict=True))


@pytest.mark.parametrize("ending", ["png", "PNG"])
@pytest.mark.long
def test_a_proof_named_as_a_picture_is_one(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("proof", LABEL, "--out", tmp_path / "new" / f"proof.{ending}") == 0
    written = sorted((tmp_path / "new").iterdir())
    told = [line for line in capsys.readouterr().out.splitlines() if line.endswith(".png")]
    assert [str(path) for path in written] == told
    assert {path.name.rstrip("0123456789.pngPNG") for path in written} == {"proof-", "proof-maker-"}
    theirs = [path.name for path in written if "maker" not in path.name]
    assert theirs == ["proof-1.png", "proof-2.png"]
    for path in written:  # a sheet of letter paper, for Canada
        assert size_in_inches(path.read_bytes()) == pytest.approx((8.5, 11), abs=0.01)


@pytest.mark.parametrize(
    ("command", "name", "expected"),
    [
        (("proof", LABEL), "p.html", ".pdf or .png"),
        (("proof", LABEL), "p.toml", ".pdf or .png"),
        (("calibrate", "--page", "a4"), "c.png", ".pdf"),
        (("stock", "show", "a4-3x7-63x38"), "s.svg", ".pdf"),
        (("print", "front.pdf"), "f.png", ".pdf"),
        (("plan", LABEL, *ON), "p.png", ".txt, .json, .html, .htm or .pdf"),
        (("plan", LABEL, *ON, "--format", "pdf"), "p.html", ".pdf, as --format pdf does"),
        (("plan", LABEL, *ON, "--format", "text"), "p.pdf", ".txt, as --format text does"),
    ],
)
def test_a_name_that_promises_something_else_is_refused(
    command: tuple[object, ...],
    name: str,
    expected: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    target = Path("out", name)
    assert run(*command, "--out", target) == 2
    shown = capsys.readouterr()
    told = f"labelkit: --out: '{target}': expected a name that ends in {expected}\n"
    assert (shown.out, shown.err) == ("", told)
    assert not target.parent.exists()


@pytest.mark.parametrize(
    ("name", "head"),
    [("p.pdf", b"%PDF-"), ("p.html", b"<!doctype html>"), ("p.json", b"{"), ("p.txt", b"The")],
)
def test_a_plan_is_of_the_kind_its_name_says(name: str, head: bytes, tmp_path: Path) -> None:
    assert run("plan", LABEL, *ON, "--out", tmp_path / name) == 0
    assert (tmp_path / name).read_bytes().startswith(head)


def test_a_calendar_is_named_as_one(
    event: Callable[..., Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("plan", event(), *ON, "--ics", tmp_path / "days.pdf") == 2
    assert "--ics: " in capsys.readouterr().err
    assert not (tmp_path / "days.pdf").exists()
