"""``labelkit sheet``: the printable sheets of an event's labels."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from labelkit.cli.voice import complain, get_language, say, speak
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Said

_SHEETS_ONLY = ("start", "skip", "remember", "printer", "two_sided", "for_cutter")
"""Options that say where on a sheet labels go, and mean nothing where a page is one label."""


@click.command(
    "sheet",
    epilog="Example: labelkit sheet samples/lighthouse-supper/label.toml --out sheets",
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), required=True, metavar="DIR",
    help="Folder for front.pdf and back.pdf; it is made if need be.",
)  # fmt: skip
@click.option(
    "--guests", metavar="NAMES", multiple=True,
    help='Only the labels of these guests, such as "Ana, Bo", without spares; may be given again.',
)  # fmt: skip
@click.option(
    "--changed", is_flag=True,
    help="Only the labels of guests whose name was corrected or added since the last sheets.",
)  # fmt: skip
@click.option(
    "--start", type=click.IntRange(1, 100_000), default=None, metavar="N",
    help="First free position on a part-used sheet of ready-cut labels, counted in rows from the"
    " top left. Front and back each begin on such a sheet. Of a roll: the first label that is left,"
    " counted from its beginning; the back's follow the front's.",
)  # fmt: skip
@click.option(
    "--skip", type=click.IntRange(1, 10_000), multiple=True, metavar="N",
    help="A damaged position to leave empty on the first sheet; may be given again.",
)  # fmt: skip
@click.option(
    "--remember", is_flag=True,
    help="Begin where the last job on this stock ended (or at --start), and remember in"
    " part-used.toml where this one ends.",
)  # fmt: skip
@click.option(
    "--two-sided", type=click.Choice(["long", "short"]), default=None,
    help="Front and back on both sides of the same sheet, turned over this edge: both-sides.pdf."
    " The plan counts such sheets once with two_sided = true under [plan.labels].",
)  # fmt: skip
@click.option(
    "--printer", metavar="NAME", default=None,
    help="Correct the pages for a printer measured with labelkit calibrate; without it, for the"
    " one that maker.toml names under [defaults], if any.",
)  # fmt: skip
@click.option("--no-printer", is_flag=True, help="Correct the pages for no printer.")
@click.option(
    "--one-per-page", is_flag=True,
    help="Each page one label with its bleed, trim and bleed boxes set.",
)  # fmt: skip
@click.option(
    "--for-press", is_flag=True,
    help="For a printing works: each page one label with its bleed, as PDF/X-4, with black, every"
    " other ink and the line to cut along on plates of their own.",
)  # fmt: skip
@click.option(
    "--for-cutter", is_flag=True,
    help="The cuts as well, as SVG and DXF for a cutting machine, on the registration marks of the"
    " sheets.",
)  # fmt: skip
@click.option(
    "--leave-out-unwritten", is_flag=True,
    help="Make the labels of all guests but those whose names no font here can write, or that do"
    " not fit; they are listed, and get a spare label without a name instead.",
)  # fmt: skip
@click.option(
    "--draft", is_flag=True,
    help="Print even if the preflight fails, with a mark across every label.",
)  # fmt: skip
@click.option(
    "--unapproved", is_flag=True,
    help="Print even what was changed since the customer approved it.",
)  # fmt: skip
@click.pass_context
def command(
    context: click.Context, label: Path, folder: Path, guests: tuple[str, ...],
    start: int | None, skip: tuple[int, ...], remember: bool, two_sided: str | None,
    printer: str | None, no_printer: bool, one_per_page: bool, leave_out_unwritten: bool,
    draft: bool, changed: bool, unapproved: bool, for_press: bool, for_cutter: bool,
) -> int:  # fmt: skip
    """Make the sheets of front and back labels for an event.

    The label is preflighted first, as composed and again as read back from the finished PDF. When
    a rule is broken nothing is written and the reasons are printed (exit 1). Round, oval and arch
    labels that the stock does not cut by itself get cut-guide.pdf as well: their outlines alone.

    What the customer approved (labelkit proof --approved) is held against what would be printed:
    where words or design were changed since, nothing is written and the changes are told (exit 1).
    """
    from labelkit.cli.progress import ProgressLine
    from labelkit.job.sheets import Wish, make_sheets_of_file
    from labelkit.report.findings import format_findings_text

    if (one_per_page or for_press) and (given := [o for o in _SHEETS_ONLY if context.params[o]]):
        name, option = given[0].replace("_", "-"), "for-press" if for_press else "one-per-page"
        raise click.UsageError(
            Said("--{name} is for sheets; --{option} makes none", name=name, option=option)
        )
    if printer is not None and no_printer:
        raise click.UsageError(Said("--printer and --no-printer are given; choose one"))
    if guests and changed:
        raise click.UsageError(Said("--guests and --changed are given; choose one"))
    wish = Wish(
        start,
        skip,
        remember,
        "" if no_printer else printer,
        two_sided or "",
        one_per_page,
        for_press,
        draft,
        guests,
        for_cutter,
        changed,
        unapproved,
        dt.date.today(),
        leave_out_unwritten,
    )
    with ProgressLine(speak(Said("labelkit: labels drawn and read back"))) as progress:
        made = make_sheets_of_file(label, folder, wish, progress)
    click.echo(
        format_findings_text(made.report, problems_only=True, language=get_language()),
        err=True,
        nl=False,
    )
    for line in made.refused:
        complain(line)
    if made.refused:
        complain(Said("nothing was written"))
        return ExitCode.FINDINGS
    if not made.files and not made.summary:
        complain(Said("nothing was written; the label is not fit to print"))
        return ExitCode.FINDINGS
    for line in made.warnings:
        complain(line)
    for line in made.summary:
        say(line)
    return ExitCode.OK
