"""Ornaments drawn by code: plants, frames that follow the trim, patterns, and letters as pictures.

All are outlines in path data; what varies comes from a seed, so that the same order always gets the
same drawing and another order one of its own.
"""
