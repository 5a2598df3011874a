"""The order around the labels: pieces, batch, weights, days, supplies, cost, trace and duties.

Nothing here knows a page or a word of any language: what is computed is worded by the report room.
"""

from labelkit.plan.order import FAILING, Plan, Worry, make_plan

__all__ = ["FAILING", "Plan", "Worry", "make_plan"]
