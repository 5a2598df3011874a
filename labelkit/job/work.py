"""What the journal of a workshop is told of a command's work."""

from __future__ import annotations

from labelkit.common.journal import Work
from labelkit.order.order import Order


def describe_work(command: str, order: Order, code: str = "", **details: object) -> Work:
    """A command's work for an order: whose workshop it is, and from which files it was made."""
    return Work(command, order.spec.maker.path.parent, order.inputs, code, details)
