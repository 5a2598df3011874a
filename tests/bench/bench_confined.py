"""Times commands on a maker's own font, logo and PDF read in a child process, and without.

Both read the same files with the same code; the second runs the tasks where they are asked for, and
keeps no answer. So many milliseconds of processor time is what keeping strangers' files apart costs
a command, and it must stay under 60. Nothing foreign in an order, no child.

Usage: python tests/bench/bench_confined.py [--rounds N]
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from bench_commands import MAIN, processor_s
from PIL import Image

from labelkit.typeset.faces import FaceRequest, find_styled_file

RUN = """
from labelkit.cli import main
main(sys.argv[1:])
"""
AGAIN = f"import sys{RUN}"
"""What a maker meets: the answers about font and logo are kept since the command before."""
FIRST = f"""
import sys
from labelkit.common import confined
confined.find_kept_file = lambda stem: None{RUN}"""
NOT_CONFINED = f"""
import sys
from labelkit.common import confined
class Here:
    ask = staticmethod(lambda task, given, named: task(*given, **named))
confined._get_child = lambda: (Here, True)
confined.find_kept_file = confined.keep_file = lambda *_: None{RUN}"""
LESS_THAN_MS = 60


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=9)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        label, sheets = make_event(Path(folder)), Path(folder) / "sheets"
        sheet = ["sheet", str(label), "--out", str(sheets)]
        read_back = ["preflight", str(label), "--pdf", str(sheets / "front.pdf")]
        again, first = measure_costs_ms(sheet, (AGAIN, FIRST), Path(folder), options.rounds)
        print(f"sheet {again:.0f} ms more; the first time {first:.0f}", flush=True)
        (pdf,) = measure_costs_ms(read_back, (AGAIN,), Path(folder), options.rounds)
        print(f"preflight --pdf {pdf:.0f} ms more\nless than {LESS_THAN_MS}")
    sys.exit(max(again, first, pdf) >= LESS_THAN_MS)


def make_event(folder: Path) -> Path:
    """The main sample with a font and a picture of the maker's own."""
    event = folder / "event"
    shutil.copytree(MAIN, event, ignore=shutil.ignore_patterns("labelkit-journal"))
    shutil.copy(find_styled_file(FaceRequest("marcellus")).path, event / "own.ttf")
    logo = Image.new("L", (600, 200), 255)
    logo.paste(0, (60, 40, 540, 160))
    logo.save(event / "logo.png")
    label = event / "label.toml"
    text = label.read_text(encoding="utf-8")
    own = 'layout = "ledger"\nlogo = "logo.png"\nfonts = ["own.ttf"]'
    label.write_text(text.replace('layout = "lantern"', own), encoding="utf-8")
    return label


def measure_costs_ms(
    command: list[str], programs: tuple[str, ...], folder: Path, rounds: int
) -> list[float]:
    """By how much a command takes longer in each program than where it reads all by itself.

    One is run after the other each time; in the middle of all rounds but the first.
    """
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    times = [
        [processor_s(["-c", code, *command], environment) for code in (*programs, NOT_CONFINED)]
        for _ in range(rounds + 1)
    ][1:]
    return [
        statistics.median(1000 * (row[number] - row[-1]) for row in times)
        for number in range(len(programs))
    ]


if __name__ == "__main__":
    main()
