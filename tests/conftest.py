"""What many tests need: the sample event, and a copy of it that a test may spoil."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings
from sheet_fixtures import made, named, personal  # noqa: F401

# How long one example takes says more of what else the computer does than of labelkit.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

ROOT = Path(__file__).resolve().parent.parent
SAMPLE = ROOT / "samples" / "lighthouse-supper"


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
def event(tmp_path: Path) -> Callable[..., Path]:
    """Copies the sample event; each (old, new) pair is replaced in one of its files first."""

    def make(*changes: tuple[str, str], file: str = "label.toml") -> Path:
        folder = tmp_path / "event"
        if not folder.exists():
            shutil.copytree(SAMPLE, folder)
        path = folder / file
        text = path.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, f"{old!r} is not in the sample's {file}"
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
        return folder / "label.toml"

    return make
