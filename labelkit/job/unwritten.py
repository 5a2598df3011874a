"""Guests whose names no face can write, or no room holds, left out for all the others' sake."""

from __future__ import annotations

from dataclasses import replace

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said, count_things
from labelkit.compose.job import Job


@dataclass(frozen=True, slots=True)
class WithoutUnwritten:
    """A job whose guests' names can all be set."""

    job: Job
    names: tuple[str, ...] = ()
    """Of the guests that have a label without a name now."""
    told: tuple[Said, ...] = ()
    """What the maker is told of them, with their lines of the guest list."""


def drop_unwritten_names(job: Job) -> WithoutUnwritten:
    """The same job with a label without a name for each guest whose name cannot be set."""
    try:
        _ = job.guest_runs
    except FitError as error:
        if not error.guests:
            return WithoutUnwritten(job)
        event = job.spec.event
        kept = tuple(name for name in event.guest_names if name not in error.guests)
        lost = tuple(name for name in event.guest_names if name in error.guests)
        event = replace(
            event,
            guest_names=kept,
            guests=event.guests - len(lost),
            spares=event.spares + len(lost),
        )
        told = count_things(
            len(lost),
            "{n} label without a name, for who could not be set: {reason}",
            "{n} labels without a name, for who could not be set: {reason}",
            reason=error.reason,
        )
        return WithoutUnwritten(job.with_order(spec=replace(job.spec, event=event)), lost, (told,))
    return WithoutUnwritten(job)
