"""``labelkit preflight``: a label against the rules of its regions."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.lengths import parse_size_option
from labelkit.cli.voice import get_language, say, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Said

if TYPE_CHECKING:
    from labelkit.job.examine import Examination


@click.command(
    "preflight",
    epilog="Example: labelkit preflight samples/lighthouse-supper/label.toml --region CA",
)
@click.argument(
    "label", type=click.Path(path_type=Path), metavar="LABEL.toml", required=False, default=None
)
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
    "--face", type=parse_size_option, metavar="SIZE",
    help='Without LABEL.toml: the face of the package, such as "60 x 45 mm", to judge what shows in'
    " any PDF.",
)  # fmt: skip
@click.option(
    "--is", "named", multiple=True, metavar="TEXT=NAME",
    help='Without LABEL.toml: what a text is, such as "40 g=net-quantity" or "SAVON=identity:fr";'
    " may be given again.",
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
    label: Path | None,
    regions: tuple[str, ...],
    on: dt.date | None,
    form: str,
    pdfs: tuple[Path, ...],
    face: tuple[Decimal, Decimal] | None,
    named: tuple[str, ...],
    pictures: Path | None,
    language: str | None,
    strict: bool,
    timeline: bool,
) -> int:
    """Check a label against the rules of the regions it is sold in.

    Every finding names the rule, what was measured against what is required, the law it comes
    from, and how to put it right. Exit code 0: nothing fails; 1: something fails; 2: the input
    cannot be used. This is a help for makers, not legal advice.

    A PDF that was made elsewhere is judged by what shows on it, without LABEL.toml: --pdf FILE
    --region CODE --face SIZE. It says what it cannot know, and --is tells it which text is what.
    """
    from labelkit.job.examine import examine_label
    from labelkit.report import findings as report

    if label is None:
        if pictures is not None or timeline:
            raise click.UsageError(Said("--pictures and --timeline go with LABEL.toml"))
        return _judge_what_shows(pdfs, regions, face, named, on, form, strict)
    if face is not None or named:
        raise click.UsageError(Said("--face and --is are for a PDF without LABEL.toml"))
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


def _judge_what_shows(
    pdfs: tuple[Path, ...],
    regions: tuple[str, ...],
    face: tuple[Decimal, Decimal] | None,
    named: tuple[str, ...],
    on: dt.date | None,
    form: str,
    strict: bool,
) -> int:
    """A PDF of which there is no order."""
    from labelkit.job.foreign_pdf import examine_foreign_pdfs, parse_named_text
    from labelkit.report import findings as report

    if not pdfs or not regions or face is None:
        raise click.UsageError(
            Said("give LABEL.toml, or a PDF that was made elsewhere: --pdf, --region and --face")
        )
    texts = [parse_named_text(one) for one in named]
    found = examine_foreign_pdfs(pdfs, regions, face, texts, on or dt.date.today(), strict)
    spoken = get_language()
    if form == "json":
        click.echo(report.format_findings_json(found, spoken))
    elif form == "html":
        click.echo(report.format_findings_html(found, pdfs[0].name, spoken), nl=False)
    else:
        click.echo(report.format_findings_text(found, language=spoken), nl=False)
    return ExitCode.OK if found.verdict == "pass" else ExitCode.FINDINGS


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
