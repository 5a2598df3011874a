"""A copy of a sample event to write in, and a desk that serves it (``served``)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sample_copies import copy_sample
from served import ROOT, Serve, serving

from labelkit.desk.desk import Desk


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the page keeps for itself goes to a folder of the test; fonts stay where they are."""
    folder = tmp_path_factory.mktemp("kept")
    monkeypatch.setattr("labelkit.desk.workplace.find_cache_folder", lambda: folder)
    monkeypatch.setattr("labelkit.desk.serve.find_cache_folder", lambda: folder)


@pytest.fixture
def event(tmp_path: Path) -> Path:
    """The folder of the main sample, to be changed."""
    folder = tmp_path / "lighthouse-supper"
    copy_sample(ROOT / "samples" / "lighthouse-supper", folder)
    return folder


@pytest.fixture
def desk(event: Path) -> Desk:
    return Desk(event / "label.toml")


@pytest.fixture
def serve() -> Iterator[Serve]:
    with serving() as start:
        yield start
