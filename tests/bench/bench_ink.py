"""Times ``labelkit sheet`` with its render-and-compare against the same without, in alternation.

Every run is a process of its own. What is asked of it: that looking at the ink adds less than half
of the time, and that 10,000 personal labels stay under 300 MB.

Usage: python tests/bench/bench_ink.py [--rounds N] [--labels N]
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
from pathlib import Path

from bench_sheets import event, machine, run

WITHOUT = """
import sys
from labelkit.job import ink, sheets
sheets.look_at_ink = lambda *_: ink.InkLook()
from labelkit.cli import main
main(sys.argv[1:])
"""
LESS_THAN = 1.5
MOST_MB = 300


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--labels", type=int, nargs="+", default=[100, 10_000])
    options = parser.parse_args()
    print(machine())
    with tempfile.TemporaryDirectory() as folder:
        kept = [compare(Path(folder), labels, options.rounds) for labels in options.labels]
    sys.exit(not all(kept))


def compare(folder: Path, labels: int, rounds: int) -> bool:
    """Whether both bounds are kept for so many personal labels."""
    label = event(folder / f"personal-{labels}", labels, personal=True)
    seconds: dict[str, list[float]] = {"with": [], "without": []}
    peak = 0.0
    for number in range(rounds + 1):
        for name, program in (("with", ["-m", "labelkit"]), ("without", ["-c", WITHOUT])):
            took, most = run([*program, "sheet", str(label), "--out", str(folder / name)])
            if number:  # the first round only warms the caches of the machine
                seconds[name].append(took)
                peak = max(peak, most) if name == "with" else peak
    own, other = (statistics.median(seconds[name]) for name in ("with", "without"))
    print(f"{labels} personal labels: {own:.2f} s with, {other:.2f} s without: {own / other:.2f}")
    print(f"  at most {peak:.0f} MB")
    return own / other < LESS_THAN and peak < MOST_MB


if __name__ == "__main__":
    main()
