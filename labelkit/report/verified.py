"""How the tables stand to the text of the laws in a folder, as lines and as JSON."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from collections.abc import Iterator, Sequence

from labelkit.report.findings import Wording
from labelkit.rules.provisions import State, Verified

_WIDTH = 10


def verified_text(found: Sequence[Verified], words: Wording) -> str:
    """A line for each provision, the changed ones first, and how many there are of each state."""
    order = [State.GONE, State.CHANGED, State.MOVED, State.NO_FILE, State.SAME]
    lines = [_line(one, words) for state in order for one in found if one.state is state]
    counted = Counter(one.state for one in found)
    told = {state.name.lower(): counted[state] for state in State}
    return "\n".join([*lines, words.say("verify.count", **told)])


def _line(one: Verified, words: Wording) -> str:
    say, kept = words.say, one.provision
    state = say(f"verify.{one.state.name.lower()}")
    parts = [f"{state:{_WIDTH}} {place_of(one)}", *_days(one, words), ", ".join(one.rules)]
    if one.state is State.MOVED:
        parts.insert(1, say("verify.now", section=one.now))
    if one.state is not State.SAME:
        parts.insert(-1, say("verify.seen", date=_day(kept.seen, words)))
    return "  ".join(part for part in parts if part)


def _days(one: Verified, words: Wording) -> Iterator[str]:
    if one.in_force:
        yield words.say("verify.in_force", date=_day(one.in_force, words))
    if one.provision.in_force not in ("", one.in_force):
        yield words.say("verify.then", date=_day(one.provision.in_force, words))


def _day(text: str, words: Wording) -> str:
    return words.say.date(dt.date.fromisoformat(text))


def place_of(one: Verified) -> str:
    """A provision as citations write it: CPLR s. 14(2)."""
    section = one.provision.section
    mark = "" if section.startswith("Schedule") else "s. "
    return f"{one.provision.law} {mark}{section}"


def verified_json(found: Sequence[Verified]) -> str:
    """The same as a list of objects."""
    value = [
        {
            "provision": place_of(one),
            "fid": one.provision.fid,
            "state": str(one.state),
            "now": one.now,
            "in_force": one.in_force,
            "seen": one.provision.seen,
            "seen_in_force": one.provision.in_force,
            "rules": list(one.rules),
        }
        for one in found
    ]
    return json.dumps(value, ensure_ascii=False, indent=2)
