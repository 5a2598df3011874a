"""Which font file writes a name: told by preflight and proof, and named in the PDF."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit
from pypdf import PdfReader

from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.typeset import companions
from labelkit.typeset.companions import Companion, find_companion
from labelkit.typeset.faces import FaceRequest, load_face
from labelkit.typeset.fontfiles import find_package_folder

Event = Callable[..., Path]
NAMES = {"Hani": "陳美玲", "Guru": "ਗੁਰਪ੍ਰੀਤ", "Cans": "ᐃᓄᒃ", "Arab": "ليلى"}
HAN_EXTRA = "noto_cjk_sans_jp_regular"


def font_for(script: str) -> Companion:
    found = find_companion(load_face(FaceRequest("cormorant-garamond", 600)), script, NAMES[script])
    if found is None:
        pytest.skip(f"no font on this computer writes {NAMES[script]}")
    return found


def label_for(event: Event, *guests: str) -> Path:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    (label.parent / "guests.csv").write_text("name\n" + "\n".join(guests), encoding="utf-8")
    return label


@pytest.mark.parametrize("script", NAMES)
@pytest.mark.quick(2)
def test_preflight_proof_and_pdf_say_which_file_wrote_a_name(
    event: Event, tmp_path: Path, script: str
) -> None:
    found = font_for(script)
    label = label_for(event, NAMES[script], "Ada")
    (told,) = [f for f in preflight_job(prepare_job(label)).findings if f.rule == "CRAFT-FONT"]
    assert NAMES[script] in told.message
    assert found.path.name in told.message
    assert ("name it with fonts under [label]" in told.remedy) is not found.package
    assert labelkit("proof", label, "--out", tmp_path / "proof.pdf").returncode == 0
    proof = " ".join(page.extract_text() for page in PdfReader(tmp_path / "proof-maker.pdf").pages)
    assert found.path.name in "".join(proof.split())
    assert labelkit("sheet", label, "--out", tmp_path / "out").returncode == 0
    assert any(found.name in name for name in fonts_in(tmp_path / "out" / "front.pdf"))


def fonts_in(path: Path) -> set[str]:
    """The names of all fonts of a PDF, those inside its forms included."""
    reader = PdfReader(path)
    names = set()
    for number in range(1, len(reader.xref[0]) + 1):
        found = reader.get_object(number)
        if isinstance(found, dict) and found.get("/Type") == "/Font":
            names.add(str(found.get("/BaseFont") or found.get("/Name")))
    return names


def test_han_comes_with_the_extra() -> None:
    """``pip install labelkit[han]`` brings a face for Han, Kana and Hangul."""
    folder = find_package_folder(HAN_EXTRA)
    if folder is None:
        pytest.skip("the extra is not installed")
    for script, name in (("Hani", "陳美玲"), ("Hani", "さくら"), ("Hang", "한지민")):
        found = find_companion(load_face(FaceRequest("fira-sans")), script, name)
        assert found is not None
        assert found.package
        assert found.path.parent == folder


def test_without_the_extra_the_computer_writes_han(monkeypatch: pytest.MonkeyPatch) -> None:
    without = companions.SCRIPTS["Hani"]._replace(even="", contrasted="")
    monkeypatch.setitem(companions.SCRIPTS, "Hani", without)
    companions.find_companion.cache_clear()
    try:
        found = find_companion(load_face(FaceRequest("fira-sans")), "Hani", "陳美玲")
    finally:
        companions.find_companion.cache_clear()
    if found is None:
        pytest.skip("no font on this computer writes Han")
    assert not found.package
    assert found.path.is_file()
