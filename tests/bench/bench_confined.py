"""Times ``labelkit sheet`` with a maker's own font and logo read in a child process, and without.

Both read the same files with the same code; the second runs the tasks where they are asked for. So
many milliseconds of processor time is what keeping strangers' files apart costs a command, and it
must stay under 60. Nothing foreign in an order, no child.

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

CONFINED = """
import sys
from labelkit.cli import main
main(sys.argv[1:])
"""
NOT_CONFINED = """
import sys
from labelkit.common import confined
class Here:
    ask = staticmethod(lambda task, given, named: task(*given, **named))
confined._get_child = lambda: (Here, True)
from labelkit.cli import main
main(sys.argv[1:])
"""
LESS_THAN_MS = 60


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=9)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        label = make_event(Path(folder))
        costs = measure_costs_ms(label, Path(folder), options.rounds)
    middle = statistics.median(costs)
    print(f"a font and a logo read apart: {middle:.0f} ms more (less than {LESS_THAN_MS})")
    sys.exit(middle >= LESS_THAN_MS)


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


def measure_costs_ms(label: Path, folder: Path, rounds: int) -> list[float]:
    """By how much the first takes longer than the second, one after the other each time."""
    command = ["sheet", str(label), "--out", str(folder / "sheets")]
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    pairs = [
        tuple(processor_s(["-c", code, *command], environment) for code in (CONFINED, NOT_CONFINED))
        for _ in range(rounds + 1)
    ][1:]
    return [1000 * (apart - together) for apart, together in pairs]


if __name__ == "__main__":
    main()
