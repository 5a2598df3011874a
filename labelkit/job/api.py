"""What the command line and the local page are made of, and what anyone may build on.

Everything begins with an ``Order``; nothing here opens a file of it again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.compose.job import Job
from labelkit.job.prepare import compose_with_room, job_from_order, preflight_job
from labelkit.model.runs import Panel, Run
from labelkit.order.order import Order
from labelkit.rules.findings import Finding, Report, is_panel_meant

if TYPE_CHECKING:
    from labelkit.job.proof import Proof
    from labelkit.job.sheets import MadeSheets, Progress, Wish
    from labelkit.plan.order_plan import Plan
    from labelkit.typeset.faces import Face


@dataclass(frozen=True, slots=True)
class CheckedPanel:
    """One side of the label, or a piece with it, by itself: another that does not fit takes nothing
    from it."""

    name: str
    """"front", "back", a second surface ("tag", "card", "leaflet", "notice") or a piece's kind."""
    panel: Panel | None
    """As it would be printed; None where nothing legal fits its trim."""
    problem: FitError | None
    """Why nothing does, with the ways out."""
    findings: tuple[Finding, ...]
    """What was found on it. ``Finding.runs_on(panel)`` says of which of its runs."""
    roomy: Panel | None = None
    """Where nothing fits: the same words on a trim, in its proportions, that just holds them."""
    guest_runs: tuple[Run, ...] = ()
    """The first guest's own name, where labels carry names."""
    faces: Mapping[str, Face] = field(default_factory=dict, repr=False)

    def draw_svg(self, prefix: str, ghosts: frozenset[str] = frozenset()) -> str:
        """The panel as an SVG drawing of the outlines that print, or the roomy one; "" for none.

        ``prefix`` begins its ids; runs of the elements in ``ghosts`` are marked as not hers yet.
        """
        from labelkit.pdf.write.svg import draw_panel_svg

        shown = self.panel or self.roomy
        if shown is None:
            return ""
        pale = frozenset(n for n, run in enumerate(shown.runs) if run.element in ghosts)
        return draw_panel_svg(shown, self.faces, prefix, self.guest_runs, pale)


@dataclass(frozen=True, slots=True)
class Checked:
    """What a preflight found, as a whole and by panel."""

    report: Report
    panels: tuple[CheckedPanel, ...]
    job: Job = field(repr=False)
    """What it was made of, with the declared list of ingredients."""
    pieces: tuple[CheckedPanel, ...] = ()
    """What goes with the label, each laid flat."""

    @property
    def fit_to_print(self) -> bool:
        return self.report.verdict == "pass"


def check(
    order: Order,
    on: dt.date | None = None,
    today: dt.date | None = None,
    strict: bool = False,
    with_ways_out: bool = True,
) -> Checked:
    """Composes every panel of an order and holds it against the rules of its regions.

    ``on`` is the day whose law counts, that of sale unless given; against ``today`` it is judged
    whether the event is past. ``strict`` lets rules that are known from memory fail a label too.
    Ways out of what does not fit take seconds to try; a page that shows a label while it is typed
    leaves them for later. Raises LabelkitError for a recipe or a typeface that cannot be used.
    """
    job = job_from_order(order, on, today)
    report = preflight_job(job, strict=strict, with_ways_out=with_ways_out)
    panels = tuple(_check_panel(job, report.findings, name) for name in job.results)
    pieces = tuple(_check_piece(job, report, kind) for kind in job.suite)
    return Checked(report, panels, job, pieces)


def draw_panels(order: Order) -> tuple[Job, tuple[CheckedPanel, ...]]:
    """The job of an order and its panels as ``check`` sets them, unjudged: a page shows them first.

    Raises LabelkitError as ``check`` does.
    """
    job = job_from_order(order)
    return job, tuple(_check_panel(job, (), name) for name in job.results)


def _check_panel(job: Job, findings: Iterable[Finding], name: str) -> CheckedPanel:
    one = job.results[name]
    found = tuple(f for f in findings if f.panel and is_panel_meant(f.panel, name))
    if isinstance(one, FitError):
        roomy = compose_with_room(job, name)
        if roomy is None:
            return CheckedPanel(name, None, one, found)
        return CheckedPanel(name, None, one, found, roomy.panel, (), roomy.faces)
    return CheckedPanel(name, one.panel, None, found, None, _pick_guest(job, name), one.faces)


def _check_piece(job: Job, report: Report, kind: str) -> CheckedPanel:
    one = job.suite[kind]
    found = tuple(f for f in report.findings if f.panel == kind)
    if isinstance(one, FitError):
        return CheckedPanel(kind, None, one, found)
    whole = one.whole
    return CheckedPanel(kind, whole.panel, None, found, None, _pick_guest(job, kind), whole.faces)


def _pick_guest(job: Job, name: str) -> tuple[Run, ...]:
    """The first guest's own runs on a panel, where it carries names."""
    guests = job.fitted_guests[0].get(name, {})
    return next(iter(guests.values()), ())


def draw_front(
    order: Order, prefix: str, ghosts: frozenset[str] = frozenset()
) -> dict[str, object]:
    """The front of an order alone, unjudged: ``svg``, ``width`` and ``height`` (mm), and whether it
    ``fits`` its trim, or is shown on the one that holds it."""
    job = job_from_order(order)
    try:
        composed = job.panel_on("front", job.print_run("front").trim)
        fits = True
    except FitError:
        found, fits = compose_with_room(job, "front"), False
        if found is None:
            return {"svg": "", "width": 0, "height": 0, "fits": False}
        composed = found
    panel = composed.panel
    shown = CheckedPanel("front", panel, None, (), faces=composed.faces)
    return {
        "svg": shown.draw_svg(prefix, ghosts),
        "width": panel.width_mm,
        "height": panel.height_mm,
        "fits": fits,
    }


def make_sheets(
    order: Order, folder: Path, wish: Wish | None = None, progress: Progress | None = None
) -> MadeSheets:
    """Writes the sheets of an order into a folder, all or none; none where it is not fit to print.

    Raises LabelkitError for what cannot be used.
    """
    from labelkit.job.sheets import make_order_sheets

    return make_order_sheets(order, folder, wish, progress)


def make_proof(
    order: Order, language: str | None = None, leave_out_unwritten: bool = False
) -> Proof:
    """The two parts of an order's proof as PDF bytes: the customer's, where it is fit to print, and
    the maker's. ``language`` is that of the captions ("en", "fr"); with ``leave_out_unwritten`` the
    labels of guests whose names cannot be set are without one."""
    from labelkit.job import proof

    return proof.draw_proof(job_from_order(order), language, leave_out_unwritten)


def record_approval(
    order: Order, code: str, on: dt.date, leave_out_unwritten: bool = False
) -> bool:
    """Records beside the label's file that its customer approved the proof with this code.

    Whether it was recorded: what is not fit has no proof that she could have approved, unless
    ``leave_out_unwritten`` made it fit. InputError for a code that is not the order's.
    """
    from labelkit.common.journal import journal_files, lock_journal
    from labelkit.compose.fingerprint import collect_content
    from labelkit.job.unwritten import drop_unwritten_names
    from labelkit.job.work import describe_work
    from labelkit.plan.approval import (
        approval_path_of,
        approve_content,
        format_approval,
        read_approval,
    )

    job = job_from_order(order)
    label, content = order.spec.path, collect_content(job)
    work = describe_work("proof", order, content.code, approved=content.code)
    with journal_files(work) as staged, lock_journal(staged.journal, "proof"):
        approval = approve_content(read_approval(label), content, code, on)
        shown = drop_unwritten_names(job).job if leave_out_unwritten else job
        if preflight_job(shown, with_ways_out=False).verdict == "fail":
            return False
        stream = staged.update(approval_path_of(label))
        stream.write(format_approval(approval).encode("utf-8"))
        staged.commit()
    return True


def make_plan(
    order: Order,
    on: dt.date,
    weights_g: Sequence[Decimal] = (),
    poured_on: dt.date | None = None,
) -> Plan:
    """Pieces, batch, dates, supplies, cost and price of an order as of a day.

    With ``weights_g``, in grams, it also judges pieces that were weighed; ``poured_on`` is the day
    the batch was really poured. Raises InputError for values that cannot be used, FitError where
    the labels do not fit the stock.
    """
    from labelkit.plan import order_plan

    return order_plan.make_plan(job_from_order(order), on, weights_g, poured_on)
