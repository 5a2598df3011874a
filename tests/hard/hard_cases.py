"""Strategies for every kind of hostile case, each a row of the table of counts."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import hard_binary as binary
import hard_toml as documents
from hard_case import ROOT, SAMPLE, Absent, Case, Content, Filler, Folder, Link, Locked, Pipe
from hypothesis import strategies as st

Files = dict[str, Content]

LABEL_COMMANDS: tuple[tuple[str, ...], ...] = (
    ("preflight", "label.toml"),
    ("preflight", "label.toml", "--strict", "--format", "json"),
    ("preflight", "label.toml", "--format", "html"),
    ("preflight", "label.toml", "--timeline"),
    ("sheet", "label.toml", "--out", "out"),
    ("sheet", "label.toml", "--out", "out", "--draft", "--start", "3", "--skip", "5"),
    ("proof", "label.toml", "--out", "proof.pdf"),
    ("plan", "label.toml", "--format", "json"),
    ("plan", "label.toml"),
    ("plan", "label.toml", "--format", "html", "--out", "plan.html", "--ics", "days.ics"),
    ("plan", "label.toml", "--format", "pdf", "--out", "plan.pdf", "--record"),
)


# -- good files to start from ----------------------------------------------------------------------


@lru_cache(maxsize=64)
def _read(name: str) -> dict[str, Any]:
    path = SAMPLE / name if (SAMPLE / name).exists() else ROOT / name
    return tomllib.loads(path.read_text(encoding="utf-8"))


def sample() -> Files:
    """The sample event."""
    return {
        name: (SAMPLE / name).read_bytes()
        for name in ("label.toml", "maker.toml", "recipe.toml", "prices.toml")
    }


def label() -> dict[str, Any]:
    """A label spec that uses every key there is."""
    document = dict(_read("label.toml"))
    document["event"] = {**document["event"], "spares_least": 2}
    document["product"] = {
        **document["product"],
        "package_face_shape": "rectangle",
        "sold_on": document["event"]["date"],
        "first_sold_on": document["event"]["date"],
        "class": "cosmetic",
        "imported": False,
        "label_is_tag": False,
        "total_surface_cm2": 120,
        "e_mark": False,
        "durability_months": 30,
    }
    document["label"] = {
        **document["label"],
        "regions": ["CA"],
        "stock": "letter-plain",
        "bleed": "1 mm",
        "colour": "#3a2f25",
    }
    document["front"] = {"thanks": {"en": "Thank you", "fr": "Merci"}, "leave_out": ["place"]}
    document["back"] = {
        "directions": {"en": "Keep dry.", "fr": "Garder au sec."},
        "ingredients_on": "back",
    }
    return document


def recipe() -> dict[str, Any]:
    """A recipe that uses nearly every key there is."""
    document = dict(_read("recipe.toml"))
    document["colour"] = [{"material": "titanium dioxide", "mass": "5 g", "lot": "C-1"}]
    document["material"] = [
        {
            "id": "marsh-oil",
            "name": {"en": "marsh oil"},
            "kind": "triglyceride",
            "inci": "Glaux Maritima Seed Oil",
            "sodium": "Sodium Glauxate",
            "potassium": "Potassium Glauxate",
            "saponification_value": 190,
            "plant": True,
            "source": "supplier's certificate",
        },
        {
            "id": "rosy-clay",
            "kind": "compound",
            "part": [{"inci": "Kaolin", "share": "60-90 %"}, {"inci": "CI 77491"}],
        },
    ]
    document["oil"] = [*document["oil"], {"material": "marsh-oil", "mass": "20 g", "acid_value": 1}]
    document["additive"] = [*document["additive"], {"material": "rosy-clay", "mass": "9 g"}]
    return document


STOCK = {
    "labelkit": 1,
    "title": "Twenty-one labels",
    "kind": "die",
    "page": "210 x 297 mm",
    "across": 3,
    "down": 7,
    "die": "63.5 x 38.1 mm",
    "corner": "2 mm",
    "left": "7.2 mm",
    "top": "15.1 mm",
    "pitch": "66 x 38.1 mm",
    "unprintable": "4.5 mm",
    "material": "paper",
    "colour": "#ffffff",
    "note": "measured",
}
PRINTERS = {
    "labelkit": 1,
    "printers": [
        {"name": "back room", "offset_x_mm": 0.4, "offset_y_mm": -0.3, "scale_x": 1.001,
         "scale_y": 0.999, "unprintable_mm": 4.2},
        {"name": "hall"},
    ],
}  # fmt: skip
LAYOUTS = tuple(sorted(path.stem for path in (ROOT / "layouts").glob("*.toml")))


def with_layout(files: Files, faces: Mapping[str, Any] | None = None) -> Files:
    """The sample with a layout of its own, and the layout's document changed by ``faces``."""
    spec = dict(_read("label.toml"))
    spec["label"] = {**spec["label"], "layout": "mine.toml"}
    layout = dict(_read("layouts/lantern.toml"))
    layout["faces"] = {**layout["faces"], **(faces or {})}
    return {
        **sample(),
        "label.toml": documents.toml(spec),
        "mine.toml": documents.toml(layout),
        **files,
    }


@lru_cache(maxsize=1)
def finished() -> bytes:
    """A finished sheet of the sample's front labels."""
    import tempfile
    from pathlib import Path

    from labelkit.job.sheets import make_sheets_of_file

    with tempfile.TemporaryDirectory() as folder:
        made = make_sheets_of_file(SAMPLE / "label.toml", Path(folder))
        return made.files[0].read_bytes()


# -- kinds -----------------------------------------------------------------------------------------


@st.composite
def label_specs(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(label()))
    files = {**sample(), "label.toml": documents.toml(document)}
    return Case("label spec", draw(st.sampled_from(LABEL_COMMANDS)), files, what)


@st.composite
def makers(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(_read("maker.toml")))
    files = {**sample(), "maker.toml": documents.toml(document)}
    return Case("maker file", draw(st.sampled_from(LABEL_COMMANDS)), files, what)


@st.composite
def recipes(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(recipe()))
    files = {**sample(), "recipe.toml": documents.toml(document)}
    commands = (
        ("declare", "recipe.toml"),
        ("declare", "recipe.toml", "--format", "json", "--region", "US"),
        ("declare", "recipe.toml", "--format", "csv", "--style", "added", "--basis", "poured"),
        ("preflight", "label.toml"),
        ("plan", "label.toml", "--format", "json"),
    )
    return Case("recipe", draw(st.sampled_from(commands)), files, what)


@st.composite
def layouts(draw: st.DrawFn) -> Case:
    name = draw(st.sampled_from(LAYOUTS))
    document, what = draw(documents.mutated(_read(f"layouts/{name}.toml")))
    if draw(st.integers(0, 7)) == 0 and isinstance(document.get("ornaments"), dict):
        path = draw(st.sampled_from(binary.PATHS))
        document["ornaments"] = {**document["ornaments"]}
        for key in document["ornaments"]:
            document["ornaments"][key] = {"view": [0, 0, 10, 10], "path": path}
        what += f"; ornaments {path[:30]!r}"
    files = with_layout({"mine.toml": documents.toml(document)})
    commands = LABEL_COMMANDS[:1] + LABEL_COMMANDS[4:7]
    return Case("layout", draw(st.sampled_from(commands)), files, f"{name}: {what}")


_ELEMENTS = (
    "names", "date", "place", "scent", "identity", "net-quantity", "lot", "brand", "dealer",
    "contact", "ingredients", "thanks", "directions", "guest", "claim", "origin",
)  # fmt: skip
_SIZES = (["1 pt", "10 pt"], ["5 pt", "6 pt"], ["39 pt", "390 pt"], ["6 pt", "6 pt"])


def _blocks() -> st.SearchStrategy[dict[str, Any]]:
    """Blocks that are as a layout may have them, and as much to ask as it may."""
    return st.fixed_dictionaries(
        {"element": st.sampled_from(_ELEMENTS)},
        optional={
            "zone": st.sampled_from(("head", "middle", "foot")),
            "row": st.sampled_from(("a", "b", "c", "d", "e")),
            "face": st.sampled_from(("names", "text", "bold")),
            "size": st.sampled_from(("s0", "s1", "s2", "s3", "s4", "s5")),
            "align": st.sampled_from(("left", "centre", "right", "justified")),
            "above": st.sampled_from((0, 1, 50)),
            "settings": st.sampled_from(
                (["as-written"], ["as-written", "capitals"], ["capitals", "as-written"])
            ),
            "tracking": st.sampled_from((-0.05, 0, 0.5)),
            "leading": st.sampled_from((0.8, 1.2, 3)),
            "lines": st.sampled_from((1, 3, 60)),
            "stack": st.booleans(),
            "optional": st.booleans(),
            "text": st.sampled_from(
                ("{{ names }}", "{{ names ~ names }}" * 20, "{{ ingredients }} " * 20, "a" * 400)
            ),
            "run_in": st.just("ingredients-heading"),
            "mark": st.sampled_from(("·", " and ", "x" * 50)),
        },
    )


@st.composite
def heavy_layouts(draw: st.DrawFn) -> Case:
    """Layouts and words in which nothing is wrong but how much they ask for."""
    document = dict(_read("layouts/lantern.toml"))
    document["faces"] = {
        name: {"family": "noto-sans", "weight": 400, "widths": draw(st.sampled_from(_WIDTHS))}
        for name in ("names", "text", "bold")
    }
    for name in ("front", "back"):
        blocks = draw(st.lists(_blocks(), min_size=1, max_size=40))
        for block in blocks:
            block.setdefault("size", "s0")
        document[name] = {
            "margin": draw(st.sampled_from(("0 mm", "2 mm", "9 mm"))),
            "unit": draw(st.sampled_from(("0 mm", "1 mm", "9 mm"))),
            "sizes": {f"s{n}": draw(st.sampled_from(_SIZES)) for n in range(6)},
            "blocks": blocks,
            "art": draw(st.sampled_from(([], [_WAVES] * 40))),
        }
    spec = dict(_read("label.toml"))
    trim = draw(st.sampled_from(("44 x 28 mm", "400 x 400 mm", "8 x 8 mm", "60 x 400 mm")))
    shape = draw(st.sampled_from(("rectangle", "oval", "arch")))
    spec["label"] = {"languages": ["en", "fr"], "trim": trim, "shape": shape, "layout": "mine.toml"}
    spec["product"] = {**spec["product"], "package_face": "500 x 500 mm"}
    if draw(st.booleans()):
        spec["event"] = {**spec["event"], "names": {"en": "word " * 300, "fr": "m " * 900}}
    files = {
        **sample(),
        "label.toml": documents.toml(spec),
        "mine.toml": documents.toml(document),
    }
    command = draw(st.sampled_from(LABEL_COMMANDS[:1] + LABEL_COMMANDS[4:7]))
    return Case("heavy layout", command, files, f"{trim} {shape}")


_WIDTHS = ([100], [100, 75], [100, 97, 95, 90, 85, 80, 75, 70])
_WAVES = {"ornament": "waves", "anchor": "top", "width": "10 mm", "repeat": True, "bleed": True}


@st.composite
def stocks(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(STOCK))
    spec = dict(_read("label.toml"))
    spec["label"] = {**spec["label"], "stock": "mine.toml"}
    files = {**sample(), "label.toml": documents.toml(spec), "mine.toml": documents.toml(document)}
    commands = (
        ("stock", "show", "mine.toml"),
        ("stock", "show", "mine.toml", "--out", "stock.pdf"),
        ("sheet", "label.toml", "--out", "out"),
    )
    return Case("stock", draw(st.sampled_from(commands)), files, what)


@st.composite
def printers(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(PRINTERS))
    files = {"printers.toml": documents.toml(document), "front.pdf": finished()}
    commands = (
        ("print", "front.pdf", "--printer", "back room", "--out", "true.pdf"),
        ("calibrate", "--page", "a4", "--printer", "hall", "--across", "170", "--up", "249.3",
         "--left", "20", "--foot", "20", "--edge", "4"),
    )  # fmt: skip
    return Case("printers", draw(st.sampled_from(commands)), files, what)


@st.composite
def prices(draw: st.DrawFn) -> Case:
    document, what = draw(documents.mutated(_read("prices.toml")))
    files = {**sample(), "prices.toml": documents.toml(document)}
    command = draw(st.sampled_from([c for c in LABEL_COMMANDS if c[0] == "plan"]))
    return Case("price list", command, files, what)


def _cells() -> st.SearchStrategy[str]:
    return documents.texts()


@st.composite
def guests(draw: st.DrawFn) -> Case:
    good = st.sampled_from(("Maud Tremblay", "Jean-Guy", "Åse", "Zoë O’Neill", "name"))
    cells = good if draw(st.booleans()) else st.one_of(good, good, _cells())
    columns = draw(st.sampled_from((1, 1, 3)))
    rows = draw(st.lists(st.lists(cells, min_size=columns, max_size=columns), max_size=12))
    data = _csv(draw, rows)
    times = draw(st.sampled_from((1, 1, 1, 400)))
    data = data * times
    spec = dict(_read("label.toml"))
    event = {k: v for k, v in spec["event"].items() if k != "guests"}
    spec["event"] = {**event, "guest_list": "guests.csv"}
    files = {**sample(), "label.toml": documents.toml(spec), "guests.csv": data}
    return Case("guest list", draw(st.sampled_from(LABEL_COMMANDS[:7])), files, ascii(data[:60]))


@st.composite
def weights(draw: st.DrawFn) -> Case:
    good = st.floats(38, 46).map(lambda grams: f"{grams:.1f}")
    odd = st.one_of(documents.quantities(), st.sampled_from(("41,2 g", "1.4 oz")), _cells())
    cells = good if draw(st.booleans()) else st.one_of(good, good, good, odd)
    columns = draw(st.sampled_from((1, 1, 2)))
    rows = draw(st.lists(st.lists(cells, min_size=columns, max_size=columns), max_size=12))
    head = [["weight", "note"][:columns]] if draw(st.booleans()) else []
    data = _csv(draw, head + rows)
    files = {**sample(), "weights.csv": data}
    command = ("plan", "label.toml", "--weights", "weights.csv")
    return Case("weights", command, files, ascii(data[:60]))


def _csv(draw: st.DrawFn, rows: list[list[str]]) -> bytes:
    comma = draw(st.sampled_from((",", ";", "\t", ",,")))
    end = draw(st.sampled_from(("\n", "\r\n", "\r", "\n\n", "\x0b", "")))
    quote = draw(st.sampled_from(("", '"', "'", '"')))
    text = end.join(comma.join(f"{quote}{cell}{quote}" for cell in row) for row in rows) + end
    return _encoded(draw, text)


def _encoded(draw: st.DrawFn, text: str) -> bytes:
    encoding = draw(
        st.sampled_from(("utf-8", "utf-8", "utf-8-sig", "utf-16", "latin-1", "cp437", "utf-7"))
    )
    return text.encode(encoding, "replace")


@st.composite
def fonts(draw: st.DrawFn) -> Case:
    data, what = draw(binary.fonts())
    face = draw(st.sampled_from(("names", "text", "bold")))
    files = with_layout({"mine.ttf": data}, {face: {"file": "mine.ttf"}})
    commands = LABEL_COMMANDS[:1] + LABEL_COMMANDS[4:5] + LABEL_COMMANDS[6:7]
    return Case("font", draw(st.sampled_from(commands)), files, f"{face}: {what}")


def with_logo(data: Content, name: str) -> Files:
    spec = dict(_read("label.toml"))
    spec["label"] = {**spec["label"], "logo": name}
    return {**sample(), "label.toml": documents.toml(spec), name: data}


@st.composite
def pictures(draw: st.DrawFn) -> Case:
    data, what = draw(binary.pictures())
    return Case(
        "logo picture", draw(st.sampled_from(LABEL_COMMANDS[4:7])), with_logo(data, "l.png"), what
    )


@st.composite
def drawings(draw: st.DrawFn) -> Case:
    data, what = draw(binary.drawings())
    return Case(
        "logo drawing", draw(st.sampled_from(LABEL_COMMANDS[4:7])), with_logo(data, "l.svg"), what
    )


@st.composite
def pdfs(draw: st.DrawFn) -> Case:
    data, what = draw(binary.pdfs(finished()))
    files = {
        **sample(),
        "front.pdf": data,
        "printers.toml": documents.toml(PRINTERS),
    }
    commands = (
        ("preflight", "label.toml", "--pdf", "front.pdf"),
        ("preflight", "label.toml", "--pdf", "front.pdf"),
        ("print", "front.pdf", "--out", "true.pdf", "--printer", "back room"),
    )
    return Case("finished PDF", draw(st.sampled_from(commands)), files, what)


_TEXT_FILES = ("label.toml", "maker.toml", "recipe.toml", "prices.toml", "mine.toml", "guests.csv")


@st.composite
def encodings(draw: st.DrawFn) -> Case:
    """Text files as other systems and careless editors save them."""
    files = with_layout({})
    name = draw(st.sampled_from(_TEXT_FILES[:5]))
    text = bytes_of(files[name]).decode("utf-8")
    acts: dict[str, Callable[[], bytes]] = {
        "byte order mark": lambda: text.encode("utf-8-sig"),
        "two byte order marks": lambda: b"\xef\xbb\xbf" + text.encode("utf-8-sig"),
        "UTF-16": lambda: text.encode("utf-16"),
        "UTF-32": lambda: text.encode("utf-32"),
        "Latin-1": lambda: text.encode("latin-1", "replace"),
        "Windows line ends": lambda: text.replace("\n", "\r\n").encode(),
        "old Macintosh line ends": lambda: text.replace("\n", "\r").encode(),
        "NUL bytes": lambda: text.replace(" ", "\0").encode(),
        "form feeds": lambda: text.replace("\n", "\f\n").encode(),
        "curly quotes": lambda: text.replace('"', "”").encode(),
        "no-break spaces": lambda: text.replace(" ", "\u00a0").encode(),
        "right to left": lambda: text.replace("=", "=\u202e").encode(),
        "combining": lambda: text.replace("e", "e\u0301").encode(),
        "empty": lambda: b"",
        "blank": lambda: b"\n\n \n",
        "only a comment": lambda: b"# nothing",
        "deep lists": lambda: text.encode() + b"x = " + b"[" * 20_000 + b"]" * 20_000,
        "deep tables": lambda: text.encode() + b"x = " + b"{a=" * 5_000 + b"1" + b"}" * 5_000,
        "deep keys": lambda: text.encode() + b"a." * 20_000 + b"a = 1",
        "deep headers": lambda: text.encode() + b"[" + b"a." * 5_000 + b"a]\n",
        "a huge number": lambda: b"x = " + b"9" * 10_000 + b"\n" + text.encode(),
        "a huge hexadecimal": lambda: b"x = 0x" + b"f" * 100_000 + b"\n" + text.encode(),
        "a far date": lambda: b"x = 0000-00-00\n" + text.encode(),
        "many keys": lambda: b"".join(b"k%d = 1\n" % n for n in range(50_000)) + text.encode(),
        "many tables": lambda: text.encode() + b"[[x]]\n" * 50_000,
        "a long key": lambda: b"k" * 500_000 + b" = 1\n" + text.encode(),
        "a key twice": lambda: text.encode() + text.encode(),
        "control characters in a key": lambda: b'"\\u001b[31m\\n\\u202e" = 1\n' + text.encode(),
    }
    act = draw(st.sampled_from([*acts, "spoilt", "spoilt"]))
    if act == "spoilt":
        files[name], what = draw(binary.spoilt(text.encode()))
    else:
        files[name], what = acts[act](), act
    commands = (*LABEL_COMMANDS[:1], *LABEL_COMMANDS[4:5], *LABEL_COMMANDS[7:8])
    return Case("text encoding", draw(st.sampled_from(commands)), files, f"{name}: {what}")


def bytes_of(content: Content) -> bytes:
    assert isinstance(content, bytes)
    return content


_ODD_PLACES: dict[str, Content] = {
    "missing": Absent(),
    "folder": Folder(),
    "link to itself": Link("self"),
    "link to nowhere": Link("nowhere/at/all"),
    "link to a device without end": Link("/dev/zero"),
    "link to an empty device": Link("/dev/null"),
    "pipe": Pipe(),
    "unreadable": Locked(b"labelkit = 1\n"),
    "50 MB of blanks": Filler(50_000_000),
    "50 MB of zeros": Filler(50_000_000, 0),
    "empty": b"",
    "one byte": b"\x00",
}


@st.composite
def odd_places(draw: st.DrawFn) -> Case:
    """Something else where a file should be."""
    files: Files = {
        **with_layout({"mine.ttf": binary.font()}, {"names": {"file": "mine.ttf"}}),
        "l.png": binary.png(40, 30),
        "front.pdf": finished(),
        "guests.csv": b"Maud\nJean\n",
        "weights.csv": b"41\n42\n",
        "stock.toml": documents.toml(STOCK),
        "printers.toml": documents.toml(PRINTERS),
    }
    spec = tomllib.loads(bytes_of(files["label.toml"]).decode())
    spec["label"] = {**spec["label"], "logo": "l.png", "stock": "stock.toml"}
    spec["event"] = {k: v for k, v in spec["event"].items() if k != "guests"}
    spec["event"]["guest_list"] = "guests.csv"
    files["label.toml"] = documents.toml(spec)
    name = draw(st.sampled_from(sorted(files)))
    what = draw(st.sampled_from(sorted(_ODD_PLACES)))
    odd = _ODD_PLACES[what]
    if what.startswith("50 MB"):
        head = {".pdf": b"%PDF-1.7\n", ".ttf": b"\0\1\0\0", ".png": b"\x89PNG\r\n\x1a\n"}
        odd = Filler(50_000_000, 0 if "zeros" in what else 32, head.get(name[-4:], b""))
    files[name] = Link(name) if what == "link to itself" else odd
    commands = {
        "weights.csv": ("plan", "label.toml", "--weights", "weights.csv"),
        "front.pdf": ("preflight", "label.toml", "--pdf", "front.pdf"),
        "prices.toml": ("plan", "label.toml"),
        "printers.toml": ("print", "front.pdf", "--printer", "hall", "--out", "true.pdf"),
    }
    command = commands.get(name) or draw(st.sampled_from(LABEL_COMMANDS[4:7]))
    return Case("odd place", command, files, f"{name}: {what}")


@st.composite
def odd_targets(draw: st.DrawFn) -> Case:
    """Something in the way of what is to be written."""
    target = draw(
        st.sampled_from(("out", "out/front.pdf", "proof.pdf", "new", "trace.sqlite", "days.ics"))
    )
    what = draw(
        st.sampled_from(
            ("folder", "link to itself", "link to nowhere", "pipe", "empty", "one byte")
        )
    )
    odd = _ODD_PLACES[what]
    files = {**sample(), target: Link(target) if what == "link to itself" else odd}
    command = {
        "out": LABEL_COMMANDS[4],
        "out/front.pdf": LABEL_COMMANDS[4],
        "proof.pdf": LABEL_COMMANDS[6],
        "new": ("new", "new"),
        "trace.sqlite": draw(st.sampled_from((LABEL_COMMANDS[10], ("trace", "LS-2704")))),
        "days.ics": LABEL_COMMANDS[9],
    }[target]
    return Case("odd target", command, files, f"{target}: {what}")


@st.composite
def records(draw: st.DrawFn) -> Case:
    """A spoilt record of batches."""
    data, what = draw(binary.spoilt(_record()))
    command = draw(
        st.sampled_from(
            (("trace", "OL-0311"), ("trace", "nothing", "--format", "json"), LABEL_COMMANDS[10])
        )
    )
    return Case("record", command, {**sample(), "trace.sqlite": data}, what)


@lru_cache(maxsize=1)
def _record() -> bytes:
    import contextlib
    import io
    import shutil
    import tempfile
    from pathlib import Path

    from labelkit.cli import main

    with tempfile.TemporaryDirectory() as folder:
        for name in sample():
            shutil.copy(SAMPLE / name, folder)
        with (
            contextlib.redirect_stdout(io.StringIO()),
            contextlib.redirect_stderr(io.StringIO()),
            contextlib.suppress(SystemExit),
        ):
            main(["plan", f"{folder}/label.toml", "--record"])
        return (Path(folder) / "trace.sqlite").read_bytes()


_WORDS = (
    "label.toml", "maker.toml", "recipe.toml", "front.pdf", "nothing.toml", "--out", "out",
    "--region",
    "CA", "XX", "", "--on", "2027-02-30", "9999-12-31", "0001-01-01", "--format", "json", "html",
    "pdf",
    "--pdf", "--start", "--skip", "0", "-1", "99999999999999999999", "3", "--strict", "--timeline",
    "--draft", "--language", "fr", "xx", "en_US.UTF-8", "--png", "--page", "quote", "--weights",
    "--ics",
    "--record", "--maker", ".", "/", "/dev/null", "/proc/self/mem", "a\nb", "\u202e", "é" * 300,
    "x" * 5_000, "--stale", "--element", "--provenance", "read", "show", "measure", "letter-plain",
    "--across", "nan", "1e999", "44 x 28", "--printer", "back room", "--copies", "--help", "-h",
    "--",
    "--no-such-option", "2027-06-19", "\udcff",
)  # fmt: skip
_COMMANDS = (
    "sheet", "preflight", "proof", "declare", "plan", "fit", "rules", "stock", "calibrate", "print",
    "trace", "new", "nothing",
)  # fmt: skip


@st.composite
def command_lines(draw: st.DrawFn) -> Case:
    words = draw(st.lists(st.sampled_from(_WORDS), max_size=7))
    command = draw(st.sampled_from(_COMMANDS))
    first = {"sheet": "label.toml", "preflight": "label.toml", "proof": "label.toml",
             "plan": "label.toml", "declare": "recipe.toml", "print": "front.pdf"}  # fmt: skip
    opening = [first[command]] if command in first and draw(st.booleans()) else []
    files = {**sample(), "front.pdf": finished()}
    arguments = (command, *opening, *words)
    return Case("command line", arguments, files, ascii(" ".join(arguments))[:80])


KINDS: dict[str, tuple[int, Callable[[], st.SearchStrategy[Case]]]] = {
    "label spec": (5, label_specs),
    "maker file": (3, makers),
    "recipe": (4, recipes),
    "layout": (5, layouts),
    "heavy layout": (2, heavy_layouts),
    "stock": (3, stocks),
    "printers": (1, printers),
    "price list": (1, prices),
    "guest list": (2, guests),
    "weights": (1, weights),
    "font": (3, fonts),
    "logo picture": (2, pictures),
    "logo drawing": (2, drawings),
    "finished PDF": (4, pdfs),
    "text encoding": (3, encodings),
    "odd place": (3, odd_places),
    "odd target": (1, odd_targets),
    "record": (1, records),
    "command line": (2, command_lines),
}
"""Row of the table, how often it comes, and what makes it."""


def cases() -> st.SearchStrategy[Case]:
    """Any hostile case."""
    weighted = [name for name, (weight, _) in KINDS.items() for _ in range(weight)]
    return st.sampled_from(weighted).flatmap(lambda name: KINDS[name][1]())
