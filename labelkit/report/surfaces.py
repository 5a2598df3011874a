"""What a card beside loose soap or the outside of a box must say, as lines and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from textwrap import fill

from labelkit.report.findings import FindingWords
from labelkit.rules.label import name_element
from labelkit.rules.surfaces import SurfaceRow, load_surface_titles

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


def _describe_surface_row(row: SurfaceRow, words: FindingWords) -> str:
    say, speech = words.say, words.speech
    source = say(
        "finding.source",
        citation=speech.cited(row.citation),
        provenance=words.provenance(str(row.provenance)),
    )
    part = speech(name_element(row.element))
    text = f"{row.region}, {part}: {speech(row.asks)} {source}"
    return fill(text, _WIDTH, initial_indent="[ ] ", subsequent_indent="    ")


def format_surface_json(rows: Sequence[SurfaceRow], words: FindingWords) -> str:
    """The same as a list of objects; ``open`` says that it is no rule."""
    value = [
        {
            "surface": row.surface,
            "region": row.region,
            "element": row.element,
            "asks": words.speech(row.asks),
            "citation": words.speech.cited(row.citation),
            "provenance": str(row.provenance),
            "open": row.open,
        }
        for row in rows
    ]
    return json.dumps(value, ensure_ascii=False, indent=2)
