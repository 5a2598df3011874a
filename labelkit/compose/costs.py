"""What a reader dislikes, in one currency: one unit is a change one has to look for.

The weights are a designer's judgement, settled by looking at proofs; common practice, no source.
"""

from __future__ import annotations

SMALLER = 12.0
"""Per halving of the size that the layout would like best."""
FOCAL = 2.0
"""Factor on the former for the one thing that is to be read first."""
ORNAMENT_SMALLER = 5.0
LINE = 0.6
"""Per line beyond the first."""
STACKED = 0.5
"""Languages one above the other instead of side by side."""
SPLIT_ROW = 2.0
"""Blocks meant to share a line, one below another."""
SETTING = 0.7
"""Per step down the block's own list of settings."""
CAPITALS_LONG = 3.0
"""Capitals in a text of more than LONG_TEXT letters: slow to read."""
LONG_TEXT = 90
NARROW = 2.5
"""Per quarter taken off the width of the face."""
TIGHT = 30.0
"""For closing the gaps wholly; with the square of how far they are closed."""
UNDER_ADVICE = 14.0
"""Per halving below a legibility advice where no law sets a height."""
