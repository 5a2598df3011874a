"""labelkit lays out, checks and prints compliant bilingual labels for favours.

Everything the command line does can be done from Python, beginning with an order:

>>> from pathlib import Path
>>> import labelkit
>>> label = Path("samples/lighthouse-supper/label.toml")
>>> order = labelkit.read_order(label)
>>> order.spec.event.guests, order.recipe.name
(60, 'Oat, honey and sea buckthorn')

``check`` composes its panels and holds them against the law of its regions:

>>> checked = labelkit.check(order)
>>> checked.fit_to_print, [panel.name for panel in checked.panels]
(True, ['front', 'back'])

An order can be read as it would be if a text were saved, so that what a change does is seen before:

>>> text = label.read_text(encoding="utf-8")
>>> smaller = labelkit.read_order(label, {label: text.replace("44 x 28 mm", "44 x 14 mm")})
>>> {panel.name: panel.problem is None for panel in labelkit.check(smaller).panels}
{'front': True, 'back': False}

Mistakes in the files are told all at once, a line each (``error.lines``):

>>> text = text.replace("date = 2027-06-19", "date = 'soon'").replace("44 x 28 mm", "44 mm")
>>> try:
...     labelkit.read_order(label, {label: text})
... except labelkit.InputError as error:
...     [(one.line, one.key, one.value) for one in (error, *error.others)]
[(7, 'event.date', 'soon'), (24, 'label.trim', '44 mm')]

``make_sheets(order, folder)`` writes the sheets, ``make_proof(order)`` gives the proof's two parts
as PDF bytes, and ``make_plan(order, day)`` works out pieces, batch, dates, supplies and cost.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from labelkit.common.errors import FitError, InputError, LabelkitError
    from labelkit.job.api import (
        Checked,
        CheckedPanel,
        check,
        make_plan,
        make_proof,
        make_sheets,
        record_approval,
    )
    from labelkit.job.sheets import Wish
    from labelkit.order.order import Order, read_order
    from labelkit.rules.findings import Finding, Level, Report

__version__ = "0.1.0"

__all__ = [
    "Checked",
    "CheckedPanel",
    "Finding",
    "FitError",
    "InputError",
    "LabelkitError",
    "Level",
    "Order",
    "Report",
    "Wish",
    "check",
    "make_plan",
    "make_proof",
    "make_sheets",
    "read_order",
    "record_approval",
]

_HOMES = {
    "labelkit.common.errors": ("FitError", "InputError", "LabelkitError"),
    "labelkit.job.api": (
        "Checked", "CheckedPanel", "check", "make_plan", "make_proof", "make_sheets",
        "record_approval",
    ),
    "labelkit.job.sheets": ("Wish",),
    "labelkit.order.order": ("Order", "read_order"),
    "labelkit.rules.findings": ("Finding", "Level", "Report"),
}  # fmt: skip


def __getattr__(name: str) -> Any:
    """Imports what is asked for when it is: the list of commands needs none of it."""
    for home, names in _HOMES.items():
        if name in names:
            return getattr(importlib.import_module(home), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
