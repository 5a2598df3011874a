"""What a reader dislikes, in one currency: one unit is a change one has to look for.

The weights are a designer's judgement, settled by looking at proofs; common practice, no source.
What line breaking dislikes about single breaks is in labelkit.typeset.breakpoints and breaking.
"""

from __future__ import annotations

SMALLER = 12.0
"""Per halving of the largest size of a class."""
NARROW = 1.5
"""Per quarter taken off the width of the face."""
LONG_CAPITALS = 3.0
"""For capitals where there are more than LONG_TEXT letters: slow to read."""
LONG_TEXT = 90
TRACKING = 0.3
"""Per hundredth of an em that letterspace is taken back."""
LINE = 0.6
"""Per line after the first."""
FOCAL = 3.0
"""Factor on the cost of a smaller size for the one thing that is to be read first."""
LARGER = 8.0
"""Per doubling above it, where the law wants more."""
UNLIKE = 15.0
"""Languages one above the other that take unlike numbers of lines."""
ORNAMENT_SMALLER = 5.0
"""Per halving of an ornament's height."""
STACKED = 0.5
"""Languages one above the other instead of side by side."""
RUN_ON = 2.0
"""An address that runs on instead of standing in the lines it was typed in."""
TORN = 8.0
"""An address of which a line ends inside a part ("21 Ferry / Road"), set on no tighter step."""
HEADING_APART = 1.0
"""A heading on a line of its own instead of running into its paragraph."""
OPENING_CUT = 4.0
"""A heading that runs into its list with room for no more than a part of the first name."""
SETTING = 1.6
"""Per step down the block's own list of settings."""
ROW_BROKEN_UP = 2.0
"""The blocks of a row one above the other."""
GROUP_BROKEN_UP = 1.5
"""Likewise where they stood beside each other as one line."""
AWKWARD = 0.12
"""Per unit of what line breaking dislikes about a heading of several lines."""
AWKWARD_MOST = 30.0
PUSHED = 0.6
"""Per millimetre that a curved shape pushes text away from its head or foot."""
TIGHT = 30.0
"""For closing the gaps wholly; with the square of how far they are closed."""
UNDER_ADVICE = 22.0
"""Per halving below a legibility advice where no law sets a height."""
HANGING = 0.8
"""Per millimetre that a curved shape is emptier at its head than at its foot."""
UNEVEN = 3.0
"""Per millimetre by which text in a curved shape stands nearer to the middle."""
