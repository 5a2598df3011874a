"""``labelkit fit``: the smallest legal label."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.errors import ExitCode, FitError

if TYPE_CHECKING:
    from labelkit.fit_trim import Smallest
    from labelkit.job import Job
    from labelkit.spec.label import Trim


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
    help="Only say whether the label can be legal on the dies of this stock.",
)  # fmt: skip
def command(label: Path, regions: tuple[str, ...], layout: str | None, stock: str | None) -> int:
    """Find the smallest legal label of a layout.

    Says the smallest trim in the label's own proportions and the smallest height at its own width,
    which element decides them, and what would make the label smaller. Nothing is written. Exit
    code 0: there is a legal size; 1: there is none.
    """
    from dataclasses import replace

    from labelkit import resources
    from labelkit.fit_trim import on_stock, smallest
    from labelkit.job import prepare
    from labelkit.spec.layout import find_layout, read_layout
    from labelkit.spec.stock import find_stock

    job = prepare(label, regions)
    if layout:
        path = find_layout(layout, label.parent, resources.layouts_dir())
        job = replace(job, layout=read_layout(path))
    if stock:
        found = find_stock(stock, label.parent)
        problem = on_stock(job, found)
        die = f"{found.title}" + (
            f", {found.die_width_mm:g} x {found.die_height_mm:g} mm" if found.ready_cut else ""
        )
        if problem is None:
            click.echo(f"{die}: the label can be legal on it")
            return ExitCode.OK
        click.echo(f"{die}: the label cannot be legal on it")
        if isinstance(problem, FitError):
            click.echo(f"  {problem}")
        else:
            for finding in problem:
                click.echo(f"  {finding.rule}: {finding.message}")
        return ExitCode.FINDINGS
    result = smallest(job)
    for line in _lines(job, result):
        click.echo(line)
    return ExitCode.OK if result.trim and not result.always else ExitCode.FINDINGS


def _lines(job: Job, result: Smallest) -> Iterator[str]:
    own = job.spec.trim
    yield f"{job.layout.title} for {' + '.join(job.regions)}, {' + '.join(job.spec.languages)}"
    if result.trim is None:
        yield "No trim up to 400 mm is legal."
    else:
        yield f"Smallest trim in these proportions: {_size(result.trim)} (now {_size(own)})"
    if result.lowest is not None:
        yield f"Smallest height at a width of {own.width_mm:g} mm: {result.lowest.height_mm:g} mm"
    if result.element and result.without is not None:
        yield (
            f"What decides it: {result.element} on the {result.panel}"
            f" (without it {_size(result.without)})"
        )
    elif result.panel:
        yield f"What decides it: the {result.panel} as a whole"
    if result.ways:
        yield "What would make it smaller:"
        for way in result.ways:
            yield f"  {_size(way.trim)}  {way.what}"
    if result.always:
        yield "Whatever the size, this fails:"
        for finding in result.always:
            yield f"  {finding.rule}: {finding.message}"


def _size(trim: Trim) -> str:
    return f"{trim.width_mm:.1f} x {trim.height_mm:.1f} mm"
