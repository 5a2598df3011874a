"""[[evidence]] in label.toml or maker.toml: what the maker keeps to prove what a label claims."""

from __future__ import annotations

import datetime as dt

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.order.reader import Table


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a maker keeps to prove a claim of hers."""

    claim: str
    """The words on the label, in one of its languages."""
    what: str
    """What it is: a test, a supplier's letter, a certificate."""
    date: dt.date
    file: str = ""
    """Where it lies, as the maker names it; empty: not said."""


def read_evidence(table: Table) -> tuple[Evidence, ...]:
    """Every entry of a file; InputError for one without claim, what or date, or whose file is not
    there."""
    return table.rows("evidence", _read_evidence_entry)


def _read_evidence_entry(entry: Table) -> Evidence:
    claim = entry.text("claim", expected=Said('the words on the label, such as "cruelty-free"'))
    what = entry.text(
        "what", expected=Said('what proves them, such as "letters of four suppliers"')
    )
    file: str = entry.text("file", "", Said("the name of a file"))
    if file:
        entry.must_be_there("file", file, Said("what proves a claim"))
    return Evidence(claim, what, entry.date("date"), file)
