"""Coverage-guided fuzzing of what reads strangers' bytes, for a bounded time.

    pip install atheris
    python tests/hard/fuzz.py spec|path|pdf [--seconds 60]

Every input must be read, or end in one of labelkit's own errors of one line; anything else, over
10 s or over 1 GiB stops the run with exit code 77 or 70 and the input that did it. Inputs start
from the samples. Atheris drives libFuzzer; it is no dependency of labelkit.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
SAMPLES = ROOT / "samples"

with atheris.instrument_imports(include=["labelkit", "pypdf", "tomllib", "fontTools"]):
    import fontTools.misc.transform
    import fontTools.pens.boundsPen
    import fontTools.pens.recordingPen
    import fontTools.svgLib.path  # noqa: F401 (labelkit imports these only when it needs them)

    from labelkit.common.errors import ExitCode, LabelkitError
    from labelkit.order.guests import read_guests
    from labelkit.order.label import read_label
    from labelkit.order.layout import read_layout
    from labelkit.order.logo import read_logo
    from labelkit.order.recipe import read_recipe
    from labelkit.order.stock import read_stock
    from labelkit.pdf.read import read_panel_bytes

Reader = Callable[[Path], object]


def _only_ours(read: Callable[[], object]) -> None:
    try:
        read()
    except LabelkitError as error:
        assert "\n" not in str(error), "more than one line"
        assert error.exit_code != ExitCode.FAULT, str(error)


def spec(folder: Path) -> tuple[Callable[[bytes], None], list[bytes]]:
    """Spec, recipe, layout, stock and guest list; the first byte chooses which."""
    readers: list[tuple[str, Reader]] = [
        ("label.toml", read_label),
        ("recipe.toml", read_recipe),
        ("mine.toml", read_layout),
        ("stock.toml", read_stock),
        ("guests.csv", read_guests),
    ]
    sample = SAMPLES / "lighthouse-supper"
    for name in ("maker.toml", "recipe.toml"):
        (folder / name).write_bytes((sample / name).read_bytes())

    def run(data: bytes) -> None:
        name, read = readers[data[0] % len(readers) if data else 0]
        path = folder / name
        path.write_bytes(data[1:])
        _only_ours(lambda: read(path))

    starts = [b"\0" + path.read_bytes() for path in SAMPLES.glob("*/label.toml")]
    starts += [b"\1" + path.read_bytes() for path in SAMPLES.glob("*/recipe.toml")]
    starts += [b"\2" + path.read_bytes() for path in (ROOT / "layouts").glob("*.toml")]
    starts += [b"\3" + path.read_bytes() for path in (ROOT / "layouts/stock").glob("*.toml")]
    starts.append(b"\4name;table\r\nNo\xc3\xa9mie O'Dare;4\r\n")
    return run, starts


def path(folder: Path) -> tuple[Callable[[bytes], None], list[bytes]]:
    """The drawing of a logo: path data, transforms and basic shapes inside an SVG."""
    logo = folder / "logo.svg"
    head, foot = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">', b"</svg>"

    def run(data: bytes) -> None:
        logo.write_bytes(head + data + foot)
        _only_ours(lambda: read_logo(logo))

    starts = [
        b'<path d="M0 0h9v9H0zM2 2c1 1 2 1 3 0s2-1 3 0q1 1 0 2t-1 2a2 1 30 0 1 1 1z"/>',
        b'<g transform="translate(1 2) rotate(30) scale(2) skewX(3) matrix(1 0 0 1 2 3)">'
        b'<rect x="1" y="1" width="3" height="2" rx="1"/><circle cx="4" cy="4" r="2"/></g>',
        b'<ellipse cx="4" cy="4" rx="3" ry="2"/><polygon points="0,0 4,0 4,4"/>',
        b'<path fill-rule="evenodd" style="fill:#000" d="M1e-3,-.5.5-1e1L5+5Z"/>',
    ]
    return run, starts


def pdf(folder: Path) -> tuple[Callable[[bytes], None], list[bytes]]:
    """The reader of finished PDFs, beginning from sheets of the samples."""
    from labelkit.cli import main

    starts = []
    for sample in ("lighthouse-supper", "mill-kermis"):
        for option in ("--one-per-page", "--draft"):
            try:
                main(["sheet", str(SAMPLES / sample / "label.toml"), "--out", str(folder), option])
            except SystemExit as done:
                assert not done.code
            starts += [path.read_bytes() for path in folder.glob("*.pdf")]
    return (lambda data: _only_ours(lambda: read_panel_bytes(data, "front.pdf"))), starts


TARGETS = {"spec": spec, "path": path, "pdf": pdf}


def main() -> None:
    parser = argparse.ArgumentParser(description="Fuzz one of labelkit's readers.")
    parser.add_argument("target", choices=sorted(TARGETS))
    parser.add_argument("--seconds", type=int, default=60)
    chosen = parser.parse_args()
    folder = Path(tempfile.mkdtemp())
    corpus = folder / "corpus"
    corpus.mkdir()
    run, starts = TARGETS[chosen.target](folder)
    for number, data in enumerate(starts):
        (corpus / f"start-{number}").write_bytes(data)
    limits = [f"-max_total_time={chosen.seconds}", "-timeout=10", "-rss_limit_mb=1024"]
    atheris.Setup([sys.argv[0], *limits, "-max_len=40000", str(corpus)], run)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
