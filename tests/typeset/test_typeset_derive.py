"""The cache of derived fonts: same bytes everywhere, never half a file, never in the way."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from labelkit.typeset import derive, fontfiles
from labelkit.typeset.derive import Wish, derived

ROOT = Path(__file__).resolve().parents[2]
JOSEFIN = next(f.path for f in fontfiles.family_files("josefin-sans") if not f.italic)
WISH = Wish("JosefinSans-SemiBold", axes=(("wght", 600.0),))


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "labelkit" / "fonts"


def test_a_derived_font_is_made_once_and_kept(cache: Path) -> None:
    path = derived(JOSEFIN.read_bytes(), JOSEFIN, WISH)
    made = path.stat().st_mtime_ns
    assert path.parent == cache
    assert derived(JOSEFIN.read_bytes(), JOSEFIN, WISH) == path
    assert path.stat().st_mtime_ns == made
    assert [p.name for p in cache.iterdir()] == [path.name]


@pytest.mark.usefixtures("cache")
def test_another_wish_or_another_source_is_another_file() -> None:
    data = JOSEFIN.read_bytes()
    names = {
        derived(data, JOSEFIN, WISH).name,
        derived(data, JOSEFIN, Wish("JosefinSans-Bold", axes=(("wght", 700.0),))).name,
        derived(data + b"\0", JOSEFIN, WISH).name,
    }
    assert len(names) == 3


@pytest.mark.usefixtures("cache")
def test_half_a_font_in_the_cache_is_made_anew() -> None:
    path = derived(JOSEFIN.read_bytes(), JOSEFIN, WISH)
    whole = path.read_bytes()
    path.write_bytes(whole[:1000])
    assert derived(JOSEFIN.read_bytes(), JOSEFIN, WISH).read_bytes() == whole


def test_a_cache_that_cannot_be_written_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    folder = derive.cache_folder()
    assert folder.is_dir() and not folder.is_relative_to(tmp_path)


def test_without_xdg_the_home_folder_s_cache_is_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # XDG Base Directory Specification: $HOME/.cache where XDG_CACHE_HOME is unset (from memory).
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert derive.cache_folder() == tmp_path / ".cache" / "labelkit" / "fonts"


def test_the_bytes_do_not_depend_on_the_process() -> None:
    code = (
        "import sys, hashlib, pathlib\n"
        "from labelkit.typeset.derive import Wish, make\n"
        "path = pathlib.Path(sys.argv[1])\n"
        "wish = Wish('JosefinSans-SemiBold', axes=(('wght', 600.0),))\n"
        "print(hashlib.sha256(make(path.read_bytes(), path, wish)).hexdigest())\n"
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
    digests.add(hashlib.sha256(derive.make(JOSEFIN.read_bytes(), JOSEFIN, WISH)).hexdigest())
    assert len(digests) == 1
