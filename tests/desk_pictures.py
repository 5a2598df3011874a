"""Takes a picture of every room of the desk, wide and on a telephone, into samples/desk/.

Run ``python tests/desk_pictures.py`` (needs the extra "browser" and chromium), and look at them.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[1]
TARGET = ROOT / "samples" / "desk"
ROOMS = ("order", "soap", "look", "size", "workshop", "ready", "proof", "print", "plan", "after")
COLOURS = 64
WIDE, PHONE = (1360, 850), (360, 720)
DRAWN = {
    "look": "document.querySelectorAll('.card .view svg').length > 9",
    "print": "document.querySelector('.sheetpic')",
    "plan": "document.querySelectorAll('#room table').length > 3",
    "proof": "document.querySelector('#room strong')",
}
"""What has to be there before the picture is taken."""


def main() -> None:
    folder = Path(tempfile.mkdtemp()) / "lighthouse-supper"
    shutil.copytree(ROOT / "samples" / "lighthouse-supper", folder)
    command = [sys.executable, "-m", "labelkit", "open", str(folder), "--no-browser", "--stay"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    found = re.search(r"http://\S+/", process.stdout.readline())
    assert found is not None
    TARGET.mkdir(exist_ok=True)
    try:
        with sync_playwright() as started:
            browser = started.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox"]
            )
            for width, height in (WIDE, PHONE):
                page = browser.new_page(
                    viewport={"width": width, "height": height}, locale="en-GB",
                    reduced_motion="reduce",
                )  # fmt: skip
                for room in ROOMS if width == WIDE[0] else ("order",):
                    page.goto(f"{found[0]}#~/{room}")
                    page.wait_for_selector("#label svg[data-panel]", timeout=120_000)
                    page.wait_for_function(
                        "room => document.querySelector('#rooms [aria-current]')?.href"
                        ".endsWith(room)", arg=room,
                    )  # fmt: skip
                    if room in DRAWN:
                        page.wait_for_function(f"() => {DRAWN[room]}", timeout=120_000)
                    page.wait_for_timeout(500)
                    name = room if width == WIDE[0] else f"{room}-phone"
                    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
                    few = picture.quantize(COLOURS, dither=Image.Dither.NONE)
                    few.save(TARGET / f"{name}.png", optimize=True)
            browser.close()
    finally:
        process.terminate()
        process.wait()


if __name__ == "__main__":
    main()
