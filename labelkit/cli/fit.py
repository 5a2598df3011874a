"""``labelkit fit``: the smallest legal label."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.voice import say
from labelkit.common.errors import ExitCode, FitError
from labelkit.common.messages import FactList, Said, Term, make_number

if TYPE_CHECKING:
    from labelkit.checks.smallest_trim import SmallestTrims
    from labelkit.compose.job import Job
    from labelkit.order.stock import Stock
    from labelkit.rules.findings import Finding


@click.command(
    "fit",
    epilog="Example: labelkit fit samples/lighthouse-supper/label.toml --region CA --region US",
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="For this region instead of the label's own (CA, US, BE ...); may be given again.",
)  # fmt: skip
@click.option(
    "--layout", "layout", metavar="NAME",
    help="In this layout instead of the label's own.",
)  # fmt: skip
@click.option(
    "--stock", "stock", metavar="NAME",
    help="Only say whether the label can be legal on this stock: on its ready-cut labels, or cut"
    " from it at its own trim.",
)  # fmt: skip
def command(label: Path, regions: tuple[str, ...], layout: str | None, stock: str | None) -> int:
    """Find the smallest legal label of a layout.

    Says the smallest trim in the label's own proportions, the smallest that is easily read, and
    the smallest height at its own width, which element decides them, and what would make the label
    smaller. Nothing is written. Exit code 0: there is a legal size; 1: there is none.
    """
    from labelkit.checks.smallest_trim import find_smallest_trims, find_stock_problem
    from labelkit.common import resources
    from labelkit.job.prepare import prepare_job
    from labelkit.order.layout import find_layout, read_layout
    from labelkit.order.stock import find_stock

    job = prepare_job(label, regions)
    if layout:
        path = find_layout(layout, label.parent, resources.find_layouts_folder())
        job = job.with_order(layout=read_layout(path))
    if stock:
        found = find_stock(stock, label.parent)
        problem = find_stock_problem(job, found)
        for line in _describe_stock(job, found, problem):
            say(line)
        return ExitCode.OK if problem is None else ExitCode.FINDINGS
    result = find_smallest_trims(job)
    for line in _describe_smallest(job, result):
        say(line)
    return ExitCode.OK if result.trim and not result.always else ExitCode.FINDINGS


def _describe_stock(
    job: Job, stock: Stock, problem: FitError | tuple[Finding, ...] | None
) -> Iterator[Said]:
    """Whether the label can be legal on a stock, and what stands against it."""
    from labelkit.order.label import describe_trim

    # What does not fit may be held up by the layout alone: the law is then not to be blamed.
    verdict = Said("can be legal") if problem is None else Said("cannot be legal")
    if isinstance(problem, FitError):
        verdict = Said("does not fit")
    yield Said(
        "The label {verdict} on this stock: {stock}"
        if stock.ready_cut
        else "The label, cut to {trim}, {verdict} on this stock: {stock}",
        trim=describe_trim(job.spec.trim),
        verdict=verdict,
        stock=Term("stock", stock.title),
    )
    if isinstance(problem, FitError):
        yield Said("  {panel}: {reason}", panel=Term("panel", problem.panel), reason=problem.reason)
        if problem.ways_out:
            yield Said("  What would help:")
            yield from (Said("    {way}", way=way) for way in problem.ways_out)
    elif problem is not None:
        yield from (_describe_finding(finding) for finding in problem)


def _describe_finding(finding: Finding) -> Said:
    return Said("  {rule}: {message}", rule=finding.rule, message=finding.message)


def _describe_smallest(job: Job, result: SmallestTrims) -> Iterator[Said]:
    from labelkit.order.label import describe_trim
    from labelkit.order.layout import READABLE_MM
    from labelkit.rules.label import name_element

    own = job.spec.trim
    yield Said(
        "{layout} for {regions}, {languages}",
        layout=job.layout.title,
        regions=FactList(job.regions, " +"),
        languages=FactList(job.spec.languages, " +"),
    )
    if result.trim is None:
        yield Said("No trim up to 400 mm is legal.")
    else:
        yield Said(
            "Smallest trim in these proportions: {trim} (now {own})",
            trim=describe_trim(result.trim),
            own=describe_trim(own),
        )
        if result.readable == result.trim:
            yield Said(
                "Every letter there is {least} mm tall or more, which most people read.",
                least=make_number(READABLE_MM),
            )
        elif result.readable is not None:
            yield Said(
                "Smallest trim on which every letter is {least} mm tall or more, which most people"
                " read: {trim}",
                least=make_number(READABLE_MM),
                trim=describe_trim(result.readable),
            )
    if result.lowest is not None:
        yield Said(
            "Smallest height at a width of {width} mm: {height} mm",
            width=make_number(own.width_mm),
            height=make_number(result.lowest.height_mm),
        )
    panel = Term("panel", result.panel)
    if result.element and result.without is not None:
        yield Said(
            'What decides it: the name of the guest "{guest}" on the {panel} (without it: {trim})'
            if result.guest
            else "What decides it: the {element} on the {panel} (without it: {trim})",
            guest=result.guest,
            element=name_element(result.element),
            panel=panel,
            trim=describe_trim(result.without),
        )
    elif result.panel:
        yield Said(
            "What decides it: the {panel} as a whole; no single element stands out", panel=panel
        )
    for name in job.panel_names[2:]:
        other = Term("panel", name)
        if job.spec.second is None:
            yield Said(
                "The {panel} is printed on the same trim, and was tried with it.", panel=other
            )
        else:
            yield Said(
                "The {panel} keeps the trim of its own: {trim}.",
                panel=other,
                trim=describe_trim(job.spec.second.trim),
            )
    if result.ways:
        yield Said("What would make it smaller:")
        for way in result.ways:
            yield Said("  {trim}  {what}", trim=describe_trim(way.trim), what=way.what)
    if result.always:
        yield Said("Whatever the size, this fails:")
        for finding in result.always:
            yield Said("  {rule}: {message}", rule=finding.rule, message=finding.message)
