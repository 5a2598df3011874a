"""``labelkit sheet``: the printable sheets of an event's labels."""

from __future__ import annotations

from pathlib import Path

import click

from labelkit.errors import ExitCode


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
    "--start", type=click.IntRange(1, 10_000), default=1, show_default=True, metavar="N",
    help="First free position on a part-used sheet, counted in rows from the top left.",
)  # fmt: skip
@click.option(
    "--skip", type=click.IntRange(1, 10_000), multiple=True, metavar="N",
    help="A damaged position to leave empty on the first sheet; may be given again.",
)  # fmt: skip
@click.option(
    "--draft", is_flag=True,
    help="Print even if the preflight fails, with a mark across every label.",
)  # fmt: skip
def command(label: Path, folder: Path, start: int, skip: tuple[int, ...], draft: bool) -> int:
    """Make the sheets of front and back labels for an event.

    The label is preflighted first, as composed and again as read back from the finished PDF. When
    a rule is broken nothing is written and the reasons are printed (exit 1).
    """
    from labelkit.press import make_sheets
    from labelkit.report.render import findings_text

    made = make_sheets(label, folder, start, skip, draft)
    click.echo(findings_text(made.report, problems_only=True), err=True, nl=False)
    if not made.files:
        click.echo("labelkit: nothing was written; the label is not fit to print", err=True)
        return ExitCode.FINDINGS
    for line in made.summary:
        click.echo(line)
    return ExitCode.OK
