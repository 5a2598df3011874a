"""``labelkit proof``: what the customer signs, and that she did."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.targets import make_file_type
from labelkit.cli.voice import complain, say, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.messages import Day, Said, Term

if TYPE_CHECKING:
    from labelkit.compose.job import Job
    from labelkit.job.proof import Proof

COMMAND = "proof"


@click.command(
    COMMAND,
    epilog="Example: labelkit proof samples/lighthouse-supper/label.toml --out proof.pdf",
)
@click.argument("label", type=click.Path(path_type=Path), metavar="LABEL.toml")
@click.option(
    "--out", "target", type=make_file_type(".pdf", ".png"), metavar="FILE.pdf",
    help="The customer's part; the maker's goes beside it as FILE-maker.pdf. FILE.png writes each"
    " page as a picture instead, FILE-1.png and so on.",
)  # fmt: skip
@click.option(
    "--for", "reader", type=click.Choice(["customer", "maker"]), default=None,
    help="Only the part for her, as FILE.pdf.",
)  # fmt: skip
@click.option(
    "--png", "png_folder", type=click.Path(path_type=Path), metavar="DIR",
    help="Also write each page as a picture at 600 dpi into this folder.",
)  # fmt: skip
@click.option(
    "--language", metavar="CODE",
    help="Language of the captions (en, fr) instead of plan.language, or the label's first.",
)  # fmt: skip
@click.option(
    "--approved", "code", metavar="CODE",
    help="Record that the customer approved the proof with this code, beside the label file.",
)  # fmt: skip
@click.option(
    "--leave-out-unwritten", is_flag=True,
    help="Show the others where a guest's name cannot be set: that label has no name, and both are"
    " told whose.",
)  # fmt: skip
@click.option(
    "--on", type=parse_day_option, metavar=AS_WRITTEN,
    help="With --approved: the day on which she did; today unless given.",
)  # fmt: skip
def command(
    label: Path, target: Path | None, reader: str | None, png_folder: Path | None,
    language: str | None, code: str | None, leave_out_unwritten: bool, on: dt.date | None,
) -> int:  # fmt: skip
    """Make the proof of a label, or record that the customer approved it.

    The customer's part shows every panel at actual size and enlarged, the guests' names, the
    order's code and a place to sign. The maker's part holds the printed letter heights beside
    their legal minimum, the order of the ingredients with their masses, and the findings of the
    preflight. A label that is not fit to print has the maker's part alone, and the exit code is 1.

    The code stands for all that the customer sees: when a word, a name, a colour, a size or the
    design changes, so does the code, and `labelkit sheet` says what was changed.
    """
    from labelkit.job.prepare import prepare_job
    from labelkit.job.proof import draw_proof

    if target is None and code is None:
        raise click.UsageError(Said("expected --out FILE.pdf, or --approved CODE"))
    if target is None and (png_folder or reader):
        raise click.UsageError(Said("--png and --for need --out FILE.pdf"))
    if on is not None and code is None:
        raise click.UsageError(Said("--on is for --approved"))
    job = prepare_job(label)
    day = on or dt.date.today()
    if code is not None and not _record_approval(job, code, day, leave_out_unwritten):
        return ExitCode.FINDINGS
    if target is None:
        return ExitCode.OK
    proof = draw_proof(job, language, leave_out_unwritten)
    _write_proof(job, proof, target, reader, png_folder)
    for note in proof.notes:
        click.echo(note, err=True)
    for line in proof.fallbacks:
        say(line, err=True)
    say(Said("Preflight: {verdict}", verdict=Term("verdict", proof.report.verdict)))
    return ExitCode.OK if proof.report.verdict == "pass" else ExitCode.FINDINGS


def _record_approval(job: Job, code: str, on: dt.date, leave_out_unwritten: bool) -> bool:
    """Writes the approval of a label that is fit; InputError for a code that is not its order's.

    Whether it was written.
    """
    from labelkit.compose.fingerprint import make_job_code
    from labelkit.job.api import record_approval
    from labelkit.plan.approval import approval_path_of

    label = job.spec.path
    if not record_approval(job.order, code, on, leave_out_unwritten):
        complain(
            Said(
                "no approval of a label that is not fit: labelkit preflight {label} says why",
                label=label,
            )
        )
        return False
    say(
        Said(
            "{path}: {code} approved on {on}",
            path=approval_path_of(label),
            code=make_job_code(job),
            on=Day(on),
        )
    )
    return True


def _write_proof(
    job: Job, proof: Proof, target: Path, reader: str | None, png_folder: Path | None
) -> None:
    """The parts that there are and that are wanted, all their files at once."""
    from labelkit.common.journal import write_outputs
    from labelkit.compose.fingerprint import make_job_code
    from labelkit.job.proof import CUSTOMER, MAKER, PNG_DPI, render_png_pages
    from labelkit.job.work import describe_work

    makers = target if reader == MAKER else target.with_stem(f"{target.stem}-{MAKER}")
    places = {CUSTOMER: target, MAKER: makers}
    files: dict[Path, bytes] = {}
    for who, data in proof.parts.items():
        path = places[who]
        if reader not in (None, who):
            continue
        folder = png_folder
        if target.suffix.lower() == ".png":
            folder = png_folder or target.parent
        else:
            files[path] = data
        if folder is not None:
            files |= render_png_pages(data, folder, path.stem, PNG_DPI)
    replaced = write_outputs(files, describe_work(COMMAND, job.order, make_job_code(job)))
    for path in files:
        click.echo(path)
    say_all(replaced, err=True)
    if CUSTOMER not in proof.parts and reader != MAKER:
        told = Said(
            "the customer gets no proof of a label that is not fit to print; {target} is of an"
            " earlier run"
            if target.is_file()
            else "the customer gets no proof of a label that is not fit to print",
            target=target,
        )
        say(told, err=True)
