"""``labelkit plan``: the order around the labels."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.targets import describe_wrong_ending, make_file_type
from labelkit.cli.voice import say, say_all
from labelkit.common.errors import ExitCode, InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said
from labelkit.order.fields import POURS, load_table

if TYPE_CHECKING:
    from labelkit.plan.order_plan import Plan

COMMAND = "plan"
NOT_RECORDED = Said(
    "is not recorded: as it stands the recipe must not be poured. Mend it and record it then; where"
    " it was poured already, say when with --poured"
)
NOTES = load_table(POURS, "pour").fields["notes"].one_of
PAGES = ("workshop", "batch", "cost", "quote")
PRIVATE = 0o600
_ENDINGS = {"text": (".txt",), "json": (".json",), "html": (".html", ".htm"), "pdf": (".pdf",)}
"""How the file of each format may end."""


@click.command(
    COMMAND,
    epilog="Example: labelkit plan samples/lighthouse-supper/label.toml --format pdf --out p.pdf",
)
@click.argument(
    "labels", type=click.Path(path_type=Path), metavar="LABEL.toml...", nargs=-1, required=True
)
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="For this region instead of the label's own (CA, US, BE ...); may be given again.",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(list(_ENDINGS)),
    help="How to print the plan; unless given, as the name after --out ends, else as text.",
)  # fmt: skip
@click.option(
    "--out", "target", type=click.Path(path_type=Path), metavar="FILE",
    help="Write the plan to this file; needed for pdf.",
)  # fmt: skip
@click.option(
    "--page", "pages", type=click.Choice(PAGES), multiple=True,
    help="A page of the PDF, instead of all; may be given again.",
)  # fmt: skip
@click.option(
    "--language", metavar="CODE",
    help="Language of the plan (en, fr) instead of the maker's: plan.language, or the label's"
    " first.",
)  # fmt: skip
@click.option(
    "--on",
    type=parse_day_option,
    metavar=AS_WRITTEN,
    help="Plan as of this day; today unless given.",
)
@click.option(
    "--weights", type=click.Path(path_type=Path), metavar="FILE.csv",
    help="Judge pieces that were weighed: one weight a line.",
)  # fmt: skip
@click.option(
    "--ics", type=make_file_type(".ics"), metavar="FILE.ics",
    help="Also write the days as a calendar file.",
)  # fmt: skip
@click.option(
    "--record", is_flag=True,
    help="Keep this batch and its materials' lots for `labelkit trace`; again, to correct it.",
)  # fmt: skip
@click.option(
    "--poured", type=parse_day_option, metavar=AS_WRITTEN,
    help="The day it was really poured; until it is said, a record calls the day planned.",
)  # fmt: skip
@click.option(
    "--lost", type=click.IntRange(0), metavar="N",
    help="With --record, of a batch that is poured: pieces lost of it so far, kept in pours.toml.",
)  # fmt: skip
@click.option(
    "--note", "notes", type=click.Choice(NOTES), metavar="WORD", multiple=True,
    help="With --record: how it misbehaved (seized, sweated, faded ...), kept in pours.toml; may be"
    " given again.",
)  # fmt: skip
def command(
    labels: tuple[Path, ...],
    regions: tuple[str, ...],
    form: str | None,
    target: Path | None,
    pages: tuple[str, ...],
    language: str | None,
    on: dt.date | None,
    weights: Path | None,
    ics: Path | None,
    record: bool,
    poured: dt.date | None,
    lost: int | None,
    notes: tuple[str, ...],
) -> int:
    """Work out the order around the labels.

    Pieces, bars and moulds; the recipe scaled to the batch; how heavy to cut so that the declared
    weight holds on the day of sale; the days back from the event; supplies; true cost, price and a
    quote; duties beyond the label. While the cost lacks prices a quote is made only at a price that
    you name (plan.quote.price). What is not said in [plan] of label.toml or maker.toml is
    assumed, and the plan says so.

    Several LABEL.toml, or a folder of events, are laid in one calendar: where they want one mould,
    rack or pair of hands at a time, and what of one recipe can be poured together.

    Exit code 1: the plan cannot be kept as it is (too late, a weight that will not hold, a recipe
    that may leave lye over); the reasons are printed. Of a recipe that must not be poured no mass
    is given. Not legal or tax advice.
    """
    from labelkit.job.prepare import prepare_job
    from labelkit.order.weights import read_weights
    from labelkit.plan.order_plan import make_plan

    if len(labels) > 1 or labels[0].is_dir():
        other = target or pages or weights or ics or record or poured or lost is not None or notes
        if form in ("html", "pdf") or other:
            told = Said("several orders are laid in one calendar as text or json alone")
            raise click.UsageError(told)
        return _print_shared_calendar(labels, regions, form, language, on or dt.date.today())
    (label,) = labels
    form = _choose_format(form, target)
    if form == "pdf" and target is None:
        raise click.UsageError(Said("--format pdf needs --out FILE.pdf"))
    if pages and form != "pdf":
        raise click.UsageError(Said("--page is for --format pdf"))
    if (lost is not None or notes) and not record:
        raise click.UsageError(Said("--lost and --note are for --record"))
    plan = make_plan(
        prepare_job(label, regions),
        on or dt.date.today(),
        read_weights(weights) if weights else (),
        poured,
    )
    wanted = WantedPlan(form, target, pages, language, ics)
    if (lost is not None or notes) and not plan.is_poured:
        told = Said("how it went is known once it is poured; give its day with --poured")
        raise InputError(format_path(label), "", None, told)
    if record and not plan.withholds_masses:
        _record_plan(plan, wanted)
        _note_pour(plan, lost, notes)
    else:
        _show_plan(plan, _write_files(plan, wanted), wanted)
        if record:
            say(Said("{label}: {told}", label=label, told=NOT_RECORDED), err=True)
    return ExitCode.OK if plan.can_be_kept else ExitCode.FINDINGS


@dataclass(frozen=True, slots=True)
class WantedPlan:
    """How a plan is to be given."""

    form: str
    target: Path | None
    """None: it is shown."""
    pages: tuple[str, ...]
    """Of a PDF; all where empty."""
    language: str | None
    ics: Path | None


def _record_plan(plan: Plan, wanted: WantedPlan) -> None:
    """Keeps the batch and writes the plan of what was kept, both or neither; then says so."""
    from labelkit.cli.trace import describe_outcome
    from labelkit.order.maker import trace_path_of
    from labelkit.plan import trace
    from labelkit.plan.order_plan import plan_from_record

    file = trace_path_of(plan.job.spec.maker.path)
    inputs = plan.job.order.inputs
    with trace.stage_record(file, plan.record(), plan.on, inputs) as outcome:
        kept = plan_from_record(plan, outcome.entry)
        made = _write_files(kept, wanted)
    for line in describe_outcome(outcome):
        say(Said("{file}: {line}", file=file, line=line), err=True)
    if outcome.new and plan.spec.customer is not None:
        say(
            Said(
                "your customer's name, address and telephone stand in {label} alone, for a recall's"
                " letters: to remove them take [plan.customer] out of it",
                label=format_path(plan.job.spec.path),
            ),
            err=True,
        )
    _show_plan(kept, made, wanted)


def _note_pour(plan: Plan, lost: int | None, notes: tuple[str, ...]) -> None:
    """Keeps how a poured batch went; where nothing is known of it yet, says how to."""
    from labelkit.common.journal import describe_writing, journal_files, lock_journal
    from labelkit.job.work import describe_work
    from labelkit.order.pours import PourNotes, keep_pour_notes, path_of_pours

    if not plan.is_poured:
        return
    lot, mould = plan.lot, plan.spec.making.mould
    if lost is None and not notes:
        if not any(one.lot.casefold() == lot.casefold() for one in plan.job.order.pours):
            say(
                Said(
                    "how did lot {lot} go? Once you know, --record --lost 3 --note faded (or"
                    " another of {words}) keeps it in pours.toml, for the next order of this"
                    " recipe; --lost 0 where all went well",
                    lot=lot,
                    words=FactList(NOTES),
                ),
                err=True,
            )
        return
    path = path_of_pours(plan.job.spec.maker.path)
    noted = PourNotes(lot, "" if mould is None else mould.name, lost, notes)
    work = describe_work(COMMAND, plan.job.order, plan.order_code, noted=lot)
    with journal_files(work) as staged, lock_journal(staged.journal, COMMAND):
        data = path.read_bytes() if path.is_file() else b""
        staged.update(path).write(keep_pour_notes(data, noted))
        staged.commit()
    say(Said("{file}: noted how lot {lot} went", file=format_path(path), lot=lot), err=True)
    say_all(describe_writing(staged), err=True)


def _print_shared_calendar(
    labels: tuple[Path, ...],
    regions: tuple[str, ...],
    form: str | None,
    language: str | None,
    on: dt.date,
) -> int:
    from labelkit.job.prepare import prepare_job
    from labelkit.plan.order_plan import make_plan
    from labelkit.plan.shared_calendar import lay_together
    from labelkit.report.shared_calendar import format_calendar_json, format_calendar_text

    files = tuple(dict.fromkeys(file for label in labels for file in _list_labels(label)))
    made = lay_together([make_plan(prepare_job(file, regions), on) for file in files], on)
    written = format_calendar_json(made) if form == "json" else format_calendar_text(made, language)
    click.echo(written, nl=False)
    return ExitCode.OK if made.can_be_kept else ExitCode.FINDINGS


def _list_labels(path: Path) -> tuple[Path, ...]:
    """A label's file itself, or those of a folder's events; InputError where it has none."""
    if not path.is_dir():
        return (path,)
    found = tuple(sorted((*path.glob("label.toml"), *path.glob("*/label.toml"))))
    if not found:
        told = Said("has no label.toml, nor a folder with one; expected a folder of events")
        raise InputError(format_path(path), "", None, told)
    return found


def _choose_format(asked: str | None, target: Path | None) -> str:
    """The format asked for, or that of the file's name; InputError where the two disagree."""
    if target is None:
        return asked or "text"
    ends = target.suffix.lower()
    by_name = next((form for form, endings in _ENDINGS.items() if ends in endings), "text")
    allowed = _ENDINGS[asked] if asked else [one for ends in _ENDINGS.values() for one in ends]
    slip = describe_wrong_ending(target, allowed)
    if slip:
        said = Said("{slip}, as --format {asked} does", slip=slip, asked=asked) if asked else slip
        raise InputError("--out", "", str(target), said)
    return asked or by_name


@dataclass(frozen=True, slots=True)
class WrittenPlan:
    """What was written of a plan, before anything is said of it."""

    text: bytes
    """As it is shown where no file was asked for."""
    files: tuple[Path, ...]
    told: tuple[Said, ...]


def _write_files(plan: Plan, wanted: WantedPlan) -> WrittenPlan:
    """Everything is made before anything is written."""
    from labelkit.common.journal import write_outputs
    from labelkit.job.work import describe_work

    made = _render_plan(plan, wanted)
    files: dict[Path, bytes] = {} if wanted.target is None else {wanted.target: made}
    if (ics := wanted.ics) is not None:
        from labelkit.report.plan_calendar import format_plan_ics

        if ics in files:
            raise InputError(
                "--ics", "", str(ics), Said("is the file of --out; give it another name")
            )
        files[ics] = format_plan_ics(plan, wanted.language).encode()
    work = describe_work(COMMAND, plan.job.order, plan.order_code)
    told = write_outputs(files, work) if files else ()
    if wanted.target is not None and wanted.form == "pdf" and _names_customer(plan, wanted.pages):
        told = (*told, _keep_private(wanted.target))
    return WrittenPlan(made, tuple(files), told)


def _names_customer(plan: Plan, pages: tuple[str, ...]) -> bool:
    """Whether a plan on paper names who ordered: its quote alone does."""
    quoted = "quote" in pages or (not pages and plan.can_be_quoted)
    return quoted and plan.spec.customer is not None


def _keep_private(path: Path) -> Said:
    """Only its owner may read a file; says what it holds."""
    path.chmod(PRIVATE)
    return Said("{path} names your customer, and only you can read it", path=format_path(path))


def _show_plan(plan: Plan, made: WrittenPlan, wanted: WantedPlan) -> None:
    target, language = wanted.target, wanted.language
    if target is None:
        click.echo(made.text.decode(), nl=False)
    for path in made.files:
        click.echo(str(path), err=target is None)
    say_all(made.told, err=True)
    if target is not None:
        _print_worries(plan, language)
    from labelkit.report.plan_parts import describe_plan_fallback

    for line in describe_plan_fallback(plan, language):
        say(line, err=True)


def _render_plan(plan: Plan, wanted: WantedPlan) -> bytes:
    form, language = wanted.form, wanted.language
    if form == "pdf":
        from labelkit.report.plan_pdf import draw_plan_pdf

        made = [page for page in PAGES if page != "quote" or plan.can_be_quoted]
        return draw_plan_pdf(plan, language, wanted.pages or made)
    if form == "json":
        from labelkit.report.plan_json import format_plan_json

        return format_plan_json(plan, language).encode()
    from labelkit.report.plan_text import format_plan_html, format_plan_text

    return (format_plan_html if form == "html" else format_plan_text)(plan, language).encode()


def _print_worries(plan: Plan, language: str | None) -> None:
    from labelkit.report.plan_view import word_plan

    for warned in word_plan(plan, language).warned:
        for line in (warned.text, *(f"  - {way}" for way in warned.ways)):
            click.echo(line, err=True)
