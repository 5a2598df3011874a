"""Sentences that speak of commands, as the window says them: by what can be pressed there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from labelkit.common.messages import FactList, Said

IN_THE_WINDOW: Mapping[str, Said] = {
    "{has}: --start {start}{skip}": Said("{has}; the first free label is {start}"),
    "missing; {option} prints labels that carry guests' names": Said(
        "no guests' names are on the labels"
    ),
    "it is not known which labels were printed; print all, without it": Said(
        "it is not known which labels were printed; print all of them"
    ),
    "all must be printed anew: leave out --changed": Said(
        "all must be printed anew, not only names that were changed"
    ),
    "have the new proof approved, or print it all the same with --unapproved": Said(
        "have the new proof approved, or tick that what was not approved is printed as well"
    ),
    "replaced {files}; to have it back: labelkit undo --maker {maker}": Said("replaced {files}"),
    "Order {code}: no approval is recorded (labelkit proof --approved CODE)": Said(
        "Order {code}: no approval is recorded"
    ),
    "Once the customer approves her proof: labelkit proof --approved CODE.": Said(
        "Once the customer approves her proof, record it in the room Proof."
    ),
    "Declare what the lightest piece weighs on the day of sale; labelkit plan says at most how much"
    " that is. Where they were cut heavier, withdraw the record: labelkit trace LOT --withdraw.": (
        Said(
            "Declare what the lightest piece weighs on the day of sale; the room Days and money"
            " says at most how much that is. Where they were cut heavier, the record of the pour is"
            " to be withdrawn."
        )
    ),
}
"""By the template of another room; each keeps the facts that it has a place for."""


def put_in_window(said: Any) -> Any:
    """A sentence, and every sentence in it, as the window says it."""
    if isinstance(said, Said):
        template = IN_THE_WINDOW.get(said.template, said.template)
        return Said(str(template), **{key: put_in_window(one) for key, one in said.facts.items()})
    if isinstance(said, FactList):
        return FactList(map(put_in_window, said.parts), said.word)
    return said
