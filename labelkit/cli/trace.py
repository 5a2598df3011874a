"""``labelkit trace``: where a lot of material went."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.common.errors import ExitCode
from labelkit.common.quantity import format_plain_grams

if TYPE_CHECKING:
    from labelkit.plan.lotcode import LotMatch
    from labelkit.plan.recall import Recall
    from labelkit.plan.trace import BatchRecord, RecordedState, RecordingOutcome


@click.command("trace", epilog="Example: labelkit trace OL-0311 --maker workshop/maker.toml")
@click.argument("lot", metavar="[LOT]", required=False)
@click.option(
    "--maker", type=click.Path(path_type=Path), default=Path("maker.toml"), show_default=True,
    metavar="FILE", help="The maker's file, beside which the record is kept.",
)  # fmt: skip
@click.option("--list", "everything", is_flag=True, help="List every batch that is recorded.")
@click.option(
    "--withdraw", is_flag=True,
    help="Mark what is recorded of the batch LOT as wrong; it stays readable, with the day.",
)  # fmt: skip
@click.option(
    "--event", metavar="NAME", default="",
    help="With --withdraw, for a batch of several events: the names, the date or the label's file.",
)  # fmt: skip
@click.option("--reason", metavar="TEXT", default="", help="With --withdraw: why.")
@click.option(
    "--on",
    type=parse_day_option,
    metavar=AS_WRITTEN,
    help="With --withdraw: the day; today unless given.",
)
@click.option(
    "--letters", type=click.Path(path_type=Path), metavar="FOLDER",
    help="Write a recall letter for each event that used LOT, and a list of whom to call, into a"
    " folder that only you can read.",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print what was found.",
)  # fmt: skip
def command(
    lot: str | None, maker: Path, everything: bool, withdraw: bool, event: str, reason: str,
    on: dt.date | None, letters: Path | None, form: str,
) -> int:  # fmt: skip
    """Find every event that used a supplier's lot, or a batch by its own lot code.

    `labelkit plan LABEL.toml --record` keeps the record: the batch, its materials with their lots,
    the event its labels went to, and pieces sent elsewhere ([[plan.sent]] in label.toml). What was
    corrected or withdrawn since is found as well, and says so.

    Records of other maker.toml files near this one (one folder up, beside and one folder down) are
    searched as well, and named. One maker.toml for all events keeps one record.
    """
    from labelkit.plan import trace
    from labelkit.plan.recall import recall_lot

    path = trace.trace_path_of(maker)
    if everything == bool(lot):
        raise click.UsageError("expected a LOT, or --list for everything")
    if not withdraw and (event or reason or on):
        raise click.UsageError("--event, --reason and --on are for --withdraw")
    if withdraw:
        if not lot:
            raise click.UsageError("--withdraw needs the batch's own LOT")
        entry = trace.withdraw_batch(path, lot, event, on or dt.date.today(), reason)
        click.echo(f"{path}: withdrew lot {entry.lot}, {entry.names}, {entry.date}")
        return ExitCode.OK
    if lot is not None and not lot.strip():
        raise click.UsageError("expected a LOT, or --list for everything")
    if letters is not None and (withdraw or not lot):
        raise click.UsageError("--letters needs the recalled LOT")
    done = recall_lot(path, lot or "")
    if form == "json":
        click.echo(json.dumps(_build_recall(done, lot or ""), ensure_ascii=False, indent=2))
    else:
        for line in _describe_lot(lot, done, path) if lot else _list_batches(done, path):
            click.echo(line)
    for line in _describe_search(path, done):
        click.echo(line, err=True)
    if letters is not None and lot:
        _write_letters(letters, done, lot)
    return ExitCode.OK


def _write_letters(folder: Path, done: Recall, lot: str) -> None:
    """A letter for each order that used exactly this lot, and the list of customers; they are
    private, and where they lie and how they go is told."""
    from labelkit.common.errors import InputError
    from labelkit.common.files import make_folder, write_files
    from labelkit.order.label import read_label
    from labelkit.plan.lotcode import LotMatch
    from labelkit.plan.trace import match_lot_in_record
    from labelkit.report.recall_letter import draw_recall_letter, list_customers, make_recall_letter

    if folder.exists():
        raise InputError(str(folder), "", None, "is already there; choose a new folder")
    made, missing = [], []
    for path, states in done.found.items():
        for state in states:
            if not state.stands or match_lot_in_record(state.record, lot) is not LotMatch.EXACT:
                continue
            try:
                spec = read_label(path.parent / state.record.label)
            except InputError as error:
                missing.append(f"{state.record.label}: {error.expected}")
                continue
            made.append(make_recall_letter(spec, state.record))
    make_folder(folder)
    folder.chmod(0o700)
    files = {
        folder / f"recall-{number:03}.pdf": draw_recall_letter(letter)
        for number, letter in enumerate(made, start=1)
    }
    heading = "date\tevent\tpieces\tcustomer\ttelephone"
    files[folder / "customers.tsv"] = "\n".join([heading, *list_customers(made), ""]).encode()
    write_files(files)
    for file in files:
        file.chmod(0o600)
        click.echo(f"{file}")
    for line in missing:
        click.echo(f"no letter for {line}", err=True)
    click.echo(
        f"{folder} holds names and telephone numbers, and only you can read it: remove the folder"
        " once everyone is told",
        err=True,
    )


def _list_batches(done: Recall, path: Path) -> Iterator[str]:
    """Every batch, by the record it stands in."""
    for record, states in done.found.items():
        if record != path and states:
            yield f"In {record}:"
        yield from map(_format_batch_line, states)


def _describe_lot(lot: str, done: Recall, path: Path) -> Iterator[str]:
    """What used a lot; then, told as such, what used one that is read alike."""
    from labelkit.plan.lotcode import LotMatch
    from labelkit.plan.recall import collect_near_lots, list_lots_read_alike

    exact = list(_describe_matches(lot, done, path, LotMatch.EXACT))
    near = list(_describe_matches(lot, done, path, LotMatch.NEAR))
    if not exact:
        meant = collect_near_lots(done, lot) if not near else ()
        hint = f" Did you mean {', '.join(meant)}?" if meant else ""
        yield f"No event used lot {lot.strip()}{', written so' if near else ''}.{hint}"
    yield from exact
    if near:
        yield (
            f"NEAR MATCH, not the same: {', '.join(list_lots_read_alike(done, lot))}."
            " Only letter case,"
            f" blanks or marks differ from {lot.strip()}, or letters that look like figures"
            " (O and 0; I, L and 1): check which lot is meant."
        )
        yield from near


def _describe_matches(lot: str, done: Recall, path: Path, match: LotMatch) -> Iterator[str]:
    from labelkit.plan.trace import match_lot_in_record

    for record, states in done.found.items():
        meant = [state for state in states if match_lot_in_record(state.record, lot) is match]
        if record != path and meant:
            yield f"In {record}:"
        for state in meant:
            yield from _describe_batch(state, lot)


def _describe_search(path: Path, done: Recall) -> Iterator[str]:
    """In which records was looked, and in which not."""
    others = [str(record) for record in done.found if record != path]
    beside = f" and, near it, {', '.join(others)}" if others else ""
    if path in done.found:
        yield f"searched {path}{beside}"
    else:
        yield f"there is no {path}; searched{beside.removeprefix(' and, near it,')}"
    if len(done.found) > 1:
        yield "these are several records: one maker.toml for all events keeps them in one"
    for record, reason in done.unread.items():
        yield f"NOT searched: {record}: {reason}"


def describe_outcome(outcome: RecordingOutcome) -> Iterator[str]:
    """What recording did, and what is left to say."""
    from labelkit.plan.trace import describe_pouring

    entry = outcome.entry
    if outcome.new:
        yield f"recorded lot {entry.lot}, {describe_pouring(entry)}"
    elif outcome.changes:
        yield f"corrected lot {entry.lot}: {'; '.join(outcome.changes)}"
    else:
        yield f"lot {entry.lot} is recorded so already"
    if not entry.planned and (outcome.new or outcome.changes):
        yield f"lot {entry.lot} is poured: its amounts stay as recorded, whatever the files say"
    if outcome.otherwise:
        yield (
            f"its amounts are those of the files today, not of the plan recorded before; if that"
            f" was poured, put the files back, then labelkit trace {entry.lot} --withdraw, and"
            " record it again"
        )
    if outcome.kept_day:
        yield (
            f"lot {entry.lot} stays poured {entry.poured}, as confirmed; write poured_on ="
            f" {entry.poured} in [plan], and the plan counts from it"
        )
    elif entry.planned:
        yield "once it is poured, record it again with --poured and the day"
    for other in outcome.beside:
        yield (
            f"also recorded for {entry.label}: lot {other.lot}, {other.names}, {other.date}; if"
            f" that is wrong: labelkit trace {other.lot} --withdraw"
        )


def _build_recall(done: Recall, lot: str) -> dict[str, Any]:
    return {
        **(_build_lot_asked_for(done, lot) if lot else {}),
        "searched": [str(record) for record in done.found],
        "not_searched": {str(record): reason for record, reason in done.unread.items()},
        "events": [
            {"record": str(record), **_build_batch(state, lot)}
            for record, states in done.found.items()
            for state in states
        ],
    }


def _build_lot_asked_for(done: Recall, lot: str) -> dict[str, Any]:
    """The lot, with those near it that are shown and, where nothing is, those it may be."""
    from labelkit.plan.recall import collect_near_lots, list_lots_read_alike

    meant = () if any(done.found.values()) else collect_near_lots(done, lot)
    return {
        "lot": lot.strip(),
        "near": list(list_lots_read_alike(done, lot)),
        "did_you_mean": list(meant),
    }


def _format_batch_line(state: RecordedState) -> str:
    """A batch and its event on one line."""
    from labelkit.plan.trace import describe_pouring

    entry = state.record
    if state.withdrawn:
        note = f"; withdrawn {state.ended}"
    else:
        note = "; corrected" if state.number != state.entry else ""
    return (
        f"{entry.date}  {entry.lot}, {describe_pouring(entry)};"
        f" {entry.labels} labels{_format_net_weight(entry)};"
        f" {entry.names} ({entry.label}){note}"
    )


def _format_net_weight(entry: BatchRecord) -> str:
    return "" if entry.net_weight_g is None else f" of {format_plain_grams(entry.net_weight_g)} net"


def _format_order_code(entry: BatchRecord) -> str:
    return f", order {entry.order_code}" if entry.order_code else ""


def _describe_batch(state: RecordedState, lot: str) -> Iterator[str]:
    from labelkit.plan.trace import describe_lots, describe_pouring, describe_sent

    entry = state.record
    place = f", {entry.place}" if entry.place else ""
    yield f"{_format_standing(state)}{entry.date}  {entry.names}{place}"
    yield (
        f"    batch {entry.lot}, {describe_pouring(entry)}: {entry.recipe};"
        f" {entry.labels} labels{_format_net_weight(entry)}"
        f" ({entry.label}{_format_order_code(entry)})"
    )
    for material in entry.materials:
        if _has_lot(material.lots, lot) or (_has_lot((entry.lot,), lot) and material.lots):
            mass = format_plain_grams(material.mass_g)
            yield f"    {mass} of {material.name}, lot {describe_lots(material.lots)}"
    for sent in entry.sent:
        yield f"    {describe_sent(sent)}"
    yield f"    {_describe_history(state)}"


def _format_standing(state: RecordedState) -> str:
    if state.stands:
        return ""
    return "WITHDRAWN: " if state.withdrawn else "SUPERSEDED: "


def _describe_history(state: RecordedState) -> str:
    """Since when it is recorded, until when it stood, and what was said after it."""
    recorded = f"recorded {state.recorded}" if state.recorded else "recorded on a day not kept"
    if state.stands:
        return recorded
    if state.withdrawn:
        return f"{recorded}, withdrawn {state.ended}" + (
            f": {state.reason}" if state.reason else ""
        )
    return f"{recorded}, superseded {state.ended}: {'; '.join(state.changes)}"


def _build_batch(state: RecordedState, lot: str) -> dict[str, Any]:
    from labelkit.plan.trace import match_lot_in_record

    entry = state.record
    return {
        **({"match": match_lot_in_record(entry, lot)} if lot else {}),
        "status": "stands" if state.stands else "withdrawn" if state.withdrawn else "superseded",
        "event": entry.names,
        "date": entry.date.isoformat(),
        "place": entry.place,
        "label": entry.label,
        "labels": entry.labels,
        "net_grams": None if entry.net_weight_g is None else float(entry.net_weight_g),
        "order": entry.order_code,
        "batch": entry.lot,
        "recipe": entry.recipe,
        "poured": entry.poured.isoformat(),
        "planned": entry.planned,
        "materials": [
            {
                "material": m.name,
                "lots": list(m.lots),
                "grams": float(m.mass_g),
                "asked": _has_lot(m.lots, lot),
            }
            for m in entry.materials
        ],
        "sent": [
            {"pieces": s.pieces, "to": s.to, "on": s.on.isoformat() if s.on else None}
            for s in entry.sent
        ],
        "recorded": state.recorded.isoformat() if state.recorded else None,
        "ended": state.ended.isoformat() if state.ended else None,
        "reason": state.reason,
        "changes": list(state.changes),
    }


def _has_lot(lots: Sequence[str], lot: str) -> bool:
    """Whether one of these lots is the one asked for, or near it."""
    from labelkit.plan.lotcode import match_lots

    return any(match_lots(one, lot) for one in lots)
