"""What a label claims, held against the recipe and the region's law."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from labelkit.common.messages import Day, Listed, Literal, Number, Said
from labelkit.model.runs import ElementText, Panel
from labelkit.order.evidence import Evidence
from labelkit.rules.claim_truth import Held, Truth, hold
from labelkit.rules.claims import NOT_READ, Claim, Test, read_claims
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import Kind
from labelkit.rules.label import Label, on_panel, quoted
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import folded


class Verdict(StrEnum):
    """What a region makes of a claim that is not fine."""

    FALSE = "false"
    EVIDENCE = "needs evidence"
    DRUG = "drug or pesticide"
    ELSEWHERE = "regulated elsewhere"


@dataclass(frozen=True)
class Claims(Kind):
    """No claim of these kinds comes to this verdict.

    A false claim is the matter of a row whose verdict is "false", and a true one of none.
    """

    verdict: Verdict
    claims: tuple[str, ...]
    """Kinds of claim, as the table of claims names them."""
    because: str = ""
    """What is wrong with such a claim, as the message ends; not for false ones."""
    milder_with: tuple[str, ...] = ()
    """Where one of these elements is on the label, such a claim only warns."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        milder = any(label.texts(element) for element in self.milder_with)
        places = label.at(rule.panel)
        for panel, text in label.every_text(NOT_READ):
            for claim in read_claims(text.text, text.element) if panel in places else ():
                if claim.kind in self.claims:
                    yield from self._judge(claim, panel, text, label.facts, milder)

    def _judge(
        self, claim: Claim, panel: Panel, text: ElementText, facts: Facts, milder: bool
    ) -> Iterator[Problem]:
        held = hold(claim, facts.declaration)
        if (held.truth is Truth.FALSE) is not (self.verdict is Verdict.FALSE):
            return
        if held.truth is Truth.TRUE:
            return
        said = {
            "words": quoted(text.text),
            "panel": on_panel(panel.name),
            "found": claim.words,
        }
        proof = _proof_of(claim, facts) if self.verdict is Verdict.EVIDENCE else None
        if proof is not None:
            yield _proven(proof, claim, panel, text)
            return
        message = (
            _falsehood(claim, held, said)
            if self.verdict is Verdict.FALSE
            else Said(SAYS_AND, **said, because=Said(self.because))
        )
        needs_proof = self.verdict is Verdict.EVIDENCE
        yield Problem(
            message,
            claim.words,
            Said("evidence") if needs_proof else _true_words(claim),
            panel=panel.name,
            element=text.element,
            at_most=Level.WARN if milder else Level.FAIL,
            unverified=claim.from_memory,
            remedy=Said(RECORD_IT, claim=Literal(claim.words)) if needs_proof else "",
        )


MOST_NAMED = 4
"""Ingredients named against one claim."""
SAYS_AND = "{words} on the {panel} says “{found}”, {because}"
RECORD_IT = (
    "Leave the words out, or record what proves them in label.toml or maker.toml:"
    ' [[evidence]] with claim = {claim}, what = "...", date = ... and, if it is written down, file.'
)


def _falsehood(claim: Claim, held: Held, said: Mapping[str, str]) -> Said:
    """What the recipe says against a claim."""
    if claim.thing is not None and claim.thing.never:
        return Said(SAYS_AND, **said, because=Said(claim.thing.never))
    if claim.test is Test.PRESENT:
        return Said(
            "{words} on the {panel} says “{found}”, but the ingredient list has none", **said
        )
    if held.lines:
        more = ["…"] * (len(held.lines) > MOST_NAMED)
        return Said(
            "{words} on the {panel} says “{found}”, but the ingredient list has {names}",
            **said,
            names=Listed([*held.lines[:MOST_NAMED], *more], "and"),
        )
    return Said(
        "{words} on the {panel} says “{found}”, but of its fats that is {percent} %",
        **said,
        percent=Number(held.percent or Decimal(0), 1),
    )


def _true_words(claim: Claim) -> str:
    """What would be right: the ingredient, or the claim left out."""
    if claim.test is Test.PRESENT and claim.thing is not None:
        return Listed((part.strip("*") for part in claim.thing.inci), "or")
    return Said("left out")


def _proof_of(claim: Claim, facts: Facts) -> Evidence | None:
    """The maker's evidence for a claim: for its very words, or for a claim that says the same."""
    for evidence in facts.evidence:
        if folded(claim.words) in folded(evidence.claim):
            return evidence
        for element in ("claim", "names"):
            for other in read_claims(evidence.claim, element):
                if (other.kind, other.thing) == (claim.kind, claim.thing) and (
                    claim.thing is not None or claim.kind in _ONE_THING
                ):
                    return evidence
    return None


_ONE_THING = frozenset({"animals", "organic", "sun"})
"""Kinds of claim that all say the same, so that what proves one of them proves the others."""


def _proven(proof: Evidence, claim: Claim, panel: Panel, text: ElementText) -> Problem:
    file = Said(" ({file})", file=proof.file) if proof.file else ""
    message = Said(
        "“{found}” on the {panel} rests on: {what}{file}, {date}",
        found=claim.words,
        panel=on_panel(panel.name),
        what=proof.what,
        file=file,
        date=Day(proof.date),
    )
    return Problem(
        message,
        panel=panel.name,
        element=text.element,
        at_most=Level.NOTE,
        remedy=Said("Keep it where you find it again: whoever claims must show the proof."),
    )
