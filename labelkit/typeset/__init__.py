"""Faces and their real glyph heights, line breaking, and copyfitting into a shape.

In the order in which one builds on the other: ``fontfiles`` finds and opens font files, ``derive``
makes static fonts of them, ``faces`` measures them (with ``strokes`` and ``scripts``), ``shape``
sets a line, ``breakpoints`` and ``breaking`` a paragraph, ``fit`` picks one way to set each part
of a panel. ``outline`` knows the shapes of labels, ``french``
the spaces of French punctuation.
"""
