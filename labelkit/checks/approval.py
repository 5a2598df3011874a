"""What a preflight tells of an order's approval."""

from __future__ import annotations

from labelkit.checks.craft import make_own_finding, quote_names
from labelkit.common.messages import Day, Said, Term
from labelkit.compose.fingerprint import collect_content
from labelkit.compose.job import Job
from labelkit.plan.approval import compare_contents, read_approval
from labelkit.rules.findings import Finding, Level

RULE = "LABELKIT-APPROVAL"


def check_approval(job: Job) -> Finding:
    """Whether the order as it stands was approved, with what was changed since; InputError for a
    damaged record of it."""
    content, kept = collect_content(job), read_approval(job.spec.path).approved
    if kept is None:
        return make_own_finding(
            RULE,
            Said("Order {code}: no approval is recorded", code=content.code),
            level=Level.NOTE,
            remedy=Said("Once the customer approves her proof: labelkit proof --approved CODE."),
        )
    changes = compare_contents(kept.content, content)
    if not changes:
        told = Said("Order {code}: approved on {day}", code=content.code, day=Day(kept.on))
        return make_own_finding(RULE, told, level=Level.NOTE)
    parts = dict.fromkeys(change.part[1] for change in changes.parts)
    terms = [Term("part", part) for part in parts]
    if changes.added or changes.removed or changes.guests:
        terms.append(Term("part", "guests"))
    return make_own_finding(
        RULE,
        Said(
            "Order {code}: changed since order {former} was approved on {day}: {parts}",
            code=content.code,
            former=kept.code,
            day=Day(kept.on),
            parts=quote_names(terms),
        ),
        remedy=Said("Make a new proof and have it approved, or undo the change."),
    )
