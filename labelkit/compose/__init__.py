"""From a layout, the words and the legal floors to the placed runs of one panel.

The composer enumerates, for every block, the ways it may be set (languages on one line or one
above the other, as written or in capitals, narrower face) at every size of its size class, drops
those under a legal floor, and lets the copyfitter pick the least disliked set that fits the trim.
A panel is therefore legal by construction; one that cannot be is refused with the ways out.
"""

from labelkit.compose.drawing import ComposedPanel
from labelkit.compose.fitting import FitWords, PanelFit, describe_fit
from labelkit.compose.panel import compose_panel
from labelkit.compose.runs import (
    GuestPlace,
    find_widest_guests,
    fit_all_guests,
    fit_guests,
    make_guest_runs,
    make_run,
)

__all__ = [
    "ComposedPanel",
    "FitWords",
    "GuestPlace",
    "PanelFit",
    "compose_panel",
    "describe_fit",
    "find_widest_guests",
    "fit_all_guests",
    "fit_guests",
    "make_guest_runs",
    "make_run",
]
