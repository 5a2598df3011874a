"""Panels that were composed a moment ago: an edit of the front leaves the back as it is.

A panel depends on its own design and the ornaments in it, on trim and floors, on the words of its
own blocks, and on which others there are; while all of that is equal it need not be set again.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from threading import Lock
from typing import Any, Generic, TypeVar

from labelkit.common.errors import FitError
from labelkit.compose.drawing import FittedPanel
from labelkit.compose.element_words import Wordings
from labelkit.compose.fingerprint import list_drawings, list_named_elements
from labelkit.compose.ornament.figures import FIGURES
from labelkit.compose.panel import FittedStep, fit_panel, fit_panel_text
from labelkit.order.label import Trim
from labelkit.order.layout import Layout, OrnamentSpec, PanelLayout
from labelkit.rules import Floors

T = TypeVar("T")


class Remembered(Generic[T]):
    """The latest results, each by the inputs that it was made of; FitError likewise."""

    def __init__(self, most: int) -> None:
        self._kept: deque[tuple[tuple[Any, ...], T | FitError]] = deque(maxlen=most)
        self._lock = Lock()

    def find_or_make(self, inputs: tuple[Any, ...], make: Callable[[], T]) -> T:
        """What equal inputs made before, else what ``make`` does."""
        with self._lock:
            found = next((made for kept, made in self._kept if kept == inputs), None)
        if found is None:
            try:
                found = make()
            except FitError as error:
                found = error
            with self._lock:
                self._kept.append((inputs, found))
        if isinstance(found, FitError):
            raise replace(found)
        return found


MOST_KEPT = 96
"""A label's sides in each of the designs, and a few more."""
_PANELS = Remembered[FittedPanel](MOST_KEPT)
_TEXTS = Remembered[FittedStep](MOST_KEPT)


def fit_panel_once(
    name: str, layout: Layout, words: Wordings, floors: Floors, trim: Trim, **more: Any
) -> FittedPanel:
    """``fit_panel``, remembered by equal inputs; FitError likewise."""
    plan = layout.panel(name)
    names = list_drawings(plan) | {block.instead_of for block in plan.blocks}
    shown = {name: drawn for name, drawn in layout.ornaments.items() if name in names}
    design = replace(layout, panels={name: plan}, ornaments=shown)
    if not _is_grown(plan, shown):
        more["seed"] = 0
    used = _pick_used_words(plan, shown, words)
    # A number first: it differs in most of what is kept.
    quick = hash((name, trim, *used.items()))
    inputs = (quick, name, trim, used, frozenset(words), more, floors, design)

    def fit_text(name: str, design: Layout, *given: Any) -> FittedStep:
        """The text, which may be the same for another seed."""
        inputs = (quick, name, trim, used, frozenset(words), *given[1:], design)
        return _TEXTS.find_or_make(inputs, lambda: fit_panel_text(name, design, *given))

    return _PANELS.find_or_make(
        inputs,
        lambda: fit_panel(name, design, words, floors, trim, **more, fit_text=fit_text),
    )


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
