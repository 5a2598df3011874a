"""The order of the list: weight, the small shares, colours, the parfum."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from labelkit.common.messages import Said
from labelkit.formula.declaration import DeclaredLine, Role
from labelkit.formula.policy import Policy

ONE_PERCENT = Decimal(1)
_WEIGHT, _SMALL, _SMALL_PARFUM, _COLOUR, _PARFUM = range(5)


def order_lines(lines: Sequence[DeclaredLine], policy: Policy) -> tuple[DeclaredLine, ...]:
    """The lines as the policy's regions want them, each with the reason for its place.

    Within the small shares the order is free; they are set by weight all the same, and by name
    where the weights are equal, so that the list does not depend on the recipe's order.
    """
    placed = sorted(lines, key=lambda line: (_rank_line(line, policy), -line.mass_g, line.name))
    return tuple(replace(line, reason=_describe_reason(line, policy)) for line in placed)


def is_ordered_by_weight(line: DeclaredLine, policy: Policy) -> bool:
    """Whether the law fixes the line's place by its weight."""
    return _rank_line(line, policy) == _WEIGHT


def _rank_line(line: DeclaredLine, policy: Policy) -> int:
    if line.role in (Role.PARFUM, Role.AROMA) and policy.parfum_at_end:
        return _PARFUM
    if line.role is Role.COLOUR:
        return _COLOUR
    if not _is_small_share(line.percent, policy):
        return _WEIGHT
    # Among the small shares any order is right: last suits a region that wants the parfum last.
    return _SMALL_PARFUM if line.role in (Role.PARFUM, Role.AROMA) else _SMALL


def _is_small_share(percent: Decimal, policy: Policy) -> bool:
    if policy.free_at_exactly_one_percent:
        return percent <= ONE_PERCENT
    return percent < ONE_PERCENT


def _describe_reason(line: DeclaredLine, policy: Policy) -> Said:
    group = _rank_line(line, policy)
    if group == _PARFUM:
        return Said("parfum: may stand at the end")
    if group == _COLOUR:
        return Said("colour: after the others")
    if group in (_SMALL, _SMALL_PARFUM):
        at_most = policy.free_at_exactly_one_percent
        return Said("at most 1 %: any order" if at_most else "below 1 %: any order")
    return Said("by weight")
