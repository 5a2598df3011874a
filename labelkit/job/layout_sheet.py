"""An order tried in every layout, and a layout tried in every shape and size."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from labelkit.checks.smallest_trim import find_smallest_trim
from labelkit.common.resources import find_layouts_folder
from labelkit.compose.job import Job
from labelkit.job.prepare import preflight_job
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, read_layout
from labelkit.report.layout_sheet import LayoutTrial
from labelkit.rules.findings import Level

SPECIMEN_TRIMS = (
    Trim(38.1, 25.4),
    Trim(60, 40, "rounded", 3),
    Trim(45, 45, "square"),
    Trim(50, 50, "round"),
    Trim(60, 42, "oval"),
    Trim(38, 52, "arch"),
)
"""What a specimen shows of a layout, as far as it claims the shapes."""


def list_layouts(beside: Path | None = None) -> list[Layout]:
    """The layouts that come with labelkit, and those of a maker's own in a folder."""
    own = sorted(beside.glob("*.toml")) if beside else []
    named = [path for path in own if _is_layout(path)]
    return [read_layout(path) for path in [*sorted(find_layouts_folder().glob("*.toml")), *named]]


def _is_layout(path: Path) -> bool:
    """Whether a file says that it is a design: by the blocks of its front, or what it extends."""
    text = path.read_text(encoding="utf-8", errors="replace")
    return "[[front.blocks]]" in text or re.search(r"^extends\s*=", text, re.MULTILINE) is not None


def try_layouts(job: Job, layouts: list[Layout], smallest: bool) -> Iterator[LayoutTrial]:
    """The order in each layout; ``smallest``: with the smallest trim on which it is legal there."""
    for layout in layouts:
        tried = job.with_order(layout=layout)
        report = preflight_job(tried, with_ways_out=False)
        failing = tuple(
            f for f in report.findings if f.level is Level.FAIL and f.rule != "LABELKIT-FIT"
        )
        yield LayoutTrial(tried, failing, find_smallest_trim(tried) if smallest else None)


def try_specimen(job: Job) -> Iterator[LayoutTrial]:
    """The order's own layout at the shapes it claims and some usual sizes."""
    for trim in SPECIMEN_TRIMS:
        if trim.shape in job.layout.shapes:
            tried = job.with_order(spec=replace(job.spec, trim=trim))
            report = preflight_job(tried, with_ways_out=False)
            failing = tuple(f for f in report.findings if f.level is Level.FAIL)
            yield LayoutTrial(tried, failing, None)
