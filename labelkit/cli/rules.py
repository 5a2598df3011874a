"""``labelkit rules``: every rule there is, and what one of them asks and why."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from textwrap import fill, shorten

import click

from labelkit.errors import InputError
from labelkit.rules.conflicts import Conflict, conflicts
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.tables import asking_regions, known_regions, load_rules, stale_rules

_WIDTH = 100
_ID_WIDTH = 28
_NEAR = 3
_KNOWN = {
    Provenance.READ: "read at its source",
    Provenance.MEMORY: "from memory, unverified",
    Provenance.ADVICE: "labelkit's own",
}


@click.group(
    "rules",
    invoke_without_command=True,
    epilog="Examples: labelkit rules --region BE --element ingredients;"
    " labelkit rules show CA-QUANTITY-FIGURE-HEIGHT",
)
@click.option(
    "--region", "regions", multiple=True, metavar="CODE",
    help="Only what this region asks (CA, US, BE ...); may be given again.",
)  # fmt: skip
@click.option("--element", metavar="NAME", help="Only rules on this element (dealer, lot ...).")
@click.option(
    "--provenance", type=click.Choice([str(p) for p in Provenance]),
    help="Only rules whose law was read, those known from memory, or labelkit's own advice.",
)  # fmt: skip
@click.option(
    "--stale", "stale_on", is_flag=False, flag_value="today", metavar="[YYYY-MM-DD]",
    help="Only rules that should have been read again at their source by now (or by a day).",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print the list.",
)  # fmt: skip
@click.pass_context
def command(
    context: click.Context,
    regions: tuple[str, ...],
    element: str | None,
    provenance: str | None,
    stale_on: str | None,
    form: str,
) -> None:
    """List the rules, or explain one with `labelkit rules show ID`.

    Each line gives the rule, how grave it is, whether its law was read, and what it asks. A rule
    known only from memory warns instead of failing a label. This is not legal advice.
    """
    if context.invoked_subcommand is not None:
        return
    chosen = [
        rule
        for rule in load_rules(regions or tuple(known_regions()))
        if (element is None or rule.element == element)
        and (provenance is None or rule.provenance == provenance)
    ]
    if stale_on is not None:
        stale = {rule.id for rule in stale_rules(_day(stale_on))}
        chosen = [rule for rule in chosen if rule.id in stale]
    click.echo(_as_json(chosen) if form == "json" else _as_text(chosen))


@command.command("show", epilog="Example: labelkit rules show EU-QUANTITY-FIGURE-HEIGHT")
@click.argument("rule_id", metavar="ID")
def show(rule_id: str) -> None:
    """Explain one rule: what it asks, why, what passes, what fails, and how to put it right."""
    wanted = rule_id.upper()
    for rule in load_rules(tuple(known_regions())):
        if rule.id == wanted:
            click.echo(_page(rule))
            return
    for conflict in conflicts():
        if conflict.id == wanted:
            click.echo(_conflict_page(conflict))
            return
    raise InputError("rules", "", rule_id, f"unknown rule; {_near(wanted)}")


def _day(text: str) -> dt.date:
    if text == "today":
        return dt.date.today()
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise InputError("--stale", "", text, "expected a day such as 2027-06-19") from error


def _near(wanted: str) -> str:
    from difflib import get_close_matches

    ids = [rule.id for rule in load_rules(tuple(known_regions()))] + [c.id for c in conflicts()]
    near = get_close_matches(wanted, ids, _NEAR, 0.5)
    return f"did you mean {' or '.join(near)}?" if near else "see labelkit rules for all of them"


def _as_text(rules: Sequence[Rule]) -> str:
    width = max((len(rule.id) for rule in rules), default=0)
    listed = []
    for rule in rules:
        start = f"{rule.id:{width}}  {rule.gravest_level():4}  {rule.provenance:6}  "
        room = max(_WIDTH + _ID_WIDTH - len(start), _ID_WIDTH)
        listed.append(start + shorten(rule.asks, room, placeholder=" …"))
    return "\n".join([*listed, _counts(rules)])


def _counts(rules: Sequence[Rule]) -> str:
    """How many there are of each provenance, in words."""
    told = {p: sum(rule.provenance is p for rule in rules) for p in Provenance}
    return (
        f"{len(rules)} rules: {told[Provenance.READ]} read, {told[Provenance.MEMORY]} from memory,"
        f" {told[Provenance.ADVICE]} labelkit's own"
    )


def _as_json(rules: Sequence[Rule]) -> str:
    entries = [
        {
            "id": rule.id,
            "region": rule.region,
            "regions": list(asking_regions(rule)),
            "element": rule.element,
            "panel": rule.panel,
            "level": str(rule.gravest_level()),
            "provenance": str(rule.provenance),
            "asks": rule.asks,
            "citation": rule.citation,
            "from": rule.since.isoformat() if rule.since else None,
            "to": rule.until.isoformat() if rule.until else None,
        }
        for rule in rules
    ]
    return json.dumps(entries, ensure_ascii=False, indent=2)


def _page(rule: Rule) -> str:
    asked_by = ", ".join(asking_regions(rule))
    in_force = [
        *([f"from {rule.since.isoformat()}"] if rule.since else []),
        *([f"to {rule.until.isoformat()}"] if rule.until else []),
    ]
    parts = [
        ("What it asks", rule.asks),
        ("Why", rule.why),
        ("Passes", rule.passes),
        ("Fails", rule.fails),
        ("Put right", rule.remedy),
        ("Citation", f"{rule.citation} ({_KNOWN[rule.provenance]})"),
        ("In force", " ".join(in_force)),
        ("Read again by", rule.verify_by.isoformat() if rule.verify_by else ""),
        ("Asked by", asked_by or "every region"),
        ("Looks at", f"{rule.element}, {rule.panel}; gravest finding: {_gravest(rule)}"),
    ]
    return "\n".join([rule.id, *(_paragraph(name, text) for name, text in parts if text)])


def _gravest(rule: Rule) -> str:
    level = rule.gravest_level()
    strictly = rule.gravest_level(strict=True)
    return str(level) if level is strictly else f"{level}, with --strict {strictly}"


def _conflict_page(conflict: Conflict) -> str:
    sides = f"{', '.join(conflict.one)} against {', '.join(conflict.other)}"
    parts = [
        ("Between", sides),
        ("What", conflict.says),
        ("Way out", conflict.way_out),
        ("Citation", f"{conflict.citation} ({_KNOWN[conflict.provenance]})"),
        ("Shown by", ", ".join(conflict.rules)),
    ]
    return "\n".join([conflict.id, *(_paragraph(name, text) for name, text in parts)])


def _paragraph(name: str, text: str) -> str:
    indent = " " * 16
    return fill(f"{name + ':':14}{text}", _WIDTH, initial_indent="  ", subsequent_indent=indent)
