"""What many tests need: the sample event, and a copy of it that a test may spoil."""

from __future__ import annotations

import gc
import os
import re
import signal
import tempfile
from collections.abc import Callable
from pathlib import Path

import examples  # noqa: F401  # its profiles
import pytest
from hypothesis import is_hypothesis_test, settings
from sample_copies import copy_sample
from sheet_fixtures import ink_on_trust, made, named, personal  # noqa: F401

# A shell's background job ignores Ctrl-C, and so would every command that a test starts.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

# The commands that tests start would each compile all of labelkit anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
os.environ["LC_ALL"] = "C.UTF-8"  # tests read what is said in English, wherever they run
ROOT = Path(__file__).resolve().parent.parent
SAMPLE = ROOT / "samples" / "lighthouse-supper"
FONTS = pytest.StashKey[tempfile.TemporaryDirectory[str]]()


def is_long(config: pytest.Config) -> bool:
    """Whether this is the run of ``pytest -m long``."""
    return bool(config.option.markexpr == "long")


def pytest_configure(config: pytest.Config) -> None:
    """One cache of fonts for the whole run, its workers and the commands they start."""
    gc.set_threshold(20_000, 20, 50)  # the tests and typefaces in memory take long to look through
    settings.load_profile("long" if is_long(config) else "quick")
    if not hasattr(config, "workerinput"):  # the workers of a parallel run have it from here
        config.stash[FONTS] = tempfile.TemporaryDirectory(prefix="labelkit-fonts-")
        os.environ["XDG_CACHE_HOME"] = config.stash[FONTS].name


def pytest_sessionfinish() -> None:
    gc.freeze()  # pytest looks through all that the tests left five times, which takes seconds


def pytest_unconfigure(config: pytest.Config) -> None:
    if FONTS in config.stash:
        config.stash[FONTS].cleanup()


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Every quick run says what it left out."""
    if config.option.markexpr == "not long and not browser":
        terminalreporter.write_line(
            "left out: what takes minutes (-m long), and the desk in a browser (-m browser; it"
            " takes chromium and pip install '.[browser]')"
        )


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The long run tries every property again, on more examples, and all of each matrix."""
    for item in items:
        if is_long(config) and is_hypothesis_test(getattr(item, "obj", None)):
            item.add_marker("long")
    matrices: dict[str, list[pytest.Item]] = {}
    for item in items:
        if item.get_closest_marker("quick"):
            matrices.setdefault(item.nodeid.partition("[")[0], []).append(item)
    for matrix in matrices.values():
        marker = matrix[0].get_closest_marker("quick")
        assert marker is not None
        kept = {number * len(matrix) // marker.args[0] for number in range(marker.args[0])}
        for number, item in enumerate(matrix):
            if number not in kept:
                item.add_marker("long")


@pytest.fixture(scope="session")
def fill_in() -> Callable[[str], str]:
    """Fills in every blank of a starter's text as it suggests itself: dates and numbers bare."""

    def suggested(blank: re.Match[str]) -> str:
        value = blank[1].rpartition("such as ")[2]
        return value if re.fullmatch(r"\d+|\d{4}-\d\d-\d\d", value) else f'"{value}"'

    return lambda text: re.sub('"<<< ([^"]*)"', suggested, text)


@pytest.fixture
def sample() -> Path:
    """The label spec of the sample event, in place."""
    return SAMPLE / "label.toml"


@pytest.fixture
def coarse_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures of a proof in 72 dots to the inch, where it is not they that are tested."""
    monkeypatch.setattr("labelkit.job.proof.PNG_DPI", 72)


@pytest.fixture
def no_ways_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tries none of the ways out of what does not fit, which takes seconds."""
    monkeypatch.setattr("labelkit.job.prepare.try_ways_out", lambda *_: ())


@pytest.fixture
def event(tmp_path: Path) -> Callable[..., Path]:
    """Copies the sample event; each (old, new) pair is replaced in one of its files first."""

    def make(*changes: tuple[str, str], file: str = "label.toml") -> Path:
        folder = tmp_path / "event"
        if not folder.exists():
            copy_sample(SAMPLE, folder)
        path = folder / file
        text = path.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, f"{old!r} is not in the sample's {file}"
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
        return folder / "label.toml"

    return make
