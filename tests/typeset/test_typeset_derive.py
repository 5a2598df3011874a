"""The cache of derived fonts: same bytes everywhere, never half a file, never in the way."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
import uharfbuzz as hb
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables._k_e_r_n import KernTable_format_0
from fontTools.varLib import instancer

from labelkit.common import kept
from labelkit.common.errors import FaceError
from labelkit.typeset import derive, faces, fontfiles
from labelkit.typeset.derive import FontDerivation
from labelkit.typeset.faces import FaceRequest

ROOT = Path(__file__).resolve().parents[2]
JOSEFIN = next(f.path for f in fontfiles.list_family_files("josefin-sans") if not f.italic)
WISH = FontDerivation("JosefinSans-SemiBold", axes=(("wght", 600.0),))


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "labelkit" / "fonts"


def make_font(source: Path = JOSEFIN, weight: int = 600) -> Path:
    """The path of the font that is made of a file and kept."""
    request = FaceRequest("josefin-sans", weight=weight)
    return faces._make_face(fontfiles.read_font_file(source), request).path


def test_a_derived_font_is_made_once_and_kept(cache: Path) -> None:
    path = make_font()
    made = path.stat().st_mtime_ns
    assert path.parent == cache
    assert make_font() == path
    assert path.stat().st_mtime_ns == made
    assert [p.name for p in cache.iterdir()] == [path.name]


@pytest.mark.usefixtures("cache")
def test_another_style_or_another_source_is_another_file(tmp_path: Path) -> None:
    other = tmp_path / JOSEFIN.name
    other.write_bytes(JOSEFIN.read_bytes() + b"\0")
    assert len({make_font(), make_font(weight=700), make_font(other)}) == 3


@pytest.mark.usefixtures("cache")
def test_what_an_axis_does_not_tell_apart_is_one_file() -> None:
    """The face ends at 700: its name in a PDF is that of one font."""
    assert make_font(weight=700) == make_font(weight=900)


@pytest.mark.usefixtures("cache")
def test_half_a_font_in_the_cache_is_made_anew() -> None:
    path = make_font()
    whole = path.read_bytes()
    path.write_bytes(whole[:1000])
    assert make_font().read_bytes() == whole


def test_a_font_of_the_cache_that_was_changed_is_made_anew(cache: Path) -> None:
    """One byte of an outline: any reader would still take it for a whole font."""
    path = make_font()
    whole = path.read_bytes()
    place = len(whole) // 2
    path.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
    assert make_font().read_bytes() == whole
    assert [p.name for p in cache.iterdir()] == [path.name]


def test_a_full_disk_under_the_cache_is_done_without(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make = tempfile.mkstemp

    def full(*, dir: Path, prefix: str, suffix: str) -> tuple[int, str]:
        if Path(dir) == cache:
            raise OSError(errno.ENOSPC, "No space left on device", str(dir))
        return make(dir=dir, prefix=prefix, suffix=suffix)

    monkeypatch.setattr(kept.tempfile, "mkstemp", full)
    path = make_font()
    assert path.parent == kept.find_temporary_folder()
    assert make_font() == path
    assert [*cache.iterdir()] == []


def test_a_cache_that_cannot_be_written_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    folder = kept.find_cache_folder()
    assert folder.is_dir() and not folder.is_relative_to(tmp_path)


def test_without_xdg_the_home_folder_s_cache_is_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # XDG Base Directory Specification: $HOME/.cache where XDG_CACHE_HOME is unset (from memory).
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert kept.find_cache_folder() == tmp_path / ".cache" / "labelkit" / "fonts"


# Reference: fontTools.varLib.instancer, a work apart from HarfBuzz. A unit of difference, which is
# at most a thousandth of an em, is rounding.
@pytest.mark.parametrize(
    ("family", "axes"),
    [
        ("josefin-sans", {"wght": 600.0}),
        pytest.param("eb-garamond", {"wght": 500.0}, marks=pytest.mark.long),
        pytest.param(
            "fraunces",
            {"wght": 650.0, "opsz": 9.0, "SOFT": 0.0, "WONK": 0.0},
            marks=pytest.mark.long,
        ),
        pytest.param("noto-sans", {"wght": 700.0, "wdth": 82.0}, marks=pytest.mark.long),
    ],
)
def test_an_instance_is_what_fonttools_makes_of_it(family: str, axes: dict[str, float]) -> None:
    letters = "AÉVWÅagßmnřý0127&.,'•"
    path = next(f.path for f in fontfiles.list_family_files(family) if not f.italic)
    data = path.read_bytes()
    theirs = instancer.instantiateVariableFont(TTFont(io.BytesIO(data)), axes)
    saved = io.BytesIO()
    theirs.save(saved)
    made = derive.make_static_font(data, path, FontDerivation("Own-Name", tuple(axes.items())))
    ours = TTFont(io.BytesIO(made))
    for letter in letters:
        own, other = _outline(ours, letter), _outline(theirs, letter)
        assert own[0] == other[0], letter
        assert all(abs(a - b) <= 1 for a, b in zip(own[1], other[1], strict=True)), letter
    assert _advances(made, "AVATo Léna, Wř.") == pytest.approx(
        _advances(saved.getvalue(), "AVATo Léna, Wř."), abs=1
    )
    assert ours["OS/2"].usWeightClass == theirs["OS/2"].usWeightClass == int(axes["wght"])
    assert "fvar" not in ours and "GSUB" not in ours


def _outline(font: TTFont, letter: str) -> tuple[list[str], list[float]]:
    """The drawing operators of a letter, and the numbers they take; the advance last."""
    name, glyphs = font.getBestCmap()[ord(letter)], font.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    numbers = [n for _, points in pen.value for point in points if point for n in point]
    return [operator for operator, _ in pen.value], [*numbers, glyphs[name].width]


def _advances(data: bytes, text: str) -> list[int]:
    """What HarfBuzz advances after each letter, kerning included, no letter exchanged."""
    font, buffer = hb.Font(hb.Face(data)), hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    exchanging = ("rvrn", "liga", "clig", "calt", "locl", "ccmp")
    hb.shape(font, buffer, {"kern": True, **dict.fromkeys(exchanging, False)})
    return [position.x_advance for position in buffer.glyph_positions]


def test_kerns_of_a_font_without_positioning_rules_stay() -> None:
    # OpenType specification, kern table, format 0 (from memory): pairs go by glyph number.
    path = next(f.path for f in fontfiles.list_family_files("marcellus"))
    font = TTFont(path)
    pair = tuple(font.getBestCmap()[ord(letter)] for letter in "To")
    del font["GPOS"]
    table = font["kern"] = newTable("kern")
    table.version = 0
    sub = KernTable_format_0()
    sub.coverage, sub.tupleIndex, sub.kernTable = 1, None, {pair: -150}
    table.kernTables = [sub]
    stream = io.BytesIO()
    font.save(stream)
    made = derive.make_static_font(stream.getvalue(), path, FontDerivation("Own-Name"))
    alone = sum(_advances(made, "T") + _advances(made, "o"))
    assert sum(_advances(made, "To")) == alone - 150


def spoilt(data: bytes, tag: str) -> bytes:
    """A font with one bit of the last value in one of its tables turned over."""
    table = TTFont(io.BytesIO(data), lazy=True).reader.tables[tag]
    last = table.offset + table.length - 1
    return data[:last] + bytes([data[last] ^ 1]) + data[last + 1 :]


@pytest.mark.usefixtures("cache")
def test_kerning_that_is_not_as_its_maker_wrote_it_is_remembered(tmp_path: Path) -> None:
    bad = tmp_path / JOSEFIN.name
    bad.write_bytes(spoilt(JOSEFIN.read_bytes(), "GPOS"))
    for source, damaged in ((JOSEFIN, False), (bad, True)):
        for _ in ("made", "found in the cache"):
            path = make_font(source)
            assert derive.has_damaged_kerning(path) is damaged
        assert fontfiles.read_font(path)
    assert not derive.has_damaged_kerning(JOSEFIN)


def test_a_font_is_held_to_the_table_it_is_kerned_by() -> None:
    # OpenType specification (from memory): kern counts only where there is no GPOS.
    path = next(f.path for f in fontfiles.list_family_files("marcellus"))
    font = TTFont(path)
    table = font["kern"] = newTable("kern")
    table.version = 0
    sub = KernTable_format_0()
    sub.coverage, sub.tupleIndex, sub.kernTable = 1, None, {("A", "V"): -150}
    table.kernTables = [sub]

    def adds_up(*spoil: str) -> bool:
        stream = io.BytesIO()
        font.save(stream)
        data = stream.getvalue()
        for tag in spoil:
            data = spoilt(data, tag)
        return fontfiles.has_sound_kerning(TTFont(io.BytesIO(data), lazy=True))

    assert adds_up() and adds_up("kern") and not adds_up("GPOS")
    del font["GPOS"]
    assert adds_up() and not adds_up("kern")
    del font["kern"]
    assert adds_up()


@pytest.mark.parametrize("family", fontfiles.list_installed_families())
def test_no_installed_font_is_taken_for_damaged(family: str) -> None:
    """The checksums are those that the fonts' own makers wrote."""
    for file in fontfiles.list_family_files(family):
        with TTFont(file.path, lazy=True) as font:
            assert fontfiles.has_sound_kerning(font), file.path.name


def test_a_letter_whose_outline_is_damaged_is_told() -> None:
    data = bytearray(JOSEFIN.read_bytes())
    font = TTFont(io.BytesIO(bytes(data)), lazy=True)
    glyf = font.reader.tables["glyf"].offset
    at = glyf + font["loca"][font.getGlyphID(font.getBestCmap()[ord("a")])]
    data[at : at + 2] = b"\x7f\xff"  # number of contours
    with pytest.raises(FaceError, match="not a readable TrueType font"):
        derive.make_static_font(bytes(data), JOSEFIN, WISH)


def test_the_bytes_do_not_depend_on_the_process() -> None:
    code = (
        "import sys, hashlib, pathlib\n"
        "from labelkit.typeset.derive import FontDerivation, make_static_font\n"
        "path = pathlib.Path(sys.argv[1])\n"
        "wish = FontDerivation('JosefinSans-SemiBold', axes=(('wght', 600.0),))\n"
        "print(hashlib.sha256(make_static_font(path.read_bytes(), path, wish)).hexdigest())\n"
    )
    digests = set()
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", code, str(JOSEFIN)],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert run.stderr == ""
        digests.add(run.stdout.strip())
    digests.add(
        hashlib.sha256(derive.make_static_font(JOSEFIN.read_bytes(), JOSEFIN, WISH)).hexdigest()
    )
    assert len(digests) == 1
