"""What a card beside loose soap or the outside of a box must say, as lines and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from textwrap import fill

from labelkit.report.findings import Wording
from labelkit.rules.label import called
from labelkit.rules.surfaces import SurfaceRow, surface_titles

_WIDTH = 100


def surface_text(surface: str, rows: Sequence[SurfaceRow], words: Wording) -> str:
    """The rows as a list to go through, what is not settled last."""
    say, speech = words.say, words.speech
    settled = [_item(row, words) for row in rows if not row.open]
    unsettled = [_item(row, words) for row in rows if row.open]
    lines = [speech(surface_titles()[surface]), "", *settled]
    if unsettled:
        lines += ["", say("surface.open"), *unsettled]
    laws = words.laws(speech.cited(row.citation) for row in rows)
    return "\n".join([*lines, "", *laws, say("page.not_legal_advice")])


def _item(row: SurfaceRow, words: Wording) -> str:
    say, speech = words.say, words.speech
    source = say(
        "finding.source",
        citation=speech.cited(row.citation),
        provenance=words.provenance(str(row.provenance)),
    )
    part = speech(called(row.element))
    text = f"{row.region}, {part}: {speech(row.asks)} {source}"
    return fill(text, _WIDTH, initial_indent="[ ] ", subsequent_indent="    ")


def surface_json(rows: Sequence[SurfaceRow], words: Wording) -> str:
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
