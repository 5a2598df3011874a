"""The order around the labels: pieces, batch, weights, days, supplies, cost, trace and duties.

Nothing here knows a page or a word of any language: what is computed is worded by the report room.
"""
