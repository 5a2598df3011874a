"""Sheets that several tests look at, made once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from sample_copies import copy_sample
from sheet_events import GUESTS, SAMPLE

from labelkit.job.ink import InkLook
from labelkit.job.sheets import MadeSheets, make_sheets_of_file


@pytest.fixture
def ink_on_trust(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sheets are not rendered once they are written, where it is not they that are tested."""
    monkeypatch.setattr("labelkit.job.sheets.look_at_ink", lambda *_: InkLook())


@pytest.fixture(scope="session")
def personal(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """The sample event with other guests: ``personal("a", names, spares, (old, new) ...)``."""

    def make(folder: str, names: tuple[str, ...], spares: str, *changes: tuple[str, str]) -> Path:
        event = tmp_path_factory.mktemp(folder) / "event"
        copy_sample(SAMPLE, event)
        label = event / "label.toml"
        text = label.read_text(encoding="utf-8")
        listed = ("guests = 60\n", 'guest_list = "guests.csv"\n')
        for old, new in (listed, ('spares = "10 %"', f"spares = {spares}"), *changes):
            assert old in text
            text = text.replace(old, new)
        label.write_text(text, encoding="utf-8")
        (event / "guests.csv").write_text("\n".join(["name", *names, ""]), encoding="utf-8")
        return label

    return make


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> MadeSheets:
    """The sample's sheets: 60 guests and 10 % spares, no names."""
    return make_sheets_of_file(SAMPLE / "label.toml", tmp_path_factory.mktemp("sample"))


@pytest.fixture(scope="session")
def named(personal: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> MadeSheets:
    """Sheets for 60 guests by name and 10 % spares."""
    names = (*GUESTS, *(f"Guest {chr(65 + n // 10)}{n}" for n in range(60 - len(GUESTS))))
    return make_sheets_of_file(personal("named", names, '"10 %"'), tmp_path_factory.mktemp("named"))
