"""What a label claims, held against the recipe and the region's law."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Number, Said, Verbatim
from labelkit.model.runs import ElementText, Panel
from labelkit.order.evidence import Evidence
from labelkit.rules.claim_truth import ClaimStanding, Truth, judge_claim
from labelkit.rules.claims import Claim, TruthTest, read_claims
from labelkit.rules.facts import Facts
from labelkit.rules.findings import Level
from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.label import Label, name_panel, quote_words
from labelkit.rules.rule import Problem, Rule
from labelkit.rules.word_match import fold_text


class ClaimVerdict(StrEnum):
    """What a region makes of a claim that is not fine."""

    FALSE = "false"
    EVIDENCE = "needs evidence"
    DRUG = "drug or pesticide"
    ELSEWHERE = "regulated elsewhere"


@dataclass(frozen=True)
class ForbiddenClaims(CheckKind):
    """No claim of these kinds comes to this verdict.

    A false claim is the matter of a row whose verdict is "false", and a true one of none.
    """

    verdict: ClaimVerdict
    claims: tuple[str, ...]
    """Kinds of claim, as the table of claims names them."""
    because: str = ""
    """What is wrong with such a claim, as the message ends; not for false ones."""
    milder_with: tuple[str, ...] = ()
    """Where one of these elements is on the label, such a claim only warns."""

    def problems(self, rule: Rule, label: Label) -> Iterator[Problem]:
        milder = any(label.texts(element) for element in self.milder_with)
        places = label.at(rule.panel)
        for panel, text, claim in label.claims:
            if claim.kind in self.claims and panel in places:
                yield from self._judge(claim, panel, text, label.facts, milder)

    def _judge(
        self, claim: Claim, panel: Panel, text: ElementText, facts: Facts, milder: bool
    ) -> Iterator[Problem]:
        held = judge_claim(claim, facts.declaration)
        if (held.truth is Truth.FALSE) is not (self.verdict is ClaimVerdict.FALSE):
            return
        if held.truth is Truth.TRUE:
            return
        said = {
            "words": quote_words(text.text),
            "panel": name_panel(panel.name),
            "found": claim.words,
        }
        proof = _find_evidence(claim, facts) if self.verdict is ClaimVerdict.EVIDENCE else None
        if proof is not None:
            yield _make_evidence_problem(proof, claim, panel, text)
            return
        message = (
            _describe_falsehood(claim, held, said)
            if self.verdict is ClaimVerdict.FALSE
            else Said(SAYS_AND, **said, because=Said(self.because))
        )
        needs_proof = self.verdict is ClaimVerdict.EVIDENCE
        yield Problem(
            message,
            claim.words,
            Said("evidence") if needs_proof else _suggest_true_words(claim),
            panel=panel.name,
            element=text.element,
            at_most=Level.WARN if milder else Level.FAIL,
            unverified=claim.from_memory,
            remedy=Said(RECORD_IT, claim=Verbatim(claim.words)) if needs_proof else "",
        )


MOST_NAMED = 4
"""Ingredients named against one claim."""
SAYS_AND = "{words} on the {panel} says “{found}”, {because}"
RECORD_IT = (
    "Leave the words out, or record what proves them in label.toml or maker.toml:"
    ' [[evidence]] with claim = {claim}, what = "...", date = ... and, if it is written down, file.'
)


def _describe_falsehood(claim: Claim, held: ClaimStanding, said: Mapping[str, str]) -> Said:
    """What the recipe says against a claim."""
    if claim.thing is not None and claim.thing.never:
        return Said(SAYS_AND, **said, because=Said(claim.thing.never))
    if claim.test is TruthTest.PRESENT:
        return Said(
            "{words} on the {panel} says “{found}”, but the ingredient list has none", **said
        )
    if held.lines:
        more = ["…"] * (len(held.lines) > MOST_NAMED)
        return Said(
            "{words} on the {panel} says “{found}”, but the ingredient list has {names}",
            **said,
            names=FactList([*held.lines[:MOST_NAMED], *more], "and"),
        )
    return Said(
        "{words} on the {panel} says “{found}”, but of its fats that is {percent} %",
        **said,
        percent=Number(held.percent or Decimal(0), 1),
    )


def _suggest_true_words(claim: Claim) -> str:
    """What would be right: the ingredient, or the claim left out."""
    if claim.test is TruthTest.PRESENT and claim.thing is not None:
        return FactList((part.strip("*") for part in claim.thing.inci), "or")
    return Said("left out")


def _find_evidence(claim: Claim, facts: Facts) -> Evidence | None:
    """The maker's evidence for a claim: for its very words, or for a claim that says the same."""
    for evidence in facts.evidence:
        if fold_text(claim.words) in fold_text(evidence.claim):
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


def _make_evidence_problem(
    proof: Evidence, claim: Claim, panel: Panel, text: ElementText
) -> Problem:
    file = Said(" ({file})", file=proof.file) if proof.file else ""
    message = Said(
        "“{found}” on the {panel} rests on: {what}{file}, {date}",
        found=claim.words,
        panel=name_panel(panel.name),
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
