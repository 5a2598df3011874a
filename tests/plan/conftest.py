"""Plans of the sample event, changed as a test needs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.job.prepare import prepare_job
from labelkit.plan.order_plan import Plan, make_plan


@pytest.fixture
def planned(event: Callable[..., Path]) -> Callable[..., Plan]:
    """The sample's plan as of a day, with (old, new) replacements in its label.toml."""

    def make(
        *changes: tuple[str, str], on: dt.date = dt.date(2026, 11, 25), maker: tuple = (), **values
    ) -> Plan:
        path = event(*changes)
        if maker:
            event(*maker, file="maker.toml")
        return make_plan(prepare_job(path), on, **values)

    return make
