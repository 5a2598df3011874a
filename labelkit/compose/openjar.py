"""The open jar before a period after opening (Regulation (EC) No 1223/2009, Annex VII, point 2).

A jar whose lid is off, drawn here; its proportions are from memory. No typeface has it, so the
words keep room for it and the panel draws it there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labelkit.common.quantity import PT_PER_MM
from labelkit.compose.art import place_drawing
from labelkit.compose.element_words import JAR_ROOM
from labelkit.model.runs import Box, Ornament, Run
from labelkit.order.logo import Drawing

_GAP_EM, _TALL_EM = 0.2, 0.95
_VIEW = (0.0, 0.0, 20.0, 23.0)
_BODY = "M1.5 9H18.5Q20 9 20 10.5V21.5Q20 23 18.5 23H1.5Q0 23 0 21.5V10.5Q0 9 1.5 9Z"
_INSIDE = "M2.2 11.2V20.8H17.8V11.2Z"
_LID = "M1 3.4L18.6 0L19.3 3.4L1.7 6.8Z"
_JAR = Drawing(_BODY + _INSIDE + _LID, even_odd=True)


def has_jar_room(run: Run) -> bool:
    """Whether a run begins with the room in which a jar stands."""
    return run.element == "durability" and run.text.startswith(JAR_ROOM)


def make_open_jars(runs: Iterable[Run]) -> Iterator[Ornament]:
    """The jar of every run that keeps room for one, in the run's own ink."""
    for run in runs:
        if has_jar_room(run):
            yield place_drawing(_JAR, _VIEW, _find_jar_box(run), run.colour)


def _find_jar_box(run: Run) -> Box:
    """As tall as the room lets it be, on the baseline and close before the figures."""
    em_mm = run.size_pt / PT_PER_MM
    right = run.ink.x0_mm - _GAP_EM * em_mm
    _, _, wide, tall = _VIEW
    height_mm = min((right - run.x_mm) * tall / wide, _TALL_EM * em_mm)
    return Box(right - height_mm * wide / tall, run.baseline_mm, right, run.baseline_mm + height_mm)
