"""How long one panel takes to compose once its fonts are loaded.

Run ``python tests/bench/bench_compose.py [LAYOUT]``. Machines differ, so every figure is also given
as a ratio to a fixed piece of plain Python work that is timed beside it. Every round has new words:
only what depends on the fonts alone may be remembered from one to the next.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from labelkit import rules
from labelkit.compose import compose
from labelkit.fields import Wording, Wordings, wordings
from labelkit.job import Job, prepare
from labelkit.spec.label import Trim
from labelkit.spec.layout import read_layout

ROOT = Path(__file__).resolve().parents[2]
ROUNDS, WARM_UP = 45, 5
SHAPES = {
    "rounded": Trim(44, 28, "rounded", 2),
    "round": Trim(47, 47, "round"),
    "arch": Trim(38, 52, "arch"),
}


def plain_work() -> int:
    """About a millisecond of interpreter work."""
    total = 0
    for number in range(20_000):
        total += number * number % 7
    return total


def milliseconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


def renewed(words: Wordings, number: int) -> Wordings:
    """The same words with a number in each, so that nothing is remembered of them."""
    return {
        element: tuple(Wording(w.language, f"{w.text[:-1]}{number}{w.text[-1:]}") for w in found)
        for element, found in words.items()
    }


def measured(job: Job, name: str, trim: Trim) -> tuple[float, float, float]:
    """Median and least time of a panel in milliseconds, and its median ratio to plain work."""
    floors = rules.floors(job.facts, job.regions, job.on)
    words = wordings(job.spec, job.declaration, name)
    times: list[float] = []
    ratios: list[float] = []
    for number in range(ROUNDS):
        new = renewed(words, number)
        unit = milliseconds(plain_work)

        def work(new: Wordings = new) -> object:
            return compose(name, job.layout, new, floors, trim)

        times.append(milliseconds(work))
        ratios.append(times[-1] / unit)
    times, ratios = times[WARM_UP:], ratios[WARM_UP:]
    return statistics.median(times), min(times), statistics.median(ratios)


def main(layout: str) -> None:
    job = prepare(ROOT / "samples" / "lighthouse-supper" / "label.toml")
    if layout:
        job = replace(job, layout=read_layout(ROOT / "layouts" / f"{layout}.toml"))
    print(f"{job.layout.name}: {ROUNDS - WARM_UP} panels with new words")
    for shape, trim in SHAPES.items():
        for name in ("front", "back"):
            median, least, ratio = measured(job, name, trim)
            print(
                f"  {shape:8} {name:6} median {median:6.1f} ms, least {least:6.1f} ms,"
                f" {ratio:6.2f} times the plain work"
            )


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "")
