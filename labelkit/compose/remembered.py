"""Panels that were composed a moment ago: an edit of the front leaves the back as it is.

A panel depends on its own design and the ornaments in it, on trim and floors, on the words of its
own blocks, and on which others there are; while all of that is equal it need not be set again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any, Generic, NamedTuple, TypeVar

from labelkit.common.errors import FitError
from labelkit.common.recent import RecentResults
from labelkit.compose.drawing import FittedPanel
from labelkit.compose.element_words import Wordings
from labelkit.compose.fingerprint import list_drawings, list_named_elements
from labelkit.compose.ornament.figures import FIGURES
from labelkit.compose.panel import FittedStep, fit_panel, fit_panel_text
from labelkit.order.label import Trim
from labelkit.order.layout import DESIGNS, Layout
from labelkit.rules import Floors

T = TypeVar("T")


class Remembered(Generic[T]):
    """The latest results, each by the inputs that it was made of; FitError likewise."""

    def __init__(self, most: int) -> None:
        self._kept = RecentResults[tuple[tuple[Any, ...], T | FitError]](most)

    def find_or_make(self, quick: int, inputs: tuple[Any, ...], make: Callable[[], T]) -> T:
        """What equal inputs made before, else what ``make`` does; ``quick`` is a hash of what
        differs in most of them."""
        kept, found = self._kept.recall(quick) or (None, None)
        if found is None or kept != inputs:
            try:
                found = make()
            except FitError as error:
                found = error
            self._kept.keep(quick, (inputs, found))
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
    design = _pick_design(name, layout)
    if not design.is_grown:
        more["seed"] = 0
    used = {element: said for element, said in words.items() if element in design.elements}
    said = hash((name, trim, *used.items()))

    def fit_text(name: str, shown: Layout, *given: Any) -> FittedStep:
        """The text, which may be the same for another seed."""
        inputs = (name, trim, used, frozenset(words), *given[1:], shown)
        quick = hash((said, shown))
        return _TEXTS.find_or_make(quick, inputs, lambda: fit_panel_text(name, shown, *given))

    return _PANELS.find_or_make(
        hash((said, design.layout, more.get("seed"))),
        (name, trim, used, frozenset(words), more, floors, design.layout),
        lambda: fit_panel(name, design.layout, words, floors, trim, **more, fit_text=fit_text),
    )


class _PanelDesign(NamedTuple):
    """What one panel has of a layout."""

    layout: Layout
    """With the one panel, and the ornaments that are in it."""
    elements: frozenset[str]
    """Of its blocks and letterings."""
    is_grown: bool
    """Whether an order's seed makes a difference to it."""


@lru_cache(maxsize=DESIGNS)
def _pick_design(name: str, layout: Layout) -> _PanelDesign:
    plan = layout.panel(name)
    names = list_drawings(plan) | {block.instead_of for block in plan.blocks}
    shown = {name: drawn for name, drawn in layout.ornaments.items() if name in names}
    elements = list_named_elements(plan)
    elements |= {one.lettering.element for one in shown.values() if one.lettering is not None}
    plants = [spec.growth.kind for spec in shown.values() if spec.growth is not None]
    is_grown = any(kind not in FIGURES for kind in plants) or any(
        not surround.letters for surround in plan.surrounds
    )
    design = replace(layout, panels={name: plan}, ornaments=shown)
    return _PanelDesign(design, frozenset(elements), is_grown)
