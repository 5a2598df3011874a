"""Fonts found for letters that a layout's own face lacks, and how they are matched to it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from labelkit.common.errors import FaceError
from labelkit.typeset import companions
from labelkit.typeset.companions import (
    MixedFace,
    check_font_files,
    find_writing_face,
    list_unwritten,
)
from labelkit.typeset.faces import Face, FaceRequest, load_face
from labelkit.typeset.fontfiles import list_family_files

KHMER = "សុខា"


@pytest.fixture
def plain() -> Face:
    return load_face(FaceRequest("fira-sans"))


def font_copy(target: Path, family: str = "noto-sans-khmer", bits: int = 0) -> Path:
    """A copy of an installed font with the embedding bits (OS/2 fsType) that are asked for."""
    font = TTFont(list_family_files(family)[0].path)
    font["OS/2"].fsType = bits
    target.parent.mkdir(parents=True, exist_ok=True)
    font.save(target)
    return target


@pytest.fixture
def computer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A computer whose only fonts lie in this folder, and no package for Khmer."""
    without = companions.SCRIPTS["Khmr"]._replace(even="", contrasted="")
    monkeypatch.setitem(companions.SCRIPTS, "Khmr", without)
    monkeypatch.setattr(companions, "list_font_folders", lambda: (tmp_path / "fonts",))
    for cached in (companions.find_companion, companions.list_installed_fonts):
        cached.cache_clear()
    yield tmp_path / "fonts"
    for cached in (companions.find_companion, companions.list_installed_fonts):
        cached.cache_clear()


def test_a_font_of_the_computer_is_found(plain: Face, computer: Path) -> None:
    assert find_writing_face((plain,), KHMER) is None
    assert list_unwritten((plain,), f"Ana {KHMER}") == ("Khmer",)
    companions.find_companion.cache_clear()
    companions.list_installed_fonts.cache_clear()
    path = font_copy(computer / "below" / "khmer.ttf")
    face = find_writing_face((plain,), KHMER)
    assert isinstance(face, MixedFace)
    (_, found, _) = face.companions[0]
    assert found.path == path
    assert not found.package


# OpenType specification, OS/2 table, fsType (from memory): 0 installable, 2 restricted licence,
# 4 preview and print, 0x100 no subsetting.
@pytest.mark.parametrize(("bits", "allowed"), [(0, True), (2, False), (4, True), (0x100, False)])
def test_fonts_are_taken_only_where_their_bits_allow_it(
    plain: Face, computer: Path, bits: int, allowed: bool
) -> None:
    font_copy(computer / "khmer.ttf", bits=bits)
    assert (find_writing_face((plain,), KHMER) is not None) is allowed


def test_a_damaged_font_of_the_computer_is_passed_over(plain: Face, computer: Path) -> None:
    computer.mkdir()
    (computer / "broken.ttf").write_bytes(b"\x00\x01\x00\x00 no font")
    (computer / "empty.otf").write_bytes(b"")
    assert find_writing_face((plain,), KHMER) is None


def test_the_makers_own_file_is_asked_first(plain: Face, tmp_path: Path) -> None:
    own = font_copy(tmp_path / "mine.ttf")
    face = find_writing_face((plain,), KHMER, (own,))
    assert isinstance(face, MixedFace)
    assert face.companions[0][1].path == own


def test_a_makers_file_that_helps_nothing_is_told(tmp_path: Path) -> None:
    check_font_files([font_copy(tmp_path / "mine.ttf")])
    with pytest.raises(FaceError, match="may be embedded"):
        check_font_files([font_copy(tmp_path / "locked.ttf", bits=2)])
    (tmp_path / "none.ttf").write_text("no font")
    with pytest.raises(FaceError, match="holds no font"):
        check_font_files([tmp_path / "none.ttf"])


def test_emoji_have_no_companion(plain: Face) -> None:
    assert find_writing_face((plain,), "Noa 🎉") is None
    assert list_unwritten((plain,), "Noa 🎉") == ("🎉",)


def test_the_own_face_writes_what_it_can(plain: Face) -> None:
    assert find_writing_face((plain,), "Noa & Zoë") is plain
    face = find_writing_face((plain,), "Noa נועה")
    assert isinstance(face, MixedFace)
    assert face.own is plain
    assert face.missing("Noa נועה") == ""
    assert face.missing("Noa 🎉") == "🎉"


@pytest.mark.parametrize("script", ["Arab", "Hebr", "Deva", "Taml", "Telu", "Thai", "Khmr", "Beng"])
@pytest.mark.parametrize("family", ["cormorant-garamond", "fira-sans", "marcellus"])
def test_companions_are_as_tall_as_asked(family: str, script: str) -> None:
    """Between the small o and the capital, by each script's share (common practice, no source)."""
    face = load_face(FaceRequest(family))
    like = companions.SCRIPTS[script]
    found = companions.find_companion(face, script, like.sample)
    assert found is not None
    scale = companions.compute_matched_scale(face, script, found)
    height = found.height_em(like.sample)
    assert height is not None and face.small_o_em and face.capital_em
    wanted = face.small_o_em + like.share * (face.capital_em - face.small_o_em)
    assert scale * height == pytest.approx(wanted, rel=0.01)


def test_a_heavier_face_has_a_heavier_companion() -> None:
    light, bold = (load_face(FaceRequest("fira-sans", weight)) for weight in (300, 700))
    thin, thick = (companions.find_companion(face, "Thai", "ก") for face in (light, bold))
    assert thin is not None and thick is not None
    assert thin.weight < thick.weight


def test_greek_beside_a_face_without_it_keeps_its_kind_and_height() -> None:
    """A whole script that the face lacks is written by a companion; a word is never torn."""
    face = load_face(FaceRequest("cormorant-garamond", 600))
    others = (face, load_face(FaceRequest("fira-sans", 600)))
    mixed = find_writing_face(others, "Anna & Νίκος")
    assert isinstance(mixed, MixedFace) and mixed.own is face
    ((script, found, scale),) = mixed.companions
    assert script == "Grek" and found.postscript.startswith("EBGaramond")
    height = found.height_em("ο")
    assert height is not None
    assert height * scale == pytest.approx(face.small_o_em, rel=0.02)
