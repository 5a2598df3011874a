"""Panels that were composed a moment ago: an edit of the front leaves the back as it is.

A panel depends on its own design and the ornaments in it, on trim and floors, on the words of its
own blocks, and on which others there are; while all of that is equal it need not be set again.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from threading import Lock
from typing import Any

from labelkit.common.errors import FitError
from labelkit.compose.element_words import Wordings
from labelkit.compose.fingerprint import list_drawings, list_named_elements
from labelkit.compose.ornament.figures import FIGURES
from labelkit.compose.panel import ComposedPanel, compose_panel
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, OrnamentSpec, PanelLayout
from labelkit.rules import Floors

MOST_KEPT = 96
"""A label's sides in each of the designs, and a few more."""
_KEPT: deque[tuple[tuple[Any, ...], ComposedPanel | FitError]] = deque(maxlen=MOST_KEPT)
_LOCK = Lock()


def compose_panel_once(
    name: str, layout: Layout, words: Wordings, floors: Floors, trim: Trim, **more: Any
) -> ComposedPanel:
    """``compose_panel``, remembered by equal inputs; FitError likewise."""
    plan = layout.panel(name)
    names = list_drawings(plan) | {block.instead_of for block in plan.blocks}
    shown = {name: drawn for name, drawn in layout.ornaments.items() if name in names}
    design = replace(layout, panels={name: plan}, ornaments=shown)
    if not _is_grown(plan, shown):
        more["seed"] = 0
    # The quick ones first: most of what is kept differs in them.
    inputs = (name, trim, _pick_used_words(plan, shown, words), frozenset(words), more, floors,
              design)  # fmt: skip
    with _LOCK:
        found = next((made for kept, made in _KEPT if kept == inputs), None)
    if found is None:
        try:
            found = compose_panel(name, design, words, floors, trim, **more)
        except FitError as error:
            found = error
        with _LOCK:
            _KEPT.append((inputs, found))
    if isinstance(found, FitError):
        raise replace(found)
    return found


def _is_grown(plan: PanelLayout, ornaments: dict[str, OrnamentSpec]) -> bool:
    """Whether an order's seed makes a difference to a panel."""
    plants = (spec.growth for spec in ornaments.values())
    return any(plant is not None and plant.kind not in FIGURES for plant in plants) or any(
        not surround.letters for surround in plan.surrounds
    )


def _pick_used_words(
    plan: PanelLayout, ornaments: dict[str, OrnamentSpec], words: Wordings
) -> dict[str, Any]:
    """The words of a plan's blocks and letterings."""
    elements = list_named_elements(plan)
    elements |= {one.lettering.element for one in ornaments.values() if one.lettering is not None}
    return {element: said for element, said in words.items() if element in elements}
