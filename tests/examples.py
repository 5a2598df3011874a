"""How many examples a property is tried on: few in every run, ten times as many in the long one."""

from __future__ import annotations

from hypothesis import settings

QUICK, LONG = 50, 500

# How long one example takes says more of what else the computer does than of labelkit. The same
# examples each time: a change is not blamed for what an older one left.
settings.register_profile("quick", deadline=None, derandomize=True, max_examples=QUICK)
settings.register_profile("long", deadline=None, derandomize=True, max_examples=LONG)


def examples(count: int) -> int:
    """``count``, or in the long run ten times that: for properties that are dear to try."""
    return count * settings.default.max_examples // QUICK
