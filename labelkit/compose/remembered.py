"""Panels that were composed a moment ago: an edit of the front leaves the back as it is.

A panel depends on its layout, trim and floors, on the words of its own blocks, and on which others
there are; while all of that is equal it need not be set again.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from threading import Lock
from typing import Any

from labelkit.common.errors import FitError
from labelkit.compose.element_words import Wordings
from labelkit.compose.panel import ComposedPanel, compose_panel
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, PanelLayout
from labelkit.rules import Floors

MOST_KEPT = 24
_KEPT: deque[tuple[tuple[Any, ...], ComposedPanel | FitError]] = deque(maxlen=MOST_KEPT)
_LOCK = Lock()


def compose_panel_once(
    name: str, layout: Layout, words: Wordings, floors: Floors, trim: Trim, **more: Any
) -> ComposedPanel:
    """``compose_panel``, remembered by equal inputs; FitError likewise."""
    used = _pick_used_words(layout.panel(name), words)
    # The quick ones first: most of what is kept differs in them.
    inputs = (name, trim, used, frozenset(words), more, floors, layout)
    with _LOCK:
        found = next((made for kept, made in _KEPT if kept == inputs), None)
    if found is None:
        try:
            found = compose_panel(name, layout, words, floors, trim, **more)
        except FitError as error:
            found = error
        with _LOCK:
            _KEPT.append((inputs, found))
    if isinstance(found, FitError):
        raise replace(found)
    return found


def _pick_used_words(plan: PanelLayout, words: Wordings) -> dict[str, Any]:
    """The words of a plan's blocks; all where a block is made of several."""
    if any(block.text for block in plan.blocks):
        return dict(words)
    elements = {name for block in plan.blocks for name in (block.element, block.run_in)}
    return {element: said for element, said in words.items() if element in elements}
