"""What a cut by hand makes of a label: it never runs just where it should."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import Number, Said
from labelkit.compose.job import Job
from labelkit.impose.region import fills_die
from labelkit.model.runs import Ornament, Panel
from labelkit.rules.findings import Finding

FRAME_SHARE = 0.8
"""What reaches over so much of the width and of the height frames the label."""


def check_cutting(job: Job) -> Iterator[Finding]:
    """Frames that a cut by hand would make uneven, or cut into."""
    for composed in job.fitting:
        run = job.print_run(composed.panel.name)
        if not (run.stock.ready_cut and fills_die(run.stock, run.trim)):
            yield from check_frame(composed.panel, job.spec.maker.cut_drift_mm)


def check_frame(panel: Panel, drift_mm: float) -> Iterator[Finding]:
    """A frame nearer to the edge than a cut by hand can be trusted to run."""
    gaps = [gap for one in panel.ornaments if (gap := _measure_gap(one, panel)) is not None]
    near = [gap for gap in gaps if 0 < gap < drift_mm]
    if near:
        yield make_own_finding(
            "CRAFT-FRAME-EDGE",
            Said("The frame stands nearer to the edge than a cut by hand drifts"),
            panel=panel.name,
            measured=Number(Decimal(min(near)), 2),
            required=Number(Decimal(str(drift_mm))),
            unit="mm",
            remedy=Said(
                "Take ready-cut labels, or another layout, or have them cut by who can hold it; if"
                " your cuts run truer, say so: cut_drift under [defaults] in maker.toml."
            ),
        )


def _measure_gap(ornament: Ornament, panel: Panel) -> float | None:
    """How far a frame stands from the nearest edge; None for what is no frame."""
    box, half = ornament.box, (ornament.stroke_mm or 0.0) / 2
    wide = box.width_mm >= FRAME_SHARE * panel.width_mm
    if not wide or box.height_mm < FRAME_SHARE * panel.height_mm:
        return None
    right, top = panel.width_mm - box.x1_mm, panel.height_mm - box.y1_mm
    return min(box.x0_mm, box.y0_mm, right, top) - half
