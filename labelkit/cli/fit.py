"""``labelkit fit``: the smallest legal label."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.common.errors import ExitCode, FitError

if TYPE_CHECKING:
    from labelkit.checks.smallest_trim import Smallest
    from labelkit.compose.job import Job
    from labelkit.order.label import Trim
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

    Says the smallest trim in the label's own proportions and the smallest height at its own width,
    which element decides them, and what would make the label smaller. Nothing is written. Exit
    code 0: there is a legal size; 1: there is none.
    """
    from labelkit.checks.smallest_trim import on_stock, smallest
    from labelkit.common import resources
    from labelkit.job.prepare import prepare
    from labelkit.order.layout import find_layout, read_layout
    from labelkit.order.stock import find_stock

    job = prepare(label, regions)
    if layout:
        path = find_layout(layout, label.parent, resources.layouts_dir())
        job = job.with_order(layout=read_layout(path))
    if stock:
        found = find_stock(stock, label.parent)
        problem = on_stock(job, found)
        for line in _stock_lines(job, found, problem):
            click.echo(line)
        return ExitCode.OK if problem is None else ExitCode.FINDINGS
    result = smallest(job)
    for line in _lines(job, result):
        click.echo(line)
    return ExitCode.OK if result.trim and not result.always else ExitCode.FINDINGS


def _stock_lines(
    job: Job, stock: Stock, problem: FitError | tuple[Finding, ...] | None
) -> Iterator[str]:
    """Whether the label can be legal on a stock, and what stands against it."""
    what = "The label" if stock.ready_cut else f"The label, cut to {_size(job.spec.trim)},"
    # What does not fit may be held up by the layout alone: the law is then not to be blamed.
    verdict = "can be legal" if problem is None else "cannot be legal"
    if isinstance(problem, FitError):
        verdict = "does not fit"
    yield f"{what} {verdict} on this stock: {stock.title}"
    if isinstance(problem, FitError):
        yield f"  {problem.panel}: {problem.reason}"
        if problem.ways_out:
            yield "  What would help:"
            yield from (f"    {way}" for way in problem.ways_out)
    elif problem is not None:
        yield from (f"  {finding.rule}: {finding.message}" for finding in problem)


def _lines(job: Job, result: Smallest) -> Iterator[str]:
    from labelkit.rules.label import called

    own = job.spec.trim
    yield f"{job.layout.title} for {' + '.join(job.regions)}, {' + '.join(job.spec.languages)}"
    if result.trim is None:
        yield "No trim up to 400 mm is legal."
    else:
        yield f"Smallest trim in these proportions: {_size(result.trim)} (now {_size(own)})"
    if result.lowest is not None:
        yield f"Smallest height at a width of {own.width_mm:g} mm: {result.lowest.height_mm:g} mm"
    if result.element and result.without is not None:
        what = f'the name of the guest "{result.guest}"' if result.guest else ""
        yield (
            f"What decides it: {what or f'the {called(result.element)}'} on the {result.panel}"
            f" (without it: {_size(result.without)})"
        )
    elif result.panel:
        yield f"What decides it: the {result.panel} as a whole; no single element stands out"
    for panel in job.panel_names[2:]:
        if job.spec.second is None:
            yield f"The {panel} is printed on the same trim, and was tried with it."
        else:
            yield f"The {panel} keeps the trim of its own: {_size(job.spec.second.trim)}."
    if result.ways:
        yield "What would make it smaller:"
        for way in result.ways:
            yield f"  {_size(way.trim)}  {way.what}"
    if result.always:
        yield "Whatever the size, this fails:"
        for finding in result.always:
            yield f"  {finding.rule}: {finding.message}"


def _size(trim: Trim) -> str:
    return f"{round(trim.width_mm, 1):g} x {round(trim.height_mm, 1):g} mm"
