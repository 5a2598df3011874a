"""``labelkit preflight``: a label against the rules of its regions."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.voice import say, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Said

if TYPE_CHECKING:
    from labelkit.job.examine import Examination


@click.command(
    "preflight",
    epilog="Example: labelkit preflight samples/lighthouse-supper/label.toml --region CA",
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="Check for this region instead of the label's own (CA, US, BE ...); may be given again.",
)  # fmt: skip
@click.option(
    "--on", type=parse_day_option, metavar=AS_WRITTEN,
    help="Check as of this day instead of the day of sale.",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json", "html"]), default="text",
    show_default=True, help="How to print the findings.",
)  # fmt: skip
@click.option(
    "--pdf", "pdfs", type=click.Path(path_type=Path), multiple=True, metavar="FILE",
    help="Check the labels in a finished PDF, read back as it prints; may be given again.",
)  # fmt: skip
@click.option(
    "--pictures", type=click.Path(path_type=Path), metavar="FOLDER",
    help="With --pdf: write pictures of labels whose ink is not as composed into this folder.",
)  # fmt: skip
@click.option(
    "--language", metavar="CODE",
    help="Language of the findings (en, fr) instead of the maker's: plan.language, or the label's"
    " first.",
)  # fmt: skip
@click.option("--strict", is_flag=True, help="Let rules known only from memory fail a label too.")
@click.option("--timeline", is_flag=True, help="Print for every date the law changes what changes.")
def command(
    label: Path,
    regions: tuple[str, ...],
    on: dt.date | None,
    form: str,
    pdfs: tuple[Path, ...],
    pictures: Path | None,
    language: str | None,
    strict: bool,
    timeline: bool,
) -> int:
    """Check a label against the rules of the regions it is sold in.

    Every finding names the rule, what was measured against what is required, the law it comes
    from, and how to put it right. Exit code 0: nothing fails; 1: something fails; 2: the input
    cannot be used. This is a help for makers, not legal advice.
    """
    from labelkit.job.examine import examine_label
    from labelkit.report import findings as report

    if timeline and form == "html":
        raise click.UsageError(Said("--timeline is for text and json"))
    if pictures is not None and not pdfs:
        raise click.UsageError(Said("--pictures goes with --pdf"))
    seen = examine_label(label, regions, on, pdfs, strict, dt.date.today())
    spoken = report.choose_language(seen.job.spec, language)
    if timeline:
        days = seen.timeline(strict)
        told = [change.finding for day in days for change in day.changes if change.finding]
        if form == "json":
            click.echo(report.format_timeline_json(days, seen.report.regions, spoken))
        else:
            click.echo(report.format_timeline_text(days, seen.report.regions, spoken), nl=False)
    else:
        told = list(seen.report.findings)
        if form == "json":
            click.echo(report.format_findings_json(seen.report, spoken))
        elif form == "html":
            click.echo(report.format_findings_html(seen.report, seen.title, spoken), nl=False)
        else:
            click.echo(report.format_findings_text(seen.report, language=spoken), nl=False)
    for line in report.describe_finding_fallback(seen.job.spec, told, language):
        say(line, err=True)
    if pictures is not None:
        _write_pictures(seen, pictures)
    return ExitCode.OK if timeline or seen.report.verdict == "pass" else ExitCode.FINDINGS


def _write_pictures(seen: Examination, folder: Path) -> None:
    """Where ink is not as composed: a label as expected, as found, and where the two differ."""
    from labelkit.common.journal import write_outputs
    from labelkit.job.work import describe_work

    if not seen.pictures:
        say(Said("no pictures: the ink is as composed"), err=True)
        return
    files = {folder / name: data for name, data in seen.pictures.items()}
    say_all(write_outputs(files, describe_work("preflight", seen.job.order)), err=True)
    for path in files:
        click.echo(path, err=True)
