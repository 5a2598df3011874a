"""``labelkit fit``: the smallest legal label."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.common.errors import ExitCode, FitError

if TYPE_CHECKING:
    from labelkit.checks.smallest_trim import SmallestTrims
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

    Says the smallest trim in the label's own proportions, the smallest that is easily read, and the
    smallest height at its own width, which element decides them, and what would make the label
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
            click.echo(line)
        return ExitCode.OK if problem is None else ExitCode.FINDINGS
    result = find_smallest_trims(job)
    for line in _describe_smallest(job, result):
        click.echo(line)
    return ExitCode.OK if result.trim and not result.always else ExitCode.FINDINGS


def _describe_stock(
    job: Job, stock: Stock, problem: FitError | tuple[Finding, ...] | None
) -> Iterator[str]:
    """Whether the label can be legal on a stock, and what stands against it."""
    what = (
        "The label" if stock.ready_cut else f"The label, cut to {_format_trim_size(job.spec.trim)},"
    )
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


def _describe_smallest(job: Job, result: SmallestTrims) -> Iterator[str]:
    from labelkit.order.layout import READABLE_MM
    from labelkit.rules.label import name_element

    own = job.spec.trim
    yield f"{job.layout.title} for {' + '.join(job.regions)}, {' + '.join(job.spec.languages)}"
    if result.trim is None:
        yield "No trim up to 400 mm is legal."
    else:
        yield (
            f"Smallest trim in these proportions: {_format_trim_size(result.trim)}"
            f" (now {_format_trim_size(own)})"
        )
        if result.readable == result.trim:
            yield f"Every letter there is {READABLE_MM:g} mm tall or more, which most people read."
        elif result.readable is not None:
            yield (
                f"Smallest trim on which every letter is {READABLE_MM:g} mm tall or more, which"
                f" most people read: {_format_trim_size(result.readable)}"
            )
    if result.lowest is not None:
        yield f"Smallest height at a width of {own.width_mm:g} mm: {result.lowest.height_mm:g} mm"
    if result.element and result.without is not None:
        what = f'the name of the guest "{result.guest}"' if result.guest else ""
        yield (
            f"What decides it: {what or f'the {name_element(result.element)}'}"
            f" on the {result.panel}"
            f" (without it: {_format_trim_size(result.without)})"
        )
    elif result.panel:
        yield f"What decides it: the {result.panel} as a whole; no single element stands out"
    for panel in job.panel_names[2:]:
        if job.spec.second is None:
            yield f"The {panel} is printed on the same trim, and was tried with it."
        else:
            yield (
                f"The {panel} keeps the trim of its own: {_format_trim_size(job.spec.second.trim)}."
            )
    if result.ways:
        yield "What would make it smaller:"
        for way in result.ways:
            yield f"  {_format_trim_size(way.trim)}  {way.what}"
    if result.always:
        yield "Whatever the size, this fails:"
        for finding in result.always:
            yield f"  {finding.rule}: {finding.message}"


def _format_trim_size(trim: Trim) -> str:
    return f"{round(trim.width_mm, 1):g} x {round(trim.height_mm, 1):g} mm"
