"""How much processor time a command takes, and an edit in a program that stays open.

Commands are given as ratios to importing reportlab's canvas, each pair run one after the other, so
that other machines and other work on this one count little. Edits are given in milliseconds of
processor time from the changed text to the composed panels and every finding: half of them are
quicker than the first figure, 19 of 20 than the second.

Usage: python tests/bench/bench_commands.py [--rounds N] [--edits N]
"""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import cycle
from pathlib import Path

from labelkit.cli import SELDOM
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.label import read_label

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
MAIN = SAMPLES / "lighthouse-supper"
CANVAS = ["-c", "from reportlab.pdfgen import canvas"]
GOALS = {"sheet": 8, "preflight": 6, "declare": 3}
NAME_GOAL_MS, MASS_GOAL_MS = 40, 80
TODAY = dt.date(2026, 1, 5)
NAMES = ("Quatre Vents", "Iode", "Fin d'octobre à la mer", "Sel", "Marée basse", "Brume légère")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--edits", type=int, default=40)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        commands(here, options.rounds)
        edits(here, options.edits)


# -- commands --------------------------------------------------------------------------------------


def commands(folder: Path, rounds: int) -> None:
    """Each command against the import beside it, after one round that fills the caches."""
    label = str(MAIN / "label.toml")
    arguments = {
        "sheet": ["sheet", label, "--out", str(folder / "sheets")],
        "preflight": ["preflight", label],
        "declare": ["declare", str(MAIN / "recipe.toml")],
        "--help": ["--help"],
    }
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    print("processor time, and how many times that of importing reportlab's canvas")
    for name, given in arguments.items():
        pairs = [
            (processor_s(["-m", "labelkit", *given], environment), processor_s(CANVAS, environment))
            for _ in range(rounds + 1)
        ][1:]
        ratio = statistics.median(own / other for own, other in pairs)
        own = statistics.median(own for own, _ in pairs)
        goal = f"   goal {GOALS[name]}" if name in GOALS else ""
        print(f"{name:22}{1000 * own:7.0f} ms{ratio:7.1f}{goal}", flush=True)


def processor_s(arguments: list[str], environment: dict[str, str]) -> float:
    """Seconds of processor time, its own and the system's, of a Python child process."""
    with subprocess.Popen(
        [sys.executable, *arguments],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env=environment,
    ) as child:
        assert child.stderr is not None
        complaints = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        sys.exit(f"{' '.join(arguments)}: {complaints.decode()}")
    return usage.ru_utime + usage.ru_stime


# -- edits -----------------------------------------------------------------------------------------


def edits(folder: Path, count: int) -> None:
    print(f"\n{count} edits of each sample, in ms: half under, 95 % under")
    shutil.copytree(SAMPLES, folder / "samples")
    for label in sorted((folder / "samples").glob("*/label.toml")):
        shown = f"{label.parent.name:22}"
        for what, changes, goal in (
            ("name", renamed(label), NAME_GOAL_MS),
            ("mass", reweighed(read_label(label).product.recipe), MASS_GOAL_MS),
        ):
            half, most = timed(label, changes, count)
            shown += f"   {what}{half:6.1f}{most:6.1f} (goal {goal})"
        print(shown, flush=True)


def timed(label: Path, changes: Iterator[Callable[[], None]], count: int) -> tuple[float, float]:
    """Milliseconds of processor time of half the edits and of 95 % of them."""
    times = []
    for number, change in zip(range(-3, count), changes, strict=False):
        change()
        start = time.process_time()
        job = prepare_job(label, today=TODAY)
        preflight_job(job)
        if number == -1:  # as the desk does when typefaces and tables are loaded
            gc.set_threshold(SELDOM)
            gc.collect()
            gc.freeze()
        if number >= 0:
            times.append(1000 * (time.process_time() - start))
    times.sort()
    return times[len(times) // 2], times[int(0.95 * len(times))]


def renamed(label: Path) -> Iterator[Callable[[], None]]:
    """Another name of the event each time, in the first language that has one."""
    text = label.read_text(encoding="utf-8")
    found = re.search(r'(?m)^(names = (?:\{ \w+ = )?")([^"]*)(")', text)
    assert found, label
    for number, name in enumerate(cycle(NAMES)):
        changed = f"{text[: found.start(2)]}{name} {number}{text[found.end(2) :]}"
        yield lambda changed=changed: label.write_text(changed, encoding="utf-8") and None


def reweighed(recipe: Path) -> Iterator[Callable[[], None]]:
    """The first mass of the recipe a little more each time."""
    text = recipe.read_text(encoding="utf-8")
    found = re.search(r'mass = "([\d.]+) g"', text)
    assert found, recipe
    for number in cycle(range(1, 1000)):
        grams = f"{float(found[1]) + number / 10:.1f}"
        changed = f"{text[: found.start(1)]}{grams}{text[found.end(1) :]}"
        yield lambda changed=changed: recipe.write_text(changed, encoding="utf-8") and None


if __name__ == "__main__":
    main()
