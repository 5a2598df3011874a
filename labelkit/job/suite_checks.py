"""What is found on the pieces that go with a label.

A band or a lid that lies over the label is judged as the label is; a card or a tag by its words
alone. What the laws say of what is outermost, and what was not found of it, is said once.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from labelkit import rules
from labelkit.checks.craft import OWN_CHECK, CheckedLabel, check_craft
from labelkit.common.errors import FitError
from labelkit.common.messages import Said, Term
from labelkit.compose.job import Job
from labelkit.compose.suite import ComposedPiece
from labelkit.model.runs import Panel
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Finding, Level
from labelkit.rules.label import Label
from labelkit.rules.surfaces import check_surface, list_surface_rows
from labelkit.rules.tables import load_measuring_tolerance_mm

OVER_LABEL = "over-label"
"""The surface of surfaces.toml that a band or a lid is."""
ON_BOTH = ("front", "back")


def list_unfit_pieces(job: Job) -> tuple[FitError, ...]:
    """The pieces that have no room for their words."""
    return tuple(one for one in job.suite.values() if isinstance(one, FitError))


def check_suite(
    job: Job, found: Iterable[Finding], printed: Iterable[Panel] = (), strict: bool = False
) -> Iterator[Finding]:
    """What is wrong with the pieces, as composed or as ``printed`` panels were read.

    What was ``found`` on the label is not said again of a piece that says the same.
    """
    read = {panel.name: panel for panel in printed}
    known = set(map(_identify, found))
    for made in job.fitting_pieces:
        whole = read.get(made.piece.kind, made.whole.panel)
        facts = job.facts_on(made.piece)
        if made.piece.hides_label:
            for one in _judge_over_label(job, made, facts, whole, known, strict):
                known.add(_identify(one))
                yield one
        else:
            yield from rules.judge_words((whole,), job.facts, job.regions, job.on, strict)
        if not read:
            yield from _check_craft_of(job, made, facts, known)


def _identify(one: Finding) -> tuple[str, str, str]:
    """By what two findings say the same, wherever it is."""
    return one.rule, one.element, str(one.message)


def _judge_over_label(
    job: Job,
    made: ComposedPiece,
    facts: Facts,
    whole: Panel,
    known: Collection[object],
    strict: bool,
) -> Iterator[Finding]:
    """A piece over the label: held against all that the label is, then against what the laws say
    of what is outermost."""
    kind = made.piece.kind
    sides = made.cut_out_label(whole)
    second = tuple(one.panel for one in job.fitting if one.panel.name not in ON_BOTH)
    for one in rules.judge_over_label((*sides, *second), facts, job.regions, job.on, strict):
        if one.panel and _identify(one) not in known:
            yield replace(one, panel=kind)
    label = Label(sides, facts, job.on, load_measuring_tolerance_mm())
    for held in check_surface(list_surface_rows(OVER_LABEL, job.regions), label):
        row = held.row
        for lack in held.lacks:
            message = Said("{what}: {asks}", what=lack, asks=row.asks)
            yield _make_finding(kind, row.region, row.element, Level.FAIL, message, row.citation)
        if row.open:
            note = _make_finding(kind, row.region, row.element, Level.NOTE, row.asks, row.citation)
            if _identify(note) not in known:
                yield note


def _check_craft_of(
    job: Job, made: ComposedPiece, facts: Facts, known: Collection[object]
) -> Iterator[Finding]:
    """What labelkit warns of on the faces of a piece; what it notes of a label goes without."""
    faces = tuple(made.faces.values())
    checked = CheckedLabel(faces, job.layout, facts, job.logo is not None, {})
    for one in check_craft(checked):
        is_new = _identify(one) not in known
        if one.level is not Level.NOTE and is_new:
            yield replace(one, panel=made.piece.kind)


def _make_finding(
    kind: str, region: str, element: str, level: Level, message: Said | str, citation: str
) -> Finding:
    return Finding(
        rule="LABELKIT-OVER-LABEL",
        region=region,
        panel=kind,
        element=element,
        level=level,
        message=message,
        citation=citation,
        provenance=OWN_CHECK,
        remedy=Said(
            "hides_label = false of the {piece} under [[piece]], where the label is seen beside it",
            piece=Term("panel", kind),
        )
        if level is Level.FAIL
        else "",
    )


def split_printed(
    panels: Iterable[Panel], pieces: Mapping[str, object]
) -> tuple[tuple[Panel, ...], tuple[Panel, ...]]:
    """The panels of the label, and those of the pieces with it."""
    every = tuple(panels)
    return (
        tuple(panel for panel in every if panel.name not in pieces),
        tuple(panel for panel in every if panel.name in pieces),
    )
