"""Times labelkit's sheets against other ways of making the same ones, run in alternation.

Every program runs in a process of its own. labelkit reads the maker's files, composes, preflights,
writes, reads back, compares and preflights again; the others are handed a finished arrangement of
lines (text, face, size and place of each) and only draw it. ``pip install typst weasyprint`` adds
those two; what is not installed is left out.

Usage: python tests/bench/bench_sheets.py [--rounds N] [--quick]
"""

from __future__ import annotations

import argparse
import importlib.metadata
import importlib.util
import itertools
import os
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parent
SAMPLE = HERE.parent.parent / "samples" / "lighthouse-supper"
OTHERS = {
    "reportlab": "raw_reportlab.py",
    "typst": "with_typst.py",
    "weasyprint": "with_weasyprint.py",
}
FIRST = ("Agnès", "Camille", "Denis", "Élodie", "Gérard", "Hélène", "Joël", "Luc", "Noé", "Zoë")
LAST = ("Babin", "Cormier", "Doucet", "Gallant", "Hébert", "Maillet", "Richard", "Thériault")


@dataclass
class Timed:
    """What one program took, over all rounds."""

    seconds: list[float] = field(default_factory=list)
    peak_mb: float = 0.0
    size: int = 0

    @property
    def median(self) -> float:
        return statistics.median(self.seconds)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--quick", action="store_true", help="leave out the large runs")
    options = parser.parse_args()
    print(machine())
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        versus(here, 100, options.rounds, [name for name in OTHERS if installed(name)])
        help_time(options.rounds)
        identical(here)
        if not options.quick:
            versus(here, 10_000, 3, [name for name in ("reportlab", "typst") if installed(name)])
            memory(here)


# -- the runs --------------------------------------------------------------------------------------


def versus(folder: Path, labels: int, rounds: int, others: list[str]) -> None:
    """Front and back of so many personal labels by every program, in alternation."""
    label = event(folder / f"personal-{labels}", labels, personal=True)
    drawing = folder / f"drawing-{labels}.json"
    run([str(HERE / "drawing.py"), str(label), str(drawing)])
    programs: dict[str, Callable[[Path], list[str]]] = {
        "labelkit": lambda out: ["-m", "labelkit", "sheet", str(label), "--out", str(out)],
        **{
            name: lambda out, script=OTHERS[name]: [str(HERE / script), str(drawing), str(out)]
            for name in others
        },
    }
    timed = {name: Timed() for name in programs}
    for number in range(rounds + 1):
        for name, arguments in programs.items():
            out = folder / "out"
            shutil.rmtree(out, ignore_errors=True)
            out.mkdir()
            seconds, peak = run(arguments(out))
            if number:  # the first round only warms the caches of the machine
                timed[name].seconds.append(seconds)
                timed[name].peak_mb = max(timed[name].peak_mb, peak)
                timed[name].size = sum(path.stat().st_size for path in out.glob("*.pdf"))
    table(f"{labels} personal labels, front and back, median of {rounds}", timed)


def help_time(rounds: int) -> None:
    timed = {"labelkit --help": Timed(), "python -c pass": Timed()}
    for _ in range(rounds + 1):
        for name, arguments in (
            ("labelkit --help", ["-m", "labelkit", "--help"]),
            ("python -c pass", ["-c", "pass"]),
        ):
            seconds, peak = run(arguments)
            timed[name].seconds.append(seconds)
            timed[name].peak_mb = max(timed[name].peak_mb, peak)
    table("start", timed)


def identical(folder: Path) -> None:
    """Bytes of each further label of an event without names."""
    sizes: dict[int, int] = {}
    for labels in (1_000, 2_000):
        label = event(folder / f"plain-{labels}", labels, personal=False)
        out = folder / f"plain-{labels}" / "out"
        run(["-m", "labelkit", "sheet", str(label), "--out", str(out)])
        sizes[labels] = (out / "front.pdf").stat().st_size
    print(f"\neach further identical label: {(sizes[2_000] - sizes[1_000]) / 1_000:.1f} bytes")


def memory(folder: Path) -> None:
    """Peak memory from a thousand personal labels to a hundred thousand."""
    timed: dict[str, Timed] = {}
    for labels in (1_000, 10_000, 100_000):
        label = event(folder / f"flat-{labels}", labels, personal=True)
        out = folder / f"flat-{labels}" / "out"
        seconds, peak = run(["-m", "labelkit", "sheet", str(label), "--out", str(out)])
        size = sum(path.stat().st_size for path in out.glob("*.pdf"))
        timed[f"{labels:,}"] = Timed([seconds], peak, size)
    table("labelkit, personal labels, front and back, once", timed)


def run(arguments: list[str]) -> tuple[float, float]:
    """Seconds by the clock and peak memory in megabytes of a Python child process."""
    start = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as child:
        assert child.stderr is not None
        complaints = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - start
    if child.returncode:
        sys.exit(f"{' '.join(arguments)}: {complaints.decode()}")
    return seconds, usage.ru_maxrss / 1024


def table(title: str, timed: dict[str, Timed]) -> None:
    base = timed.get("labelkit") or next(iter(timed.values()))
    heads = [f"{head:>{width}}" for head, width in (("seconds", 9), ("MB", 8), ("bytes", 13))]
    print(f"\n{title}\n{'':18}{'   ratio'.join(heads)}   ratio")
    for name, entry in timed.items():
        line = f"{name:18}{entry.median:9.3f}{entry.median / base.median:8.2f}"
        line += f"{entry.peak_mb:8.0f}{entry.peak_mb / base.peak_mb:8.2f}"
        if base.size:
            line += f"{entry.size:13,}{entry.size / base.size:8.2f}"
        print(line)


def machine() -> str:
    """What the figures were taken on."""
    model = platform.processor() or platform.machine()
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
        model = next(line.split(":")[1].strip() for line in lines if line.startswith("model name"))
    except (OSError, StopIteration):
        pass
    versions = [f"Python {platform.python_version()}"]
    for name in ("reportlab", "typst", "weasyprint"):
        if installed(name):
            versions.append(f"{name} {importlib.metadata.version(name)}")
    return f"{model}, {os.cpu_count()} cores, {platform.system()}; {', '.join(versions)}"


def installed(module: str) -> bool:
    return importlib.util.find_spec(module) is not None


# -- what is made ----------------------------------------------------------------------------------


def event(folder: Path, labels: int, personal: bool) -> Path:
    """The sample event with so many guests, each with a name of their own or none."""
    shutil.copytree(SAMPLE, folder, dirs_exist_ok=True)
    text = (folder / "label.toml").read_text(encoding="utf-8")
    guests = 'guest_list = "guests.csv"' if personal else f"guests = {labels}"
    assert "guests = 60\n" in text
    assert 'spares = "10 %"' in text
    text = text.replace("guests = 60\n", f"{guests}\n").replace('spares = "10 %"', "spares = 0")
    (folder / "label.toml").write_text(text, encoding="utf-8")
    (folder / "guests.csv").write_text("\n".join(["name", *names(labels)]), encoding="utf-8")
    return folder / "label.toml"


def names(count: int) -> Iterator[str]:
    """Invented guests, no two alike."""
    pairs = itertools.cycle(itertools.product(FIRST, LAST))
    for number, (first, last) in zip(range(count), pairs, strict=False):
        yield f"{first} {last} {number + 1}"


if __name__ == "__main__":
    main()
