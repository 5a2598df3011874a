"""What a card beside loose soap or the outside of a box must say, as lines and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill

from labelkit.common.json_text import format_json, pick_fields
from labelkit.report.findings import FindingWords
from labelkit.rules.label import name_element
from labelkit.rules.surfaces import CheckedRow, SurfaceRow, load_surface_titles

_WIDTH = 100


def format_surface_text(surface: str, rows: Sequence[SurfaceRow], words: FindingWords) -> str:
    """The rows as a list to go through, what is not settled last."""
    say, speech = words.say, words.speech
    settled = [_describe_surface_row(row, words) for row in rows if not row.open]
    unsettled = [_describe_surface_row(row, words) for row in rows if row.open]
    lines = [speech(load_surface_titles()[surface]), "", *settled]
    if unsettled:
        lines += ["", say("surface.open"), *unsettled]
    laws = words.laws(speech.cited(row.citation) for row in rows)
    return "\n".join([*lines, "", *laws, say("page.not_legal_advice")])


def format_checked_text(surface: str, found: Sequence[CheckedRow], words: FindingWords) -> str:
    """The same, held against a label made for the surface: what is there, what is not, and what
    the maker has to look at herself."""
    say, speech = words.say, words.speech
    lines = [speech(load_surface_titles()[surface]), ""]
    for one in (one for one in found if not one.row.open):
        mark = "!" if one.lacks else "x" if one.is_checked else " "
        lines.append(_describe_surface_row(one.row, words, mark))
        lines += [f"    {say('surface.lacks', what=speech(lack))}" for lack in one.lacks]
    unsettled = [_describe_surface_row(one.row, words) for one in found if one.row.open]
    if unsettled:
        lines += ["", say("surface.open"), *unsettled]
    laws = words.laws(speech.cited(one.row.citation) for one in found)
    marks = fill(say("surface.marks"), _WIDTH)
    return "\n".join([*lines, "", marks, *laws, say("page.not_legal_advice")])


def _describe_surface_row(row: SurfaceRow, words: FindingWords, mark: str = " ") -> str:
    say, speech = words.say, words.speech
    source = say(
        "finding.source",
        citation=speech.cited(row.citation),
        provenance=words.provenance(str(row.provenance)),
    )
    part = speech(name_element(row.element))
    text = say("surface.row", region=row.region, part=part, asks=speech(row.asks), source=source)
    return fill(text, _WIDTH, initial_indent=f"[{mark}] ", subsequent_indent="    ")


def format_surface_json(
    rows: Sequence[SurfaceRow], words: FindingWords, found: Sequence[CheckedRow] = ()
) -> str:
    """The same as a list of objects; ``open`` says that it is no rule, and ``checked`` and
    ``lacks``, where a label was held against the rows, what came of it."""
    checked = {one.row: one for one in found}
    value = [
        {
            **pick_fields(row, "surface region element"),
            "asks": words.speech(row.asks),
            "citation": words.speech.cited(row.citation),
            "provenance": row.provenance,
            "open": row.open,
            **_describe_check(checked.get(row), words),
        }
        for row in rows
    ]
    return format_json(value)


def _describe_check(found: CheckedRow | None, words: FindingWords) -> dict[str, object]:
    if found is None:
        return {}
    return {"checked": found.is_checked, "lacks": [words.speech(lack) for lack in found.lacks]}
