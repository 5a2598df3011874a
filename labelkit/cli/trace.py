"""``labelkit trace``: where a lot of material went."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.voice import say, say_all
from labelkit.common.errors import ExitCode
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import NOTHING, Day, FactList, Said, Term, count_things
from labelkit.common.quantity import round_grams

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
    help="With --withdraw or --letters: the day; today unless given.",
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

    Exit code 1: the search is not complete; a record or a folder could not be read, or a batch is
    missing that the journal says was recorded. More events may have used the lot.
    """
    from labelkit.order.maker import trace_path_of
    from labelkit.plan import trace
    from labelkit.plan.recall import recall_lot

    path = trace_path_of(maker)
    if everything == bool(lot):
        raise click.UsageError(Said("expected a LOT, or --list for everything"))
    if not withdraw and (event or reason or (on and letters is None)):
        raise click.UsageError(Said("--event, --reason and --on are for --withdraw"))
    if withdraw:
        if not lot:
            raise click.UsageError(Said("--withdraw needs the batch's own LOT"))
        entry = trace.withdraw_batch(path, lot, event, on or dt.date.today(), reason)
        say(
            Said(
                "{path}: withdrew lot {lot}, {names}, {date}",
                path=path,
                lot=entry.lot,
                names=entry.names,
                date=Day(entry.date),
            )
        )
        return ExitCode.OK
    if lot is not None and not lot.strip():
        raise click.UsageError(Said("expected a LOT, or --list for everything"))
    if letters is not None and (withdraw or not lot):
        raise click.UsageError(Said("--letters needs the recalled LOT"))
    done = recall_lot(path, lot or "")
    if form == "json":
        click.echo(format_json(_build_recall(done, lot or "")))
    else:
        if lot:
            say_all(_describe_supplier(lot, maker))
        for line in _describe_lot(lot, done, path) if lot else _list_batches(done, path):
            say(line)
    for line in _describe_search(path, done):
        say(line, err=True)
    if letters is not None and lot:
        _write_letters(letters, done, lot, on or dt.date.today())
    return ExitCode.OK if done.complete else ExitCode.FINDINGS


def _write_letters(folder: Path, done: Recall, lot: str, on: dt.date) -> None:
    """A letter for each order that used exactly this lot, and the list of customers; they are
    private, and where they lie and how they go is told."""
    from labelkit.common.errors import InputError, format_path
    from labelkit.common.journal import Work, find_workshop, write_outputs
    from labelkit.order.label import read_label
    from labelkit.plan.lotcode import LotMatch
    from labelkit.plan.trace import match_lot_in_record
    from labelkit.report.recall_letter import draw_recall_letter, list_customers, make_recall_letter

    if folder.exists():
        told = Said("is already there; choose a new folder")
        raise InputError(format_path(folder), "", None, told)
    made, missing = [], []
    for path, states in done.found.items():
        for state in states:
            if not state.stands or match_lot_in_record(state.record, lot) is not LotMatch.EXACT:
                continue
            label = state.record.label
            try:
                spec = read_label(path.parent / label)
            except InputError as error:
                missing.append(
                    Said("no letter for {label}: {reason}", label=label, reason=error.expected)
                )
                continue
            made.append(make_recall_letter(spec, state.record, on))
    folder.mkdir(mode=0o700, parents=True)
    folder.chmod(0o700)
    files = {
        folder / f"recall-{number:03}.pdf": draw_recall_letter(letter)
        for number, letter in enumerate(made, start=1)
    }
    heading = "date\tevent\tpieces\tcustomer\ttelephone"
    files[folder / "customers.tsv"] = "\n".join([heading, *list_customers(made), ""]).encode()
    told_all = write_outputs(files, Work("trace", find_workshop(folder)))
    for file in files:
        file.chmod(0o600)
        click.echo(file)
    say_all([*told_all, *missing], err=True)
    say(
        Said(
            "{folder} holds names and telephone numbers, and only you can read it: remove the"
            " folder once everyone is told",
            folder=format_path(folder),
        ),
        err=True,
    )


def _list_batches(done: Recall, path: Path) -> Iterator[Said]:
    """Every batch, by the record it stands in."""
    for record, states in done.found.items():
        if record != path and states:
            yield Said("In {record}:", record=record)
        yield from map(_describe_batch_shortly, states)


def _describe_lot(lot: str, done: Recall, path: Path) -> Iterator[Said]:
    """What used a lot; then, told as such, what used one that is read alike."""
    from labelkit.plan.lotcode import LotMatch
    from labelkit.plan.recall import collect_near_lots, list_lots_read_alike

    exact = list(_describe_matches(lot, done, path, LotMatch.EXACT))
    near = list(_describe_matches(lot, done, path, LotMatch.NEAR))
    if not exact:
        meant = collect_near_lots(done, lot) if not near else ()
        if near:
            yield Said("No event used lot {lot}, written so.", lot=lot.strip())
        elif meant:
            yield Said(
                "No event used lot {lot}. Did you mean {meant}?",
                lot=lot.strip(),
                meant=FactList(meant),
            )
        else:
            yield Said("No event used lot {lot}.", lot=lot.strip())
    yield from exact
    if near:
        yield Said(
            "NEAR MATCH, not the same: {listed}. Only letter case, blanks or marks differ from"
            " {lot}, or letters that look like figures (O and 0; I, L and 1): check which lot is"
            " meant.",
            listed=FactList(list_lots_read_alike(done, lot)),
            lot=lot.strip(),
        )
        yield from near


def _describe_supplier(lot: str, maker: Path) -> Iterator[Said]:
    """Who sent a lot, as the shelf beside the maker's file knows it."""
    from labelkit.order.shelf import path_of_shelf, read_shelf
    from labelkit.plan.lotcode import LotMatch, match_lots

    shelf = read_shelf(path_of_shelf(maker))
    for item in shelf.items if shelf else ():
        for one in item.lots:
            if match_lots(one.lot, lot) is LotMatch.EXACT and item.supplier:
                yield Said(
                    "Lot {lot} is {item} of {supplier}, received {day}."
                    if one.received
                    else "Lot {lot} is {item} of {supplier}.",
                    lot=one.lot,
                    item=item.item,
                    supplier=item.supplier,
                    day=Day(one.received) if one.received else "",
                )


def _describe_matches(lot: str, done: Recall, path: Path, match: LotMatch) -> Iterator[Said]:
    from labelkit.plan.trace import match_lot_in_record

    for record, states in done.found.items():
        meant = [state for state in states if match_lot_in_record(state.record, lot) is match]
        if record != path and meant:
            yield Said("In {record}:", record=record)
        for state in meant:
            yield from _describe_batch(state, lot)


def _describe_search(path: Path, done: Recall) -> Iterator[Said]:
    """In which records was looked, and in which not."""
    others = [str(record) for record in done.found if record != path]
    if path not in done.found:
        yield (
            Said("there is no {path}; searched {others}", path=path, others=FactList(others))
            if others
            else Said("there is no {path}", path=path)
        )
    elif others:
        yield Said("searched {path} and, near it, {others}", path=path, others=FactList(others))
    else:
        yield Said("searched {path}", path=path)
    if len(done.found) > 1:
        yield Said("these are several records: one maker.toml for all events keeps them in one")
    for record, reason in done.unread.items():
        yield Said("NOT searched: {record}: {reason}", record=record, reason=reason)
    for lacking in done.lacking:
        yield Said(
            "NOT found, though the journal tells of it: {lacking}; look for a copy of the record",
            lacking=lacking,
        )
    if not done.complete:
        yield Said(
            "THE SEARCH IS NOT COMPLETE: there may be events that are not told here (exit code 1)"
        )


def describe_outcome(outcome: RecordingOutcome) -> Iterator[Said]:
    """What recording did, and what is left to say."""
    from labelkit.plan.trace import describe_pouring

    entry = outcome.entry
    if outcome.new:
        yield Said("recorded lot {lot}, {pouring}", lot=entry.lot, pouring=describe_pouring(entry))
    elif outcome.changes:
        yield Said(
            "corrected lot {lot}: {changes}", lot=entry.lot, changes=FactList(outcome.changes, ";")
        )
    else:
        yield Said("lot {lot} is recorded so already", lot=entry.lot)
    if not entry.planned and (outcome.new or outcome.changes):
        yield Said(
            "lot {lot} is poured: its amounts stay as recorded, whatever the files say",
            lot=entry.lot,
        )
    if outcome.otherwise:
        yield (
            Said(
                "its amounts are those of the files today, not of the plan recorded before; if "
                "that was poured, put the files back, then labelkit trace {lot} --withdraw, and "
                "record it again",
                lot=entry.lot,
            )
        )
    if outcome.kept_day:
        yield (
            Said(
                "lot {lot} stays poured {day}, as confirmed; write poured_on = {poured} in "
                "[plan], and the plan counts from it",
                lot=entry.lot,
                day=Day(entry.poured),
                poured=entry.poured,
            )
        )
    elif entry.planned:
        yield Said("once it is poured, record it again with --poured and the day")
    for other in outcome.beside:
        yield (
            Said(
                "also recorded for {label}: lot {lot}, {names}, {date}; if that is wrong: "
                "labelkit trace {lot} --withdraw",
                label=entry.label,
                lot=other.lot,
                names=other.names,
                date=Day(other.date),
            )
        )


def _build_recall(done: Recall, lot: str) -> dict[str, Any]:
    return {
        **(_build_lot_asked_for(done, lot) if lot else {}),
        "searched": [str(record) for record in done.found],
        **pick_fields(done, "complete lacking"),
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
        "near": list_lots_read_alike(done, lot),
        "did_you_mean": meant,
    }


def _describe_batch_shortly(state: RecordedState) -> Said:
    """A batch and its event on one line."""
    note = NOTHING
    if state.withdrawn:
        note = Said("; withdrawn {day}", day=state.ended)
    elif state.number != state.entry:
        note = Said("; corrected")
    return Said(
        "{date}  {lot}, {pouring}; {labels}; {names} ({label}){note}",
        **_list_batch_facts(state.record),
        note=note,
    )


def _list_batch_facts(entry: BatchRecord) -> dict[str, object]:
    from labelkit.plan.trace import describe_pouring

    labels: Said = count_things(entry.labels, "{n} label", "{n} labels")
    if entry.net_weight_g is not None:
        labels = Said(
            "{labels} of {mass} g net", labels=labels, mass=round_grams(entry.net_weight_g)
        )
    return {
        "date": entry.date,
        "lot": entry.lot,
        "pouring": describe_pouring(entry),
        "labels": labels,
        "names": entry.names,
        "label": entry.label,
    }


def _describe_batch(state: RecordedState, lot: str) -> Iterator[Said]:
    from labelkit.plan.trace import describe_sent

    entry = state.record
    place = f", {entry.place}" if entry.place else ""
    yield Said(
        "{standing}{date}  {names}{place}",
        standing=_describe_standing(state),
        date=entry.date,
        names=entry.names,
        place=place,
    )
    order = Said(", order {code}", code=entry.order_code) if entry.order_code else NOTHING
    yield Said(
        "    batch {lot}, {pouring}: {recipe}; {labels} ({label}{order})",
        **_list_batch_facts(entry),
        recipe=entry.recipe,
        order=order,
    )
    for material in entry.materials:
        if _has_lot(material.lots, lot) or (_has_lot((entry.lot,), lot) and material.lots):
            yield Said(
                "    {mass} g of {name}, lot {lots}",
                mass=round_grams(material.mass_g),
                name=Term("material", material.name),
                lots=FactList(material.lots),
            )
    for sent in entry.sent:
        yield Said("    {sent}", sent=describe_sent(sent))
    yield Said("    {history}", history=_describe_history(state))


def _describe_standing(state: RecordedState) -> Said:
    if state.stands:
        return NOTHING
    return Said("WITHDRAWN: ") if state.withdrawn else Said("SUPERSEDED: ")


def _describe_history(state: RecordedState) -> Said:
    """Since when it is recorded, until when it stood, and what was said after it."""
    recorded = Said("recorded on a day not kept")
    if state.recorded:
        recorded = Said("recorded {day}", day=Day(state.recorded))
    if state.stands:
        return recorded
    assert state.ended is not None, "what no longer stands has its day"
    facts = {"recorded": recorded, "day": Day(state.ended), "reason": state.reason}
    if not state.withdrawn:
        changes = FactList(map(Said, state.changes), ";")
        return Said("{recorded}, superseded {day}: {changes}", **facts, changes=changes)
    told = (
        "{recorded}, withdrawn {day}: {reason}" if state.reason else "{recorded}, withdrawn {day}"
    )
    return Said(told, **facts)


def _build_batch(state: RecordedState, lot: str) -> dict[str, Any]:
    from labelkit.plan.trace import match_lot_in_record

    entry = state.record
    return {
        **({"match": match_lot_in_record(entry, lot)} if lot else {}),
        "status": "stands" if state.stands else "withdrawn" if state.withdrawn else "superseded",
        "event": entry.names,
        "date": entry.date,
        **pick_fields(entry, "place label labels"),
        "net_grams": entry.net_weight_g,
        "order": entry.order_code,
        "batch": entry.lot,
        **pick_fields(entry, "recipe poured planned"),
        "materials": [
            {
                "material": m.name,
                "lots": m.lots,
                "grams": m.mass_g,
                "asked": _has_lot(m.lots, lot),
            }
            for m in entry.materials
        ],
        "sent": [pick_fields(sent, "pieces to on") for sent in entry.sent],
        **pick_fields(state, "recorded ended reason changes"),
    }


def _has_lot(lots: Sequence[str], lot: str) -> bool:
    """Whether one of these lots is the one asked for, or near it."""
    from labelkit.plan.lotcode import match_lots

    return any(match_lots(one, lot) for one in lots)
