"""How long one panel takes to compose once its fonts are loaded.

Run ``python tests/bench/bench_compose.py [LAYOUT]``, or with ``--all`` for every layout. Time is
the processor's own, so that other work on the computer counts little; as machines differ, every
figure is also given as a ratio to a fixed piece of plain Python work that is timed beside it. Every
round has new words: only what depends on the fonts alone may be remembered from one to the next.
"""

from __future__ import annotations

import argparse
import statistics
import string
import time
from collections.abc import Sequence
from itertools import count
from pathlib import Path

from labelkit.common.errors import FitError
from labelkit.compose import compose_panel
from labelkit.compose.element_words import Wording, Wordings, make_panel_wordings
from labelkit.compose.job import Job
from labelkit.job.prepare import prepare_job
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout

ROOT = Path(__file__).resolve().parents[2]
ROUNDS, WARM_UP = 45, 5
LETTERS = string.digits + string.ascii_letters
SHAPES = {
    "rounded": Trim(44, 28, "rounded", 2),
    "round": Trim(47, 47, "round"),
    "arch": Trim(38, 52, "arch"),
    "oval": Trim(60, 42, "oval"),
}


def plain_work_ms() -> float:
    """How long about a millisecond of interpreter work takes."""
    start = time.process_time()
    total = 0
    for number in range(20_000):
        total += number * number % 7
    return (time.process_time() - start) * 1000


def renewed(words: Wordings, number: int) -> Wordings:
    """The same words with two letters in each, so that nothing is remembered of them."""
    first, second = divmod(number, len(LETTERS))
    mark = LETTERS[first] + LETTERS[second]
    return {
        element: tuple(Wording(w.language, f"{w.text[:-1]}{mark}{w.text[-1:]}") for w in found)
        for element, found in words.items()
    }


NUMBERS = {"front": count(), "back": count()}
"""Never the same twice: layouts that share a face would share what is known of its words."""


def measured(job: Job, name: str, trim: Trim) -> tuple[float, float, float, int]:
    """Median and least time of a panel in milliseconds, its median ratio to plain work, and how
    many of the panels did not fit their trim."""
    words = make_panel_wordings(job.spec, job.declaration, name)
    times: list[float] = []
    ratios: list[float] = []
    refused = 0
    for _ in range(ROUNDS):
        new = renewed(words, next(NUMBERS[name]))
        unit = plain_work_ms()
        start = time.process_time()
        try:
            compose_panel(name, job.layout, new, job.floors, trim)
        except FitError:
            refused += 1
        times.append((time.process_time() - start) * 1000)
        ratios.append(times[-1] / unit)
    times, ratios = times[WARM_UP:], ratios[WARM_UP:]
    return statistics.median(times), min(times), statistics.median(ratios), refused


def main(layouts: Sequence[str]) -> None:
    job = prepare_job(ROOT / "samples" / "lighthouse-supper" / "label.toml")
    print(f"{ROUNDS - WARM_UP} panels each, with new words: median and least in ms, and")
    print("the median as a multiple of the plain work")
    for layout in layouts:
        job = job.with_order(layout=read_layout(ROOT / "layouts" / f"{layout}.toml"))
        for shape, trim in SHAPES.items():
            for name in ("front", "back"):
                median, least, ratio, refused = measured(job, name, trim)
                figures = f"{median:6.1f} {least:6.1f} {ratio:6.2f}"
                note = f"  {refused} of {ROUNDS} refused" if refused else ""
                print(f"{layout:10} {shape:8} {name:6} {figures}{note}", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Times the composing of one panel.")
    parser.add_argument("layout", nargs="?", default="lantern")
    parser.add_argument("--all", action="store_true", help="every layout")
    wanted = parser.parse_args()
    names = sorted(path.stem for path in (ROOT / "layouts").glob("*.toml"))
    main(names if wanted.all else [wanted.layout])
