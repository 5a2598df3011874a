"""What goes out with a label is what its maker wrote for it, and nothing from around it.

Words that stand nowhere else are planted in the metadata of her files, in the environment, in the
path, in comments and in another order beside this one; then every file that labelkit makes is
unpacked and searched for them.
"""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import hard_binary as binary
import pytest
from command import labelkit
from fontTools.ttLib import TTFont
from hard_case import SAMPLE
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from pypdf import PdfReader
from pypdf.generic import StreamObject

PLANTED = {
    word: f"zq{word}qz"
    for word in (
        "exif", "gps", "comment", "text", "xmp", "xml", "title", "fontname", "fontlicence",
        "user", "variable", "folder", "remark", "guest", "lot",
    )
}  # fmt: skip


def make_jpeg() -> bytes:
    picture = Image.new("RGB", (900, 300), "white")
    picture.paste("#203050", (50, 50, 800, 250))
    exif = Image.Exif()
    exif[0x010E], exif[0x013B] = PLANTED["exif"], PLANTED["exif"]  # description, artist
    exif.get_ifd(0x8825)[0x001D] = PLANTED["gps"]
    stream = io.BytesIO()
    xmp = f"<x:xmpmeta>{PLANTED['xmp']}</x:xmpmeta>".encode()
    picture.save(stream, "JPEG", exif=exif, comment=PLANTED["comment"], xmp=xmp)
    return stream.getvalue()


def make_png() -> bytes:
    picture = Image.new("RGB", (900, 300), "white")
    picture.paste("#203050", (50, 50, 800, 250))
    said = PngInfo()
    said.add_text("Author", PLANTED["text"])
    said.add_itxt("XML:com.adobe.xmp", PLANTED["xmp"], zip=True)
    stream = io.BytesIO()
    picture.save(stream, "PNG", pnginfo=said)
    return stream.getvalue()


def make_svg() -> bytes:
    inside = (
        f"<title>{PLANTED['title']}</title><metadata>{PLANTED['xml']}</metadata>"
        f'<!-- {PLANTED["comment"]} --><path id="{PLANTED["text"]}" d="M0 0H30V10H0Z"/>'
    )
    return binary.svg(inside)


def make_font() -> bytes:
    font, stream = TTFont(io.BytesIO(binary.font("marcellus"))), io.BytesIO()
    for number, word in ((0, "fontlicence"), (5, "fontname"), (9, "fontname"), (13, "fontlicence")):
        font["name"].setName(PLANTED[word], number, 3, 1, 0x409)
    font.save(stream)
    return stream.getvalue()


LOGOS = {"logo.jpg": make_jpeg, "logo.png": make_png, "logo.svg": make_svg}


def list_contents(path: Path) -> Iterator[bytes]:
    """All that a file says, unpacked: a PDF's every object, a PNG's every chunk."""
    data = path.read_bytes()
    yield data
    if data.startswith(b"%PDF-"):
        reader = PdfReader(io.BytesIO(data))
        for number in reader.xref[0]:
            found: Any = reader.get_object(number)
            yield repr(found).encode("utf-8", "replace")
            if isinstance(found, StreamObject):
                yield found.get_data()
        yield repr(reader.metadata).encode("utf-8", "replace")
        yield "".join(page.extract_text() for page in reader.pages).encode("utf-8", "replace")
    if data.startswith(b"\x89PNG"):
        for chunk in re.split(b"IDAT|zTXt|iTXt|tEXt", data):
            yield chunk
            try:
                yield zlib.decompress(chunk[:-8])
            except zlib.error:
                continue


def find_planted(data: bytes) -> set[str]:
    flat = data.lower().replace(b"\x00", b"")  # UTF-16 of plain letters
    return {name for name, word in PLANTED.items() if word.encode() in flat}


@pytest.mark.parametrize("logo", LOGOS)
@pytest.mark.quick(1)
@pytest.mark.usefixtures("coarse_pictures")
def test_nothing_of_the_files_around_goes_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, logo: str
) -> None:
    workshop = tmp_path / PLANTED["folder"]
    event, other = workshop / "event", workshop / "other"
    for folder in (event, other):
        folder.mkdir(parents=True)
        for name in ("recipe.toml", "maker.toml", "prices.toml"):
            (folder / name).write_bytes((SAMPLE / name).read_bytes())
    spec = (SAMPLE / "label.toml").read_text(encoding="utf-8")
    (other / "guests.txt").write_text(f"{PLANTED['guest']}\n", encoding="utf-8")
    (other / "label.toml").write_text(
        spec.replace("guests = 60", 'guest_list = "guests.txt"').replace("LS-2704", PLANTED["lot"]),
        encoding="utf-8",
    )
    layout = (SAMPLE.parents[1] / "layouts" / "ledger.toml").read_text(encoding="utf-8")
    family = '[faces.names]\nfamily = "fira-sans"\nweight = 600\nwidths = [100, 75]\n'
    assert family in layout
    layout = layout.replace(family, '[faces.names]\nfile = "own.ttf"\n')
    (event / "own.toml").write_text(layout, encoding="utf-8")
    (event / "own.ttf").write_bytes(make_font())
    (event / logo).write_bytes(LOGOS[logo]())
    (event / "label.toml").write_text(
        f"# {PLANTED['remark']}\n"
        + spec.replace("guests = 60", "guests = 2").replace(
            'layout = "lantern"', f'layout = "own.toml"\nlogo = "{logo}"'
        ),
        encoding="utf-8",
    )
    for name in ("USER", "LOGNAME", "USERNAME", "HOSTNAME"):
        monkeypatch.setenv(name, PLANTED["user"])
    monkeypatch.setenv("LABELKIT_WORD", PLANTED["variable"])
    label, out = event / "label.toml", tmp_path / "out"
    assert labelkit("sheet", other / "label.toml", "--out", tmp_path / "others").returncode == 0
    given = {path for path in tmp_path.rglob("*") if path.is_file()}
    out.mkdir()
    said = [
        labelkit("sheet", label, "--out", out / "sheets"),
        labelkit("sheet", label, "--out", out / "single", "--one-per-page"),
        labelkit("proof", label, "--out", out / "proof.pdf", "--png", out / "pictures"),
        labelkit("plan", label, "--out", out / "plan.pdf", "--ics", out / "days.ics"),
        labelkit("plan", label, "--page", "quote", "--out", out / "quote.pdf"),
        labelkit("plan", label, "--format", "json", "--out", out / "plan.json"),
        labelkit("plan", label, "--format", "html", "--out", out / "plan.html"),
        labelkit("preflight", label, "--format", "html"),
    ]
    assert [done.returncode for done in said] == [0] * len(said), [d.stderr for d in said]
    made = [path for path in tmp_path.rglob("*") if path.is_file() and path not in given]
    assert len(made) >= 8
    for path in made:
        for content in list_contents(path):
            assert find_planted(content) == set(), path
    assert find_planted(said[-1].stdout.replace(str(label), "").encode()) == set()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (make_jpeg(), {"exif", "gps", "comment", "xmp"}),
        (make_png(), {"text"}),
        (make_svg(), {"title", "xml", "comment", "text"}),
        (make_font(), {"fontname", "fontlicence"}),
    ],
)
def test_the_words_were_planted(data: bytes, words: set[str]) -> None:
    """The search would find them: they stand in the files that labelkit was given."""
    assert words <= find_planted(data)
