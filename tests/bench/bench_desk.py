"""How soon the desk shows what is typed: from the key to the paint, in Chromium.

Run ``python tests/bench/bench_desk.py [SAMPLE ...]`` (needs the extra "browser"). Every key is
pressed after the picture of the one before; the time is from the input event to the second frame
after the label was put in its place. What is found on the label follows it; its time is told too,
of keys after a pause. Besides: the first ten layouts of the Look room, with a name
that was changed just before, the time from the start of the command to that second frame of the
first label (a new tab of a browser that runs is in it), and the bytes of the page itself. On a
machine that others
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
FIRST = """
  new MutationObserver((_, watch) => {
    if (!document.querySelector('#label svg[data-panel]')) return;
    watch.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => {
      window.first = performance.timeOrigin + performance.now();
    }));
  }).observe(document, { childList: true, subtree: true });
"""
WATCH = """() => {
  window.took = [];
  window.judged = [];
  let pressed = 0, asked = 0;
  addEventListener('input', () => { pressed = asked = performance.now(); }, true);
  const note = (from, into) => from && requestAnimationFrame(() => requestAnimationFrame(() => {
    into.push(performance.now() - from);
  }));
  new MutationObserver(() => { note(pressed, window.took); pressed = 0; })
    .observe(document.querySelector('#label .bench'), { childList: true });
  new PerformanceObserver((list) => {
    if (!list.getEntries().some((one) => one.name.includes('/do/show/'))) return;
    note(asked, window.judged);
    asked = 0;
  }).observe({ entryTypes: ['resource'] });
}"""


def start(folder: Path) -> tuple[subprocess.Popen[str], str]:
    command = [sys.executable, "-m", "labelkit", "open", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=os.environ)
    assert process.stdout is not None
    found = re.search(r"http://\S+/", process.stdout.readline())
    assert found is not None
    return process, found[0]


def time_keys(page: Any, count: int, until: str = "took") -> list[float]:
    """Milliseconds from each key to the paint of the label, or of what is found ("judged"); sorted.

    The next key is pressed as soon as that is there.
    """
    field = page.locator('[id^="label:event.names"]').first
    field.focus()
    page.evaluate(WATCH)
    for number in range(count):
        page.keyboard.type(STROKES[number % len(STROKES)])
        page.wait_for_function(f"() => window.{until}.length > {number}", timeout=20_000)
    return sorted(page.evaluate(f"() => window.{until}"))


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
            begun = time.time()
            process, address = start(folder)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            size = [0]
            page.on("response", lambda got, kept=size: kept.append(_weigh(got)))
            page.add_init_script(FIRST)
            page.goto(f"{address}#~/order")
            page.wait_for_function("() => window.first")
            first = page.evaluate("() => window.first") / 1000 - begun
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
            took = time_keys(page, 60)
            busy = (read_cpu_ms(process) - busy) / len(took)
            weight = sum(size)
            page.reload()
            page.wait_for_function("() => window.first")
            page.wait_for_timeout(1000)
            judged = time_keys(page, 20, "judged")
            print(
                f"{sample:20} key to paint p50 {statistics.median(took):4.0f} ms,"
                f" p95 {took[int(0.95 * len(took))]:4.0f} ms, {busy:3.0f} ms of it the desk's"
                f" processor time; findings p95 {judged[int(0.95 * len(judged))]:4.0f} ms;"
                f" first label {first:4.1f} s;"
                f" ten layouts {1000 * looks:4.0f} ms; page {weight:,} bytes"
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
