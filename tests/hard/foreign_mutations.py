"""Foreign files changed at random: in their structure, in their bytes, and while they are read.

Each case follows from a seed. Nothing is shared with the first harness.
"""

from __future__ import annotations

import io
import random
import re
import struct
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from xml.etree import ElementTree

import foreign_files as foreign
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NullObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

Rng = random.Random


@dataclass(frozen=True)
class Mutant:
    """A folder of files, and the command run there."""

    kind: str
    arguments: tuple[str, ...]
    files: dict[str, bytes]
    what: str
    meanwhile: Callable[[Path], None] | None = field(default=None, compare=False)
    """What happens to the folder while the command runs."""


# -- bytes of any file -----------------------------------------------------------------------------


def change_bytes(rng: Rng, data: bytes, other: bytes) -> tuple[bytes, str]:
    made = bytearray(data)
    acts = []
    for _ in range(rng.choice((1, 1, 2, 5))):
        act = rng.choice(("flip", "number", "cut", "splice", "repeat", "erase", "letters"))
        at = rng.randrange(len(made) + 1)
        acts.append(f"{act}@{at}")
        size = min(len(made) - at, rng.choice((1, 2, 4, 16, 300, 5_000)))
        if act == "flip" and at < len(made):
            made[at] ^= 1 << rng.randrange(8)
        elif act == "number":
            made[at : at + 4] = struct.pack(">L", rng.choice((0, 1, 255, 2**31 - 1, 2**32 - 1)))
        elif act == "cut":
            del made[at:]
        elif act == "splice":
            start = rng.randrange(len(other))
            made[at : at + size] = other[start : start + rng.choice((10, 1_000, 20_000))]
        elif act == "repeat":
            made[at:at] = made[at : at + size] * rng.choice((1, 3, 50))
        elif act == "erase":
            del made[at : at + size]
        else:
            made[at : at + size] = bytes(rng.choice(b"09<>[]()/ -.\n\"'") for _ in range(size))
    return bytes(made[:3_000_000]), " ".join(acts)


# -- PDFs ------------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def make_good_sheets() -> tuple[bytes, ...]:
    """Sheets as labelkit makes them, of the sample and of one with names."""
    import tempfile

    from labelkit.cli import main

    made: list[bytes] = []
    for sample in ("lighthouse-supper", "millpond-wedding"):
        with tempfile.TemporaryDirectory() as folder:
            label = foreign.ROOT / "samples" / sample / "label.toml"
            try:
                main(["sheet", str(label), "--out", folder])
            except SystemExit as done:
                if done.code not in (0, 1):
                    raise
            made += [path.read_bytes() for path in sorted(Path(folder).glob("*.pdf"))]
    return tuple(made)


def list_slots(writer: PdfWriter) -> list[tuple[PdfObject, object]]:
    """Every place of every array and dictionary of a document."""
    slots: list[tuple[PdfObject, object]] = []
    open_objects = [found for found in writer._objects if found is not None]
    while open_objects:
        found = open_objects.pop()
        if isinstance(found, DictionaryObject):
            keys: list[object] = list(found.keys())
        elif isinstance(found, ArrayObject):
            keys = list(range(len(found)))
        else:
            continue
        for key in keys:
            slots.append((found, key))
            inner = found.raw_get(key) if isinstance(found, DictionaryObject) else found[key]  # type: ignore[call-overload]
            if isinstance(inner, DictionaryObject | ArrayObject):
                open_objects.append(inner)
    return slots


def invent_value(rng: Rng, writer: PdfWriter) -> PdfObject:
    number = rng.randrange(1, len(writer._objects) + 1)
    return rng.choice(
        [
            NumberObject(rng.choice((0, -1, 1, 2**31, 10**30))),
            NameObject(rng.choice(("/Page", "/Pages", "/FlateDecode", "/Type0", "/Form", "/And"))),
            TextStringObject("x" * rng.choice((0, 1, 5_000))),
            ByteStringObject(b"\xff" * rng.choice((0, 3, 5_000))),
            NullObject(),
            ArrayObject(),
            ArrayObject([IndirectObject(number, 0, writer)] * rng.choice((1, 2, 500))),
            DictionaryObject(),
            IndirectObject(number, 0, writer),
            IndirectObject(number, 0, writer),
            IndirectObject(999_999, 0, writer),
        ]
    )


def change_pdf(rng: Rng) -> tuple[bytes, str]:
    """A sheet whose objects refer to each other otherwise."""
    writer = PdfWriter(clone_from=io.BytesIO(rng.choice(make_good_sheets())))
    acts = []
    for _ in range(rng.choice((1, 1, 2, 4, 20))):
        slots = list_slots(writer)
        holder, key = rng.choice(slots)
        act = rng.choice(("replace", "replace", "drop", "content", "twice"))
        acts.append(f"{act} {key}")
        if act == "content":
            streams = [found for found in writer._objects if isinstance(found, StreamObject)]
            stream = rng.choice(streams)
            try:
                data = stream.get_data()
                stream.set_data(change_content(rng, data))
            except Exception:
                stream._data = b"\0" * 10
        elif act == "drop" and isinstance(holder, DictionaryObject):
            del holder[key]  # type: ignore[arg-type]
        elif act == "twice" and isinstance(holder, ArrayObject):
            holder.extend((list(holder) * rng.choice((1, 20)))[:2_000])
        else:
            holder[key] = invent_value(rng, writer)  # type: ignore[index]
    try:
        return foreign.write_pdf(writer), ", ".join(acts)
    except Exception:  # such a document cannot even be written
        return rng.choice(make_good_sheets()), "as it was"


def change_content(rng: Rng, data: bytes) -> bytes:
    """Lines of a content stream or map, or words of them, in another order and number."""
    parts = re.split(rb"(\s+)", data)
    for _ in range(rng.choice((1, 5, 50))):
        one, other = rng.randrange(len(parts)), rng.randrange(len(parts))
        act = rng.choice(("swap", "copy", "number", "many"))
        if act == "swap":
            parts[one], parts[other] = parts[other], parts[one]
        elif act == "copy":
            parts[one] = parts[other]
        elif act == "number":
            parts[one] = rng.choice((b"0", b"-1", b"1e9", b"99999999999", b"nan", b"/X", b"("))
        else:
            many = (parts[one][:2_000] + b" ") * rng.choice((2, 100, 5_000))
            parts[one] = many[:200_000]  # it may be copied, and multiplied again
    return b"".join(parts)[:2_000_000]


# -- fonts -----------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def list_good_fonts() -> tuple[bytes, ...]:
    import importlib.util

    made = [foreign.make_plain_font()]
    for family in ("marcellus", "josefin_sans", "great_vibes"):
        spec = importlib.util.find_spec(f"fontpkg_{family}")
        assert spec is not None
        assert spec.origin is not None
        files = sorted((Path(spec.origin).parent / "files").glob("*.ttf"))
        made.append(files[0].read_bytes())
    return tuple(made)


def change_font(rng: Rng) -> tuple[bytes, str]:
    """Tables exchanged between fonts, left out, cut, and numbers in them that are none."""
    fonts = list_good_fonts()
    data = rng.choice(fonts)
    acts = []
    for _ in range(rng.choice((1, 1, 2, 4))):
        (count,) = struct.unpack_from(">H", data, 4)
        entries = [struct.unpack_from(">4sLLL", data, 12 + 16 * index) for index in range(count)]
        tables = {tag: data[at : at + size] for tag, _, at, size in entries}
        tag = rng.choice(sorted(tables))
        act = rng.choice(("number", "number", "number", "drop", "foreign", "cut", "swap", "odd"))
        acts.append(f"{act} {tag.decode('latin-1')}")
        body = tables[tag]
        if act == "number" and len(body) > 2:
            at = rng.randrange(min(len(body) - 1, rng.choice((8, 100, len(body) - 1)) or 1))
            odd = rng.choice((0, 1, 0x7FFF, 0x8000, 0xFFFF, rng.randrange(65_536)))
            tables[tag] = body[:at] + struct.pack(">H", odd) + body[at + 2 :]
        elif act == "drop":
            del tables[tag]
        elif act == "cut":
            tables[tag] = body[: rng.randrange(len(body) + 1)]
        elif act == "swap":
            other = rng.choice(sorted(tables))
            tables[tag], tables[other] = tables[other], tables[tag]
        elif act == "foreign":
            donor = rng.choice(fonts)
            (many,) = struct.unpack_from(">H", donor, 4)
            for index in range(many):
                own, _, at, size = struct.unpack_from(">4sLLL", donor, 12 + 16 * index)
                if own == tag:
                    tables[tag] = donor[at : at + size]
        elif act == "odd":
            special = rng.choice(sorted(foreign.FONTS))
            return foreign.FONTS[special](), special
        data = foreign.join_tables(data[:4], sorted(tables.items()))
    return data, ", ".join(acts)


# -- drawings and pictures -------------------------------------------------------------------------

GOOD_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" width="50mm" height="30mm">'
    '<rect width="100%" height="100%" fill="white"/><g transform="translate(5 5)" fill="#204060">'
    '<path d="M0 0H40V20C30 30 10 30 0 20Z"/><g style="opacity:1;display:inline">'
    '<circle cx="60" cy="20" r="15"/><ellipse cx="60" cy="20" rx="9" ry="4" fill="#fff"/>'
    '<polygon points="10,40 30,50 50,40"/><rect x="70" y="30" width="20" height="9" rx="3"/></g>'
    "</g></svg>"
)
VALUES = (
    "0", "-1", "1e9", "1e-9", "1e400", "nan", "50%", "9mm", "none", "white", "black", "#12345678",
    "rgb(1,2,3)", "url(#a)", "inherit", "hidden", "0.5", "rotate(30)", "scale(0)", "scale(1e8)",
    "matrix(1 2 3 4 5 6)", "skewX(89.9999)", "translate(1e300)", "M0 0", "M0 0L9 9 0 9z",
    "M0 0a1 1 0 0 1 9 9z", "evenodd", "circle(9px)", "a" * 3_000, "1 " * 3_000, "((((", "\u202e",
    "M0 0" + "c1 2 3 4 5 6" * 900 + "z", "M5 5h9v9h-9z" * 300,
)  # fmt: skip
NAMES = (
    "d", "points", "transform", "fill", "style", "opacity", "display", "visibility", "width",
    "height", "x", "r", "rx", "ry", "viewBox", "preserveAspectRatio", "fill-rule", "stroke",
    "clip-path", "id", "class", "href", "onload", "fill-opacity", "stroke-width", "color",
)  # fmt: skip
TAGS = ("g", "svg", "path", "rect", "circle", "use", "defs", "text", "a", "image", "style", "title")


def change_drawing(rng: Rng) -> tuple[bytes, str]:
    """Elements moved, copied and renamed, attributes exchanged and invented."""
    ElementTree.register_namespace("", "http://www.w3.org/2000/svg")
    root = ElementTree.fromstring(GOOD_SVG)
    acts = []
    for _ in range(rng.choice((1, 2, 3, 8))):
        elements = list(root.iter())
        one, other = rng.choice(elements), rng.choice(elements)
        act = rng.choice(("value", "value", "value", "copy", "rename", "wrap", "drop", "style"))
        acts.append(act)
        if act == "value":
            one.set(rng.choice((*NAMES, *one.attrib)), rng.choice(VALUES))
        elif act == "copy":
            copied = ElementTree.fromstring(ElementTree.tostring(other))
            for _ in range(rng.choice((1, 10, 60))):
                one.append(copied)
        elif act == "rename":
            one.tag = "{http://www.w3.org/2000/svg}" + rng.choice(TAGS)
        elif act == "wrap":
            inner = list(one)
            one[:] = []
            for _ in range(rng.choice((1, 30, 300))):
                one = ElementTree.SubElement(one, "{http://www.w3.org/2000/svg}g")
            one.extend(inner)
        elif act == "drop":
            one[:] = []
        else:
            one.set("style", f"{rng.choice(NAMES)}:{rng.choice(VALUES)};" * rng.choice((1, 400)))
        if sum(1 for _ in root.iter()) > 20_000:
            break
    try:
        made = ElementTree.tostring(root)
    except (ValueError, RecursionError):
        made = GOOD_SVG.encode()
    return made[:4_000_000], ", ".join(acts)


@lru_cache(maxsize=1)
def list_good_pictures() -> tuple[bytes, ...]:
    from PIL import Image

    made: list[bytes] = []
    for mode, kind in (("RGB", "PNG"), ("RGBA", "PNG"), ("L", "JPEG"), ("CMYK", "JPEG"),
                       ("P", "PNG"), ("1", "PNG"), ("I;16", "PNG"), ("RGB", "JPEG")):  # fmt: skip
        picture = Image.linear_gradient("L").resize((300, 100))
        if mode == "I;16":
            picture = Image.new(mode, (300, 100), 9_000)
        stream = io.BytesIO()
        exif = Image.Exif()
        exif[0x0112] = 6
        (picture if mode == "I;16" else picture.convert(mode)).save(stream, kind, exif=exif)
        made.append(stream.getvalue())
    return tuple(made)


def change_picture(rng: Rng) -> tuple[bytes, str]:
    """Chunks or segments left out, doubled, exchanged, lengthened and emptied."""
    data = rng.choice(list_good_pictures())
    if data.startswith(b"\xff\xd8"):
        parts = re.split(rb"(?=\xff[\xc0-\xfe])", data)
        donor = re.split(rb"(?=\xff[\xc0-\xfe])", rng.choice(list_good_pictures()))
    else:
        parts, at = [data[:8]], 8
        while at < len(data):
            (length,) = struct.unpack_from(">L", data, at)
            parts.append(data[at : at + length + 12])
            at += length + 12
        donor = list(parts)
    acts = []
    for _ in range(rng.choice((1, 1, 2, 4))):
        act = rng.choice(("drop", "twice", "swap", "body", "head", "foreign", "large"))
        acts.append(act)
        one, other = rng.randrange(len(parts)), rng.randrange(len(parts))
        if act == "drop" and len(parts) > 2:
            del parts[one]
        elif act == "twice":
            parts[one:one] = [parts[other]] * rng.choice((1, 300))
        elif act == "swap":
            parts[one], parts[other] = parts[other], parts[one]
        elif act == "body":
            parts[one] = change_bytes(rng, parts[one] or b"\0", data)[0]
        elif act == "foreign":
            parts[one] = rng.choice(donor)
        elif act == "large":
            return foreign.make_large_png(
                rng.choice((3_000, 4_999, 9_000)), rng.choice((0, 2, 6))
            ), act
        elif parts[0].startswith(b"\x89PNG") and len(parts) > 1:
            sides = rng.choice((0, 1, 300, 70_000)), rng.choice((0, 1, 100, 70_000))
            values = (*sides, rng.choice((1, 8, 16, 3)), rng.choice((0, 2, 3, 4, 6, 9)), 0, 0, 0)
            parts[1] = foreign.make_chunk(b"IHDR", struct.pack(">LLBBBBB", *values))
    return b"".join(parts)[:5_000_000], ", ".join(acts)


# -- lists -----------------------------------------------------------------------------------------

CELLS = ("Ana", "Zoë", "Jean-Luc Ó Súilleabháin", "=1+1", '"', "'", "\u202eanA", "\0", "\ufffd",
         "x" * 500, "ก", "🙂", "Total: 3", "1.", "name", "", " ", "\x1b[31m", "a|b")  # fmt: skip


def change_list(rng: Rng) -> tuple[bytes, str]:
    if rng.random() < 0.05:
        which = rng.choice(sorted(foreign.LISTS))
        return foreign.LISTS[which](), which
    wide, tall = rng.choice((1, 1, 2, 5, 900)), rng.choice((1, 3, 40, 300))
    mark = rng.choice((",", ";", "\t", "|"))
    rows = [
        mark.join(rng.choice(CELLS) if rng.random() < 0.2 else f"Guest {n}" for n in range(wide))
        for _ in range(tall)
    ]
    if rng.random() < 0.7:
        rows.insert(0, mark.join(["name", *["other"] * (wide - 1)]))
    text = rng.choice(("\n", "\r\n", "\r", "\u2028")).join(rows)
    code = rng.choice(("utf-8", "utf-8", "utf-16", "utf-16-le", "cp1252", "utf-7", "utf-32"))
    data = text.encode(code, "replace")
    if rng.random() < 0.4 and data:
        data, _ = change_bytes(rng, data, data)
    return data, f"{wide} x {tall} {mark!r} {code}"


# -- while it is read ------------------------------------------------------------------------------


def change_meanwhile(rng: Rng, name: str, other: bytes) -> Callable[[Path], None]:
    """Exchanges, cuts, empties, removes or locks a file a few times while it is read."""
    steps = [
        (rng.random() * 0.15, rng.choice(("exchange", "cut", "empty", "remove", "folder", "grow")))
        for _ in range(rng.choice((1, 2, 5)))
    ]

    def act(folder: Path) -> None:
        path = folder / name
        for pause, what in steps:
            time.sleep(pause)
            try:
                if what == "exchange":
                    (folder / "beside").write_bytes(other)
                    (folder / "beside").replace(path)
                elif what == "cut":
                    with path.open("r+b") as stream:
                        stream.truncate(max(1, len(other) // 2))
                elif what == "empty":
                    path.write_bytes(b"")
                elif what == "remove":
                    path.unlink()
                elif what == "folder":
                    path.unlink()
                    path.mkdir()
                else:
                    with path.open("ab") as stream:
                        stream.write(other)
            except OSError:
                continue

    return act


# -- whole cases -----------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def read_event() -> dict[str, bytes]:
    names = ("label.toml", "recipe.toml", "maker.toml", "prices.toml")
    return {name: (foreign.EVENT / name).read_bytes() for name in names}


def change_label(old: str, new: str) -> dict[str, bytes]:
    event = dict(read_event())
    assert old.encode() in event["label.toml"]
    event["label.toml"] = event["label.toml"].replace(old.encode(), new.encode())
    return event


def make_pdf_case(kind: str, rng: Rng, data: bytes, what: str) -> Mutant:
    look = ("preflight", "label.toml", "--pdf", "front.pdf")
    send = ("print", "front.pdf", "--out", "true.pdf")
    return Mutant(kind, rng.choice((look, look, send)), {**read_event(), "front.pdf": data}, what)


def make_font_case(kind: str, rng: Rng, data: bytes, what: str) -> Mutant:
    if rng.random() < 0.4:
        files = change_label('layout = "lantern"', 'layout = "lantern"\nfonts = ["own.ttf"]')
        files["label.toml"] = files["label.toml"].replace(b"The Lighthouse", "Łužíť Ճաշ".encode())
    else:
        files = change_label('layout = "lantern"', 'layout = "own.toml"')
        layout = (foreign.ROOT / "layouts" / "lantern.toml").read_text(encoding="utf-8")
        face = rng.choice(("names", "text"))
        pattern = rf"(\[faces\.{face}\]\n)(?:\w+ = .*\n)+"
        layout = re.sub(pattern, r'\1file = "own.ttf"\n', layout, count=1)
        files["own.toml"] = layout.encode()
    return Mutant(kind, ("preflight", "label.toml"), {**files, "own.ttf": data}, what)


def make_logo_case(kind: str, rng: Rng, data: bytes, what: str) -> Mutant:
    files = change_label('layout = "lantern"', 'layout = "ledger"\nlogo = "logo.svg"')
    look, make = ("preflight", "label.toml"), ("sheet", "label.toml", "--out", "out")
    return Mutant(kind, rng.choice((look, look, make)), {**files, "logo.svg": data}, what)


def make_list_case(kind: str, rng: Rng, data: bytes, what: str) -> Mutant:  # noqa: ARG001
    files = change_label("guests = 60", 'guest_list = "guests.csv"')
    return Mutant(kind, ("preflight", "label.toml"), {**files, "guests.csv": data}, what)


def make_moving_case(rng: Rng) -> Mutant:
    """A file of any kind that is another one a moment later."""
    kind = "while it is read"
    make = rng.choice((make_pdf_case, make_font_case, make_logo_case, make_list_case))
    good, name = {
        make_pdf_case: (make_good_sheets()[0], "front.pdf"),
        make_font_case: (list_good_fonts()[1], "own.ttf"),
        make_logo_case: (GOOD_SVG.encode(), "logo.svg"),
        make_list_case: (b"name\n" + b"Ana\n" * 50, "guests.csv"),
    }[make]
    case = make(kind, rng, good, "")
    moved = rng.choice((name, name, "label.toml", "recipe.toml"))
    other = change_bytes(rng, case.files[moved], good)[0]
    act = change_meanwhile(rng, moved, other)
    return Mutant(kind, case.arguments, case.files, f"{moved} changes", act)


def spoil(goods: Callable[[], tuple[bytes, ...]]) -> Callable[[Rng], tuple[bytes, str]]:
    return lambda rng: change_bytes(rng, rng.choice(goods()), rng.choice(goods()))


Make = Callable[[str, Rng, bytes, str], Mutant]
Change = Callable[[Rng], tuple[bytes, str]]

KINDS: dict[str, tuple[int, Make, Change]] = {
    "PDF, structure": (9, make_pdf_case, change_pdf),
    "PDF, bytes": (6, make_pdf_case, spoil(make_good_sheets)),
    "font, structure": (6, make_font_case, change_font),
    "font, bytes": (4, make_font_case, spoil(list_good_fonts)),
    "drawing, structure": (8, make_logo_case, change_drawing),
    "drawing, bytes": (3, make_logo_case, spoil(lambda: (GOOD_SVG.encode(),))),
    "picture, structure": (5, make_logo_case, change_picture),
    "picture, bytes": (3, make_logo_case, spoil(list_good_pictures)),
    "list": (4, make_list_case, change_list),
}  # fmt: skip
"""How often, what is done with it, how it is made."""
MOVING = 2


def make_mutant(seed: int, number: int) -> Mutant:
    """The case of a number; the same whenever and wherever it is made."""
    rng = random.Random(f"{seed}/{number}")
    kinds = [*KINDS, "moving"]
    kind = rng.choices(kinds, [*(share for share, _, _ in KINDS.values()), MOVING])[0]
    if kind == "moving":
        return make_moving_case(rng)
    _, make, change = KINDS[kind]
    data, what = change(rng)
    return make(kind, rng, data, what)
