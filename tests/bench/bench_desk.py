"""How soon the desk shows what is typed: from the key to the paint, in Chromium.

Run ``python tests/bench/bench_desk.py [SAMPLE ...]`` (needs the extra "browser"). Every key is
pressed after the picture of the one before; the time is from the input event to the second frame
after the label was put in its place. Besides: the first ten layouts of the Look room, with a name
that was changed just before, the time from the start of the command to the first label, and the
bytes of the page itself. On a machine that others
load too, the processor time that the desk took for a key says more than the clock; beside it stands
that of a fixed piece of plain Python work, to compare machines by.
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ("lighthouse-supper", "millpond-wedding", "orchard-wedding", "mill-kermis")
STROKES = re.findall(r"\s?\S", "The Long Table by the Water and the Wind ")
"""A space alone changes no label: it is typed with the letter after it."""
WATCH = """() => {
  window.took = [];
  let pressed = 0;
  addEventListener('input', () => { pressed = performance.now(); }, true);
  new MutationObserver(() => {
    const from = pressed;
    if (from) requestAnimationFrame(() => requestAnimationFrame(() => {
      window.took.push(performance.now() - from);
    }));
    pressed = 0;
  }).observe(document.querySelector('#label .bench'), { childList: true });
}"""


def start(folder: Path) -> tuple[subprocess.Popen[str], str]:
    command = [sys.executable, "-m", "labelkit", "open", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=os.environ)
    assert process.stdout is not None
    found = re.search(r"http://\S+/", process.stdout.readline())
    assert found is not None
    return process, found[0]


def time_keys(page: Any, count: int) -> list[float]:
    """Milliseconds from each key to its paint."""
    field = page.locator('[id^="label:event.names"]').first
    field.focus()
    page.evaluate(WATCH)
    for number in range(count):
        page.keyboard.type(STROKES[number % len(STROKES)])
        page.wait_for_function(f"() => window.took.length > {number}", timeout=20_000)
    return list(page.evaluate("() => window.took"))


def read_cpu_ms(process: subprocess.Popen[str]) -> float:
    """Milliseconds of processor time that a process has taken (Linux: proc(5), fields 14, 15)."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def time_plain_work_ms() -> float:
    """The processor time of a piece of plain Python work, the least of five tries."""

    def work() -> float:
        begun = time.process_time()
        found: dict[str, int] = {}
        for number in range(20_000):
            found[str(number)] = number * number
        return 1000 * (time.process_time() - begun)

    return min(work() for _ in range(5))


def main() -> None:
    print(f"plain work: {time_plain_work_ms():.1f} ms of processor time")
    with sync_playwright() as started:
        browser = started.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for sample in sys.argv[1:] or SAMPLES:
            every = Path(tempfile.mkdtemp()) / "samples"
            shutil.copytree(ROOT / "samples", every)  # some use the recipe of another
            folder = every / sample
            begun = time.monotonic()
            process, address = start(folder)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            size = [0]
            page.on("response", lambda got, kept=size: kept.append(_weigh(got)))
            page.goto(f"{address}#~/order")
            page.wait_for_selector("#label svg[data-panel]")
            first = time.monotonic() - begun
            page.wait_for_timeout(1500)
            page.locator('[id^="label:event.names"]').first.focus()
            page.keyboard.type("Our Day ")
            page.wait_for_timeout(300)
            page.goto(f"{address}#~/look")
            before = time.monotonic()
            page.wait_for_function("() => document.querySelectorAll('.card .view svg').length > 9")
            looks = time.monotonic() - before
            page.wait_for_function("() => document.querySelectorAll('.card .view svg').length > 19")
            page.goto(f"{address}#~/order")
            page.wait_for_timeout(500)
            busy = read_cpu_ms(process)
            took = sorted(time_keys(page, 60))
            busy = (read_cpu_ms(process) - busy) / len(took)
            print(
                f"{sample:20} key to paint p50 {statistics.median(took):4.0f} ms,"
                f" p95 {took[int(0.95 * len(took))]:4.0f} ms, {busy:3.0f} ms of it the desk's"
                f" processor time; first label {first:4.1f} s;"
                f" ten layouts {1000 * looks:4.0f} ms; page {sum(size):,} bytes"
            )
            page.close()
            process.terminate()
            process.wait()
        browser.close()


def _weigh(got: Any) -> int:
    """The bytes of the page itself: its parts, not the order."""
    return 0 if "/ask/" in got.url or "/do/" in got.url else len(got.body())


if __name__ == "__main__":
    main()
