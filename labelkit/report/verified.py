"""How the tables stand to the text of the laws in a folder, as lines and as JSON."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence

from labelkit.common.json_text import format_json, pick_fields
from labelkit.report.findings import FindingWords
from labelkit.rules.provisions import ProvisionState, VerifiedProvision, is_cfr_title

_WIDTH = 10


def format_verified_text(found: Sequence[VerifiedProvision], words: FindingWords) -> str:
    """A line for each provision, the changed ones first, and how many there are of each state."""
    order = [
        ProvisionState.GONE,
        ProvisionState.CHANGED,
        ProvisionState.MOVED,
        ProvisionState.NOT_KEPT,
        ProvisionState.NO_FILE,
        ProvisionState.SAME,
    ]
    lines = [
        _describe_provision(one, words) for state in order for one in found if one.state is state
    ]
    counted = Counter(one.state for one in found)
    told = {state.name.lower(): counted[state] for state in ProvisionState}
    return "\n".join([*lines, words.say("verify.count", **told)])


def _describe_provision(one: VerifiedProvision, words: FindingWords) -> str:
    say, kept = words.say, one.provision
    state = say(f"verify.{one.state.name.lower()}")
    parts = [
        f"{state:{_WIDTH}} {format_provision(one)}",
        *_describe_days(one, words),
        ", ".join(one.rules),
    ]
    if one.state is ProvisionState.MOVED:
        parts.insert(1, say("verify.now", section=one.now))
    if one.state is not ProvisionState.SAME and kept.seen:
        parts.insert(-1, say("verify.seen", date=_format_day(kept.seen, words)))
    return "  ".join(part for part in parts if part)


def _describe_days(one: VerifiedProvision, words: FindingWords) -> Iterator[str]:
    if one.in_force:
        says = "amended" if is_cfr_title(one.provision.law) else "in_force"
        yield words.say(f"verify.{says}", date=_format_day(one.in_force, words))
    if one.provision.in_force not in ("", one.in_force):
        yield words.say("verify.then", date=_format_day(one.provision.in_force, words))


def _format_day(text: str, words: FindingWords) -> str:
    return words.say.date(dt.date.fromisoformat(text))


def format_provision(one: VerifiedProvision) -> str:
    """A provision as citations write it: CPLR s. 14(2)."""
    section = one.provision.section
    bare = section.startswith("Schedule") or is_cfr_title(one.provision.law)
    mark = "" if bare else "s. "
    return f"{one.provision.law} {mark}{section}"


def format_verified_json(found: Sequence[VerifiedProvision]) -> str:
    """The same as a list of objects."""
    value = [
        {
            "provision": format_provision(one),
            "fid": one.provision.fid,
            **pick_fields(one, "state now in_force"),
            "seen": one.provision.seen,
            "seen_in_force": one.provision.in_force,
            "rules": one.rules,
        }
        for one in found
    ]
    return format_json(value)
