"""What tests of several commands need."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"


@pytest.fixture
def few_designs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """As if these were all that come with labelkit: an order takes a while in each of them."""
    folder = tmp_path / "few-designs"
    folder.mkdir()
    names = ["hedgerow", "lantern", "ledger", "meadow"]
    for name in names:
        shutil.copy(LAYOUTS / f"{name}.toml", folder)
    (folder / "stock").symlink_to(LAYOUTS / "stock")
    monkeypatch.setattr("labelkit.job.layout_sheet.find_layouts_folder", lambda: folder)
    monkeypatch.setattr("labelkit.common.resources.find_layouts_folder", lambda: folder)
    return names
