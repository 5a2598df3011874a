"""``labelkit rules``: every rule there is, and what one of them asks and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from pathlib import Path
from textwrap import fill, shorten

import click

from labelkit.cli.days import AS_WRITTEN, parse_day_option
from labelkit.cli.usage import CommandGroup
from labelkit.cli.voice import get_language, say
from labelkit.common.errors import ExitCode, InputError
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import FactList, Said
from labelkit.common.regions import list_region_titles
from labelkit.common.text_match import list_closest
from labelkit.report.advice import explain_advice, list_advice_ids
from labelkit.report.findings import FindingWords, load_finding_words
from labelkit.report.phrasebook import bind_words
from labelkit.report.reader import describe_partly_english
from labelkit.rules.conflicts import Conflict, load_conflicts
from labelkit.rules.rule import Provenance, Rule
from labelkit.rules.surfaces import CheckedRow, SurfaceRow
from labelkit.rules.tables import list_asking_regions, list_stale_rules, load_rules

_WIDTH = 100
_ID_WIDTH = 28
_SHORTENED = 0.5
"""How alike a rule's id is to what may be short for it: CA-NAM."""
_NAME_WIDTH = 15
_EXPLAINED = ("asks", "why", "passes", "fails", "remedy")


def _parse_day_or_today(text: str) -> dt.date:
    return dt.date.today() if text == "today" else parse_day_option(text)


@click.group(
    "rules",
    cls=CommandGroup,
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
    help="Only rules whose law was read, those an authority tells of, those known from memory, or"
    " labelkit's own advice.",
)  # fmt: skip
@click.option(
    "--stale", "stale_on", type=_parse_day_or_today, is_flag=False, flag_value="today",
    metavar=f"[{AS_WRITTEN}]",
    help="Only rules that should have been read again at their source by now (or by a day).",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print the list.",
)  # fmt: skip
@click.option(
    "--verify", "folder", type=click.Path(path_type=Path), metavar="FOLDER",
    help="Hold the rows that were read against the official XML of Canada's laws in a folder.",
)  # fmt: skip
@click.option("--language", metavar="CODE", help="Language of the list (en, fr).")
@click.pass_context
def command(
    context: click.Context,
    regions: tuple[str, ...],
    element: str | None,
    provenance: str | None,
    stale_on: dt.date | None,
    form: str,
    folder: Path | None,
    language: str | None,
) -> int:
    """List the rules, or explain one with `labelkit rules show ID`.

    Each line gives the rule, how grave it is, whether its law was read, and what it asks. A rule
    known only from memory warns instead of failing a label. This is not legal advice.

    With --verify it lists the provisions that were read, whether their text is still the same, has
    changed or is gone, and from when it is in force; exit code 1 where one is not the same.
    """
    if context.invoked_subcommand is not None:
        return ExitCode.OK
    if folder is not None:
        return _verify_laws(folder, form, load_finding_words((), language or get_language()))
    chosen = [
        rule
        for rule in load_rules(regions or tuple(list_region_titles()))
        if (element is None or rule.element == element)
        and (provenance is None or rule.provenance == provenance)
    ]
    if stale_on is not None:
        stale = {rule.id for rule in list_stale_rules(stale_on)}
        chosen = [rule for rule in chosen if rule.id in stale]
    words = load_finding_words(regions, language or get_language())
    click.echo(_format_json(chosen, words) if form == "json" else _format_text(chosen, words))
    _print_untranslated(words, chosen, ("asks",))
    return ExitCode.OK


def _verify_laws(folder: Path, form: str, words: FindingWords) -> int:
    from labelkit.report.verified import format_verified_json, format_verified_text
    from labelkit.rules.provisions import ProvisionState, verify_provisions

    found = verify_provisions(folder)
    click.echo(
        format_verified_json(found) if form == "json" else format_verified_text(found, words)
    )
    unchanged = (ProvisionState.SAME, ProvisionState.NOT_KEPT, ProvisionState.NO_FILE)
    is_same = all(one.state in unchanged for one in found)
    return ExitCode.OK if is_same else ExitCode.FINDINGS


@command.command("show", epilog="Example: labelkit rules show EU-QUANTITY-FIGURE-HEIGHT")
@click.argument("rule_id", metavar="ID")
@click.option("--language", metavar="CODE", help="Language of the page (en, fr).")
def show(rule_id: str, language: str | None) -> None:
    """Explain one rule: what it asks, why, what passes, what fails, and how to put it right."""
    wanted = rule_id.upper()
    for rule in load_rules(tuple(list_region_titles())):
        if rule.id == wanted:
            words = load_finding_words((rule.region,), language or get_language())
            click.echo(_format_rule_page(rule, words))
            _print_untranslated(words, [rule], _EXPLAINED)
            return
    for conflict in load_conflicts():
        if conflict.id == wanted:
            click.echo(
                _format_conflict_page(conflict, load_finding_words((), language or get_language()))
            )
            return
    if wanted in list_advice_ids():
        words = load_finding_words((), language or get_language())
        click.echo(_format_advice_page(wanted, words))
        return
    raise InputError(
        "rules", "", rule_id, Said("unknown rule; {hint}", hint=_suggest_rule_ids(wanted))
    )


@command.command(
    "surface", epilog="Example: labelkit rules surface gift-box --region CA --pieces 6"
)
@click.argument("name", type=click.Choice(["shelf-card", "gift-box"]), metavar="NAME")
@click.option(
    "--region", "regions", multiple=True, required=True, metavar="CODE",
    help="Where it is sold (CA, US, BE ...); may be given again.",
)  # fmt: skip
@click.option(
    "--pieces", type=click.IntRange(1, 1000), metavar="N",
    help="How many pieces of one kind the box holds.",
)  # fmt: skip
@click.option(
    "--label", "label", type=click.Path(path_type=Path), metavar="LABEL",
    help="A label.toml made for the card or the box: what it lacks is told, with exit code 1.",
)  # fmt: skip
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
    help="How to print the list.",
)  # fmt: skip
@click.option("--language", metavar="CODE", help="Language of the list (en, fr).")
def surface(
    name: str,
    regions: tuple[str, ...],
    pieces: int | None,
    label: Path | None,
    form: str,
    language: str | None,
) -> int:
    """List what a card beside loose soap (shelf-card) or a box of pieces (gift-box) must say.

    With --label a label that was made for it is held against the list. What the laws read here do
    not settle is told as that. This is not legal advice.
    """
    from labelkit.report.surfaces import (
        format_checked_text,
        format_surface_json,
        format_surface_text,
    )
    from labelkit.rules.surfaces import list_surface_rows

    rows = list_surface_rows(name, regions, pieces)
    words = load_finding_words(regions, language or get_language())
    found = _check_surface_label(label, rows, pieces) if label else ()
    if form == "json":
        click.echo(format_surface_json(rows, words, found))
    elif label:
        click.echo(format_checked_text(name, found, words))
    else:
        click.echo(format_surface_text(name, rows, words))
    for line in describe_partly_english(words.speech, ((row.region, row.asks) for row in rows)):
        say(line, err=True)
    return ExitCode.FINDINGS if any(one.lacks for one in found) else ExitCode.OK


def _check_surface_label(
    path: Path, rows: Sequence[SurfaceRow], pieces: int | None
) -> tuple[CheckedRow, ...]:
    """Holds the panels of a label against the rows of a surface."""
    from labelkit.job.prepare import list_panels_to_judge, prepare_job
    from labelkit.rules.label import Label
    from labelkit.rules.surfaces import check_surface
    from labelkit.rules.tables import load_measuring_tolerance_mm

    job = prepare_job(path)
    panels = list_panels_to_judge(job)
    return check_surface(
        rows, Label(panels, job.facts, job.on, load_measuring_tolerance_mm()), pieces
    )


def _print_untranslated(words: FindingWords, rules: Iterable[Rule], parts: Sequence[str]) -> None:
    """On standard error: for which regions the language has not all the words."""
    said = ((rule.region, getattr(rule, part)) for rule in rules for part in parts)
    for line in describe_partly_english(words.speech, said):
        say(line, err=True)


def _suggest_rule_ids(wanted: str) -> Said:
    rules = load_rules(tuple(list_region_titles()))
    ids = [rule.id for rule in rules] + [conflict.id for conflict in load_conflicts()]
    ids += list_advice_ids()
    near = list_closest(wanted, ids, 3, _SHORTENED)
    if near:
        return Said("did you mean {near}?", near=FactList(near, "or"))
    return Said("see labelkit rules for all of them")


def _format_text(rules: Sequence[Rule], words: FindingWords) -> str:
    width = max((len(rule.id) for rule in rules), default=0)
    levels = [words.say(f"level.{rule.gravest_level()}").lower() for rule in rules]
    known = [words.speech.term("provenance", rule.provenance) for rule in rules]
    wide = max(map(len, known), default=0)
    listed = []
    for rule, level, provenance in zip(rules, levels, known, strict=True):
        start = f"{rule.id:{width}}  {level:5}  {provenance:{wide}}  "
        room = max(_WIDTH + _ID_WIDTH - len(start), _ID_WIDTH)
        listed.append(start + shorten(words.speech(rule.asks), room, placeholder=" …"))
    return "\n".join([*listed, _describe_counts(rules, words)])


def _describe_counts(rules: Sequence[Rule], words: FindingWords) -> str:
    """How many there are of each provenance, in words."""
    told = {str(p): sum(rule.provenance is p for rule in rules) for p in Provenance}
    return words.say("rule.count", rules=words.say.many("rules", len(rules)), **told)


def _format_json(rules: Sequence[Rule], words: FindingWords) -> str:
    entries = [
        {
            "id": rule.id,
            "region": rule.region,
            "regions": list_asking_regions(rule),
            **pick_fields(rule, "element panel"),
            "level": rule.gravest_level(),
            "provenance": rule.provenance,
            "asks": words.speech(rule.asks),
            "citation": words.speech.cited(rule.citation),
            "from": rule.since,
            "to": rule.until,
        }
        for rule in rules
    ]
    return format_json(entries)


def _format_rule_page(rule: Rule, words: FindingWords) -> str:
    say, speech = words.say, words.speech
    in_force = [
        *([say("rule.from", date=say.date(rule.since))] if rule.since else []),
        *([say("rule.to", date=say.date(rule.until))] if rule.until else []),
    ]
    parts = {
        **{part: speech(getattr(rule, part)) for part in _EXPLAINED},
        "citation": _format_citation(rule.citation, rule.provenance, words),
        "in_force": " ".join(in_force),
        "verify_by": say.date(rule.verify_by) if rule.verify_by else "",
        "asked_by": ", ".join(list_asking_regions(rule)) or say("rule.everywhere"),
        "looks_at": say(
            "rule.place",
            element=speech.term("part", rule.element),
            panel=speech.term("panel", rule.panel),
            gravest=_describe_gravest(rule, words),
        ),
    }
    laws = words.laws([parts["citation"]])
    return "\n".join([_format_paragraphs(rule.id, parts, words), *(f"  {law}" for law in laws)])


def _format_citation(citation: str, provenance: Provenance, words: FindingWords) -> str:
    known = words.say(f"rule.{provenance}")
    return words.say("finding.source", citation=words.speech.cited(citation), provenance=known)


def _describe_gravest(rule: Rule, words: FindingWords) -> str:
    say, level = words.say, rule.gravest_level()
    strictly = rule.gravest_level(strict=True)
    told = say(f"level.{level}").lower()
    if level is strictly:
        return told
    return say("rule.strictly", level=told, strict=say(f"level.{strictly}").lower())


def _format_conflict_page(conflict: Conflict, words: FindingWords) -> str:
    one, other = ", ".join(conflict.one), ", ".join(conflict.other)
    parts = {
        "between": words.say("rule.sides", one=one, other=other),
        "what": words.speech(conflict.says),
        "way_out": words.speech(conflict.way_out),
        "citation": _format_citation(conflict.citation, conflict.provenance, words),
        "shown_by": ", ".join(conflict.rules),
    }
    return _format_paragraphs(conflict.id, parts, words)


def _format_advice_page(rule_id: str, words: FindingWords) -> str:
    """A finding of labelkit's own: advice, and no law."""
    asks, why = explain_advice(rule_id, words.speech.language)
    own = words.say(f"rule.{Provenance.ADVICE}")
    return _format_paragraphs(rule_id, {"asks": asks, "why": why, "citation": own}, words)


def _format_paragraphs(title: str, parts: dict[str, str], words: FindingWords) -> str:
    """A rule's page: each part after its name, in a column of its own."""
    colon = bind_words("x :", words.speech.language)[1:].lstrip(" ") or ":"
    names = {part: f"{words.say(f'rule.{part}')}{colon}" for part in parts}
    indent = " " * (2 + _NAME_WIDTH)
    made = (
        fill(
            f"{names[part]:{_NAME_WIDTH}}{text}",
            _WIDTH,
            initial_indent="  ",
            subsequent_indent=indent,
        )
        for part, text in parts.items()
        if text
    )
    return "\n".join([title, *made])
